//! Why an option works and what to look out for: values and rules with their sources.

use super::plan::Setting;
use super::refine::Settled;
use crate::condition::{Facts, Truth, judge};
use crate::formula::{Assessor, Formula, MixView, Part, State, TASTED_AT};
use crate::model::rule::Severity;
use crate::model::unit::Celsius;
use crate::model::{
    AllergenRow, Catalogue, Expr, Ingredient, IngredientKey, Presence, Rule, RuleKind, SourceKind,
    Subject, Test,
};
use crate::physics::solute::Solute;
use crate::physics::sweetness;
use crate::texture;

/// One reason, with who says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// Rule id, or `value` or `equation`.
    pub rule: String,
    /// The reason.
    pub text: String,
    /// Source id or equation.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// One thing to look out for.
pub type Caution = texture::Finding;

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
    let new_allergen = |row: &crate::model::AllergenRow| {
        matches!(
            row.presence,
            Presence::Contains | Presence::MayContain | Presence::Unknown
        ) && !present(formula, &|i| {
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
    weight += u8::from(matches!(
        ingredient.family.as_str(),
        "polyol" | "intense-sweetener"
    ));
    weight += taste(catalogue, ingredient).map_or(0, |(weight, _)| weight);
    weight += u8::from(setting.assessor.profile(key).number(Part::Alcohol) > 0.5) * 2;
    weight.min(7)
}

/// How strongly a newcomer tastes of itself, and of what.
fn taste<'a>(catalogue: &'a Catalogue, newcomer: &Ingredient) -> Option<(u8, &'a Rule)> {
    let facts = Facts {
        catalogue,
        this: None,
        newcomer: Some(newcomer),
        leaver: None,
        mix: None,
    };
    let tastes = catalogue.rules.iter().filter_map(|rule| match &rule.kind {
        RuleKind::Taste { weight, .. } if judge(&rule.when, &facts) == Truth::Yes => {
            Some((*weight, rule))
        }
        _ => None,
    });
    tastes.max_by_key(|(weight, _)| *weight)
}

/// The reasons of an option: what each newcomer does against what goes, and the rules of the pair.
pub fn reasons(
    setting: &Setting<'_>,
    newcomers: &[(IngredientKey, f64)],
    removed: &[(IngredientKey, f64)],
    settled: &Settled,
) -> Vec<Reason> {
    let assessor = setting.assessor;
    let catalogue = assessor.catalogue;
    let leaver = removed
        .iter()
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .or(setting.request.leavers.first())
        .map(|(key, _)| *key);
    let mut reasons: Vec<Reason> = newcomers
        .iter()
        .flat_map(|(key, _)| against(assessor, *key, leaver, &settled.state))
        .collect();
    for rule in &catalogue.rules {
        let RuleKind::Swap {
            newcomers: ids,
            jobs,
            changes,
            ..
        } = &rule.kind
        else {
            continue;
        };
        let about = leaver.is_some_and(|l| super::job::concerns(rule, catalogue.ingredient(l)))
            && ids.iter().all(|id| {
                newcomers
                    .iter()
                    .any(|(key, _)| catalogue.ingredient(*key).id == *id)
            });
        // Rules derived here only repeat what the numbers say better.
        if about && catalogue.kind(&rule.source) != SourceKind::Derived {
            let names: Vec<&str> = ids
                .iter()
                .filter_map(|id| Some(catalogue.ingredient(catalogue.key(id)?).name.as_str()))
                .collect();
            reasons.push(Reason {
                rule: rule.id.clone(),
                text: format!(
                    "{} ({}): {}",
                    names.join(" with "),
                    jobs.join(", "),
                    text(&rule.because, changes)
                ),
                source: rule.source.clone(),
                locator: rule.locator.clone(),
            });
        }
    }
    reasons
}

fn text(because: &str, changes: &str) -> String {
    match changes.is_empty() {
        true => because.to_string(),
        false => format!("{because} Changes: {changes}"),
    }
}

/// One newcomer against what goes, per gram: sweetness, pull on the freezing point, solids.
fn against(
    assessor: Assessor<'_>,
    key: IngredientKey,
    leaver: Option<IngredientKey>,
    state: &State,
) -> Vec<Reason> {
    let ingredient = assessor.catalogue.ingredient(key);
    let mut reasons = vec![];
    let sweetness = sweetness_per_gram(assessor, key, state.sweetness);
    if sweetness > 0.005 {
        let (source, locator) = sweetness_source(assessor, key);
        reasons.push(Reason {
            rule: "relative-sweetness".into(),
            text: format!(
                "{} is {} times as sweet as sugar, gram for gram",
                ingredient.name,
                rounded(sweetness)
            ),
            source,
            locator,
        });
    }
    let Some(leaver) = leaver else { return reasons };
    let at = state.freezing_point.map_or(-3.0, |r| r.value);
    let pull = |key: IngredientKey| held(assessor, key, at);
    let (mine, theirs) = (pull(key), pull(leaver));
    let softens = |key: IngredientKey| {
        let i = assessor.catalogue.ingredient(key);
        i.does("sweetener") || i.does("bulking agent") || i.does("freezing point depressant")
    };
    if softens(key) && softens(leaver) && mine > 0.0 && theirs > 0.0 {
        reasons.push(Reason {
            rule: "freezing-power".into(),
            text: format!(
                "{} holds {} times as much water liquid at {at:.1} C as {}",
                ingredient.name,
                rounded(mine / theirs),
                assessor.catalogue.ingredient(leaver).name
            ),
            source: "physics::solution".into(),
            locator: "water activity of the mix set equal to that of ice".into(),
        });
    }
    reasons
}

fn rounded(number: f64) -> String {
    match number {
        n if n >= 100.0 => format!("{n:.0}"),
        n if n >= 10.0 => format!("{n:.1}"),
        n => format!("{n:.2}"),
    }
}

/// Sweetness of one gram against one gram of sucrose, at a sweetness level.
pub fn sweetness_per_gram(assessor: Assessor<'_>, key: IngredientKey, level: f64) -> f64 {
    let sums = &assessor.profile(key).sums;
    let tasted = Celsius::new(TASTED_AT);
    sums.fixed_sweetness
        + Solute::ALL
            .into_iter()
            .zip(sums.sweet)
            .map(|(s, g)| g * sweetness::relative_sweetness(s, level, tasted).typical)
            .sum::<f64>()
}

fn sweetness_source(assessor: Assessor<'_>, key: IngredientKey) -> (String, String) {
    let ingredient = assessor.catalogue.ingredient(key);
    let sums = &assessor.profile(key).sums;
    if sums.fixed_sweetness > 0.0
        && let Some(value) = ingredient.value("relative_sweetness")
    {
        return (value.source.clone(), value.locator.clone());
    }
    let main = Solute::ALL
        .into_iter()
        .zip(sums.sweet)
        .max_by(|a, b| a.1.total_cmp(&b.1));
    (
        "physics::sweetness".into(),
        main.map_or(String::new(), |(solute, _)| {
            sweetness::origin(solute).to_string()
        }),
    )
}

/// Grams of water one gram keeps liquid at a temperature.
fn held(assessor: Assessor<'_>, key: IngredientKey, celsius: f64) -> f64 {
    let mut diluted = assessor.profile(key).sums.solution;
    diluted.add_water(1_000.0);
    let all = diluted.water_grams();
    Celsius::new(celsius)
        .and_then(|t| diluted.frozen_fraction(t))
        .map_or(0.0, |frozen| (1.0 - frozen) * all)
}

/// What an option calls attention to: rules that hold after and did not before, allergens and
/// diets that change, limits that are near.
pub fn cautions(
    setting: &Setting<'_>,
    newcomers: &[(IngredientKey, f64)],
    after: &Formula,
    state: &State,
) -> Vec<Caution> {
    let assessor = setting.assessor;
    let catalogue = assessor.catalogue;
    let request = setting.request;
    let before_view = MixView {
        assessor,
        formula: request.formula,
        state: &setting.before,
    };
    let after_view = MixView {
        assessor,
        formula: after,
        state,
    };
    let ingredients: Vec<&Ingredient> = newcomers
        .iter()
        .map(|(key, _)| catalogue.ingredient(*key))
        .collect();
    let leaver = request
        .leavers
        .first()
        .map(|(key, _)| catalogue.ingredient(*key));
    let mut found = declared(assessor, request.formula, &ingredients);
    found.extend(texture::introduced(
        &before_view,
        &after_view,
        &ingredients,
        leaver,
    ));
    for ingredient in &ingredients {
        if let Some((weight, rule)) = taste(catalogue, ingredient)
            && let (true, RuleKind::Taste { text, .. }) = (weight >= 2, &rule.kind)
        {
            found.push(Caution {
                id: rule.id.clone(),
                severity: Severity::Info,
                topic: "taste".into(),
                text: format!("{} {text}.", ingredient.name),
                because: rule.because.clone(),
                source: rule.source.clone(),
                locator: rule.locator.clone(),
            });
        }
    }
    for (key, grams) in newcomers {
        let Some(candidate) = setting.candidates.iter().find(|c| c.key == *key) else {
            continue;
        };
        if !candidate.limit.is_empty() && *grams > 0.9 * candidate.most {
            found.push(own(
                "near-limit",
                Severity::Info,
                "legal limit",
                format!(
                    "{} is near its limit here: {}.",
                    catalogue.ingredient(*key).name,
                    candidate.limit
                ),
            ));
        }
    }
    found
}

/// A substance with the lists that name it and those that exempt the ingredient from it.
fn on_lists(catalogue: &Catalogue, ingredient: &Ingredient, substance: &str) -> String {
    let listed = catalogue
        .allergen_lists
        .iter()
        .filter(|l| l.substance == substance);
    let lists: Vec<&str> = listed.map(|l| l.list.as_str()).collect();
    let exempt = |a: &&AllergenRow| a.presence == Presence::Exempt && a.substance == substance;
    let exempt: Vec<&str> = ingredient
        .allergens
        .iter()
        .filter(exempt)
        .map(|a| a.list.as_str())
        .collect();
    let lists = if lists.is_empty() {
        "on no list held here".into()
    } else {
        lists.join(", ")
    };
    match exempt.is_empty() {
        true => format!("{substance} ({lists})"),
        false => format!("{substance} ({lists}; exempt in {})", exempt.join(", ")),
    }
}

/// Allergens the newcomers bring that the formula did not state, and diets it loses.
pub fn declared(
    assessor: Assessor<'_>,
    before: &Formula,
    newcomers: &[&Ingredient],
) -> Vec<Caution> {
    let catalogue = assessor.catalogue;
    let mut found = vec![];
    let old: Vec<&Ingredient> = before
        .lines
        .iter()
        .map(|l| catalogue.ingredient(l.key))
        .collect();
    for ingredient in newcomers {
        for (presence, severity, how) in [
            (Presence::Contains, Severity::Stop, "brings"),
            (
                Presence::MayContain,
                Severity::Watch,
                "may bring, by origin or contact:",
            ),
            (
                Presence::Unknown,
                Severity::Watch,
                "has an origin that must be asked; it may bring",
            ),
        ] {
            let had = |row: &AllergenRow| {
                let same = |a: &AllergenRow| a.substance == row.substance && a.presence <= presence;
                old.iter().any(|i| i.allergens.iter().any(same))
            };
            let new: Vec<&AllergenRow> = ingredient
                .allergens
                .iter()
                .filter(|r| r.presence == presence && !had(r))
                .collect();
            let Some(first) = new.first() else { continue };
            let named: Vec<String> = new
                .iter()
                .map(|row| on_lists(catalogue, ingredient, &row.substance))
                .collect();
            let unlisted = new.iter().all(|row| {
                !catalogue
                    .allergen_lists
                    .iter()
                    .any(|l| l.substance == row.substance)
            });
            found.push(Caution {
                id: format!(
                    "allergen-{}-{}",
                    ingredient.id,
                    presence.word().replace(' ', "-")
                ),
                severity: if unlisted { Severity::Watch } else { severity },
                topic: "allergen".into(),
                text: format!(
                    "{} {how} {}. Work the declaration out from the pack and your local code.",
                    ingredient.name,
                    named.join("; ")
                ),
                because: "The formula did not state it before.".into(),
                source: first.source.clone(),
                locator: first.locator.clone(),
            });
        }
        for diet in ["vegan", "vegetarian"] {
            let test = Expr::Test(Test::Word {
                subject: Subject::This,
                property: diet.into(),
                word: "yes".into(),
            });
            let kept = |i: &Ingredient| judge(&test, &Facts::of(catalogue, i)) == Truth::Yes;
            if old.iter().all(|i| kept(i)) && !kept(ingredient) {
                let how = if ingredient.text(diet) == Some("no") {
                    "is not"
                } else {
                    "is not stated to be"
                };
                found.push(own(
                    &format!("diet-{}", ingredient.id),
                    Severity::Watch,
                    "diet",
                    format!("{} {how} {diet}; the formula was.", ingredient.name),
                ));
                break;
            }
        }
    }
    found
}

fn own(id: &str, severity: Severity, topic: &str, text: String) -> Caution {
    Caution {
        id: id.into(),
        severity,
        topic: topic.into(),
        text,
        because: String::new(),
        source: "derived".into(),
        locator: String::new(),
    }
}
