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
        ("60 g guar gum + quux 2:1", "F003"),
        ("60 g LBG + guar gum 2:1:1", "F003"),
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
