//! What must be known for a guest, or to keep a dish: rules, intakes per kg of body mass, kin of
//! allergens. It never judges that something suits somebody.

use super::Engine;
use super::plan::STORE;
use crate::answer::{Asked, FindingOut, Kind};
use crate::condition::{Facts, Truth, judge};
use crate::formula::{Formula, MixView, weighed};
use crate::model::law::Intake;
use crate::model::rule::Severity;
use crate::model::{Expr, IngredientKey, RuleKind, Subject, Test};

/// Body masses the arithmetic of intakes is shown for: a small child and an adult, kg.
/// Source: memory (default masses of risk assessment).
const BODIES: [(&str, f64); 2] = [("a child of 12 kg", 12.0), ("an adult of 70 kg", 70.0)];
/// Topics that ask about a dish, not about a person.
const OF_DISHES: [&str; 4] = ["keeping", "cooling", "raw egg", "raw kernels"];
/// The topic of people who are allergic.
const ALLERGY: &str = "allergy";
/// Cautions of a formula that concern people, by topic.
const OF_PEOPLE: [&str; 5] = [
    "alcohol",
    "choking",
    "laxation",
    "sweetener",
    "heat treatment",
];
/// Cautions told beside the rules.
const CAUTIONS: usize = 3;
/// What each ingredient weighs in the mix that stands for those asked about, g.
const EACH: f64 = 100.0;
/// The topic of how long a dish keeps.
const KEEPING: &str = "keeping";
/// Told at the end about people.
const PEOPLE: &str = "Whether it suits this person is not judged here: illness, medicine, amounts eaten, contact with other food and how it was made and kept are not known. Ask a doctor or someone qualified.";
/// Told at the end about keeping.
const DISHES: &str =
    "Your local code and a qualified person decide; nothing here proves a dish to be harmless.";

impl Engine {
    /// What must be known for a guest or to keep a dish.
    pub(super) fn care(
        &self,
        asked: &mut Asked,
        topics: &[String],
        ingredients: &[String],
        allergens: &[String],
        formula: Option<&Formula>,
    ) {
        asked.kind = Kind::Safety;
        let keys: Vec<IngredientKey> = (ingredients.iter())
            .filter_map(|id| self.catalogue.key(id))
            .collect();
        let mix = match (keys.is_empty(), formula) {
            (true, formula) => formula.map(Formula::merged),
            (false, _) => {
                let mut mix = Formula::default();
                keys.iter().for_each(|key| mix.add(*key, EACH));
                Some(mix)
            }
        };
        let names = match (keys.is_empty(), &mix) {
            (false, _) => {
                let named = keys
                    .iter()
                    .map(|k| self.catalogue.ingredient(*k).name.clone());
                named.collect::<Vec<_>>().join(", ")
            }
            (true, Some(mix)) => mix.name.clone(),
            (true, None) => String::new(),
        };
        let mut cares: Vec<FindingOut> = vec![];
        if topics.iter().any(|t| t == ALLERGY) {
            cares.extend(self.allergy(allergens, mix.as_ref()));
        }
        cares.extend(self.rules_of_care(topics, mix.as_ref()));
        let of_dishes = topics.iter().all(|t| OF_DISHES.contains(&t.as_str()));
        let whole = keys.is_empty();
        if let (Some(mix), false) = (&mix, of_dishes) {
            cares.extend(self.intakes(mix, whole));
            if whole {
                cares.extend(self.cautions_for(mix));
            }
        }
        // Without a mix what holds of any comes first.
        let sure = |care: &FindingOut| {
            let rule = self.catalogue.rules.iter().find(|r| r.id == care.id);
            mix.is_some() || rule.is_none_or(|r| r.when == Expr::Always)
        };
        cares.sort_by_key(|care| {
            let kin = care.topic == "relative";
            (!sure(care), kin, std::cmp::Reverse(care.severity))
        });
        // How a dish of its kind is kept goes before what holds of any.
        let keeping = topics.iter().any(|t| t == KEEPING);
        if let Some(formula) = formula.filter(|_| keeping && keys.is_empty()) {
            cares.splice(0..0, self.kept(formula));
        }
        let about = topics.join(", ");
        asked.ask = match (cares.first(), names.is_empty()) {
            (None, _) => format!(
                "Nothing on file speaks of {about}{}; that is no proof that it does no harm.",
                of(&names)
            ),
            (Some(_), true) if !of_dishes => format!(
                "Not judged: no formula or ingredient is named (--in). What to look at for {about}:"
            ),
            (Some(first), _) => first.text.clone(),
        };
        for care in &cares {
            let source = match (care.source.as_str(), care.locator.as_str()) {
                ("derived", _) => String::new(),
                (source, "") => format!(" [{source}]"),
                (source, locator) => format!(" [{source}, {locator}]"),
            };
            if care.text == asked.ask {
                asked
                    .told
                    .extend((!source.is_empty()).then(|| format!("From{source}")));
            } else {
                asked.told.push(format!("{}{source}", care.text));
            }
        }
        asked
            .told
            .push(if of_dishes { DISHES } else { PEOPLE }.to_string());
        asked.cares = cares;
    }

    /// How the plan of a formula says it is kept.
    fn kept(&self, formula: &Formula) -> Option<FindingOut> {
        let mut steps = self.plan(formula).plan.into_iter();
        let step = steps.find(|step| step.phase == STORE)?;
        Some(FindingOut {
            id: step.rule,
            severity: Severity::Info,
            topic: KEEPING.into(),
            standing: false,
            text: step.text,
            because: step.because,
            source: step.source,
            locator: step.locator,
        })
    }

    /// The rules of the topics that hold for a mix, or may; all of them where there is none.
    fn rules_of_care(&self, topics: &[String], mix: Option<&Formula>) -> Vec<FindingOut> {
        let assessor = self.assessor();
        let apart = mix.map(|mix| mix.taken_apart(&self.catalogue));
        let state = apart.as_ref().map(|mix| assessor.state(mix));
        let view = match (&apart, &state) {
            (Some(mix), Some(state)) => Some(MixView::new(assessor, mix, state)),
            _ => None,
        };
        let mut out = vec![];
        for rule in &self.catalogue.rules {
            let RuleKind::Care {
                asked,
                severity,
                text,
            } = &rule.kind
            else {
                continue;
            };
            let facts = Facts {
                catalogue: &self.catalogue,
                this: None,
                newcomer: None,
                leaver: None,
                mix: view.as_ref().map(|v| v as &dyn crate::condition::Mix),
            };
            let meant = asked.iter().any(|topic| topics.contains(topic));
            if !meant || judge(&rule.when, &facts) == Truth::No {
                continue;
            }
            out.push(FindingOut {
                id: rule.id.clone(),
                severity: *severity,
                topic: asked.join(", "),
                standing: false,
                text: text.clone(),
                because: rule.because.clone(),
                source: rule.source.clone(),
                locator: rule.locator.clone(),
            });
        }
        out
    }

    /// Cautions of a formula that concern people.
    fn cautions_for(&self, mix: &Formula) -> Vec<FindingOut> {
        let assessor = self.assessor();
        let apart = mix.taken_apart(&self.catalogue);
        let state = assessor.state(mix);
        let view = MixView::new(assessor, &apart, &state);
        let found = crate::texture::cautions(&view).into_iter();
        let found = found.filter(|f| OF_PEOPLE.contains(&f.topic.as_str()));
        let found = found.filter(|f| f.severity > Severity::Info);
        found.take(CAUTIONS).map(super::assess::finding).collect()
    }

    /// How much of each thing with an intake on file a person may take in, by arithmetic.
    fn intakes(&self, mix: &Formula, whole: bool) -> Vec<FindingOut> {
        let grams = mix.grams().max(1e-9);
        let mut out = vec![];
        for intake in &self.catalogue.law.intakes {
            let held = mix.lines.iter().filter(|line| {
                let id = &self.catalogue.ingredient(line.key).id;
                intake.ingredients.contains(id)
            });
            let held: f64 = held.map(|line| line.grams).sum();
            if held <= 0.0 {
                continue;
            }
            let each = BODIES.map(|(who, kg)| {
                let most = intake.milligrams * kg;
                match whole {
                    true => format!(
                        "{} for {who}, which {} g of this mix hold",
                        amount(most),
                        weighed(most / 1000.0 / held * grams)
                    ),
                    false => format!("{} for {who}", amount(most)),
                }
            });
            let level = match whole {
                true => format!("{} g in {} g; ", weighed(held), weighed(grams)),
                false => String::new(),
            };
            out.push(FindingOut {
                id: format!("intake-{}", intake.name.replace(' ', "-")),
                severity: Severity::Watch,
                topic: "intake".into(),
                standing: false,
                text: format!(
                    "{}: {level}{} {} per kg of body mass{}: {}.",
                    intake.name,
                    intake.quantity,
                    amount(intake.milligrams),
                    said(intake),
                    each.join("; ")
                ),
                because: "A figure for a healthy person and all sources together.".into(),
                source: intake.source.clone(),
                locator: intake.locator.clone(),
            });
        }
        out
    }

    /// What of a mix somebody allergic reacts to, may react to, and what is not settled.
    fn allergy(&self, allergens: &[String], mix: Option<&Formula>) -> Vec<FindingOut> {
        let told = |id: String, severity: Severity, text: String| FindingOut {
            id,
            severity,
            topic: "allergen".into(),
            standing: false,
            text,
            because: String::new(),
            source: "derived".into(),
            locator: String::new(),
        };
        let mut out = vec![];
        let mut avoided: Vec<String> = vec![];
        for allergen in allergens {
            let covered = self.catalogue.substances(allergen).into_iter();
            avoided.extend(covered.map(str::to_string));
            avoided.extend((!avoided.contains(allergen)).then(|| allergen.clone()));
        }
        let Some(mix) = mix else {
            out.push(told(
                "allergy".into(),
                Severity::Stop,
                format!(
                    "What holds {} must be told from the labels of what is in it; name the formula with --in.",
                    allergens.join(", ")
                ),
            ));
            return out;
        };
        for allergen in allergens {
            let test = Expr::Test(Test::Contains(Subject::This, allergen.clone()));
            let (mut held, mut open) = (vec![], vec![]);
            for line in &mix.lines {
                let ingredient = self.catalogue.ingredient(line.key);
                match judge(&test, &Facts::of(&self.catalogue, ingredient)) {
                    Truth::Yes => held.push(ingredient.name.clone()),
                    Truth::Unknown => open.push(ingredient.name.clone()),
                    Truth::No => {}
                }
            }
            if !held.is_empty() {
                let text = format!("No: it contains {allergen}, stated of {}.", held.join(", "));
                out.push(told(format!("contains-{allergen}"), Severity::Stop, text));
            }
            if !open.is_empty() {
                let text = format!(
                    "Not settled whether these hold {allergen}: {}; ask the maker.",
                    open.join(", ")
                );
                out.push(told(format!("open-{allergen}"), Severity::Watch, text));
            }
            if held.is_empty() && open.is_empty() {
                let text = format!(
                    "{allergen} is not stated of what is in it, which is no proof: contact in the making is not covered; read the labels and ask the makers."
                );
                out.push(told(format!("unstated-{allergen}"), Severity::Watch, text));
            }
        }
        for line in &mix.lines {
            let ingredient = self.catalogue.ingredient(line.key);
            out.extend(self.relatives_in(&ingredient.id, &ingredient.name, &avoided));
        }
        out
    }
}

fn said(intake: &Intake) -> String {
    let parts = [intake.body.as_str(), intake.condition.as_str()];
    let parts: Vec<&str> = parts.into_iter().filter(|p| !p.is_empty()).collect();
    match parts.is_empty() {
        true => String::new(),
        false => format!(" ({})", parts.join("; ")),
    }
}

fn of(names: &str) -> String {
    match names {
        "" => String::new(),
        names => format!(" and {names}"),
    }
}

/// A mass given in mg, in the unit a cook weighs it in.
fn amount(milligrams: f64) -> String {
    match milligrams >= 100.0 {
        true => format!("{} g", weighed(milligrams / 1000.0)),
        false => format!("{} mg", weighed(milligrams)),
    }
}
