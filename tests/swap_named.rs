//! Named pairs and going without: what comes first, what the other lines bring back, who may come in.

mod opened;

use tamis::answer::Asked;
use tamis::formula::Formula;
use tamis::model::{Commonness, RuleKind};

use opened::engine;

fn formula(name: &str) -> Formula {
    let path = format!("data/formulas/{name}.csv");
    let bytes = std::fs::read(&path).expect("the formula");
    engine()
        .formula(&path, &bytes)
        .unwrap_or_else(|p| panic!("{p}"))
}

fn ask(text: &str, name: &str) -> Asked {
    engine().ask(text, Some(&formula(name)))
}

/// A pair, its formula, and the dials the second option must hold: what a cook keeps when the milk
/// changes (common practice: match sweetness, hardness, fat and solids, not the volume).
const PAIRS: &[(&str, &str)] = &[
    ("swap the whole milk for oat drink", "hazelnut-gelato"),
    ("swap the whole milk for soy drink", "hazelnut-gelato"),
    (
        "swap the whole milk for almond drink",
        "reference-ice-cream",
    ),
    ("swap the whole milk for oat drink", "chestnut-gelato"),
];

#[test]
fn a_named_pair_answers_directly_and_then_with_the_marks_held() {
    for (text, name) in PAIRS {
        let asked = ask(text, name);
        let swap = asked.swap.unwrap_or_else(|| panic!("{text}: no swap"));
        assert!(swap.direct.contains("for"), "{text}: {}", swap.direct);
        assert!(!swap.others.is_empty(), "{text}: other ways by rule");
        assert_eq!(swap.options.len(), 2, "{text} in {name}");
        // The direct answer comes first, but for one that no longer freezes as before: that is said.
        let bare = |o: &&tamis::answer::OptionOut| o.balanced.is_empty();
        let direct = swap.options.iter().find(bare).expect("a direct answer");
        let moved = direct
            .changed
            .iter()
            .find(|c| c.property == "freezing_point");
        let thawed = moved.is_some_and(|c| (c.after - c.before).abs() > 0.5);
        assert_eq!(direct.rank, if thawed { 2 } else { 1 }, "{text}");
        assert_eq!(
            swap.direct.contains("alone moves the freezing point"),
            thawed,
            "{text}"
        );
        let held = &swap.options[usize::from(!thawed)];
        assert!(!held.balanced.is_empty(), "{text}");
        for dial in ["sweetness", "freezing_point", "fat", "total_solids"] {
            assert!(
                held.kept.iter().any(|k| k.property == dial),
                "{text} in {name}: {dial} moved: {:?}",
                held.changed
            );
        }
        let grams = |o: &tamis::answer::OptionOut| o.formula.iter().map(|a| a.grams).sum::<f64>();
        let before = formula(name).grams();
        assert!(
            (grams(held) - before).abs() < 0.006 * before,
            "{text}: the batch stays"
        );
        let milk = |o: &tamis::answer::OptionOut| {
            o.formula
                .iter()
                .any(|a| a.id == "whole-milk" && a.grams > 0.0)
        };
        assert!(!milk(held), "{text}: the milk is back");
    }
}

#[test]
fn going_without_milk_takes_what_rules_name_or_the_trade_stocks() {
    // Formula, and whether milks alone can hold its numbers: then a rule names each newcomer.
    for (name, milks) in [("hazelnut-gelato", true), ("reference-ice-cream", false)] {
        let asked = ask("make it dairy-free", name);
        let swap = asked.swap.expect("a swap");
        let first = swap
            .options
            .first()
            .unwrap_or_else(|| panic!("{name}: no option"));
        let catalogue = &engine().catalogue;
        let ingredient = |id: &str| catalogue.ingredient(catalogue.key(id).expect("an id"));
        let leavers: Vec<&str> = first.removed.iter().map(|a| a.id.as_str()).collect();
        for newcomer in &first.ingredients {
            let named = catalogue.rules.iter().any(|rule| match &rule.kind {
                RuleKind::Swap { newcomers, .. } => {
                    newcomers.contains(&newcomer.id)
                        && leavers
                            .iter()
                            .any(|l| tamis::swap::concerns(rule, ingredient(l)))
                }
                _ => false,
            });
            let stocked = ingredient(&newcomer.id).commonness <= Commonness::Trade;
            assert!(
                named || (stocked && !milks),
                "{name}: no rule names {} for {leavers:?}",
                newcomer.id
            );
        }
    }
}

#[test]
fn conditions_on_newcomers_may_say_in() {
    let catalogue = &engine().catalogue;
    for text in ["family intense-sweetener", "in is family intense-sweetener"] {
        let condition =
            tamis::condition::parse(text, catalogue).unwrap_or_else(|e| panic!("{text}: {e:?}"));
        let judged = |id: &str| {
            let ingredient = catalogue.ingredient(catalogue.key(id).expect("an id"));
            let facts = tamis::condition::Facts::of_newcomer(catalogue, ingredient);
            tamis::condition::judge(&condition, &facts)
        };
        assert_eq!(judged("sucralose"), tamis::condition::Truth::Yes, "{text}");
        assert_eq!(judged("sucrose"), tamis::condition::Truth::No, "{text}");
    }
}

/// What was typed about which formula, and how it is understood there. Phrases invented.
const DECIDED: &[(&str, &str, &str)] = &[
    (
        "replace the cream with coconut cream",
        "ingredient,grams\nwhole-milk,600\ncream-35-fat,200\nsucrose,150\n",
        "swap cream-35-fat for coconut-cream-22-fat",
    ),
    (
        "swap the milk for oat drink",
        "ingredient,grams\nsemi-skimmed-milk,600\nsucrose,150\n",
        "swap semi-skimmed-milk for oat-drink",
    ),
    (
        "swap the milk for oat drink",
        "ingredient,grams\nwhole-milk,600\nskimmed-milk-powder,50\nsucrose,150\n",
        "swap whole-milk for oat-drink",
    ),
    (
        "replace coconut milk with oat drink",
        "ingredient,grams\ncoconut-milk-18-fat,500\nwater,300\nsucrose,150\n",
        "swap coconut-milk-18-fat for oat-drink",
    ),
    (
        "swap the milk for oat drink",
        "ingredient,grams\nwater,800\nsucrose,150\n",
        "swap whole-milk for oat-drink",
    ),
    (
        "swap the milk for a carton with gellan in it",
        "ingredient,grams\nwhole-milk,800\nsucrose,150\n",
        "swap whole-milk; newcomers this is family plant-drink",
    ),
];

#[test]
fn the_formula_decides_what_a_name_means() {
    for (text, csv, expected) in DECIDED {
        let formula = engine()
            .formula("mix.csv", csv.as_bytes())
            .unwrap_or_else(|p| panic!("{p}"));
        let asked = engine().ask(text, Some(&formula));
        assert_eq!(asked.understood, *expected, "{text} of {csv}");
    }
}
