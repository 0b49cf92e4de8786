//! Why an option works: values and rules with their sources.

use super::plan::Setting;
use super::refine::Settled;
use crate::formula::{Assessor, State};
use crate::model::unit::Celsius;
use crate::model::{IngredientKey, RuleKind, SourceKind};
use crate::physics::solute::Solute;

/// Below this sweetness per gram of sucrose a reason does not speak of it.
const HARDLY_SWEET: f64 = 0.1;

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
    let sweetness = assessor.profile(key).sums.sweetness;
    // What is hardly sweet is not told by its sweetness.
    if sweetness > HARDLY_SWEET {
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

/// Who says how sweet an ingredient is: its own figure where that is what counts, else the ratio
/// of what sweetens it most.
fn sweetness_source(assessor: Assessor<'_>, key: IngredientKey) -> (String, String) {
    let ingredient = assessor.catalogue.ingredient(key);
    let sums = &assessor.profile(key).sums;
    if sums.fixed_sweetness > sums.sweetness / 2.0
        && let Some(value) = ingredient.value("relative_sweetness")
    {
        return (value.source.clone(), value.locator.clone());
    }
    let tastes = assessor.profiles.tastes();
    let taste = |(solute, grams): &(Solute, f64)| grams * tastes.ratio(*solute).typical;
    let main = Solute::ALL
        .into_iter()
        .zip(sums.sweet)
        .max_by(|a, b| taste(a).total_cmp(&taste(b)));
    main.map_or_else(Default::default, |(solute, _)| tastes.cited(solute).clone())
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
