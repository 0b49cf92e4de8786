//! What an option calls attention to.

use super::plan::Setting;
use super::prefer::drawback;
use crate::condition::{Facts, Truth, judge};
use crate::formula::{Formula, MixView, State};
use crate::model::rule::Severity;
use crate::model::{
    AllergenRow, Catalogue, Expr, Ingredient, IngredientKey, OTHERS, Presence, RuleKind, Subject,
    Test,
};
use crate::texture;

/// One thing to look out for.
pub type Caution = texture::Finding;

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
    let mut found = called_for(&before_view, &after_view, &ingredients, leaver);
    for ingredient in &ingredients {
        if let Some((weight, rule)) = drawback(setting, ingredient)
            && let (true, RuleKind::Drawback { text, .. }) = (weight >= 2, &rule.kind)
        {
            found.push(Caution {
                id: rule.id.clone(),
                severity: Severity::Info,
                topic: "drawback".into(),
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

/// What the step from one formula to another calls attention to: allergens and diets it changes,
/// and rules that hold after and did not before.
pub fn called_for(
    before: &MixView<'_>,
    after: &MixView<'_>,
    newcomers: &[&Ingredient],
    leaver: Option<&Ingredient>,
) -> Vec<Caution> {
    let mut found = declared(before.assessor.catalogue, before.formula, newcomers);
    found.extend(texture::introduced(before, after, newcomers, leaver));
    found
}

/// A substance with the lists that name it and those that exempt the ingredient from it.
fn on_lists(catalogue: &Catalogue, ingredient: &Ingredient, substance: &str) -> String {
    if substance == OTHERS {
        return "what else a list names".into();
    }
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
fn declared(catalogue: &Catalogue, before: &Formula, newcomers: &[&Ingredient]) -> Vec<Caution> {
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
