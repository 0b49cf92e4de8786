//! A cover to the question it is: the slots of its terms put in their places.

use crate::condition;
use crate::model::{Aim, Catalogue, Comparison, Dial, Expr, Goal, Test, Wish};

use super::cover::Cover;
use super::term::{Term, Thing, Value};
use crate::query::question::{About, Amount, Batch, Change, How, Leaver, Order, Question};
use crate::query::sense::{Cue, Push};

/// What a cover makes.
pub(super) struct Built {
    /// The question.
    pub question: Question,
    /// What is taken for granted.
    pub assumed: Vec<String>,
    /// A name it hangs on that stands for several ingredients.
    pub open: Option<Thing>,
}

/// The question a cover makes; `None` where its slots make none.
pub(super) fn built(kind: &str, cover: &Cover, catalogue: &Catalogue) -> Option<Built> {
    let mut builder = Builder {
        cover,
        catalogue,
        assumed: vec![],
        open: None,
    };
    let question = builder.question(kind)?;
    // Causes hang little on which of its namesakes an ingredient is.
    let open = (builder.open).filter(|_| !["diagnose", "how-to", "without"].contains(&kind));
    Some(Built {
        question,
        assumed: builder.assumed,
        open,
    })
}

/// What a swap can be made of by a word that brings something in.
pub(super) const BRINGING: [Cue; 5] = [Cue::With, Cue::By, Cue::Use, Cue::To, Cue::For];
/// The step of storing.
const STORE: &str = "store";

struct Builder<'a> {
    cover: &'a Cover,
    catalogue: &'a Catalogue,
    assumed: Vec<String>,
    open: Option<Thing>,
}

impl<'a> Builder<'a> {
    fn question(&mut self, kind: &str) -> Option<Question> {
        match kind {
            "what-if" => self.what_if(),
            "role" => self.role(),
            "swap" => self.swap(),
            "without" => self.without(),
            "adjust" => self.adjust(),
            "assess" => self.assess(),
            "compare" => self.compare(),
            "search" => self.search(),
            "lookup" => self.lookup(),
            "diagnose" => self.diagnose(),
            "how-to" => self.how_to(),
            _ => None,
        }
    }

    fn terms(&self) -> &'a [Term] {
        &self.cover.terms
    }

    fn values(&self, key: &str) -> Vec<&'a Value> {
        self.terms().iter().flat_map(|t| t.all(key)).collect()
    }

    fn things(&self, key: &str) -> Vec<&'a Thing> {
        things_of(self.terms(), key)
    }

    /// The ingredients of a slot, each the likeliest of its name; what is taken for granted is told.
    fn ids(&mut self, things: &[&Thing]) -> Vec<String> {
        let mut ids: Vec<String> = vec![];
        for thing in things {
            let Some(id) = thing.ids.first().filter(|id| !ids.contains(id)) else {
                continue;
            };
            ids.push(id.clone());
            if thing.ids.len() > 1 && self.open.is_none() {
                self.open = Some((*thing).clone());
            }
            let said = thing.assumed.clone();
            self.assume(said);
        }
        ids
    }

    fn assume(&mut self, said: String) {
        if !said.is_empty() && !self.assumed.contains(&said) {
            self.assumed.push(said);
        }
    }

    /// Ingredients, or what meets the condition of a kind.
    fn leaver(&mut self, things: &[&Thing]) -> Option<Leaver> {
        let kinds: Vec<&str> = (things.iter())
            .filter(|thing| thing.ids.is_empty())
            .map(|thing| thing.condition.as_str())
            .collect();
        if kinds.is_empty() {
            let ids = self.ids(things);
            return (!ids.is_empty()).then_some(Leaver::Ingredients(ids));
        }
        let named = things.iter().filter_map(|thing| thing.ids.first());
        let named: Vec<String> = named.map(|id| format!("this is {id}")).collect();
        let each = kinds.iter().map(|k| k.to_string()).chain(named);
        let text = each.collect::<Vec<_>>().join(" or ");
        for thing in things {
            self.assume(thing.assumed.clone());
        }
        Some(Leaver::Matching(self.condition(&text)?))
    }

    fn condition(&self, text: &str) -> Option<Expr> {
        condition::parse(text, self.catalogue).ok()
    }

    fn dish(&self) -> String {
        let dish = self.values("dish").into_iter().find_map(|v| match v {
            Value::Dish(dish) => Some(dish.clone()),
            _ => None,
        });
        dish.unwrap_or_default()
    }

    /// What must hold of what comes in: diets, and what is gone without.
    fn exclusions(&mut self) -> Option<Vec<String>> {
        self.exclusions_of(self.terms())
    }

    fn exclusions_of(&mut self, terms: &'a [Term]) -> Option<Vec<String>> {
        let mut found: Vec<String> = vec![];
        for thing in things_of(terms, "diet") {
            if limits_mix(&thing.condition) {
                return None;
            }
            self.assume(thing.assumed.clone());
            found.push(thing.condition.clone());
        }
        for thing in things_of(terms, "no") {
            self.assume(thing.assumed.clone());
            let said = match thing.condition.as_str() {
                "" => {
                    let all = match thing.namesakes.is_empty() {
                        true => &thing.ids,
                        false => &thing.namesakes,
                    };
                    let each = all.iter().map(|id| format!("this is {id}"));
                    match all.len() {
                        1 => format!("not this is {}", all[0]),
                        _ => format!("not ({})", each.collect::<Vec<_>>().join(" or ")),
                    }
                }
                held if held.starts_with("contains ") => {
                    let each = held.split(" or ");
                    let each = each.map(|part| part.replacen("contains ", "free of ", 1));
                    each.collect::<Vec<_>>().join(" and ")
                }
                kind => format!("not ({kind})"),
            };
            if !found.contains(&said) {
                found.push(said);
            }
        }
        Some(found)
    }

    /// What goes where nothing but what must not be there is said.
    fn complement(&self) -> Vec<String> {
        let diets = self
            .things("diet")
            .into_iter()
            .map(|d| match d.condition.split_once(' ') {
                Some(("free", of)) => format!("contains {}", of.trim_start_matches("of ")),
                Some(("not", held)) if !held.contains(" and ") => held.to_string(),
                _ => format!("not ({})", d.condition),
            });
        let gone = self
            .things("no")
            .into_iter()
            .map(|thing| match thing.condition.as_str() {
                "" => {
                    let all = match thing.namesakes.is_empty() {
                        true => &thing.ids,
                        false => &thing.namesakes,
                    };
                    let each = all.iter().map(|id| format!("this is {id}"));
                    each.collect::<Vec<_>>().join(" or ")
                }
                kind => kind.to_string(),
            });
        let mut all: Vec<String> = vec![];
        for each in diets.chain(gone).collect::<Vec<_>>() {
            if !all.contains(&each) {
                all.push(each);
            }
        }
        all
    }

    fn wish(&mut self) -> Option<Wish> {
        let conditions = self.exclusions()?;
        let newcomer = self.all_of(&conditions)?;
        Some(Wish {
            goals: self.goals()?,
            newcomer,
            ..Wish::default()
        })
    }

    fn all_of(&self, conditions: &[String]) -> Option<Expr> {
        match conditions {
            [] => Some(Expr::Always),
            [one] => self.condition(one),
            several => {
                let each =
                    several
                        .iter()
                        .map(|c| match c.contains(" or ") && !c.starts_with("not (") {
                            true => format!("({c})"),
                            false => c.clone(),
                        });
                self.condition(&each.collect::<Vec<_>>().join(" and "))
            }
        }
    }

    /// The wishes of the dials; two that speak of one dial make no question.
    fn goals(&self) -> Option<Vec<Goal>> {
        let mut found: Vec<Goal> = vec![];
        for term in self.terms().iter().filter(|t| t.name.starts_with("goal")) {
            let goal = goal(term)?;
            match found.iter_mut().find(|g| g.dial == goal.dial) {
                None => found.push(goal),
                Some(said) if said.aim == goal.aim => {}
                Some(said) if matches!(said.aim, Aim::Raise | Aim::Lower) => *said = goal,
                Some(_) => return None,
            }
        }
        Some(found)
    }

    fn amount(&self) -> Option<Amount> {
        self.values("amount").into_iter().find_map(|v| match v {
            Value::Grams(grams) => Some(Amount::Grams(*grams)),
            Value::Share(share) => Some(Amount::Share(*share)),
            Value::Percent(percent) => Some(Amount::Share(percent / 100.0)),
            _ => None,
        })
    }

    fn what_if(&mut self) -> Option<Question> {
        let mut changes = vec![];
        for term in self.terms().iter().filter(|t| t.name.starts_with("change")) {
            let things = things_of(std::slice::from_ref(term), "what");
            let what = self.leaver(&things)?;
            changes.push(Change {
                what,
                how: how(term)?,
            });
        }
        let mut on = vec![];
        for value in self.values("on") {
            if let Value::Dial(dial, _) | Value::Quality(dial, _) = value
                && !on.contains(dial)
            {
                on.push(*dial);
            }
        }
        (!changes.is_empty()).then(|| Question::WhatIf {
            changes,
            on,
            dish: self.dish(),
        })
    }

    fn role(&mut self) -> Option<Question> {
        let things = self.things("of");
        let ingredients = self.ids(&things);
        (!ingredients.is_empty()).then(|| Question::Role {
            ingredients,
            dish: self.dish(),
        })
    }

    fn swap(&mut self) -> Option<Question> {
        let (out, come) = (self.things("out"), self.things("in"));
        let leaver = self.leaver(&out)?;
        let kinds = come.iter().filter(|t| t.ids.is_empty());
        let kinds: Vec<String> = kinds.map(|t| t.condition.clone()).collect();
        let newcomers = self.ids(&come);
        if come.is_empty() && self.cover.leads_to_unknown(&BRINGING) {
            // `replace butter with snorfel`
            return None;
        }
        let mut wish = self.wish()?;
        if let (Leaver::Matching(goes), true, true) =
            (&leaver, newcomers.is_empty(), kinds.is_empty())
        {
            // Of a kind that goes nothing comes in.
            let stays = stays_out(goes);
            wish.newcomer = match wish.newcomer {
                Expr::Always => stays,
                other if other == stays => stays,
                Expr::All(mut all) => {
                    all.retain(|one| *one != stays);
                    all.insert(0, stays);
                    Expr::All(all)
                }
                other => Expr::All(vec![stays, other]),
            };
        }
        if !kinds.is_empty() {
            if !newcomers.is_empty() {
                return None;
            }
            let mut all = vec![kinds.join(" or ")];
            all.extend(self.exclusions()?);
            wish.newcomer = self.all_of(&all)?;
        }
        if let Leaver::Ingredients(gone) = &leaver {
            // What fails its own question is no reading of it.
            if newcomers.iter().any(|id| gone.contains(id)) {
                return None;
            }
        }
        let excluded = self.things("no");
        let own = |id: &String| excluded.iter().any(|t| t.ids.contains(id));
        if newcomers.iter().any(own) {
            return None;
        }
        Some(Question::Swap {
            leaver,
            newcomers,
            amount: self.amount(),
            wish,
            dish: self.dish(),
        })
    }

    fn without(&mut self) -> Option<Question> {
        let gone = self.things("no");
        let plain = !gone.is_empty() && gone.iter().all(|thing| thing.condition.is_empty());
        let mut wish = self.wish()?;
        let leaver = if plain && self.things("diet").is_empty() {
            // What goes stays out by itself; of a noun that several share, the others stay out too.
            if gone.iter().all(|thing| thing.namesakes.len() < 2) {
                wish.newcomer = Expr::Always;
            }
            Leaver::Ingredients(self.ids(&gone))
        } else {
            let goes = self.complement();
            Leaver::Matching(self.condition(&goes.join(" or "))?)
        };
        let come = self.things("in");
        let newcomers = self.ids(&come);
        if newcomers
            .iter()
            .any(|id| gone.iter().any(|t| t.ids.contains(id)))
        {
            return None;
        }
        Some(Question::Swap {
            leaver,
            newcomers,
            amount: None,
            wish,
            dish: self.dish(),
        })
    }

    fn adjust(&mut self) -> Option<Question> {
        let mut added = vec![];
        for term in self.terms().iter().filter(|t| t.name == "added") {
            let amount = term.all("grams").into_iter().next()?;
            for value in term.all("added") {
                if let Value::Thing(thing) = value {
                    let id = self.ids(&[thing]).into_iter().next()?;
                    let grams = match amount {
                        Value::Grams(grams) => *grams,
                        Value::Millilitres(ml) => ml * self.density(&id),
                        _ => return None,
                    };
                    added.push((id, grams));
                }
            }
        }
        for term in self.terms().iter().filter(|t| t.name == "amount.new") {
            let of = |key: &str| match term.all(key).into_iter().next() {
                Some(Value::Grams(grams) | Value::Number(grams)) => Some(*grams),
                _ => None,
            };
            let more = of("to")? - of("from")?;
            let things = things_of(std::slice::from_ref(term), "what");
            let id = self.ids(&things).into_iter().next()?;
            if more <= 0.0 {
                return None;
            }
            added.push((id, more));
        }
        let number = |key: &str| {
            let mut values = self.values(key).into_iter();
            values.find_map(|v| match v {
                Value::Number(number) | Value::Grams(number) => Some(*number),
                Value::Percent(percent) => Some(1.0 + percent / 100.0),
                _ => None,
            })
        };
        let spare = number("spare").unwrap_or(1.0);
        let portions = match (number("count"), number("each")) {
            (Some(count), Some(each)) => Some(Batch::Grams(count * each * spare)),
            _ => None,
        };
        let by_line = number("enough").and_then(|grams| {
            let id = self.things("for").first()?.ids.first()?.clone();
            Some(Batch::Of(id, grams * spare))
        });
        let of_all = self.values("batch").into_iter().find_map(|v| match v {
            Value::Grams(grams) => Some(Batch::Grams(*grams * spare)),
            Value::Millilitres(ml) => Some(Batch::Millilitres(*ml * spare)),
            Value::Factor(times) => Some(Batch::Times(*times)),
            _ => None,
        });
        let scale = portions.or(by_line).or(of_all);
        let wish = self.wish()?;
        let first = self.cover.left.first();
        let asks_which = first.is_some_and(|l| l.cues.contains(&Cue::Is));
        if added.is_empty() && (self.cover.leaves(Cue::Find) || asks_which) {
            // `which one is softer`: of nothing named.
            return None;
        }
        let asks = !added.is_empty() || scale.is_some() || !wish.goals.is_empty();
        asks.then(|| Question::Adjust {
            added,
            wish,
            scale,
            dish: self.dish(),
        })
    }

    /// Grams a millilitre; that of water where none is known.
    fn density(&self, id: &str) -> f64 {
        let ingredient = self
            .catalogue
            .key(id)
            .map(|key| self.catalogue.ingredient(key));
        ingredient.and_then(|i| i.number("density")).unwrap_or(1.0)
    }

    fn assess(&mut self) -> Option<Question> {
        let mut about: Vec<About> = vec![];
        for term in self.terms() {
            if term.name == "asked.allergens" {
                about.push(About::Allergens);
            }
            for value in term.all("portion") {
                if let Value::Grams(grams) = value {
                    about.push(About::Portions(*grams));
                }
            }
            for value in term.all("stated") {
                match value {
                    Value::Thing(thing) => {
                        for part in thing.condition.split(" or ") {
                            about.push(match part.split_once(' ') {
                                Some(("contains", of)) | Some(("free", of)) => {
                                    let of = of.strip_prefix("of ").unwrap_or(of);
                                    About::Contains(of.replace('_', " "))
                                }
                                None if ["vegan", "vegetarian"].contains(&part) => {
                                    About::Diet(part.to_string())
                                }
                                _ => return None,
                            });
                        }
                    }
                    Value::Dial(dial, _) => about.push(About::Dial(*dial)),
                    _ => return None,
                }
            }
        }
        (!about.is_empty()).then_some(Question::Assess { about })
    }

    fn compare(&mut self) -> Option<Question> {
        let things = self.things("side");
        let ingredients = self.ids(&things);
        (ingredients.len() > 1).then(|| Question::Compare {
            ingredients,
            properties: self.properties(),
        })
    }

    fn properties(&self) -> Vec<String> {
        let mut found: Vec<String> = vec![];
        for value in self.values("asked") {
            if let Value::Property(id) = value
                && !found.contains(id)
            {
                found.push(id.clone());
            }
        }
        found
    }

    fn lookup(&mut self) -> Option<Question> {
        let things = self.things("of");
        let ingredients = self.ids(&things);
        let held = self.things("held");
        let allergens = held.iter().flat_map(|t| t.condition.split(" or "));
        let allergens = allergens.filter_map(|c| c.strip_prefix("contains "));
        let mut allergens: Vec<String> = allergens.map(|a| a.replace('_', " ")).collect();
        let mut properties = self.properties();
        for thing in self.things("diet") {
            self.assume(thing.assumed.clone());
            match thing.condition.strip_prefix("free of ") {
                Some(allergen) => allergens.push(allergen.replace('_', " ")),
                None => properties.push(self.catalogue.property(&thing.condition)?.id.clone()),
            }
        }
        if allergens.iter().any(|a| a == "cereals containing gluten") {
            allergens.retain(|a| a != "cereals containing gluten");
            properties.push("gluten".to_string());
        }
        (!ingredients.is_empty()).then_some(Question::Lookup {
            ingredients,
            properties,
            allergens,
        })
    }

    fn search(&mut self) -> Option<Question> {
        let mut conditions: Vec<String> = vec![];
        let kinds = self.things("kind");
        let each: Vec<&str> = kinds.iter().map(|k| k.condition.as_str()).collect();
        let mut kind = (!each.is_empty()).then(|| each.join(" or "));
        for term in self.terms() {
            if !term.all("kind").is_empty() {
                conditions.extend(kind.take());
            } else if term.name == "bound" {
                conditions.push(bound(term)?);
            } else {
                let things = term.all("trait").into_iter();
                conditions.extend(things.filter_map(|v| match v {
                    Value::Thing(thing) => Some(thing.condition.clone()),
                    _ => None,
                }));
                conditions.extend(self.exclusions_of(std::slice::from_ref(term))?);
            }
        }
        for thing in kinds {
            self.assume(thing.assumed.clone());
        }
        let mut order = None;
        for value in self.values("most") {
            if let Value::Most(most, by) = value {
                let by = match by.is_empty() {
                    true => self.properties().into_iter().next()?,
                    false => by.clone(),
                };
                order = Some(Order { by, most: *most });
            }
        }
        let asks = self.terms().iter().any(|t| t.name == "find");
        if conditions.is_empty() || conditions.len() == 1 && order.is_none() && !asks {
            return None;
        }
        Some(Question::Search {
            text: String::new(),
            condition: self.all_of(&conditions)?,
            order,
        })
    }

    fn how_to(&mut self) -> Option<Question> {
        let phase = self.values("phase").into_iter().find_map(|v| match v {
            Value::Phase(phase) => Some(phase.clone()),
            _ => None,
        });
        let things = self.things("of");
        let ingredients = self.ids(&things);
        let phase = phase.unwrap_or_default();
        if phase == STORE && !ingredients.is_empty() && self.dish().is_empty() {
            // How long an ingredient keeps is not known.
            return None;
        }
        let asks = self.terms().iter().any(|t| t.name.starts_with("how"));
        let whole = self.terms().iter().any(|t| t.name == "plan.asked");
        if !asks && !whole && ingredients.is_empty() && self.dish().is_empty() {
            // `where can I buy a batch freezer`: a thing, no step.
            return None;
        }
        (whole || !phase.is_empty() || !ingredients.is_empty()).then(|| Question::HowTo {
            ingredients,
            phase,
            dish: self.dish(),
        })
    }

    fn diagnose(&mut self) -> Option<Question> {
        let mut symptoms: Vec<String> = vec![];
        for value in self.values("fault") {
            if let Value::Fault(fault) = value
                && !symptoms.contains(fault)
            {
                symptoms.push(fault.clone());
            }
        }
        let things = self.things("with");
        let ingredients = self.ids(&things);
        (!symptoms.is_empty()).then(|| Question::Diagnose {
            symptoms,
            dish: self.dish(),
            ingredients,
        })
    }
}

/// The bound a search sets: `hydration_temperature < 60`.
fn bound(term: &Term) -> Option<String> {
    let first = |key: &str| term.all(key).into_iter().next();
    let number = |key: &str| match first(key) {
        Some(Value::Number(figure)) => Some(*figure),
        _ => None,
    };
    let Some(Value::Property(property)) = first("bounded") else {
        return None;
    };
    let low = number("at")?;
    match (first("compare"), number("high")) {
        (_, Some(high)) => Some(format!("{property} between {low} and {high}")),
        (Some(Value::Compare(comparison)), None) => {
            let sign = Comparison::ALL.iter().find(|(c, _)| c == comparison)?.1;
            Some(format!("{property} {sign} {low}"))
        }
        _ => None,
    }
}

/// Whether a diet limits the carbohydrates of the whole mix, which no list of ingredients settles.
fn limits_mix(condition: &str) -> bool {
    condition.contains("family sugar") && condition.contains("family starch")
}

/// That a newcomer is none of what goes.
fn stays_out(goes: &Expr) -> Expr {
    match goes {
        Expr::Test(Test::Contains(subject, allergen)) => {
            Expr::Test(Test::FreeOf(*subject, allergen.clone()))
        }
        Expr::Any(parts)
            if parts
                .iter()
                .all(|p| matches!(p, Expr::Test(Test::Contains(..)))) =>
        {
            Expr::All(parts.iter().map(stays_out).collect())
        }
        goes => Expr::Not(Box::new(goes.clone())),
    }
}

/// The things that fill a slot of some terms.
fn things_of<'a>(terms: &'a [Term], key: &str) -> Vec<&'a Thing> {
    let values = terms.iter().flat_map(|t| t.all(key));
    values
        .filter_map(|v| match v {
            Value::Thing(thing) => Some(thing),
            _ => None,
        })
        .collect()
}

/// How an ingredient changes, by the name of the term and its figures.
fn how(term: &Term) -> Option<How> {
    let figure = term.all("by").into_iter().find_map(|v| match v {
        Value::Grams(figure) | Value::Factor(figure) | Value::Percent(figure) => Some(*figure),
        Value::Share(share) => Some(*share),
        _ => None,
    });
    let mut parts = term.name.split('.');
    let kind = (parts.next()?, parts.next()?);
    match (kind.1, figure) {
        ("out", _) => Some(How::Out),
        ("more", None) => Some(How::More),
        ("less", None) => Some(How::Less),
        ("more", Some(grams)) => Some(How::By(grams)),
        ("less", Some(grams)) => Some(How::By(-grams)),
        ("times", Some(times)) => Some(How::Times(times)),
        ("to", Some(percent)) => Some(How::To(percent)),
        ("set", Some(grams)) => Some(How::Set(grams)),
        _ => None,
    }
}

/// What a term wants of a dial.
fn goal(term: &Term) -> Option<Goal> {
    let first = |key: &str| term.all(key).into_iter().next();
    let push = match first("push") {
        Some(Value::Push(push)) => Some(*push),
        _ => None,
    };
    let (dial, own, inverse) = match first("dial")? {
        Value::Dial(dial, inverse) => (*dial, None, *inverse),
        Value::Quality(dial, own) => (*dial, Some(*own), false),
        _ => return None,
    };
    let push = match (push, own) {
        _ if ["goal.keep", "goal.avoid"].contains(&term.name.as_str()) => Push::Keep,
        (Some(Push::Keep), _) => Push::Keep,
        (Some(Push::Lower), Some(own)) => own.opposite(),
        (_, Some(own)) => own,
        (Some(push), None) if inverse => push.opposite(),
        (Some(push), None) => push,
        (None, None) => Push::Keep,
    };
    let number = |key: &str| match first(key) {
        Some(Value::Percent(figure) | Value::Number(figure) | Value::Celsius(figure)) => {
            Some(*figure)
        }
        // Grams in 100 g.
        Some(Value::Grams(figure)) => Some(*figure),
        _ => None,
    };
    let by = match first("by") {
        Some(Value::Percent(percent)) => Some(percent / 100.0),
        Some(Value::Share(share)) => Some(*share),
        _ => None,
    };
    let aim = match (by, number("at"), first("compare")) {
        (Some(by), ..) if push == Push::Lower => Aim::Relative(-by),
        (Some(by), ..) if push == Push::Raise => Aim::Relative(by),
        // `half the sugar`: to a part of what it was.
        (Some(by), ..) if term.name == "goal.share" => Aim::Relative(by - 1.0),
        (Some(_), ..) => return None,
        (None, Some(low), Some(Value::Compare(comparison))) => match comparison {
            Comparison::Less | Comparison::AtMost => Aim::AtMost(low),
            Comparison::Greater | Comparison::AtLeast => Aim::AtLeast(low),
            _ => Aim::Between(low, low),
        },
        (None, Some(low), _) => match push {
            Push::Raise => Aim::AtLeast(low),
            Push::Lower => Aim::AtMost(low),
            Push::Keep => Aim::Between(low, low),
        },
        (None, None, _) => match push {
            Push::Keep => Aim::Keep,
            Push::Raise => Aim::Raise,
            Push::Lower => Aim::Lower,
        },
    };
    // Nothing is pushed to what a frozen share is at another temperature.
    (dial != Dial::FrozenAt18 || !matches!(aim, Aim::Between(low, _) if low < 0.0))
        .then_some(Goal { dial, aim })
}
