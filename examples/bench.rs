//! A face on the engine alone: it asks, assesses, swaps and keeps an option, in forty lines.
//!
//!     cargo run --release --example bench

use std::error::Error;

use tamis::engine::{AssessOptions, Engine};
use tamis::load::Files;

fn main() -> Result<(), Box<dyn Error>> {
    let engine = Engine::open(Files::embedded(), None)?;

    // A formula as a cook writes it: any name, any form.
    let note = "Quince sorbet\n500 g quince puree\n140 g sugar\n60 g dried glucose DE 38\n\
                290 g water\n10 g lemon juice\n3 g locust bean gum\n";
    let formula = engine.formula("note.txt", note.as_bytes())?;
    let verdict = engine.assess(&formula, AssessOptions::default());
    println!("{}", verdict.summary);
    for line in &verdict.formula {
        println!("{:>6.1} g  {}", line.grams, line.name);
    }

    // A question about it, in words.
    let answer = engine.ask(
        "swap sugar keeping sweetness and freezing lower",
        Some(&formula),
    );
    println!("\n{}", answer.summary);

    // The first option kept, and assessed again.
    let swap = answer.swap.ok_or("no swap was asked")?;
    let option = swap.options.first().ok_or("nothing does that")?;
    let rows = option
        .formula
        .iter()
        .map(|a| format!("{},{}\n", a.id, a.grams));
    let kept = format!("ingredient,grams\n{}", rows.collect::<String>());
    let again = engine.formula("quince sorbet.csv", kept.as_bytes())?;
    let verdict = engine.assess(&again, AssessOptions::default());
    println!("{}", verdict.summary);
    Ok(())
}
