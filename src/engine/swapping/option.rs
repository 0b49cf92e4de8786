//! One option as data: what changes between two formulas, the steps it adds, what to look out for.

use crate::answer::{Amount, ChangedOut, KeptOut, OptionOut};
use crate::engine::Engine;
use crate::engine::assess::{finding, step};
use crate::formula::{Formula, MixView, State, weighed};
use crate::model::{Aim, Dial, Ingredient, IngredientKey};
use crate::swap::{Caution, Target, feels};
use crate::texture;

/// A formula before and after.
pub(super) struct Change<'a> {
    /// What it was, with its state.
    pub before: (&'a Formula, &'a State),
    /// What it becomes, with its state.
    pub after: (&'a Formula, &'a State),
    /// What was asked of it.
    pub targets: &'a [Target],
    /// What comes in.
    pub newcomers: &'a [&'a Ingredient],
    /// What to look out for.
    pub cautions: Vec<Caution>,
}

/// Amounts in a line.
pub(super) fn listed(amounts: &[Amount]) -> String {
    let each = amounts
        .iter()
        .map(|a| format!("{} g {}", weighed(a.grams), a.name));
    each.collect::<Vec<_>>().join(" + ")
}

impl Engine {
    /// The part of an option that follows from the two formulas; what comes in and out, and why, is the caller's.
    pub(super) fn outcome(&self, change: Change<'_>) -> OptionOut {
        let (before, after) = (change.before, change.after);
        let view = MixView::new(self.assessor(), after.0, after.1);
        // In the order of the recipe, what is new last.
        let mut lines: Vec<_> = after.0.lines.iter().map(|l| (l.key, l.grams)).collect();
        let place = |key| before.0.lines.iter().position(|l| l.key == key);
        lines.sort_by_key(|(key, _)| place(*key).unwrap_or(usize::MAX));
        let added = texture::process(&view, change.newcomers);
        let mut option = OptionOut {
            before: Some(Box::new(self.figures(before.0, before.1))),
            after: Some(Box::new(self.figures(after.0, after.1))),
            formula: self.amounts(lines),
            process: added
                .into_iter()
                .filter(|s| !s.ingredients.is_empty())
                .map(step)
                .collect(),
            cautions: self
                .unusual(before, after)
                .into_iter()
                .chain(change.cautions.into_iter().map(finding))
                .collect(),
            ..OptionOut::default()
        };
        self.compare_states(&mut option, before.1, after.1, change.targets);
        option
    }

    /// Grams of ingredients, named.
    pub(in crate::engine) fn amounts(
        &self,
        each: impl IntoIterator<Item = (IngredientKey, f64)>,
    ) -> Vec<Amount> {
        each.into_iter()
            .map(|(key, grams)| {
                let i = self.catalogue.ingredient(key);
                Amount {
                    id: i.id.clone(),
                    name: i.name.clone(),
                    grams,
                    span: None,
                }
            })
            .collect()
    }

    /// Dials within their tolerance are kept, the others changed; asked ones are marked.
    fn compare_states(
        &self,
        option: &mut OptionOut,
        before: &State,
        after: &State,
        targets: &[Target],
    ) {
        let feels = feels(&self.catalogue, before);
        for (dial, ..) in Dial::ALL {
            let (Some(was), Some(is)) = (before.dial(dial), after.dial(dial)) else {
                continue;
            };
            let Some(feel) = feels.get(&dial) else {
                continue;
            };
            let asked = targets.iter().any(|t| t.dial == dial && t.asked);
            // What was to stay and moved was not asked to move.
            let to_move = |t: &Target| t.dial == dial && t.asked && t.wish != Aim::Keep;
            if (is - was).abs() <= feel.tolerance {
                if asked
                    || targets
                        .iter()
                        .any(|t| t.dial == dial && was.abs() > feel.tolerance)
                {
                    option.kept.push(KeptOut {
                        property: dial.id().into(),
                        before: was,
                        after: is,
                        tolerance: feel.tolerance,
                        asked,
                    });
                }
            } else {
                option.changed.push(ChangedOut {
                    property: dial.id().into(),
                    before: was,
                    after: is,
                    asked: targets.iter().any(to_move),
                });
            }
        }
    }
}
