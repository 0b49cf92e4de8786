//! An assessment as a balance sheet: ten seconds to read, then the details.

use super::page::{Page, cited, pad, right};
use crate::answer::{Assessment, FindingOut, StepOut};
use crate::formula::weighed;

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
        dial: "",
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

/// Prints an assessment, beside another where one is given.
pub fn print(page: &mut Page, a: &Assessment, against: Option<&Assessment>) {
    page.head(&format!("{}, {} g", a.name, weighed(a.batch_g)));
    if let Some(b) = against {
        page.line(&format!(
            "{}{}{}",
            pad("", 22),
            right("this", 9),
            right(&b.name, 24)
        ));
    }
    for entry in SHEET {
        let Some(figure) = (entry.read)(a) else {
            continue;
        };
        let doubt = a
            .uncertainty
            .get(entry.dial)
            .map(|d| d.plus_minus)
            .filter(|d| *d > 0.0);
        let text = format!("{figure:.*}", entry.digits);
        let plus_minus = doubt.map_or(String::new(), |d| format!("+- {d:.*}", entry.digits.max(1)));
        let other = against
            .and_then(|b| (entry.read)(b))
            .map_or(String::new(), |f| {
                right(&format!("{f:.*}", entry.digits), 10)
            });
        page.line(&format!(
            "  {}{} {} {}{other}",
            pad(entry.name, 20),
            right(&text, 8),
            pad(&plus_minus, 9),
            pad(entry.unit, 12)
        ));
    }
    details(page, a);
}

fn details(page: &mut Page, a: &Assessment) {
    if !a.frozen_water.is_empty() {
        page.gap();
        page.head("Frozen water");
        let temperatures: Vec<String> = a
            .frozen_water
            .iter()
            .map(|f| right(&format!("{:.0}", f.celsius), 5))
            .collect();
        let shares: Vec<String> = a
            .frozen_water
            .iter()
            .map(|f| right(&format!("{:.0}", f.percent), 5))
            .collect();
        page.line(&format!("  C  {}", temperatures.concat()));
        page.line(&format!("  %  {}", shares.concat()));
    }
    if let Some(body) = &a.body {
        page.gap();
        page.head(&format!(
            "Body at {:.0} C, overrun {:.0} %",
            body.celsius, body.overrun_percent
        ));
        page.line(&format!(
            "  ice {:.0} g per 100 g, {:.0} % of the volume; with solid fat {:.0} %",
            body.ice_percent, body.ice_volume_percent, body.solid_volume_percent
        ));
        if let (Some(here), Some(mouth)) = (body.solid_fat_percent, body.solid_fat_mouth_percent) {
            page.line(&format!(
                "  of the fat {here:.0} % is solid here, {mouth:.0} % still in the mouth (35 C)"
            ));
        }
        if let Some(celsius) = body.celsius_at_70_percent_frozen {
            page.line(&format!("  70 % of the water is frozen at {celsius:.1} C"));
        }
        if let Some(heat_shock) = body.heat_shock_percent_per_degree {
            page.line(&format!(
                "  between -18 and -12 C each degree melts {heat_shock:.1} % of the water"
            ));
        }
        page.labelled("  ", &body.note);
    }
    if let (Some(handbook), Some(own)) =
        (a.freezing_point_handbook_celsius, a.freezing_point_celsius)
    {
        page.gap();
        page.labelled("", &format!("For comparison, the handbook's sucrose equivalents give a freezing point of {handbook:.2} C (model {own:.2} C)."));
    }
    if let Some(doubt) = a
        .uncertainty
        .get("freezing_point")
        .filter(|d| !d.mostly.is_empty())
    {
        page.labelled("", &format!("The freezing point is uncertain mostly through {}; the model's own share is {:.2} C.", doubt.mostly.join(", "), doubt.model));
    }
    if !a.allergens.is_empty() {
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
    findings(page, "To look out for", &a.findings);
    steps(page, &a.process);
}

/// Findings or cautions, gravest first.
pub fn findings(page: &mut Page, head: &str, findings: &[FindingOut]) {
    if findings.is_empty() {
        return;
    }
    page.gap();
    page.head(head);
    for f in findings {
        let label = match f.severity.as_str() {
            "stop" => "  STOP  ",
            "watch" => "  watch ",
            _ => "  note  ",
        };
        page.marked(
            &f.severity,
            label,
            &format!("{} {}", f.text, cited(&f.source, &f.locator)),
        );
    }
}

/// The process plan.
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
