//! How complete the knowledge is: family by property.

use crate::engine::Engine;
use crate::model::Ingredient;

/// Properties shown as columns, by how much of the family knows them; a Markdown table.
pub fn table(engine: &Engine) -> String {
    let catalogue = &engine.catalogue;
    let mut out = String::from(
        "| family | ingredients | values | known properties (share of the family) |\n|---|---|---|---|\n",
    );
    for family in catalogue.families() {
        let members: Vec<&Ingredient> = catalogue
            .ingredients
            .iter()
            .filter(|i| i.family == family)
            .collect();
        let values: usize = members.iter().map(|i| i.values.len()).sum();
        let mut shares: Vec<(usize, &str)> = catalogue
            .properties
            .iter()
            .map(|p| {
                (
                    100 * members.iter().filter(|i| i.value(&p.id).is_some()).count()
                        / members.len().max(1),
                    p.id.as_str(),
                )
            })
            .filter(|(share, _)| *share > 0)
            .collect();
        shares.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(b.1)));
        let known: Vec<String> = shares
            .iter()
            .map(|(share, id)| format!("{id} {share} %"))
            .collect();
        out.push_str(&format!(
            "| {family} | {} | {values} | {} |\n",
            members.len(),
            known.join(", ")
        ));
    }
    out
}
