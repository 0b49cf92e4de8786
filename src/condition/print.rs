//! A condition written in its one canonical form.

use crate::model::{Expr, Group, Subject, Test};

/// The canonical text: `parse(print(e)) == e`.
pub fn print(expr: &Expr) -> String {
    match expr {
        Expr::Always => "always".to_string(),
        Expr::All(parts) => join(parts, " and "),
        Expr::Any(parts) => join(parts, " or "),
        Expr::Not(part) => format!("not {}", atom(part)),
        Expr::Test(test) => print_test(test),
    }
}

fn join(parts: &[Expr], word: &str) -> String {
    parts.iter().map(atom).collect::<Vec<_>>().join(word)
}

fn atom(expr: &Expr) -> String {
    match expr {
        Expr::All(_) | Expr::Any(_) => format!("({})", print(expr)),
        _ => print(expr),
    }
}

fn group(group: &Group) -> String {
    match group {
        Group::Ingredient(id) => id.clone(),
        Group::Kin(id) => format!("group {id}"),
        Group::Family(id) => format!("family {id}"),
        Group::Function(name) => format!("function {}", name.replace(' ', "_")),
    }
}

fn word(subject: Subject) -> &'static str {
    match subject {
        Subject::This => "this",
        Subject::In => "in",
        Subject::Out => "out",
    }
}

fn path(subject: Subject, property: &str) -> String {
    match subject {
        Subject::This => property.to_string(),
        _ => format!("{}.{property}", word(subject)),
    }
}

fn prefix(subject: Subject) -> String {
    match subject {
        Subject::This => String::new(),
        _ => format!("{} ", word(subject)),
    }
}

fn at(celsius: Option<f64>) -> String {
    celsius.map_or(String::new(), |c| format!(" at {c} C"))
}

fn print_test(test: &Test) -> String {
    match test {
        Test::Is(subject, g) => format!("{} is {}", word(*subject), group(g)),
        Test::Number {
            subject,
            property,
            comparison,
            number,
            at_celsius,
        } => {
            format!(
                "{} {} {number}{}",
                path(*subject, property),
                comparison.sign(),
                at(*at_celsius)
            )
        }
        Test::Between {
            subject,
            property,
            low,
            high,
            at_celsius,
        } => {
            format!(
                "{} between {low} and {high}{}",
                path(*subject, property),
                at(*at_celsius)
            )
        }
        Test::Word {
            subject,
            word: w,
            property,
        } if matches!(property.as_str(), "vegan" | "vegetarian") && w == "yes" => {
            format!(
                "{}{property}",
                if *subject == Subject::This {
                    String::new()
                } else {
                    format!("{} is ", word(*subject))
                }
            )
        }
        Test::Word {
            subject,
            property,
            word: w,
        } => format!("{} = {}", path(*subject, property), w.replace(' ', "_")),
        Test::Known(subject, property) => format!("{}known {property}", prefix(*subject)),
        Test::Contains(subject, allergen) => format!(
            "{}contains {}",
            prefix(*subject),
            allergen.replace(' ', "_")
        ),
        Test::FreeOf(subject, allergen) => {
            format!("{}free of {}", prefix(*subject), allergen.replace(' ', "_"))
        }
        Test::MixHas(g) => format!("mix has {}", group(g)),
        Test::MixHasAllergen(allergen) => {
            format!("mix has allergen {}", allergen.replace(' ', "_"))
        }
        Test::MixIs(kind) => format!("mix is {}", kind.word()),
        Test::Share(g, comparison, number) => {
            format!("share of {} {} {number} %", group(g), comparison.sign())
        }
        Test::Mix(dial, comparison, number) => {
            format!("mix.{} {} {number}", dial.id(), comparison.sign())
        }
    }
}
