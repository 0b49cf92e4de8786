//! An ingredient as numbers: every figure with its range and where it came from.

use std::sync::OnceLock;

use super::derive::{self, Draft};
use super::part::Part;
use super::sums::Sums;
use super::taste::Tastes;
use crate::model::{Catalogue, Ingredient, IngredientKey, Value};

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

/// The rule that a whole is the sum of its parts by mass.
const PARTS: &str = "blend-sum";

/// An ingredient as numbers.
#[derive(Debug, Clone)]
pub struct Profile {
    figures: Box<[Option<Figure>]>,
    /// What one gram of it adds to a mix.
    pub sums: Sums,
}

/// The profiles of a catalogue; of what is worked out on demand when it is first asked for.
#[derive(Debug, Default)]
pub struct Profiles {
    listed: Vec<Profile>,
    tastes: Tastes,
    made: boxcar::Vec<OnceLock<Profile>>,
}

impl Profiles {
    /// The profile of every listed ingredient.
    pub fn of(catalogue: &Catalogue) -> Self {
        let tastes = Tastes::of(catalogue);
        Profiles {
            listed: Profile::all(catalogue, &tastes),
            tastes,
            made: boxcar::Vec::new(),
        }
    }

    /// The profile of an ingredient of the catalogue these are of.
    pub fn get(&self, catalogue: &Catalogue, key: IngredientKey) -> &Profile {
        let at = key.0 as usize;
        let Some(made) = at.checked_sub(self.listed.len()) else {
            return &self.listed[at];
        };
        while self.made.count() <= made {
            self.made.push(OnceLock::new());
        }
        self.made[made].get_or_init(|| Profile::of(catalogue.ingredient(key), &self.tastes))
    }

    /// How sweet each sugar and polyol counts.
    pub fn tastes(&self) -> &Tastes {
        &self.tastes
    }

    /// Those of the listed ingredients, in their order.
    pub fn listed(&self) -> &[Profile] {
        &self.listed
    }
}

impl Profile {
    /// Reads the preferred rows of an ingredient and derives what they leave open.
    pub fn of(ingredient: &Ingredient, tastes: &Tastes) -> Self {
        Self::build(ingredient, tastes, None)
    }

    /// The same ingredient with one figure moved; everything derived from it moves too.
    pub fn moved(ingredient: &Ingredient, tastes: &Tastes, part: Part, number: f64) -> Self {
        Self::build(ingredient, tastes, Some((part, number)))
    }

    /// The profiles of every ingredient of a catalogue, in its order.
    pub fn all(catalogue: &Catalogue, tastes: &Tastes) -> Vec<Self> {
        let mut profiles: Vec<Option<Profile>> = catalogue
            .ingredients
            .iter()
            .map(|i| i.parts.is_empty().then(|| Self::of(i, tastes)))
            .collect();
        // Each whole after its parts; reading the data has seen to it that none holds itself.
        while let Some(open) = profiles.iter().position(Option::is_none) {
            let ready = |n: &usize| {
                let mut parts = catalogue.ingredients[*n].parts.iter();
                let known = |key: IngredientKey| profiles[key.0 as usize].is_some();
                profiles[*n].is_none() && parts.all(|(id, _)| catalogue.key(id).is_none_or(known))
            };
            let n = (open..profiles.len()).find(ready).unwrap_or(open);
            let ingredient = &catalogue.ingredients[n];
            let parts = ingredient.parts.iter().filter_map(|(id, share)| {
                let key = catalogue.key(id)?;
                Some((profiles[key.0 as usize].as_ref()?, *share))
            });
            profiles[n] = Some(Self::of(ingredient, tastes).put_together(parts));
        }
        profiles.into_iter().flatten().collect()
    }

    /// The profile of a whole: what its parts add up to. Its own rows are its figures; a price of
    /// its own goes before that of its parts.
    fn put_together<'p>(mut self, parts: impl Iterator<Item = (&'p Profile, f64)>) -> Self {
        let mut sums = Sums::default();
        for (part, share) in parts {
            sums += part.sums * share;
        }
        if let Some(price) = self.figure(Part::Price) {
            sums.parts[Part::Price.index()] = price.typical / 100.0;
            sums.parts[Part::Priced.index()] = 1.0;
        }
        for &part in Part::ALL {
            let stated = self
                .figure(part)
                .is_some_and(|f| matches!(f.origin, Origin::Row(_)));
            if !stated {
                let typical = sums.percent(part);
                let figure = Figure {
                    typical,
                    low: typical,
                    high: typical,
                    origin: Origin::Rule(PARTS),
                };
                self.figures[part.index()] = (part.adds_up() && typical > 0.0).then_some(figure);
            }
        }
        self.sums = sums;
        self
    }

    fn build(ingredient: &Ingredient, tastes: &Tastes, moved: Option<(Part, f64)>) -> Self {
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
        let sums = Sums::per_gram(&draft, tastes);
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
