//! The nutrition table: sums by the jurisdiction's own definitions, energy by its factors, rounding by
//! its bands. What a line does not state is bounded by what is left of it, and the figure is given
//! only where that cannot matter.

use super::Case;
use super::round::shown;
use crate::answer::{EnergyOut, NutrientOut};
use crate::formula::{Assessor, Part, Profile};
use crate::model::label::{Band, Labels, Nutrient, Sum, Who};
use crate::model::{Ingredient, IngredientKey};

/// The least and the most of something, per 100 g of an ingredient or a food.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Range {
    /// What is stated.
    pub low: f64,
    /// With all that could be there beside it.
    pub high: f64,
}

impl Range {
    fn known(number: f64) -> Range {
        Range {
            low: number,
            high: number,
        }
    }

    fn times(self, factor: f64) -> Range {
        match factor >= 0.0 {
            true => Range {
                low: factor * self.low,
                high: factor * self.high,
            },
            false => Range {
                low: factor * self.high,
                high: factor * self.low,
            },
        }
    }

    fn plus(self, other: Range) -> Range {
        Range {
            low: self.low + other.low,
            high: self.high + other.high,
        }
    }

    /// An amount is never below nothing.
    fn amount(self) -> Range {
        Range {
            low: self.low.max(0.0),
            high: self.high.max(0.0),
        }
    }
}

/// What a part is made of, as far as the data tell parts of it.
fn pieces(part: Part) -> &'static [Part] {
    match part {
        Part::Fat => &[
            Part::SaturatedFat,
            Part::MonounsaturatedFat,
            Part::PolyunsaturatedFat,
        ],
        Part::CarbohydrateAvailable => &[
            Part::Sugars,
            Part::Polyols,
            Part::Starch,
            Part::HigherSaccharides,
        ],
        Part::CarbohydrateByDifference => {
            &[Part::CarbohydrateAvailable, Part::Fibre, Part::OrganicAcids]
        }
        Part::OrganicAcids => &[
            Part::CitricAcid,
            Part::MalicAcid,
            Part::TartaricAcid,
            Part::LacticAcid,
            Part::AceticAcid,
        ],
        // A salt without an analysis of its ash is mineral all the same.
        Part::Ash => &[
            Part::SodiumChloride,
            Part::PotassiumChloride,
            Part::CalciumChloride,
            Part::SodiumBicarbonate,
            Part::TrisodiumCitrate,
            Part::DipotassiumPhosphate,
        ],
        // Milk sugar in milk is nobody's addition.
        Part::Sugars => &[Part::Lactose, Part::Galactose],
        _ => &[],
    }
}

/// What a part is a piece of.
fn whole(part: Part) -> Option<Part> {
    match part {
        Part::SaturatedFat | Part::MonounsaturatedFat | Part::PolyunsaturatedFat => Some(Part::Fat),
        Part::Sugars | Part::Starch | Part::Polyols | Part::HigherSaccharides => {
            Some(Part::CarbohydrateAvailable)
        }
        Part::AddedSugar => Some(Part::Sugars),
        Part::Fibre | Part::CarbohydrateAvailable | Part::OrganicAcids => {
            Some(Part::CarbohydrateByDifference)
        }
        Part::Sodium | Part::Potassium | Part::Calcium => Some(Part::Ash),
        Part::Cholesterol => Some(Part::Fat),
        _ => None,
    }
}

/// The most of a part, in its unit, that a gram of room can hold.
///
/// Source: derived from molar masses: of sodium, potassium and calcium what their carbonates hold, the
/// richest of common minerals (2 x 22.990/105.99, 2 x 39.098/138.21, 40.078/100.09), in milligrams.
fn most_in_a_gram(part: Part) -> f64 {
    match part {
        Part::Sodium => 434.0,
        Part::Potassium => 566.0,
        Part::Calcium => 400.0,
        Part::Cholesterol => 1000.0,
        _ => 1.0,
    }
}

/// What 100 g of an ingredient hold of a part: its figure, else what is told of its pieces and what
/// room is left for more.
pub fn held(assessor: Assessor<'_>, key: IngredientKey, part: Part) -> Range {
    let ingredient = assessor.catalogue.ingredient(key);
    let profile = assessor.profile(key);
    if let Some(figure) = profile.figure(part) {
        return Range::known(figure.typical);
    }
    let property = assessor.catalogue.property(part.id());
    if property.is_some_and(|p| !p.applies_to(&ingredient.family)) {
        return Range::default();
    }
    let low: f64 = (pieces(part).iter())
        .map(|piece| held(assessor, key, *piece).low)
        .sum();
    let of_whole = whole(part).and_then(|w| profile.figure(w)).map(|f| {
        let others = pieces(whole(part).unwrap_or(part)).iter();
        let told = others.filter(|p| **p != part).map(|p| profile.number(*p));
        (f.typical - told.sum::<f64>()).max(0.0)
    });
    let room = of_whole.unwrap_or_else(|| left(profile)).max(0.0);
    let scale = most_in_a_gram(part);
    // What is made of told pieces has them beside the room.
    let high = match of_whole {
        Some(_) => scale * room,
        None => scale * room + low,
    };
    Range {
        low,
        high: high.max(low),
    }
}

/// What is left of 100 g when all that is told is taken away, g.
fn left(profile: &Profile) -> f64 {
    (100.0 - told(profile, &CLOSING)).max(0.0)
}

/// What 100 g of anything come to.
const CLOSING: [Part; 6] = [
    Part::Water,
    Part::Fat,
    Part::Protein,
    Part::CarbohydrateByDifference,
    Part::Ash,
    Part::Alcohol,
];

/// What is told of some parts: the figure of each, or of its pieces where they come to more.
fn told(profile: &Profile, parts: &[Part]) -> f64 {
    let each = parts.iter().map(|part| {
        let of_pieces = told(profile, pieces(*part));
        profile.number(*part).max(of_pieces)
    });
    each.sum()
}

/// A figure of a food: its range, and who leaves it open by how much, both per 100 g.
struct Summed {
    range: Range,
    open: Vec<(String, f64)>,
}

impl Case<'_> {
    fn summed(&self, sum_of: impl Fn(&Ingredient) -> Vec<(f64, Part)>) -> Summed {
        let catalogue = self.assessor.catalogue;
        let mut summed = Summed {
            range: Range::default(),
            open: vec![],
        };
        for line in &self.apart.lines {
            let ingredient = catalogue.ingredient(line.key);
            let mut range = Range::default();
            for (factor, part) in sum_of(ingredient) {
                range = range.plus(held(self.assessor, line.key, part).times(factor));
            }
            let range = range.amount().times(line.grams / self.finished);
            if range.high - range.low > 1e-9 {
                summed
                    .open
                    .push((ingredient.name.clone(), range.high - range.low));
            }
            summed.range = summed.range.plus(range);
        }
        summed.open.sort_by(|a, b| b.1.total_cmp(&a.1));
        summed
    }

    /// The nutrition table and what gives its energy.
    pub(super) fn nutrition(&self) -> (Vec<NutrientOut>, Vec<EnergyOut>) {
        let rows = Labels::nearest(&self.chain, &self.labels.nutrients, |n| &n.jurisdiction);
        let bands = Labels::nearest(&self.chain, &self.labels.bands, |b| &b.jurisdiction);
        let (kcal, kilojoules, energy) = self.energy();
        let mut out = vec![];
        for row in rows {
            let units: Vec<&str> = row.unit.split('/').map(str::trim).collect();
            let figures: Vec<&Summed> = match row.nutrient == "energy" {
                true => (units.iter())
                    .map(|u| if *u == "kJ" { &kilojoules } else { &kcal })
                    .collect(),
                false => vec![],
            };
            match (figures.is_empty(), row.sum.is_empty()) {
                (false, _) => out.push(self.line(row, &bands, &units, &figures)),
                (true, true) => out.push(self.not_held(row)),
                (true, false) => {
                    let summed = self.summed(|i| terms(row, i));
                    // A voluntary line of nothing only fills the table.
                    if row.required || summed.range.high > row.slack {
                        out.push(self.line(row, &bands, &units, &[&summed]));
                    }
                }
            }
        }
        (out, energy)
    }

    fn energy(&self) -> (Summed, Summed, Vec<EnergyOut>) {
        let empty = || Summed {
            range: Range::default(),
            open: vec![],
        };
        let (mut kcal, mut kilojoules, mut out) = (empty(), empty(), vec![]);
        let rows = Labels::nearest(&self.chain, &self.labels.energy, |e| &e.jurisdiction);
        for row in rows {
            let summed = self.summed(|_| parts(&row.sum));
            for (total, factor) in [(&mut kcal, row.kcal), (&mut kilojoules, row.kilojoules)] {
                let factor = factor.unwrap_or(0.0);
                total.range = total.range.plus(summed.range.times(factor));
                for (name, amount) in &summed.open {
                    match total.open.iter_mut().find(|(n, _)| n == name) {
                        Some((_, sum)) => *sum += factor * amount,
                        None => total.open.push((name.clone(), factor * amount)),
                    }
                }
            }
            if summed.range.low > 0.0 {
                out.push(EnergyOut {
                    component: row.component.clone(),
                    grams_per_100_g: summed.range.low,
                    kcal_per_g: row.kcal,
                    kj_per_g: row.kilojoules,
                    source: row.source.clone(),
                    locator: row.locator.clone(),
                });
            }
        }
        for total in [&mut kcal, &mut kilojoules] {
            total.open.retain(|(_, amount)| *amount > 1e-9);
            total.open.sort_by(|a, b| b.1.total_cmp(&a.1));
        }
        (kcal, kilojoules, out)
    }

    fn line(
        &self,
        row: &Nutrient,
        bands: &[&Band],
        units: &[&str],
        figures: &[&Summed],
    ) -> NutrientOut {
        let first = figures[0];
        let range = first.range;
        // Slack is written in the last unit: kilocalories where kilojoules stand before them.
        let last = figures[figures.len() - 1].range;
        let known = last.high - last.low <= row.slack + 1e-9;
        let shown_in = |basis: &str| {
            let grams = self.grams_in(basis) / 100.0;
            let each = figures.iter().zip(units);
            let each: Vec<String> = each
                .map(|(f, unit)| shown(bands, &row.nutrient, f.range.low * grams, unit))
                .collect();
            match known {
                true => each.join(" / "),
                false => "not known".into(),
            }
        };
        let per_serving = range.low * self.serving / 100.0;
        NutrientOut {
            nutrient: row.nutrient.clone(),
            label: row.label.clone(),
            unit: units[0].to_string(),
            indent: row.indent,
            required: row.required,
            per_100_g: known.then_some(range.low),
            at_least_per_100_g: range.low,
            may_be_more_by: range.high - range.low,
            shown: self.bases().iter().map(|b| shown_in(b)).collect(),
            daily_percent: row
                .daily
                .filter(|_| known)
                .map(|d| (100.0 * per_serving / d).round()),
            not_stated_by: first.open.iter().map(|(name, _)| name.clone()).collect(),
            source: row.source.clone(),
            locator: row.locator.clone(),
        }
    }

    /// A line the data here know nothing of.
    fn not_held(&self, row: &Nutrient) -> NutrientOut {
        NutrientOut {
            nutrient: row.nutrient.clone(),
            label: row.label.clone(),
            unit: row.unit.clone(),
            indent: row.indent,
            required: row.required,
            per_100_g: None,
            at_least_per_100_g: 0.0,
            may_be_more_by: 0.0,
            shown: vec!["not known".into(); self.bases().len()],
            daily_percent: None,
            not_stated_by: vec![],
            source: row.source.clone(),
            locator: row.locator.clone(),
        }
    }

    /// Per cent of the food that a sum over some ingredients comes to; of their weight where it is empty.
    pub(super) fn share(&self, who: &Who, of: &Sum) -> f64 {
        match of.is_empty() {
            true => {
                let catalogue = self.assessor.catalogue;
                let lines = self.apart.lines.iter();
                let held = lines.filter(|l| who.contains(&catalogue.ingredient(l.key).id));
                100.0 * held.map(|l| l.grams).sum::<f64>() / self.finished
            }
            false => {
                let some = |i: &Ingredient| match who.contains(&i.id) {
                    true => parts(of),
                    false => vec![],
                };
                self.summed(some).range.low
            }
        }
    }
}

fn parts(sum: &Sum) -> Vec<(f64, Part)> {
    let part = |(factor, id): &(f64, String)| Some((*factor, Part::parse(id)?));
    sum.iter().filter_map(part).collect()
}

/// What counts of an ingredient in a row.
fn terms(row: &Nutrient, ingredient: &Ingredient) -> Vec<(f64, Part)> {
    if row.never.contains(&ingredient.id) {
        return vec![];
    }
    match row.within.is_empty() || row.within.contains(&ingredient.id) {
        true => parts(&row.sum),
        false => parts(&row.outside),
    }
}
