//! What people with an allergy often react to as well: no swap made for them goes without that word.

use super::Engine;
use crate::answer::{FindingOut, SwapOut};
use crate::model::{Expr, IngredientKey, Presence, Severity, Subject, Test, fold};

/// From this share of people on it is often, %. Source: common-practice.
const OFTEN: f64 = 20.0;

impl Engine {
    /// For somebody allergic: the substances to avoid, by what goes and what was excluded, and the
    /// condition that keeps them and what is akin to them out.
    pub(super) fn avoided(&self, leavers: &[IngredientKey], wished: &Expr) -> (Vec<String>, Expr) {
        let mut avoided: Vec<String> = vec![];
        for key in leavers {
            let rows = self.catalogue.ingredient(*key).allergens.iter();
            let held = rows.filter(|row| row.presence == Presence::Contains);
            let held = held.filter(|row| !self.catalogue.only_advised(&row.substance));
            avoided.extend(held.map(|row| row.substance.clone()));
        }
        wished.visit(&mut |test| {
            if let Test::Contains(_, allergen) = test {
                let covered = self.catalogue.substances(allergen).into_iter();
                avoided.extend(covered.map(str::to_string));
            }
        });
        avoided.sort_unstable();
        avoided.dedup();
        let known = self.catalogue.allergens();
        let mut out: Vec<String> = avoided.clone();
        // What a law counts as one allergen, such as the tree nuts, a guest is often told to avoid whole.
        for list in self
            .catalogue
            .allergen_lists
            .iter()
            .filter(|list| list.binds())
        {
            if avoided.contains(&list.substance) {
                let group = self.catalogue.substances(&list.allergen).into_iter();
                out.extend(
                    group
                        .map(str::to_string)
                        .filter(|s| known.contains(&s.as_str())),
                );
            }
        }
        out.sort_unstable();
        out.dedup();
        for relative in &self.catalogue.relatives {
            let pairs = [
                (&relative.allergen, &relative.relative, true),
                (&relative.relative, &relative.allergen, relative.both_ways),
            ];
            for (allergic, other, counts) in pairs {
                if counts
                    && avoided.contains(allergic)
                    && known.contains(&other.as_str())
                    && !out.contains(other)
                {
                    out.push(other.clone());
                }
            }
        }
        let holds = |substance: String| Expr::Test(Test::Contains(Subject::This, substance));
        let any = Expr::Any(out.into_iter().map(holds).collect());
        (avoided, Expr::Not(Box::new(any)))
    }

    /// Adds to each option what is akin to the allergens that must not come in; options that bring
    /// such a thing stand behind those that do not.
    pub(super) fn warn_of_relatives(&self, out: &mut SwapOut, wished: &Expr) {
        let mut avoided: Vec<String> = vec![];
        wished.visit(&mut |test| {
            if let Test::Contains(_, allergen) = test {
                avoided.extend(
                    self.catalogue
                        .substances(allergen)
                        .into_iter()
                        .map(str::to_string),
                );
            }
        });
        if avoided.is_empty() {
            return;
        }
        for option in &mut out.options {
            let mut found: Vec<FindingOut> = vec![];
            for amount in &option.ingredients {
                found.extend(self.relatives_in(&amount.id, &amount.name, &avoided));
            }
            option.cautions.splice(0..0, found);
        }
    }

    /// What of an ingredient is akin to what is avoided.
    pub(super) fn relatives_in(&self, id: &str, name: &str, avoided: &[String]) -> Vec<FindingOut> {
        let Some(key) = self.catalogue.key(id) else {
            return vec![];
        };
        let ingredient = self.catalogue.ingredient(key);
        // Fruits and gums are akin to allergens and on no list: they are told by their own name.
        let itself = |substance: &str| {
            let plain = fold(substance);
            fold(&ingredient.id) == plain
                || ingredient.origin.iter().any(|o| fold(o) == plain)
                || ingredient.names.iter().any(|n| fold(&n.name) == plain)
        };
        let holds = |substance: &str| {
            itself(substance)
                || ingredient.allergens.iter().any(|row| {
                    row.substance == substance
                        && matches!(row.presence, Presence::Contains | Presence::MayContain)
                })
        };
        let mut out: Vec<FindingOut> = vec![];
        for relative in &self.catalogue.relatives {
            let pairs = [
                (&relative.allergen, &relative.relative, true),
                (&relative.relative, &relative.allergen, relative.both_ways),
            ];
            for (allergic, other, counts) in pairs {
                let told = out.iter().any(|f| f.id == *other);
                if !counts || told || !avoided.contains(allergic) || !holds(other) {
                    continue;
                }
                let often = match relative.rate {
                    Some((low, _)) if low >= OFTEN => "often",
                    _ => "may",
                };
                let rate = match relative.rate {
                    Some((low, high)) if (high - low).abs() < 0.5 => format!(", {low:.0} %"),
                    Some((low, high)) if high >= 100.0 => format!(", {low:.0} % and more"),
                    Some((low, high)) => format!(", {low:.0} to {high:.0} %"),
                    None => String::new(),
                };
                out.push(FindingOut {
                    id: other.clone(),
                    severity: Severity::Stop,
                    topic: "relative".into(),
                    standing: false,
                    text: format!(
                        "{name} holds {other}: people allergic to {allergic} {often} react to it as well{rate}; ask them and a doctor first."
                    ),
                    because: relative.bond.clone(),
                    source: relative.source.clone(),
                    locator: relative.locator.clone(),
                });
            }
        }
        out
    }
}
