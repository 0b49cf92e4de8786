//! Rules of the grammar applied bottom up: edges of the lattice to terms, each with its slots filled.

use std::collections::HashMap;
use std::ops::RangeInclusive;

use crate::model::grammar::{Element, TermRow};
use crate::model::{Comparison, Dial};

use super::lattice::{Edge, Lattice};
use crate::query::sense::{Cue, Push, Sense, Unit};

/// Readings kept of one row between two places.
const KEPT: usize = 2;
/// Words that only fill, skipped in a row within a term.
const SKIPPED: usize = 3;

/// What fills a slot.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value {
    Thing(Thing),
    Number(f64),
    Grams(f64),
    Millilitres(f64),
    Percent(f64),
    /// A part of what is there.
    Share(f64),
    Factor(f64),
    Celsius(f64),
    Dial(Dial, bool),
    Quality(Dial, Push),
    Push(Push),
    Compare(Comparison),
    Dish(String),
    Phase(String),
    Fault(String),
    Property(String),
    Most(bool, String),
    /// A term of a row above.
    Term(Box<Term>),
}

/// An ingredient, or a kind of it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Thing {
    /// As typed.
    pub text: String,
    /// Ids it can stand for; empty for a kind.
    pub ids: Vec<String>,
    /// All that share the noun.
    pub namesakes: Vec<String>,
    /// Why there is a choice.
    pub reason: String,
    /// What is taken for granted.
    pub assumed: String,
    /// The condition of a kind; empty for an ingredient.
    pub condition: String,
}

/// A stretch read by a row of the grammar.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Term {
    /// The name of the row.
    pub name: String,
    pub start: usize,
    pub end: usize,
    pub cost: f64,
    /// Slots in the order they stand in.
    pub slots: Vec<(String, Value)>,
}

impl Term {
    /// The values of a slot, those of terms within it too.
    pub fn all<'a>(&'a self, key: &str) -> Vec<&'a Value> {
        let mut found = vec![];
        for (name, value) in &self.slots {
            match value {
                Value::Term(inner) if name == key => found.extend(inner.leaves()),
                Value::Term(inner) => found.extend(inner.all(key)),
                value if name == key => found.push(value),
                _ => {}
            }
        }
        found
    }

    /// Whether it is one of a family: `goal.at` of `goal`.
    pub fn in_family(&self, family: &str) -> bool {
        self.name.split('.').next() == Some(family)
    }

    /// Takes a name that stands for several as one of them.
    pub fn narrow(&mut self, text: &str, id: &str) {
        for (_, value) in &mut self.slots {
            match value {
                Value::Term(inner) => inner.narrow(text, id),
                Value::Thing(thing) if thing.text == text && !thing.ids.is_empty() => {
                    thing.ids = vec![id.to_string()];
                }
                _ => {}
            }
        }
    }

    /// Every value, those of terms within it too.
    fn leaves(&self) -> Vec<&Value> {
        let mut found = vec![];
        for (_, value) in &self.slots {
            match value {
                Value::Term(inner) => found.extend(inner.leaves()),
                value => found.push(value),
            }
        }
        found
    }
}

/// All terms of a text by the token they begin at.
#[derive(Debug, Clone, Default)]
pub(super) struct Chart {
    by_start: HashMap<usize, Vec<Term>>,
}

impl Chart {
    /// Applies every row in its order, so that a row may use those above it.
    pub fn of(lattice: &Lattice, rows: &[TermRow]) -> Chart {
        let mut chart = Chart::default();
        for row in rows {
            for start in 0..lattice.len() {
                let mut found: Vec<Term> = vec![];
                let begun = Begun::default();
                for done in chart.matched(lattice, &row.pattern, start, begun) {
                    if done.end <= start {
                        continue;
                    }
                    let same = found.iter().filter(|t| t.end == done.end).count();
                    if same < KEPT {
                        found.push(Term {
                            name: row.name.clone(),
                            start,
                            end: done.end,
                            cost: row.cost + done.cost,
                            slots: done.slots,
                        });
                    }
                }
                if !found.is_empty() {
                    chart.by_start.entry(start).or_default().extend(found);
                }
            }
        }
        chart
    }

    /// The terms that begin at a token.
    pub fn from(&self, at: usize) -> &[Term] {
        self.by_start.get(&at).map_or(&[], Vec::as_slice)
    }

    fn matched(
        &self,
        lattice: &Lattice,
        pattern: &[Element],
        at: usize,
        begun: Begun,
    ) -> Vec<Begun> {
        let Some((first, rest)) = pattern.split_first() else {
            return vec![begun];
        };
        let mut found = vec![];
        let mut places = vec![at];
        if begun.end > 0 {
            places.extend(filled_from(lattice, at));
        }
        for place in places {
            for (end, slot) in self.element(lattice, first, place) {
                let mut next = begun.clone();
                next.end = end;
                if let Some((key, value)) = slot {
                    if let Value::Term(term) = &value {
                        next.cost += term.cost;
                    }
                    next.slots.push((key, value));
                }
                found.extend(self.matched(lattice, rest, end, next));
            }
        }
        if let Element::Maybe(_) = first {
            found.extend(self.matched(lattice, rest, at, begun));
        }
        found
    }

    fn element(
        &self,
        lattice: &Lattice,
        element: &Element,
        at: usize,
    ) -> Vec<(usize, Option<(String, Value)>)> {
        match element {
            Element::Maybe(inner) => self.element(lattice, inner, at),
            Element::Words(phrases) => (phrases.iter())
                .filter_map(|phrase| lattice.spelled(at, phrase))
                .map(|end| (end, None))
                .collect(),
            Element::Cues(words) => {
                let cues: Vec<Cue> = words.iter().filter_map(|w| Cue::parse(w)).collect();
                let is = |edge: &&Edge| {
                    let mut senses = edge.senses.iter();
                    senses.any(|s| matches!(s, Sense::Cue(cue) if cues.contains(cue)))
                };
                let edges = lattice.from(at).iter().filter(is);
                edges.map(|edge| (edge.end, None)).collect()
            }
            Element::Slot { key, of } if of.starts_with('=') => {
                // A property that the words around it ask for.
                let said = Value::Property(of[1..].to_string());
                vec![(at, Some((key.clone(), said)))]
            }
            Element::Slot { key, of } => {
                let mut found: Vec<(usize, Value)> = primitive(lattice, of, at);
                let terms = self.from(at).iter().filter(|term| term.name == *of);
                found.extend(terms.map(|t| (t.end, Value::Term(Box::new(t.clone())))));
                let named = |(end, value)| (end, Some((key.clone(), value)));
                found.into_iter().map(named).collect()
            }
        }
    }
}

/// A pattern matched so far.
#[derive(Debug, Clone, Default)]
struct Begun {
    end: usize,
    cost: f64,
    slots: Vec<(String, Value)>,
}

/// The places reached from one by passing words that only fill.
fn filled_from(lattice: &Lattice, at: usize) -> Vec<usize> {
    let mut reached = vec![];
    let mut open = vec![at];
    for _ in 0..SKIPPED {
        let mut next = vec![];
        for place in open {
            for edge in lattice.from(place) {
                let fills = edge.senses.contains(&Sense::Filler(false));
                if fills && !reached.contains(&edge.end) {
                    reached.push(edge.end);
                    next.push(edge.end);
                }
            }
        }
        open = next;
    }
    reached
}

/// Temperatures a frozen dish is kept or eaten at, C: no other figure of a kitchen is negative.
const SERVING: RangeInclusive<f64> = -30.0..=-4.0;

/// The values of one kind that begin at a token.
fn primitive(lattice: &Lattice, of: &str, at: usize) -> Vec<(usize, Value)> {
    match of {
        "grams" | "percent" | "millilitres" | "figure" => return measured(lattice, of, at),
        _ => {}
    }
    let mut found = vec![];
    for edge in lattice.from(at) {
        let mut senses: Vec<&Sense> = edge.senses.iter().collect();
        // `milk` goes as an ingredient, and stays out as an allergen.
        let place = |s: &&Sense| match s {
            Sense::Ingredient(_) => 0,
            Sense::Allergen(..) => 2,
            _ => 1,
        };
        senses.sort_by_key(|s| match of {
            "absent" => -place(s),
            _ => place(s),
        });
        let allergen = edge.senses.iter().any(|s| matches!(s, Sense::Allergen(..)));
        for sense in senses {
            let of = match (of, sense) {
                // What may be told around a question is no allergen, unless it is a thing as well.
                ("passed", Sense::Ingredient(_)) => "ingredient",
                ("passed", Sense::Group(..)) if !allergen => "group",
                ("passed", _) => continue,
                ("held" | "unheld" | "fresh", Sense::Ingredient(candidates)) => {
                    let all = [&candidates.ids[..], &candidates.namesakes[..]].concat();
                    match (lattice.holds(&all), of) {
                        (Some(true), "held") | (Some(false), "unheld") => "ingredient",
                        (Some(false) | None, "fresh") => "ingredient",
                        _ => continue,
                    }
                }
                (of, _) => of,
            };
            if let Some(value) = filling(of, sense, edge) {
                found.push((edge.end, value));
            }
        }
    }
    found
}

/// A figure with its unit.
fn measured(lattice: &Lattice, of: &str, at: usize) -> Vec<(usize, Value)> {
    let mut found = vec![];
    for number in lattice.from(at) {
        let figure = number.senses.iter().find_map(|s| match s {
            Sense::Number(figure) => Some(*figure),
            _ => None,
        });
        let Some(figure) = figure else { continue };
        if of == "figure" {
            found.push((number.end, Value::Number(figure)));
        }
        for unit in lattice.from(number.end) {
            for sense in &unit.senses {
                let value = match (of, sense) {
                    ("grams", Sense::Unit(Unit::Grams(one))) => Value::Grams(figure * one),
                    ("millilitres", Sense::Unit(Unit::Millilitres(one))) => {
                        Value::Millilitres(figure * one)
                    }
                    ("percent", Sense::Unit(Unit::Percent)) => Value::Percent(figure),
                    ("figure", Sense::Unit(Unit::Fahrenheit)) => {
                        Value::Number(((figure - 32.0) / 1.8).round())
                    }
                    ("figure", Sense::Unit(unit))
                        if !matches!(unit, Unit::Times | Unit::Portions) =>
                    {
                        Value::Number(figure)
                    }
                    _ => continue,
                };
                found.push((unit.end, value));
            }
        }
    }
    found
}

fn filling(of: &str, sense: &Sense, edge: &Edge) -> Option<Value> {
    let thing = |condition: &str, assumed: &str| {
        Value::Thing(Thing {
            text: edge.text.clone(),
            ids: vec![],
            namesakes: vec![],
            reason: String::new(),
            assumed: assumed.to_string(),
            condition: condition.to_string(),
        })
    };
    match (of, sense) {
        ("thing" | "ingredient" | "absent", Sense::Ingredient(c)) => Some(Value::Thing(Thing {
            text: edge.text.clone(),
            ids: c.ids.clone(),
            namesakes: c.namesakes.clone(),
            reason: c.reason.clone(),
            assumed: c.assumed.clone(),
            condition: String::new(),
        })),
        ("thing" | "group" | "absent", Sense::Group(condition, assumed)) => {
            Some(thing(condition, assumed))
        }
        ("thing" | "allergen" | "absent", Sense::Allergen(substances, assumed)) => {
            let each = substances.iter();
            let each = each.map(|s| format!("contains {}", s.replace(' ', "_")));
            Some(thing(&each.collect::<Vec<_>>().join(" or "), assumed))
        }
        ("trait", Sense::Trait(condition)) => Some(thing(condition, "")),
        ("diet", Sense::Diet(condition, assumed)) => Some(thing(condition, assumed)),
        ("number", Sense::Number(number)) => Some(Value::Number(*number)),
        ("share", Sense::Share(share, _)) => Some(Value::Share(*share)),
        ("factor", Sense::Factor(factor)) => Some(Value::Factor(*factor)),
        ("celsius", Sense::Temperature(celsius)) => Some(Value::Celsius(*celsius)),
        ("serving", Sense::Temperature(celsius) | Sense::Number(celsius))
            if SERVING.contains(celsius) =>
        {
            Some(Value::Celsius(*celsius))
        }
        ("dial", Sense::Dial(dial, inverse)) => Some(Value::Dial(*dial, *inverse)),
        ("quality", Sense::Quality(dial, push, false)) => Some(Value::Quality(*dial, *push)),
        ("adjective", Sense::Quality(dial, push, _)) => Some(Value::Quality(*dial, *push)),
        ("push", Sense::Push(push)) => Some(Value::Push(*push)),
        ("raise", Sense::Push(Push::Raise)) => Some(Value::Push(Push::Raise)),
        ("lower", Sense::Push(Push::Lower)) => Some(Value::Push(Push::Lower)),
        ("keep", Sense::Push(Push::Keep)) => Some(Value::Push(Push::Keep)),
        ("compare", Sense::Compare(comparison)) => Some(Value::Compare(*comparison)),
        // One word of a formula's name is a pointer only where `recipe` or the like follows it.
        ("title", Sense::Title(words)) if *words > 1 => Some(Value::Number(*words as f64)),
        ("named", Sense::Title(words)) => Some(Value::Number(*words as f64)),
        ("dish", Sense::Dish(dish)) => Some(Value::Dish(dish.clone())),
        ("phase", Sense::Phase(phase)) => Some(Value::Phase(phase.clone())),
        ("fault", Sense::Symptom(fault, _)) => Some(Value::Fault(fault.clone())),
        ("property", Sense::Property(id)) => Some(Value::Property(id.clone())),
        ("most", Sense::Superlative(most, of)) => Some(Value::Most(*most, of.clone())),
        _ => None,
    }
}
