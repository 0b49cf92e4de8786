//! What is known, listed: sources, properties, own data, whole profiles.

use super::Engine;
use crate::answer::{
    CheckedOut, KindCount, OwnIngredient, OwnOut, ProfileOut, PropertiesOut, PropertyOut,
    SourceOut, SourcesOut, StatedOut,
};
use crate::condition::{Facts, Truth, judge};
use crate::diagnostic::{Diagnostic, Problems};
use crate::model::{Expr, Ingredient, PRICE, PropertyKind, SourceKind, Value};

impl Engine {
    /// The sources with how many values each has, or those of one kind with every value of it.
    ///
    /// Errors: `Q015` for what is no kind of source.
    pub fn sources(&self, kind: Option<&str>) -> Result<SourcesOut, Problems> {
        let kind = kind.map(source_kind).transpose()?;
        let asked = |of: SourceKind| kind.is_none_or(|kind| kind == of);
        let sources = self.catalogue.sources.values().filter(|s| asked(s.kind));
        let sources = sources.map(|source| SourceOut {
            id: source.id.clone(),
            kind: source.kind,
            values: self
                .all_values()
                .filter(|(_, v)| v.source == source.id)
                .count(),
            citation: source.citation.clone(),
            year: source.year.clone(),
            address: source.address.clone(),
        });
        let of_kind = |v: &Value| Some(self.catalogue.kind(&v.source)) == kind;
        let values = self.all_values().filter(|(_, v)| of_kind(v));
        let values = values.map(|(ingredient, v)| StatedOut {
            file: v.row.file.clone(),
            line: v.row.line,
            ingredient: ingredient.id.clone(),
            value: self.value(ingredient, v),
        });
        Ok(SourcesOut {
            kind,
            kinds: self.source_counts(),
            sources: sources.collect(),
            values: values.collect(),
        })
    }

    /// Every value with whose it is.
    fn all_values(&self) -> impl Iterator<Item = (&Ingredient, &Value)> {
        let all = self.catalogue.ingredients.iter();
        all.flat_map(|i| i.values.iter().map(move |v| (i, v)))
    }

    /// How many values there are of each kind of source, by its word; diet states are statements, not
    /// values.
    fn source_counts(&self) -> Vec<KindCount> {
        let diet = |v: &Value| {
            let property = self.catalogue.property(&v.property);
            property.is_some_and(|p| p.group == "diet")
        };
        let mut counts: Vec<KindCount> = vec![];
        for (_, value) in self.all_values().filter(|(_, v)| !diet(v)) {
            let kind = self.catalogue.kind(&value.source);
            match counts.iter_mut().find(|count| count.kind == kind) {
                Some(count) => count.values += 1,
                None => counts.push(KindCount { kind, values: 1 }),
            }
        }
        counts.sort_by_key(|count| count.kind.word());
        counts
    }

    /// What can be known of an ingredient.
    pub fn properties(&self) -> PropertiesOut {
        let all = self.catalogue.properties.iter();
        let properties = all.map(|p| PropertyOut {
            id: p.id.clone(),
            name: p.name.clone(),
            group: p.group.clone(),
            unit: p.unit.clone(),
            words: match &p.kind {
                PropertyKind::Choice(words) => words.clone(),
                PropertyKind::Number | PropertyKind::Text => vec![],
            },
            meaning: p.meaning.clone(),
        });
        PropertiesOut {
            properties: properties.collect(),
        }
    }

    /// What own data is in use.
    pub fn own_data(&self) -> OwnOut {
        let Some(folder) = self.own() else {
            return OwnOut::default();
        };
        let own = || self.all_values().filter(|(_, v)| v.own);
        let prices: Vec<&Value> = own()
            .map(|(_, v)| v)
            .filter(|v| v.property == PRICE)
            .collect();
        let ingredients = self.catalogue.ingredients.iter().filter(|i| i.own);
        OwnOut {
            folder: Some(folder.to_string()),
            values: own().count() - prices.len(),
            prices: prices.len(),
            currency: prices.first().map_or(String::new(), |v| v.unit.clone()),
            ingredients: ingredients
                .map(|i| OwnIngredient {
                    id: i.id.clone(),
                    parts: i.parts.len(),
                })
                .collect(),
            shelf: self.catalogue.shelf.clone(),
            overruled: self.overruled(&self.catalogue.ingredients),
        }
    }

    /// The profiles of all ingredients for which a condition holds; without one of all there are.
    ///
    /// Errors: those of a condition.
    pub fn export(&self, condition: Option<&str>) -> Result<Vec<ProfileOut>, Problems> {
        let condition = match condition {
            Some(text) => self.condition(text)?,
            None => Expr::Always,
        };
        let holds = |i: &Ingredient| judge(&condition, &Facts::of(&self.catalogue, i));
        let keys = self.catalogue.keys();
        let keys = keys.filter(|key| holds(self.catalogue.ingredient(*key)) == Truth::Yes);
        Ok(keys.map(|key| self.profile(key)).collect())
    }

    /// Runs the checks of the data.
    ///
    /// Errors: every problem they find.
    pub fn check(&self) -> Result<CheckedOut, Problems> {
        match crate::load::check(&self.catalogue, &self.files) {
            found if found.is_empty() => Ok(CheckedOut {
                ingredients: self.catalogue.ingredients.len(),
                rules: self.catalogue.rules.len(),
                notes: crate::load::notes(&self.catalogue)
                    .iter()
                    .map(crate::diagnostic::Diagnostic::note)
                    .collect(),
            }),
            found => Err(Problems(found)),
        }
    }
}

/// The kind of source a word means.
fn source_kind(word: &str) -> Result<SourceKind, Problems> {
    SourceKind::parse(word).ok_or_else(|| {
        let words: Vec<&str> = SourceKind::ALL.iter().map(|(_, w)| *w).collect();
        let message = format!("`{word}` is no kind of source");
        Diagnostic::new("Q015", "sources", message)
            .help(format!("one of {}", words.join(", ")))
            .into()
    })
}
