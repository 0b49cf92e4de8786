//! Allergens of a formula by the list of one jurisdiction. Nothing here says that one is absent.

use std::collections::BTreeMap;

use super::Case;
use crate::answer::LabelAllergenOut;
use crate::model::{AllergenRow, Ingredient, OTHERS, Presence};

/// One statement and who makes it.
struct Statement<'a> {
    allergen: &'a str,
    substance: &'a str,
    presence: Presence,
    condition: String,
    who: Vec<&'a Ingredient>,
}

/// The statements of a formula that a list names.
pub struct Allergens<'a> {
    statements: Vec<Statement<'a>>,
    /// Ingredients of which nobody said what else they hold.
    open: Vec<&'a Ingredient>,
}

impl<'a> Case<'a> {
    pub(super) fn allergens(&self) -> Allergens<'a> {
        let catalogue = self.assessor.catalogue;
        let list = self.jurisdiction.allergen_list.as_str();
        let on_list = |substance: &str| {
            let mut rows = catalogue.allergen_lists.iter();
            rows.find(|row| row.list == list && row.substance == substance)
        };
        let mut found: BTreeMap<(&str, &str, Presence, &str), Vec<&'a Ingredient>> =
            BTreeMap::new();
        let mut open: Vec<&'a Ingredient> = vec![];
        let lines = self.bought.lines.iter();
        // What is put together may state more than its parts do.
        for ingredient in lines.flat_map(|l| catalogue.with_parts(catalogue.ingredient(l.key))) {
            let rows = &ingredient.allergens;
            if rows.iter().any(|r| r.substance == OTHERS) {
                open.push(ingredient);
            }
            for row in rows {
                let Some(listed) = on_list(&row.substance) else {
                    continue;
                };
                let Some((presence, condition)) = state(row, rows, list) else {
                    continue;
                };
                let key = (
                    listed.allergen.as_str(),
                    row.substance.as_str(),
                    presence,
                    condition,
                );
                let who = found.entry(key).or_default();
                if !who.iter().any(|i| i.id == ingredient.id) {
                    who.push(ingredient);
                }
            }
        }
        let statement = |((allergen, substance, presence, condition), who)| Statement {
            allergen,
            substance,
            presence,
            condition: String::from(condition),
            who,
        };
        // The map borrows the catalogue's texts, which outlive it.
        let statements = found.into_iter().map(statement).collect();
        Allergens { statements, open }
    }
}

/// What a row comes to on a list: an exemption that stands beside a statement qualifies it.
fn state<'r>(
    row: &'r AllergenRow,
    rows: &'r [AllergenRow],
    list: &str,
) -> Option<(Presence, &'r str)> {
    let exempt = |substance: &str| {
        let same = |r: &&AllergenRow| {
            r.presence == Presence::Exempt
                && r.substance == substance
                && (r.list.is_empty() || r.list == list)
        };
        rows.iter().find(same)
    };
    match row.presence {
        Presence::NoneByNature => None,
        Presence::Exempt => {
            let stated =
                |r: &AllergenRow| r.substance == row.substance && r.presence != Presence::Exempt;
            let here = row.list.is_empty() || row.list == list;
            (here && !rows.iter().any(stated)).then_some((Presence::Exempt, row.condition.as_str()))
        }
        presence => Some((
            presence,
            exempt(&row.substance).map_or("", |e| e.condition.as_str()),
        )),
    }
}

impl<'a> Allergens<'a> {
    /// The substances an ingredient holds that the list names.
    pub fn of(&self, id: &str) -> Vec<&'a str> {
        let held = |s: &&Statement<'a>| {
            s.presence == Presence::Contains && s.who.iter().any(|i| i.id == id)
        };
        self.statements
            .iter()
            .filter(held)
            .map(|s| s.substance)
            .collect()
    }

    /// What the formula contains, each allergen once with its kinds: `tree nuts (hazelnut)`.
    pub fn contains(&self) -> Vec<String> {
        let mut kinds: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
        let held = self.statements.iter();
        for s in held.filter(|s| s.presence == Presence::Contains) {
            let of = kinds.entry(s.allergen).or_default();
            if !of.contains(&s.substance) {
                of.push(s.substance);
            }
        }
        let told = |(allergen, of): (&str, Vec<&str>)| match of.as_slice() {
            [one] if allergen.starts_with(one) => one.to_string(),
            kinds => format!("{allergen} ({})", kinds.join(", ")),
        };
        kinds.into_iter().map(told).collect()
    }

    /// What has to be asked of makers.
    pub fn ask(&self) -> Vec<String> {
        let mut ask = vec![];
        for s in &self.statements {
            let names: Vec<&str> = s.who.iter().map(|i| i.name.as_str()).collect();
            let names = names.join(", ");
            let unless = match s.condition.as_str() {
                "" => "",
                _ => "; exempt under a condition",
            };
            match s.presence {
                Presence::Unknown => {
                    ask.push(format!("{}: not stated of {names}{unless}", s.substance));
                }
                Presence::MayContain => {
                    ask.push(format!("{}: may be in {names}{unless}", s.substance));
                }
                Presence::Exempt => {
                    ask.push(format!("{}: in {names}{unless}", s.substance));
                }
                Presence::Contains if !s.condition.is_empty() => {
                    ask.push(format!("{}: in {names}, on the label{unless}", s.substance));
                }
                _ => {}
            }
        }
        if !self.open.is_empty() {
            let names: Vec<&str> = self.open.iter().map(|i| i.name.as_str()).collect();
            ask.push(format!(
                "all other allergens and carriers: not stated of {}",
                names.join(", ")
            ));
        }
        ask
    }

    /// The statements as data.
    pub fn out(&self) -> Vec<LabelAllergenOut> {
        let out = |s: &Statement<'_>| LabelAllergenOut {
            allergen: s.allergen.to_string(),
            substance: s.substance.to_string(),
            presence: s.presence.word().to_string(),
            ingredients: s.who.iter().map(|i| i.id.clone()).collect(),
            condition: s.condition.clone(),
        };
        self.statements.iter().map(out).collect()
    }
}
