//! The bench sheet, as data.

use serde::{Deserialize, Serialize};

use crate::model::DishKind;

use super::label::LabelOut;
use super::plan::PlanStepOut;

/// What a cook weighs, does and writes down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SheetOut {
    /// The dish, its batch and what sets the heat.
    pub summary: String,
    /// The formula's name.
    pub name: String,
    /// The class of dish it was taken for; empty where none is told.
    pub dish: String,
    /// Its kind, as conditions write it.
    pub kind: DishKind,
    /// Batch as weighed, g.
    pub batch_g: f64,
    /// How many times the batch each column of grams is; the first is the batch itself.
    pub batches: Vec<f64>,
    /// What is weighed, bowl by bowl in the order of use.
    pub bowls: Vec<BowlOut>,
    /// What rounding to the scale changed.
    pub rounded: Vec<RoundedOut>,
    /// What must be known before any step.
    pub cautions: Vec<PlanStepOut>,
    /// The steps, in order.
    pub steps: Vec<PlanStepOut>,
    /// Allergens that are stated, one line for each state.
    pub allergens: Vec<String>,
    /// Figures that decide.
    pub figures: Vec<FigureOut>,
    /// Boxes for what is measured.
    pub measured: Vec<MeasureOut>,
    /// The label draft, where one was asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<LabelOut>,
}

/// What goes together into one bowl, for one step.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BowlOut {
    /// Its letter.
    pub bowl: String,
    /// The number of the step it is for, from 1; `None` where the dish has no plan.
    pub step: Option<usize>,
    /// What is weighed into it.
    pub lines: Vec<WeighedOut>,
}

/// One line to weigh.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WeighedOut {
    /// Ingredient id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Grams as the formula has them.
    pub exact_grams: f64,
    /// Grams as the scale shows them, for each of the batches.
    pub grams: Vec<f64>,
    /// Share of the batch, %.
    pub percent: f64,
}

/// A figure before and after rounding to the scale.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RoundedOut {
    /// Which.
    pub figure: String,
    /// Its unit.
    pub unit: String,
    /// By the formula.
    pub exact: f64,
    /// As weighed.
    pub weighed: f64,
}

/// A figure that decides.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FigureOut {
    /// Which.
    pub figure: String,
    /// Its unit.
    pub unit: String,
    /// The number, as weighed.
    pub value: f64,
    /// Decimals that the number is read to.
    pub decimals: usize,
}

/// A box for what is measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MeasureOut {
    /// What.
    pub what: String,
    /// Its unit.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub unit: String,
}
