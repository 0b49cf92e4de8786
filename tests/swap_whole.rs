//! Whole answers: what must go is gone from every weigh list, whatever the formula and whatever goes.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use tamis::answer::{Answer, Asked, OptionOut};
use tamis::condition::{self, Facts, Truth, judge};
use tamis::engine::Engine;
use tamis::formula::{Formula, Part};
use tamis::load::Files;

fn engine() -> &'static Engine {
    static ENGINE: OnceLock<Engine> = OnceLock::new();
    ENGINE.get_or_init(|| Engine::open(Files::embedded(), None).expect("the data is sound"))
}

fn mix(csv: &str) -> Formula {
    engine()
        .formula("mix.csv", csv.as_bytes())
        .unwrap_or_else(|p| panic!("{p}"))
}

fn demo() -> Vec<(String, Formula)> {
    let mut files: Vec<_> = std::fs::read_dir("data/formulas")
        .expect("the demo formulas")
        .map(|f| f.expect("a file").path())
        .collect();
    files.sort();
    let read = |path: &std::path::PathBuf| {
        let bytes = std::fs::read(path).expect("a formula");
        let name = path.display().to_string();
        let formula = engine().formula(&name, &bytes);
        (name, formula.unwrap_or_else(|p| panic!("{p}")))
    };
    files.iter().map(read).collect()
}

/// A soft serve and a low-sugar gelato, invented: two emulsifiers, egg, milk and polyols.
const MORE: [&str; 2] = [
    "ingredient,grams\nwhole-milk,680\ncream-35-fat,60\nskimmed-milk-powder,65\nsucrose,120\ndextrose-monohydrate,30\nglucose-syrup-de42,40\ncarboxymethyl-cellulose,2\nkappa-carrageenan,0.2\nmono-and-diglycerides,2\npolysorbate-80,0.3\n",
    "ingredient,grams\nwhole-milk,600\ncream-35-fat,150\nskimmed-milk-powder,40\nerythritol,60\nmaltitol,60\npolydextrose,50\ninulin-native,30\negg-yolk,30\ntara-gum,2\ngelatin-powder,3\n",
];

/// What must go, as a condition, and what must hold of everything weighed.
fn exclusions() -> Vec<(String, String)> {
    let substances: BTreeSet<&str> = engine()
        .catalogue
        .allergen_lists
        .iter()
        .map(|l| l.substance.as_str())
        .collect();
    let mut all: Vec<(String, String)> = substances
        .into_iter()
        .map(|s| (format!("contains {s}"), format!("free of {s}")))
        .collect();
    for family in [
        "stabiliser",
        "emulsifier",
        "egg",
        "alcohol",
        "gelling-agent",
    ] {
        all.push((
            format!("this is family {family}"),
            format!("not this is family {family}"),
        ));
    }
    all.push((
        "this is gelatin-powder".into(),
        "not this is gelatin-powder".into(),
    ));
    all.push(("not vegan".into(), "vegan".into()));
    all
}

#[test]
fn no_weigh_list_holds_what_must_go() {
    let mut formulas = demo();
    formulas.extend(MORE.map(|csv| ("invented".to_string(), mix(csv))));
    let (mut answered, mut read) = (0, 0);
    for (goes, stays) in exclusions() {
        let text = format!("swap whatever: {goes}; newcomers {stays}");
        let Ok(wanted) = condition::parse(&stays, &engine().catalogue) else {
            continue;
        };
        for (name, formula) in &formulas {
            let asked = engine().ask(&text, Some(formula));
            if asked.kind != "swap" {
                continue;
            }
            read += 1;
            let complies = |id: &str| {
                let key = engine().catalogue.key(id).expect("an id");
                let ingredient = engine().catalogue.ingredient(key);
                judge(&wanted, &Facts::of(&engine().catalogue, ingredient)) == Truth::Yes
            };
            let before = formula
                .lines
                .iter()
                .all(|l| complies(&engine().catalogue.ingredient(l.key).id));
            let Some(swap) = &asked.swap else {
                assert!(before, "{text} in {name}: no answer");
                continue;
            };
            for option in swap.options.iter().chain(&swap.nearest) {
                for line in option.formula.iter().filter(|a| a.grams > 0.0) {
                    assert!(
                        complies(&line.id),
                        "{text} in {name}: {} is weighed",
                        line.id
                    );
                }
                assert!(!option.formula.is_empty(), "{text} in {name}");
                answered += 1;
            }
            if swap.options.is_empty() && !before {
                assert!(
                    swap.left.iter().any(|l| l.still_in),
                    "{text} in {name}: not said"
                );
                assert_eq!(
                    Answer::Asked(Box::new(asked)).exit_code(),
                    1,
                    "{text} in {name}"
                );
            }
        }
    }
    assert!(
        read > 150 && answered > 150,
        "{read} read, {answered} options"
    );
}

fn weight(option: &OptionOut) -> f64 {
    option.formula.iter().map(|a| a.grams).sum()
}

fn options(asked: &Asked) -> &[OptionOut] {
    asked.swap.as_ref().map_or(&[], |s| &s.options)
}

#[test]
fn sour_for_sour_keeps_the_acid_and_brings_no_salt() {
    for acid in [
        "lemon-juice",
        "lime-juice",
        "citric-acid",
        "distilled-vinegar",
        "malic-acid",
    ] {
        let grams = if acid.ends_with("acid") { 3.0 } else { 40.0 };
        let formula = mix(&format!(
            "ingredient,grams\nwater,600\nstrawberry-puree,200\nsucrose,180\n{acid},{grams}\n"
        ));
        let asked = engine().ask(&format!("replace {acid}"), Some(&formula));
        assert!(options(&asked).len() > 2, "{acid}");
        let citric = |o: &OptionOut| {
            o.ingredients
                .iter()
                .any(|a| a.id.starts_with("citric-acid") || a.id == "malic-acid")
        };
        assert!(
            options(&asked).iter().take(4).any(citric),
            "{acid}: no citric acid among the first"
        );
        for option in options(&asked) {
            // Cream of tartar states no acid: its ratio stands, its acidity is not told.
            let Some((was, is)) = option.acidity else {
                let told = |a: &tamis::answer::Amount| a.id != "cream-of-tartar";
                assert!(!option.ingredients.iter().all(told), "{acid}: no acidity");
                continue;
            };
            assert!(
                (is - was).abs() < 0.12 * was,
                "{acid} by {:?}: {was} to {is}",
                option.ingredients
            );
            for newcomer in &option.ingredients {
                let key = engine().catalogue.key(&newcomer.id).expect("an id");
                assert_ne!(engine().catalogue.ingredient(key).family, "salt", "{acid}");
            }
        }
    }
}

#[test]
fn a_swap_by_job_keeps_the_batch() {
    for (name, formula) in demo() {
        for line in &formula.merged().lines {
            let ingredient = engine().catalogue.ingredient(line.key);
            if !["stabiliser", "egg", "emulsifier", "starch"].contains(&ingredient.family.as_str())
            {
                continue;
            }
            let asked = engine().ask(&format!("swap {}", ingredient.id), Some(&formula));
            for option in options(&asked).iter().filter(|o| !o.jobs.is_empty()) {
                let (was, is) = (formula.grams(), weight(option));
                assert!(
                    (was - is).abs() < 0.01,
                    "{} in {name}: {was} to {is} g",
                    ingredient.id
                );
            }
        }
    }
}

/// A question on a dish that is not frozen, and the job its answers must do.
const DISHES: &[(&str, &str)] = &[
    ("cornstarch substitute in a sauce", "thickener"),
    ("substitute for gelatin in panna cotta", "gelling agent"),
    ("replace egg white in meringue", "foaming agent"),
    ("replace butter in pastry cream", ""),
];

#[test]
fn a_dish_that_is_not_frozen_is_answered_by_ratio() {
    for (text, job) in DISHES {
        let asked = engine().ask(text, None);
        assert!(!options(&asked).is_empty(), "{text}");
        for option in options(&asked) {
            assert!(
                option.after.is_none() && option.formula.is_empty(),
                "{text}"
            );
            assert!(
                job.is_empty() || option.jobs.iter().any(|j| j == job),
                "{text}: {:?}",
                option.jobs
            );
        }
    }
}

#[test]
fn a_gel_that_sets_is_not_answered_with_what_only_thickens() {
    let panna =
        mix("ingredient,grams\ncream-35-fat,500\nwhole-milk,400\nsucrose,90\ngelatin-powder,8\n");
    let asked = engine().ask("swap gelatin-powder", Some(&panna));
    assert!(!options(&asked).is_empty());
    for option in options(&asked) {
        assert_eq!(option.jobs, ["gelling agent"], "{:?}", option.ingredients);
    }
}

#[test]
fn a_yolk_is_answered_whole_before_job_by_job() {
    for (name, formula) in demo()
        .iter()
        .filter(|(n, _)| n.contains("reference-ice-cream"))
    {
        let asked = engine().ask("swap egg-yolk", Some(formula));
        let first = options(&asked).first().expect("an option");
        assert!(first.jobs.len() >= 3, "{name}: {:?}", first.jobs);
        let others = &asked.swap.as_ref().expect("a swap").others;
        assert!(others.iter().any(|o| o.jobs == ["emulsifier"]), "{name}");
    }
}

#[test]
fn starch_is_no_gum() {
    let sauce = mix("ingredient,grams\nwhole-milk,600\nwater,300\nbutter,40\nmaize-starch,35\n");
    let state = engine().quick(&sauce);
    assert_eq!(state.stabiliser_percent, 0.0);
    for id in [
        "potato-starch",
        "tapioca-starch",
        "arrowroot",
        "rice-starch",
        "wheat-flour",
    ] {
        let key = engine().catalogue.key(id).expect("an id");
        let starch = engine().assessor().profile(key).number(Part::Starch);
        assert!(starch > 0.5, "{id}: {starch} g/g");
    }
}

#[test]
fn no_option_is_shown_twice() {
    let lists = |asked: &Asked| -> Vec<Vec<(String, String)>> {
        let list = |o: &OptionOut| {
            let mut each: Vec<_> = o
                .formula
                .iter()
                .map(|a| (a.id.clone(), format!("{:.3}", a.grams)))
                .collect();
            each.sort();
            each
        };
        options(asked).iter().map(list).collect()
    };
    for (name, formula) in demo() {
        for text in [
            "replace the cream with coconut oil",
            "make it vegan",
            "swap sucrose for allulose",
        ] {
            let lists = lists(&engine().ask(text, Some(&formula)));
            let once: BTreeSet<_> = lists.iter().collect();
            assert_eq!(once.len(), lists.len(), "{text} in {name}");
        }
    }
}
