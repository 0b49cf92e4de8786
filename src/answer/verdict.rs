//! What a formula was taken for, how it scoops, and where it leaves what is usual.

use serde::{Deserialize, Serialize};

use crate::model::{DishKind, Firmness};

/// The class of a dish and what tells it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, Default)]
pub struct DishOut {
    /// Id of the class; empty where none is told.
    pub class: String,
    /// Its name for people.
    pub name: String,
    /// What makes it stand; `None` where nothing was told.
    pub kind: Option<DishKind>,
    /// What tells it: the question, its name, or a sentence about its composition.
    pub from: String,
    /// Another class it may be as well; empty where none is near.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub or: String,
}

impl DishOut {
    /// Whether nothing was told.
    pub fn is_empty(&self) -> bool {
        self.kind.is_none()
    }
}

/// How a frozen mix scoops.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SoftnessOut {
    /// How hard it is at -18 C.
    pub at_minus_18: Firmness,
    /// Share of the water frozen there, %.
    pub frozen_percent_at_minus_18: f64,
    /// The band in which it is spoonable there, %.
    pub spoonable_percent: (f64, f64),
    /// Temperature from which it scoops, C; `None` where it does at any.
    pub scoops_from_celsius: Option<f64>,
    /// Temperature its class is served at, C.
    pub served_celsius: Option<f64>,
    /// The usual frozen share there, %.
    pub served_percent: Option<(f64, f64)>,
    /// Its frozen share there, %.
    pub frozen_percent_as_served: Option<f64>,
    /// What in grams makes it spoonable at -18 C; empty where it is, or nothing was found.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub fix: String,
}

/// A figure outside what is usual for the class.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DepartureOut {
    /// Figure id.
    pub property: String,
    /// Its name for people.
    pub name: String,
    /// The figure.
    pub figure: f64,
    /// Least usual.
    pub low: Option<f64>,
    /// Greatest usual.
    pub high: Option<f64>,
    /// Unit.
    pub unit: String,
    /// Source id of the range.
    pub source: String,
    /// Place in the source.
    pub locator: String,
    /// What in grams brings it back; empty where nothing was found.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub fix: String,
}
