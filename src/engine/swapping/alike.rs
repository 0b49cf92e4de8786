//! A named pair of one kind: a fruit for a fruit, a nut paste for a nut paste, a chocolate for a chocolate.
//!
//! The dish is built on what goes, so that as much of its like comes: weight for weight, a chocolate by its
//! cocoa. What the newcomer moves beside that is levelled by the other lines of the formula, not by less of it.

use super::SwapOptions;
use super::proposal::{Found, Proposal};
use crate::answer::ReasonOut;
use crate::engine::Engine;
use crate::formula::{Formula, Part, weighed};
use crate::model::{Ingredient, IngredientKey, Kin};

/// The group whose groups are the kinds.
const IN_KIND: &str = "in-kind";
/// Two of a kind hold water alike within so many g/100 g: no dried fruit for a fresh one.
/// Source: common-practice.
const AS_WET: f64 = 15.0;
/// What the cocoa of a chocolate is made of.
const COCOA: [&str; 2] = ["cocoa_butter", "fat_free_cocoa_solids"];
/// Two chocolates whose cocoa differs by more than this factor do not stand for each other by it.
/// Source: common-practice.
const AS_DARK: f64 = 1.35;

impl Engine {
    /// As much of the newcomer as goes of its like, alone and with the other lines levelled; nothing where the
    /// two are not of one kind.
    pub(super) fn alike(&self, formula: &Formula, options: &SwapOptions) -> Found {
        let mut found = Found::default();
        let before = formula.merged();
        let Some((leaver, newcomer, goes)) = options.pair(&before) else {
            return found;
        };
        let Some((times, why)) = self.in_kind(leaver, newcomer).filter(|_| goes > 0.0) else {
            return found;
        };
        let comes = goes * times;
        let mut after = before.clone();
        after.add(leaver, -goes);
        after.add(newcomer, comes);
        let direct = Proposal {
            comes: Proposal::coming([(newcomer, comes)]),
            goes: vec![(leaver, goes)],
            leaver: Some(leaver),
            reasons: vec![ReasonOut {
                rule: "in-kind".into(),
                text: why,
                source: "common-practice".into(),
                locator: String::new(),
            }],
            before: before.clone(),
            after,
            ..Proposal::default()
        };
        let levelled = self.with_marks_held(&before, options, &direct);
        found.options.extend(levelled);
        found.options.push(direct);
        found
    }

    /// What comes in the form of what goes: the paste of almonds where a nut paste goes and `almond` was said.
    pub(in crate::engine) fn in_its_form(
        &self,
        leaver: IngredientKey,
        newcomer: IngredientKey,
    ) -> Option<IngredientKey> {
        let (out, into) = (
            self.catalogue.ingredient(leaver),
            self.catalogue.ingredient(newcomer),
        );
        let form = out.id.rsplit('-').next()?;
        self.kind(out, into).filter(|_| out.family != into.family)?;
        let formed = |key: &IngredientKey| {
            let i = self.catalogue.ingredient(*key);
            let rest = i.id.strip_prefix(&into.id).unwrap_or_default();
            i.family == out.family && rest.starts_with('-') && rest.split('-').any(|p| p == form)
        };
        let of_form = self.catalogue.keys().filter(formed);
        of_form.min_by_key(|key| self.catalogue.ingredient(*key).commonness)
    }

    /// Whether one stands in for the other in kind.
    pub(super) fn is_in_kind(&self, out: IngredientKey, into: IngredientKey) -> bool {
        out != into && self.in_kind(out, into).is_some()
    }

    /// The kind that both are of.
    fn kind(&self, out: &Ingredient, into: &Ingredient) -> Option<&Kin> {
        let of_both =
            |kin: &&Kin| kin.parent == IN_KIND && out.is_of(&kin.id) && into.is_of(&kin.id);
        self.catalogue.groups.iter().find(of_both)
    }

    /// How many grams of the newcomer stand for a gram of what goes, and why.
    fn in_kind(&self, leaver: IngredientKey, newcomer: IngredientKey) -> Option<(f64, String)> {
        let (out, into) = (
            self.catalogue.ingredient(leaver),
            self.catalogue.ingredient(newcomer),
        );
        let kind = self.kind(out, into)?;
        let water = |key| self.assessor().profile(key).number(Part::Water);
        if (water(leaver) - water(newcomer)).abs() > AS_WET {
            return None;
        }
        let cocoa =
            |i: &Ingredient| -> Option<f64> { COCOA.iter().map(|part| i.number(part)).sum() };
        match cocoa(out).zip(cocoa(into)) {
            Some((was, is)) if was > 0.0 && is > 0.0 => {
                let times = was / is;
                let near = times.max(1.0 / times) <= AS_DARK;
                let why = format!(
                    "as much cocoa: {} and {} g in 100 g",
                    weighed(was),
                    weighed(is)
                );
                near.then_some((times, why))
            }
            _ => Some((1.0, format!("weight for weight: {}", kind.meaning))),
        }
    }
}
