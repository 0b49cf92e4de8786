//! How dishes are made: what an ingredient is to the cook, what is done, in which order for which dish.

use super::class::Classes;
use super::expr::Expr;
use super::fold::fold;
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
    /// Classes of dishes it is for; empty for all.
    pub classes: Vec<String>,
    /// Words of its state, of which its line must have named one: `whipped`; empty for no such need.
    pub noted: Vec<String>,
    /// What must hold as well.
    pub when: Expr,
}

impl Place {
    /// Which of its words of state a text names.
    pub fn noted_in(&self, text: &str) -> Option<&str> {
        let text = format!(" {} ", fold(text));
        let named = |word: &&String| text.contains(&format!(" {word} "));
        self.noted.iter().find(named).map(String::as_str)
    }
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
    /// Where more than half of the water of this mix is frozen.
    Draw,
    /// Some degrees above where the gel sets.
    AboveSet,
    /// None: the rest in which what swells cold takes up its water.
    Swelling,
}

/// Grams of other lines that go in with what a step takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Borrow {
    /// Roles they may come from, best first.
    pub from: Vec<String>,
    /// Parts per part of what is taken.
    pub parts: Span,
    /// Roles whose grams are counted of what is taken; empty for all.
    pub of: Vec<String>,
    /// Roles whose grams are counted wherever they go in.
    pub by: Vec<String>,
    /// Nothing is lent where there is less than the low.
    pub enough: bool,
    /// Parts that stay with the lender per part of the sugar that is to be dissolved in it.
    pub keep: f64,
}

/// Where an end point in solids is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Solids {
    /// In the pan, at the end of the boil.
    Pan,
    /// In the finished mass, with all that goes in after the boil.
    Finished,
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
    /// Roles of which one must be in the formula as well; empty for no such need.
    pub with: Vec<String>,
    /// Roles that must not be in the formula.
    pub without: Vec<String>,
    /// A step that must be done in this plan; empty for none.
    pub after: String,
    /// Groups of which one must be in the formula in a role of `needs`, and with a hyphen before them those
    /// that are left out; `{about}` names what is found.
    pub about: Vec<String>,
    /// The jurisdiction whose law it is.
    pub place: String,
    /// What must hold of the mix.
    pub when: Expr,
    /// It boils down to an end point in solids.
    pub solids: Option<Solids>,
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
    /// What decides whether it is this one of several for a class.
    pub asks: Asks,
    /// Steps, in order, by place in [`Sequences::steps`].
    pub steps: Vec<usize>,
}

/// What a formula must hold for an order of work to be its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Asks {
    /// Roles of which one must be in the formula; empty for no such need.
    pub needs: Vec<String>,
    /// Roles that must not be in the formula.
    pub without: Vec<String>,
    /// What must hold of the mix.
    pub when: Expr,
    /// A role that must weigh more than another.
    pub outweighs: Option<(String, String)>,
    /// No ingredient asks for heat.
    pub cold: bool,
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
    /// What must hold of the mix.
    pub when: Expr,
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

/// How a dish is kept, and how long.
#[derive(Debug, Clone, PartialEq)]
pub struct Keep {
    /// Its id.
    pub id: String,
    /// Classes it is for.
    pub classes: Vec<String>,
    /// Kinds of classes it is for; with no class either, it is for every dish.
    pub kinds: Vec<String>,
    /// What a formula must hold.
    pub asks: Asks,
    /// The caution that must have been told; empty for none.
    pub guard: String,
    /// Temperature, C.
    pub celsius: Option<f64>,
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
    /// The place whose law is told where none was chosen.
    pub law: String,
    /// Roles of ingredients; the first that fits holds.
    pub places: Vec<Place>,
    /// Steps.
    pub steps: Vec<PlanRule>,
    /// Orders of work.
    pub list: Vec<Sequence>,
    /// Cautions.
    pub guards: Vec<Guard>,
    /// How dishes are kept; the first that fits holds.
    pub keeping: Vec<Keep>,
    /// What is done once the dish is made; all that fit hold.
    pub closing: Vec<Keep>,
    /// Where a sugar syrup boils at sea level: per cent of solids, C; both rising.
    pub boiling: Vec<(f64, f64)>,
}

impl Sequences {
    /// The orders of work of a class, nearest first: those that name it or one above it, then those of
    /// its kind.
    pub fn of<'a>(&'a self, classes: &Classes, class: &str, kind: &str) -> Vec<&'a Sequence> {
        let above = std::iter::successors(classes.get(class), |c| classes.get(&c.parent));
        let named = above
            .take(classes.list.len())
            .flat_map(|c| self.list.iter().filter(|s| s.classes.contains(&c.id)));
        let kind = classes.get(class).map_or(kind, |c| c.kind.as_str());
        let of_kind = (self.list.iter()).filter(|s| s.kinds.iter().any(|k| k == kind));
        named.chain(of_kind).collect()
    }

    /// Of ways to keep or to close a dish those of a class, in the order of the file.
    pub fn keeping_of<'a>(
        keeping: &'a [Keep],
        classes: &'a Classes,
        class: &'a str,
        kind: &'a str,
    ) -> impl Iterator<Item = &'a Keep> {
        let above = std::iter::successors(classes.get(class), |c| classes.get(&c.parent));
        let above: Vec<&str> = (above.take(classes.list.len()))
            .map(|c| c.id.as_str())
            .collect();
        let kind = classes.get(class).map_or(kind, |c| c.kind.as_str());
        keeping.iter().filter(move |keep| {
            (keep.classes.is_empty() && keep.kinds.is_empty())
                || keep.classes.iter().any(|c| above.contains(&c.as_str()))
                || keep.kinds.iter().any(|k| k == kind)
        })
    }

    /// Whether an order of work names this class.
    pub fn names(&self, class: &str) -> bool {
        (self.list.iter()).any(|s| s.classes.iter().any(|id| id == class))
    }

    /// Where a syrup of so many per cent of solids boils at sea level, C.
    pub fn boils_at(&self, solids: f64) -> Option<f64> {
        between(&self.boiling, solids)
    }

    /// Solids of a syrup that boils at so many C at sea level, %.
    pub fn solids_at(&self, celsius: f64) -> Option<f64> {
        let turned: Vec<(f64, f64)> = self.boiling.iter().map(|(s, c)| (*c, *s)).collect();
        between(&turned, celsius)
    }
}

/// A figure read off a rising table by a straight line between its neighbours; none outside it.
fn between(table: &[(f64, f64)], at: f64) -> Option<f64> {
    table.windows(2).find_map(|pair| {
        let [(low, from), (high, to)] = [pair[0], pair[1]];
        (low <= at && at <= high).then(|| from + (to - from) * (at - low) / (high - low))
    })
}
