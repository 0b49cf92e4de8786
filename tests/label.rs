//! The label draft against the regulations' own factors and increments, and what it must never say.

mod opened;

use tamis::answer::LabelOut;
use tamis::engine::{Engine, LabelOptions};
use tamis::label::shown;
use tamis::load::{Files, Own};
use tamis::model::label::Labels;

use opened::engine;

const PLACES: [&str; 5] = ["eu", "uk", "us", "ca", "au"];

fn options(serving_g: f64) -> LabelOptions {
    LabelOptions {
        serving_g,
        finished_g: None,
    }
}

fn with(engine: &Engine, place: &str, name: &str, lines: &str, options: LabelOptions) -> LabelOut {
    let csv = format!("ingredient,grams\n{lines}");
    let formula = engine.formula(name, csv.as_bytes());
    let formula = formula.unwrap_or_else(|p| panic!("{name}: {p}"));
    let label = engine.label(&formula, place, options);
    label.unwrap_or_else(|p| panic!("{name}: {p}"))
}

fn labelled(place: &str, name: &str, lines: &str) -> LabelOut {
    with(engine(), place, name, lines, options(100.0))
}

fn printed<'a>(label: &'a LabelOut, nutrient: &str) -> &'a str {
    let row = label.nutrition.iter().find(|n| n.nutrient == nutrient);
    row.map_or("", |n| n.shown[0].as_str())
}

/// The shipped formulas under each law.
fn shipped() -> Vec<LabelOut> {
    let mut out = vec![];
    for (name, text) in engine().shipped() {
        let formula = engine().formula(name, text.as_bytes());
        let formula = formula.unwrap_or_else(|p| panic!("{name}: {p}"));
        for place in PLACES {
            let label = engine().label(&formula, place, options(90.0));
            out.push(label.unwrap_or_else(|p| panic!("{name}: {p}")));
        }
    }
    out
}

#[test]
fn amounts_are_rounded_as_each_law_rounds_them() {
    let table = include_str!("literature/label-rounding.csv");
    let labels = &engine().catalogue.labels;
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let mut count = 0;
    for row in rows.records() {
        let row = row.expect("a row");
        assert!(!row[5].is_empty(), "each row names its source: {row:?}");
        let bands = Labels::nearest(&[&row[0]], &labels.bands, |b| &b.jurisdiction);
        let amount: f64 = row[2].parse().expect("a number");
        assert_eq!(shown(&bands, &row[1], amount, &row[3]), row[4], "{row:?}");
        count += 1;
    }
    assert!(count >= 40, "{count}");
}

/// An engine with one food of a stated composition.
fn stated(values: &[(&str, f64, &str)]) -> Engine {
    let rows: Vec<String> = (values.iter())
        .map(|(property, figure, unit)| format!("test-food,{property},{figure},{unit}"))
        .collect();
    let values = format!("ingredient,property,typical,unit\n{}\n", rows.join("\n"));
    let ingredients = "id,name,family,functions\ntest-food,test food,fruit-product,flavour\n";
    let tables = [("ingredients.csv", ingredients), ("values.csv", &values)];
    let own = Own::of("kitchen", &tables).expect("tables");
    Engine::open(Files::embedded().with_own(own), None).unwrap_or_else(|p| panic!("{p}"))
}

/// Per 100 g: fat 10, carbohydrate 25 of which maltitol 8 and erythritol 5, fibre 3, protein 4, ethanol 1.
const CASE: [(&str, f64, &str); 13] = [
    ("water", 57.0, "g/100 g"),
    ("fat", 10.0, "g/100 g"),
    ("saturated_fat", 6.0, "g/100 g"),
    ("protein", 4.0, "g/100 g"),
    ("carbohydrate_available", 25.0, "g/100 g"),
    ("sugars", 12.0, "g/100 g"),
    ("maltitol", 8.0, "g/100 g"),
    ("erythritol", 5.0, "g/100 g"),
    ("fibre", 3.0, "g/100 g"),
    ("organic_acids", 0.0, "g/100 g"),
    ("ash", 0.0, "g/100 g"),
    ("alcohol", 1.0, "g/100 g"),
    ("sodium", 0.0, "mg/100 g"),
];

#[test]
fn energy_is_the_hand_sum_of_the_factors() {
    let engine = stated(&CASE);
    // Annex XIV of Regulation (EU) 1169/2011, each unit summed on its own:
    // carbohydrate other than polyols 25 - 13 = 12: 12 x 4 = 48, x 17 = 204; maltitol 8 x 2.4 = 19.2,
    // x 10 = 80; erythritol 0; fibre 3 x 2 = 6, x 8 = 24; protein 4 x 4 = 16, x 17 = 68;
    // fat 10 x 9 = 90, x 37 = 370; ethanol 7 and 29: 186.2 kcal, 775 kJ.
    let eu = with(&engine, "eu", "case", "test-food,100\n", options(100.0));
    assert_eq!(printed(&eu, "energy"), "775 kJ / 186 kcal", "{eu:#?}");
    // 21 CFR 101.9(c)(1)(i) with the factors recalled for polyols and ethanol: protein 16, digested
    // carbohydrate 48, fat 90, maltitol 8 x 2.1 = 16.8, erythritol 0, ethanol 7: 177.8, shown as 180.
    let us = with(&engine, "us", "case", "test-food,100\n", options(100.0));
    assert_eq!(printed(&us, "energy"), "180 kcal", "{us:#?}");
    // Half a serving: 88.9 kcal, shown as 90.
    let half = with(&engine, "us", "case", "test-food,100\n", options(50.0));
    assert_eq!(printed(&half, "energy"), "90 kcal");
    // Schedule 11 as recalled, kJ: 12 x 17 = 204, fibre 24, protein 68, fat 370, ethanol 29, maltitol
    // 8 x 13 = 104, erythritol 5 x 1 = 5: 804.
    let au = with(&engine, "au", "case", "test-food,100\n", options(100.0));
    assert_eq!(printed(&au, "energy"), "804 kJ");
}

#[test]
fn water_that_evaporates_leaves_the_list_and_thickens_the_table() {
    let engine = stated(&CASE);
    let told = LabelOptions {
        serving_g: 100.0,
        finished_g: Some(100.0),
    };
    // 100 g of the food and 20 g of water, of which 20 g go: the food alone is left.
    let label = with(&engine, "eu", "case", "test-food,100\nwater,20\n", told);
    assert_eq!(printed(&label, "energy"), "775 kJ / 186 kcal");
    assert!(
        !label.ingredients.contains("water"),
        "{}",
        label.ingredients
    );
    // Annex VII part A point 1: up to 5 % of the finished food may be left out, in the EU alone.
    for (water, food, listed) in [(5.0, 95.0, false), (5.1, 94.9, true)] {
        let lines = format!("test-food,{food}\nwater,{water}\n");
        let eu = with(&engine, "eu", "case", &lines, options(100.0));
        assert_eq!(
            eu.ingredients.contains("water"),
            listed,
            "{}",
            eu.ingredients
        );
        let us = with(&engine, "us", "case", &lines, options(100.0));
        assert!(us.ingredients.contains("water"), "{}", us.ingredients);
    }
}

#[test]
fn what_a_line_does_not_state_is_not_known_and_never_nothing() {
    let without = |parts: &[&str]| -> Vec<(&str, f64, &str)> {
        let rest = CASE.into_iter().filter(|(p, ..)| !parts.contains(p));
        rest.collect()
    };
    // Without its water too, a food need not close to 100 g.
    for (parts, nutrient) in [
        (["protein", "water"], "protein"),
        (["saturated_fat", "water"], "saturates"),
        (["sugars", "water"], "sugars"),
        (["fat", "water"], "fat"),
    ] {
        let part = parts[0];
        let engine = stated(&without(&parts));
        let label = with(&engine, "eu", "case", "test-food,100\n", options(100.0));
        assert_eq!(printed(&label, nutrient), "not known", "{part}");
        let row = label.nutrition.iter().find(|n| n.nutrient == nutrient);
        let row = row.expect("a row");
        assert_eq!(row.per_100_g, None);
        assert_eq!(row.not_stated_by, ["test food"], "{part}");
    }
    // A gum of 0.2 % cannot move a figure by what the law lets stand as nothing.
    let engine = stated(&CASE);
    let lines = "test-food,998\nguar-gum,2\n";
    let label = with(&engine, "eu", "case", lines, options(100.0));
    assert_ne!(printed(&label, "saturates"), "not known");
}

#[test]
fn polyols_are_warned_of_above_a_tenth_and_not_at_it() {
    // Annex III point 2.4: more than 10 % added polyols, erythritol among them.
    for (maltitol, warned) in [(60.0, false), (61.0, true)] {
        let lines = format!(
            "whole-milk,{}\nerythritol,40\nmaltitol,{maltitol}\n",
            900.0 - maltitol + 60.0
        );
        let label = labelled("eu", "ice", &lines);
        let told = label.notices.iter().any(|n| n.id == "eu-polyols");
        let polyols = label.nutrition.iter().find(|n| n.nutrient == "polyols");
        assert_eq!(told, warned, "{polyols:?}");
        // No sugar is added: milk sugar makes no `sugar(s) and sweetener(s)`.
        let ids: Vec<&str> = label.notices.iter().map(|n| n.id.as_str()).collect();
        assert!(ids.contains(&"eu-sweetener"), "{ids:?}");
        assert!(!ids.contains(&"eu-sugar-and-sweetener"), "{ids:?}");
    }
    let sweet = labelled("eu", "ice", "whole-milk,850\nsucrose,100\nsucralose,0.1\n");
    let ids: Vec<&str> = sweet.notices.iter().map(|n| n.id.as_str()).collect();
    assert_eq!(ids, ["eu-sugar-and-sweetener"]);
    for (place, id) in [
        ("eu", "eu"),
        ("uk", "eu"),
        ("us", "us"),
        ("ca", "ca"),
        ("au", "au"),
    ] {
        let label = labelled(place, "ice", "whole-milk,900\nsucrose,100\naspartame,0.3\n");
        let wanted = format!("{id}-phenylalanine");
        assert!(label.notices.iter().any(|n| n.id == wanted), "{place}");
    }
}

#[test]
fn the_list_is_in_order_and_holds_every_gram() {
    for label in shipped() {
        let grams: f64 = label.parts.iter().map(|p| p.grams).sum();
        assert!((grams - label.batch_g).abs() < 1e-6, "{}", label.name);
        let percents: Vec<f64> = label.parts.iter().map(|p| p.percent).collect();
        assert!(percents.is_sorted_by(|a, b| a >= b), "{percents:?}");
        assert!(
            (percents.iter().sum::<f64>() - 100.0).abs() < 1e-6,
            "{}",
            label.name
        );
        for part in label.parts.iter().filter(|p| p.left_out.is_empty()) {
            let list = label.ingredients.to_lowercase();
            let name = part.name.to_lowercase();
            assert!(list.contains(&name), "{}: {name} in {list}", label.name);
        }
    }
}

#[test]
fn every_stated_allergen_stands_out_and_none_is_said_to_be_absent() {
    for label in shipped() {
        let held = label.allergens.iter().filter(|a| a.presence == "contains");
        for allergen in held {
            let word = allergen.substance.as_str();
            let emphasised = label.emphasised.iter();
            let stands = emphasised
                .map(|w| w.to_lowercase())
                .any(|w| w.starts_with(word));
            let said = label.contains.contains(word);
            let place = label.jurisdiction.as_str();
            assert!(stands || said, "{} {place}: {word}", label.name);
            if matches!(place, "EU" | "UK") {
                assert!(stands, "{} {place}: {word}", label.name);
            }
        }
        let text = serde_json::to_string(&label).expect("data").to_lowercase();
        for lie in ["free of", "free from", "-free", "is safe"] {
            assert!(!text.contains(lie), "{}: {lie}", label.name);
        }
        assert!(text.contains("draft for a qualified person"));
    }
}

#[test]
fn shares_stand_where_the_name_mentions_them() {
    // (law, name, lines, words that must stand in the list); Article 22(1)(a) for the EU.
    let gelato = "whole-milk,800\nhazelnut-paste,96\nsucrose,104\n";
    for (place, name, lines, words) in [
        ("eu", "hazelnut gelato", gelato, "HAZELNUT paste (9.6 %)"),
        ("eu", "gelato", gelato, "HAZELNUT paste."),
        ("us", "hazelnut gelato", gelato, "hazelnut paste."),
        // `cream` names the dish here and no ingredient.
        (
            "eu",
            "ice cream",
            "cream-35-fat,500\nsucrose,100\n",
            "cream (MILK), ",
        ),
        // Chocolate has parts that the data do not state.
        (
            "eu",
            "dark chocolate sorbet",
            "water,700\ndark-chocolate-70,200\nsucrose,100\n",
            "chocolate (20 %) [parts not stated: ask the maker]",
        ),
        // An additive by class and name in the EU, by name in the US, modified starch by class alone.
        (
            "eu",
            "sauce",
            "water,900\nxanthan-gum,3\nhydroxypropyl-distarch-phosphate,30\n",
            "modified starch, thickener: xanthan gum.",
        ),
        ("us", "sauce", "water,900\nxanthan-gum,3\n", "xanthan gum"),
        // Sugars stand together in Canada, placed by their total (B.01.008.3).
        (
            "ca",
            "ice cream",
            "cream-35-fat,140\nsucrose,120\nhoney,50\n",
            "Sugars (sugar, honey), cream",
        ),
    ] {
        let label = labelled(place, name, lines);
        let list = format!("{}, ", label.ingredients);
        assert!(list.contains(words), "{place} {name}: {list}");
    }
}

#[test]
fn a_place_that_is_not_held_is_told_with_those_that_are() {
    let formula = engine().formula("ice", "ingredient,grams\nsucrose,100\n".as_bytes());
    let formula = formula.unwrap_or_else(|p| panic!("{p}"));
    let refused = engine().label(&formula, "fr", options(100.0));
    let text = refused.expect_err("no such place").to_string();
    assert!(
        text.contains("Q020") && text.contains("eu, uk, us, ca, au"),
        "{text}"
    );
    let more = LabelOptions {
        serving_g: 100.0,
        finished_g: Some(101.0),
    };
    let text = engine()
        .label(&formula, "eu", more)
        .expect_err("too much")
        .to_string();
    assert!(text.contains("L001"), "{text}");
}
