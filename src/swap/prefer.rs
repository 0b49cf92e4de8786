//! Which newcomers a kitchen would rather not take, before anything is explained.

use super::candidate::vouched;
use super::plan::Setting;
use crate::condition::{Facts, Mix, Truth, judge};
use crate::formula::{Formula, MixView, Part};
use crate::model::{
    AllergenRow, Catalogue, Commonness, Ingredient, IngredientKey, Presence, Rule, RuleKind,
};

/// Weight of a newcomer no swap rule names for what goes: it may serve by its numbers, but nobody vouches for it.
const UNNAMED: u8 = 2;

/// How much caution a newcomer calls for, 0 to 7; cheap, for ranking before anything is explained.
pub fn weight(setting: &Setting<'_>, key: IngredientKey) -> u8 {
    let catalogue = setting.assessor.catalogue;
    let ingredient = catalogue.ingredient(key);
    let present = |formula: &Formula, test: &dyn Fn(&Ingredient) -> bool| {
        formula
            .lines
            .iter()
            .any(|l| test(catalogue.ingredient(l.key)))
    };
    let formula = setting.request.formula;
    let mut weight = 0;
    // A new allergen weighs most, then a lost diet, then what must be declared or can upset.
    let new_allergen = |row: &AllergenRow| {
        matches!(
            row.presence,
            Presence::Contains | Presence::MayContain | Presence::Unknown
        ) && !catalogue.only_advised(&row.substance)
            && !present(formula, &|i| {
                i.allergens
                    .iter()
                    .any(|a| a.substance == row.substance && a.presence <= row.presence)
            })
    };
    weight += ingredient
        .allergens
        .iter()
        .filter(|row| new_allergen(row))
        .map(|row| {
            if row.presence == Presence::Contains {
                3
            } else {
                1
            }
        })
        .max()
        .unwrap_or(0);
    let vegan = |i: &Ingredient| i.text("vegan") == Some("yes");
    weight += u8::from(!vegan(ingredient) && !present(formula, &|i| !vegan(i)));
    weight += u8::from(ingredient.is_of("sugar-free-family"));
    weight += drawback_of(setting, ingredient).map_or(0, |(weight, _)| weight);
    weight += u8::from(!named(setting, ingredient)) * UNNAMED;
    weight += match ingredient.commonness {
        _ if formula.grams_of(key) > 0.0 => 0,
        Commonness::Shop | Commonness::Trade => 0,
        Commonness::Specialist => 1,
        Commonness::Industry => 2,
        Commonness::Substance => 3,
    };
    weight += u8::from(setting.assessor.profile(key).number(Part::Alcohol) > 0.5) * 2;
    weight.min(7)
}

/// Whether a swap rule names this newcomer for one of the leavers.
fn named(setting: &Setting<'_>, newcomer: &Ingredient) -> bool {
    let catalogue = setting.assessor.catalogue;
    let mut leavers = setting.request.leavers.iter();
    leavers.any(|(key, _)| vouched(catalogue, catalogue.ingredient(*key), newcomer))
}

/// The gravest drawback the rules see in a newcomer in place of what goes, with its weight.
pub(super) fn drawback_of<'a>(
    setting: &Setting<'a>,
    newcomer: &Ingredient,
) -> Option<(u8, &'a Rule)> {
    let catalogue = setting.assessor.catalogue;
    let mix = MixView::new(setting.assessor, setting.request.formula, &setting.before);
    let leavers = setting.request.leavers.iter();
    let leavers = leavers.map(|(key, _)| catalogue.ingredient(*key));
    let found = leavers.filter_map(|out| drawback(catalogue, out, newcomer, Some(&mix)));
    found.max_by_key(|(weight, _)| *weight)
}

/// The same for one thing that goes out of a mix, where one is known.
pub fn drawback<'a>(
    catalogue: &'a Catalogue,
    leaver: &Ingredient,
    newcomer: &Ingredient,
    mix: Option<&dyn Mix>,
) -> Option<(u8, &'a Rule)> {
    let facts = Facts {
        catalogue,
        this: None,
        newcomer: Some(newcomer),
        leaver: Some(leaver),
        mix,
    };
    let counts = |rule: &&Rule| judge(&rule.when, &facts) == Truth::Yes;
    let found = catalogue.rules.iter().filter_map(|rule| match &rule.kind {
        RuleKind::Drawback { weight, .. } if counts(&rule) => Some((*weight, rule)),
        _ => None,
    });
    found.max_by_key(|(weight, _)| *weight)
}
