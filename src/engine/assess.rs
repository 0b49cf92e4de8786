//! A formula assessed.

use std::collections::BTreeMap;

use super::{Engine, summary};
use crate::answer::{
    Against, Assessment, BodyOut, Composition, CrystalOut, DishOut, Doubt, FindingOut, FrozenAt,
    GlassOut, Readiness, StepOut,
};
use crate::formula::{Cause, Dish, FREEZER, Formula, MixView, Output, Part, State};
use crate::model::unit::Celsius;
use crate::model::{Dial, DishKind, Ingredient, OTHERS, Presence};
use crate::physics::solute::Solute;
use crate::physics::{glass, scoop, solubility};
use crate::texture::{self, Crystal, FatPhase, Finding, MOUTH, Step};

/// Temperatures of the short curve, C.
const CURVE: [f64; 10] = [
    -2.0, -4.0, -5.0, -6.0, -8.0, -10.0, -12.0, -15.0, -18.0, -20.0,
];
/// Densities of water, fat and other solids in a mix, g/mL. Source: memory (handbook rule for ice cream mix).
const DENSITY_WATER: f64 = 1.0;
const DENSITY_FAT: f64 = 0.93;
const DENSITY_SOLIDS: f64 = 1.58;
/// Share of the water frozen at the softer end of a usual scoop. Source: memory.
const SCOOP: f64 = 0.7;

/// What an assessment may be told beside the formula.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AssessOptions {
    /// Air beaten in, ml per 100 ml of mix.
    pub overrun_percent: f64,
    /// Serving temperature, C.
    pub serving_celsius: f64,
    /// Work out how far each figure may be off.
    pub doubt: bool,
    /// Try what in grams would bring figures back to what is usual.
    pub fixes: bool,
}

impl Default for AssessOptions {
    fn default() -> Self {
        AssessOptions {
            overrun_percent: 0.0,
            serving_celsius: FREEZER,
            doubt: true,
            fixes: true,
        }
    }
}

impl Engine {
    /// Sets another formula beside one that is assessed, at the same temperature and overrun; the
    /// assessment of the other.
    pub fn set_against(
        &self,
        assessment: &mut Assessment,
        other: &Formula,
        options: AssessOptions,
    ) -> Assessment {
        let options = AssessOptions {
            doubt: false,
            ..options
        };
        let other = self.assess(other, options);
        assessment.against = Some(Against::of(assessment, &other));
        other
    }

    /// Everything that can be said of a formula.
    pub fn assess(&self, formula: &Formula, options: AssessOptions) -> Assessment {
        let assessor = self.assessor();
        // However often an ingredient stands in the file, it is asked of once.
        let formula = &formula.merged();
        let state = assessor.state(formula);
        let ingredients_of = |formula: &Formula| -> Vec<&Ingredient> {
            let lines = formula.merged().lines;
            lines
                .iter()
                .map(|l| self.catalogue.ingredient(l.key))
                .collect()
        };
        // Rules speak of what is in the mix, also where it came in as a part of something else.
        let apart = formula.taken_apart(&self.catalogue);
        let view = MixView::new(assessor, &apart, &state);
        let (bought, ingredients) = (ingredients_of(formula), ingredients_of(&apart));
        let dish = Dish::of(assessor, &apart, &state);
        let frozen = dish.kind == DishKind::Frozen;
        let mut findings: Vec<Finding> = texture::findings(&view);
        findings.extend(texture::cautions(&view));
        findings.sort_by_key(|f| std::cmp::Reverse(f.severity));
        let steps = texture::process(&view, &ingredients);
        let mut assessment = Assessment {
            plan: self.plan_of(formula, &dish.made_as, ""),
            process: steps.into_iter().map(step).collect(),
            findings: findings.into_iter().map(finding).collect(),
            allergens: self.allergens(&bought),
            overruled: self.overruled(bought.iter().copied()),
            body: frozen.then(|| self.body(&apart, &state, options)).flatten(),
            crystallising: texture::crystallising(&state, options.serving_celsius)
                .iter()
                .filter(|_| frozen)
                .map(|c| crystal(c, &state))
                .collect(),
            glass: frozen.then(|| glass_of(&state)).flatten(),
            dish: self.dish_out(&dish),
            taken_for: dish.taken_for(),
            ..self.figures(formula, &state)
        };
        // The gravest first, those of the law among them.
        let law = self.law_of(formula, &view);
        assessment.findings.splice(0..0, law);
        assessment
            .findings
            .sort_by_key(|f| std::cmp::Reverse(f.severity));
        if options.doubt {
            self.doubts(formula, &state, &mut assessment, options.serving_celsius);
        }
        self.judge(&mut assessment, formula, &view, &dish, options.fixes);
        let lines = formula.lines.iter().map(|line| (line.key, line.grams));
        assessment.formula = self.amounts(lines);
        assessment.assumed = self.assumed(formula);
        assessment.aside = formula.aside.clone();
        let summary = summary::of_assessment(&assessment);
        assessment.summary = summary::with_uncounted(summary, formula);
        assessment
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
                    plus_minus: None,
                })
            })
            .collect();
        Assessment {
            summary: String::new(),
            formula: vec![],
            assumed: vec![],
            aside: vec![],
            name: formula.name.clone(),
            dish: DishOut::default(),
            softness: None,
            departures: vec![],
            taken_for: String::new(),
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
            sweetness_trade_percent: 100.0 * state.sums.trade_sweetness
                / state.sums.grams.max(1e-12),
            freezing_point_celsius: state.dial(Dial::FreezingPoint),
            freezing_point_handbook_celsius: handbook(state),
            frozen_water: curve,
            water_activity_20_celsius: state.water_activity(),
            energy_kcal_per_100_g: dial(Dial::Energy),
            energy_us_kcal_per_100_g: state.sums.percent(Part::EnergyUs),
            stabiliser_percent: dial(Dial::Stabiliser),
            emulsifier_percent: dial(Dial::Emulsifier),
            body: None,
            crystallising: vec![],
            glass: None,
            against: None,
            cost: self.cost(formula, state),
            overruled: vec![],
            allergens: vec![],
            plan: vec![],
            process: vec![],
            findings: vec![],
            uncertainty: BTreeMap::new(),
        }
    }

    /// Works out how far every figure may be off, and what contributes most.
    fn doubts(&self, formula: &Formula, state: &State, a: &mut Assessment, serving: f64) {
        let mut outputs: Vec<(String, Output)> = Dial::ALL
            .into_iter()
            .filter(|(dial, ..)| state.dial(*dial).is_some())
            .map(|(dial, id, ..)| (id.to_string(), Output::Dial(dial)))
            .collect();
        outputs.extend([
            ("water_activity_20".into(), Output::WaterActivity),
            ("ice".into(), Output::Ice(serving)),
            (
                "celsius_at_70_percent_frozen".into(),
                Output::FrozenBy(SCOOP),
            ),
            ("heat_shock".into(), Output::HeatShock),
        ]);
        let named = outputs.len();
        let temperatures = a.frozen_water.iter().map(|f| f.celsius);
        outputs.extend(temperatures.map(|c| (String::new(), Output::Frozen(c))));
        let asked: Vec<Output> = outputs.iter().map(|(_, output)| *output).collect();
        let mut spreads = self.assessor().spreads(formula, &asked);
        for (at, spread) in a.frozen_water.iter_mut().zip(spreads.split_off(named)) {
            at.plus_minus = Some(spread.half_width);
        }
        a.uncertainty = outputs
            .into_iter()
            .zip(spreads)
            // A nought that nobody disputes has no doubt; one that only lacks figures has.
            .filter(|((_, output), spread)| {
                let figure = output.read(state);
                figure.is_some_and(|figure| figure != 0.0 || spread.half_width > 1e-6)
            })
            .map(|((id, _), s)| {
                let doubt = Doubt {
                    plus_minus: s.half_width,
                    model: s.model,
                    mostly: s.largest.iter().map(|c| self.cause(c.cause)).collect(),
                };
                (id, doubt)
            })
            .collect();
    }

    /// How far the frozen share may be off at each temperature, points.
    pub fn frozen_doubts(&self, formula: &Formula, celsius: &[f64]) -> Vec<f64> {
        let outputs: Vec<Output> = celsius.iter().map(|c| Output::Frozen(*c)).collect();
        let spreads = self.assessor().spreads(formula, &outputs);
        spreads.into_iter().map(|s| s.half_width).collect()
    }

    /// A cause of doubt in words: `the water of sour cherry puree`.
    fn cause(&self, cause: Cause) -> String {
        match cause {
            Cause::Figure(key, part) => {
                let property = self
                    .catalogue
                    .property(part.id())
                    .map_or(part.id().replace('_', " "), |p| p.name.clone());
                format!("the {property} of {}", self.catalogue.ingredient(key).name)
            }
            Cause::Untold(key, part) => {
                let name = &self.catalogue.ingredient(key).name;
                match part {
                    Part::Water => format!("the water of {name}, which is not told"),
                    Part::Sugars => format!(
                        "how much of the carbohydrate of {name} is sugar, which is not told"
                    ),
                    _ => format!("which sugars {name} holds, which is not told"),
                }
            }
            Cause::Panel(solute) => {
                format!("how sweet tasters find {}", solute.id().replace('_', " "))
            }
        }
    }

    /// Allergen statements of the ingredients, one line per allergen with its lists; a list that
    /// exempts an ingredient does not count for it.
    pub fn allergens(&self, ingredients: &[&Ingredient]) -> Vec<String> {
        type Statement<'a> = (&'a str, Presence, Vec<&'a str>);
        let mut stated: BTreeMap<Statement<'_>, Vec<&str>> = BTreeMap::new();
        for ingredient in ingredients {
            let exempt = |substance: &str| -> Vec<&str> {
                let rows = ingredient.allergens.iter();
                rows.filter(|r| r.presence == Presence::Exempt && r.substance == substance)
                    .map(|r| r.list.as_str())
                    .collect()
            };
            for row in ingredient
                .allergens
                .iter()
                .filter(|r| !matches!(r.presence, Presence::NoneByNature | Presence::Exempt))
            {
                let statement = (row.substance.as_str(), row.presence, exempt(&row.substance));
                let names = stated.entry(statement).or_default();
                if !names.contains(&ingredient.name.as_str()) {
                    names.push(&ingredient.name);
                }
            }
        }
        let line = |((substance, presence, exempt), names): (Statement<'_>, Vec<&str>)| {
            let names = names.join(", ");
            if substance == OTHERS {
                return format!("{} what else a list names: {names}", presence.word());
            }
            let lists: Vec<&str> = self
                .catalogue
                .allergen_lists
                .iter()
                .filter(|l| l.substance == substance && !exempt.contains(&l.list.as_str()))
                .map(|l| l.list.as_str())
                .collect();
            let on = match (lists.is_empty(), exempt.is_empty()) {
                (true, true) => "on no list held here".to_string(),
                (true, false) => format!("exempt in {}", exempt.join(", ")),
                (false, true) => lists.join(", "),
                (false, false) => {
                    format!("{}; exempt in {}", lists.join(", "), exempt.join(", "))
                }
            };
            format!("{} {substance} ({on}): {names}", presence.word())
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
        let phase = FatPhase::of(self.assessor(), formula);
        let (here, mouth) = (phase.solid(options.serving_celsius), phase.solid(MOUTH));
        let body = scoop::Body {
            mix_grams: sums.grams,
            mix_density: sums.grams / volume,
            solid_fat_grams: here.map_or(0.0, |s| s.percent) / 100.0 * fat,
            overrun_percent: options.overrun_percent,
        };
        let solids = scoop::solids(solution, body, serving)?;
        let name = |id: &str| {
            let key = self.catalogue.key(id);
            key.map_or(id.to_string(), |k| {
                self.catalogue.ingredient(k).name.clone()
            })
        };
        Some(BodyOut {
            celsius: options.serving_celsius,
            overrun_percent: options.overrun_percent,
            density_g_per_ml: body.mix_density,
            ice_percent: 100.0 * solids.ice_grams / sums.grams,
            ice_volume_percent: 100.0 * solids.ice_volume_aerated,
            solid_volume_percent: 100.0 * solids.solid_volume_aerated,
            solid_fat_percent: here.map(|s| s.percent),
            solid_fat_plus_minus: here.map(|s| s.plus_minus),
            solid_fat_at_least: here.is_some_and(|s| s.held),
            solid_fat_mouth_percent: mouth.map(|s| s.percent),
            fat_melting_in_mouth_percent: here.zip(mouth).map(|(h, m)| h.percent - m.percent),
            fat_without_curve: phase.unknown.iter().map(|(name, _)| name.clone()).collect(),
            eutectic_fats: phase
                .eutectics()
                .into_iter()
                .map(|(one, other)| format!("{} with {}", name(one), name(other)))
                .collect(),
            celsius_at_70_percent_frozen: scoop::serving_temperature(solution, SCOOP)
                .map(Celsius::get),
            heat_shock_percent_per_degree: scoop::heat_shock(
                solution,
                scoop::CABINET_COLD,
                scoop::CABINET_WARM,
            )
            .map(|h| 100.0 * h),
            note:
                "for ranking recipes at one temperature; not calibrated against a measured hardness"
                    .into(),
        })
    }
}

fn crystal(c: &Crystal, state: &State) -> CrystalOut {
    CrystalOut {
        solute: c.solute.id().replace('_', " "),
        celsius: c.celsius,
        dissolved_g_per_100_g_water: c.dissolved,
        soluble_g_per_100_g_water: c.soluble,
        ratio: c.dissolved / c.soluble,
        limit: c.limit,
        crystals_percent: c.crystals,
        frozen_water_percent: state.frozen(c.celsius).unwrap_or(0.0),
        frozen_water_after_percent: c.frozen_after,
        readiness: match c.readiness {
            solubility::Readiness::Ready => Readiness::Ready,
            solubility::Readiness::Slow => Readiness::Slow,
            solubility::Readiness::Rare => Readiness::Rare,
        },
        extrapolated: c.carried,
        origin: c.origin.into(),
    }
}

/// The glass of the freeze-concentrated phase; its coverage counts everything dissolved.
fn glass_of(state: &State) -> Option<GlassOut> {
    let sums = &state.sums;
    let solutes: Vec<(Solute, f64)> = Solute::ALL
        .into_iter()
        .filter_map(|s| Some((s, sums.part(Part::parse(s.id())?))))
        .collect();
    let counted: f64 = solutes.iter().map(|(_, grams)| grams).sum();
    let indication = glass::indication(&solutes)?;
    let dissolved = sums.solution.solid_grams().max(counted);
    Some(GlassOut {
        melting_onset_celsius: indication.melting_onset.get(),
        glass_transition_celsius: indication.glass.get(),
        covered_percent: 100.0 * indication.covered * counted / dissolved,
        note: "an indication by mass from single sugars: ranks storage stability, says nothing of hardness".into(),
    })
}

/// The freezing point by the handbook's sucrose equivalents, for comparison.
fn handbook(state: &State) -> Option<f64> {
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
        severity: f.severity,
        topic: f.topic,
        standing: f.standing,
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
