//! The list of ingredients at the mixing-bowl stage: order, water, names, classes, brackets, shares.

use super::Case;
use super::allergens::Allergens;
use crate::answer::LabelPartOut;
use crate::model::label::Labels;
use crate::model::{Catalogue, Ingredient, fold};

/// The list as text and as data, and what it leaves to ask.
pub struct List {
    pub text: String,
    pub emphasised: Vec<String>,
    pub parts: Vec<LabelPartOut>,
    pub ask: Vec<String>,
}

/// One entry before it is printed.
struct Entry<'a> {
    part: LabelPartOut,
    who: Vec<&'a Ingredient>,
}

/// How an additive stands in the list, by the rule `additives`.
const CLASS_COLON: &str = "class: name";
const CLASS_BRACKETS: &str = "class (name)";
/// The family whose members are added water.
const WATER: &str = "water";
/// Words of a dish's name shorter than this name no ingredient.
const WORD: usize = 3;
/// Weight from which a word of `data/class-words.csv` names a dish and no flavour.
const NAMES_A_DISH: u8 = 2;

impl<'a> Case<'a> {
    pub(super) fn list(&self, allergens: &Allergens<'a>) -> List {
        let mut entries = self.entries();
        let small = self.labels.figure(&self.chain, "small-in-any-order");
        let style = self.labels.rule(&self.chain, "additives");
        let style = style.map_or("", |r| r.value.as_str());
        let classed = style == CLASS_COLON || style == CLASS_BRACKETS;
        if !classed {
            entries.iter_mut().for_each(|e| e.part.class.clear());
        }
        let mut printer = Printer {
            catalogue: self.assessor.catalogue,
            allergens,
            emphasise: self.labels.holds(&self.chain, "emphasis"),
            emphasised: vec![],
        };
        let mut said: Vec<String> = vec![];
        // Small additives of a class stand together, after the others.
        let grouped = |e: &Entry<'_>| {
            style == CLASS_COLON
                && !e.part.class.is_empty()
                && small.is_some_and(|most| e.part.percent < most)
        };
        let together = Labels::nearest(&self.chain, &self.labels.together, |t| &t.jurisdiction);
        let shown: Vec<&Entry<'_>> = (entries.iter())
            .filter(|e| e.part.left_out.is_empty())
            .collect();
        let mut blocks: Vec<(f64, String)> = vec![];
        let mut done: Vec<&str> = vec![];
        for group in together {
            let inside = |e: &&&Entry<'_>| e.who.iter().all(|i| group.who.contains(&i.id));
            let of: Vec<&&Entry<'_>> = shown.iter().filter(inside).collect();
            if of.len() > 1 {
                let names: Vec<String> = of.iter().map(|e| printer.entry(e, style)).collect();
                let percent = of.iter().map(|e| e.part.percent).sum();
                blocks.push((percent, format!("{} ({})", group.name, names.join(", "))));
                done.extend(of.iter().map(|e| e.part.name.as_str()));
            }
        }
        for entry in shown.iter().filter(|e| !grouped(e)) {
            if !done.contains(&entry.part.name.as_str()) {
                blocks.push((entry.part.percent, printer.entry(entry, style)));
            }
        }
        blocks.sort_by(|a, b| b.0.total_cmp(&a.0));
        said.extend(blocks.into_iter().map(|(_, text)| text));
        let mut classes: Vec<&str> = vec![];
        for entry in shown.iter().filter(|e| grouped(e)) {
            if !classes.contains(&entry.part.class.as_str()) {
                classes.push(&entry.part.class);
            }
        }
        for class in classes {
            let of = shown.iter().filter(|e| grouped(e) && e.part.class == class);
            let names: Vec<String> = of.map(|e| printer.plain(e)).collect();
            let many = if names.len() > 1 && !class.ends_with('s') {
                "s"
            } else {
                ""
            };
            said.push(format!("{class}{many}: {}", names.join(", ")));
        }
        let ask = self.to_ask(&entries);
        let text = format!("Ingredients: {}.", said.join(", "));
        List {
            text,
            emphasised: printer.emphasised,
            parts: entries.into_iter().map(|e| e.part).collect(),
            ask,
        }
    }

    /// One entry per name, weightiest first; water by what is left of it.
    fn entries(&self) -> Vec<Entry<'a>> {
        let catalogue = self.assessor.catalogue;
        let lost = (self.bought.grams() - self.finished).max(0.0);
        let mut entries: Vec<Entry<'a>> = vec![];
        let named = self.in_name();
        let quid = self.labels.holds(&self.chain, "quid");
        for line in &self.bought.lines {
            let ingredient = catalogue.ingredient(line.key);
            let (name, alone) = self.name(ingredient);
            if let Some(entry) = entries.iter_mut().find(|e| e.part.name == name) {
                entry.part.grams += line.grams;
                entry.part.ids.push(ingredient.id.clone());
                entry.who.push(ingredient);
                continue;
            }
            let class = match ingredient.e_number.is_empty() || alone {
                true => String::new(),
                false => self.class(ingredient),
            };
            let words = format!(" {} {} ", fold(&ingredient.name), fold(&name));
            let mentioned = named.iter().any(|word| words.contains(word.as_str()));
            entries.push(Entry {
                part: LabelPartOut {
                    holds: self.holds(ingredient),
                    name,
                    ids: vec![ingredient.id.clone()],
                    grams: line.grams,
                    percent: 0.0,
                    share_stated: quid && mentioned,
                    class,
                    e_number: ingredient.e_number.clone(),
                    left_out: String::new(),
                },
                who: vec![ingredient],
            });
        }
        let most = self.labels.figure(&self.chain, "water-left-out");
        for entry in &mut entries {
            let part = &mut entry.part;
            let water = entry.who.iter().all(|i| i.family == WATER);
            let grams = if water {
                (part.grams - lost).max(0.0)
            } else {
                part.grams
            };
            part.percent = 100.0 * grams / self.finished;
            if water && grams <= 0.0 {
                part.left_out = "all of it evaporates".into();
            } else if water && most.is_some_and(|most| part.percent <= most) {
                let most = most.unwrap_or_default();
                part.left_out = format!("added water of {most:.0} % or less may be left out");
            }
        }
        entries.sort_by(|a, b| b.part.percent.total_cmp(&a.part.percent));
        entries
    }

    /// Its name on the label, and whether that is a class that stands alone.
    fn name(&self, ingredient: &Ingredient) -> (String, bool) {
        for place in &self.chain {
            let mut rows = self.labels.names.iter();
            let fits = rows.find(|n| n.jurisdiction == *place && n.who.contains(&ingredient.id));
            if let Some(row) = fits {
                return (row.name.clone(), row.alone);
            }
            let stated = ingredient.all("label_name").find(|v| {
                v.condition("jurisdiction")
                    .is_some_and(|j| j.eq_ignore_ascii_case(place))
            });
            // Two names in one cell are a choice nobody made here.
            if let Some(value) =
                stated.filter(|v| !v.text.contains(" or ") && !v.text.contains('('))
            {
                return (value.text.clone(), false);
            }
        }
        let bare = ingredient.name.split([',', '(']).next();
        (bare.unwrap_or(&ingredient.name).trim().to_string(), false)
    }

    /// The class an additive is named by in this dish.
    fn class(&self, ingredient: &Ingredient) -> String {
        let kind = self.kind.word();
        for function in &ingredient.functions {
            let of = |dish: &str| {
                let mut rows = self.labels.classes.iter();
                rows.find(|c| c.function == *function && c.dish == dish)
            };
            if let Some(row) = of(kind).or_else(|| of("")) {
                return row.class.clone();
            }
        }
        String::new()
    }

    /// What it holds by itself: its parts, or that they are not stated.
    fn holds(&self, ingredient: &Ingredient) -> String {
        if !ingredient.parts.is_empty() {
            let mut parts = ingredient.parts.clone();
            parts.sort_by(|a, b| b.1.total_cmp(&a.1));
            let name = |(id, _): &(String, f64)| {
                let key = self.assessor.catalogue.key(id)?;
                Some(self.name(self.assessor.catalogue.ingredient(key)).0)
            };
            let names: Vec<String> = parts.iter().filter_map(name).collect();
            return names.join(", ");
        }
        let mut rows = self.labels.compounds.iter();
        let row = rows.find(|c| c.who.contains(&ingredient.id));
        row.map_or(String::new(), |c| c.text.clone())
    }

    /// The words of the food's name that may name an ingredient: those that do not name its class.
    fn in_name(&self) -> Vec<String> {
        let classes = &self.assessor.catalogue.classes;
        let name = fold(&self.bought.name);
        let mut left = format!(" {name} ");
        let dish = classes.words.iter().filter(|w| w.weight >= NAMES_A_DISH);
        let mut words: Vec<&str> = dish.map(|w| w.word.as_str()).collect();
        words.sort_by_key(|w| std::cmp::Reverse(w.len()));
        for word in words {
            left = left.replace(&format!(" {word} "), " ");
        }
        let each = left.split(' ').filter(|w| w.chars().count() >= WORD);
        each.map(|w| format!(" {} ", w)).collect()
    }

    fn to_ask(&self, entries: &[Entry<'_>]) -> Vec<String> {
        let mut texts: Vec<(&str, Vec<&str>)> = vec![];
        for entry in entries {
            let made = entry.who.iter().all(|i| i.parts.is_empty());
            if entry.part.holds.is_empty() || !made {
                continue;
            }
            let text = entry.part.holds.as_str();
            match texts.iter_mut().find(|(t, _)| *t == text) {
                Some((_, names)) => names.push(&entry.part.name),
                None => texts.push((text, vec![&entry.part.name])),
            }
        }
        let told = |(text, names): (&str, Vec<&str>)| format!("{}: {text}", names.join(", "));
        texts.into_iter().map(told).collect()
    }
}

/// Puts entries into words and notes what is emphasised.
struct Printer<'p, 'a> {
    catalogue: &'a Catalogue,
    allergens: &'p Allergens<'a>,
    emphasise: bool,
    emphasised: Vec<String>,
}

impl Printer<'_, '_> {
    /// An entry with its class where it has one.
    fn entry(&mut self, entry: &Entry<'_>, style: &str) -> String {
        let text = self.plain(entry);
        match (entry.part.class.as_str(), style) {
            ("", _) => text,
            (class, CLASS_COLON) => format!("{class}: {text}"),
            (class, CLASS_BRACKETS) => format!("{class} ({text})"),
            _ => text,
        }
    }

    /// An entry without its class: name, share, brackets.
    fn plain(&mut self, entry: &Entry<'_>) -> String {
        let mut text = entry.part.name.clone();
        let mut held: Vec<&str> = vec![];
        for ingredient in &entry.who {
            // What is put together holds what its parts hold.
            for part in self.catalogue.with_parts(ingredient) {
                held.extend(self.allergens.of(&part.id));
            }
        }
        held.sort_unstable();
        held.dedup();
        let mut behind: Vec<String> = vec![];
        if self.emphasise {
            for substance in held {
                match place(&text, substance) {
                    Some((from, to)) => {
                        let word = text[from..to].to_uppercase();
                        text.replace_range(from..to, &word);
                        self.note(word);
                    }
                    None => {
                        let word = substance.to_uppercase();
                        self.note(word.clone());
                        behind.push(word);
                    }
                }
            }
        }
        if !behind.is_empty() {
            text += &format!(" ({})", behind.join(", "));
        }
        if entry.part.share_stated {
            text += &format!(" ({})", share(entry.part.percent));
        }
        if !entry.part.holds.is_empty() {
            text += &format!(" [{}]", entry.part.holds);
        }
        text
    }

    fn note(&mut self, word: String) {
        if !self.emphasised.contains(&word) {
            self.emphasised.push(word);
        }
    }
}

/// Where a text names a substance, singular or plural, as a word of its own.
fn place(text: &str, substance: &str) -> Option<(usize, usize)> {
    let lower = text.to_lowercase();
    let stem = substance.to_lowercase();
    // Lowering may change the length of a letter; then no place is told.
    if lower.len() != text.len() {
        return None;
    }
    lower.match_indices(&stem).find_map(|(at, found)| {
        let before = lower[..at].chars().next_back();
        let end = at + found.len();
        let rest = &lower[end..];
        let tail = if rest.starts_with('s') { 1 } else { 0 };
        let after = rest[tail..].chars().next();
        let alone = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
        (alone(before) && alone(after)).then_some((at, end + tail))
    })
}

/// A share as it stands beside a name.
fn share(percent: f64) -> String {
    match percent >= 10.0 {
        true => format!("{percent:.0} %"),
        false => format!("{percent:.1} %"),
    }
}
