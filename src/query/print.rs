//! A question written in its one canonical form.

use crate::condition;
use crate::model::{Aim, Expr, Goal, Wish};

use super::question::{About, Amount, Batch, Change, How, Leaver, Question};

/// The canonical text: `read(print(q))` is `q`.
pub fn print(question: &Question) -> String {
    match question {
        Question::Lookup {
            ingredients,
            properties,
            allergens,
        } => {
            let held = allergens.iter();
            let held = held.map(|a| format!("contains {}", a.replace(' ', "_")));
            let asked: Vec<String> = properties.iter().cloned().chain(held).collect();
            let of = if asked.is_empty() { "" } else { " of " };
            format!("lookup {}{of}{}", asked.join(", "), ingredients.join(", "))
        }
        Question::Search {
            text,
            condition,
            order,
        } => {
            let mut clauses = vec![];
            if !text.is_empty() {
                clauses.push(format!("\"{text}\""));
            }
            if text.is_empty() || *condition != Expr::Always {
                clauses.push(condition::print(condition));
            }
            clauses.extend(order.as_ref().map(|order| {
                let way = if order.most { "most" } else { "least" };
                format!("{way} {}", order.by)
            }));
            format!("find {}", clauses.join("; "))
        }
        Question::Compare {
            ingredients,
            properties,
        } if properties.is_empty() => format!("compare {}", ingredients.join(", ")),
        Question::Compare {
            ingredients,
            properties,
        } => format!(
            "compare {} by {}",
            ingredients.join(", "),
            properties.join(", ")
        ),
        Question::Swap {
            leaver,
            newcomers,
            amount,
            wish,
            dish,
        } => swap(leaver, newcomers, *amount, wish, dish),
        Question::Adjust {
            added,
            wish,
            scale,
            dish,
        } => {
            let added: Vec<String> = added
                .iter()
                .map(|(id, grams)| format!("{grams} g {id}"))
                .collect();
            let mut clauses = vec![];
            if !added.is_empty() {
                clauses.push(format!("add {}", added.join(", ")));
            }
            clauses.extend(wishes(wish));
            clauses.extend(scale.as_ref().map(|batch| match batch {
                Batch::Grams(grams) => format!("scale to {grams} g"),
                Batch::Millilitres(ml) => format!("scale to {ml} ml"),
                Batch::Times(times) => format!("scale by {times}"),
                Batch::Of(id, grams) => format!("scale to {grams} g of {id}"),
            }));
            clauses.extend(inside(dish));
            format!("adjust {}", clauses.join("; "))
                .trim_end()
                .to_string()
        }
        Question::WhatIf { changes, on, dish } => {
            let mut clauses: Vec<String> = changes.iter().map(change).collect();
            if !on.is_empty() {
                let on: Vec<&str> = on.iter().map(|dial| dial.id()).collect();
                clauses.push(format!("on {}", on.join(", ")));
            }
            clauses.extend(inside(dish));
            format!("what-if {}", clauses.join("; "))
        }
        Question::Role { ingredients, dish } => {
            let mut words = vec!["role".to_string(), ingredients.join(", ")];
            words.extend(inside(dish));
            words.join(" ")
        }
        Question::HowTo {
            ingredients,
            phase,
            dish,
        } => {
            let mut words = vec!["how-to".to_string()];
            if !phase.is_empty() {
                words.push(phase.clone());
            }
            if !ingredients.is_empty() {
                words.push(ingredients.join(", "));
            }
            words.extend(inside(dish));
            words.join(" ")
        }
        Question::Assess { about } => {
            let each: Vec<String> = about
                .iter()
                .map(|about| match about {
                    About::Diet(diet) => diet.clone(),
                    About::Contains(allergen) => format!("contains {}", allergen.replace(' ', "_")),
                    About::Allergens => "allergens".to_string(),
                    About::Dial(dial) => dial.id().to_string(),
                    About::Claim(claim) => format!("claim {claim}"),
                    About::Label => "label".to_string(),
                    About::Portions(grams) => format!("portions of {grams} g"),
                })
                .collect();
            format!("assess {}", each.join(", ")).trim_end().to_string()
        }
        Question::Legal {
            substances,
            class,
            jurisdictions,
        } => {
            let mut clauses = vec![];
            if !substances.is_empty() {
                clauses.push(substances.join(" | "));
            }
            if !class.is_empty() {
                clauses.push(format!("in {class}"));
            }
            if !jurisdictions.is_empty() {
                clauses.push(format!("for {}", jurisdictions.join(", ")));
            }
            format!("legal {}", clauses.join("; "))
                .trim_end()
                .to_string()
        }
        Question::Care {
            topics,
            ingredients,
            allergens,
        } => {
            let mut clauses = vec![topics.join(", ")];
            if !allergens.is_empty() {
                clauses.push(format!("allergic to {}", allergens.join(", ")));
            }
            if !ingredients.is_empty() {
                clauses.push(format!("of {}", ingredients.join(", ")));
            }
            format!("care {}", clauses.join("; "))
        }
        Question::Diagnose {
            symptoms,
            dish,
            ingredients,
        } => {
            let mut words = vec!["diagnose".to_string(), symptoms.join(", ")];
            if !ingredients.is_empty() {
                words.push(format!("with {}", ingredients.join(", ")));
            }
            words.extend(inside(dish));
            words.join(" ")
        }
    }
}

fn swap(
    leaver: &Leaver,
    newcomers: &[String],
    amount: Option<Amount>,
    wish: &Wish,
    dish: &str,
) -> String {
    let amount = match amount {
        None => String::new(),
        Some(Amount::Grams(grams)) => format!("{grams} g of "),
        Some(Amount::Share(share)) => format!("{} % of ", percent(share)),
    };
    let mut clauses = vec![format!("swap {amount}{}", goes(leaver))];
    if !newcomers.is_empty() {
        clauses.push(format!("for {}", newcomers.join(", ")));
    }
    clauses.extend(wishes(wish));
    clauses.extend(inside(dish));
    // `swap gelatin-powder for agar-powder` reads on; a condition needs its full stop.
    match leaver {
        Leaver::Ingredients(_) => clauses.join("; ").replacen("; for ", " for ", 1),
        Leaver::Matching(_) => clauses.join("; "),
    }
}

fn change(change: &Change) -> String {
    let what = goes(&change.what);
    match change.how {
        How::Out => format!("without {what}"),
        How::More => format!("more {what}"),
        How::Less => format!("less {what}"),
        How::By(grams) => format!("by {grams} g of {what}"),
        How::Times(times) => format!("times {times} of {what}"),
        How::To(percent) => format!("to {percent} % of {what}"),
        How::Set(grams) => format!("to {grams} g of {what}"),
    }
}

/// What a leaver is, written.
fn goes(leaver: &Leaver) -> String {
    match leaver {
        Leaver::Ingredients(ids) => ids.join(", "),
        Leaver::Matching(condition) => format!("whatever: {}", condition::print(condition)),
    }
}

fn inside(dish: &str) -> Option<String> {
    (!dish.is_empty()).then(|| format!("in {dish}"))
}

fn wishes(wish: &Wish) -> Vec<String> {
    let mut clauses: Vec<String> = wish.goals.iter().map(goal).collect();
    if wish.newcomer != Expr::Always {
        clauses.push(format!("newcomers {}", condition::print(&wish.newcomer)));
    }
    if let Some(shelf) = &wish.shelf {
        clauses.push(
            format!("only from {}", shelf.join(", "))
                .trim_end()
                .to_string(),
        );
    }
    if wish.at_most != Wish::default().at_most {
        clauses.push(format!("at most {} new", wish.at_most));
    }
    clauses
}

fn goal(goal: &Goal) -> String {
    let dial = goal.dial.id();
    match goal.aim {
        Aim::Keep => format!("keep {dial}"),
        Aim::Raise => format!("raise {dial}"),
        Aim::Lower => format!("lower {dial}"),
        Aim::AtLeast(number) => format!("{dial} at least {number}"),
        Aim::AtMost(number) => format!("{dial} at most {number}"),
        Aim::Between(low, high) => format!("{dial} between {low} and {high}"),
        Aim::Relative(share) => format!("change {dial} by {} %", percent(share)),
    }
}

/// A share as a percentage, without the dust of binary multiplication: 0.3 is 30.
fn percent(share: f64) -> f64 {
    format!("{share}e2").parse().unwrap_or(share * 100.0)
}
