//! Rules judged on a mix.

use crate::condition::{Facts, Mix, Truth, judge};
use crate::formula::{MixView, Part};
use crate::model::rule::Severity;
use crate::model::{DishKind, Ingredient, Rule, RuleKind, Subject};

/// Something said of a mix, with who says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Rule id, or the id of a built-in check.
    pub id: String,
    /// How much it weighs.
    pub severity: Severity,
    /// What it is about: `allergen`, `texture`, `synergy` ...
    pub topic: String,
    /// What is said.
    pub text: String,
    /// Why.
    pub because: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
    /// It holds for nearly every formula of its kind.
    pub standing: bool,
}

/// Whether a rule holds for a mix: a rule that asks `in` is asked of each of `newcomers`.
pub fn fired(
    rule: &Rule,
    view: &MixView<'_>,
    newcomers: &[&Ingredient],
    leaver: Option<&Ingredient>,
) -> bool {
    let catalogue = view.assessor.catalogue;
    let mix: &dyn Mix = view;
    let holds = |newcomer| {
        judge(
            &rule.when,
            &Facts {
                catalogue,
                this: None,
                newcomer,
                leaver,
                mix: Some(mix),
            },
        ) == Truth::Yes
    };
    if rule.when.asks(Subject::Out) && leaver.is_none() {
        return false;
    }
    if rule.when.asks(Subject::In) {
        newcomers.iter().any(|i| holds(Some(*i)))
    } else {
        holds(None)
    }
}

fn finding(rule: &Rule) -> Option<Finding> {
    let (severity, topic, text) = match &rule.kind {
        RuleKind::Caution {
            severity,
            topic,
            text,
            ..
        } => (*severity, topic.clone(), text.clone()),
        RuleKind::Interaction {
            severity,
            effect,
            text,
        } => (*severity, effect.clone(), text.clone()),
        _ => return None,
    };
    Some(Finding {
        id: rule.id.clone(),
        severity,
        topic,
        text,
        because: rule.because.clone(),
        source: rule.source.clone(),
        locator: rule.locator.clone(),
        standing: matches!(rule.kind, RuleKind::Caution { standing: true, .. }),
    })
}

fn collect(view: &MixView<'_>, wanted: fn(&RuleKind) -> bool) -> Vec<Finding> {
    let ingredients = view.ingredients();
    let rules = view
        .assessor
        .catalogue
        .rules
        .iter()
        .filter(|r| wanted(&r.kind));
    let mut found: Vec<Finding> = rules
        .filter(|r| fired(r, view, &ingredients, None))
        .filter_map(finding)
        .collect();
    found.sort_by_key(|f| std::cmp::Reverse(f.severity));
    found
}

/// Cautions for health, diet and law that hold for a mix, gravest first.
pub fn cautions(view: &MixView<'_>) -> Vec<Finding> {
    collect(view, |kind| matches!(kind, RuleKind::Caution { .. }))
}

/// How the ingredients of a mix act on each other, gravest first.
pub fn interactions(view: &MixView<'_>) -> Vec<Finding> {
    collect(view, |kind| matches!(kind, RuleKind::Interaction { .. }))
}

/// All that is to be said of the texture of a mix: interactions, crystals, and what is not known.
pub fn findings(view: &MixView<'_>) -> Vec<Finding> {
    let mut found = interactions(view);
    if view.kind() == DishKind::Frozen {
        found.extend(super::crystals(view));
    }
    // Where a rule warns of lactose already, the plain count adds nothing.
    if found.iter().any(|f| f.id == "lactose-sand") {
        found.retain(|f| f.id != "sandiness-lactose");
    }
    found.extend(super::fats(view));
    found.extend(unknowns(view));
    found.extend(beyond(view));
    found.extend(aftertastes(view));
    found.sort_by_key(|f| std::cmp::Reverse(f.severity));
    found
}

/// Cautions and interactions a change brings: those that hold after and did not before.
pub fn introduced(
    before: &MixView<'_>,
    after: &MixView<'_>,
    newcomers: &[&Ingredient],
    leaver: Option<&Ingredient>,
) -> Vec<Finding> {
    let old = before.ingredients();
    let rules = after.assessor.catalogue.rules.iter().filter(|r| {
        matches!(
            r.kind,
            RuleKind::Caution { .. } | RuleKind::Interaction { .. }
        )
    });
    let mut found: Vec<Finding> = rules
        .filter(|r| fired(r, after, newcomers, leaver) && !fired(r, before, &old, None))
        .filter_map(finding)
        .collect();
    // What the freezer does is no matter of a dish that is not frozen.
    if before.kind() == DishKind::Frozen {
        let was: Vec<String> = super::crystals(before).into_iter().map(|f| f.id).collect();
        let new = super::crystals(after).into_iter();
        found.extend(new.filter(|f| !was.contains(&f.id)));
    }
    found.sort_by_key(|f| std::cmp::Reverse(f.severity));
    found
}

/// Off-tastes and cooling that the data states of an ingredient of the mix.
fn aftertastes(view: &MixView<'_>) -> Vec<Finding> {
    let ingredients = view.ingredients();
    let tasted = ingredients
        .iter()
        .filter_map(|i| Some((i, i.value("aftertaste")?)));
    let finding = |(ingredient, value): (&&Ingredient, &crate::model::Value)| Finding {
        standing: false,
        id: format!("aftertaste-{}", ingredient.id),
        severity: Severity::Info,
        topic: "taste".into(),
        text: format!("{} has an aftertaste: {}.", ingredient.name, value.text),
        because: "Published tasting notes of the ingredient alone.".into(),
        source: value.source.clone(),
        locator: value.locator.clone(),
    };
    tasted.map(finding).collect()
}

/// The freezing model carried past what it was checked on.
fn beyond(view: &MixView<'_>) -> Option<Finding> {
    let reading = view.state.freezing_point.filter(|r| r.beyond)?;
    Some(Finding {
        standing: false,
        id: "beyond-the-model".into(),
        severity: Severity::Watch,
        topic: "unknown".into(),
        text: format!(
            "So strong a mix (freezing point worked out as {:.0} C) lies beyond what the freezing model was checked on: its freezing point, frozen water and water activity are carried on and mean little. Check the amounts and their units.",
            reading.value
        ),
        because: "The equations were compared with measurements of weaker solutions only.".into(),
        source: "derived".into(),
        locator: String::new(),
    })
}

/// Figures that decide and are not known count as zero; that is said aloud.
fn unknowns(view: &MixView<'_>) -> Vec<Finding> {
    let mut found = vec![];
    for line in &view.formula.lines {
        let ingredient = view.assessor.catalogue.ingredient(line.key);
        let profile = view.assessor.profile(line.key);
        let share = 100.0 * line.grams / view.state.sums.grams.max(1e-12);
        // A gum or a pinch of flavour without an analysis moves nothing.
        let closed: f64 = [
            Part::Water,
            Part::Fat,
            Part::Protein,
            Part::CarbohydrateAvailable,
            Part::Sugars,
            Part::Polyols,
            Part::Ash,
            Part::Alcohol,
            Part::Fibre,
            Part::HigherSaccharides,
            Part::Starch,
        ]
        .into_iter()
        .map(|p| profile.number(p))
        .sum();
        if share >= 1.0 && closed < 50.0 {
            found.push(Finding {
standing: false,
                id: format!("unknown-composition-{}", ingredient.id),
                severity: Severity::Watch,
                topic: "unknown".into(),
                text: format!("Less than half of what is in {} is known; what is not known counts as zero here.", ingredient.name),
                because: "No analysis was found.".into(),
                source: "derived".into(),
                locator: String::new(),
            });
        }
    }
    found
}
