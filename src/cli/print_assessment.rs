//! An assessment as a balance sheet: ten seconds to read, then the details.

use std::cmp::Reverse;

use super::own;
use super::page::{Page, cited, pad, right};
use crate::answer::{Assessment, FindingOut, FrozenAt, StepOut};
use crate::formula::weighed;
use crate::model::{DishKind, Severity};

/// One line of the balance sheet.
struct Entry {
    name: &'static str,
    unit: &'static str,
    digits: usize,
    dial: &'static str,
    read: fn(&Assessment) -> Option<f64>,
}

const SHEET: &[Entry] = &[
    Entry {
        name: "sweetness",
        unit: "% as sucrose",
        digits: 1,
        dial: "sweetness",
        read: |a| Some(a.sweetness_percent),
    },
    Entry {
        name: "freezing point",
        unit: "C",
        digits: 2,
        dial: "freezing_point",
        read: |a| a.freezing_point_celsius,
    },
    Entry {
        name: "frozen at -12 C",
        unit: "% of water",
        digits: 0,
        dial: "frozen_at_12",
        read: |a| frozen(a, -12.0),
    },
    Entry {
        name: "frozen at -18 C",
        unit: "% of water",
        digits: 0,
        dial: "frozen_at_18",
        read: |a| frozen(a, -18.0),
    },
    Entry {
        name: "total solids",
        unit: "%",
        digits: 1,
        dial: "total_solids",
        read: |a| Some(a.composition.total_solids_percent),
    },
    Entry {
        name: "fat",
        unit: "%",
        digits: 1,
        dial: "fat",
        read: |a| Some(a.composition.fat_percent),
    },
    Entry {
        name: "sugars",
        unit: "%",
        digits: 1,
        dial: "sugars",
        read: |a| Some(a.composition.sugars_percent),
    },
    Entry {
        name: "protein",
        unit: "%",
        digits: 1,
        dial: "protein",
        read: |a| Some(a.composition.protein_percent),
    },
    Entry {
        name: "milk solids not fat",
        unit: "%",
        digits: 1,
        dial: "msnf",
        read: |a| some(a.composition.msnf_percent),
    },
    Entry {
        name: "lactose",
        unit: "%",
        digits: 1,
        dial: "lactose",
        read: |a| some(a.composition.lactose_percent),
    },
    Entry {
        name: "polyols",
        unit: "%",
        digits: 1,
        dial: "polyols",
        read: |a| some(a.composition.polyols_percent),
    },
    Entry {
        name: "starch",
        unit: "%",
        digits: 1,
        dial: "starch",
        read: |a| some(a.composition.starch_percent),
    },
    Entry {
        name: "fibre",
        unit: "%",
        digits: 1,
        dial: "fibre",
        read: |a| some(a.composition.fibre_percent),
    },
    Entry {
        name: "alcohol",
        unit: "%",
        digits: 1,
        dial: "alcohol",
        read: |a| some(a.composition.alcohol_percent),
    },
    Entry {
        name: "salt",
        unit: "%",
        digits: 2,
        dial: "salt",
        read: |a| some(a.composition.salt_percent),
    },
    Entry {
        name: "stabiliser",
        unit: "%",
        digits: 2,
        dial: "stabiliser",
        read: |a| Some(a.stabiliser_percent),
    },
    Entry {
        name: "emulsifier",
        unit: "%",
        digits: 2,
        dial: "emulsifier",
        read: |a| some(a.emulsifier_percent),
    },
    Entry {
        name: "energy (EU)",
        unit: "kcal/100 g",
        digits: 0,
        dial: "energy",
        read: |a| Some(a.energy_kcal_per_100_g),
    },
    Entry {
        name: "water activity 20 C",
        unit: "",
        digits: 3,
        dial: "water_activity_20",
        read: |a| a.water_activity_20_celsius,
    },
];

fn some(figure: f64) -> Option<f64> {
    (figure >= 0.005).then_some(figure)
}

fn frozen(a: &Assessment, celsius: f64) -> Option<f64> {
    a.frozen_water
        .iter()
        .find(|f| f.celsius == celsius)
        .map(|f| f.percent)
}

/// Notes printed before the rest is only counted.
const MOST_NOTES: usize = 8;

/// Prints an assessment, beside another where one is given.
pub fn print(page: &mut Page, a: &Assessment, against: Option<&Assessment>) {
    page.head(&format!("{}, {} g", a.name, weighed(a.batch_g)));
    if let Some(comparison) = &a.against {
        let text = format!("{} (beside {})", comparison.verdict, comparison.name);
        page.labelled("", &text);
        page.line(&format!(
            "{}{}{}{}",
            pad("", 22),
            right("this", 9),
            right("other", 19),
            right("difference", 12)
        ));
    }
    if !a.taken_for.is_empty() {
        page.labelled("  taken for  ", &a.taken_for);
    }
    let kinds = [a.dish.kind, against.and_then(|b| b.dish.kind)];
    let frozen = kinds.contains(&Some(DishKind::Frozen));
    figures(page, a, against, frozen);
    cost(page, a);
    if frozen {
        frozen_water(page, a);
    }
    findings(page, "To look out for", &a.findings);
    body(page, a);
    doubts(page, a);
    allergens(page, a);
    if !a.plan.is_empty() {
        page.gap();
        page.head("Plan");
        super::plan::steps(page, &a.plan, false);
    }
    steps(page, &a.process);
    if !a.overruled.is_empty() {
        page.gap();
        own::overruled(page, &a.overruled);
    }
}

/// The figures, beside those of another formula where one is given.
fn figures(page: &mut Page, a: &Assessment, against: Option<&Assessment>, frozen: bool) {
    for entry in SHEET {
        if !frozen && entry.dial.starts_with("frozen_at") {
            continue;
        }
        let (own, other) = ((entry.read)(a), against.and_then(|b| (entry.read)(b)));
        let Some(figure) = own.or(other.map(|_| 0.0)) else {
            continue;
        };
        let doubt = a
            .uncertainty
            .get(entry.dial)
            .map(|d| d.plus_minus)
            .filter(|d| *d > 0.0);
        let text = format!("{figure:.*}", entry.digits);
        let digits = entry.digits.max(1);
        let plus_minus = doubt.map_or(String::new(), |d| format!("+- {d:.digits$}"));
        let beside = match against {
            Some(_) => {
                let other = other.unwrap_or(0.0);
                format!(
                    "{}{}  ",
                    right(&format!("{other:.*}", entry.digits), 9),
                    right(&signed(figure - other, digits), 12)
                )
            }
            None => String::new(),
        };
        page.line(&format!(
            "  {}{} {} {beside}{}",
            pad(entry.name, 20),
            right(&text, 8),
            pad(&plus_minus, 9),
            entry.unit
        ));
    }
}

/// What it costs, or how much of it has a price and what lacks one.
fn cost(page: &mut Page, a: &Assessment) {
    let Some(cost) = &a.cost else {
        return;
    };
    let text = match (cost.per_kg, cost.batch) {
        (Some(per_kg), Some(batch)) => format!(
            "{per_kg:.2} {}, {batch:.2} {} the batch",
            cost.unit,
            cost.currency()
        ),
        _ => format!(
            "known for {} of {} ingredients ({:.0} % of the mass): {:.2} {}; no price for {}",
            cost.known_ingredients,
            cost.ingredients,
            cost.known_mass_percent,
            cost.known_batch,
            cost.currency(),
            cost.lacking.join(", ")
        ),
    };
    page.labelled(&format!("  {}", pad("price", 20)), &text);
}

fn signed(difference: f64, digits: usize) -> String {
    let text = format!("{difference:+.digits$}");
    // A difference that rounds to nothing has no sign.
    if text.trim_start_matches(['+', '-', '0', '.']).is_empty() {
        "0".into()
    } else {
        text
    }
}

fn frozen_water(page: &mut Page, a: &Assessment) {
    if a.frozen_water.is_empty() {
        return;
    }
    page.gap();
    page.head("Frozen water");
    let row = |read: &dyn Fn(&FrozenAt) -> Option<f64>| -> String {
        let cells = a
            .frozen_water
            .iter()
            .map(|f| right(&read(f).map_or("".into(), |v| format!("{v:.0}")), 5));
        cells.collect()
    };
    page.line(&format!("  C  {}", row(&|f| Some(f.celsius))));
    page.line(&format!("  %  {}", row(&|f| Some(f.percent))));
    if a.frozen_water.iter().any(|f| f.plus_minus.is_some()) {
        page.line(&format!("  +- {}", row(&|f| f.plus_minus)));
    }
}

fn body(page: &mut Page, a: &Assessment) {
    let Some(body) = &a.body else {
        return;
    };
    page.gap();
    page.head(&format!(
        "Body at {:.0} C, overrun {:.0} %",
        body.celsius, body.overrun_percent
    ));
    page.labelled(
        "  ",
        &format!(
            "ice {:.0} g per 100 g, {:.0} % of the volume; with solid fat {:.0} %",
            body.ice_percent, body.ice_volume_percent, body.solid_volume_percent
        ),
    );
    if let (Some(here), Some(mouth)) = (body.solid_fat_percent, body.solid_fat_mouth_percent) {
        let least = if body.solid_fat_at_least {
            "at least "
        } else {
            ""
        };
        let spread = body
            .solid_fat_plus_minus
            .map_or(String::new(), |d| format!(" +- {d:.0}"));
        page.labelled("  ", &format!(
            "of the fat {least}{here:.0}{spread} % is solid here and {mouth:.0} % in the mouth (35 C): {:.0} % melts there",
            body.fat_melting_in_mouth_percent.unwrap_or(0.0)
        ));
    }
    let scoop = body
        .celsius_at_70_percent_frozen
        .map(|c| format!("70 % of the water is frozen at {c:.1} C"));
    let melts = body
        .heat_shock_percent_per_degree
        .map(|h| format!("between -18 and -12 C each degree melts {h:.1} % of the water"));
    let both: Vec<String> = scoop.into_iter().chain(melts).collect();
    page.labelled("  ", &both.join("; "));
    if let Some(glass) = &a.glass {
        page.labelled("  ", &format!(
            "storage indicator: the unfrozen phase melts from {:.0} C (Tm') over a glass at {:.0} C (Tg'); {:.0} % of the dissolved mass has figures",
            glass.melting_onset_celsius, glass.glass_transition_celsius, glass.covered_percent
        ));
    }
    page.labelled("  ", &format!("These are {}.", body.note));
}

fn doubts(page: &mut Page, a: &Assessment) {
    let named = [
        ("freezing_point", "freezing point", 2, " C"),
        ("sweetness", "sweetness", 1, ""),
    ];
    let known: Vec<String> = named
        .into_iter()
        .filter_map(|(id, name, digits, unit)| {
            let doubt = a.uncertainty.get(id).filter(|d| !d.mostly.is_empty())?;
            let model = if doubt.model > 0.0 {
                format!("; the model's own share is {:.digits$}{unit}", doubt.model)
            } else {
                String::new()
            };
            Some(format!(
                "{name} +- {:.digits$}{unit}, mostly through {}{model}",
                doubt.plus_minus,
                doubt
                    .mostly
                    .iter()
                    .take(2)
                    .cloned()
                    .collect::<Vec<_>>()
                    .join(" and ")
            ))
        })
        .collect();
    if known.is_empty() {
        return;
    }
    page.gap();
    page.head("Doubt");
    for text in known {
        page.labelled("  ", &text);
    }
    if a.sweetness_trade_percent > 0.05 {
        page.labelled("  ", &format!("For comparison, the fixed ratios of the trade add up to a sweetness of {:.1} (model {:.1}).", a.sweetness_trade_percent, a.sweetness_percent));
    }
    if let (Some(handbook), Some(own)) =
        (a.freezing_point_handbook_celsius, a.freezing_point_celsius)
    {
        let alcohol = match some(a.composition.alcohol_percent) {
            Some(_) => ", the alcohol left out, for they do not count it,",
            None => "",
        };
        page.labelled("  ", &format!("For comparison, the handbook's sucrose equivalents{alcohol} give a freezing point of {handbook:.2} C (model {own:.2} C)."));
    }
}

fn allergens(page: &mut Page, a: &Assessment) {
    if a.allergens.is_empty() {
        return;
    }
    page.gap();
    page.head("Allergens stated by origin");
    for line in &a.allergens {
        page.labelled("  ", line);
    }
    page.labelled(
        "  ",
        "Cross-contact is not covered; read the packs and follow your local code.",
    );
}

/// Findings or cautions, gravest first: every stop, then one of each topic, then the rest, until
/// the page has enough.
pub fn findings(page: &mut Page, head: &str, findings: &[FindingOut]) {
    if findings.is_empty() {
        return;
    }
    page.gap();
    page.head(head);
    let shown = chosen(findings);
    for f in &shown {
        let label = match f.severity {
            Severity::Stop => "  STOP  ",
            Severity::Watch => "  watch ",
            Severity::Info => "  note  ",
        };
        page.marked(
            f.severity,
            label,
            &format!("{} {}", f.text, cited(&f.source, &f.locator)),
        );
    }
    if findings.len() > shown.len() {
        let more = findings.len() - shown.len();
        page.line(&format!("  and {more} more, --json has all"));
    }
}

fn chosen(findings: &[FindingOut]) -> Vec<&FindingOut> {
    let mut seen: Vec<(Severity, &str)> = vec![];
    // Of the notes that only inform, the first of a topic speaks for the others.
    let mut ranked: Vec<(Reverse<Severity>, bool, usize)> = vec![];
    for (n, f) in findings.iter().enumerate() {
        let key = (f.severity, f.topic.as_str());
        let repeats = seen.contains(&key);
        seen.push(key);
        ranked.push((Reverse(f.severity), repeats, n));
    }
    ranked.sort_unstable();
    let stops = findings.iter().filter(|f| f.severity == Severity::Stop);
    let enough = stops.count().max(MOST_NOTES);
    ranked
        .into_iter()
        .filter(|(Reverse(severity), repeats, _)| *severity > Severity::Info || !repeats)
        .take(enough)
        .map(|(.., n)| &findings[n])
        .collect()
}

/// The steps of the process, with their sources.
pub fn steps(page: &mut Page, steps: &[StepOut]) {
    if steps.is_empty() {
        return;
    }
    page.gap();
    page.head("Process");
    let mut phase = "";
    for step in steps {
        let label = if step.phase == phase { "" } else { &step.phase };
        phase = &step.phase;
        let heat = step
            .celsius
            .map_or(String::new(), |c| format!("{c:.0} C: "));
        let who = if step.ingredients.is_empty() {
            String::new()
        } else {
            format!(" ({})", step.ingredients.join(", "))
        };
        page.labelled(
            &format!("  {}", pad(label, 13)),
            &format!(
                "{heat}{}{who} {}",
                step.text,
                cited(&step.source, &step.locator)
            ),
        );
    }
}
