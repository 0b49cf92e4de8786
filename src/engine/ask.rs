//! A question in words to an answer.

use super::assess::{AssessOptions, step};
use super::length::fits;
use super::search::{AS_STATED, caution};
use super::swapping::SwapOptions;
use super::{Engine, covers, summary};
use crate::answer::{Asked, Cause, FindingOut, Kind, ProfileOut, ReadingOut};
use crate::condition::{Facts, Truth, judge};
use crate::formula::{Formula, MixView};
use crate::model::law::LawWord;
use crate::model::{
    Aim, Dial, Expr, Goal, Group, IngredientKey, PRICE, RuleKind, Severity, Subject, Test, Wish,
    fold,
};
use crate::names;
use crate::query::{self, Amount, Batch, Leaver, Question, Read, Reading};
use crate::texture;

/// Whether an answer hangs on all that is in a mix, so that what is not known of it goes first.
fn hangs_on_all(reading: &Reading) -> bool {
    match &reading.question {
        Question::Assess { .. } | Question::Legal { .. } | Question::Care { .. } => true,
        Question::Swap { leaver, .. } => {
            let kind = matches!(leaver, Leaver::Matching(_));
            kind || reading.without || reading.strict
        }
        _ => false,
    }
}

/// Whether it hangs on the figures of a mix, and does not tell itself what they do not count.
fn hangs_on_figures(question: &Question) -> bool {
    matches!(
        question,
        Question::Diagnose { .. } | Question::WhatIf { .. }
    )
}

/// Ingredients a search in words returns.
const SEARCH_LIMIT: usize = 20;
/// How much of an ingredient goes in.
const USE: &str = "use_level";
/// A step and the one it is half of: what is dispersed without lumps was mixed dry before.
const BEFORE: [(&str, &str); 1] = [("premix", "disperse")];
/// Share of a mix assumed for an ingredient whose use level is not known, %.
const ASSUMED_SHARE: f64 = 10.0;
/// Share of a mix that a thing told of and not weighed is judged at, %.
const TRACE: f64 = 0.05;
/// Density of an unfrozen ice cream or sorbet mix, kg/L.
/// Source: memory (mixes run from 1.06 to 1.13).
const MIX_DENSITY: f64 = 1.1;
/// Weight of the mixes made up for questions without a formula, g.
const MIX: f64 = 1000.0;

/// Diets that hang on what an ingredient is made of.
const DIETS: [&str; 2] = ["vegan", "vegetarian"];

/// The class of dishes that egg binds.
const EGG_BOUND: &str = "egg custard";
/// The table of short questions that ask how a formula is made.
const MAKING: &str = "making";
/// Faults that are a want of firmness or too much of it.
const SOFT: &str = "too soft";
const HARD: &str = "too hard";
/// What binds them.
const YOLK: &str = "egg-yolk";

impl Engine {
    /// Answers a question in words, on a formula where there is one.
    pub fn ask(&self, text: &str, formula: Option<&Formula>) -> Asked {
        if let Err(long) = fits(text) {
            return Asked {
                kind: Kind::Nothing,
                ask: long.message,
                ..Asked::default()
            };
        }
        // A DE no syrup has must not be set aside.
        let wrong = names::impossible_syrup(&self.catalogue, text);
        if let Some((why, way_out)) = wrong {
            return Asked {
                summary: format!("{why}; {way_out}"),
                kind: Kind::Nothing,
                ask: format!("{why}; {way_out}"),
                ..Asked::default()
            };
        }
        let (text, place) = match formula {
            Some(_) => self.making(text).unwrap_or((text, "")),
            None => (text, ""),
        };
        let held: Vec<IngredientKey> = formula.map_or(vec![], |f| {
            f.merged().lines.iter().map(|line| line.key).collect()
        });
        let text = self.names.with_grades(&self.catalogue, text);
        let scene = query::Scene {
            held: &held,
            title: formula.map_or("", |f| f.name.as_str()),
            grams: formula.map_or(0.0, Formula::grams),
        };
        let mut asked = self.answered(query::read_in(&text, &self.catalogue, &scene), formula);
        if let (Some(formula), false) = (formula, place.is_empty()) {
            asked.plan = self.plan_in(formula, place).plan;
        }
        asked
    }

    /// With a formula in hand some short questions ask how it is made, here or at a place: `what do I weigh
    /// first`, `how is it made in the UK`; what they mean, and the id of the place.
    fn making(&self, text: &str) -> Option<(&str, &str)> {
        let said = text.trim_end_matches(['?', '.', '!', ' ']);
        let meant = |said: &str| {
            let said = fold(said);
            let mut words = self.catalogue.words.iter();
            let whole = words.find(|w| w.table == MAKING && fold(&w.word) == said);
            whole.map(|w| w.meaning.as_str())
        };
        if let Some(made) = meant(said) {
            return Some((made, ""));
        }
        let (made, at) = said.rsplit_once(" in ")?;
        let at = at.strip_prefix("the ").unwrap_or(at);
        Some((meant(made)?, self.place_called(at)?))
    }

    /// The id of a jurisdiction by what people call it.
    fn place_called(&self, name: &str) -> Option<&str> {
        let mut words = self.catalogue.law.words.iter();
        let called = |w: &&LawWord| w.meaning == "jurisdiction" && fold(&w.word) == fold(name);
        let place = &words.find(called)?.detail;
        let mut held = self.catalogue.labels.jurisdictions.iter();
        let found = held.find(|j| j.id == *place || j.allergen_list == *place)?;
        Some(&found.id)
    }

    fn answered(&self, read: Read, formula: Option<&Formula>) -> Asked {
        match read {
            Read::One(reading) => self.answer(reading, formula),
            Read::Parts(reads) => {
                let mut parts = reads.into_iter().map(|read| self.answered(read, formula));
                let mut first = parts.next().unwrap_or_default();
                first.also = parts.collect();
                first
            }
            Read::Several { ask, readings } => Asked {
                understood: String::new(),
                kind: Kind::AskBack,
                readings: readings
                    .iter()
                    .map(|r| ReadingOut {
                        understood: query::print(&r.question),
                    })
                    .collect(),
                summary: ask.clone(),
                ask,
                ..Asked::default()
            },
            Read::Nothing { why, unknown } => {
                let near: Vec<String> = unknown
                    .iter()
                    .flat_map(|word| self.index.search(word, 2, &self.catalogue))
                    .map(|h| self.catalogue.ingredient(h.key).name.clone())
                    .collect();
                let ask = if near.is_empty() {
                    why
                } else {
                    format!("{why}; the nearest things are {}", near.join(", "))
                };
                Asked {
                    kind: Kind::Nothing,
                    summary: ask.clone(),
                    ask,
                    set_aside: unknown,
                    ..Asked::default()
                }
            }
        }
    }

    fn answer(&self, reading: Reading, formula: Option<&Formula>) -> Asked {
        let served = reading
            .served
            .zip(formula)
            .map(|(served, formula)| Formula {
                served: Some(served),
                ..formula.clone()
            });
        let formula = served.as_ref().or(formula);
        let (all, figures) = (hangs_on_all(&reading), hangs_on_figures(&reading.question));
        let mut asked = self.worked_out(reading, formula);
        asked.summary = self.summary(&asked);
        let told = |of: fn(&Formula) -> String, hangs: bool| {
            let said = formula.filter(|_| hangs).map(of);
            said.filter(|said| !said.is_empty())
        };
        if let Some(said) = told(Formula::unjudged, all) {
            asked.summary = format!("{said} {}", asked.summary);
        }
        asked
            .assumed
            .splice(0..0, told(Formula::uncounted, figures));
        // The first line is said once.
        asked.hits.iter_mut().for_each(|hits| hits.summary.clear());
        asked.swap.iter_mut().for_each(|swap| swap.summary.clear());
        asked
    }

    /// The first line of an answer.
    fn summary(&self, asked: &Asked) -> String {
        let first = |said: Option<&String>| said.cloned().unwrap_or_default();
        match asked.kind {
            Kind::Lookup => {
                let name = |id: &str| {
                    let property = self.catalogue.property(id);
                    property.map_or(id.replace('_', " "), |p| p.name.clone())
                };
                let all = asked.profile.first().map_or(0, |p| p.names.len());
                match asked.profile.as_slice() {
                    [] => first(asked.assumed.first()),
                    // Nothing but the ingredient was asked for.
                    [one, ..] if all > 0 => one.summary.clone(),
                    [one, ..] if one.values.is_empty() => first(asked.assumed.last()),
                    each => {
                        // A dose never stands before a law that bars the thing.
                        let dosed = |p: &ProfileOut| p.values.iter().any(|v| v.property == USE);
                        let barred = each.iter().filter(|p| dosed(p));
                        let barred = barred.flat_map(|p| self.barred(&p.id));
                        let each = each.iter().map(|p| summary::of_values(p, name));
                        barred.chain(each).collect::<Vec<_>>().join(" ")
                    }
                }
            }
            Kind::Search => asked
                .hits
                .as_ref()
                .map_or(String::new(), |h| h.summary.clone()),
            Kind::Compare => asked
                .comparison
                .as_ref()
                .map_or(String::new(), |c| c.summary.clone()),
            Kind::Swap | Kind::Adjust => self.swap_summary(asked),
            Kind::Diagnose => summary::of_causes(&asked.causes),
            Kind::HowTo => match asked.told.first() {
                Some(when) => when.clone(),
                None => summary::of_steps(asked),
            },
            Kind::Assess | Kind::WhatIf | Kind::Role => match asked.told.first() {
                Some(told) => told.clone(),
                None => asked.ask.clone(),
            },
            Kind::Legal | Kind::Safety | Kind::AskBack | Kind::Nothing => asked.ask.clone(),
        }
    }

    fn swap_summary(&self, asked: &Asked) -> String {
        let Some(swap) = &asked.swap else {
            return match asked.absent.is_empty() {
                true => asked.ask.clone(),
                false => asked.absent.clone(),
            };
        };
        match asked.absent.as_str() {
            "" => swap.summary.clone(),
            absent => format!("{absent} Elsewhere: {}", summary::lower(&swap.summary)),
        }
    }

    fn worked_out(&self, reading: Reading, formula: Option<&Formula>) -> Asked {
        let mut asked = Asked {
            understood: query::print(&reading.question),
            assumed: reading.assumed,
            set_aside: reading.set_aside,
            corrected: reading.corrected,
            ..Asked::default()
        };
        match reading.question {
            Question::Lookup {
                ingredients,
                properties,
                allergens,
            } => {
                asked.kind = Kind::Lookup;
                asked.profile = self
                    .keys(&ingredients)
                    .into_iter()
                    .map(|k| self.profile(k))
                    .collect();
                if properties.iter().any(|p| p == PRICE) {
                    asked.assumed.extend(self.no_prices());
                }
                if !properties.is_empty() || !allergens.is_empty() {
                    let mut bare = vec![];
                    for profile in &mut asked.profile {
                        let kept = profile
                            .values
                            .iter()
                            .any(|v| properties.contains(&v.property));
                        if !kept && allergens.is_empty() {
                            bare.push(profile.name.clone());
                            continue;
                        }
                        profile.values.retain(|v| properties.contains(&v.property));
                        profile.names.clear();
                        if allergens.is_empty() {
                            profile.allergens.clear();
                        }
                    }
                    if !bare.is_empty() && !properties.iter().any(|p| p == PRICE) {
                        // Beside what answers, what does not only says so.
                        let some = bare.len() < asked.profile.len();
                        if some {
                            asked.profile.retain(|p| !bare.contains(&p.name));
                        }
                        let shown = if some { "" } else { ": what is known is shown" };
                        asked.assumed.push(format!(
                            "no {} is known of {}{shown}",
                            properties.join(" or ").replace('_', " "),
                            bare.join(", ")
                        ));
                    }
                }
                for key in self.keys(&ingredients) {
                    let open = |diet: &&String| {
                        let stated = self.catalogue.ingredient(key).text(diet.as_str());
                        DIETS.contains(&diet.as_str()) && !matches!(stated, Some("yes" | "no"))
                    };
                    let said = |diet: &String| {
                        let name = &self.catalogue.ingredient(key).name;
                        format!(
                            "{name}: {diet} is not stated, it hangs on the origin: ask the maker"
                        )
                    };
                    asked
                        .assumed
                        .extend(properties.iter().filter(open).map(said));
                }
                if properties.iter().any(|p| p == "gluten") {
                    asked.assumed.push(AS_STATED.to_string());
                }
                for key in self.keys(&ingredients) {
                    let said = |allergen: &String| self.holding(key, allergen);
                    asked.assumed.extend(allergens.iter().map(said));
                }
            }
            Question::Search {
                text,
                condition,
                order,
            } => {
                asked.kind = Kind::Search;
                let ranked = order.as_ref().is_some_and(|order| order.by == PRICE);
                if ranked || condition.asks_property(PRICE) {
                    asked.assumed.extend(self.no_prices());
                }
                let mut hits = self.matching(&text, &condition, order.as_ref(), SEARCH_LIMIT);
                hits.understood.clear();
                asked.hits = Some(hits);
            }
            Question::Compare {
                ingredients,
                properties,
            } => {
                asked.kind = Kind::Compare;
                if properties.iter().any(|p| p == PRICE) {
                    asked.assumed.extend(self.no_prices());
                }
                let keys = self.keys(&ingredients);
                let mut compared = self.compared(&keys, &properties);
                if !properties.is_empty() && compared.alike() {
                    // What was asked is the same of all: what tells them apart answers.
                    let all = self.compared(&keys, &[]);
                    let names = compared.rows.iter().map(|row| row.name.clone());
                    let names: Vec<String> = names.collect();
                    asked
                        .assumed
                        .push(format!("{} is the same of all", names.join(", ")));
                    compared = all;
                }
                asked.comparison = Some(compared);
            }
            Question::Swap {
                leaver,
                newcomers,
                amount,
                mut wish,
                dish,
            } => {
                // Where no price is known a cheaper way cannot be told from another.
                if let Some(none) = self.no_prices()
                    && wish.goals.iter().any(|goal| goal.dial == Dial::Price)
                {
                    wish.goals.retain(|goal| goal.dial != Dial::Price);
                    asked.assumed.push(none);
                }
                // What a formula is to go without goes in every form it takes.
                let leaver = match leaver {
                    Leaver::Ingredients(ids)
                        if reading.without && formula.is_some() && newcomers.is_empty() =>
                    {
                        let is = |id| Expr::Test(Test::Is(Subject::This, Group::Ingredient(id)));
                        wish.newcomer = covers::but_kin(&self.catalogue, &ids, wish.newcomer);
                        Leaver::Matching(Expr::Any(ids.into_iter().map(is).collect()))
                    }
                    other => other,
                };
                let (strict, without) = (reading.strict, reading.without);
                let goes = match &leaver {
                    Leaver::Matching(goes) => caution(goes),
                    Leaver::Ingredients(_) => String::new(),
                };
                let said = [goes, caution(&wish.newcomer)];
                asked
                    .assumed
                    .extend(said.into_iter().find(|said| !said.is_empty()));
                self.ask_swap(
                    &mut asked, formula, leaver, &newcomers, amount, wish, &dish, strict, without,
                )
            }
            Question::Adjust {
                added,
                wish,
                scale,
                dish,
            } => {
                asked.kind = Kind::Adjust;
                let added: Vec<(IngredientKey, f64)> = added
                    .iter()
                    .filter_map(|(id, g)| Some((self.catalogue.key(id)?, *g)))
                    .collect();
                let about = self.keys(&["whole-milk".to_string()]);
                let about = if dish == "sorbet" { vec![] } else { about };
                let Some(mut base) = self.base(&mut asked, formula, &dish, &about) else {
                    return asked;
                };
                let was = base.grams();
                if let Some(batch) = &scale {
                    let Some(times) = self.times(&mut asked, &base, batch) else {
                        return asked;
                    };
                    let (from, to) = (base.grams(), base.grams() * times);
                    asked.assumed.push(format!(
                        "every line is taken {} times: {} g becomes {} g",
                        crate::formula::weighed(times),
                        crate::formula::weighed(from),
                        crate::formula::weighed(to)
                    ));
                    base = base.scaled(times);
                }
                let (mut added, mut wish) = (added, wish);
                self.as_complained(&base, &mut wish);
                let mut firm = false;
                if let Some(firmed) = self.firmed(&base, &wish) {
                    if firmed.moved.is_empty() {
                        asked.kind = Kind::Nothing;
                        asked.ask = firmed.said;
                        return asked;
                    }
                    asked.assumed.push(firmed.said);
                    added.extend(firmed.moved);
                    wish.goals.clear();
                    firm = true;
                }
                let mut out = bare(self.rebalanced(&base, &added, &wish, "", &[]));
                if firm {
                    // What sets the dish is to move: that it does is no strain.
                    out.assumed = self.taken_in(&base);
                    out.options.truncate(1);
                }
                if scale.is_some() && added.is_empty() && wish.goals.is_empty() {
                    // Every line scaled alike: there is nothing to choose between.
                    out.options.truncate(1);
                    out.summary = format!(
                        "Weigh each line {} times: {} g in all.",
                        crate::formula::weighed(base.grams() / was.max(1e-9)),
                        crate::formula::weighed(base.grams())
                    );
                }
                asked.assumed.append(&mut out.assumed);
                asked.swap = Some(Box::new(out));
            }
            Question::HowTo {
                ingredients,
                phase,
                dish,
            } => {
                asked.kind = Kind::HowTo;
                let mut keys = self.keys(&ingredients);
                if let Some(formula) = formula
                    && let Some((plan, when)) = self.plan_with(formula, &keys)
                {
                    asked.plan = plan;
                    asked.told = when;
                    return asked;
                }
                if let (Some(formula), true) = (formula, keys.is_empty()) {
                    asked.plan = self.plan_asked(formula, &phase);
                    if !asked.plan.is_empty() {
                        return asked;
                    }
                }
                if formula.is_none() && self.holds_egg(&dish) {
                    let yolk = self.catalogue.key(YOLK);
                    keys.extend(yolk.filter(|key| !keys.contains(key)));
                    asked
                        .assumed
                        .push(format!("a {dish} is taken to hold egg yolk"));
                }
                let steps = self.how_to(&keys, formula, &dish);
                // Where no rule names the step asked about, all the steps answer.
                let asked_for = |s: &texture::Step| {
                    s.phase == phase || BEFORE.contains(&(s.phase.as_str(), phase.as_str()))
                };
                let named = steps.iter().any(asked_for);
                let wanted = |s: &texture::Step| !named || asked_for(s);
                asked.steps = steps.into_iter().filter(wanted).map(step).collect();
            }
            Question::Assess { about } => {
                asked.kind = Kind::Assess;
                match formula {
                    None => {
                        asked.ask = "no formula is given: name yours with --in".into();
                    }
                    Some(formula) if about.is_empty() => {
                        let all = self.assess(formula, AssessOptions::default());
                        asked.assessment = Some(Box::new(all));
                    }
                    Some(formula) => asked.told = self.tell(formula, &about),
                }
            }
            Question::Legal {
                substances,
                class,
                jurisdictions,
            } => self.legal(&mut asked, &substances, &class, &jurisdictions, formula),
            Question::Care {
                topics,
                ingredients,
                allergens,
            } => self.care(&mut asked, &topics, &ingredients, &allergens, formula),
            Question::WhatIf { changes, on, dish } => {
                self.what_if(&mut asked, formula, &changes, &on, &dish);
            }
            Question::Role { ingredients, dish } => {
                asked.kind = Kind::Role;
                asked.told = self.roles(&self.keys(&ingredients), formula, &dish);
            }
            Question::Diagnose {
                symptoms,
                dish,
                ingredients,
            } => {
                asked.kind = Kind::Diagnose;
                asked.assumed.extend(self.taken_for(formula, &dish));
                let told = formula.map(|f| self.with_told(f, &self.keys(&ingredients)));
                asked.causes = self.diagnose(&symptoms, &dish, told.as_ref());
                if told.as_ref() != formula {
                    // What was told of and shows a cause goes first.
                    let without = self.diagnose(&symptoms, &dish, formula);
                    asked.causes.sort_by_key(|c| {
                        let same = |w: &Cause| w.rule == c.rule && w.verdict == c.verdict;
                        without.iter().any(same)
                    });
                }
                let firmness = |s: &String| [SOFT, HARD].contains(&s.as_str());
                if let ([symptom], true, true) = (
                    symptoms.as_slice(),
                    asked.causes.is_empty() && formula.is_some(),
                    symptoms.iter().all(firmness),
                ) {
                    // No cause is on file, but how firm it is can be changed.
                    let aim = if symptom == SOFT {
                        Aim::Raise
                    } else {
                        Aim::Lower
                    };
                    let dial = Dial::FrozenAt18;
                    let wish = Wish {
                        goals: vec![Goal { dial, aim }],
                        ..Wish::default()
                    };
                    let question = Question::Adjust {
                        added: vec![],
                        wish,
                        scale: None,
                        dish,
                    };
                    let reading = Reading {
                        question,
                        assumed: asked.assumed,
                        set_aside: asked.set_aside,
                        corrected: asked.corrected,
                        without: false,
                        strict: false,
                        served: None,
                    };
                    return self.worked_out(reading, formula);
                }
            }
        }
        asked
    }

    /// The named newcomers that hold no allergen that must stay out, and of the others what they hold.
    fn without_allergens(
        &self,
        named: Vec<IngredientKey>,
        newcomer: &Expr,
    ) -> (Vec<IngredientKey>, Vec<String>) {
        let out = kept_out(newcomer);
        let holds = |key: &IngredientKey| {
            let ingredient = self.catalogue.ingredient(*key);
            let facts = Facts::of(&self.catalogue, ingredient);
            let held = out.iter().find(|allergen| {
                let test = Test::Contains(Subject::This, allergen.to_string());
                judge(&Expr::Test(test), &facts) == Truth::Yes
            })?;
            let held = held.replace('_', " ");
            Some(format!(
                "{} contains {held}, which has to stay out",
                ingredient.name
            ))
        };
        let barred: Vec<String> = named.iter().filter_map(holds).collect();
        let kept = named.iter().copied().filter(|key| holds(key).is_none());
        (kept.collect(), barred)
    }

    /// Of what goes by its kind, what the named newcomers can be for; the rest is told. All of it where
    /// none is named, or none serves.
    fn served_by(
        &self,
        asked: &mut Asked,
        goes: Vec<IngredientKey>,
        newcomers: &[IngredientKey],
    ) -> Vec<IngredientKey> {
        let served = |key: &IngredientKey| {
            let out = self.catalogue.ingredient(*key);
            newcomers.iter().any(|into| {
                let into = self.catalogue.ingredient(*into);
                let job = out.functions.first();
                into.family == out.family || into.functions.first() == job
            })
        };
        let (kept, rest): (Vec<IngredientKey>, Vec<IngredientKey>) =
            goes.iter().partition(|key| served(key));
        if kept.is_empty() || rest.is_empty() {
            return goes;
        }
        let name = |key: &IngredientKey| self.catalogue.ingredient(*key).name.as_str();
        let names: Vec<&str> = rest.iter().map(name).collect();
        asked.assumed.push(format!(
            "{} has to go as well, and what was named does not stand in for it",
            names.join(", ")
        ));
        kept
    }

    /// Whether an ingredient holds an allergen, as far as it is stated.
    fn holding(&self, key: IngredientKey, allergen: &str) -> String {
        let ingredient = self.catalogue.ingredient(key);
        let test = Expr::Test(Test::Contains(Subject::This, allergen.to_string()));
        let (name, what) = (&ingredient.name, allergen);
        match judge(&test, &Facts::of(&self.catalogue, ingredient)) {
            Truth::Yes => format!("{name} contains {what}, as stated below"),
            Truth::No => format!(
                "{what} is not among what is stated of {name}; contact with others in the making is not covered: read the label"
            ),
            Truth::Unknown => format!(
                "whether {name} contains {what} is not stated here: read the label and ask its maker"
            ),
        }
    }

    pub(super) fn keys(&self, ids: &[String]) -> Vec<IngredientKey> {
        ids.iter().filter_map(|id| self.catalogue.key(id)).collect()
    }

    /// The formula asked about, or a reference mix with a word that it is one.
    pub(super) fn base(
        &self,
        asked: &mut Asked,
        formula: Option<&Formula>,
        dish: &str,
        about: &[IngredientKey],
    ) -> Option<Formula> {
        if let Some(formula) = formula {
            return Some(formula.clone());
        }
        let about = if about.is_empty() {
            &self.keys(&["water".to_string()])
        } else {
            about
        };
        if let Some(reference) = self.reference(dish, about) {
            asked.assumed.push(format!(
                "no formula was given: worked out on the {} (1000 g); name yours with --in",
                reference.name
            ));
            return Some(reference);
        }
        let dish = if self.dairy(about) { "ice cream" } else { dish };
        let mut reference = self.reference(
            dish,
            &self.keys(&["water".to_string(), "sucrose".to_string()]),
        )?;
        // A usual dose of a gum is the dose of a mix without others.
        let gum = |key: IngredientKey| self.catalogue.ingredient(key).is_of("gum-family");
        let weight = reference.grams();
        if about.iter().any(|key| gum(*key)) {
            reference.lines.retain(|line| !gum(line.key));
        }
        let usual = |key: &IngredientKey| self.catalogue.ingredient(*key).number("use_level");
        let grams = about
            .first()
            .and_then(usual)
            .map_or(100.0, |share| (share / 100.0 * MIX).min(100.0));
        if let (Some(key), Some(liquid)) = (about.first(), self.balance(&reference, &[])) {
            reference.add(*key, grams);
            reference.add(liquid, weight - reference.grams());
            asked.assumed.push(format!(
                "no formula was given: worked out on {} g of it in the {}; name yours with --in",
                crate::formula::weighed(grams),
                reference.name
            ));
        }
        Some(reference)
    }

    /// A formula with a trace of what is told to have gone in and no line of it says: enough to look for its
    /// faults, too little to move a figure.
    fn with_told(&self, formula: &Formula, keys: &[IngredientKey]) -> Formula {
        let mut told = formula.clone();
        let trace = TRACE / 100.0 * formula.grams();
        let unsaid = keys.iter().filter(|key| formula.grams_of(**key) <= 0.0);
        unsaid.for_each(|key| told.add(*key, trace));
        told
    }

    /// What comes, in the form of what goes, told.
    fn in_form(
        &self,
        asked: &mut Asked,
        leavers: &[IngredientKey],
        newcomers: Vec<IngredientKey>,
    ) -> Vec<IngredientKey> {
        let [leaver] = leavers else {
            return newcomers;
        };
        let mut formed = |key: IngredientKey| {
            let Some(form) = self.in_its_form(*leaver, key) else {
                return key;
            };
            let name = |key: IngredientKey| &self.catalogue.ingredient(key).name;
            asked.assumed.push(format!(
                "{} is taken as {}, in the form of what goes",
                name(key),
                name(form)
            ));
            form
        };
        newcomers.into_iter().map(&mut formed).collect()
    }

    #[allow(clippy::too_many_arguments)]
    fn ask_swap(
        &self,
        asked: &mut Asked,
        formula: Option<&Formula>,
        leaver: Leaver,
        newcomers: &[String],
        amount: Option<Amount>,
        mut wish: Wish,
        dish: &str,
        strict: bool,
        without: bool,
    ) {
        asked.kind = Kind::Swap;
        let (newcomers, barred) = self.without_allergens(self.keys(newcomers), &wish.newcomer);
        if let (true, Some(first)) = (newcomers.is_empty(), barred.first()) {
            // What was named is the very thing that must stay out.
            asked.kind = Kind::Nothing;
            asked.ask = format!("No: {first}.");
            return;
        }
        asked.assumed.extend(barred);
        let newcomers = match &leaver {
            Leaver::Ingredients(ids) => self.in_form(asked, &self.keys(ids), newcomers),
            _ => newcomers,
        };
        let mut to_ask: Vec<IngredientKey> = vec![];
        let (keys, entirely, base) = match leaver {
            Leaver::Ingredients(ids) => {
                let keys = self.keys(&ids);
                let unfrozen = self.unfrozen(dish);
                let grams = match amount {
                    Some(Amount::Grams(grams)) => Some(grams),
                    _ => None,
                };
                if let (None, Some(unfrozen)) = (formula, unfrozen)
                    && let Some(mut out) = self.by_ratio(&keys, grams, &newcomers, &wish, unfrozen)
                {
                    asked.assumed.append(&mut out.assumed);
                    asked.swap = Some(Box::new(bare(out)));
                    return;
                }
                let Some(base) = self.base(asked, formula, dish, &keys) else {
                    return;
                };
                (keys, false, base)
            }
            Leaver::Matching(expr) => {
                if let (None, Some(unfrozen)) = (formula, self.unfrozen(dish)) {
                    // What of it has to go hangs on what is in it, and no reference mix is one.
                    asked.kind = Kind::Nothing;
                    asked.ask = format!(
                        "What has to go hangs on what your {} holds: name its formula with --in, or the ingredient to replace.",
                        unfrozen.name
                    );
                    return;
                }
                // A sorbet holds no milk to begin with.
                let milk = self.keys(&["whole-milk".to_string()]);
                let about = if dish == "sorbet" { vec![] } else { milk };
                let Some(base) = self.base(asked, formula, dish, &about) else {
                    return;
                };
                let expr = covers::meant(&self.catalogue, &expr);
                let truth = |key: IngredientKey| {
                    let ingredient = self.catalogue.ingredient(key);
                    judge(&expr, &Facts::of(&self.catalogue, ingredient))
                };
                let merged = base.merged();
                let lines = merged.lines.iter().map(|l| l.key);
                let figures = covers::of_figures(&expr);
                let meets = lines.filter(|key| match truth(*key) {
                    Truth::Yes => true,
                    Truth::Unknown => !figures,
                    Truth::No => false,
                });
                let (stay, meets): (Vec<IngredientKey>, Vec<IngredientKey>) =
                    meets.partition(|k| !strict && covers::exempted(&self.catalogue, &expr, *k));
                // What only may be it is not thrown out on a guess: its label tells.
                let (asked_of, keys): (Vec<IngredientKey>, Vec<IngredientKey>) =
                    meets.into_iter().partition(|key| {
                        let ingredient = self.catalogue.ingredient(*key);
                        !strict
                            && truth(*key) == Truth::Unknown
                            && covers::label_tells(&expr, ingredient)
                    });
                to_ask = asked_of;
                if !stay.is_empty() {
                    let names = stay
                        .iter()
                        .map(|k| self.catalogue.ingredient(*k).name.as_str());
                    let names: Vec<&str> = names.collect();
                    asked.assumed.push(format!(
                        "what stays though it may be made from wheat or barley: {}; exempt from the declaration in the EU: ask the maker where it must be stated, or ask strictly to have it go",
                        names.join(", ")
                    ));
                }
                let names: Vec<&str> = keys
                    .iter()
                    .map(|k| self.catalogue.ingredient(*k).name.as_str())
                    .collect();
                asked.assumed.push(match names.is_empty() {
                    true if !to_ask.is_empty() => self.labels_to_read(&to_ask),
                    true => "nothing in the formula is stated to be that".to_string(),
                    false => format!("what goes: {}", names.join(", ")),
                });
                wish.newcomer = both(wish.newcomer, Expr::Not(Box::new(expr)));
                (self.served_by(asked, keys, &newcomers), true, base)
            }
        };
        let held: Vec<IngredientKey> = keys
            .iter()
            .copied()
            .filter(|k| base.grams_of(*k) > 0.0)
            .collect();
        if held.is_empty() && formula.is_some() && !keys.is_empty() {
            let names: Vec<&str> = keys
                .iter()
                .map(|k| self.catalogue.ingredient(*k).name.as_str())
                .collect();
            asked.absent = format!("There is no {} in {}.", names.join(" or "), base.name);
            let ids = keys
                .iter()
                .map(|k| self.catalogue.ingredient(*k).id.clone());
            let leaver = Leaver::Ingredients(ids.collect());
            let newcomers: Vec<String> = (newcomers.iter())
                .map(|k| self.catalogue.ingredient(*k).id.clone())
                .collect();
            return self.ask_swap(
                asked, None, leaver, &newcomers, amount, wish, dish, strict, without,
            );
        }
        let leavers = if held.is_empty() { keys } else { held };
        let grams = |key: IngredientKey| match amount {
            Some(Amount::Grams(g)) => Some(g),
            Some(Amount::Share(share)) => Some(share * base.grams_of(key)),
            None => None,
        };
        if strict {
            let (avoided, left_out) = self.avoided(&leavers, &wish.newcomer);
            if !avoided.is_empty() {
                asked.assumed.push(format!(
                    "nothing with {} comes in, nor what people allergic to it often react to as well",
                    avoided.join(", ")
                ));
                wish.newcomer = both(wish.newcomer, left_out);
            }
        }
        // What is there for its taste or colour is left out when it is to go; what a dish is built on is replaced.
        let tasted = |key: &IngredientKey| covers::tasted(self.catalogue.ingredient(*key));
        let left_out = without && formula.is_some() && newcomers.is_empty();
        let options = SwapOptions {
            left_out: left_out && wish.goals.is_empty() && leavers.iter().all(tasted),
            leavers: leavers.iter().map(|k| (*k, grams(*k))).collect(),
            entirely: entirely || amount.is_some(),
            newcomers,
            wish,
            dish: self.unfrozen(dish),
            ..SwapOptions::default()
        };
        if options.leavers.is_empty() {
            asked.ask = match to_ask.is_empty() {
                true => format!(
                    "Nothing in {} is stated to be that; what is not stated is not known: read the labels.",
                    base.name
                ),
                false => format!("Nothing has to go, but {}.", self.labels_to_read(&to_ask)),
            };
            return;
        }
        let mut out = self.swap(&base, &options);
        asked.assumed.append(&mut out.assumed);
        if !to_ask.is_empty() {
            let text = self.labels_to_read(&to_ask);
            out.summary.push_str(&format!(" Check: {text}."));
            for option in out.options.iter_mut().chain(&mut out.nearest) {
                option.cautions.insert(0, label_to_read(&text));
            }
        }
        asked.swap = Some(Box::new(bare(out)));
    }

    /// What stays in though it may be what must go.
    fn labels_to_read(&self, keys: &[IngredientKey]) -> String {
        let names = keys
            .iter()
            .map(|k| self.catalogue.ingredient(*k).name.clone());
        let names: Vec<String> = names.collect();
        format!(
            "{} may hold it and nothing states it: read the label, and swap or leave out what does",
            summary::joined(&names)
        )
    }

    /// How many times a mix must be taken to make a batch; `None`, and told, where it lacks what the batch is
    /// measured by.
    fn times(&self, asked: &mut Asked, base: &Formula, batch: &Batch) -> Option<f64> {
        let weight = base.grams().max(1e-9);
        match batch {
            Batch::Times(times) => Some(*times),
            Batch::Grams(grams) => Some(grams / weight),
            Batch::Of(id, grams) => {
                let key = self.catalogue.key(id)?;
                let held = base.grams_of(key);
                if held <= 0.0 {
                    let name = &self.catalogue.ingredient(key).name;
                    asked.absent = format!("There is no {name} in {}.", base.name);
                    return None;
                }
                Some(grams / held)
            }
            Batch::Millilitres(ml) => {
                asked.assumed.push(format!(
                    "a litre of unfrozen mix is taken as {MIX_DENSITY} kg; churning adds air, so less mix fills the same tubs"
                ));
                Some(ml * MIX_DENSITY / weight)
            }
        }
    }

    /// Whether a dish is bound by egg, though none is named: its heat is that of the egg.
    fn holds_egg(&self, dish: &str) -> bool {
        self.catalogue.rules.iter().any(|rule| {
            matches!(&rule.kind, RuleKind::Dish { class, dishes }
                if class == EGG_BOUND && dishes.iter().any(|d| d == dish))
        })
    }

    /// The steps ingredients call for, in the formula or in a mix at their usual use level.
    fn how_to(
        &self,
        keys: &[IngredientKey],
        formula: Option<&Formula>,
        dish: &str,
    ) -> Vec<texture::Step> {
        let assessor = self.assessor();
        let mut mix = formula
            .cloned()
            .or_else(|| self.reference(dish, keys))
            .unwrap_or_default();
        let sets = |key: &IngredientKey| self.catalogue.ingredient(*key).is_of("setting-family");
        // Ingredients alone are meant for a frozen mix, what sets or binds for its own dish.
        mix.dish = match (dish, mix.lines.is_empty() && !keys.iter().any(sets)) {
            ("", true) => "frozen dessert".into(),
            _ => dish.into(),
        };
        for key in keys
            .iter()
            .filter(|k| mix.grams_of(**k) <= 0.0)
            .copied()
            .collect::<Vec<_>>()
        {
            let share = self
                .catalogue
                .ingredient(key)
                .number("use_level")
                .unwrap_or(ASSUMED_SHARE)
                .clamp(0.01, 50.0);
            mix.add(key, share / 100.0 * MIX);
        }
        if formula.is_none()
            && let Some(water) = self.catalogue.key("water")
            && mix.grams() < MIX
        {
            mix.add(water, MIX - mix.grams());
        }
        let state = assessor.state(&mix);
        let view = MixView::new(assessor, &mix, &state);
        let ingredients: Vec<_> = keys.iter().map(|k| self.catalogue.ingredient(*k)).collect();
        let steps = texture::process(&view, &ingredients);
        let about = |s: &texture::Step| {
            keys.is_empty()
                || s.ingredients
                    .iter()
                    .any(|n| ingredients.iter().any(|i| i.name == *n))
        };
        steps.into_iter().filter(about).collect()
    }
}

/// What a label has to tell before a dish is what it is meant to be.
fn label_to_read(text: &str) -> FindingOut {
    FindingOut {
        standing: false,
        id: "label-to-read".into(),
        severity: Severity::Stop,
        topic: "label".into(),
        text: format!("{text}."),
        because: "What is not stated is not known, and unknown is not free of it.".into(),
        source: "derived".into(),
        locator: String::new(),
    }
}

fn both(a: Expr, b: Expr) -> Expr {
    match a {
        Expr::Always => b,
        Expr::All(mut parts) => {
            parts.push(b);
            Expr::All(parts)
        }
        a => Expr::All(vec![a, b]),
    }
}

/// Inside an answer that says it already, what was understood is not said twice.
fn bare(mut out: crate::answer::SwapOut) -> crate::answer::SwapOut {
    out.understood.clear();
    out.kind = None;
    out
}

/// The allergens that a condition on what comes in keeps out.
fn kept_out(condition: &Expr) -> Vec<String> {
    match condition {
        Expr::Test(Test::FreeOf(_, allergen)) => vec![allergen.clone()],
        Expr::All(parts) => parts.iter().flat_map(kept_out).collect(),
        _ => vec![],
    }
}
