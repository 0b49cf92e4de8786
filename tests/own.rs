//! A person's own data laid over what is built in: it goes first, says so, and spoils nothing.

use std::path::{Path, PathBuf};

use serde_json::Value;
use tamis::engine::{AssessOptions, Engine};
use tamis::load::{Files, Own};

mod program;

use program::{Ran, fresh_folder, ran, tamis};

/// The demo kitchen shipped beside the formulas.
const KITCHEN: &str = "data/kitchen";
const ICE: &str = "data/kitchen/lakeside-coconut-ice.csv";

/// A folder with these own tables.
fn kitchen(name: &str, tables: &[(&str, &str)]) -> PathBuf {
    let folder = fresh_folder(name);
    for (table, text) in tables {
        std::fs::write(folder.join(table), text).expect("written");
    }
    folder
}

fn with_own(folder: &Path, args: &[&str]) -> Ran {
    ran(tamis().env("TAMIS_OWN", folder).args(args))
}

fn json(folder: &Path, args: &[&str]) -> Value {
    let ran = with_own(folder, &[args, &["--json"]].concat());
    serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{e}: {}{}", ran.out, ran.err))
}

fn engine(tables: &[(&str, &str)]) -> Engine {
    let own = Own::of("kitchen", tables).expect("tables");
    Engine::open(Files::embedded().with_own(own), None).unwrap_or_else(|p| panic!("{p}"))
}

const VALUES: &str = "ingredient,property,typical,unit,condition,locator,date\n";
const INGREDIENTS: &str = "id,name,family,functions\n";

#[test]
fn an_own_value_goes_first_and_both_are_told() {
    let text = format!("{VALUES}guar gum,hydration_temperature,31,C,,our sheet,2026-03\n");
    let folder = kitchen("own-first", &[("values.csv", &text)]);
    let show = json(&folder, &["show", "guar-gum"]);
    assert_eq!(show["own_data"], folder.to_str().expect("UTF-8"));
    let rows: Vec<&Value> = show["values"]
        .as_array()
        .expect("values")
        .iter()
        .filter(|v| v["property"] == "hydration_temperature" && v["condition"] == "")
        .collect();
    assert!(rows.len() > 1, "the built-in row is still there");
    assert_eq!(rows[0]["typical"], 31.0);
    assert_eq!(rows[0]["source"], "own");
    assert_eq!(rows[0]["kind"], "own");
    assert_eq!(rows[0]["locator"], "our sheet, 2026-03");
    assert!(rows[1..].iter().all(|v| v["overruled"] == true));
    for args in [
        vec!["show", "guar-gum"],
        vec!["find", "hydration temperature between 30 and 32"],
        vec![
            "compare",
            "guar-gum",
            "agar-powder",
            "--by",
            "hydration temperature",
        ],
        vec!["assess", "data/formulas/sour-cherry-sorbet.csv"],
    ] {
        let args = [args, vec!["--why"]].concat();
        let ran = with_own(&folder, &args);
        assert_eq!(ran.code, Some(0), "{args:?}: {}", ran.err);
        assert!(ran.out.contains("31 C"), "{args:?}: {}", ran.out);
        assert!(
            ran.out.contains("[own, our sheet, 2026-03]"),
            "{args:?}: {}",
            ran.out
        );
        let built_in = ran.out.replace('\n', " ").contains("built");
        assert!(built_in, "{args:?} hides what is built in: {}", ran.out);
    }
}

#[test]
fn an_own_value_under_a_condition_leaves_the_plain_one_standing() {
    let text = format!("{VALUES}guar-gum,viscosity,4321,mPa s,concentration=1 %,,\n");
    let own = engine(&[("values.csv", &text)]);
    let plain = Engine::open(Files::embedded(), None).unwrap_or_else(|p| panic!("{p}"));
    let read = |e: &Engine, p: &str| {
        let key = e.catalogue.key("guar-gum").expect("there");
        e.catalogue.ingredient(key).number(p)
    };
    for p in ["water", "use_level", "hydration_temperature"] {
        assert_eq!(read(&own, p), read(&plain, p), "{p}");
    }
}

#[test]
fn empty_own_data_changes_no_answer() {
    let empty = fresh_folder("own-empty");
    let folder = empty.to_str().expect("UTF-8");
    let started = ran(tamis().args(["own", "--init", folder]));
    assert_eq!(started.code, Some(0), "{}", started.err);
    for args in [
        vec!["assess", "data/formulas/hazelnut-gelato.csv"],
        vec!["show", "E410"],
        vec!["find", "fat > 40 % and vegan"],
        vec![
            "ask",
            "swap sugar keeping sweetness",
            "--in",
            "data/formulas/sour-cherry-sorbet.csv",
        ],
        vec![
            "adjust",
            "data/formulas/hazelnut-gelato.csv",
            "--target",
            "fat 8",
        ],
    ] {
        let without = ran(tamis().args(&args));
        let with = with_own(&empty, &args);
        let (said, last) = with.out.split_at(without.out.len());
        assert_eq!(said, without.out, "{args:?}");
        // Which data was used is all there is more; a long path may wrap.
        assert!(
            last.trim_start().starts_with("own data:"),
            "{args:?}: {last}"
        );
        assert_eq!(with.code, without.code);
        let no_own = with_own(&empty, &[&args[..], &["--no-own"]].concat());
        assert_eq!(no_own.out, without.out, "{args:?}");
    }
}

#[test]
fn starting_own_data_overwrites_nothing() {
    let text = format!("{VALUES}sucrose,price,1,EUR/kg,,,\n");
    let folder = kitchen("own-init", &[("values.csv", &text)]);
    for _ in 0..2 {
        let said = ran(tamis().args(["own", "--init", folder.to_str().expect("UTF-8")]));
        assert_eq!(said.code, Some(0), "{}", said.err);
    }
    let kept = std::fs::read_to_string(folder.join("values.csv")).expect("read");
    assert_eq!(kept, text);
    assert!(folder.join("parts.csv").exists());
    assert_eq!(with_own(&folder, &["own"]).code, Some(0));
}

#[test]
fn the_usual_folder_is_found_by_itself() {
    let home = fresh_folder("own-home");
    let place = ran(tamis()
        .env_remove("TAMIS_OWN")
        .env("HOME", &home)
        .env("XDG_CONFIG_HOME", home.join(".config"))
        .arg("own"));
    let line = place.out.replace('\n', "");
    let (_, said) = line.split_once("by itself in").expect("a folder");
    let said = said.trim().trim_end_matches('.');
    assert!(Path::new(said).starts_with(&home), "{}", place.out);
    std::fs::create_dir_all(said).expect("made");
    let text = format!("{VALUES}sucrose,price,1,EUR/kg,,,\n");
    std::fs::write(Path::new(said).join("values.csv"), text).expect("written");
    let found = ran(tamis()
        .env_remove("TAMIS_OWN")
        .env("HOME", &home)
        .env("XDG_CONFIG_HOME", home.join(".config"))
        .args(["find", "price < 2"]));
    assert!(found.out.contains("Sugar"), "{}{}", found.out, found.err);
}

#[test]
fn nothing_is_free_of_what_an_own_ingredient_does_not_state() {
    let ingredients = format!(
        "{INGREDIENTS}silent-base,silent base,coconut,fat source\nspoken-base,spoken base,coconut,fat source\nhalf-base,half base,coconut,fat source\nmixed-base,mixed base,coconut,fat source\n"
    );
    // Made up, and closing to 100 g.
    let mut values = VALUES.to_string();
    for id in ["silent-base", "spoken-base", "half-base"] {
        for (part, grams) in [
            ("water", 50),
            ("fat", 30),
            ("protein", 5),
            ("carbohydrate_by_difference", 15),
        ] {
            values += &format!("{id},{part},{grams},g/100 g,,,\n");
        }
    }
    let own = engine(&[
        ("ingredients.csv", &ingredients),
        ("values.csv", &values),
        (
            "allergens.csv",
            "ingredient,substance,presence\nspoken-base,others,none by nature\nspoken-base,soy,contains\nhalf-base,soy,contains\n",
        ),
        (
            "parts.csv",
            "ingredient,part,grams\nmixed-base,water,500\nmixed-base,half base,100\nmixed-base,whole milk,1\n",
        ),
    ]);
    let ids = |text: &str| -> (Vec<String>, Vec<String>) {
        let request = tamis::engine::SearchRequest {
            condition: Some(text.into()),
            limit: 5000,
            ..Default::default()
        };
        let hits = own.search(&request).unwrap_or_else(|p| panic!("{p}"));
        (hits.hits.into_iter().map(|h| h.id).collect(), hits.unknown)
    };
    let (free, open) = ids("free of milk");
    assert!(
        free.contains(&"spoken-base".to_string()),
        "its list is said to be complete"
    );
    for id in ["silent-base", "half-base", "mixed-base"] {
        assert!(!free.contains(&id.to_string()), "{id}");
    }
    assert!(open.contains(&"silent-base".to_string()) && open.contains(&"half-base".to_string()));
    let (milk, _) = ids("contains milk");
    assert!(milk.contains(&"mixed-base".to_string()), "a part is milk");
    let (soy, _) = ids("contains soy");
    for id in ["spoken-base", "half-base", "mixed-base"] {
        assert!(soy.contains(&id.to_string()), "{id}");
    }
    let (nut_free, _) = ids("free of hazelnut");
    assert!(
        !nut_free.contains(&"mixed-base".to_string()),
        "a part leaves it open"
    );
    let mix = own
        .formula("mix.csv", b"ingredient,grams\nsilent base,50\nwater,50\n")
        .unwrap_or_else(|p| panic!("{p}"));
    let said = own
        .assess(&mix, AssessOptions::default())
        .allergens
        .join("\n");
    assert!(
        said.contains("unknown what else a list names: silent base"),
        "{said}"
    );
}

#[test]
fn a_whole_is_its_parts() {
    let own = engine(&[
        (
            "ingredients.csv",
            &format!(
                "{INGREDIENTS}gum-blend,gum blend,stabiliser,stabilizer\nhouse-base,house base,milk,liquid\n"
            ),
        ),
        (
            "parts.csv",
            "ingredient,part,grams\ngum-blend,locust bean gum,60\ngum-blend,guar gum,40\nhouse-base,whole milk,700\nhouse-base,sugar,150\nhouse-base,gum blend,5\nhouse-base,glucose-syrup-de42,145\n",
        ),
    ]);
    let read = |text: &str| {
        let formula = own
            .formula("mix.csv", text.as_bytes())
            .unwrap_or_else(|p| panic!("{p}"));
        own.assess(&formula, AssessOptions::default())
    };
    let whole = read("ingredient,grams\nhouse base,500\nhazelnut-paste,50\n");
    // 500 g of 1000 g of parts, half of each.
    let parts = read(
        "ingredient,grams\nwhole-milk,350\nsucrose,75\nlocust-bean-gum,1.5\nguar-gum,1\nglucose-syrup-de42,72.5\nhazelnut-paste,50\n",
    );
    let near = |a: f64, b: f64, what: &str| assert!((a - b).abs() < 1e-6, "{what}: {a} {b}");
    near(
        whole.sweetness_percent,
        parts.sweetness_percent,
        "sweetness",
    );
    near(
        whole.freezing_point_celsius.unwrap_or(0.0),
        parts.freezing_point_celsius.unwrap_or(1.0),
        "freezing point",
    );
    near(
        whole.composition.fat_percent,
        parts.composition.fat_percent,
        "fat",
    );
    near(
        whole.composition.msnf_percent,
        parts.composition.msnf_percent,
        "msnf",
    );
    near(
        whole.stabiliser_percent,
        parts.stabiliser_percent,
        "stabiliser",
    );
    near(
        whole.energy_kcal_per_100_g,
        parts.energy_kcal_per_100_g,
        "energy",
    );
    for (id, doubt) in &parts.uncertainty {
        near(whole.uncertainty[id].plus_minus, doubt.plus_minus, id);
    }
    let rules = |a: &tamis::answer::Assessment| {
        let findings = a.findings.iter().map(|f| f.id.clone());
        let mut all: Vec<String> = findings
            .chain(a.process.iter().map(|s| s.rule.clone()))
            .collect();
        all.sort();
        all
    };
    assert_eq!(
        rules(&whole),
        rules(&parts),
        "rules see what is in the base"
    );
    let key = own.catalogue.key("house-base").expect("there");
    let base = own.catalogue.ingredient(key);
    let gum = own.catalogue.key("locust-bean-gum").expect("there");
    assert_eq!(
        base.number("hydration_temperature"),
        own.catalogue
            .ingredient(gum)
            .number("hydration_temperature"),
        "the last part to hydrate decides"
    );
    assert_eq!(base.text("vegan"), Some("no"));
}

#[test]
fn what_a_batch_costs_is_the_sum_of_its_lines() {
    let out = json(Path::new(KITCHEN), &["assess", ICE]);
    // By hand: 190 g at 9.80, 120 g at 0.95, 40 g at 1.40, 50 g at 1.90, 3.5 g at 21.50, 1.5 g at 0.60.
    let euro = 1.862 + 0.114 + 0.056 + 0.095 + 0.07525 + 0.0009;
    let cost = &out["cost"];
    assert!(
        (cost["batch"].as_f64().expect("known") - euro).abs() < 1e-9,
        "{cost}"
    );
    assert!(
        (cost["per_kg"].as_f64().expect("known") - euro).abs() < 1e-9,
        "{cost}"
    );
    assert_eq!(cost["unit"], "EUR/kg");
}

#[test]
fn a_price_that_lacks_is_named_and_never_guessed() {
    let text = format!("{VALUES}sucrose,price,1,EUR/kg,,,\nwater,price,0,EUR/kg,,,\n");
    let folder = kitchen("own-lacking", &[("values.csv", &text)]);
    let sorbet = "data/formulas/sour-cherry-sorbet.csv";
    let out = json(&folder, &["assess", sorbet]);
    assert_eq!(out["cost"]["known_ingredients"], 2);
    assert_eq!(out["cost"]["per_kg"], Value::Null);
    let lacking = out["cost"]["lacking"].to_string();
    assert!(
        lacking.contains("guar-gum") && !lacking.contains("sucrose"),
        "{lacking}"
    );
    for args in [
        vec!["swap", sorbet, "--replace", "sucrose", "--lower", "price"],
        vec!["ask", "make it cheaper", "--in", sorbet],
    ] {
        let ran = with_own(&folder, &args);
        assert_eq!(ran.code, Some(1), "{args:?}: {}", ran.out);
        assert!(ran.out.contains("guar-gum"), "{args:?}: {}", ran.out);
        let without = program::run(&args);
        assert_eq!(without.code, Some(1));
        assert!(
            without.out.contains("tamis own --init"),
            "{args:?}: {}",
            without.out
        );
    }
}

#[test]
fn a_price_that_is_asked_for_is_kept_to() {
    let swap = ["swap", ICE, "--replace", "coconut-milk-powder"];
    for limit in ["price 2.15", "price 2.1"] {
        let asked = [&swap[..], &["--keep", "fat", "--not-over", limit]].concat();
        let out = json(Path::new(KITCHEN), &asked);
        let most: f64 = limit[6..].parse().expect("a number");
        let options = out["options"].as_array().expect("options");
        assert!(!options.is_empty(), "{limit}");
        for option in options {
            let price = option["after"]["cost"]["per_kg"].as_f64().expect("known");
            // Hard limits forgive a fiftieth of the tolerance, which is a fiftieth of the price.
            assert!(price <= most * 1.001, "{limit}: {price}");
            assert!(option["confidence"].as_f64() > Some(0.5), "{option}");
        }
        let assumed = out["assumed"].to_string();
        assert!(
            assumed.contains("without a known price are left out"),
            "{assumed}"
        );
    }
    // A newcomer's own price may be asked for; the shelf holds nothing so cheap.
    let cheap = [&swap[..], &["--from-shelf", "--newcomers", "price < 3"]].concat();
    for option in json(Path::new(KITCHEN), &cheap)["options"]
        .as_array()
        .expect("options")
    {
        let came = option["ingredients"].to_string();
        assert!(
            !came.contains("coconut-oil") && !came.contains("inulin"),
            "{came}"
        );
    }
}

#[test]
fn the_shelf_of_the_own_data_serves() {
    let swap = [
        "swap",
        ICE,
        "--replace",
        "coconut-milk-powder",
        "--keep",
        "fat",
        "--from-shelf",
    ];
    let out = json(Path::new(KITCHEN), &swap);
    let shelf = std::fs::read_to_string("data/kitchen/shelf.csv").expect("read");
    for option in out["options"].as_array().expect("options") {
        for came in option["ingredients"].as_array().expect("newcomers") {
            let id = came["id"].as_str().expect("an id");
            assert!(shelf.contains(&format!("\n{id},")), "{id}");
        }
    }
    let none = program::run(&[
        "swap",
        "data/formulas/coconut-lime-ice.csv",
        "--replace",
        "coconut-milk-18-fat",
        "--from-shelf",
    ]);
    assert_eq!(none.code, Some(2));
    assert!(none.err.contains("shelf.csv"), "{}", none.err);
}

#[test]
fn a_changed_table_is_seen_and_the_old_cache_goes() {
    let cache = fresh_folder("own-cache");
    let folder = kitchen("own-changing", &[]);
    let price = |text: &str| {
        std::fs::write(
            folder.join("values.csv"),
            format!("{VALUES}sucrose,price,{text},EUR/kg,,,\n"),
        )
        .expect("written");
        let out = ran(tamis()
            .env("TAMIS_CACHE", &cache)
            .env("TAMIS_OWN", &folder)
            .args(["find", "price > 0", "--json"]));
        let out: Value =
            serde_json::from_str(&out.out).unwrap_or_else(|e| panic!("{e}: {}", out.err));
        out["hits"][0]["values"]["price"].as_f64()
    };
    for _ in 0..2 {
        assert_eq!(price("0.9"), Some(0.9));
        assert_eq!(price("1.1"), Some(1.1));
    }
    // A wrong table is refused and leaves what was built alone.
    std::fs::write(folder.join("values.csv"), "ingredient,property\n").expect("written");
    let refused = ran(tamis()
        .env("TAMIS_CACHE", &cache)
        .env("TAMIS_OWN", &folder)
        .args(["show", "E410"]));
    assert_eq!(refused.code, Some(2));
    assert_eq!(refused.out, "");
    let left = std::fs::read_dir(&cache).expect("a folder").count();
    assert_eq!(left, 1, "one cache per own folder");
}

#[test]
fn what_is_built_is_what_was_read() {
    let own = Own::read(&Path::new(env!("CARGO_MANIFEST_DIR")).join(KITCHEN)).expect("tables");
    let files = Files::embedded().with_own(own);
    let catalogue = tamis::load::catalogue(&files).unwrap_or_else(|p| panic!("{p}"));
    let path = fresh_folder("own-store").join("store.sqlite");
    tamis::store::write(&path, &catalogue, &files).expect("written");
    // Text that is read anew at each start is no part of the store.
    let mut back = tamis::store::read(&path, &files.version).expect("read");
    tamis::load::of_texts(&files, &mut back).unwrap_or_else(|p| panic!("{p}"));
    assert!(back == catalogue);
    assert!(!back.shelf.is_empty());
}

#[test]
fn an_export_marks_what_is_own() {
    let ran = with_own(
        Path::new(KITCHEN),
        &["export", "--where", "this is coconut-milk-powder"],
    );
    let standing = |wanted: &str| ran.out.lines().filter(|l| l.ends_with(wanted)).count();
    // Fat, protein, carbohydrate and price; of the first three something is built in.
    assert_eq!(standing(",own"), 4, "{}", ran.out);
    assert!(standing(",overruled") >= 3, "{}", ran.out);
    assert!(
        !program::run(&["export", "--where", "this is water"])
            .out
            .contains("standing")
    );
}

#[test]
fn wrong_own_data_is_refused_with_its_places_and_a_way_out() {
    let table: &[(&str, &str, &[&str])] = &[
        ("values.csv", "", &["D004"]),
        ("values.csv", "ingredient,value\nsucrose,1\n", &["D002"]),
        (
            "values.csv",
            "ingredient,property,typical,unit\nsucrse,price,1,EUR/kg\nsucrose,pryce,1,EUR/kg\nsucrose,price,cheap,EUR/kg\nsucrose,price,1,EUR\nsucrose,fat,1,%\n",
            &[
                "values.csv:2:1: error[D011]",
                "values.csv:3:9: error[D020]",
                "values.csv:4:15: error[D005]",
                "values.csv:5:17: error[D021]",
                "values.csv:6:15: error[D021]",
            ],
        ),
        (
            "values.csv",
            "ingredient,property,typical,unit\nsucrose,price,-1,EUR/kg\n",
            &["values.csv:2: error[D040]"],
        ),
        (
            "values.csv",
            "ingredient,property,typical,unit\nhazelnut-paste,fat,20,g/100 g\n",
            &["values.csv:2: error[D045]", "from one sheet"],
        ),
        (
            "values.csv",
            "ingredient,property,typical,unit,source\nsucrose,price,1,EUR/kg,my invoice\n",
            &["D012", "leave it empty"],
        ),
        (
            "ingredients.csv",
            "id,name,family,functions\nsucrose,sugar,sugar,sweetener\n",
            &["D008", "values.csv"],
        ),
        (
            "ingredients.csv",
            "id,name,family,functions\nmy-oil,my oil,fat,fat source\n",
            &["ingredients.csv:2: error[D045]"],
        ),
        (
            "allergens.csv",
            "ingredient,substance,presence\nsucrose,milk,perhaps\n",
            &["D014"],
        ),
        (
            "parts.csv",
            "ingredient,part,grams\nsucrose,water,1\n",
            &["D061"],
        ),
        (
            "shelf.csv",
            "ingredient\nsucrse\n",
            &["shelf.csv:2:1: error[D011]"],
        ),
        (
            "prices.csv",
            "ingredient,price\nsucrose,1\n",
            &["D064", "values.csv"],
        ),
    ];
    for (n, (name, text, told)) in table.iter().enumerate() {
        let folder = kitchen(&format!("own-wrong-{n}"), &[(name, text)]);
        let ran = with_own(&folder, &["show", "E410"]);
        assert_eq!(ran.code, Some(2), "{name} {text}: {}", ran.out);
        assert_eq!(ran.out, "");
        for said in told.iter().chain(&["--no-own"]) {
            assert!(
                ran.err.contains(said),
                "{name} {text}: {said} is not in {}",
                ran.err
            );
        }
        assert_eq!(
            with_own(&folder, &["show", "E410", "--no-own"]).code,
            Some(0)
        );
    }
    let folder = kitchen("own-bytes", &[]);
    std::fs::write(folder.join("values.csv"), [0xff, 0xfe, 0x00]).expect("written");
    assert!(with_own(&folder, &["own"]).err.contains("UTF-8"));
    let gone = with_own(&folder.join("nowhere"), &["own"]);
    assert_eq!(gone.code, Some(2));
    assert!(gone.err.contains("tamis own --init"), "{}", gone.err);
}
