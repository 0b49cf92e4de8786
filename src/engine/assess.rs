//! A formula assessed.

use std::collections::BTreeMap;

use super::Engine;
use crate::answer::{Assessment, BodyOut, Composition, Doubt, FindingOut, FrozenAt, StepOut};
use crate::formula::{Assessor, FREEZER, Formula, MixView, Part, State};
use crate::model::unit::Celsius;
use crate::model::{Dial, Ingredient, Presence};
use crate::physics::fat::{self, SolidFatCurve};
use crate::physics::scoop;
use crate::texture::{self, Finding, Step};

/// Temperatures of the short curve, C.
const CURVE: [f64; 10] = [
    -2.0, -4.0, -5.0, -6.0, -8.0, -10.0, -12.0, -15.0, -18.0, -20.0,
];
/// Temperature of the mouth, C. Source: memory.
const MOUTH: f64 = 35.0;
/// Densities of water, fat and other solids in a mix, g/mL. Source: memory (handbook rule for ice cream mix).
const DENSITY_WATER: f64 = 1.0;
const DENSITY_FAT: f64 = 0.93;
const DENSITY_SOLIDS: f64 = 1.58;
/// Dials whose doubt is worked out.
const DOUBTED: [Dial; 8] = [
    Dial::Sweetness,
    Dial::FreezingPoint,
    Dial::FrozenAt12,
    Dial::FrozenAt18,
    Dial::TotalSolids,
    Dial::Fat,
    Dial::Sugars,
    Dial::Energy,
];

/// What an assessment may be told beside the formula.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AssessOptions {
    /// Air beaten in, ml per 100 ml of mix.
    pub overrun_percent: f64,
    /// Serving temperature, C.
    pub serving_celsius: f64,
    /// Work out how far each figure may be off.
    pub doubt: bool,
}

impl Default for AssessOptions {
    fn default() -> Self {
        AssessOptions {
            overrun_percent: 0.0,
            serving_celsius: FREEZER,
            doubt: true,
        }
    }
}

impl Engine {
    /// Everything that can be said of a formula.
    pub fn assess(&self, formula: &Formula, options: AssessOptions) -> Assessment {
        let assessor = self.assessor();
        let state = assessor.state(formula);
        let view = MixView {
            assessor,
            formula,
            state: &state,
        };
        let ingredients: Vec<&Ingredient> = formula
            .lines
            .iter()
            .map(|l| self.catalogue.ingredient(l.key))
            .collect();
        let mut findings: Vec<Finding> = texture::findings(&view);
        findings.extend(texture::cautions(&view));
        findings.sort_by_key(|f| std::cmp::Reverse(f.severity));
        Assessment {
            process: texture::process(&view, &ingredients)
                .into_iter()
                .map(step)
                .collect(),
            findings: findings.into_iter().map(finding).collect(),
            allergens: self.allergens(&ingredients),
            uncertainty: if options.doubt {
                self.doubts(formula)
            } else {
                BTreeMap::new()
            },
            body: self.body(formula, &state, options),
            ..self.figures(formula, &state)
        }
    }

    /// The figures of a formula alone, without rules.
    pub fn figures(&self, formula: &Formula, state: &State) -> Assessment {
        let dial = |dial: Dial| state.dial(dial).unwrap_or(0.0);
        let curve = CURVE
            .iter()
            .filter_map(|&celsius| {
                Some(FrozenAt {
                    celsius,
                    percent: state.frozen(celsius)?,
                })
            })
            .collect();
        Assessment {
            name: formula.name.clone(),
            batch_g: formula.grams(),
            composition: Composition {
                water_percent: dial(Dial::Water),
                fat_percent: dial(Dial::Fat),
                protein_percent: dial(Dial::Protein),
                sugars_percent: dial(Dial::Sugars),
                lactose_percent: dial(Dial::Lactose),
                polyols_percent: dial(Dial::Polyols),
                starch_percent: dial(Dial::Starch),
                fibre_percent: dial(Dial::Fibre),
                alcohol_percent: dial(Dial::Alcohol),
                salt_percent: dial(Dial::Salt),
                total_solids_percent: dial(Dial::TotalSolids),
                msnf_percent: dial(Dial::Msnf),
            },
            sweetness_percent: state.sweetness,
            freezing_point_celsius: state.dial(Dial::FreezingPoint),
            freezing_point_handbook_celsius: handbook(state),
            frozen_water: curve,
            water_activity_20_celsius: state.water_activity(),
            energy_kcal_per_100_g: dial(Dial::Energy),
            energy_us_kcal_per_100_g: state.sums.percent(Part::EnergyUs),
            stabiliser_percent: dial(Dial::Stabiliser),
            emulsifier_percent: dial(Dial::Emulsifier),
            body: None,
            allergens: vec![],
            process: vec![],
            findings: vec![],
            uncertainty: BTreeMap::new(),
        }
    }

    fn doubts(&self, formula: &Formula) -> BTreeMap<String, Doubt> {
        let spreads = self.assessor().spreads(formula, &DOUBTED);
        let name = |c: &crate::formula::Contribution| {
            format!("{} of {}", c.part.id(), self.catalogue.ingredient(c.key).id)
        };
        spreads
            .into_iter()
            .map(|s| {
                (
                    s.dial.id().to_string(),
                    Doubt {
                        plus_minus: s.half_width,
                        model: s.model,
                        mostly: s.largest.iter().map(name).collect(),
                    },
                )
            })
            .collect()
    }

    /// Allergen statements of the ingredients, one line per allergen with its lists.
    pub fn allergens(&self, ingredients: &[&Ingredient]) -> Vec<String> {
        let mut stated: BTreeMap<(&str, Presence), Vec<&str>> = BTreeMap::new();
        for ingredient in ingredients {
            for row in ingredient
                .allergens
                .iter()
                .filter(|r| !matches!(r.presence, Presence::NoneByNature | Presence::Exempt))
            {
                let names = stated.entry((&row.substance, row.presence)).or_default();
                if !names.contains(&ingredient.name.as_str()) {
                    names.push(&ingredient.name);
                }
            }
        }
        let line = |((substance, presence), names): ((&str, Presence), Vec<&str>)| {
            let lists: Vec<&str> = self
                .catalogue
                .allergen_lists
                .iter()
                .filter(|l| l.substance == substance)
                .map(|l| l.list.as_str())
                .collect();
            let on = if lists.is_empty() {
                "on no list held here".to_string()
            } else {
                lists.join(", ")
            };
            format!(
                "{} {substance} ({on}): {}",
                presence.word(),
                names.join(", ")
            )
        };
        stated.into_iter().map(line).collect()
    }

    fn body(&self, formula: &Formula, state: &State, options: AssessOptions) -> Option<BodyOut> {
        let solution = &state.sums.solution;
        let serving = Celsius::new(options.serving_celsius)?;
        let sums = &state.sums;
        let (water, fat) = (sums.part(Part::Water), sums.part(Part::Fat));
        let volume =
            water / DENSITY_WATER + fat / DENSITY_FAT + (sums.grams - water - fat) / DENSITY_SOLIDS;
        let solid = |celsius: f64| solid_fat(self.assessor(), formula, Celsius::new(celsius)?);
        let solid_here = solid(options.serving_celsius);
        let body = scoop::Body {
            mix_grams: sums.grams,
            mix_density: sums.grams / volume,
            solid_fat_grams: solid_here.unwrap_or(0.0) / 100.0 * fat,
            overrun_percent: options.overrun_percent,
        };
        let solids = scoop::solids(solution, body, serving)?;
        Some(BodyOut {
            celsius: options.serving_celsius,
            overrun_percent: options.overrun_percent,
            ice_percent: 100.0 * solids.ice_grams / sums.grams,
            ice_volume_percent: 100.0 * solids.ice_volume_aerated,
            solid_volume_percent: 100.0 * solids.solid_volume_aerated,
            solid_fat_percent: solid_here,
            solid_fat_mouth_percent: solid(MOUTH),
            celsius_at_70_percent_frozen: scoop::serving_temperature(solution, 0.7).map(Celsius::get),
            heat_shock_percent_per_degree: scoop::heat_shock(solution, scoop::CABINET_COLD, scoop::CABINET_WARM).map(|h| 100.0 * h),
            note: "ranks recipes against each other at one temperature; not calibrated against a measured hardness".into(),
        })
    }
}

/// Solid share of the fat of a formula; `None` when a tenth or more of the fat has no published curve.
pub fn solid_fat(assessor: Assessor<'_>, formula: &Formula, temperature: Celsius) -> Option<f64> {
    let mut curves: Vec<(f64, SolidFatCurve)> = vec![];
    let (mut known, mut all) = (0.0, 0.0);
    for line in &formula.lines {
        let profile = assessor.profile(line.key);
        let gram = |part: Part| profile.number(part) / 100.0 * line.grams;
        let fat = gram(Part::Fat);
        all += fat;
        let (milk, cocoa) = (
            gram(Part::MilkFat).min(fat),
            gram(Part::CocoaButter).min(fat),
        );
        let own = curve_of(assessor.catalogue.ingredient(line.key));
        let mut part = |grams: f64, curve: Option<SolidFatCurve>| {
            if let (true, Some(curve)) = (grams > 0.0, curve) {
                known += grams;
                curves.push((grams, curve));
            }
        };
        let carried = |id: &str| {
            assessor
                .catalogue
                .key(id)
                .and_then(|k| curve_of(assessor.catalogue.ingredient(k)))
        };
        match own {
            Some(curve) => part(fat, Some(curve)),
            None => {
                part(milk, carried("butter-oil"));
                part(cocoa, carried("cocoa-butter"));
            }
        }
    }
    if all <= 0.0 || known < 0.9 * all {
        return None;
    }
    let parts: Vec<(f64, &SolidFatCurve)> = curves.iter().map(|(g, c)| (*g, c)).collect();
    fat::blend(&parts, temperature).map(|s| s.percent)
}

fn curve_of(ingredient: &Ingredient) -> Option<SolidFatCurve> {
    let mut points: Vec<(Celsius, f64)> = ingredient
        .all("solid_fat_content")
        .filter_map(|v| Some((Celsius::new(v.at_celsius()?)?, v.figure()?)))
        .collect();
    points.sort_by(|a, b| a.0.get().total_cmp(&b.0.get()));
    points.dedup_by(|a, b| (a.0.get() - b.0.get()).abs() < 1e-9);
    SolidFatCurve::new(points)
}

/// The freezing point by the handbook's sucrose equivalents, for comparison.
fn handbook(state: &State) -> Option<f64> {
    use crate::physics::solute::Solute;
    use crate::physics::sucrose_equivalent::{Handbook, factor};
    let sums = &state.sums;
    let water = sums.part(Part::Water);
    let single: f64 = Solute::ALL
        .into_iter()
        .filter_map(|s| Some(sums.part(Part::parse(s.id())?) * factor(s)))
        .sum();
    // Higher saccharides of usual syrups count about a third; the handbook has a factor per syrup only.
    let equivalents =
        single + 0.35 * sums.part(Part::HigherSaccharides) + sums.part(Part::UnspecifiedSugars);
    let handbook = Handbook {
        water,
        sucrose_equivalent: equivalents,
        milk_and_whey_solids: sums.part(Part::MilkSolidsNotFat),
    };
    handbook.freezing_point(0.0).map(Celsius::get)
}

/// A finding as data.
pub fn finding(f: Finding) -> FindingOut {
    FindingOut {
        id: f.id,
        severity: f.severity.word().into(),
        topic: f.topic,
        text: f.text,
        because: f.because,
        source: f.source,
        locator: f.locator,
    }
}

/// A step as data.
pub fn step(s: Step) -> StepOut {
    StepOut {
        rule: s.rule,
        phase: s.phase,
        celsius: s.celsius.map(|c| c.typical),
        minutes: s.minutes.map(|m| m.typical),
        text: s.text,
        ingredients: s.ingredients,
        because: s.because,
        source: s.source,
        locator: s.locator,
    }
}
