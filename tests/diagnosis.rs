//! Causes of a fault on a formula: what counts as shown, what the fix does, what a dish rules out.

mod opened;

use tamis::answer::{Cause, Verdict};
use tamis::formula::Formula;
use tamis::model::{DishKind, RuleKind, rule::Direction};

use opened::engine;

fn formula(csv: &str) -> Formula {
    engine()
        .formula("mix.csv", csv.as_bytes())
        .unwrap_or_else(|p| panic!("{p}"))
}

fn symptoms() -> Vec<String> {
    let mut all: Vec<String> = vec![];
    for rule in &engine().catalogue.rules {
        if let RuleKind::Diagnosis { symptom, .. } = &rule.kind
            && !all.contains(symptom)
        {
            all.push(symptom.clone());
        }
    }
    all
}

/// The example formulas, and mixes that go wrong in a known way.
fn formulas() -> Vec<Formula> {
    let wrong = [
        "ingredient,grams\nwhole-milk,600\ncream-35-fat,150\nskimmed-milk-powder,40\nerythritol,60\nmaltitol,60\npolydextrose,50\n",
        "ingredient,grams\nwater,800\nsucrose,120\nlemon-juice,80\n",
        "ingredient,grams\nwater,400\norange-juice,300\nsucrose,180\ndextrose-monohydrate,100\nvodka-40,80\n",
        "ingredient,grams\nwhole-milk,600\ncream-35-fat,100\nskimmed-milk-powder,120\nsucrose,150\nlocust-bean-gum,8\n",
        "ingredient,grams\nwater,700\nsunflower-oil,100\nsucrose,180\npea-protein-isolate,20\n",
    ];
    let mut all: Vec<Formula> = std::fs::read_dir("data/formulas")
        .expect("the formulas")
        .map(|entry| entry.expect("an entry").path())
        .map(|path| formula(&std::fs::read_to_string(path).expect("a formula")))
        .collect();
    all.extend(wrong.iter().map(|csv| formula(csv)));
    all
}

fn each(check: impl Fn(&Formula, &Cause)) {
    for formula in formulas() {
        for symptom in symptoms() {
            for cause in engine().diagnose(std::slice::from_ref(&symptom), "", Some(&formula)) {
                check(&formula, &cause);
            }
        }
    }
}

#[test]
fn the_grams_exchange_what_the_rule_names_and_move_its_dial_towards_the_usual() {
    each(|_, cause| {
        // What a complaint of a frozen mix is corrected by rests on the table of softness, no rule.
        if cause.rule == "softness-by-class" {
            return;
        }
        let rule = engine()
            .catalogue
            .rules
            .iter()
            .find(|r| r.id == cause.rule)
            .expect("a rule");
        let RuleKind::Diagnosis { lever, .. } = &rule.kind else {
            panic!("{}: no diagnosis", cause.rule);
        };
        if cause.grams.is_empty() {
            return;
        }
        let lever = lever.as_ref().expect("grams without a lever");
        let sum: f64 = cause.grams.iter().map(|a| a.grams).sum();
        assert!(sum.abs() < 1e-6, "{}: the batch changes", cause.rule);
        for amount in &cause.grams {
            let key = engine().catalogue.key(&amount.id).expect("an ingredient");
            let ingredient = engine().catalogue.ingredient(key);
            let named = match amount.grams > 0.0 {
                true => lever.newcomers.is_empty() || lever.newcomers.contains(&amount.id),
                false => {
                    lever.out.is_empty()
                        || !cause.lacking.is_empty()
                        || lever
                            .out
                            .iter()
                            .any(|g| tamis::condition::belongs(ingredient, g))
                }
            };
            assert!(named, "{}: {} is not in its fix", cause.rule, amount.id);
        }
        if let (Some((dial, direction)), Some(first)) = (lever.dial, cause.effect.first()) {
            assert_eq!(first.property, dial.id());
            let moved = first.after - first.before;
            match direction {
                Direction::Higher => assert!(moved > 0.0, "{}: {moved}", cause.rule),
                Direction::Lower => assert!(moved < 0.0, "{}: {moved}", cause.rule),
            }
        }
    });
}

#[test]
fn a_figure_outside_its_usual_range_is_never_called_unlikely_without_a_word() {
    each(|formula, cause| {
        if cause.verdict != Verdict::NotFound || cause.shown_by.is_empty() {
            return;
        }
        // `sugars 5.84 %, usual 17 to 23 in a dairy ice cream`
        let numbers: Vec<f64> = cause
            .shown_by
            .split([' ', ':'])
            .filter_map(|word| word.parse().ok())
            .collect();
        let [.., figure, low, high] = numbers[..] else {
            panic!("{}: `{}`", cause.rule, cause.shown_by);
        };
        let within = low - 0.005 <= figure && figure <= high + 0.005;
        assert!(
            within || cause.shown_by.contains("errs the other way"),
            "{} in {}: {}",
            cause.rule,
            formula.name,
            cause.shown_by
        );
    });
}

#[test]
fn every_fault_of_every_formula_leads_to_something_to_do() {
    for formula in formulas() {
        for symptom in symptoms() {
            let causes = engine().diagnose(std::slice::from_ref(&symptom), "", Some(&formula));
            // A drink is not too hard: where the dish is no frozen one a fault may have no cause on file.
            let options = tamis::engine::AssessOptions {
                doubt: false,
                fixes: false,
                ..Default::default()
            };
            if engine().assess(&formula, options).dish.kind == Some(DishKind::Other) {
                continue;
            }
            assert!(
                causes.iter().any(|c| c.verdict != Verdict::NotFound),
                "{symptom} in {}",
                formula.name
            );
        }
    }
}

/// A dish, its fault, causes that must be named and causes that have no place there.
const DISHES: &[(&str, &str, &[&str], &[&str])] = &[
    (
        "panna cotta",
        "does not set",
        &[
            "no-set-gelatin-little",
            "no-set-gelatin-bloom",
            "no-set-gelatin-boiled",
            "no-set-gelatin-chill",
            "no-set-gelatin-acid",
            "no-set-protease",
        ],
        &[
            "no-set-freezer-alcohol",
            "no-set-mc-cold",
            "no-set-hm-pectin",
        ],
    ),
    (
        "sorbet",
        "weeping",
        &[
            "sorbet-syrup-gum",
            "sorbet-syrup-sugar",
            "sorbet-syrup-warm",
        ],
        &["weeping-custard", "weeping-gelatin"],
    ),
    (
        "sorbet",
        "split",
        &["split-syrup-gum", "split-syrup-warm"],
        &["split-ganache", "split-alcohol", "split-casein-gum"],
    ),
    ("ganache", "split", &["split-ganache"], &["split-syrup-gum"]),
    ("ice cream", "greasy", &["greasy-overchurn"], &[]),
];

#[test]
fn a_dish_has_its_own_causes() {
    for (dish, symptom, named, barred) in DISHES {
        let causes = engine().diagnose(&[symptom.to_string()], dish, None);
        let has = |id: &&&str| causes.iter().any(|c| c.rule == **id);
        let missing: Vec<_> = named.iter().filter(|id| !has(id)).collect();
        let wrong: Vec<_> = barred.iter().filter(has).collect();
        assert!(missing.is_empty(), "{symptom} in {dish}: no {missing:?}");
        assert!(wrong.is_empty(), "{symptom} in {dish}: {wrong:?}");
    }
}

#[test]
fn every_dish_of_a_rule_is_known() {
    let rules = &engine().catalogue.rules;
    // What no class of dishes takes in is called by its kind.
    let other = DishKind::Other.word().to_string();
    let mut known: Vec<&String> = vec![&other];
    for rule in rules {
        if let RuleKind::Dish { class, dishes } = &rule.kind {
            known.push(class);
            known.extend(dishes);
        }
    }
    for rule in rules {
        if let RuleKind::Diagnosis { dishes, .. } = &rule.kind {
            for dish in dishes {
                assert!(known.contains(&dish), "{}: {dish}", rule.id);
            }
        }
    }
}

#[test]
fn what_crystallises_is_named_for_hardness_and_sand() {
    // Erythritol at 60 g/kg is past its solubility at -18 C; the same mass of sucrose is not.
    let csv = |sweetener: &str| {
        format!("ingredient,grams\nwhole-milk,700\ncream-35-fat,150\nsucrose,90\n{sweetener},60\n")
    };
    for (symptom, rule) in [
        ("too hard", "hard-crystals-erythritol"),
        ("sandy", "sandy-erythritol"),
    ] {
        let found = |sweetener: &str| {
            let causes =
                engine().diagnose(&[symptom.to_string()], "", Some(&formula(&csv(sweetener))));
            causes
                .iter()
                .any(|c| c.rule == rule && c.verdict == Verdict::Found)
        };
        assert!(found("erythritol"), "{symptom}");
        assert!(!found("inulin-native"), "{symptom}");
    }
}

/// A formula eaten unfrozen, its fault, the cause that comes first of those with grams, what moves,
/// and causes that have no place there.
const UNFROZEN: &[(&str, &str, &str, &str, &[&str])] = &[
    (
        "ingredient,grams\nwhole-milk,600\nwater,300\nbutter,40\nmaize-starch,35\ntable-salt,6\n",
        "thin",
        "thin-starch-little",
        "maize-starch",
        &["thin-stabiliser", "thin-low-solids-plant"],
    ),
    (
        "ingredient,grams\ncream-35-fat,500\nwhole-milk,400\nsucrose,90\ngelatin-powder,8\n",
        "too hard",
        "hard-gelatin",
        "gelatin-powder",
        &["hard-ice-18", "hard-low-sugar", "hard-low-air"],
    ),
    (
        "ingredient,grams\ncream-35-fat,500\nwhole-milk,400\nsucrose,90\ngelatin-powder,8\n",
        "weeping",
        "weeping-gelatin",
        "gelatin-powder",
        &["sorbet-syrup-warm", "weeping-agar", "weeping-custard"],
    ),
];

#[test]
fn an_unfrozen_formula_has_the_causes_of_its_dish() {
    for (csv, symptom, first, moved, barred) in UNFROZEN {
        let causes = engine().diagnose(&[symptom.to_string()], "", Some(&formula(csv)));
        let dosed = causes.iter().find(|c| !c.grams.is_empty());
        let dosed = dosed.unwrap_or_else(|| panic!("{symptom}: nothing to weigh"));
        assert_eq!(dosed.rule, *first, "{symptom}");
        assert!(dosed.grams.iter().any(|a| a.id == *moved), "{symptom}");
        let wrong: Vec<_> = causes
            .iter()
            .filter(|c| barred.contains(&c.rule.as_str()))
            .map(|c| &c.rule)
            .collect();
        assert!(wrong.is_empty(), "{symptom}: {wrong:?}");
    }
}

#[test]
fn no_fix_for_hardness_leaves_more_ice() {
    each(|formula, cause| {
        for change in cause.effect.iter().filter(|_| cause.symptom == "too hard") {
            let more = change.after - change.before;
            assert!(
                change.property != "frozen_at_18" || more < 0.05 + 1e-9,
                "{} in {}: {more:+.2}",
                cause.rule,
                formula.name
            );
        }
    });
}

#[test]
fn nut_oil_greases_and_a_gelato_is_ranged_as_one() {
    let csv = std::fs::read_to_string("data/formulas/hazelnut-gelato.csv").expect("a formula");
    let gelato = engine().formula("hazelnut-gelato.csv", csv.as_bytes());
    let gelato = gelato.unwrap_or_else(|p| panic!("{p}"));
    let causes = engine().diagnose(&["greasy".to_string()], "", Some(&gelato));
    let nut = causes.iter().find(|c| c.rule == "greasy-nut");
    assert_eq!(nut.map(|c| c.verdict), Some(Verdict::Found));
    let fat = causes.iter().find(|c| c.rule == "greasy-fat");
    assert!(fat.is_some_and(|c| c.shown_by.contains("in a gelato")));
}

#[test]
fn polyols_count_where_sugars_are_ranged() {
    // 6 % sugars and 12 % polyols hold water like 18 % sugars: not `too little sugar`.
    let mix = formula(
        "ingredient,grams\nwhole-milk,650\ncream-35-fat,150\nskimmed-milk-powder,40\nmaltitol,80\nxylitol,50\n",
    );
    let causes = engine().diagnose(&["too hard".to_string()], "", Some(&mix));
    let sugar = causes.iter().find(|c| c.rule == "hard-low-sugar");
    let sugar = sugar.expect("the cause is judged");
    assert!(
        sugar.shown_by.starts_with("sugars and polyols"),
        "{}",
        sugar.shown_by
    );
    assert_eq!(sugar.verdict, Verdict::NotFound);
}
