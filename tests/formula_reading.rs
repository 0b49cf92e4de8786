//! Lines of a formula to ingredients in grams.

use tamis::engine::Engine;
use tamis::load::Files;

/// The ingredients of a formula with 1 kg of water beside the line, and their grams.
fn read(engine: &Engine, line: &str) -> String {
    let text = format!("1000 g water\n{line}\n");
    match engine.formula("mix.txt", text.as_bytes()) {
        Ok(formula) => {
            let shown = |line: &tamis::formula::Line| {
                let id = &engine.catalogue.ingredient(line.key).id;
                format!("{id} {:.2}", line.grams)
            };
            let lines: Vec<String> = formula.lines.iter().skip(1).map(shown).collect();
            lines.join(", ")
        }
        Err(problems) => problems.0[0].code.to_string(),
    }
}

#[test]
fn a_line_of_several_things_shares_its_amount() {
    let engine = Engine::open(Files::embedded(), None).expect("shipped data load");
    for (line, wanted) in [
        (
            "10 g gellan LA / agar 50:50",
            "low-acyl-gellan 5.00, agar-powder 5.00",
        ),
        (
            "3 g locust bean gum + guar gum 2:1",
            "locust-bean-gum 2.00, guar-gum 1.00",
        ),
        (
            "4 g LBG/guar/kappa carrageenan (2:1:1)",
            "locust-bean-gum 2.00, guar-gum 1.00, kappa-carrageenan 1.00",
        ),
        (
            "6 g xanthan gum and guar gum",
            "xanthan-gum 3.00, guar-gum 3.00",
        ),
        // Shares that do not fit the things, and things nobody knows, are no blend.
        ("600 g guar gum + quux 2:1", "F003"),
        ("600 g LBG + guar gum 2:1:1", "F003"),
        (
            "1 lemon, zest and juice",
            "lemon-zest 6.00, lemon-juice 48.00",
        ),
        // A name that holds the joining word is one thing.
        ("100 g half and half", "half-and-half 100.00"),
        ("20 g sugar, not the brown one please", "sucrose 20.00"),
        (
            "200 g mango puree with 15 % sugar",
            "mango-puree-sugar-at-15 200.00",
        ),
        (
            "200 g mango puree, 10 % sugar",
            "mango-puree-10-sugar 200.00",
        ),
        ("200 g peach puree, 15 % sugar", "peach-puree-at-15 200.00"),
        (
            "4 g mono- and diglycerides 60 %",
            "mono-and-diglycerides 4.00",
        ),
    ] {
        assert_eq!(read(&engine, line), wanted, "{line}");
    }
}

/// The ingredients of a whole formula and their grams, or the first problem's code.
fn whole(engine: &Engine, text: &str) -> String {
    match engine.formula("mix.txt", text.as_bytes()) {
        Ok(formula) => {
            let shown = |line: &tamis::formula::Line| {
                let id = &engine.catalogue.ingredient(line.key).id;
                format!("{id} {:.1}", line.grams)
            };
            formula
                .lines
                .iter()
                .map(shown)
                .collect::<Vec<_>>()
                .join(", ")
        }
        Err(problems) => problems.0[0].code.to_string(),
    }
}

#[test]
fn a_formula_is_read_as_it_is_written() {
    let engine = Engine::open(Files::embedded(), None).expect("shipped data load");
    for (text, wanted) in [
        // A sentence counts what it alone speaks of, and nothing twice.
        (
            "500 g milk\nthe dries: 100 g sugar, 20 g dextrose and 2 g guar gum, mixed well\nStir in 50 g of the sugar and 10 g lemon juice at the end.\n",
            "whole-milk 500.0, sucrose 100.0, dextrose-monohydrate 20.0, guar-gum 2.0, lemon-juice 10.0",
        ),
        (
            "500 g milk\n100 g sugar\nServe with 50 g whipped cream on each plate, at once.\n",
            "whole-milk 500.0, sucrose 100.0",
        ),
        // A title may tell the batch.
        (
            "Soft serve (2 spindles, approx 10 kg)\n\nmilk - 7000\nsugar - 850\nguar - 8\n",
            "whole-milk 7000.0, sucrose 850.0, guar-gum 8.0",
        ),
        (
            "caramel sce, approx 3 kg\n\nsugar 1000\ncream 35% 1200, hot\nvanilla pods x 2\n",
            "sucrose 1000.0, cream-35-fat 1200.0, vanilla-bean 6.0",
        ),
        // Of several things in a bracket one may be the amount of a piece.
        (
            "1 kg milk\n4 leafs of gelatine (gold, 2g each), soaked in cold water\n",
            "whole-milk 1000.0, gelatin-leaf-gold 8.0",
        ),
        (
            "1 kg eau\nle jus d'un demi citron vert\n100 g sucre\nPoids total : environ 1122 g\n",
            "water 1000.0, lime-juice 22.0, sucrose 100.0",
        ),
        // Columns aligned by spaces, with their units alone above them.
        (
            "Sauce, per cent on the cheese\n\n                    %      g\nCheddar, grated   100    500\nWhole milk         40    200\nSodium citrate      4     20\n",
            "cheddar 500.0, whole-milk 200.0, trisodium-citrate-dihydrate 20.0",
        ),
        // A dash between spaces parts a name and its amount.
        (
            "milk - 600 g\nDGS 40 - 40 g\ncream 35 - 150 g\ncocoa powder - 20 - 30 g\nsalt pinch\n",
            "whole-milk 600.0, dried-glucose-syrup-de40 40.0, cream-35-fat 150.0, cocoa-powder-20-22 25.0, table-salt 0.4",
        ),
        // What is mixed in shares nobody tells is asked.
        ("1 kg water\n5 g tara/guar blend\n", "F004"),
        // An amount inside a line, and a remark behind it.
        (
            "onions 2kg sliced thin (net)\nsoft brown sugar 200g – maybe 180\nwater 1 l\n",
            "onion 2000.0, brown-sugar 200.0, water 998.0",
        ),
        // A small per cent beside grams doses the thing; that of a cream is its grade.
        (
            "mango puree 600 g\ncream 35% 400 g\nxanthan 0.3%\n",
            "mango-puree 600.0, cream-35-fat 400.0, xanthan-gum 3.0",
        ),
        // A pinch beside bare numbers leaves them grams, and counts what comes in pieces.
        (
            "lemon juice — 240\nsugar — 270\nyolks — 4 (80)\nbutter — 310\ngelatin leaf (gold) — 2\nsalt — pinch\n",
            "lemon-juice 240.0, sucrose 270.0, egg-yolk 80.0, butter 310.0, gelatin-leaf-gold 4.0, table-salt 0.4",
        ),
        // Cups and degrees.
        (
            "2 c flour\n1 c. milk\n82 C and through the sieve\n100 g sugar\n",
            "wheat-flour 250.0, whole-milk 247.0, sucrose 100.0",
        ),
        // The batch stands in the first line.
        (
            "Hibiscus fluid gel | test 6 | 1000 g\nwater 890 g\nsugar 100 g\nagar 10 g\n",
            "water 890.0, sucrose 100.0, agar-powder 10.0",
        ),
        // In a batch of two kilograms `36 600` is a grade and an amount.
        (
            "egg yolk 320\negg white 640\nsugar 240\ncream 36 600\n",
            "egg-yolk 320.0, egg-white 640.0, sucrose 240.0, heavy-cream-36-fat 600.0",
        ),
        (
            "150 water\n300 sugar\n20 gelatin powder + 120 water\n300 dark chocolate 70\n",
            "water 150.0, sucrose 300.0, gelatin-powder 20.0, water 120.0, dark-chocolate-70 300.0",
        ),
        (
            "milk 60-65 %\nsugar 15 %\nbutter 5 %\nwater to 100 %\n",
            "whole-milk 625.0, sucrose 150.0, butter 50.0, water 175.0",
        ),
        // A decimal comma parts no cells.
        (
            "sel 0,060 kg\nhuile de tournesol 4,0 kg\nsucre 0,200 kg\n",
            "table-salt 60.0, sunflower-oil 4000.0, sucrose 200.0",
        ),
    ] {
        assert_eq!(whole(&engine, text), wanted, "{text}");
    }
}

/// Lines of a formula in grams, each with the id it means.
const LINES: [(&str, f64, &str); 6] = [
    ("whole milk", 580.0, "whole-milk"),
    ("whipping cream 35 %", 120.0, "cream-35-fat"),
    ("sugar", 140.0, "sucrose"),
    ("dextrose", 40.0, "dextrose-monohydrate"),
    ("skimmed milk powder", 45.0, "skimmed-milk-powder"),
    ("egg yolk", 75.0, "egg-yolk"),
];

/// How a list is written: a line for each thing, and the sign of a table where it is one.
const FORMS: [fn(&str, &str) -> String; 5] = [
    |name, grams| format!("{grams} g {name}\n"),
    |name, grams| format!("{name}: {grams} g\n"),
    |name, grams| format!("- {name} .... {grams} g\n"),
    |name, grams| format!("[18:22, 3.6.2026] Ana: {name} {grams} g\n"),
    |name, grams| format!("12/06/26, 9:41 AM - Ana: {grams} g {name}\n"),
];

/// The ids and grams of a formula, in the order read.
fn grams(engine: &Engine, text: &str) -> Vec<(String, f64)> {
    match engine.formula("mix.txt", text.as_bytes()) {
        Ok(formula) => {
            let line = |line: &tamis::formula::Line| {
                let id = engine.catalogue.ingredient(line.key).id.clone();
                (id, (line.grams * 10.0).round() / 10.0)
            };
            formula.lines.iter().map(line).collect()
        }
        Err(problems) => panic!("{text}\n{problems}"),
    }
}

fn meant() -> Vec<(String, f64)> {
    let line = |(_, grams, id): &(&str, f64, &str)| (id.to_string(), *grams);
    LINES.iter().map(line).collect()
}

/// A list in one form, with a line at a place among its lines.
fn listed(form: fn(&str, &str) -> String, other: &str, at: usize) -> String {
    let mut lines: Vec<String> = LINES
        .iter()
        .map(|(name, grams, _)| form(name, &grams.to_string()))
        .collect();
    lines.insert(at, other.to_string());
    lines.concat()
}

#[test]
fn a_title_above_any_list_is_no_ingredient() {
    let engine = Engine::open(Files::embedded(), None).expect("shipped data load");
    let titles = [
        "Quuxberry gelato x 1000\n\n",
        "QUUX BASE          YLD 2 1/2 GAL\n--------------\n",
        "Zorblat ice (2 rings, 18 cm)\n\n",
        "Grundmix Nr. 14, Stand 03/26\n\n",
        "FICHE N° 27     Glace zorblat\n\n",
    ];
    let mut cases = 0;
    for title in titles {
        for form in FORMS {
            let text = listed(form, title, 0);
            assert_eq!(grams(&engine, &text), meant(), "{text}");
            cases += 1;
        }
    }
    assert_eq!(cases, 25);
}

#[test]
fn what_is_no_food_is_set_aside_in_any_list() {
    let engine = Engine::open(Files::embedded(), None).expect("shipped data load");
    let rows = [
        ("Labour", "0.5", "hr"),
        ("Tub 1 L + lid", "8", "ea"),
        ("Etiketten", "20", "pcs"),
        ("main d'œuvre", "2", "h"),
        ("energia", "3", "kWh"),
        ("Verpackung", "12", "Stk"),
    ];
    let mut cases = 0;
    for (name, amount, unit) in rows {
        for at in 0..=LINES.len() {
            let mut text = String::from("item,qty,unit\n");
            for n in 0..=LINES.len() {
                if n == at {
                    text.push_str(&format!("{name},{amount},{unit}\n"));
                }
                if let Some((name, grams, _)) = LINES.get(n) {
                    text.push_str(&format!("{name},{grams},g\n"));
                }
            }
            assert_eq!(grams(&engine, &text), meant(), "{text}");
            let formula = engine.formula("mix.txt", text.as_bytes());
            let told = formula.is_ok_and(|f| f.aside.iter().any(|said| said.contains(name)));
            assert!(told, "{text}");
            cases += 1;
        }
    }
    assert_eq!(cases, 42);
}

#[test]
fn what_is_not_known_is_set_aside_with_its_weight_and_told_first() {
    let engine = Engine::open(Files::embedded(), None).expect("shipped data load");
    let mut cases = 0;
    for form in FORMS {
        for at in 1..LINES.len() {
            let text = listed(form, &form("zorblat", "80"), at);
            assert_eq!(grams(&engine, &text), meant(), "{text}");
            let formula = engine.formula("mix.txt", text.as_bytes()).expect("taken");
            let left: Vec<Option<f64>> = formula.left.iter().map(|left| left.grams).collect();
            assert_eq!(left, [Some(80.0)], "{text}");
            assert!(
                formula
                    .uncounted()
                    .contains("80 g zorblat (7 % of the batch)")
            );
            assert_eq!(formula.scaled(2.0).left[0].grams, Some(160.0));
            // More than a third of the batch leaves no formula.
            let text = listed(form, &form("zorblat", "800"), at);
            let refused = engine.formula("mix.txt", text.as_bytes());
            assert_eq!(refused.expect_err("refused").0[0].code, "F003", "{text}");
            cases += 2;
        }
    }
    assert_eq!(cases, 50);
}

#[test]
fn three_places_of_a_kilogram_are_decimals() {
    let engine = Engine::open(Files::embedded(), None).expect("shipped data load");
    let mut cases = 0;
    for mark in [",", "."] {
        for unit in ["kg", "Kg", "kilos"] {
            for other in ["620 g water\n", "sugar: 260 g\n90 g dextrose\n"] {
                let text = format!("1{mark}250 {unit} whole milk\n{other}");
                let read = grams(&engine, &text);
                assert_eq!(read[0], ("whole-milk".to_string(), 1250.0), "{text}");
                cases += 1;
            }
        }
        // Beside hundreds of kilograms it may be a thousand.
        let text = format!("1{mark}250 kg whole milk\n300 kg sugar\n");
        let refused = engine.formula("mix.txt", text.as_bytes());
        assert_eq!(refused.expect_err("refused").0[0].code, "F014", "{text}");
        cases += 1;
    }
    assert_eq!(cases, 14);
}

#[test]
fn a_part_that_another_takes_is_counted_once_and_a_correction_corrects() {
    let engine = Engine::open(Files::embedded(), None).expect("shipped data load");
    for (text, wanted) in [
        (
            "E. GELATINE MASS (make first)\n  gelatine powder 200 bloom 25 g\n  cold water 150 g\n\nA. CURD\n  butter 110 g\n  gelatine mass (E) 28 g\n",
            "gelatin-powder-at-200 25.0, tap-water 150.0, butter 110.0",
        ),
        (
            "[14:05] Jo: 3 litres whole milk\n[14:05] Jo: 1 litre cream, the 36\n[14:06] Jo: sugar 680, dextrose 200, skim powder 190\n[14:15] Jo: sorry cream 1.2 not 1\n[14:16] Sam: got it\n",
            "whole-milk 3087.0, heavy-cream-36-fat 1209.6, sucrose 680.0, dextrose-monohydrate 200.0, skimmed-milk-powder 190.0",
        ),
        (
            "50 beurre\n50 farine\n1L lait\n",
            "butter 50.0, wheat-flour 50.0, whole-milk 1029.0",
        ),
    ] {
        assert_eq!(whole(&engine, text), wanted, "{text}");
    }
}
