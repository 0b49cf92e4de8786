//! What a formula is to become: told by a question, by its name, or by its figures.
//!
//! That water freezes at -18 C makes no frozen dessert, milk freezes too: what counts is what sets
//! or binds the formula, and whether it holds the sugar that keeps a frozen one soft.

use super::assess::{Assessor, MixView, State};
use super::class::{Classed, by_words, classed, within_words};
use super::recipe::Formula;
use crate::model::{Catalogue, Dial, DishKind, Ingredient, RuleKind};

/// What says which dish a formula is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Told {
    /// The question.
    Asked,
    /// The formula's name.
    Named,
    /// Its figures, clearly.
    Figures,
    /// Its figures, and they would fit another dish too.
    Guess,
}

/// The dish a formula is.
#[derive(Debug, Clone, PartialEq)]
pub struct Dish {
    /// Its kind.
    pub kind: DishKind,
    /// As questions name it, such as `panna cotta`; empty where no name tells.
    pub name: String,
    /// Who says so.
    pub told: Told,
    /// The figures that say so; empty where a name does.
    pub why: String,
    /// Its class, an id of `data/classes.csv`; empty where none is told.
    pub class: String,
    /// The class whose order of work it has: of those its name tells the first that has one of its own.
    pub made_as: String,
    /// What says so where no name does, and what else it may be.
    pub told_by: Option<Classed>,
}

/// What the table of dishes says of one that is frozen.
const FROZEN: &str = "frozen";
/// Words that name no dish.
const NO_DISH: [&str; 2] = ["base", "dessert"];
/// Classes of dishes a gelling agent sets, and of those starch or egg binds.
const SET: [&str; 2] = ["gelatin", "jelly"];
const BOUND: [&str; 2] = ["custard", "sauce"];

/// Fat above which nothing is churned, %. Source: memory; the richest ice creams hold 20.
const RICHEST: f64 = 28.0;
/// Water below which nothing is churned, %. Source: memory; a sorbet rich in sugar holds 60.
const DRIEST: f64 = 40.0;
/// Share of the water frozen at -18 C below which a mix stays liquid there, %.
/// Source: memory; the least of any guard is 69.
const LIQUID: f64 = 50.0;
/// Flour from which a formula is a dough or batter, %. Source: memory; a thick sauce takes 8.
const DOUGH: f64 = 15.0;
/// Starch or flour from which a formula is bound by it, %; and from which it may be, where it is
/// no sweeter than a pastry cream. Source: memory; a frozen mix takes 0.5 to 2.5.
const BINDS: f64 = 4.0;
const MAY_BIND: f64 = 2.5;
/// Sugars below which starch or a gelling agent in doubt is taken to set the dish, %.
/// Source: memory; a frozen mix holds 15 and more, with the lactose of its milk.
const LITTLE_SUGAR: f64 = 18.0;
/// Sugars and polyols, and sweetness, below which nothing keeps a frozen mix soft, %.
/// Source: memory; the least of any guard is 16 % sugars.
const HARDLY_SWEET: f64 = 8.0;

/// Part of a least dose that still counts as one: doses are weighed for a round batch.
const NEARLY: f64 = 0.95;

impl Dish {
    /// The dish of a formula.
    pub fn of(assessor: Assessor<'_>, formula: &Formula, state: &State) -> Dish {
        let catalogue = assessor.catalogue;
        let asked = named(catalogue, &formula.dish, Told::Asked);
        let mut dish = asked
            .or_else(|| named(catalogue, &formula.name, Told::Named))
            .unwrap_or_else(|| by_figures(catalogue, formula, state));
        let view = MixView::new(assessor, formula, state);
        let name = match by_words(&catalogue.classes, &formula.dish) {
            Some(_) => &formula.dish,
            None => &formula.name,
        };
        if let Some(classed) = classed(catalogue, name, &view) {
            if let Some(class) = catalogue.classes.get(&classed.class) {
                dish.kind = kind_of(&class.kind);
            }
            let kind = |id: &str| catalogue.classes.get(id).map(|class| &class.kind);
            let named = within_words(&catalogue.classes, name).into_iter();
            let named = named.filter(|id| kind(id) == kind(&classed.class));
            let named: Vec<&str> = named.collect();
            let ordered = named.iter().find(|id| catalogue.sequences.names(id));
            let made_as = ordered.or(named.first());
            dish.made_as = made_as.map_or(classed.class.as_str(), |id| id).to_string();
            dish.class = classed.class.clone();
            dish.told_by = (!classed.because.is_empty()).then_some(classed);
        }
        dish
    }

    /// What it was taken for and how to say otherwise; empty where a name tells or no doubt is left.
    pub fn taken_for(&self) -> String {
        let what = match self.kind {
            DishKind::Frozen => "a frozen mix",
            DishKind::Gel => "a gel to be set, eaten unfrozen",
            DishKind::Thickened => "a sauce or cream bound by starch, eaten unfrozen",
            DishKind::Other => "a dish that is not frozen",
        };
        let told = matches!(self.told, Told::Asked | Told::Named);
        let plain = self.told == Told::Figures && self.kind == DishKind::Frozen;
        match told || plain {
            true => String::new(),
            false => format!(
                "{what} ({}); where it is another, name it in the file's name, as sorbet.csv or panna-cotta.csv",
                self.why
            ),
        }
    }
}

/// The kind of dish that a kind of class is for rules that tell four apart.
fn kind_of(kind: &str) -> DishKind {
    match kind {
        "frozen" => DishKind::Frozen,
        "gel" | "fluid gel" | "preserve" | "sphere" => DishKind::Gel,
        "thickened" | "custard" | "sauce" | "cheese sauce" => DishKind::Thickened,
        _ => DishKind::Other,
    }
}

/// The dish that a name holds; a frozen one goes before what it tastes of, then the longest name.
fn named(catalogue: &Catalogue, name: &str, told: Told) -> Option<Dish> {
    if name.is_empty() {
        return None;
    }
    let text = worded(name);
    let found = catalogue
        .words
        .iter()
        .filter(|w| w.table == "dishes" && !NO_DISH.contains(&w.meaning.as_str()))
        .filter(|w| stands_in(&text, &w.word) || stands_in(&text, &w.word.replace(' ', "")));
    let word = found.max_by_key(|w| (w.detail == FROZEN, w.word.len()))?;
    let of = |classes: &[&str]| {
        catalogue.rules.iter().any(|rule| match &rule.kind {
            RuleKind::Dish { class, dishes } => {
                classes.contains(&class.as_str()) && dishes.contains(&word.meaning)
            }
            _ => false,
        })
    };
    let kind = match word.detail.as_str() {
        FROZEN => DishKind::Frozen,
        _ if of(&SET) => DishKind::Gel,
        _ if of(&BOUND) => DishKind::Thickened,
        _ => DishKind::Other,
    };
    Some(Dish {
        kind,
        name: word.meaning.clone(),
        told,
        why: String::new(),
        class: String::new(),
        made_as: String::new(),
        told_by: None,
    })
}

fn by_figures(catalogue: &Catalogue, formula: &Formula, state: &State) -> Dish {
    let grams = state.sums.grams.max(1e-12);
    let mut held: Vec<(&Ingredient, f64)> = vec![];
    for line in &formula.lines {
        let whole = catalogue.ingredient(line.key);
        for part in catalogue.with_parts(whole) {
            let share = 100.0 * line.grams * catalogue.share(whole, &part.id) / grams;
            held.push((part, share));
        }
    }
    let share = |family: &str| -> f64 {
        let of = held.iter().filter(|(i, _)| i.family == family);
        of.map(|(_, share)| share).sum()
    };
    let dial = |dial: Dial| state.dial(dial).unwrap_or(0.0);
    let (fat, water, starch) = (dial(Dial::Fat), dial(Dial::Water), share("starch"));
    let sugars = dial(Dial::Sugars) + dial(Dial::Polyols);
    let is = |kind, told, why: String| Dish {
        kind,
        name: String::new(),
        told,
        why,
        class: String::new(),
        made_as: String::new(),
        told_by: None,
    };
    let other = |why: String| is(DishKind::Other, Told::Figures, why);
    if held.iter().any(|(i, _)| i.does("raising agent")) {
        return other("a raising agent is in it".into());
    }
    if starch >= DOUGH {
        return other(format!("{starch:.0} % flour or starch"));
    }
    if fat > RICHEST {
        return other(format!("{fat:.0} % fat"));
    }
    if water < DRIEST {
        return other(format!("{water:.0} % water"));
    }
    let sets = held.iter().filter_map(|(i, share)| {
        let told = sets(i, *share)?;
        (told == Told::Figures || sugars < LITTLE_SUGAR).then_some((*i, *share, told))
    });
    if let Some((agent, share, told)) = sets.max_by(|a, b| a.1.total_cmp(&b.1)) {
        return is(DishKind::Gel, told, format!("{share:.2} % {}", agent.name));
    }
    let hardly = sugars < HARDLY_SWEET && state.sweetness < HARDLY_SWEET;
    let bound = format!("{starch:.1} % starch or flour, {sugars:.0} % sugars");
    if starch >= BINDS || (starch >= 1.0 && hardly) {
        return is(DishKind::Thickened, Told::Figures, bound);
    }
    if starch >= MAY_BIND && sugars < LITTLE_SUGAR {
        return is(DishKind::Thickened, Told::Guess, bound);
    }
    let churned = share("stabiliser") > 0.0 && share("emulsifier") > 0.0;
    match hardly {
        true if churned => is(
            DishKind::Frozen,
            Told::Guess,
            "it holds the gum and emulsifier of one, and hardly any sugar".into(),
        ),
        true => other(format!("hardly sweet: {sugars:.1} % sugars")),
        false if dial(Dial::FrozenAt18) < LIQUID => {
            other("most of its water stays liquid at -18 C".into())
        }
        false if starch >= MAY_BIND => is(DishKind::Frozen, Told::Guess, bound),
        false => is(
            DishKind::Frozen,
            Told::Figures,
            format!("{sugars:.0} % sugars"),
        ),
    }
}

/// Whether so much of a gelling agent sets a gel: surely above what frozen mixes take of it,
/// perhaps where the two overlap. What sets only in strong syrup is no sign.
fn sets(ingredient: &Ingredient, share: f64) -> Option<Told> {
    if ingredient.family != "gelling-agent" || ingredient.is_of("high-methoxyl-pectin") {
        return None;
    }
    let levels = || {
        ingredient
            .all("use_level")
            .filter_map(|v| Some((v.condition("use")?, v.range()?)))
    };
    let general = levels().filter(|(used, _)| *used == "general");
    let least = general.map(|(_, (low, _))| low).reduce(f64::min)?;
    let frozen = levels().filter(|(used, _)| *used == FROZEN);
    let frozen = frozen.map(|(_, (_, high))| high).reduce(f64::max);
    match frozen {
        _ if share < NEARLY * least => None,
        Some(most) if share <= most => Some(Told::Guess),
        _ => Some(Told::Figures),
    }
}

/// Whether `words` stand in `text` as whole words, in whatever case.
pub fn within(text: &str, words: &str) -> bool {
    stands_in(&worded(text), words)
}

/// A text in small letters with spaces for signs.
fn worded(text: &str) -> String {
    let plain = |c: char| if c.is_alphanumeric() { c } else { ' ' };
    text.to_lowercase().chars().map(plain).collect()
}

fn stands_in(text: &str, words: &str) -> bool {
    let edge = |c: Option<char>| c.is_none_or(|c| c == ' ');
    !words.is_empty()
        && text.match_indices(words).any(|(at, _)| {
            edge(text[..at].chars().next_back()) && edge(text[at + words.len()..].chars().next())
        })
}
