//! The fat phase of a mix: which fats, how much of them is solid, which do not agree.
//!
//! Fat inside an ingredient goes by its milk fat and cocoa butter; the rest by the oil of its
//! origin. Fat without a curve is named, never guessed.

use super::finding::Finding;
use crate::formula::{Assessor, Formula, MixView, Part};
use crate::model::Catalogue;
use crate::model::Ingredient;
use crate::model::rule::Severity;
use crate::model::unit::Celsius;
use crate::physics::fat::{Compatibility, FatFamily, SolidFatCurve, blend, compatibility};

/// Temperature of the mouth, C. Source: memory.
pub const MOUTH: f64 = 35.0;
/// Share of the fat that may lack a curve before no figure is given. Source: derived (a tenth moves a blend by less than its range).
const MISSING: f64 = 0.1;
/// Solid share of the fat at mouth temperature from which it coats the palate, %. Source: memory.
pub const WAXY: f64 = 5.0;
/// Fat of the mix below which wax is not felt, %. Source: memory.
const WAXY_FAT: f64 = 2.0;
/// Share of the fat phase from which a fat acts on another, %. Source: memory.
const ACTS: f64 = 5.0;

/// Which end of the published ranges a curve is drawn through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum End {
    Low,
    Typical,
    High,
}

/// One fat of the phase.
#[derive(Debug, Clone, PartialEq)]
struct Share {
    grams: f64,
    /// The ingredient whose curve is used.
    carrier: String,
    family: FatFamily,
    curves: [SolidFatCurve; 3],
}

/// The fat of a mix.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FatPhase {
    /// All of it, g.
    pub grams: f64,
    shares: Vec<Share>,
    /// Ingredients whose fat has no curve, with its grams, most first.
    pub unknown: Vec<(String, f64)>,
}

/// Solid share of the fat at a temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solid {
    /// g per 100 g fat.
    pub percent: f64,
    /// Half-width by the published ranges.
    pub plus_minus: f64,
    /// A curve ends before this temperature and its last point was repeated.
    pub held: bool,
}

impl FatPhase {
    /// The fat phase of a formula.
    pub fn of(assessor: Assessor<'_>, formula: &Formula) -> Self {
        let mut phase = FatPhase::default();
        for line in &formula.lines {
            let ingredient = assessor.catalogue.ingredient(line.key);
            let profile = assessor.profile(line.key);
            let gram = |part: Part| profile.number(part) / 100.0 * line.grams;
            let fat = gram(Part::Fat);
            if fat <= 0.0 {
                continue;
            }
            phase.grams += fat;
            let milk = gram(Part::MilkFat).min(fat);
            let cocoa = gram(Part::CocoaButter).min(fat - milk);
            phase.add(assessor, "butter-oil", &ingredient.name, milk);
            phase.add(assessor, "cocoa-butter", &ingredient.name, cocoa);
            let rest = fat - milk - cocoa;
            if rest < 0.02 * fat {
                continue;
            }
            let carrier = match curves(ingredient) {
                Some(_) => Some(ingredient.id.as_str()),
                None => by_origin(assessor.catalogue, ingredient),
            };
            phase.add(assessor, carrier.unwrap_or(""), &ingredient.name, rest);
        }
        phase
            .unknown
            .sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        phase
    }

    fn add(&mut self, assessor: Assessor<'_>, carrier: &str, name: &str, grams: f64) {
        if grams <= 0.0 {
            return;
        }
        if let Some(share) = self.shares.iter_mut().find(|s| s.carrier == carrier) {
            share.grams += grams;
            return;
        }
        let known = assessor.catalogue.key(carrier).and_then(|key| {
            let ingredient = assessor.catalogue.ingredient(key);
            Some((curves(ingredient)?, family(ingredient)))
        });
        match known {
            Some((curves, family)) => self.shares.push(Share {
                grams,
                carrier: carrier.into(),
                family,
                curves,
            }),
            None => match self.unknown.iter_mut().find(|(n, _)| n == name) {
                Some((_, sum)) => *sum += grams,
                None => self.unknown.push((name.into(), grams)),
            },
        }
    }

    /// Share of the fat that has a curve, 0 to 1.
    pub fn covered(&self) -> f64 {
        let known: f64 = self.shares.iter().map(|s| s.grams).sum();
        if self.grams > 0.0 {
            known / self.grams
        } else {
            0.0
        }
    }

    /// How much of the fat is solid; `None` without fat, or when more than a tenth has no curve.
    pub fn solid(&self, celsius: f64) -> Option<Solid> {
        if self.covered() < 1.0 - MISSING {
            return None;
        }
        let temperature = Celsius::new(celsius)?;
        let at = |end: End| {
            let parts: Vec<(f64, &SolidFatCurve)> = self
                .shares
                .iter()
                .map(|s| (s.grams, &s.curves[end as usize]))
                .collect();
            blend(&parts, temperature)
        };
        let (low, typical, high) = (at(End::Low)?, at(End::Typical)?, at(End::High)?);
        Some(Solid {
            percent: typical.percent,
            plus_minus: (high.percent - low.percent) / 2.0,
            held: typical.held && typical.percent > 0.0,
        })
    }

    /// Pairs of fats that do not agree: eutectics, by the ingredients that stand for them.
    pub fn eutectics(&self) -> Vec<(&str, &str)> {
        let acting: Vec<&Share> = self
            .shares
            .iter()
            .filter(|s| 100.0 * s.grams >= ACTS * self.grams)
            .collect();
        let mut pairs = vec![];
        for (n, one) in acting.iter().enumerate() {
            for other in &acting[n + 1..] {
                if compatibility(one.family, other.family) == Compatibility::Eutectic {
                    pairs.push((one.carrier.as_str(), other.carrier.as_str()));
                }
            }
        }
        pairs
    }
}

fn by_origin<'a>(catalogue: &'a Catalogue, ingredient: &Ingredient) -> Option<&'a str> {
    if ingredient.family == "emulsifier" {
        return None;
    }
    let origin = ingredient.origin.first()?;
    let mut fats = catalogue.fats.iter();
    let fat = fats.find(|fat| origin.contains(&fat.origin))?;
    Some(fat.stands_in.as_str())
}

fn family(ingredient: &Ingredient) -> FatFamily {
    let milk = |origin: &String| origin.contains("milk");
    match ingredient {
        i if i.is_of("lauric-fat") => FatFamily::Lauric,
        i if i.is_of("cocoa-like-fat") => FatFamily::CocoaButter,
        i if i.origin.iter().any(milk) => FatFamily::MilkFat,
        i if i.is_of("palm-fat") => FatFamily::Palm,
        i if i.is_of("hardstock") => FatFamily::Hardstock,
        _ => FatFamily::LiquidOil,
    }
}

/// The curves of a fat through the low, typical and high ends of its points; past the last point
/// it runs to nothing at the end of its melting range, where one is known.
fn curves(ingredient: &Ingredient) -> Option<[SolidFatCurve; 3]> {
    let molten = ingredient
        .all("melting_range")
        .filter_map(|v| Some(v.range()?.1))
        .fold(f64::NEG_INFINITY, f64::max);
    let through = |end: End| {
        let mut points: Vec<(Celsius, f64)> = ingredient
            .all("solid_fat_content")
            .filter_map(|v| {
                let (low, high) = v.range()?;
                let solid = match end {
                    End::Low => low,
                    End::Typical => v.figure()?,
                    End::High => high,
                };
                Some((Celsius::new(v.at_celsius()?)?, solid))
            })
            .collect();
        // A stable sort: the preferred row of a temperature stays first.
        points.sort_by(|a, b| a.0.get().total_cmp(&b.0.get()));
        points.dedup_by(|a, b| (a.0.get() - b.0.get()).abs() < 1e-9);
        let (last, solid) = *points.last()?;
        if solid > 0.0
            && molten > last.get()
            && let Some(end) = Celsius::new(molten)
        {
            points.push((end, 0.0));
        }
        SolidFatCurve::new(points)
    };
    Some([
        through(End::Low)?,
        through(End::Typical)?,
        through(End::High)?,
    ])
}

/// What the fat phase of a mix gives to look out for.
pub fn fats(view: &MixView<'_>) -> Vec<Finding> {
    let phase = FatPhase::of(view.assessor, view.formula);
    let share = 100.0 * phase.grams / view.state.sums.grams.max(1e-12);
    let mut found = vec![];
    let finding = |id: &str, severity, text: String, because: &str| Finding {
        standing: false,
        id: id.into(),
        severity,
        topic: "fat".into(),
        text,
        because: because.into(),
        source: "memory".into(),
        locator: String::new(),
    };
    let name = |id: &str| {
        view.assessor.catalogue.key(id).map_or(id.to_string(), |k| {
            view.assessor.catalogue.ingredient(k).name.clone()
        })
    };
    if let Some(solid) = phase.solid(MOUTH)
        && share >= WAXY_FAT
        && solid.percent >= WAXY
    {
        found.push(finding(
            "waxy-fat",
            Severity::Watch,
            format!("{:.0} % of the fat is still solid at {MOUTH} C: from about {WAXY} % on it coats the palate.", solid.percent),
            "Fat that does not melt in the mouth stays there as a film.",
        ));
    }
    if share >= WAXY_FAT {
        for (one, other) in phase.eutectics() {
            found.push(finding(
                &format!("eutectic-{one}-{other}"),
                Severity::Info,
                format!("{} and {} soften each other: less of the fat is solid than the sum says, and a coating of both blooms.", name(one), name(other)),
                "Their crystals do not fit together; a mixture melts below either.",
            ));
        }
        if phase.covered() < 1.0 - MISSING {
            let whose: Vec<&str> = phase
                .unknown
                .iter()
                .take(3)
                .map(|(n, _)| n.as_str())
                .collect();
            found.push(finding(
                "solid-fat-unknown",
                Severity::Info,
                format!("No solid fat curve is known for the fat of {}; how much of the fat is solid is left open.", whose.join(", ")),
                "A curve is measured, it cannot be worked out from composition alone.",
            ));
        }
    }
    found
}
