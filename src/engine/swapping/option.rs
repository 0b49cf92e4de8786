//! A proposal as an option of an answer: what changes between two formulas, the steps it adds, what to
//! look out for.

use std::cmp::Reverse;

use super::proposal::{Comes, Proposal};
use crate::answer::{Amount, ChangedOut, KeptOut, OptionOut};
use crate::engine::Engine;
use crate::engine::assess::{finding, step};
use crate::formula::{MixView, State};
use crate::model::{Aim, Dial, Ingredient, IngredientKey, Severity, Test};
use crate::swap::{self, Caution, Target, feels};
use crate::texture;

/// What sweetens, and by being dissolved binds water.
const BINDS_WATER: &str = "sugar-family";
/// Water activity above which a dish spoils like any fresh food, whatever its sugars.
/// Source: common-practice.
const PERISHABLE: f64 = 0.96;
/// A change of the water activity that the model tells from none.
const SAME_ACTIVITY: f64 = 0.005;
/// Steps that only a mix with a machine of its own takes.
const OF_A_MACHINE: [&str; 2] = ["churn", "harden"];
/// What makes a dish fail, or says what it still is, goes before what a pack tells.
const FIRST: [&str; 6] = ["curdling", "heat", "body", "salt", "still held", "keeping"];
/// Figures of what freezes.
pub(super) const OF_ICE: [Dial; 3] = [Dial::FreezingPoint, Dial::FrozenAt18, Dial::FrozenAt12];
/// Start of the ids of what is said of a diet, which hangs on the rest of the mix.
const OF_A_DIET: &str = "diet-";

/// The lines after, in the order of the recipe, what is new last.
fn in_order(p: &Proposal) -> Vec<(IngredientKey, f64)> {
    let mut lines: Vec<_> = p.after.lines.iter().map(|l| (l.key, l.grams)).collect();
    let place = |key| p.before.lines.iter().position(|l| l.key == key);
    lines.sort_by_key(|(key, _)| place(*key).unwrap_or(usize::MAX));
    lines
}

impl Engine {
    /// A proposal as an answer tells it: what comes and goes, what that moves, the steps it adds and what
    /// to look out for.
    pub(super) fn option(&self, rank: usize, p: &Proposal) -> OptionOut {
        let assessor = self.assessor();
        let (before, after) = self.states(p);
        let views = (
            MixView::new(assessor, &p.before, &before),
            MixView::new(assessor, &p.after, &after),
        );
        let of = |key: IngredientKey| self.catalogue.ingredient(key);
        let newcomers: Vec<&Ingredient> = p.comes.iter().map(|c| of(c.key)).collect();
        let mut option = OptionOut {
            rank,
            ingredients: p.comes.iter().map(|c| self.coming(c)).collect(),
            removed: self.amounts(p.goes.iter().copied()),
            reasons: p.reasons.clone(),
            jobs: p.jobs.clone(),
            lost: p.lost.clone(),
            changes: p.changes.clone(),
            confidence: p.confidence,
            miss: p.miss,
            ..OptionOut::default()
        };
        let leaver = p.leaver.map(of);
        let mut cautions = swap::called_for(&views.0, &views.1, &newcomers, leaver);
        for caution in &p.cautions {
            if !cautions.iter().any(|c| c.text == caution.text) {
                cautions.push(caution.clone());
            }
        }
        if !p.ratios {
            cautions.extend(self.keeping(p, &before, &after));
        }
        let mut steps = texture::process(&views.1, &newcomers);
        steps.retain(|step| !step.ingredients.is_empty());
        if p.ratios {
            // The rest of the mix is not known: there is no state to compare.
            cautions.retain(|c| self.holds_without_a_mix(&c.id));
            steps.retain(|step| !OF_A_MACHINE.contains(&step.phase.as_str()));
        } else {
            option.formula = self.amounts(in_order(p));
            option.balanced = self.amounts(p.shifts.iter().copied());
            option.before = Some(Box::new(self.figures(&p.before, &before)));
            option.after = Some(Box::new(self.figures(&p.after, &after)));
            option.acidity = self.acidities(p);
            self.compare_states(
                &mut option,
                &before,
                &after,
                &p.targets,
                !self.freezes(&p.before),
            );
        }
        let unusual = self.unusual((&p.before, &before), (&p.after, &after));
        let unusual = unusual.into_iter();
        option.cautions = unusual.chain(cautions.into_iter().map(finding)).collect();
        let first = |topic: &str| !FIRST.contains(&topic);
        option
            .cautions
            .sort_by_key(|c| (Reverse(c.severity), first(&c.topic)));
        option.process = steps.into_iter().map(step).collect();
        option
    }

    /// How a dish that keeps by its dissolved sugars keeps with others, where they come or go and it is not
    /// frozen.
    fn keeping(&self, p: &Proposal, before: &State, after: &State) -> Option<Caution> {
        let of = |key: IngredientKey| self.catalogue.ingredient(key);
        let moved = p.comes.iter().map(|c| c.key);
        let mut moved = moved.chain(p.goes.iter().map(|(key, _)| *key));
        let binds = |key: IngredientKey| of(key).is_of(BINDS_WATER) || of(key).does("humectant");
        let (was, is) = (before.water_activity()?, after.water_activity()?);
        if self.freezes(&p.before) || was > PERISHABLE || !moved.any(binds) {
            return None;
        }
        let how = match is - was {
            more if more > SAME_ACTIVITY => "it spoils sooner",
            less if less < -SAME_ACTIVITY => "it keeps longer",
            _ => "it keeps about as before",
        };
        Some(Caution {
            standing: false,
            id: "keeping".into(),
            severity: Severity::Watch,
            topic: "keeping".into(),
            text: format!("Keeping: water activity {was:.2} -> {is:.2} at 20 C, {how}."),
            because: "What binds the water keeps germs and moulds from it.".into(),
            source: "physics::solution".into(),
            locator: String::new(),
        })
    }

    fn coming(&self, comes: &Comes) -> Amount {
        let ingredient = self.catalogue.ingredient(comes.key);
        Amount {
            id: ingredient.id.clone(),
            name: ingredient.name.clone(),
            grams: comes.grams,
            span: comes.span,
        }
    }

    /// Whether a caution can be said where the rest of the mix is not known: it asks no figure of the mix.
    fn holds_without_a_mix(&self, id: &str) -> bool {
        let mut figure = id.starts_with(OF_A_DIET);
        if let Some(rule) = self.catalogue.rules.iter().find(|r| r.id == id) {
            let asks = &mut |test: &Test| figure |= matches!(test, Test::Mix(..));
            rule.when.visit(asks);
        }
        !figure
    }

    /// Titratable acid before and after, as citric acid, where an acid comes or goes; `None` where one
    /// of them states no acid.
    fn acidities(&self, p: &Proposal) -> Option<(f64, f64)> {
        let assessor = self.assessor();
        let moved = p.comes.iter().map(|c| c.key);
        let mut moved = moved.chain(p.goes.iter().map(|(key, _)| *key));
        let sour = |key: IngredientKey| swap::sours(self.catalogue.ingredient(key));
        let mut lines = p.before.lines.iter().chain(&p.after.lines);
        let stated = lines.all(|l| !sour(l.key) || swap::as_citric(assessor, l.key) > 0.0);
        if !moved.any(sour) || !stated {
            return None;
        }
        let of = |formula| swap::acidity(assessor, formula);
        let (was, is) = (of(&p.before), of(&p.after));
        (was.max(is) >= 0.01).then_some((was, is))
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
        unfrozen: bool,
    ) {
        let feels = feels(&self.catalogue, before);
        for (dial, ..) in Dial::ALL {
            // What the freezer does is no figure of a dish that never meets it.
            let asked = targets.iter().any(|t| t.dial == dial && t.asked);
            if unfrozen && !asked && OF_ICE.contains(&dial) {
                continue;
            }
            let (Some(was), Some(is)) = (before.dial(dial), after.dial(dial)) else {
                continue;
            };
            let Some(feel) = feels.get(&dial) else {
                continue;
            };
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
