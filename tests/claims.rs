//! Claims on nutrition: how a formula stands to them, worked out by hand from the limits of
//! `data/label/claims.csv`, whose rows name their sources.

use std::sync::OnceLock;

use tamis::engine::Engine;
use tamis::load::Files;

fn engine() -> &'static Engine {
    static ENGINE: OnceLock<Engine> = OnceLock::new();
    ENGINE.get_or_init(|| Engine::open(Files::embedded(), None).expect("shipped data load"))
}

/// Formula, question, what one of the sentences holds, and the arithmetic.
const CASES: [(&str, &str, &str, &str); 7] = [
    (
        "sucrose,200\nwater,800\n",
        "can I write sugar free on it",
        "sugars-free (EU): no: this holds 20 g/100 g",
        "200 g of sugar in 1000 g; at most 0.5 g/100 g (Regulation (EC) No 1924/2006, Annex)",
    ),
    (
        "sucrose,200\nwater,800\n",
        "can we write reduced sugar",
        "reduced sugars (EU): this holds 20 g/100 g; the like product must hold 28.6 or more",
        "30 % less: 20 / 0.7 = 28.6",
    ),
    (
        "sucrose,200\nwater,800\n",
        "can we write reduced sugar",
        "reduced sugar (US): this holds 20 g/100 g; the like product must hold 26.7 or more",
        "25 % less (21 CFR 101.60(c)(5)): 20 / 0.75 = 26.7",
    ),
    (
        "sucrose,200\nwater,800\n",
        "may I call it no added sugar",
        "no added sugars (EU): no: sugar is added",
        "sucrose is a disaccharide added",
    ),
    (
        "erythritol,100\nwater,900\n",
        "can I call it sugar free",
        "sugars-free (EU): within the figure: this holds 0 g/100 g",
        "erythritol is a polyol: no sugars",
    ),
    (
        "whey-protein-isolate,100\nwater,900\n",
        "can we write high protein",
        "high protein (EU): within the figure",
        "nearly all of its energy is protein; at least 20 %",
    ),
    (
        "sucrose,200\nwater,800\n",
        "can we write high protein",
        "high protein (EU): no: this holds 0 % of its energy as protein",
        "no protein in it",
    ),
];

#[test]
fn a_formula_stands_to_a_claim_as_worked_out_by_hand() {
    for (csv, text, holds, arithmetic) in CASES {
        let csv = format!("ingredient,grams\n{csv}");
        let formula = (engine().formula("mix.csv", csv.as_bytes()))
            .unwrap_or_else(|problems| panic!("{problems}"));
        let asked = engine().ask(text, Some(&formula));
        let told = asked.told.iter().any(|said| said.contains(holds));
        assert!(told, "{text} ({arithmetic}): {:#?}", asked.told);
        let last = asked.told.last().expect("something is told");
        assert!(last.contains("your local code"), "{last}");
    }
}

#[test]
fn what_a_law_bars_is_told_before_its_dose() {
    // 21 CFR 189.130: food with added coumarin as such or as a constituent of tonka beans is adulterated.
    let asked = engine().ask("usual dose of tonka bean in ice cream", None);
    assert!(
        asked.summary.starts_with("Not in food for sale in the US"),
        "{}",
        asked.summary
    );
}
