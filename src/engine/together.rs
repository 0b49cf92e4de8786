//! What the rules say of ingredients put into one mix.

use super::Engine;
use super::assess::finding;
use crate::answer::FindingOut;
use crate::formula::{Formula, MixView};
use crate::model::IngredientKey;
use crate::texture::{Finding, interactions};

/// Weight of the mix the ingredients are thought into, g.
const MIX: f64 = 1000.0;
/// Share of it taken by an ingredient whose use level is not known, %.
const ASSUMED_SHARE: f64 = 10.0;

impl Engine {
    /// The interactions of ingredients at their use levels in water that none of them has alone.
    pub fn together(&self, keys: &[IngredientKey]) -> Vec<FindingOut> {
        if keys.len() < 2 {
            return vec![];
        }
        let alone: Vec<String> = keys
            .iter()
            .flat_map(|key| self.acting_in_water(&[*key]))
            .map(|f| f.id)
            .collect();
        let mut found = self.acting_in_water(keys);
        found.retain(|f| !alone.contains(&f.id));
        found.into_iter().map(finding).collect()
    }

    /// How the ingredients of a mix act on each other.
    pub(super) fn acting(&self, mix: &Formula) -> Vec<Finding> {
        let state = self.assessor().state(mix);
        interactions(&MixView::new(self.assessor(), mix, &state))
    }

    fn acting_in_water(&self, keys: &[IngredientKey]) -> Vec<Finding> {
        let mut mix = Formula {
            dish: "frozen dessert".into(),
            ..Formula::default()
        };
        for key in keys {
            let share = self.catalogue.ingredient(*key).number("use_level");
            let share = share.unwrap_or(ASSUMED_SHARE).clamp(0.01, 50.0);
            mix.add(*key, share / 100.0 * MIX);
        }
        let rest = MIX - mix.grams();
        if let Some(water) = self.catalogue.key("water").filter(|_| rest > 0.0) {
            mix.add(water, rest);
        }
        self.acting(&mix)
    }
}
