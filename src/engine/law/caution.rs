//! What the law has against a formula, as cautions of other answers.

use super::level;
use crate::answer::{FindingOut, LegalCheckOut, SwapOut};
use crate::engine::Engine;
use crate::formula::{Dish, Formula, MixView};
use crate::model::Severity;

impl Engine {
    /// What the law has against a formula, as cautions: a stop where no place on file permits it.
    pub(in crate::engine) fn law_cautions(
        &self,
        formula: &Formula,
        class: &str,
    ) -> Vec<FindingOut> {
        let places = self.jurisdictions();
        let checks = self.checked(formula, class, &places);
        let mut out: Vec<FindingOut> = vec![];
        let against = |c: &LegalCheckOut| ["over", "not authorised"].contains(&c.verdict.as_str());
        for check in checks.iter().filter(|c| against(c)) {
            let id = format!("law-{}", check.substances.join("-").replace(' ', "-"));
            if out.iter().any(|f| f.id == id) {
                continue;
            }
            let alike =
                |c: &&LegalCheckOut| c.substances.iter().any(|s| check.substances.contains(s));
            let same: Vec<&LegalCheckOut> = checks.iter().filter(alike).collect();
            let told: Vec<String> = (same.iter().filter(|c| against(c)))
                .map(|c| {
                    let place = self.catalogue.law.called(&c.jurisdiction);
                    match (c.verdict.as_str(), c.limit_mg_per_kg) {
                        ("over", Some(most)) => {
                            format!("over the limit of {place}, {}", level(most))
                        }
                        _ => format!("not authorised in {place}"),
                    }
                })
                .collect();
            let permitted = same
                .iter()
                .any(|c| ["within", "permitted"].contains(&c.verdict.as_str()));
            out.push(FindingOut {
                id,
                severity: if permitted { Severity::Watch } else { Severity::Stop },
                topic: "legal limit".into(),
                standing: false,
                text: format!(
                    "{} at {}: {}. Ask \"is this permitted\" of the formula for each law and its year.",
                    check.substances.join(" and "),
                    level(check.level_mg_per_kg.1),
                    told.join("; ")
                ),
                because: "What the law has on file for this kind of food.".into(),
                source: check.source.clone(),
                locator: check.locator.clone(),
            });
        }
        out
    }

    /// Adds to each option what the law has against it that it had not before.
    pub(in crate::engine) fn warn_of_law(&self, out: &mut SwapOut, before: &Formula) {
        let class = self.class_of(before);
        let had: Vec<String> = (self.law_cautions(before, &class).into_iter())
            .map(|f| f.text)
            .collect();
        for option in &mut out.options {
            let mut after = Formula {
                name: before.name.clone(),
                dish: before.dish.clone(),
                ..Formula::default()
            };
            for amount in &option.formula {
                if let Some(key) = self.catalogue.key(&amount.id) {
                    after.add(key, amount.grams);
                }
            }
            let mut found = self.law_cautions(&after, &class);
            found.retain(|f| !had.contains(&f.text));
            option.cautions.splice(0..0, found);
        }
    }

    /// What the law has against the mix seen, as cautions.
    pub(in crate::engine) fn law_of(
        &self,
        bought: &Formula,
        view: &MixView<'_>,
    ) -> Vec<FindingOut> {
        let class = Dish::of(view.assessor, view.formula, view.state).class;
        self.law_cautions(bought, &class)
    }
}
