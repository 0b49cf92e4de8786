//! Named pairs of one kind: as much comes as goes, a chocolate by its cocoa, in the form of what goes.

mod opened;

use tamis::formula::Formula;

use opened::engine;

struct Case {
    ask: &'static str,
    formula: &'static str,
    /// What comes, and between how many grams.
    comes: (&'static str, f64, f64),
    source: &'static str,
}

const CASES: &[Case] = &[
    Case {
        ask: "use blackberry puree instead of the raspberry puree",
        formula: "raspberry-puree,500\nwater,250\nsucrose,140\ndextrose-monohydrate,60\nguar-gum,2\n",
        comes: ("blackberry-puree", 500.0, 500.0),
        source: "common-practice: a puree for a puree, weight for weight",
    },
    Case {
        ask: "can walnut go in for the hazelnut paste",
        formula: "whole-milk,600\nhazelnut-paste,110\nsucrose,130\nskimmed-milk-powder,40\ndextrose-monohydrate,40\n",
        comes: ("walnut-paste", 100.0, 120.0),
        source: "common-practice: a paste for a paste",
    },
    Case {
        ask: "they delivered 55% dark chocolate not the 64",
        formula: "cream-35-fat,240\n64 % dark chocolate,330\ninvert-sugar-syrup,40\n",
        comes: ("dark-chocolate-at-55", 375.0, 395.0),
        source: "derived: 330 g x 64 / 55, as much cocoa",
    },
    Case {
        ask: "the supplier sent greek yogurt 10% fat instead of the plain yogurt",
        formula: "yogurt-plain-whole,450\nstrawberry-puree,250\nsucrose,130\nskimmed-milk-powder,40\ncream-35-fat,60\nwater,60\n",
        comes: ("greek-", 450.0, 450.0),
        source: "common-practice: yogurt for yogurt, and the fat and water of the rest moved",
    },
];

#[test]
fn as_much_comes_as_goes_of_its_kind() {
    for case in CASES {
        let formula: Formula = engine()
            .formula("mix.csv", case.formula.as_bytes())
            .unwrap_or_else(|p| panic!("{p}"));
        let asked = engine().ask(case.ask, Some(&formula));
        let swap = asked
            .swap
            .unwrap_or_else(|| panic!("{}: no swap", case.ask));
        let first = swap.options.first().expect(case.ask);
        let (id, low, high) = case.comes;
        let comes = first.ingredients.iter().find(|a| a.id.starts_with(id));
        let comes = comes.unwrap_or_else(|| panic!("{}: {}", case.ask, first.summary));
        assert!(
            (low - 0.01..=high + 0.01).contains(&comes.grams),
            "{}: {} ({})",
            case.ask,
            first.summary,
            case.source
        );
        // What is told to come is what is weighed.
        let weighed = first.formula.iter().find(|a| a.id == comes.id).expect(id);
        assert!((weighed.grams - comes.grams).abs() < 0.01, "{}", case.ask);
    }
}
