//! An ingredient as numbers: every figure with its range and where it came from.

use super::derive::{self, Draft};
use super::part::Part;
use super::sums::Sums;
use crate::model::{Ingredient, Value};

/// Where a figure came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// A value row: its position in [`Ingredient::values`].
    Row(usize),
    /// A derivation: the id of one of [`super::DERIVATIONS`].
    Rule(&'static str),
}

/// One figure with its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// Typical.
    pub typical: f64,
    /// Least.
    pub low: f64,
    /// Greatest.
    pub high: f64,
    /// Where it came from.
    pub origin: Origin,
}

/// An ingredient as numbers.
#[derive(Debug, Clone)]
pub struct Profile {
    figures: Box<[Option<Figure>]>,
    /// What one gram of it adds to a mix.
    pub sums: Sums,
}

impl Profile {
    /// Reads the preferred rows of an ingredient and derives what they leave open.
    pub fn of(ingredient: &Ingredient) -> Self {
        Self::build(ingredient, None)
    }

    /// The same ingredient with one figure moved; everything derived from it moves too.
    pub fn moved(ingredient: &Ingredient, part: Part, number: f64) -> Self {
        Self::build(ingredient, Some((part, number)))
    }

    fn build(ingredient: &Ingredient, moved: Option<(Part, f64)>) -> Self {
        let mut draft = Draft::new(ingredient);
        let mut rank = [u8::MAX; Part::COUNT];
        for (n, value) in ingredient.values.iter().enumerate() {
            let Some(part) = Part::parse(&value.property) else {
                continue;
            };
            let this = value.rank();
            if this < rank[part.index()]
                && let Some(figure) = figure(value, n, ingredient)
            {
                rank[part.index()] = this;
                draft.set(part, figure);
            }
        }
        if let Some((part, number)) = moved {
            draft.set(
                part,
                Figure {
                    typical: number,
                    low: number,
                    high: number,
                    origin: Origin::Rule("moved"),
                },
            );
        }
        derive::run(&mut draft);
        let sums = Sums::per_gram(&draft);
        Profile {
            figures: draft.into_figures(),
            sums,
        }
    }

    /// A figure, stated or derived.
    pub fn figure(&self, part: Part) -> Option<&Figure> {
        self.figures[part.index()].as_ref()
    }

    /// The typical number of a figure; zero when unknown.
    pub fn number(&self, part: Part) -> f64 {
        self.figure(part).map_or(0.0, |f| f.typical)
    }

    /// Every figure known.
    pub fn figures(&self) -> impl Iterator<Item = (Part, &Figure)> {
        Part::ALL
            .iter()
            .filter_map(|&part| Some((part, self.figure(part)?)))
    }
}

/// The figure of a row; a sweetness on dry basis is brought to "as is" by the solids.
fn figure(value: &Value, row: usize, ingredient: &Ingredient) -> Option<Figure> {
    let typical = value.figure()?;
    let (low, high) = value.range()?;
    let scale = match value.condition("basis") {
        Some("dry") => 1.0 - ingredient.number("water").unwrap_or(0.0) / 100.0,
        _ => 1.0,
    };
    Some(Figure {
        typical: typical * scale,
        low: low * scale,
        high: high * scale,
        origin: Origin::Row(row),
    })
}
