//! What a typed name is taken for, with what was assumed; or why nothing can be taken.

use super::{Engine, fits};
use crate::answer::{AssumedOut, Named};
use crate::diagnostic::{self, Choice, Diagnostic, Problems};
use crate::model::{IngredientKey, fold};
use crate::names::{Outcome, Taken};

impl Engine {
    /// The ingredient that a typed name stands for, and what was assumed.
    ///
    /// Errors: `Q002` where no default is honest, `Q014` where nothing has the name, `Q019` where the
    /// name is too long to be read.
    pub fn taken(&self, typed: &str) -> Result<Taken, Problems> {
        fits(typed)?;
        let problem = match self.resolve(typed) {
            Outcome::Taken(taken) => return Ok(taken),
            Outcome::Choice { options, reason } => {
                let why = match reason.is_empty() {
                    true => String::new(),
                    false => format!(": {reason}"),
                };
                let message = format!("`{typed}` can mean {} ingredients{why}", options.len());
                Diagnostic::new("Q002", "name", message)
                    .help(format!("write one of: {}", self.names_of(&options)))
                    .nearest(self.choices(&options))
            }
            Outcome::Unknown {
                fault: Some((why, way_out)),
                ..
            } => Diagnostic::new("Q014", "name", why).help(way_out),
            Outcome::Unknown { near, .. } => {
                let message = format!("no ingredient is called `{typed}`");
                Diagnostic::new("Q014", "name", message)
                    .nearest(self.choices(&near))
                    .help(match near.is_empty() {
                        true => "`tamis find WORDS` searches".to_string(),
                        false => format!("the nearest are {}", self.names_of(&near)),
                    })
            }
        };
        Err(problem.into())
    }

    /// What a typed name was taken for, with what else it could be; `None` where nobody would mean
    /// anything else.
    pub(super) fn assumed_of(&self, typed: &str, taken: &Taken) -> Option<AssumedOut> {
        let named = |key: IngredientKey| {
            let ingredient = self.catalogue.ingredient(key);
            Named {
                id: ingredient.id.clone(),
                name: ingredient.name.clone(),
            }
        };
        let Named { id, name } = named(taken.key);
        (!taken.said.is_empty()).then(|| AssumedOut {
            typed: typed.trim().to_string(),
            id,
            name,
            said: taken.said.clone(),
            others: taken.others.iter().map(|key| named(*key)).collect(),
            effect: vec![],
        })
    }

    /// Ingredients to choose from.
    fn choices(&self, keys: &[IngredientKey]) -> Vec<Choice> {
        let each = keys.iter().map(|key| self.catalogue.ingredient(*key));
        each.map(|i| Choice {
            id: i.id.clone(),
            name: i.name.clone(),
        })
        .collect()
    }

    /// Names of ingredients in a row.
    fn names_of(&self, keys: &[IngredientKey]) -> String {
        let names = keys.iter().map(|key| &self.catalogue.ingredient(*key).name);
        let names: Vec<&str> = names.map(String::as_str).collect();
        names.join("; ")
    }

    /// The id of the property that a typed name stands for: an id, or a word questions know it by.
    ///
    /// Errors: `Q009` where nothing has the name, `Q019` where it is too long to be read.
    pub fn property(&self, typed: &str) -> Result<String, Problems> {
        fits(typed)?;
        let id = typed.trim().to_lowercase().replace([' ', '-'], "_");
        let mut words = self.catalogue.words.iter();
        let known = self.catalogue.property(&id).map(|p| p.id.clone());
        let known = known.or_else(|| {
            let word = words.find(|w| w.table == "properties" && fold(&w.word) == fold(typed));
            word.map(|w| w.meaning.clone())
        });
        known.ok_or_else(|| {
            let ids = self.catalogue.properties.iter().map(|p| p.id.as_str());
            let near = diagnostic::nearest(&id, ids);
            let message = format!("no property is called `{typed}`");
            Diagnostic::new("Q009", "property", message)
                .help(match near {
                    Some(near) => format!("the nearest is `{near}`"),
                    None => "`tamis properties` lists them".to_string(),
                })
                .nearest(near.map(Choice::word))
                .into()
        })
    }
}
