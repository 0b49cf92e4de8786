//! The words of answers about the law.

use crate::model::law::Permission;

/// The food of a permission, shortened where it lists what it covers.
pub(super) fn food(row: &Permission) -> String {
    let name = short(&row.category_name);
    match row.category.as_str() {
        "" => name.to_string(),
        code => format!("{name} ({code})"),
    }
}

pub(super) fn short(food: &str) -> &str {
    food.split(" (").next().unwrap_or(food)
}

/// The condition of a permission.
pub(super) fn condition(row: &Permission) -> String {
    match row.condition.as_str() {
        "" => String::new(),
        said => format!(" ({said})"),
    }
}

/// The remark of a permission that forbids something: what else was read or recalled of it.
pub(super) fn remark(row: &Permission) -> String {
    match (row.status.as_str(), row.note.as_str()) {
        ("not authorised", note) if !note.is_empty() => format!(" Note: {note}."),
        _ => String::new(),
    }
}

/// A level in the unit of the law, with its percentage where that is what a cook weighs.
pub(super) fn level(mg: f64) -> String {
    let digits = |figure: f64| match figure {
        f if f >= 100.0 => format!("{f:.0}"),
        f if f >= 10.0 => format!("{:.1}", f),
        f => format!("{f:.2}"),
    };
    let plain = |figure: f64| {
        let text = digits(figure);
        match text.contains('.') {
            true => text.trim_end_matches('0').trim_end_matches('.').to_string(),
            false => text,
        }
    };
    match mg >= 1000.0 {
        true => format!("{} mg/kg ({} %)", plain(mg), plain(mg / 1e4)),
        false => format!("{} mg/kg", plain(mg)),
    }
}

pub(super) fn verdict_said(verdict: &str) -> &str {
    match verdict {
        "over" => "is over the limit",
        "may be over" => "may be over the limit",
        "not authorised" => "is not authorised",
        "not compared" => "is not compared",
        _ => "is not on file",
    }
}

pub(super) fn stop(verdict: &str) -> &'static str {
    match verdict {
        "not authorised" | "over" => "STOP: ",
        _ => "",
    }
}
