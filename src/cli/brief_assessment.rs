//! A formula in short: the verdict, the formula itself, the figures that decide, what to watch.

use super::brief;
use super::page::{Page, pad, right};
use crate::answer::Assessment;
use crate::engine::usual;
use crate::formula::weighed;
use crate::model::DishKind;

/// Figures that decide, in the order a person reads them: dial, name, digits, unit, whether only of
/// what is frozen.
type Figure = (
    &'static str,
    &'static str,
    usize,
    &'static str,
    bool,
    fn(&Assessment) -> Option<f64>,
);

const FIGURES: [Figure; 12] = [
    ("sweetness", "sweetness", 1, "%", false, |a| {
        Some(a.sweetness_percent)
    }),
    ("freezing_point", "freezing point", 1, "C", true, |a| {
        a.freezing_point_celsius
    }),
    (
        "frozen_at_12",
        "ice at -12 C",
        0,
        "% of the water",
        true,
        |a| at(a, -12.0),
    ),
    (
        "frozen_at_18",
        "ice at -18 C",
        0,
        "% of the water",
        true,
        |a| at(a, -18.0),
    ),
    ("total_solids", "solids", 1, "%", false, |a| {
        Some(a.composition.total_solids_percent)
    }),
    ("fat", "fat", 1, "%", false, |a| {
        some(a.composition.fat_percent)
    }),
    ("msnf", "milk solids not fat", 1, "%", false, |a| {
        some(a.composition.msnf_percent)
    }),
    ("protein", "protein", 1, "%", false, |a| {
        some(a.composition.protein_percent)
    }),
    ("alcohol", "alcohol", 1, "%", false, |a| {
        some(a.composition.alcohol_percent)
    }),
    ("starch", "starch", 1, "%", false, |a| {
        some(a.composition.starch_percent)
    }),
    ("stabiliser", "stabiliser", 2, "%", false, |a| {
        some(a.stabiliser_percent)
    }),
    ("emulsifier", "emulsifier", 2, "%", false, |a| {
        some(a.emulsifier_percent)
    }),
];

fn at(a: &Assessment, celsius: f64) -> Option<f64> {
    let found = a.frozen_water.iter().find(|f| f.celsius == celsius);
    found.map(|f| f.percent)
}

fn some(figure: f64) -> Option<f64> {
    (figure >= 0.005).then_some(figure)
}

/// Prints an assessment in short.
pub fn print(page: &mut Page, a: &Assessment) {
    page.head(&a.summary);
    page.gap();
    for line in &a.formula {
        let percent = format!("{:.1}", 100.0 * line.grams / a.batch_g.max(1e-12));
        page.line(&format!(
            "{} g {} %  {}",
            right(&weighed(line.grams), 8),
            right(&percent, 6),
            line.name
        ));
    }
    page.gap();
    let frozen = a.dish.kind == Some(DishKind::Frozen);
    let mut cells: Vec<String> = vec![];
    for (dial, name, digits, unit, only_frozen, read) in FIGURES {
        let Some(figure) = read(a).filter(|_| frozen || !only_frozen) else {
            continue;
        };
        let doubt = a.uncertainty.get(dial).map(|d| d.plus_minus);
        let doubt = match doubt.filter(|d| *d >= 0.5 * 0.1_f64.powi(digits as i32)) {
            Some(d) => format!(" ±{d:.digits$}"),
            None => String::new(),
        };
        cells.push(format!("{name} {figure:.digits$}{doubt} {unit}"));
    }
    for pair in cells.chunks(2) {
        page.line(&format!(
            "  {}{}",
            pad(&pair[0], 36),
            pair.get(1).map_or("", String::as_str)
        ));
    }
    departures(page, a);
    brief::cautions(page, &a.findings);
    brief::names(page, &a.assumed, &a.aside);
}

/// What is not usual for the class, with what in grams would help.
fn departures(page: &mut Page, a: &Assessment) {
    if let Some(softness) = a.softness.as_ref().filter(|s| !s.fix.is_empty()) {
        page.labelled("  To scoop at -18 C: ", &softness.fix);
    }
    for d in &a.departures {
        let fix = match d.fix.as_str() {
            "" => String::new(),
            fix => format!("; {fix}"),
        };
        let usual = usual(d.low, d.high);
        page.labelled(
            "  Off: ",
            &format!("{} {:.2} {}, usual {usual}{fix}", d.name, d.figure, d.unit),
        );
    }
    let from = match a.dish.from.as_str() {
        "" | "its name" | "the question" => return,
        from => from.trim_end_matches('.'),
    };
    let or = match a.dish.or.as_str() {
        "" => String::new(),
        or => format!(", or a {or}"),
    };
    let name = match a.dish.name.as_str() {
        "" => a.dish.kind.map_or("", DishKind::word),
        name => name,
    };
    page.labelled(
        "  Taken as ",
        &format!("{name}{or}: {from}. Say otherwise in its name, as sorbet.csv"),
    );
}
