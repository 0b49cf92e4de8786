//! Ingredients side by side.

use super::{Engine, summary};
use crate::answer::{ComparedRow, Comparison, ProfileOut};
use crate::diagnostic::Problems;
use crate::model::IngredientKey;
use crate::names::Taken;

/// Properties that decide in a kitchen, in the order a person reads them; a comparison without
/// named properties shows those of these that any of the ingredients has.
const DECIDING: [&str; 26] = [
    "relative_sweetness",
    "dextrose_equivalent",
    "gel_melting_temperature",
    "setting_temperature",
    "gel_texture",
    "cold_soluble",
    "hydration_temperature",
    "gelatinisation_temperature",
    "activation_temperature",
    "melting_range",
    "use_level",
    "ph_range",
    "freeze_thaw",
    "hlb",
    "emulsifier_class",
    "fat",
    "sugars",
    "protein",
    "water",
    "milk_solids_not_fat",
    "alcohol",
    "glycaemic_index",
    "solubility",
    "dispersal",
    "vegan",
    "energy_eu",
];

impl Engine {
    /// The ingredients that typed names stand for, side by side on the properties named, or on those
    /// that decide.
    ///
    /// Errors: those of [`Engine::taken`]; `Q009` for what is no property.
    pub fn compare(&self, typed: &[String], by: &[String]) -> Result<Comparison, Problems> {
        let taken = typed.iter().map(|typed| self.taken(typed));
        let taken: Vec<Taken> = taken.collect::<Result<_, _>>()?;
        let by = by.iter().map(|name| self.property(name));
        let by: Vec<String> = by.collect::<Result<_, _>>()?;
        let keys: Vec<IngredientKey> = taken.iter().map(|taken| taken.key).collect();
        let mut comparison = self.compared(&keys, &by);
        let assumed = typed.iter().zip(&taken);
        comparison.assumed = assumed
            .filter_map(|(typed, taken)| self.assumed_of(typed, taken))
            .collect();
        Ok(comparison)
    }

    /// Ingredients side by side on `properties`, or on those that decide.
    pub(super) fn compared(&self, keys: &[IngredientKey], properties: &[String]) -> Comparison {
        let profiles: Vec<ProfileOut> = keys.iter().map(|k| self.profile(*k)).collect();
        let first = |p: &ProfileOut, id: &str| {
            p.values
                .iter()
                .filter(|v| v.property == id && !v.overruled)
                .min_by_key(|v| !v.condition.is_empty())
                .cloned()
        };
        let wanted: Vec<String> = if properties.is_empty() {
            DECIDING.iter().map(|p| p.to_string()).collect()
        } else {
            properties.to_vec()
        };
        let rows: Vec<ComparedRow> = wanted
            .into_iter()
            .map(|id| {
                let property = self.catalogue.property(&id);
                ComparedRow {
                    name: property.map_or(id.replace('_', " "), |p| p.name.clone()),
                    unit: property.map_or(String::new(), |p| p.unit.clone()),
                    values: profiles.iter().map(|p| first(p, &id)).collect(),
                    property: id,
                }
            })
            .filter(|row| !properties.is_empty() || row.values.iter().any(Option::is_some))
            .collect();
        let mut overruled = self.overruled(keys.iter().map(|k| self.catalogue.ingredient(*k)));
        overruled.retain(|o| rows.iter().any(|row| row.property == o.own.property));
        let mut comparison = Comparison {
            summary: String::new(),
            overruled,
            ingredients: profiles.iter().map(|p| p.id.clone()).collect(),
            names: profiles.iter().map(|p| p.name.clone()).collect(),
            rows,
            assumed: vec![],
            together: self.together(keys),
        };
        comparison.summary = summary::of_comparison(&comparison);
        comparison
    }
}
