//! Formula files and typed names, read with what was assumed of them.

use std::collections::HashMap;

use super::Engine;
use crate::answer::{AssumedOut, Named};
use crate::condition;
use crate::diagnostic::{Diagnostic, Problems};
use crate::formula::{Formula, Reader};
use crate::model::{Dial, Expr, IngredientKey, OTHERS, RuleKind};
use crate::names::{self, Outcome};

/// What reading a formula may be told beside its bytes.
#[derive(Debug, Clone, Default)]
pub struct ReadOptions {
    /// The sheet wanted of a spreadsheet.
    pub sheet: Option<String>,
    /// Batch of a formula in per cent, g.
    pub batch: Option<f64>,
    /// What the person chose for names that can mean several things, by the folded name.
    pub picks: HashMap<String, IngredientKey>,
}

/// Figures that tell whether another reading of a name matters.
const TELLING: [Dial; 7] = [
    Dial::FreezingPoint,
    Dial::Sweetness,
    Dial::Fat,
    Dial::TotalSolids,
    Dial::Protein,
    Dial::Stabiliser,
    Dial::Alcohol,
];

impl Engine {
    /// What a typed name stands for.
    pub fn resolve(&self, typed: &str) -> Outcome {
        self.names.resolve(&self.catalogue, typed)
    }

    /// Reads a condition; a syrup may be named by its DE.
    ///
    /// Errors: what the condition language does not know, at its place.
    pub fn condition(&self, text: &str) -> Result<Expr, Diagnostic> {
        let text = names::with_syrup_ids(&self.catalogue, text);
        condition::parse(&text, &self.catalogue)
    }

    /// Reads a formula file's bytes, in any form a kitchen writes.
    ///
    /// Errors: every problem at its place.
    pub fn formula(&self, file: &str, bytes: &[u8]) -> Result<Formula, Problems> {
        self.formula_with(file, bytes, &ReadOptions::default())
    }

    /// Reads a formula file's bytes as the person wants them read.
    ///
    /// Errors: every problem at its place.
    pub fn formula_with(
        &self,
        file: &str,
        bytes: &[u8],
        options: &ReadOptions,
    ) -> Result<Formula, Problems> {
        let reader = Reader {
            catalogue: &self.catalogue,
            names: &self.names,
            words: &self.words,
            batch: options.batch,
            picks: &options.picks,
        };
        reader.read(file, options.sheet.as_deref(), bytes)
    }

    /// A formula of ingredients by id, in grams: the option of an answer, to be asked about again.
    ///
    /// Errors: `Q014` for an id that nothing has, `F006` for grams that are no amount.
    pub fn formula_in_grams<'a>(
        &self,
        name: &str,
        lines: impl IntoIterator<Item = (&'a str, f64)>,
    ) -> Result<Formula, Problems> {
        let mut formula = Formula {
            name: name.into(),
            ..Formula::default()
        };
        for (id, grams) in lines {
            let Some(key) = self.catalogue.key(id) else {
                let message = format!("no ingredient has the id `{id}`");
                return Err(Diagnostic::new("Q014", name, message).into());
            };
            if !(0.0..=1e9).contains(&grams) {
                let message = format!("`{grams}` g of {id} is no amount");
                return Err(Diagnostic::new("F006", name, message).into());
            }
            formula.add(key, grams);
        }
        Ok(formula)
    }

    /// What was assumed when a formula was read, and what the other readings would change: each name
    /// alone, all others as they were taken.
    pub fn assumed(&self, formula: &Formula) -> Vec<AssumedOut> {
        let named = |key: IngredientKey| {
            let ingredient = self.catalogue.ingredient(key);
            Named {
                id: ingredient.id.clone(),
                name: ingredient.name.clone(),
            }
        };
        let each = formula.assumed.iter().map(|assumed| {
            let mut effects: Vec<String> = vec![];
            for other in &assumed.others {
                effects.extend(self.other_reading(formula, assumed.key, *other));
            }
            AssumedOut {
                typed: assumed.typed.clone(),
                id: named(assumed.key).id,
                name: named(assumed.key).name,
                said: assumed.said.clone(),
                others: assumed.others.iter().map(|key| named(*key)).collect(),
                effect: effects,
            }
        });
        each.collect()
    }

    /// What reading a formula took for granted: what its names were taken for, in one sentence, and
    /// each line that was left aside.
    pub(super) fn taken_in(&self, formula: &Formula) -> Vec<String> {
        let names = formula.assumed.iter().map(|assumed| {
            let name = &self.catalogue.ingredient(assumed.key).name;
            format!("{} is {name}", assumed.typed)
        });
        let names: Vec<String> = names.collect();
        let said = (!names.is_empty()).then(|| format!("in the formula {}", names.join(", ")));
        let uncounted = Some(formula.uncounted()).filter(|said| !said.is_empty());
        uncounted
            .into_iter()
            .chain(said)
            .chain(formula.aside.iter().cloned())
            .collect()
    }

    /// What would be otherwise with another ingredient in a line's place; `None` where every figure
    /// stays within what it is held to anyway.
    fn other_reading(
        &self,
        formula: &Formula,
        taken: IngredientKey,
        other: IngredientKey,
    ) -> Option<String> {
        let mut changed = formula.clone();
        for line in changed.lines.iter_mut().filter(|line| line.key == taken) {
            line.key = other;
        }
        let assessor = self.assessor();
        let (before, after) = (assessor.state(formula), assessor.state(&changed));
        let tolerance = |dial: Dial| {
            let rules = self.catalogue.rules.iter();
            let mut found = rules.filter_map(|rule| match &rule.kind {
                RuleKind::Dial {
                    dial: of,
                    tolerance,
                    ..
                } if *of == dial => Some(*tolerance),
                _ => None,
            });
            found.next()
        };
        let mut moved: Vec<String> = vec![];
        for dial in TELLING {
            let (Some(a), Some(b)) = (before.dial(dial), after.dial(dial)) else {
                continue;
            };
            if (a - b).abs() > tolerance(dial).unwrap_or(0.5) {
                let unit = dial.unit();
                moved.push(format!("{} {b:.1} instead of {a:.1} {unit}", dial.name()));
            }
        }
        let holds = |key: IngredientKey| {
            let rows = self.catalogue.ingredient(key).allergens.iter();
            let rows = rows.filter(|row| !["none", OTHERS].contains(&row.substance.as_str()));
            let mut held: Vec<&str> = rows.map(|row| row.substance.as_str()).collect();
            held.sort_unstable();
            held.dedup();
            held
        };
        if holds(taken) != holds(other) {
            moved.push("its allergen statements differ".into());
        }
        let name = &self.catalogue.ingredient(other).name;
        (!moved.is_empty()).then(|| format!("as {name}: {}", moved.join(", ")))
    }
}
