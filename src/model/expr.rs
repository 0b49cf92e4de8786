//! The shape of a condition; how it is written, read and judged is in `condition`.

use super::dial::Dial;
use super::dish::DishKind;

/// Whom a test asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    /// The ingredient at hand, in a search.
    This,
    /// An ingredient the swap brings.
    In,
    /// The ingredient that goes.
    Out,
}

/// One ingredient or a group of them.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Group {
    /// One ingredient, by id.
    Ingredient(String),
    /// A group of `schema/groups.csv`, by id.
    Kin(String),
    /// A family, by id.
    Family(String),
    /// All that do a job.
    Function(String),
}

/// How two numbers compare.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Comparison {
    /// `<`
    Less,
    /// `<=`
    AtMost,
    /// `>`
    Greater,
    /// `>=`
    AtLeast,
    /// `=`
    Equal,
}

impl Comparison {
    /// Every comparison with its sign.
    pub const ALL: [(Comparison, &'static str); 5] = [
        (Comparison::Less, "<"),
        (Comparison::AtMost, "<="),
        (Comparison::Greater, ">"),
        (Comparison::AtLeast, ">="),
        (Comparison::Equal, "="),
    ];

    /// The sign.
    pub fn sign(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(c, _)| *c == self)
            .map_or("=", |(_, sign)| sign)
    }

    /// Whether `left` stands so to `right`.
    pub fn holds(self, left: f64, right: f64) -> bool {
        match self {
            Comparison::Less => left < right,
            Comparison::AtMost => left <= right,
            Comparison::Greater => left > right,
            Comparison::AtLeast => left >= right,
            Comparison::Equal => (left - right).abs() <= 1e-9 * right.abs().max(1.0),
        }
    }
}

/// One test.
#[derive(Debug, Clone, PartialEq)]
pub enum Test {
    /// The subject is this ingredient, or of this family, or does this job.
    Is(Subject, Group),
    /// A number property compares so.
    Number {
        /// Whose.
        subject: Subject,
        /// Property id.
        property: String,
        /// How.
        comparison: Comparison,
        /// With what, in the property's unit.
        number: f64,
        /// At which temperature, for properties that depend on it.
        at_celsius: Option<f64>,
    },
    /// A number property lies between two numbers.
    Between {
        /// Whose.
        subject: Subject,
        /// Property id.
        property: String,
        /// Least.
        low: f64,
        /// Greatest.
        high: f64,
        /// At which temperature.
        at_celsius: Option<f64>,
    },
    /// A choice property has this word.
    Word {
        /// Whose.
        subject: Subject,
        /// Property id.
        property: String,
        /// Which word.
        word: String,
    },
    /// Anything is known of the property.
    Known(Subject, String),
    /// The subject holds this allergen.
    Contains(Subject, String),
    /// The subject is stated, by origin, to hold none of this allergen.
    FreeOf(Subject, String),
    /// The mix has this ingredient or one of the group.
    MixHas(Group),
    /// The mix holds this allergen.
    MixHasAllergen(String),
    /// The mix is a dish of this kind.
    MixIs(DishKind),
    /// Grams of this ingredient or group per 100 g of mix.
    Share(Group, Comparison, f64),
    /// A dial of the mix.
    Mix(Dial, Comparison, f64),
}

/// A condition.
#[derive(Debug, Clone, PartialEq)]
pub enum Expr {
    /// True.
    Always,
    /// All of them.
    All(Vec<Expr>),
    /// One of them.
    Any(Vec<Expr>),
    /// Its contrary.
    Not(Box<Expr>),
    /// One test.
    Test(Test),
}

impl Expr {
    /// Calls `visit` on every test.
    pub fn visit<'a>(&'a self, visit: &mut impl FnMut(&'a Test)) {
        match self {
            Expr::Always => {}
            Expr::All(parts) | Expr::Any(parts) => parts.iter().for_each(|part| part.visit(visit)),
            Expr::Not(part) => part.visit(visit),
            Expr::Test(test) => visit(test),
        }
    }

    /// Whether any test asks for a property.
    pub fn asks_property(&self, id: &str) -> bool {
        let mut found = false;
        self.visit(&mut |test| {
            found |= match test {
                Test::Number { property, .. }
                | Test::Between { property, .. }
                | Test::Word { property, .. }
                | Test::Known(_, property) => property == id,
                _ => false,
            }
        });
        found
    }

    /// Whether any test asks `subject`.
    pub fn asks(&self, subject: Subject) -> bool {
        let mut found = false;
        self.visit(&mut |test| {
            found |= match test {
                Test::Is(s, _) | Test::Known(s, _) | Test::Contains(s, _) | Test::FreeOf(s, _) => {
                    *s == subject
                }
                Test::Number { subject: s, .. }
                | Test::Between { subject: s, .. }
                | Test::Word { subject: s, .. } => *s == subject,
                Test::MixHas(_)
                | Test::MixHasAllergen(_)
                | Test::MixIs(_)
                | Test::Share(..)
                | Test::Mix(..) => false,
            }
        });
        found
    }
}
