//! Two assessments side by side: differences, and what they mean for the spoon.

use serde::{Deserialize, Serialize};

use super::Assessment;

/// Difference of the frozen water that a spoon feels, points. Source: memory.
const FELT: f64 = 1.0;
/// Temperatures the verdict looks at, C, the colder first. Source: common-practice.
const LOOKED_AT: [f64; 2] = [-18.0, -12.0];

/// A formula beside another one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Against {
    /// The other's name.
    pub name: String,
    /// Figure by figure.
    pub differences: Vec<Difference>,
    /// In one line.
    pub verdict: String,
}

/// One figure of both.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Difference {
    /// Which.
    pub property: String,
    /// Of this formula.
    pub this: f64,
    /// Of the other.
    pub other: f64,
    /// This less the other.
    pub difference: f64,
}

fn frozen(a: &Assessment, celsius: f64) -> Option<f64> {
    let at = a.frozen_water.iter().find(|f| f.celsius == celsius)?;
    Some(at.percent)
}

impl Against {
    /// `this` beside `other`.
    pub fn of(this: &Assessment, other: &Assessment) -> Self {
        let body = |a: &Assessment| a.body.as_ref().map(|b| b.solid_volume_percent);
        let fields: [(&str, Option<f64>, Option<f64>); 9] = [
            (
                "sweetness_percent",
                Some(this.sweetness_percent),
                Some(other.sweetness_percent),
            ),
            (
                "freezing_point_celsius",
                this.freezing_point_celsius,
                other.freezing_point_celsius,
            ),
            (
                "frozen_water_12_percent",
                frozen(this, -12.0),
                frozen(other, -12.0),
            ),
            (
                "frozen_water_18_percent",
                frozen(this, -18.0),
                frozen(other, -18.0),
            ),
            ("solid_volume_percent", body(this), body(other)),
            (
                "total_solids_percent",
                Some(this.composition.total_solids_percent),
                Some(other.composition.total_solids_percent),
            ),
            (
                "fat_percent",
                Some(this.composition.fat_percent),
                Some(other.composition.fat_percent),
            ),
            (
                "sugars_percent",
                Some(this.composition.sugars_percent),
                Some(other.composition.sugars_percent),
            ),
            (
                "energy_kcal_per_100_g",
                Some(this.energy_kcal_per_100_g),
                Some(other.energy_kcal_per_100_g),
            ),
        ];
        let differences = fields
            .into_iter()
            .filter_map(|(property, a, b)| {
                let (this, other) = (a?, b?);
                Some(Difference {
                    property: property.into(),
                    this,
                    other,
                    difference: this - other,
                })
            })
            .collect();
        Against {
            name: other.name.clone(),
            differences,
            verdict: verdict(this, other),
        }
    }
}

/// `softer by 3 points of frozen water at -18 C (2 at -12 C), less sweet by 1.2`.
fn verdict(this: &Assessment, other: &Assessment) -> String {
    let gaps: Vec<(f64, f64)> = LOOKED_AT
        .into_iter()
        .filter_map(|celsius| Some((celsius, frozen(this, celsius)? - frozen(other, celsius)?)))
        .collect();
    let mut parts = vec![];
    if let [(cold, gap), rest @ ..] = gaps.as_slice() {
        let also: Vec<String> = rest
            .iter()
            .map(|(celsius, gap)| format!("{:+.0} at {celsius:.0} C", gap + 0.0))
            .collect();
        let also = if also.is_empty() {
            String::new()
        } else {
            format!(" ({})", also.join(", "))
        };
        parts.push(if gap.abs() < FELT {
            format!("as hard at {cold:.0} C, within {FELT:.0} point of frozen water{also}")
        } else {
            let word = if *gap < 0.0 { "softer" } else { "harder" };
            let points = if gap.abs() < 1.5 { "point" } else { "points" };
            format!(
                "{word} by {:.0} {points} of frozen water at {cold:.0} C{also}",
                gap.abs()
            )
        });
    }
    let sweeter = this.sweetness_percent - other.sweetness_percent;
    parts.push(match sweeter {
        s if s.abs() < 0.5 => "as sweet".to_string(),
        s if s > 0.0 => format!("sweeter by {s:.1}"),
        s => format!("less sweet by {:.1}", -s),
    });
    parts.join("; ")
}
