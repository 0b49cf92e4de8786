//! All that is known of one ingredient.

use super::{Engine, summary};
use crate::answer::{AllergenOut, ProfileOut, ValueOut};
use crate::diagnostic::Problems;
use crate::formula::{Origin, Part};
use crate::load::critical;
use crate::model::{Ingredient, IngredientKey, Presence, SourceKind, Value};

impl Engine {
    /// All that is known of the ingredient a typed name stands for.
    ///
    /// Errors: those of [`Engine::taken`].
    pub fn show(&self, typed: &str) -> Result<ProfileOut, Problems> {
        let taken = self.taken(typed)?;
        let mut profile = self.profile(taken.key);
        profile.assumed.extend(self.assumed_of(typed, &taken));
        Ok(profile)
    }

    /// All that is known of an ingredient.
    pub(super) fn profile(&self, key: IngredientKey) -> ProfileOut {
        let i = self.catalogue.ingredient(key);
        let mut profile = ProfileOut {
            summary: String::new(),
            id: i.id.clone(),
            name: i.name.clone(),
            family: i.family.clone(),
            form: i.form.clone(),
            origin: i.origin.clone(),
            functions: i.functions.clone(),
            e_number: i.e_number.clone(),
            cas: i.cas.clone(),
            note: i.note.clone(),
            names: i
                .names
                .iter()
                .map(|n| {
                    if n.region.is_empty() {
                        n.name.clone()
                    } else {
                        format!("{} ({})", n.name, n.region)
                    }
                })
                .collect(),
            allergens: self.declared(i),
            parts: i
                .parts
                .iter()
                .map(|(id, share)| (id.clone(), 100.0 * share))
                .collect(),
            values: i
                .values
                .iter()
                .map(|v| self.value(i, v))
                .chain(self.derived(key))
                .collect(),
            assumed: vec![],
        };
        profile.summary = summary::of_profile(&profile);
        self.mark_telling(&mut profile);
        profile
    }

    /// Marks the row of each property a developer of this family decides by.
    fn mark_telling(&self, profile: &mut ProfileOut) {
        let critical = critical(&self.files);
        let decisive = critical.get(&profile.family).map_or(&[][..], Vec::as_slice);
        let mut told: Vec<String> = vec![];
        for value in profile.values.iter_mut().filter(|v| !v.overruled) {
            if decisive.contains(&value.property) && !told.contains(&value.property) {
                told.push(value.property.clone());
                value.telling = true;
            }
        }
    }

    /// The statements of an ingredient on every list that names the substance.
    fn declared(&self, i: &Ingredient) -> Vec<AllergenOut> {
        let mut out = vec![];
        for row in &i.allergens {
            let named: Vec<(&str, &str)> = self
                .catalogue
                .allergen_lists
                .iter()
                .filter(|l| {
                    l.substance == row.substance && (row.list.is_empty() || row.list == l.list)
                })
                .map(|l| (l.list.as_str(), l.allergen.as_str()))
                .collect();
            // An exemption on one list takes that list out of the general statement.
            let exempt = |list: &str| {
                row.list.is_empty()
                    && i.allergens.iter().any(|r| {
                        r.presence == Presence::Exempt
                            && r.substance == row.substance
                            && r.list == list
                    })
            };
            let lists = if named.is_empty() {
                vec![(row.list.as_str(), row.substance.as_str())]
            } else {
                named
            };
            for (list, allergen) in lists.into_iter().filter(|(list, _)| !exempt(list)) {
                out.push(AllergenOut {
                    list: list.to_string(),
                    allergen: allergen.to_string(),
                    substance: row.substance.clone(),
                    presence: row.presence,
                    source: row.source.clone(),
                    locator: row.locator.clone(),
                });
            }
        }
        out
    }

    pub(super) fn value(&self, i: &Ingredient, v: &Value) -> ValueOut {
        ValueOut {
            property: v.property.clone(),
            condition: v.condition.clone(),
            low: v.low,
            typical: v.typical,
            high: v.high,
            text: v.text.clone(),
            unit: v.unit.clone(),
            source: v.source.clone(),
            locator: v.locator.clone(),
            kind: match v.own {
                true => SourceKind::Own,
                false => self.catalogue.kind(&v.source),
            },
            own: v.own,
            telling: false,
            overruled: i.overruled(v),
            note: v.note.clone(),
        }
    }

    /// Figures no row states, with the rule that gives them.
    fn derived(&self, key: IngredientKey) -> Vec<ValueOut> {
        let profile = self.assessor().profile(key);
        let derived = profile
            .figures()
            .filter_map(|(part, figure)| match figure.origin {
                Origin::Rule(rule) if part != Part::Priced => Some((part, figure, rule)),
                _ => None,
            });
        derived
            .map(|(part, figure, rule)| {
                let ranged = figure.high > figure.low;
                let unit = self
                    .catalogue
                    .property(part.id())
                    .map_or("", |p| p.unit.as_str());
                ValueOut {
                    property: part.id().to_string(),
                    condition: String::new(),
                    low: ranged.then_some(figure.low),
                    typical: Some(figure.typical),
                    high: ranged.then_some(figure.high),
                    text: String::new(),
                    unit: if unit.is_empty() {
                        if part.id().starts_with("energy") {
                            "kcal/100 g".into()
                        } else {
                            "g/100 g".into()
                        }
                    } else {
                        unit.to_string()
                    },
                    source: rule.to_string(),
                    locator: String::new(),
                    kind: SourceKind::Derived,
                    own: false,
                    telling: false,
                    overruled: false,
                    note: String::new(),
                }
            })
            .collect()
    }
}
