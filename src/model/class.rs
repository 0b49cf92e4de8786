//! Classes of dishes: what each is called, what its figures usually are, how its composition tells it.

use super::closed::closed;
use super::expr::Expr;

/// A class of dishes, a row of `data/classes.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct DishClass {
    /// Identifier.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// What makes it stand: `frozen`, `gel`, `thickened`, `ganache` ...
    pub kind: String,
    /// Temperature it is eaten at, C.
    pub serving_celsius: Option<f64>,
    /// The class above it, whose ranges hold where it has none.
    pub parent: String,
    /// A remark.
    pub note: String,
}

/// A usual range of a class.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassRange {
    /// Which class.
    pub class: String,
    /// A figure of the mix, or `frozen_share`, `dose`, `overrun` ...
    pub property: String,
    /// Least.
    pub low: Option<f64>,
    /// Usual.
    pub typical: Option<f64>,
    /// Greatest.
    pub high: Option<f64>,
    /// Unit.
    pub unit: String,
    /// Condition such as `at=-18 C` or `of=gelatin-powder`.
    pub condition: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
    /// A remark; that of a band of softness begins with `soft`, `spoonable`, `firm` or `hard`.
    pub note: String,
}

/// A word that names a class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClassWord {
    /// Folded.
    pub word: String,
    /// The class; `link` for a word the head stands before, `none` for what names no dish.
    pub class: String,
    /// How much it says: 4 frozen, 2 a dish, 1 as often a part of one, 0 only that it is a mix.
    pub weight: u8,
    /// It is the end of a longer word.
    pub ends: bool,
}

/// How a composition tells a class.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassSign {
    /// The class.
    pub class: String,
    /// What must hold of the mix.
    pub when: Expr,
    /// How much it says.
    pub weight: u8,
    /// Why.
    pub because: String,
}

/// All that is known of dishes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Classes {
    /// The classes.
    pub list: Vec<DishClass>,
    /// Their ranges.
    pub ranges: Vec<ClassRange>,
    /// Words that name them.
    pub words: Vec<ClassWord>,
    /// Signs that tell them, greatest weight first.
    pub signs: Vec<ClassSign>,
}

closed! {
    /// How hard a frozen dish is at a temperature.
    pub enum Firmness {
        /// It may not hold its shape.
        Soft => "soft",
        /// It is scooped or spooned.
        Spoonable => "spoonable",
        /// It is scooped by a strong hand.
        Firm => "firm",
        /// It must be tempered.
        Hard => "hard",
    }
}

impl Classes {
    /// The class of an id.
    pub fn get(&self, id: &str) -> Option<&DishClass> {
        self.list.iter().find(|class| class.id == id)
    }

    /// A class and those above it, nearest first.
    fn line<'a>(&'a self, id: &'a str) -> impl Iterator<Item = &'a DishClass> {
        std::iter::successors(self.get(id), |class| self.get(&class.parent)).take(self.list.len())
    }

    /// The ranges of a property that a class has, else those of the nearest class above it.
    pub fn ranges_of<'a>(&'a self, class: &'a str, property: &str) -> Vec<&'a ClassRange> {
        let of = |id: &str| -> Vec<&ClassRange> {
            let ranges = self.ranges.iter();
            ranges
                .filter(|r| r.class == id && r.property == property)
                .collect()
        };
        let found = self.line(class).map(|class| of(&class.id));
        found
            .into_iter()
            .find(|ranges| !ranges.is_empty())
            .unwrap_or_default()
    }

    /// The band of a firmness of a class at a temperature, % of the water frozen: its own, else that
    /// of the nearest class above it that has one there.
    pub fn band(&self, class: &str, firmness: Firmness, celsius: f64) -> Option<(f64, f64)> {
        let at = format!("at={celsius} C");
        let mut bands = self.line(class).filter_map(|class| {
            let mut ranges = self.ranges.iter();
            let found = ranges.find(|r| {
                r.class == class.id
                    && r.property == "frozen_share"
                    && r.condition == at
                    && r.note.starts_with(firmness.word())
            })?;
            Some((found.low.unwrap_or(0.0), found.high.unwrap_or(100.0)))
        });
        bands.next()
    }

    /// The share of the water frozen as a class is served, with the temperature, C.
    pub fn as_served(&self, class: &str) -> Option<(f64, f64, f64)> {
        let mut ranges = self.line(class).flat_map(|class| {
            let ranges = self.ranges.iter();
            ranges.filter(|r| {
                r.class == class.id
                    && r.property == "frozen_share"
                    && r.note.starts_with("as served")
            })
        });
        let range = ranges.next()?;
        let at = range.condition.strip_prefix("at=")?.strip_suffix(" C")?;
        Some((at.parse().ok()?, range.low?, range.high?))
    }

    /// How hard a frozen share is at a temperature.
    pub fn firmness(&self, class: &str, celsius: f64, percent: f64) -> Option<Firmness> {
        let bands = Firmness::ALL.iter();
        let mut found = bands.filter(|(firmness, _)| {
            let band = self.band(class, *firmness, celsius);
            band.is_some_and(|(low, high)| percent >= low && percent <= high)
        });
        found.next().map(|(firmness, _)| *firmness)
    }
}
