//! Swaps and rebalances, from the engine's numbers to an answer.

mod adjust;
mod alike;
mod by_function;
mod by_job;
mod by_numbers;
mod option;
mod proposal;
mod together;

pub use adjust::AdjustRequest;

use self::proposal::{Found, Proposal};
use crate::answer::{Assessment, ConflictOut, Kind, LeftOut, OptionOut, SwapOut};
use crate::diagnostic::{Diagnostic, Problems};
use crate::engine::summary::{self, Asking};
use crate::engine::{Engine, Wanted};
use crate::formula::Formula;
use crate::model::{Aim, Dial, Ingredient, IngredientKey, Rule, RuleKind, Wish};
use crate::swap::{self, Target, Unfrozen};

/// A swap as the engine works it out, by keys.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SwapOptions {
    /// What goes, and how many grams of each; `None` for all of it.
    pub leavers: Vec<(IngredientKey, Option<f64>)>,
    /// All of it must go.
    pub entirely: bool,
    /// The named replacements; empty for an open question.
    pub newcomers: Vec<IngredientKey>,
    /// What is wanted.
    pub wish: Wish,
    /// How the question was understood.
    pub understood: String,
    /// What was taken for granted.
    pub assumed: Vec<String>,
    /// The dish, where one was named that is not frozen.
    pub dish: Option<Unfrozen>,
    /// What goes is only left out: nothing comes for it but what makes up the weight.
    pub left_out: bool,
    /// No mix is known, only what goes and into which dish: ratios answer, not numbers.
    pub ratios: bool,
}

impl SwapOptions {
    /// Everything that does not comply must go, and nothing was said of what comes.
    fn excludes(&self) -> bool {
        let whole = self.leavers.iter().all(|(_, grams)| grams.is_none());
        (self.entirely || self.leavers.len() > 1) && whole && self.newcomers.is_empty()
    }

    /// The one thing that goes, the one that was named for it, and how many grams of a mix go.
    fn pair(&self, formula: &Formula) -> Option<(IngredientKey, IngredientKey, f64)> {
        let ([(leaver, amount)], [newcomer]) = (self.leavers.as_slice(), self.newcomers.as_slice())
        else {
            return None;
        };
        let goes = amount.unwrap_or(f64::INFINITY);
        Some((*leaver, *newcomer, goes.min(formula.grams_of(*leaver))))
    }

    /// Whether a mix still holds anything of what goes.
    fn holds_leaver(&self, formula: &Formula) -> bool {
        let mut leavers = self.leavers.iter();
        leavers.any(|(key, _)| formula.grams_of(*key) > 0.0)
    }
}

/// What swaps by job rules rather than by numbers.
const BY_JOB: &str = "by-job-family";
/// Families with the foremost job that the tongue tells and the numbers of a mix do not show: by
/// rule where one names the ingredient.
const SENSED: [(&str, &str); 4] = [
    ("flavour", "flavour"),
    ("chocolate", "flavour"),
    ("milk", swap::SOURNESS),
    ("salt", RAISING),
];
/// The job of an alkali, or of its powder with an acid.
const RAISING: &str = "raising agent";

/// A swap in a person's words, as any face asks for it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SubstituteRequest {
    /// What goes, by any name.
    pub replace: String,
    /// What comes, when it is settled already.
    pub with: Vec<String>,
    /// How many grams go; `None` for as much as serves the wish.
    pub grams: Option<f64>,
    /// All of it must go.
    pub whole: bool,
    /// What is wanted.
    pub wanted: Wanted,
}

impl Engine {
    /// Swaps what a person names for what serves the wish.
    ///
    /// Errors: those of [`Engine::taken`] and of what is wanted, `S001` where the formula does not hold
    /// what is to go.
    pub fn substitute(
        &self,
        formula: &Formula,
        request: &SubstituteRequest,
    ) -> Result<SwapOut, Problems> {
        let mut assumed = vec![];
        let mut named = |typed: &String| {
            let taken = self.taken(typed)?;
            let meant = &self.catalogue.ingredient(taken.key).name;
            let each = taken.said.iter();
            assumed.extend(each.map(|said| format!("{typed}: {meant}, {said}")));
            Ok::<_, Problems>(taken.key)
        };
        let leaver = named(&request.replace)?;
        let newcomers = request.with.iter().map(named);
        let newcomers: Vec<IngredientKey> = newcomers.collect::<Result<_, _>>()?;
        let options = SwapOptions {
            leavers: vec![(leaver, request.grams)],
            entirely: request.whole || request.grams.is_some(),
            wish: self.wish(&request.wanted)?,
            understood: self.understood_swap(leaver, &newcomers, &request.wanted),
            newcomers,
            assumed,
            ..SwapOptions::default()
        };
        if formula.grams_of(leaver) <= 0.0 {
            let name = &self.catalogue.ingredient(leaver).name;
            let message = format!("{name} is not in {}", formula.name);
            return Err(Diagnostic::new("S001", "swap", message)
                .help("name an ingredient of the formula with --replace")
                .into());
        }
        Ok(self.swap(formula, &options))
    }

    /// A request in words, by ids.
    fn understood_swap(
        &self,
        leaver: IngredientKey,
        newcomers: &[IngredientKey],
        wanted: &Wanted,
    ) -> String {
        let id = |key: IngredientKey| self.catalogue.ingredient(key).id.as_str();
        let comes: Vec<&str> = newcomers.iter().map(|key| id(*key)).collect();
        let pair = match comes.is_empty() {
            true => format!("swap {}", id(leaver)),
            false => format!("swap {} for {}", id(leaver), comes.join(", ")),
        };
        let parts: Vec<String> = std::iter::once(pair).chain(wanted.said()).collect();
        parts.join("; ")
    }

    /// Swaps by numbers or by job, as the leaver and the wish call for.
    pub fn swap(&self, formula: &Formula, options: &SwapOptions) -> SwapOut {
        summary::told(self.swapped(formula, options), Asking::Swap)
    }

    fn swapped(&self, formula: &Formula, options: &SwapOptions) -> SwapOut {
        let mut out = SwapOut {
            understood: options.understood.clone(),
            kind: Some(Kind::Swap),
            formula: formula.name.clone(),
            assumed: [options.assumed.clone(), self.taken_in(formula)].concat(),
            ..SwapOut::default()
        };
        let going: Vec<IngredientKey> = options.leavers.iter().map(|(k, _)| *k).collect();
        if options.wish.aim(Dial::Price).is_some()
            && let Some(why) =
                self.price_unknown(formula, self.balance(formula, &going).into_iter())
        {
            out.why_none = vec![why];
            return out;
        }
        if let Some(why) = self.opposite(options) {
            out.why_none = vec![why];
            return out;
        }
        let mut options = options.clone();
        if options.dish.is_none() {
            options.dish = self.told_by(formula);
        }
        out.dish = options
            .dish
            .as_ref()
            .map_or(String::new(), |d| d.name.clone());
        let found = self.found(formula, &options);
        self.tell_found(&mut out, found, formula, &options);
        self.warn_of_relatives(&mut out, &options.wish.newcomer);
        self.warn_of_law(&mut out, formula);
        out.overruled = self.overruled(self.named_in(&out.options));
        out
    }

    /// What every way of swapping that the question calls for proposes.
    fn found(&self, formula: &Formula, options: &SwapOptions) -> Found {
        if options.left_out {
            return self.without(formula, options);
        }
        let mut keys = options.leavers.iter().map(|(key, _)| *key);
        let sensed = keys.all(|key| self.goes_by_job(key));
        let unsaid = options.wish.goals.is_empty();
        let by_job = sensed && unsaid;
        if options.excludes() && options.leavers.len() > 1 {
            return self.all_at_once(formula, options);
        }
        let rules = self.jobs(formula, options);
        let named = !options.newcomers.is_empty();
        // What is named in kind, where no rule knows the pair better.
        if unsaid && !options.ratios && rules.iter().all(|(_, job)| !self.alone(job, options)) {
            let alike = self.alike(formula, options);
            if !alike.options.is_empty() {
                return alike;
            }
        }
        // What was named is tried alone where no rule takes it alone.
        let helped = rules
            .first()
            .is_some_and(|(_, job)| !self.alone(job, options));
        let mut found = match helped && named && !options.ratios && !by_job {
            true => self.by_numbers(formula, options),
            false => Found::default(),
        };
        found.nearest.clear();
        if by_job || options.ratios || unsaid && named && !rules.is_empty() {
            found = found.and(self.by_job(formula, options, rules.clone()));
            if !found.options.is_empty() {
                return found;
            }
        }
        if options.ratios {
            return found;
        }
        if options.excludes() && by_job {
            return found.and(self.all_at_once(formula, options));
        }
        let counted = self.by_numbers(formula, options);
        if named && unsaid && !counted.why_none.is_empty() {
            // The figures cannot all be held: what a thing is there for goes before them.
            let mut alike = self.by_function(formula, options);
            if let Some(first) = alike.options.first() {
                let levelled = self.with_marks_held(formula, options, first);
                alike.options.extend(levelled);
                alike.assumed.extend(counted.assumed);
                return alike;
            }
        }
        found = found.and(counted);
        // Rules by job know nothing of numbers that were asked for.
        if found.options.is_empty() && unsaid && !rules.is_empty() {
            let why_none = std::mem::take(&mut found.why_none);
            found = found.and(self.by_job(formula, options, rules));
            found.why_none = why_none;
        }
        found
    }

    /// Fills an answer with what was found: judged and ranked once, told once.
    fn tell_found(
        &self,
        out: &mut SwapOut,
        found: Found,
        formula: &Formula,
        options: &SwapOptions,
    ) {
        let headed = found.options.first().map(Proposal::weigh_list);
        let named = !options.newcomers.is_empty();
        let alone = found.options.first().filter(|_| named);
        let alone = alone.and_then(|p| {
            let (was, is) = self.thawed(p)?;
            let comes: Vec<_> = p.comes.iter().map(|c| (c.key, c.grams)).collect();
            let brought = self.listed_grams(&comes);
            Some(format!(
                "; {brought} alone moves the freezing point from {was:.2} to {is:.2} C"
            ))
        });
        let judged = self.ranked(found.options, options);
        let mut nearest = found.nearest;
        out.left = found.left;
        if options.excludes() {
            nearest.retain(|p| !options.holds_leaver(&p.after));
            if judged.is_empty() {
                out.left = self.still_in(formula, options);
            }
        }
        if let Some(first) = judged.first() {
            let kept = !found.direct.is_empty() && headed == Some(first.weigh_list());
            out.direct = match kept {
                true => found.direct,
                false => self.headline(first),
            };
            out.direct.extend(alone);
        }
        out.assumed.extend(found.assumed);
        for (n, p) in judged.iter().enumerate().filter(|_| named) {
            let more = self.unnamed(p, options);
            if !more.is_empty() && !p.jobs.is_empty() {
                out.assumed.push(format!(
                    "option {} also brings {}, which was not named: its rule takes them together",
                    n + 1,
                    more.join(" and ")
                ));
            }
        }
        out.unknown = found.unknown;
        out.why_none = found.why_none;
        out.proof = found.proof;
        out.others = found.others;
        out.options = self.told_options(&judged);
        out.nearest = self.told_options(&nearest);
    }

    /// Proposals as options, ranked as they stand.
    fn told_options(&self, proposals: &[Proposal]) -> Vec<OptionOut> {
        let ranked = proposals.iter().enumerate();
        ranked.map(|(n, p)| self.option(n + 1, p)).collect()
    }

    /// What must go and is still in, where nothing known does without it.
    fn still_in(&self, formula: &Formula, options: &SwapOptions) -> Vec<LeftOut> {
        let leavers = options.leavers.iter().map(|(key, _)| *key);
        let held = leavers.filter(|key| formula.grams_of(*key) > 0.0);
        held.map(|key| {
            let ingredient = self.catalogue.ingredient(key);
            LeftOut {
                id: ingredient.id.clone(),
                name: ingredient.name.clone(),
                still_in: true,
                job: ingredient.functions.first().cloned().unwrap_or_default(),
            }
        })
        .collect()
    }

    /// Whether a rule brings nothing but what was named, and water.
    fn alone(&self, job: &swap::JobSwap, options: &SwapOptions) -> bool {
        let water = |key: IngredientKey| self.catalogue.ingredient(key).family == "water";
        let named = |key: IngredientKey| options.newcomers.contains(&key) || water(key);
        job.newcomers.iter().all(|(key, _)| named(*key))
    }

    /// Whether an ingredient is there for a job that the numbers of a mix do not show.
    fn goes_by_job(&self, key: IngredientKey) -> bool {
        let ingredient = self.catalogue.ingredient(key);
        let foremost = ingredient.functions.first().map_or("", String::as_str);
        let own = |rule: &Rule| rule.is_narrow() && swap::concerns(rule, ingredient);
        ingredient.is_of(BY_JOB)
            || swap::sours(ingredient)
            || (SENSED.contains(&(ingredient.family.as_str(), foremost))
                && self.catalogue.rules.iter().any(own))
    }

    /// A sour thing asked for in place of one that takes acid up, or the other way round.
    fn opposite(&self, options: &SwapOptions) -> Option<ConflictOut> {
        let of = |key: &IngredientKey| self.catalogue.ingredient(*key);
        let [(leaver, _)] = options.leavers.as_slice() else {
            return None;
        };
        let [newcomer] = options.newcomers.as_slice() else {
            return None;
        };
        let (out, into) = (of(leaver), of(newcomer));
        let sour = |i: &Ingredient| swap::sours(i);
        let alkaline = |i: &Ingredient| {
            i.family == "salt" && i.functions.first().is_some_and(|f| f == RAISING)
        };
        let text = if sour(out) && alkaline(into) {
            format!(
                "{} does the opposite of {}: it takes acid up, fizzes with what is left of it and tastes soapy in excess",
                into.name, out.name
            )
        } else if alkaline(out) && sour(into) {
            format!(
                "{} does the opposite of {}: it gives acid where an alkali was wanted and raises nothing alone; together they raise",
                into.name, out.name
            )
        } else {
            return None;
        };
        Some(ConflictOut {
            constraint: "opposite".into(),
            text,
            nearest: None,
        })
    }

    /// Whether any swap rule is about this ingredient.
    pub fn has_job_rules(&self, key: IngredientKey) -> bool {
        self.catalogue.rules.iter().any(|r| {
            matches!(r.kind, RuleKind::Swap { .. })
                && swap::concerns(r, self.catalogue.ingredient(key))
        })
    }

    /// The state of a formula with its figures, for faces that print both.
    pub fn quick(&self, formula: &Formula) -> Assessment {
        self.figures(formula, &self.assessor().state(formula))
    }
}

/// What a target demands, in words.
fn demand(t: &Target, now: Option<f64>) -> String {
    let n = |x: f64| format!("{} {}", number(t.dial, x), t.dial.unit());
    match t.wish {
        Aim::Keep => format!("keep near {}", n(t.aim)),
        Aim::Raise => format!("raise from {}", now.map_or("?".into(), n)),
        Aim::Lower => format!("lower from {}", now.map_or("?".into(), n)),
        Aim::AtLeast(least) => format!("at least {}", n(least)),
        Aim::AtMost(most) => format!("at most {}", n(most)),
        Aim::Between(low, high) => format!("between {} and {}", n(low), n(high)),
        Aim::Relative(share) => format!("{:+.0} %, to {}", 100.0 * share, n(t.aim)),
    }
}

/// A dial's figure with the digits it supports.
pub fn number(dial: Dial, figure: f64) -> String {
    match dial {
        Dial::FreezingPoint | Dial::Stabiliser | Dial::Emulsifier | Dial::Salt | Dial::Price => {
            format!("{figure:.2}")
        }
        Dial::Energy => format!("{figure:.0}"),
        _ => format!("{figure:.1}"),
    }
}
