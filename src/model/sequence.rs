//! How dishes are made: what an ingredient is to the cook, what is done, in which order for which dish.

use super::class::Classes;
use super::expr::Expr;
use super::rule::Span;

/// What an ingredient is to the cook: its role.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// The role.
    pub role: String,
    /// Ids it is for.
    pub ids: Vec<String>,
    /// Families it is for.
    pub families: Vec<String>,
    /// What must hold as well.
    pub when: Expr,
}

/// What decides the temperature of a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Heat {
    /// A figure, C.
    Fixed(f64),
    /// What the ingredients in the pot ask.
    Asked,
    /// The highest that melts or activates what goes in here.
    Activation,
    /// The end temperature of the class.
    End,
    /// The temperature the class is eaten at.
    Serving,
    /// That of the rules of ageing.
    Ageing,
    /// That of the rules of setting, else of service.
    Setting,
    /// Some degrees above where the gel sets.
    AboveSet,
}

/// Grams of other lines that go in with what a step takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Borrow {
    /// Roles they may come from, best first.
    pub from: Vec<String>,
    /// Parts per part of what is taken.
    pub parts: Span,
}

/// One thing that is done.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanRule {
    /// Its id.
    pub id: String,
    /// The phase of the work.
    pub phase: String,
    /// Roles that go in here; `*` for whatever is left.
    pub takes: Vec<String>,
    /// Roles of which one must be in the formula; empty for no such need.
    pub needs: Vec<String>,
    /// Roles that must not be in the formula.
    pub without: Vec<String>,
    /// What must hold of the mix.
    pub when: Expr,
    /// What decides the temperature.
    pub heat: Option<Heat>,
    /// Time, minutes.
    pub minutes: Option<Span>,
    /// What of other lines goes in with it.
    pub borrow: Option<Borrow>,
    /// It does not go through the heat of the pot.
    pub apart: bool,
    /// It heats through though no figure stands here.
    pub cooks: bool,
    /// It is done though nothing goes in.
    pub always: bool,
    /// Words of the first line of the plan.
    pub key: String,
    /// What to do.
    pub text: String,
    /// What to do where nothing is lent or no heat is asked.
    pub none: String,
    /// How one knows it is done.
    pub sign: String,
    /// Why.
    pub because: String,
    /// Source id; `class` for that of the range of the class.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// The order of work for some dishes.
#[derive(Debug, Clone, PartialEq)]
pub struct Sequence {
    /// Its id.
    pub id: String,
    /// Classes it is for.
    pub classes: Vec<String>,
    /// Kinds of classes it is for where no sequence names the class.
    pub kinds: Vec<String>,
    /// Steps, in order, by place in [`Sequences::steps`].
    pub steps: Vec<usize>,
}

/// What must be said where nothing heats an ingredient through.
#[derive(Debug, Clone, PartialEq)]
pub struct Guard {
    /// Its id.
    pub id: String,
    /// Ids it watches.
    pub ids: Vec<String>,
    /// Roles it watches.
    pub roles: Vec<String>,
    /// It speaks where no step from that of the ingredient on is this hot, C.
    pub below: f64,
    /// The plan must not be followed as it is.
    pub stop: bool,
    /// What is said.
    pub text: String,
    /// Why.
    pub because: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// All that is known of how dishes are made.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sequences {
    /// Roles of ingredients; the first that fits holds.
    pub places: Vec<Place>,
    /// Steps.
    pub steps: Vec<PlanRule>,
    /// Orders of work.
    pub list: Vec<Sequence>,
    /// Cautions.
    pub guards: Vec<Guard>,
}

impl Sequences {
    /// The order of work of a class: that which names it or one above it, else that of its kind.
    pub fn of<'a>(&'a self, classes: &Classes, class: &str, kind: &str) -> Option<&'a Sequence> {
        let above = std::iter::successors(classes.get(class), |c| classes.get(&c.parent));
        let named = above
            .take(classes.list.len())
            .find_map(|c| self.list.iter().find(|s| s.classes.contains(&c.id)));
        let kind = classes.get(class).map_or(kind, |c| c.kind.as_str());
        let of_kind = || self.list.iter().find(|s| s.kinds.iter().any(|k| k == kind));
        named.or_else(of_kind)
    }
}
