//! Counting what is known, unknown and not applicable, family by property.

use super::Engine;
use crate::answer::{Completeness, FamilyOut, PropertyKnown};
use crate::diagnostic::{self, Choice, Diagnostic, Problems};
use crate::formula::{Part, Profile};
use crate::load::critical;
use crate::model::{Ingredient, Property, fold};

impl Engine {
    /// What is known of every family, or of one.
    ///
    /// Errors: `Q017` for what is no family.
    pub fn completeness(&self, family: Option<&str>) -> Result<Completeness, Problems> {
        let families = self.catalogue.families();
        let family = family.map(|typed| fold(typed).replace(' ', "-"));
        if let Some(f) = family.as_deref().filter(|f| !families.contains(f)) {
            let near = diagnostic::nearest(f, families.iter().copied());
            let message = format!("no family is called `{f}`");
            return Err(Diagnostic::new("Q017", "family", message)
                .help(match near {
                    Some(near) => format!("the nearest is `{near}`"),
                    None => format!("one of {}", families.join(", ")),
                })
                .nearest(near.map(Choice::word))
                .into());
        }
        let asked = |f: &&str| family.as_deref().is_none_or(|family| family == *f);
        Ok(self.count_families(families.into_iter().filter(asked)))
    }

    fn count_families<'a>(&self, families: impl Iterator<Item = &'a str>) -> Completeness {
        let by_family = critical(&self.files);
        let count = |family: &str| {
            let members: Vec<(&Ingredient, &Profile)> = (self.catalogue.ingredients.iter())
                .zip(self.profiles.listed())
                .take(self.index.len())
                .filter(|(i, _)| i.family == family)
                .collect();
            let decisive = by_family.get(family).map_or(&[][..], Vec::as_slice);
            // What only a person's own data can state is no gap of what is built in.
            let built_in = self
                .catalogue
                .properties
                .iter()
                .filter(|p| p.group != "trade");
            let properties: Vec<PropertyKnown> = built_in
                .map(|p| known(p, family, decisive.contains(&p.id), &members))
                .collect();
            let of_critical = || properties.iter().filter(|p| p.critical);
            let known: usize = of_critical().map(PropertyKnown::known).sum();
            FamilyOut {
                family: family.to_string(),
                ingredients: members.len(),
                values: members.iter().map(|(i, _)| i.values.len()).sum(),
                critical_percent: 100 * known / (of_critical().count() * members.len()).max(1),
                properties,
            }
        };
        Completeness {
            families: families.map(count).collect(),
        }
    }
}

fn known(
    property: &Property,
    family: &str,
    critical: bool,
    members: &[(&Ingredient, &Profile)],
) -> PropertyKnown {
    let mut out = PropertyKnown {
        property: property.id.clone(),
        group: property.group.clone(),
        critical,
        stated: 0,
        derived: 0,
        unknown: 0,
        not_applicable: 0,
    };
    let part = Part::parse(&property.id);
    for (ingredient, profile) in members {
        let derived = || part.is_some_and(|part| profile.figure(part).is_some());
        let state = if ingredient.value(&property.id).is_some() {
            &mut out.stated
        } else if derived() {
            &mut out.derived
        } else if property.applies_to(family) {
            &mut out.unknown
        } else {
            &mut out.not_applicable
        };
        *state += 1;
    }
    out
}
