//! Whole answers: what must go is gone from every weigh list, whatever the formula and whatever goes.

mod opened;

use std::collections::BTreeSet;
use tamis::answer::{Answer, Asked, Kind, OptionOut};
use tamis::condition::{self, Facts, Truth, judge};
use tamis::formula::{Formula, Part};

use opened::engine;

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
            if asked.kind != Kind::Swap {
                continue;
            }
            read += 1;
            // What a law exempts from being declared as gluten stays, told by name; so does what only may
            // be it, with its label to read.
            let told = |name: &str| {
                let mut each = asked.assumed.iter().chain([&asked.ask, &asked.summary]);
                each.any(|a| {
                    (a.starts_with("what stays") || a.contains("read the label"))
                        && a.contains(name)
                })
            };
            let complies = |id: &str| {
                let key = engine().catalogue.key(id).expect("an id");
                let ingredient = engine().catalogue.ingredient(key);
                judge(&wanted, &Facts::of(&engine().catalogue, ingredient)) == Truth::Yes
                    || told(&ingredient.name)
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
        read > 150 && answered > 80,
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

/// An egg ice cream with rum and vanilla, a gellan-set drink, a leaf-set yogurt and a strained yogurt, invented.
const KITCHEN: [(&str, &str); 4] = [
    (
        "rum",
        "ingredient,grams\nwhole-milk,560\ncream-35-fat,180\negg-yolk,60\nsucrose,150\nrum-dark-40,40\nvanilla-extract,10\n",
    ),
    (
        "gellan",
        "ingredient,grams\nwhole-milk,900\nsucrose,90\nlow-acyl-gellan,2\n",
    ),
    (
        "leaf",
        "ingredient,grams\nyogurt-plain-whole,500\ncream-35-fat,200\nsucrose,100\nwater,192\ngelatin-leaf,8\n",
    ),
    (
        "strained",
        "ingredient,grams\ngreek-yogurt-nonfat,500\nwhole-milk,300\nsucrose,150\ndextrose-monohydrate,50\n",
    ),
];

fn kitchen(name: &str) -> Formula {
    let found = KITCHEN.iter().find(|(n, _)| *n == name);
    mix(found.expect("a formula").1)
}

fn ids(option: &OptionOut) -> Vec<&str> {
    let weighed = option.formula.iter().filter(|a| a.grams > 0.0);
    weighed.map(|a| a.id.as_str()).collect()
}

#[test]
fn what_goes_without_goes_in_every_form() {
    // The question, the formula, what must go, and beginnings of ids that may not be weighed.
    let gums = [
        "carboxymethyl",
        "kappa",
        "hm-pectin",
        "lm-",
        "agar",
        "low-acyl",
        "high-acyl",
    ];
    let soft = mix(MORE[0]);
    let rows: [(&str, &Formula, &[&str], &[&str]); 4] = [
        (
            "without gums",
            &soft,
            &["carboxymethyl-cellulose", "kappa-carrageenan"],
            &gums,
        ),
        (
            "without gums",
            &kitchen("gellan"),
            &["low-acyl-gellan"],
            &gums,
        ),
        (
            "without gelatin",
            &kitchen("leaf"),
            &["gelatin-leaf"],
            &["gelatin", "fish-gelatin", "jelly"],
        ),
        (
            "without alcohol",
            &kitchen("rum"),
            &["rum-dark-40", "vanilla-extract"],
            &["vanilla-extract", "peppermint-extract"],
        ),
    ];
    for (question, formula, gone, barred) in rows {
        let asked = engine().ask(question, Some(formula));
        assert!(!options(&asked).is_empty(), "{question}");
        for option in options(&asked) {
            for id in gone {
                assert!(
                    option.removed.iter().any(|a| a.id == *id),
                    "{question}: {id} is not said to go"
                );
            }
            for id in ids(option) {
                assert!(
                    !barred.iter().any(|b| id.starts_with(b)),
                    "{question}: {id} is weighed"
                );
            }
        }
    }
    let none = engine().ask("without gelatin", Some(&kitchen("rum")));
    assert!(options(&none).is_empty());
    assert!(none.assumed.iter().any(|a| a.starts_with("nothing in")));
}

#[test]
fn the_headline_is_the_first_option() {
    let mut formulas = demo();
    formulas.extend(KITCHEN.map(|(name, csv)| (name.to_string(), mix(csv))));
    let mut headed = 0;
    for (name, formula) in &formulas {
        for question in ["without milk", "without egg", "make it vegan"] {
            let asked = engine().ask(question, Some(formula));
            let Some(swap) = asked.swap.filter(|s| !s.direct.is_empty()) else {
                continue;
            };
            let first = &swap.options[0];
            headed += 1;
            for amount in &first.ingredients {
                let said = format!("g {}", amount.name);
                assert!(swap.direct.contains(&said), "{question} in {name}: {said}");
            }
        }
    }
    assert!(headed > 10, "{headed}");
}

#[test]
fn no_flour_glue_or_shred_stands_in_for_milk() {
    // Source of the list: common-practice; each is grit, glue or broth in a frozen mix.
    let unfit = [
        "collagen-hydrolysate",
        "soy-flour-defatted",
        "vital-wheat-gluten",
        "textured-soy-protein",
        "toasted-coconut",
        "acid-casein",
        "calcium-caseinate",
    ];
    let mut formulas = demo();
    formulas.extend(MORE.map(|csv| ("invented".to_string(), mix(csv))));
    formulas.extend(KITCHEN.map(|(name, csv)| (name.to_string(), mix(csv))));
    for (name, formula) in &formulas {
        for question in ["without milk", "make it vegan"] {
            for option in options(&engine().ask(question, Some(formula))) {
                for brought in &option.ingredients {
                    assert!(
                        !unfit.contains(&brought.id.as_str()),
                        "{question} in {name}: {}",
                        brought.id
                    );
                }
            }
        }
    }
}

#[test]
fn cultured_milk_and_vanilla_are_answered_by_what_does_their_job() {
    // The leaver and its first stand-in. Source: common-practice.
    for (leaver, stand_in) in [
        ("buttermilk", "kefir"),
        ("vanilla extract", "vanilla-paste"),
        ("baking soda", "baking-powder"),
    ] {
        let asked = engine().ask(&format!("replace {leaver}"), None);
        let first = options(&asked).first().expect("an option");
        assert_eq!(first.ingredients[0].id, stand_in, "{leaver}");
    }
    let vegan = engine().ask("make it vegan", Some(&kitchen("strained")));
    let first = options(&vegan).first().expect("an option");
    assert!(
        ids(first).contains(&"lemon-juice"),
        "the sourness is kept: {:?}",
        ids(first)
    );
}

#[test]
fn an_opposite_is_refused() {
    for pair in [
        "citric acid with baking soda",
        "baking soda with citric acid",
    ] {
        let asked = engine().ask(&format!("replace {pair}"), None);
        let swap = asked.swap.as_ref().expect("an answer");
        assert!(swap.options.is_empty() && swap.nearest.is_empty(), "{pair}");
        assert!(
            swap.why_none.iter().any(|w| w.text.contains("opposite")),
            "{pair}"
        );
        assert_eq!(Answer::Asked(Box::new(asked)).exit_code(), 1, "{pair}");
    }
}

#[test]
fn emulsifiers_are_those_put_in_to_emulsify() {
    let asked = engine().ask("without emulsifiers", Some(&mix(MORE[0])));
    let first = options(&asked).first().expect("an option");
    let gone: Vec<&str> = first.removed.iter().map(|a| a.id.as_str()).collect();
    assert_eq!(gone, ["mono-and-diglycerides", "polysorbate-80"]);
}

#[test]
fn what_a_law_exempts_stays_and_is_told_unless_strictly() {
    let soft = mix(MORE[0]);
    let asked = engine().ask("without gluten", Some(&soft));
    assert!(options(&asked).is_empty());
    assert!(
        asked
            .assumed
            .iter()
            .any(|a| a.contains("exempt from the declaration in the EU"))
    );
    for strictly in ["strictly without gluten", "gluten free for a coeliac guest"] {
        let strict = engine().ask(strictly, Some(&soft));
        assert!(
            strict
                .assumed
                .iter()
                .any(|a| a.starts_with("what goes: dextrose")),
            "{:?}",
            strict.assumed
        );
    }
}

/// In a dish that is not frozen, firmer and softer speak of what sets it, never of ice.
#[test]
fn firmer_moves_what_sets_a_dish_that_is_not_frozen() {
    let jelly = "ingredient,grams\nstrawberry-puree,600\nwater,230\nsucrose,160\nagar-powder,10\n";
    let cream = "ingredient,grams\nwhole-milk,640\negg-yolk,140\nsucrose,140\nmaize-starch,50\n";
    for (text, name, words, agent, more) in [
        (jelly, "fruit jelly", "make it softer", "agar-powder", false),
        (jelly, "fruit jelly", "make it firmer", "agar-powder", true),
        (
            cream,
            "pastry cream",
            "make it firmer",
            "maize-starch",
            true,
        ),
    ] {
        let mut formula = mix(text);
        formula.name = name.into();
        let asked = engine().ask(words, Some(&formula));
        let option = options(&asked).first().expect("an answer");
        let key = engine().catalogue.key(agent).expect("an id");
        let held = option.formula.iter().find(|a| a.id == agent);
        let held = held.map_or(0.0, |a| a.grams);
        assert_eq!(
            held > formula.grams_of(key),
            more,
            "{name}: {words}: {held}"
        );
        assert!((held - formula.grams_of(key)).abs() > 0.1 * formula.grams_of(key));
    }
}
