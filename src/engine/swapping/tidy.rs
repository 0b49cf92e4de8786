//! The options of an answer, cleared of what a cook has no use for.

use super::SwapOptions;
use super::option::listed;
use crate::answer::{Amount, LeftOut, OptionOut, SwapOut};
use crate::engine::Engine;
use crate::engine::covers::same_substance;
use crate::formula::Formula;
use crate::model::{Dial, IngredientKey, Severity};
use crate::texture::FatPhase;

/// What is brought for its bulk: less than this of the batch is not worth the weighing, %.
const USEFUL: f64 = 0.5;
/// What is brought for its bulk.
const BULK: &str = "bulk-family";
/// Temperature at which a fat has to hold the air, C, and the least share of the solid fat of
/// before that does.
/// Source: memory (mixes are aged at 2 to 5 C, where fat globules must be part solid).
const AGED: (f64, f64) = (5.0, 0.5);
/// A freezing point moved further than this is another hardness, K.
/// Source: memory (half a kelvin is some two in the serving temperature).
const FREEZES_ALIKE: f64 = 0.5;
/// What is poured for a milk.
const POURED: &str = "poured-family";
/// Start of the ids of what is said of a solute that crystallises.
const CRYSTALLISES: &str = "crystallises";
/// From this on the fat of a mix is structure, %.
const FATTY: f64 = 2.0;

impl Engine {
    /// Each weigh list once, none with next to nothing of a newcomer while others do without, what
    /// leaves the fat liquid last; and what must go but is still in, said.
    pub(super) fn tidy(&self, out: &mut SwapOut, formula: &Formula, options: &SwapOptions) {
        let headed = out.options.first().map(weigh_list).unwrap_or_default();
        let mut seen: Vec<Vec<(String, i64)>> = vec![];
        out.options.retain(|o| {
            let list = weigh_list(o);
            let again = !list.is_empty() && seen.contains(&list);
            seen.push(list);
            !again
        });
        if options.excludes() {
            let holds = |o: &OptionOut| {
                let left = self.formula_of(o);
                options.leavers.iter().any(|(k, _)| left.grams_of(*k) > 0.0)
            };
            out.options.retain(|o| !holds(o));
            out.nearest.retain(|o| !holds(o));
            if out.options.is_empty() {
                out.left = self.still_in(formula, options);
            }
        }
        if options.newcomers.is_empty() && out.options.iter().any(|o| !self.trifles(o)) {
            out.options.retain(|o| !self.trifles(o));
        }
        let named = out
            .options
            .first()
            .filter(|_| !options.newcomers.is_empty());
        let alone =
            named.and_then(|o| thawed(o).map(|(was, is)| (listed(&o.ingredients), was, is)));
        if options.newcomers.is_empty() && out.options.iter().any(|o| !self.reground(options, o)) {
            out.options.retain(|o| !self.reground(options, o));
        }
        // What is named stays as it is said, but for what no longer freezes as it did.
        out.options
            .sort_by_cached_key(|o| match options.newcomers.is_empty() {
                true => (
                    turns_gritty(o),
                    self.watered(options, o),
                    self.liquid(formula, o),
                ),
                false => (thawed(o).is_some(), false, false),
            });
        for (n, option) in out.options.iter_mut().enumerate() {
            option.rank = n + 1;
        }
        if let (Some(first), false) = (out.options.first(), out.direct.is_empty()) {
            if weigh_list(first) != headed {
                out.direct = headline(first);
            }
            if let Some((brought, was, is)) = alone {
                out.direct.push_str(&format!(
                    "; {brought} alone moves the freezing point from {was:.2} to {is:.2} C"
                ));
            }
        }
        for option in out.options.iter_mut().chain(&mut out.nearest) {
            option
                .cautions
                .sort_by_key(|c| std::cmp::Reverse(c.severity));
        }
    }

    /// Whether an option brings by the numbers what goes in another grind, and nothing else.
    fn reground(&self, options: &SwapOptions, option: &OptionOut) -> bool {
        let ([(leaver, _)], [brought]) =
            (options.leavers.as_slice(), option.ingredients.as_slice())
        else {
            return false;
        };
        let leaver = self.catalogue.ingredient(*leaver);
        let brought = self.catalogue.key(&brought.id);
        option.jobs.is_empty()
            && brought.is_some_and(|k| same_substance(leaver, self.catalogue.ingredient(k)))
    }

    /// Whether a milk goes and only powders, fats and water come: a cook pours another milk first.
    fn watered(&self, options: &SwapOptions, option: &OptionOut) -> bool {
        let poured = |key: IngredientKey| {
            let ingredient = self.catalogue.ingredient(key);
            ingredient.is_of(POURED) && ingredient.does("liquid")
        };
        let brought = option.ingredients.iter().chain(&option.balanced);
        let mut brought = brought.filter(|a| a.grams > 0.0);
        options.leavers.iter().any(|(key, _)| poured(*key))
            && !brought.any(|a| self.catalogue.key(&a.id).is_some_and(poured))
    }

    fn still_in(&self, formula: &Formula, options: &SwapOptions) -> Vec<LeftOut> {
        let held = options
            .leavers
            .iter()
            .filter(|(k, _)| formula.grams_of(*k) > 0.0);
        held.map(|(k, _)| {
            let ingredient = self.catalogue.ingredient(*k);
            LeftOut {
                id: ingredient.id.clone(),
                name: ingredient.name.clone(),
                still_in: true,
                job: ingredient.functions.first().cloned().unwrap_or_default(),
            }
        })
        .collect()
    }

    /// Whether an option brings less of something bulky than a cook would weigh.
    fn trifles(&self, option: &OptionOut) -> bool {
        let batch: f64 = option.formula.iter().map(|a| a.grams).sum();
        let trifle = |a: &Amount| {
            let key = self.catalogue.key(&a.id);
            let bulky = key.is_some_and(|k| self.catalogue.ingredient(k).is_of(BULK));
            bulky && a.grams.abs() < USEFUL / 100.0 * batch
        };
        option.ingredients.len() > 1
            && option.jobs.is_empty()
            && option.ingredients.iter().any(trifle)
    }

    /// Whether an option leaves the fat of a mix liquid that was part solid.
    fn liquid(&self, formula: &Formula, option: &OptionOut) -> bool {
        let after = self.formula_of(option);
        let assessor = self.assessor();
        let fat = |f: &Formula| assessor.state(f).dial(Dial::Fat).unwrap_or(0.0);
        if after.lines.is_empty() || fat(formula) < FATTY || fat(&after) < FATTY {
            return false;
        }
        let solid = |f: &Formula| FatPhase::of(assessor, f).solid(AGED.0).map(|s| s.percent);
        match (solid(formula), solid(&after)) {
            (Some(was), Some(is)) => is < AGED.1 * was,
            _ => false,
        }
    }
}

/// What comes for what, in a line.
pub(super) fn headline(option: &OptionOut) -> String {
    match option.ingredients.is_empty() {
        true => format!("{} taken out", listed(&option.removed)),
        false => format!(
            "{} for {}",
            listed(&option.ingredients),
            listed(&option.removed)
        ),
    }
}

/// Whether something crystallises out of an option: its own note says that it turns gritty.
fn turns_gritty(option: &OptionOut) -> bool {
    let mut each = option.cautions.iter();
    each.any(|c| c.id.starts_with(CRYSTALLISES) && c.severity != Severity::Info)
}

/// The freezing point before and after, where it moved too far to freeze as before.
fn thawed(option: &OptionOut) -> Option<(f64, f64)> {
    let mut each = option.changed.iter();
    let moved = each.find(|c| c.property == Dial::FreezingPoint.id())?;
    let (was, is) = (moved.before, moved.after);
    ((is - was).abs() > FREEZES_ALIKE).then_some((was, is))
}

/// What is weighed, to the milligram.
fn weigh_list(option: &OptionOut) -> Vec<(String, i64)> {
    let mut list: Vec<(String, i64)> = option
        .formula
        .iter()
        .map(|a| (a.id.clone(), (1000.0 * a.grams).round() as i64))
        .collect();
    list.sort();
    list
}
