//! A face on the engine alone: it asks, assesses, swaps and keeps an option, in forty lines.
//!
//!     cargo run --release --example bench

use std::error::Error;

use tamis::engine::{AssessOptions, Engine, SubstituteRequest, Wanted};
use tamis::load::Files;

fn main() -> Result<(), Box<dyn Error>> {
    let engine = Engine::open(Files::embedded(), None)?;

    // A formula as a cook writes it: any name, any form.
    let note = "Quince sorbet\n500 g quince puree\n140 g sugar\n60 g dried glucose DE 38\n\
                290 g water\n10 g lemon juice\n3 g locust bean gum\n";
    let formula = engine.formula("note.txt", note.as_bytes())?;
    let verdict = engine.assess(&formula, AssessOptions::default());
    println!("{}", verdict.summary);

    // A question about it, in words.
    let answer = engine.ask("why is it icy", Some(&formula));
    println!("{}", answer.summary);

    // A swap, each part as a form would take it.
    let request = SubstituteRequest {
        replace: "sugar".into(),
        wanted: Wanted {
            keep: vec!["sweetness".into()],
            lower: vec!["freezing point".into()],
            ..Wanted::default()
        },
        ..SubstituteRequest::default()
    };
    let swap = engine.substitute(&formula, &request)?;
    println!("{}", swap.summary);

    // The first option kept, and assessed again.
    let option = swap.options.first().ok_or("nothing does that")?;
    let kept = option.formula.iter().map(|a| (a.id.as_str(), a.grams));
    let kept = engine.formula_in_grams("quince sorbet", kept)?;
    let verdict = engine.assess(&kept, AssessOptions::default());
    println!("{}", verdict.summary);
    Ok(())
}
