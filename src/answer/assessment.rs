//! A formula assessed, as data.

use serde::{Deserialize, Serialize};

use super::against::Against;
use super::assumed::AssumedOut;
use super::own::{CostOut, OverruledOut};
use super::plan::PlanStepOut;
use super::swap::Amount;
use super::verdict::{DepartureOut, DishOut, SoftnessOut};
use super::words::Readiness;
use crate::model::Severity;

/// Every computed property of a formula.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Assessment {
    /// The verdict in a sentence.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub summary: String,
    /// The formula's name.
    pub name: String,
    /// The formula it was worked out on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub formula: Vec<Amount>,
    /// What names of the formula were taken for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub assumed: Vec<AssumedOut>,
    /// What its file said that is no line of it, and how amounts were taken.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub aside: Vec<String>,
    /// What it was taken for; not said of a change.
    #[serde(default, skip_serializing_if = "DishOut::is_empty")]
    pub dish: DishOut,
    /// How it scoops, where it is frozen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub softness: Option<SoftnessOut>,
    /// Where it leaves what is usual for its class, worst first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub departures: Vec<DepartureOut>,
    /// What it was taken for, where no name tells and its figures leave doubt or say unfrozen.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub taken_for: String,
    /// Weight, g.
    pub batch_g: f64,
    /// Composition, per cent.
    pub composition: Composition,
    /// Sweetness, g sucrose-equivalent per 100 g.
    pub sweetness_percent: f64,
    /// The plain sum of the trade (one fixed ratio a sweetener), for comparison, g sucrose-equivalent per 100 g.
    pub sweetness_trade_percent: f64,
    /// Initial freezing point, C.
    pub freezing_point_celsius: Option<f64>,
    /// The freezing point by the handbook's sucrose equivalents, for comparison, C.
    pub freezing_point_handbook_celsius: Option<f64>,
    /// Share of the water frozen at each temperature.
    pub frozen_water: Vec<FrozenAt>,
    /// Water activity at 20 C.
    pub water_activity_20_celsius: Option<f64>,
    /// Energy by the EU factors.
    pub energy_kcal_per_100_g: f64,
    /// Energy by the US general factors.
    pub energy_us_kcal_per_100_g: f64,
    /// Thickeners and gelling agents.
    pub stabiliser_percent: f64,
    /// Emulsifiers.
    pub emulsifier_percent: f64,
    /// Body in the cold: ice, scoop and fat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub body: Option<BodyOut>,
    /// What may crystallise at the serving temperature, and the mix after it has.
    pub crystallising: Vec<CrystalOut>,
    /// Storage indicator: the glass of the freeze-concentrated phase.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub glass: Option<GlassOut>,
    /// Beside another formula at the same temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub against: Option<Against>,
    /// What it costs, where own data states prices.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<CostOut>,
    /// Own values that go before built-in ones.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub overruled: Vec<OverruledOut>,
    /// Allergens stated, with the lists that name them.
    pub allergens: Vec<String>,
    /// The process in a few lines.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plan: Vec<PlanStepOut>,
    /// Process steps in working order.
    pub process: Vec<StepOut>,
    /// What the rules and checks say.
    pub findings: Vec<FindingOut>,
    /// How far the figures may be off, by dial id.
    pub uncertainty: std::collections::BTreeMap<String, Doubt>,
}

/// Composition, per cent by mass.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)] // the names say all
pub struct Composition {
    pub water_percent: f64,
    pub fat_percent: f64,
    pub protein_percent: f64,
    pub sugars_percent: f64,
    pub lactose_percent: f64,
    pub polyols_percent: f64,
    pub starch_percent: f64,
    pub fibre_percent: f64,
    pub alcohol_percent: f64,
    pub salt_percent: f64,
    pub total_solids_percent: f64,
    pub msnf_percent: f64,
}

/// Frozen water at one temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FrozenAt {
    /// Temperature, C.
    pub celsius: f64,
    /// Share of the water, %.
    pub percent: f64,
    /// Half-width, where the doubt was worked out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plus_minus: Option<f64>,
}

/// One sugar or polyol past its solubility in the unfrozen water.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CrystalOut {
    /// Which.
    pub solute: String,
    /// Temperature, C.
    pub celsius: f64,
    /// Dissolved before any crystals, g per 100 g of unfrozen water.
    pub dissolved_g_per_100_g_water: f64,
    /// What that water holds, g per 100 g.
    pub soluble_g_per_100_g_water: f64,
    /// Ratio of the two.
    pub ratio: f64,
    /// Ratio from which to warn.
    pub limit: f64,
    /// Crystals at equilibrium, g per 100 g of mix.
    pub crystals_percent: f64,
    /// Share of the water frozen without crystals, %.
    pub frozen_water_percent: f64,
    /// Share of the water frozen once they have formed, %.
    pub frozen_water_after_percent: f64,
    /// How readily they form.
    pub readiness: Readiness,
    /// The solubility was carried past its measured points.
    pub extrapolated: bool,
    /// Where the solubility comes from.
    pub origin: String,
}

/// The glass of the freeze-concentrated phase, as a storage indicator.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct GlassOut {
    /// Onset of ice melting, Tm', C.
    pub melting_onset_celsius: f64,
    /// Glass transition, Tg', C.
    pub glass_transition_celsius: f64,
    /// Share of the dissolved mass that has figures, %.
    pub covered_percent: f64,
    /// What these numbers are worth.
    pub note: String,
}

/// One process step.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StepOut {
    /// Rule id.
    pub rule: String,
    /// Phase of the work.
    pub phase: String,
    /// Temperature, C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub celsius: Option<f64>,
    /// Time, minutes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
    /// The instruction.
    pub text: String,
    /// Whom it concerns; empty for the whole mix.
    pub ingredients: Vec<String>,
    /// Why.
    pub because: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// One finding or caution.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FindingOut {
    /// Rule id.
    pub id: String,
    /// How much it matters.
    pub severity: Severity,
    /// What it is about.
    pub topic: String,
    /// It holds for nearly every formula of its kind.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub standing: bool,
    /// What is said.
    pub text: String,
    /// Why.
    pub because: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// How far one dial may be off.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Doubt {
    /// Half-width, in the dial's unit.
    pub plus_minus: f64,
    /// The part of it that is the model's own.
    pub model: f64,
    /// What contributes most, in words.
    pub mostly: Vec<String>,
}

/// Body in the cold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BodyOut {
    /// Serving temperature it is read at, C.
    pub celsius: f64,
    /// Air beaten in, ml per 100 ml of mix.
    pub overrun_percent: f64,
    /// Ice, g per 100 g.
    pub ice_percent: f64,
    /// Ice, share of the volume with air, %.
    pub ice_volume_percent: f64,
    /// Ice and solid fat, share of the volume with air, %.
    pub solid_volume_percent: f64,
    /// Density of the mix without air, g/ml.
    pub density_g_per_ml: f64,
    /// Solid share of the fat at that temperature, %; `None` when no curve is known.
    pub solid_fat_percent: Option<f64>,
    /// Half-width of it by the published ranges.
    pub solid_fat_plus_minus: Option<f64>,
    /// A curve ends warmer than that temperature: there is at least so much.
    pub solid_fat_at_least: bool,
    /// Solid share of the fat in the mouth (35 C), %.
    pub solid_fat_mouth_percent: Option<f64>,
    /// Share of the fat that melts between the two, %.
    pub fat_melting_in_mouth_percent: Option<f64>,
    /// Ingredients whose fat has no solid fat curve.
    pub fat_without_curve: Vec<String>,
    /// Pairs of fats that soften each other.
    pub eutectic_fats: Vec<String>,
    /// Temperature at which 70 % of the water is frozen, C: the softer end of a usual scoop.
    pub celsius_at_70_percent_frozen: Option<f64>,
    /// Water that melts per degree between -18 and -12 C, % of all water.
    pub heat_shock_percent_per_degree: Option<f64>,
    /// What these numbers are worth.
    pub note: String,
}
