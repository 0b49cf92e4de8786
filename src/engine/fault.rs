//! A symptom to its causes, each tested on the formula's numbers where there is one.

use super::Engine;
use super::remedy::{LEAST_CHANGE, Remedy, counted};
use crate::answer::{Amount, Cause, ChangedOut, Verdict};
use crate::condition::{Facts, Truth, judge};
use crate::formula::{Dish, FREEZER, Formula, MixView};
use crate::model::rule::{Band, Direction, Lever, Rule};
use crate::model::{Dial, DishKind, Expr, RuleKind, Test};
use crate::physics::solute::Solute;
use crate::texture;

/// Dials milk decides.
const OF_MILK: [Dial; 5] = [
    Dial::Protein,
    Dial::Msnf,
    Dial::Fat,
    Dial::Emulsifier,
    Dial::Lactose,
];

/// Classes of frozen dishes among the dishes of a rule.
const FROZEN_CLASSES: [&str; 4] = ["frozen", "churned", "creamy", "lean"];
/// The fault that more ice makes worse, and the dial of the ice.
const HARD: &str = "too hard";
const ICE: &str = "frozen_at_18";

/// A cause judged on a formula.
struct Judged {
    verdict: Verdict,
    /// The figure that decides, with what is usual.
    shown_by: String,
    /// The usual range: dial, low, high.
    usual: Option<(Dial, f64, f64)>,
}

impl Judged {
    fn bare(verdict: Verdict) -> Self {
        Judged {
            verdict,
            shown_by: String::new(),
            usual: None,
        }
    }
}

/// The fields of a diagnosis the judging reads.
struct Signs<'a> {
    rule: &'a Rule,
    test: &'a Expr,
    solute: Option<&'a str>,
    band: Option<&'a Band>,
    lever: Option<&'a Lever>,
}

/// Whether a test asks for a figure at all: that something is in a mix does not show what happened.
fn measured(test: &Expr) -> bool {
    let mut figure = false;
    test.visit(&mut |t| figure |= matches!(t, Test::Mix(..) | Test::Share(..)));
    figure
}

/// Whether a test asks for this dial and nothing else.
fn only_asks(test: &Expr, dial: Dial) -> bool {
    let mut only = true;
    test.visit(&mut |t| only &= matches!(t, Test::Mix(d, ..) if *d == dial));
    only
}

impl Engine {
    /// The causes of `symptoms` in a dish: those the formula shows first; where it shows none, what
    /// to check in the process comes first; last those its figures speak against.
    pub fn diagnose(
        &self,
        symptoms: &[String],
        dish: &str,
        formula: Option<&Formula>,
    ) -> Vec<Cause> {
        let assessor = self.assessor();
        let said = formula.map(|f| Formula {
            dish: dish.to_string(),
            ..f.clone()
        });
        let formula = said.as_ref();
        let state = formula.map(|f| assessor.state(f));
        let view = formula
            .zip(state.as_ref())
            .map(|(formula, state)| MixView::new(assessor, formula, state));
        let of = view
            .as_ref()
            .map(|v| Dish::of(assessor, v.formula, v.state));
        let classes = match &of {
            Some(of) => self.classes_of(of, formula),
            None => self.classes(dish),
        };
        let frozen = match &of {
            Some(of) => of.kind == DishKind::Frozen,
            None => classes.is_empty() || classes.contains(&"frozen"),
        };
        let mut causes: Vec<(Verdict, bool, u8, Cause)> = vec![];
        for rule in &self.catalogue.rules {
            let RuleKind::Diagnosis {
                symptom,
                also,
                dishes,
                test,
                solute,
                cause,
                lever,
                fix,
                usual,
            } = &rule.kind
            else {
                continue;
            };
            if !symptoms.iter().any(|s| s == symptom || also.contains(s)) {
                continue;
            }
            // Where a rule of frozen dishes asks the mix and there is one, the mix decides.
            let asks_mix = view.is_some()
                && frozen
                && rule.when != Expr::Always
                && dishes.iter().any(|d| FROZEN_CLASSES.contains(&d.as_str()));
            let elsewhere = !dishes.is_empty()
                && !classes.is_empty()
                && !dishes.iter().any(|d| classes.contains(&d.as_str()));
            if elsewhere && !asks_mix {
                continue;
            }
            let signs = Signs {
                rule,
                test,
                solute: solute.as_deref(),
                band: usual.as_ref(),
                lever: lever.as_ref(),
            };
            let Some(judged) = self.judged(&signs, view.as_ref(), frozen) else {
                continue;
            };
            let remedy = match (formula, lever, judged.verdict) {
                (_, _, Verdict::NotFound) => None,
                (Some(formula), Some(lever), _) => self.remedy(formula, lever, judged.usual),
                _ => None,
            };
            // What leaves more ice than there was softens nothing: the words of the fix stand alone.
            let hardens = |c: &ChangedOut| c.property == ICE && c.after > c.before + LEAST_CHANGE;
            let remedy = remedy.filter(|r| symptom != HARD || !r.effect.iter().any(hardens));
            let Remedy {
                lacking,
                grams,
                effect,
                partly,
            } = remedy.unwrap_or_default();
            let surety = match rule.strength.as_str() {
                "strong" | "" => 0,
                "moderate" => 1,
                _ => 2,
            };
            let cause = Cause {
                rule: rule.id.clone(),
                symptom: symptom.clone(),
                cause: cause.clone(),
                verdict: judged.verdict,
                shown_by: judged.shown_by,
                fix: fix.clone(),
                lacking,
                grams,
                effect,
                formula: vec![],
                partly,
                because: rule.because.clone(),
                source: rule.source.clone(),
                locator: rule.locator.clone(),
            };
            let process = *test == Expr::Always && solute.is_none();
            causes.push((judged.verdict, process, surety, cause));
        }
        let shown = causes.iter().any(|c| c.0 == Verdict::Found);
        let process_first = formula.is_some() && frozen && !shown;
        causes.sort_by_key(|(verdict, process, surety, _)| {
            (!(*process && process_first), *verdict, *surety)
        });
        // Two names of a fault may share a cause; the better shown one speaks.
        let mut said: Vec<String> = vec![];
        causes.retain(|(.., cause)| {
            let new = !said.contains(&cause.cause);
            said.push(cause.cause.clone());
            new
        });
        let mut causes: Vec<Cause> = causes.into_iter().map(|(.., cause)| cause).collect();
        // A figure that departs is told first; the complaint itself goes before all that only may be.
        if let (Some(of), Some(formula), Some(state), true) = (&of, formula, &state, frozen) {
            let believed = symptoms.iter();
            let believed = believed.filter_map(|s| self.believed(s, &of.class, formula, state));
            causes.splice(0..0, believed);
        }
        if let (Some(formula), Some(first)) = (formula, causes.first_mut()) {
            first.formula = self.edited_by(formula, &first.grams);
        }
        causes
    }

    /// A formula after signed grams; nothing where nothing moves.
    fn edited_by(&self, formula: &Formula, grams: &[Amount]) -> Vec<Amount> {
        if grams.is_empty() {
            return vec![];
        }
        let mut after = formula.merged();
        let moved = grams.iter();
        let moved = moved.filter_map(|a| Some((self.catalogue.key(&a.id)?, a.grams)));
        moved.for_each(|(key, grams)| after.add(key, grams));
        self.amounts(after.lines.iter().map(|line| (line.key, line.grams)))
    }

    /// The classes of the dish a formula is, by its name, else by what sets or binds it.
    fn classes_of<'a>(&'a self, dish: &'a Dish, formula: Option<&Formula>) -> Vec<&'a str> {
        if !dish.name.is_empty() {
            let classes = self.classes(&dish.name);
            return match classes.is_empty() {
                true => vec![&dish.name],
                false => classes,
            };
        }
        let gelatin = formula.is_some_and(|f| {
            let mut lines = f.lines.iter();
            lines.any(|l| self.catalogue.ingredient(l.key).value("bloom").is_some())
        });
        match dish.kind {
            DishKind::Frozen => FROZEN_CLASSES.to_vec(),
            DishKind::Gel if gelatin => vec!["gelatin"],
            DishKind::Gel => vec!["jelly"],
            DishKind::Thickened => vec!["sauce", "custard"],
            DishKind::Other => vec![DishKind::Other.word()],
        }
    }

    /// A dish and the classes it belongs to; nothing where it belongs to none.
    fn classes<'a>(&'a self, dish: &'a str) -> Vec<&'a str> {
        let mut classes: Vec<&str> = self
            .catalogue
            .rules
            .iter()
            .filter_map(|rule| match &rule.kind {
                RuleKind::Dish { class, dishes } if dishes.iter().any(|d| d == dish) => {
                    Some(class.as_str())
                }
                _ => None,
            })
            .collect();
        if !classes.is_empty() {
            classes.push(dish);
        }
        classes
    }

    /// Whether a cause is there, by the mix and by what is usual for such a product; `None` where
    /// the cause has no place in it.
    fn judged(
        &self,
        signs: &Signs<'_>,
        view: Option<&MixView<'_>>,
        frozen: bool,
    ) -> Option<Judged> {
        let band = signs.band;
        let Some(view) = view else {
            return Some(Judged::bare(Verdict::Untested));
        };
        let facts = Facts::of_mix(&self.catalogue, view);
        if judge(&signs.rule.when, &facts) == Truth::No {
            return None;
        }
        if let Some(solute) = signs.solute {
            // The freezer draws them out; unfrozen the water holds them.
            if !frozen {
                return None;
            }
            return crystals_of(view, solute);
        }
        if *signs.test == Expr::Always {
            return Some(Judged::bare(Verdict::Untested));
        }
        let product = self.product(view.formula, view.state);
        let dish = Dish::of(self.assessor(), view.formula, view.state);
        let of_class = |dial: Dial| {
            let ranges = self.catalogue.classes.ranges_of(&dish.class, dial.id());
            let mut plain = ranges.iter().filter(|range| range.condition.is_empty());
            plain.next().and_then(|range| range.low.zip(range.high))
        };
        let stated = band.and_then(|b| match frozen {
            true => self.usual(product, b.dial),
            false => of_class(b.dial),
        });
        let product = if frozen { product } else { dish.name.as_str() };
        let direction = signs.lever.and_then(|lever| lever.dial);
        let (mut usual, mut shown_by) = (None, String::new());
        // The figure lies outside its range on the side the cause speaks of, or on the other.
        let (mut errs, mut contrary) = (false, false);
        if let Some((band, (name, figure))) =
            band.and_then(|b| Some((b, counted(view.state, b.dial)?)))
        {
            // A sorbet has no usual milk solids, fat or protein to fall short of.
            if frozen && stated.is_none() && product == "sorbet" && OF_MILK.contains(&band.dial) {
                return None;
            }
            let (low, high) = stated.unwrap_or((band.low, band.high));
            let of = match stated {
                Some(_) => format!(" in a {product}"),
                None => String::new(),
            };
            let (below, above) = (figure < low, figure > high);
            (errs, contrary) = match direction {
                Some((_, Direction::Higher)) => (below, above),
                Some((_, Direction::Lower)) => (above, below),
                None => (false, below || above),
            };
            usual = Some((band.dial, low, high));
            shown_by = format!(
                "{name} {figure:.2} {}, usual {low} to {high}{of}",
                band.dial.unit(),
            );
        }
        let measured = measured(signs.test);
        let by_range = band.zip(direction).is_some_and(|(band, (dial, _))| {
            usual.is_some() && dial == band.dial && only_asks(signs.test, dial)
        });
        let truth = match by_range {
            true if errs => Truth::Yes,
            true => Truth::No,
            false => judge(signs.test, &facts),
        };
        let verdict = match truth {
            Truth::Yes if measured => Verdict::Found,
            Truth::Yes => Verdict::PossibleHere,
            // A figure outside its range never speaks for the formula.
            Truth::No if errs => Verdict::PossibleHere,
            Truth::No => Verdict::NotFound,
            Truth::Unknown => Verdict::Untested,
        };
        if verdict == Verdict::NotFound && contrary {
            shown_by = match direction {
                Some(_) => format!("{shown_by}: it errs the other way"),
                None => String::new(),
            };
        }
        Some(Judged {
            verdict,
            shown_by,
            usual,
        })
    }
}

/// Whether a sugar or polyol crystallises in the cold; `None` where the mix has none of it.
fn crystals_of(view: &MixView<'_>, solute: &str) -> Option<Judged> {
    let found = texture::felt(view.state)
        .into_iter()
        .find(|c| c.solute.id() == solute);
    let Some(c) = found else {
        let part = crate::formula::Part::parse(solute)?;
        let held = view.state.sums.percent(part) >= TRACE;
        return held.then(|| Judged::bare(Verdict::NotFound));
    };
    let before = view.state.frozen_at_18.unwrap_or(0.0);
    let harder = match c.solute {
        // It comes out slowly, as grains, and the usual figures count it as dissolved.
        Solute::Lactose => String::new(),
        _ => format!(
            "; the frozen water goes from {before:.0} to {:.0} %",
            c.frozen_after
        ),
    };
    Some(Judged {
        verdict: Verdict::Found,
        shown_by: format!(
            "{:.1} times what the unfrozen water holds at {FREEZER} C{harder}",
            c.dissolved / c.soluble
        ),
        usual: None,
    })
}

/// Share of a solute below which it is not there, %.
const TRACE: f64 = 0.5;
