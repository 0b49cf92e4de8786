//! What a person wants of a swap or a rebalance.

use super::dial::Dial;
use super::expr::Expr;

/// What should happen to one dial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Aim {
    /// Stay where it is, within the dial's tolerance.
    Keep,
    /// Go up by a step a person notices, or more.
    Raise,
    /// Go down by a step a person notices, or more.
    Lower,
    /// Reach at least this, in the dial's unit.
    AtLeast(f64),
    /// Stay at or below this.
    AtMost(f64),
    /// Lie between these.
    Between(f64, f64),
    /// Change by this share of the present value: -0.2 is "20 % less".
    Relative(f64),
}

/// One dial and what should happen to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Goal {
    /// Which dial.
    pub dial: Dial,
    /// What should happen.
    pub aim: Aim,
}

/// What a person wants of a swap.
#[derive(Debug, Clone, PartialEq)]
pub struct Wish {
    /// What was said of the dials.
    pub goals: Vec<Goal>,
    /// What every newcomer must satisfy: `vegan and free of milk`.
    pub newcomer: Expr,
    /// Only these ingredients may come in, by id; `None` for all.
    pub shelf: Option<Vec<String>>,
    /// How many newcomers at most.
    pub at_most: usize,
}

impl Default for Wish {
    fn default() -> Self {
        Wish {
            goals: vec![],
            newcomer: Expr::Always,
            shelf: None,
            at_most: 3,
        }
    }
}

impl Wish {
    /// What was said of this dial.
    pub fn aim(&self, dial: Dial) -> Option<Aim> {
        self.goals
            .iter()
            .find(|goal| goal.dial == dial)
            .map(|goal| goal.aim)
    }
}
