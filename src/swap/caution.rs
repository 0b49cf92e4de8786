//! What an option calls attention to.

use super::plan::Setting;
use super::prefer::drawback_of;
use crate::condition::{Facts, Truth, judge};
use crate::formula::{Dish, Formula, MixView, Part, State, within};
use crate::model::rule::Severity;
use crate::model::{
    AllergenRow, Catalogue, Comparison, Dial, Expr, Ingredient, IngredientKey, OTHERS, Presence,
    RuleKind, Subject, Test,
};
use crate::texture::{self, FatPhase};

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
    let before_view = MixView::new(assessor, request.formula, &setting.before);
    let after_view = MixView::new(assessor, after, state);
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
        if let Some((weight, rule)) = drawback_of(setting, ingredient)
            && let (true, RuleKind::Drawback { text, .. }) = (weight >= 2, &rule.kind)
        {
            found.push(Caution {
                standing: false,
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
    let mut found = broken(before, newcomers);
    found.extend(still_held(before, after, newcomers, leaver));
    found.extend(declared(
        before.assessor.catalogue,
        before.formula,
        newcomers,
    ));
    found.extend(texture::introduced(before, after, newcomers, leaver));
    found.retain(|caution| holds_of_blend(caution, before, after));
    let told: Vec<String> = found.iter().map(|f| f.id.clone()).collect();
    let worse = worsened(before, after);
    found.extend(worse.into_iter().filter(|c| !told.contains(&c.id)));
    found
}

/// What a dish is meant to be, by its name or its class, and no longer is with a newcomer.
fn broken(before: &MixView<'_>, newcomers: &[&Ingredient]) -> Vec<Caution> {
    let catalogue = before.assessor.catalogue;
    let dish = Dish::of(before.assessor, before.formula, before.state);
    let named =
        |word: &String| within(&before.formula.name, word) || within(&before.formula.dish, word);
    let mut found = vec![];
    for rule in &catalogue.rules {
        let RuleKind::Purpose {
            words,
            classes,
            text,
        } = &rule.kind
        else {
            continue;
        };
        if !words.iter().any(named) && !classes.contains(&dish.class) {
            continue;
        }
        let breaks =
            |i: &&&Ingredient| judge(&rule.when, &Facts::of_newcomer(catalogue, i)) == Truth::Yes;
        found.extend(newcomers.iter().filter(breaks).map(|i| Caution {
            standing: false,
            id: rule.id.clone(),
            severity: Severity::Stop,
            topic: "purpose".into(),
            text: format!("{} {text}", i.name),
            because: rule.because.clone(),
            source: rule.source.clone(),
            locator: rule.locator.clone(),
        }));
    }
    found
}

/// An allergen that what goes holds and what comes does not, though other lines bring it as before: nobody
/// shall take the mix to be free of it.
fn still_held(
    before: &MixView<'_>,
    after: &MixView<'_>,
    newcomers: &[&Ingredient],
    leaver: Option<&Ingredient>,
) -> Vec<Caution> {
    let Some(leaver) = leaver.filter(|l| after.formula.lines.len() > 1 && !l.allergens.is_empty())
    else {
        return vec![];
    };
    let catalogue = before.assessor.catalogue;
    let rows = leaver.allergens.iter();
    let rows = rows.filter(|r| r.presence == Presence::Contains);
    let rows = rows.filter(|r| !newcomers.iter().any(|new| new.holds(&r.substance)));
    let mut found: Vec<Caution> = vec![];
    for row in rows.filter(|_| !newcomers.is_empty()) {
        let lines = after.formula.lines.iter().filter(|l| l.grams > 0.0);
        let others = lines.map(|l| catalogue.ingredient(l.key));
        let others: Vec<&str> = others
            .filter(|i| i.id != leaver.id && i.holds(&row.substance))
            .map(|i| i.name.as_str())
            .collect();
        let text = format!("It still holds {}: {}.", row.substance, others.join(", "));
        if !others.is_empty() && !found.iter().any(|f| f.text == text) {
            found.push(own("still-held", Severity::Watch, "still held", text));
        }
    }
    found
}

/// Whether more than half the fat of a mix is of ingredients that meet a condition on newcomers.
fn mostly(when: &Expr, view: &MixView<'_>) -> bool {
    let catalogue = view.assessor.catalogue;
    let (mut meets, mut all) = (0.0, 0.0);
    for line in &view.formula.lines {
        let fat = line.grams * view.assessor.profile(line.key).number(Part::Fat);
        let facts = Facts::of_newcomer(catalogue, catalogue.ingredient(line.key));
        all += fat;
        if judge(when, &facts) == Truth::Yes {
            meets += fat;
        }
    }
    meets > 0.5 * all
}

/// A dial that was over a mark already and went up by more than this share is warned of again.
const WORSE: f64 = 0.05;

/// The dial of a rule that asks for one mark to be passed, whatever the kind of dish.
fn mark(when: &Expr) -> Option<&Dial> {
    match when {
        Expr::Test(Test::Mix(dial, Comparison::Greater | Comparison::AtLeast, _)) => Some(dial),
        Expr::All(parts) => match &parts[..] {
            [one, Expr::Test(Test::MixIs(_))] => mark(one),
            _ => None,
        },
        _ => None,
    }
}

/// Cautions that held before and whose dial went further over its mark.
fn worsened(before: &MixView<'_>, after: &MixView<'_>) -> Vec<Caution> {
    let catalogue = after.assessor.catalogue;
    let mut found = vec![];
    for rule in &catalogue.rules {
        let RuleKind::Caution {
            severity,
            topic,
            text,
            ..
        } = &rule.kind
        else {
            continue;
        };
        let Some(dial) = mark(&rule.when) else {
            continue;
        };
        let (Some(was), Some(is)) = (before.state.dial(*dial), after.state.dial(*dial)) else {
            continue;
        };
        let fired = |view| texture::fired(rule, view, &[], None);
        if is > was * (1.0 + WORSE) && fired(after) && fired(before) {
            found.push(Caution {
                standing: false,
                id: rule.id.clone(),
                severity: *severity,
                topic: topic.clone(),
                text: format!(
                    "{text} It was over that before, and {} goes from {was:.2} to {is:.2} {}.",
                    dial.name(),
                    dial.unit()
                ),
                because: rule.because.clone(),
                source: rule.source.clone(),
                locator: rule.locator.clone(),
            });
        }
    }
    found
}

/// What a rule says of the solid fat of a newcomer holds of the mix only where all its fat together
/// is as liquid or as firm, and more so than the fat before.
fn holds_of_blend(caution: &Caution, before: &MixView<'_>, after: &MixView<'_>) -> bool {
    let catalogue = after.assessor.catalogue;
    let Some(rule) = catalogue.rules.iter().find(|r| r.id == caution.id) else {
        return true;
    };
    let mut holds = true;
    rule.when.visit(&mut |test| {
        if let Test::Number {
            subject: Subject::In,
            property,
            comparison,
            number,
            at_celsius: Some(celsius),
        } = test
            && property == "solid_fat_content"
        {
            let solid = |view: &MixView<'_>| {
                let phase = FatPhase::of(view.assessor, view.formula);
                phase.solid(*celsius).map(|s| s.percent)
            };
            let further = |was: f64, is: f64| match comparison {
                Comparison::Greater | Comparison::AtLeast => is > was,
                _ => is < was,
            };
            holds &= match (solid(before), solid(after)) {
                (Some(was), Some(is)) => further(was, is) && comparison.holds(is, *number),
                (None, Some(is)) => comparison.holds(is, *number),
                (_, None) => mostly(&rule.when, after),
            };
        }
    });
    holds
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
                .filter(|r| !catalogue.only_advised(&r.substance))
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
                standing: false,
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
        standing: false,
        id: id.into(),
        severity,
        topic: topic.into(),
        text,
        because: String::new(),
        source: "derived".into(),
        locator: String::new(),
    }
}
