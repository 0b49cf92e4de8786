//! What a person wants of a swap or a rebalance, as typed: read to a wish, and said again in words.

use super::{Engine, mark};
use crate::diagnostic::{Diagnostic, Problems};
use crate::model::{Aim, Goal, Wish};

/// What is wanted of a swap or a rebalance, each part as typed. A dial is its id or its name, a bound
/// is a dial and a number, such as `total solids 30`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// Dials to keep where they are.
    pub keep: Vec<String>,
    /// Dials to raise.
    pub raise: Vec<String>,
    /// Dials to lower.
    pub lower: Vec<String>,
    /// The least some dials may be.
    pub at_least: Vec<String>,
    /// The most some dials may be.
    pub not_over: Vec<String>,
    /// What every newcomer must satisfy, in the condition language.
    pub newcomers: Option<String>,
    /// Only these may come in, by any name; empty for everything.
    pub shelf: Vec<String>,
    /// Only what stands on the shelf of the own data may come in.
    pub from_shelf: bool,
    /// How many newcomers at most.
    pub at_most: usize,
}

impl Default for Wanted {
    fn default() -> Self {
        Wanted {
            keep: vec![],
            raise: vec![],
            lower: vec![],
            at_least: vec![],
            not_over: vec![],
            newcomers: None,
            shelf: vec![],
            from_shelf: false,
            at_most: Wish::default().at_most,
        }
    }
}

impl Wanted {
    /// Whether nothing is asked of any dial.
    pub fn is_empty(&self) -> bool {
        let dials = [
            &self.keep,
            &self.raise,
            &self.lower,
            &self.at_least,
            &self.not_over,
        ];
        dials.iter().all(|texts| texts.is_empty())
    }

    /// Each part in words.
    pub(super) fn said(&self) -> Vec<String> {
        let dials = |verb: &'static str, names: &[String]| {
            let each = names.iter();
            let id = |name: &String| name.trim().replace([' ', '-'], "_");
            each.map(|name| format!("{verb} {}", id(name)))
                .collect::<Vec<_>>()
        };
        let mut said = [
            dials("keep", &self.keep),
            dials("raise", &self.raise),
            dials("lower", &self.lower),
        ]
        .concat();
        said.extend(self.at_least.iter().map(|t| format!("at least {t}")));
        said.extend(self.not_over.iter().map(|t| format!("not over {t}")));
        said.extend(self.newcomers.iter().map(|t| format!("newcomers {t}")));
        if !self.shelf.is_empty() {
            said.push(format!("shelf {}", self.shelf.join(", ")));
        }
        if self.from_shelf {
            said.push("from the shelf".into());
        }
        said
    }
}

impl Engine {
    /// What is wanted, read.
    ///
    /// Errors: `Q006` for what is no dial, `Q013` for what is no number of one, those of a condition
    /// and of [`Engine::taken`], `S004` where no shelf is stated.
    pub(super) fn wish(&self, wanted: &Wanted) -> Result<Wish, Problems> {
        let mut wish = Wish {
            goals: goals(wanted)?,
            at_most: wanted.at_most,
            ..Wish::default()
        };
        if let Some(text) = &wanted.newcomers {
            wish.newcomer = self.condition(text)?;
        }
        if !wanted.shelf.is_empty() {
            let ids = wanted.shelf.iter().map(|name| {
                let taken = self.taken(name)?;
                Ok(self.catalogue.ingredient(taken.key).id.clone())
            });
            wish.shelf = Some(ids.collect::<Result<_, Problems>>()?);
        }
        if wanted.from_shelf {
            wish.shelf = Some(self.shelf()?);
        }
        Ok(wish)
    }

    /// The shelf of the own data, by id.
    fn shelf(&self) -> Result<Vec<String>, Problems> {
        if self.catalogue.shelf.is_empty() {
            return Err(
                Diagnostic::new("S004", "shelf", "no shelf is stated in own data")
                    .help("list it in shelf.csv of the own data, or name it with --shelf")
                    .into(),
            );
        }
        Ok(self.catalogue.shelf.clone())
    }
}

/// What is asked of the dials.
fn goals(wanted: &Wanted) -> Result<Vec<Goal>, Problems> {
    let mut goals = vec![];
    let plain = [
        (&wanted.keep, Aim::Keep),
        (&wanted.raise, Aim::Raise),
        (&wanted.lower, Aim::Lower),
    ];
    for (names, aim) in plain {
        for name in names {
            let dial = mark::dial(name)?;
            goals.push(Goal { dial, aim });
        }
    }
    for text in &wanted.at_least {
        let (dial, number) = mark::dial_number(text)?;
        let aim = Aim::AtLeast(number);
        goals.push(Goal { dial, aim });
    }
    for text in &wanted.not_over {
        let (dial, number) = mark::dial_number(text)?;
        let aim = Aim::AtMost(number);
        goals.push(Goal { dial, aim });
    }
    Ok(goals)
}
