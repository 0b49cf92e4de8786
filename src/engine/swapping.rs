//! Swaps and rebalances, from the engine's numbers to an answer.

use super::Engine;
use super::assess::{finding, step};
use crate::answer::{
    Amount, Assessment, ChangedOut, ConflictOut, KeptOut, OptionOut, ProofOut, ReasonOut, SwapOut,
};
use crate::formula::{Formula, MixView, State};
use crate::model::{Aim, Dial, Ingredient, IngredientKey, RuleKind, Wish};
use crate::swap::{self, JobSwap, Request, Swapped, Target, Variant, feels};
use crate::texture;

/// A swap as any face asks for it.
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
}

/// Families that swap by job rules rather than by numbers.
const BY_JOB: [&str; 5] = ["stabiliser", "gelling-agent", "emulsifier", "egg", "starch"];
/// Rules by job shown.
const JOBS_SHOWN: usize = 6;
/// Newcomers of one option at most.
const MOST_NEWCOMERS: usize = 4;
/// Grams of a leaver assumed where no formula gives them.
const ASSUMED_GRAMS: f64 = 100.0;

impl Engine {
    /// Swaps by numbers or by job, as the leaver and the wish call for.
    pub fn swap(&self, formula: &Formula, options: &SwapOptions) -> SwapOut {
        let mut out = SwapOut {
            understood: options.understood.clone(),
            kind: "swap".into(),
            formula: formula.name.clone(),
            assumed: options.assumed.clone(),
            ..SwapOut::default()
        };
        let family = |key: &IngredientKey| self.catalogue.ingredient(*key).family.as_str();
        let by_job = options
            .leavers
            .iter()
            .all(|(key, _)| BY_JOB.contains(&family(key)))
            && options.wish.goals.is_empty();
        let rules = self.jobs(formula, options);
        if by_job
            || (options.wish.goals.is_empty() && !options.newcomers.is_empty() && !rules.is_empty())
        {
            self.fill_by_job(&mut out, formula, options, rules);
            if !out.options.is_empty() {
                return out;
            }
        }
        self.fill_by_numbers(&mut out, formula, options);
        // Rules by job know nothing of numbers that were asked for.
        let rules = if out.options.is_empty() && options.wish.goals.is_empty() {
            self.jobs(formula, options)
        } else {
            vec![]
        };
        if !rules.is_empty() {
            let why = std::mem::take(&mut out.why_none);
            self.fill_by_job(&mut out, formula, options, rules);
            out.why_none = why;
        }
        out
    }

    fn jobs(&self, formula: &Formula, options: &SwapOptions) -> Vec<(IngredientKey, JobSwap)> {
        let in_mix = |key: IngredientKey| formula.grams_of(key);
        let each = options.leavers.iter().flat_map(|(key, amount)| {
            let grams = amount.unwrap_or(match in_mix(*key) {
                g if g > 0.0 => g,
                _ => ASSUMED_GRAMS,
            });
            let mix = (in_mix(*key) > 0.0).then_some(formula);
            swap::by_job(
                self.assessor(),
                mix,
                *key,
                grams,
                &options.wish,
                &options.newcomers,
            )
            .into_iter()
            .map(|j| (*key, j))
        });
        each.collect()
    }

    fn fill_by_job(
        &self,
        out: &mut SwapOut,
        formula: &Formula,
        options: &SwapOptions,
        rules: Vec<(IngredientKey, JobSwap)>,
    ) {
        // One option per set of newcomers and job, and no more than a person reads.
        let mut seen: Vec<(Vec<IngredientKey>, Vec<String>)> = vec![];
        let mut each: Vec<Vec<(IngredientKey, JobSwap)>> = vec![vec![]; options.leavers.len()];
        for (leaver, job) in rules {
            let key = (
                job.newcomers.iter().map(|(k, _)| *k).collect(),
                job.jobs.clone(),
            );
            let place = options
                .leavers
                .iter()
                .position(|(k, _)| *k == leaver)
                .unwrap_or(0);
            let again = options.leavers.len() == 1 && seen.contains(&key);
            if !again && each[place].len() < JOBS_SHOWN {
                seen.push(key);
                each[place].push((leaver, job));
            }
        }
        each.retain(|jobs| !jobs.is_empty());
        // With several leavers an option takes one rule for each of them.
        let count = each.iter().map(Vec::len).max().unwrap_or(0).min(JOBS_SHOWN);
        for n in 0..count {
            let jobs: Vec<&(IngredientKey, JobSwap)> = each
                .iter()
                .map(|jobs| &jobs[n.min(jobs.len() - 1)])
                .collect();
            let option = self.job_option(out.options.len() + 1, formula, options, &jobs);
            out.options.push(option);
        }
        if let (Some(first), [(leaver, _)]) = (out.options.first(), options.leavers.as_slice()) {
            let name = &self.catalogue.ingredient(*leaver).name;
            let dose = |a: &Amount| format!("{} g {}", crate::formula::weighed(a.grams), a.name);
            let doses: Vec<String> = first.ingredients.iter().map(dose).collect();
            let removed = crate::formula::weighed(first.removed.first().map_or(0.0, |a| a.grams));
            out.direct = format!("{} for {removed} g {name}", doses.join(" + "));
            if formula.grams_of(*leaver) <= 0.0 {
                out.assumed.push(format!(
                    "{removed} g of {name} as the basis: no formula here holds it"
                ));
            }
        }
    }

    /// One option by rules: what each leaver's rule brings, at the typical dose.
    fn job_option(
        &self,
        rank: usize,
        formula: &Formula,
        options: &SwapOptions,
        jobs: &[&(IngredientKey, JobSwap)],
    ) -> OptionOut {
        let grams_out = |leaver: IngredientKey| {
            let amount = options
                .leavers
                .iter()
                .find(|(k, _)| *k == leaver)
                .and_then(|(_, g)| *g);
            amount.unwrap_or(match formula.grams_of(leaver) {
                g if g > 0.0 => g,
                _ => ASSUMED_GRAMS,
            })
        };
        let held = jobs
            .iter()
            .any(|(leaver, _)| formula.grams_of(*leaver) > 0.0);
        let mut base = if held {
            formula.merged()
        } else {
            Formula::default()
        };
        let mut after = base.clone();
        for (leaver, job) in jobs {
            if !held {
                base.add(*leaver, grams_out(*leaver));
            }
            after.add(*leaver, -grams_out(*leaver));
            job.newcomers
                .iter()
                .for_each(|(k, span)| after.add(*k, span.typical));
        }
        let incoming = jobs.iter().flat_map(|(_, job)| &job.newcomers);
        let newcomers: Vec<&Ingredient> = incoming
            .clone()
            .map(|(k, _)| self.catalogue.ingredient(*k))
            .collect();
        let joined = |pick: fn(&JobSwap) -> &String| {
            let texts: Vec<&str> = jobs
                .iter()
                .map(|(_, j)| pick(j).as_str())
                .filter(|t| !t.is_empty())
                .collect();
            texts.join("; ")
        };
        let assessor = self.assessor();
        let (before_state, after_state) = (assessor.state(&base), assessor.state(&after));
        let before_view = MixView {
            assessor,
            formula: &base,
            state: &before_state,
        };
        let after_view = MixView {
            assessor,
            formula: &after,
            state: &after_state,
        };
        let leaver = jobs.first().map(|(k, _)| self.catalogue.ingredient(*k));
        let mut cautions = swap::declared(assessor, &base, &newcomers);
        cautions.extend(texture::introduced(
            &before_view,
            &after_view,
            &newcomers,
            leaver,
        ));
        let steps = texture::process(&after_view, &newcomers).into_iter();
        let reason = |(_, job): &&(IngredientKey, JobSwap)| ReasonOut {
            rule: job.rule.clone(),
            text: format!("{}: {}", job.jobs.join(", "), job.because),
            source: job.source.clone(),
            locator: job.locator.clone(),
        };
        let mut option = OptionOut {
            rank,
            ingredients: incoming
                .map(|(k, span)| Amount {
                    span: Some((span.low, span.high)),
                    ..self.amount(*k, span.typical)
                })
                .collect(),
            removed: jobs
                .iter()
                .map(|(k, _)| self.amount(*k, grams_out(*k)))
                .collect(),
            balanced: vec![],
            before: None,
            after: None,
            formula: vec![],
            kept: vec![],
            changed: vec![],
            reasons: jobs.iter().map(reason).collect(),
            process: steps
                .filter(|s| !s.ingredients.is_empty())
                .map(step)
                .collect(),
            cautions: cautions.into_iter().map(finding).collect(),
            confidence: None,
            miss: None,
            lost: joined(|j| &j.lost),
            changes: joined(|j| &j.changes),
        };
        if held {
            self.compare_states(&mut option, &before_state, &after_state, &[]);
            option.before = Some(Box::new(self.figures(&base, &before_state)));
            option.after = Some(Box::new(self.figures(&after, &after_state)));
            option.formula = after
                .lines
                .iter()
                .map(|l| self.amount(l.key, l.grams))
                .collect();
        }
        option
    }

    fn fill_by_numbers(&self, out: &mut SwapOut, formula: &Formula, options: &SwapOptions) {
        let going: Vec<IngredientKey> = options.leavers.iter().map(|(k, _)| *k).collect();
        let Some(balance) = self.balance(formula, &going) else {
            return;
        };
        let mut wish = options.wish.clone();
        // Several things that go together may need as many that come.
        wish.at_most = wish.at_most.max(going.len().min(MOST_NEWCOMERS));
        if wish.at_most > MOST_NEWCOMERS {
            wish.at_most = MOST_NEWCOMERS;
            out.assumed.push(format!(
                "{MOST_NEWCOMERS} newcomers at most are tried together"
            ));
        }
        if !options.newcomers.is_empty() {
            wish.shelf = Some(
                options
                    .newcomers
                    .iter()
                    .map(|k| self.catalogue.ingredient(*k).id.clone())
                    .collect(),
            );
        }
        if wish.goals.is_empty() {
            wish.goals = self.held_by_default(formula, &options.leavers);
            let named: Vec<&str> = wish.goals.iter().map(|g| g.dial.name()).collect();
            out.assumed.push(format!(
                "nothing was said of the numbers, so {} {} kept",
                named.join(", "),
                if named.len() == 1 { "is" } else { "are" }
            ));
        }
        let leavers: Vec<(IngredientKey, f64)> = options
            .leavers
            .iter()
            .map(|(k, g)| (*k, g.unwrap_or(f64::INFINITY).min(formula.grams_of(*k))))
            .filter(|(_, g)| *g > 0.0)
            .collect();
        if leavers.is_empty() {
            return;
        }
        let request = Request {
            formula,
            leavers,
            // A swap that only keeps things would else be met by swapping next to nothing.
            entirely: options.entirely || wish.goals.iter().all(|g| g.aim == Aim::Keep),
            wish: &wish,
            balance,
            steady: self.steady(formula, &going),
        };
        let swapped = swap::swap(self.assessor(), &request);
        out.unknown = swapped
            .candidates
            .unknown
            .iter()
            .map(|k| self.catalogue.ingredient(*k).id.clone())
            .collect();
        let p = swapped.proof;
        out.proof = Some(ProofOut {
            candidates: swapped.candidates.list.len(),
            sets: p.sets,
            cut: p.cut,
            solved: p.solved,
            beyond: p.beyond.is_finite().then_some(p.beyond),
        });
        out.options = swapped
            .options
            .iter()
            .enumerate()
            .map(|(n, v)| self.option(n + 1, formula, &swapped, v))
            .collect();
        out.nearest = swapped
            .nearest
            .iter()
            .enumerate()
            .map(|(n, v)| self.option(n + 1, formula, &swapped, v))
            .collect();
        out.why_none = self.why_none(&swapped);
    }

    /// Lines beside the balancing one that a swap may move: where no sweetener goes, the main sugar
    /// of the formula, by half either way, so that the sweetness a milk took along can come back.
    fn steady(&self, formula: &Formula, going: &[IngredientKey]) -> Vec<(IngredientKey, f64, f64)> {
        let sweetens = |key: IngredientKey| {
            let family = self.catalogue.ingredient(key).family.as_str();
            matches!(
                family,
                "sugar" | "glucose-syrup" | "honey-and-syrup" | "polyol"
            )
        };
        if going.iter().any(|k| sweetens(*k)) {
            return vec![];
        }
        let merged = formula.merged();
        let sugars = merged
            .lines
            .iter()
            .filter(|l| self.catalogue.ingredient(l.key).family == "sugar");
        let main = sugars.max_by(|a, b| a.grams.total_cmp(&b.grams).then(b.key.cmp(&a.key)));
        main.map(|l| (l.key, 0.5 * l.grams, 1.5 * l.grams))
            .into_iter()
            .collect()
    }

    /// What a person expects to stay when a swap names no numbers: the dials the leavers carry most of.
    fn held_by_default(
        &self,
        formula: &Formula,
        leavers: &[(IngredientKey, Option<f64>)],
    ) -> Vec<crate::model::Goal> {
        let assessor = self.assessor();
        let mut without = formula.merged();
        leavers.iter().for_each(|(k, _)| {
            let grams = without.grams_of(*k);
            without.add(*k, -grams);
        });
        let (with, without) = (assessor.sums(formula), assessor.sums(&without));
        let batch = with.grams;
        let (whole, rest) = (assessor.state_of(with), assessor.state_of(without));
        let feels = feels(&self.catalogue);
        let carried = |dial: &Dial| {
            let (Some(a), Some(b), Some(feel)) =
                (whole.dial(*dial), rest.dial(*dial), feels.get(dial))
            else {
                return false;
            };
            (a - b * rest.sums.grams / batch).abs() > 2.0 * feel.tolerance
        };
        let candidates = [
            Dial::Sweetness,
            Dial::FreezingPoint,
            Dial::Fat,
            Dial::Protein,
            Dial::TotalSolids,
        ];
        candidates
            .into_iter()
            .filter(carried)
            .map(|dial| crate::model::Goal {
                dial,
                aim: Aim::Keep,
            })
            .collect()
    }

    fn amount(&self, key: IngredientKey, grams: f64) -> Amount {
        let i = self.catalogue.ingredient(key);
        Amount {
            id: i.id.clone(),
            name: i.name.clone(),
            grams,
            span: None,
        }
    }

    fn option(&self, rank: usize, formula: &Formula, swapped: &Swapped, v: &Variant) -> OptionOut {
        let assessor = self.assessor();
        let view = MixView {
            assessor,
            formula: &v.formula,
            state: &v.state,
        };
        let newcomers: Vec<&Ingredient> = v
            .newcomers
            .iter()
            .map(|(k, _)| self.catalogue.ingredient(*k))
            .collect();
        let mut option = OptionOut {
            rank,
            ingredients: v
                .newcomers
                .iter()
                .map(|(k, g)| self.amount(*k, *g))
                .collect(),
            removed: v.removed.iter().map(|(k, g)| self.amount(*k, *g)).collect(),
            balanced: v
                .balanced
                .iter()
                .map(|(k, g)| self.amount(*k, *g))
                .collect(),
            before: Some(Box::new(self.figures(formula, &swapped.before))),
            after: Some(Box::new(self.figures(&v.formula, &v.state))),
            formula: v
                .formula
                .lines
                .iter()
                .map(|l| self.amount(l.key, l.grams))
                .collect(),
            kept: vec![],
            changed: vec![],
            reasons: v
                .reasons
                .iter()
                .map(|r| ReasonOut {
                    rule: r.rule.clone(),
                    text: r.text.clone(),
                    source: r.source.clone(),
                    locator: r.locator.clone(),
                })
                .collect(),
            process: texture::process(&view, &newcomers)
                .into_iter()
                .filter(|s| !s.ingredients.is_empty())
                .map(step)
                .collect(),
            cautions: v.cautions.iter().cloned().map(finding).collect(),
            confidence: Some(v.confidence),
            miss: Some(v.miss),
            lost: String::new(),
            changes: String::new(),
        };
        self.compare_states(&mut option, &swapped.before, &v.state, &swapped.targets);
        option
    }

    /// Dials within their tolerance are kept, the others changed; asked ones are marked.
    fn compare_states(
        &self,
        option: &mut OptionOut,
        before: &State,
        after: &State,
        targets: &[Target],
    ) {
        let feels = feels(&self.catalogue);
        for (dial, ..) in Dial::ALL {
            let (Some(was), Some(is)) = (before.dial(dial), after.dial(dial)) else {
                continue;
            };
            let Some(feel) = feels.get(&dial) else {
                continue;
            };
            let asked = targets.iter().any(|t| t.dial == dial && t.asked);
            if (is - was).abs() <= feel.tolerance {
                if asked
                    || targets
                        .iter()
                        .any(|t| t.dial == dial && was.abs() > feel.tolerance)
                {
                    option.kept.push(KeptOut {
                        property: dial.id().into(),
                        before: was,
                        after: is,
                        tolerance: feel.tolerance,
                        asked,
                    });
                }
            } else {
                option.changed.push(ChangedOut {
                    property: dial.id().into(),
                    before: was,
                    after: is,
                    asked,
                });
            }
        }
    }

    fn why_none(&self, swapped: &Swapped) -> Vec<ConflictOut> {
        let unknown = swapped.unknown_goals.iter().map(|dial| ConflictOut {
            constraint: dial.id().into(),
            text: format!("the {} of this mix cannot be computed", dial.name()),
            nearest: None,
        });
        let demands = swapped.conflicts.iter().map(|c| {
            let target = swapped.targets.iter().find(|t| t.dial == c.dial);
            let wanted = target.map_or(String::new(), |t| demand(t, swapped.before.dial(c.dial)));
            let way = match c.nearest {
                Some(nearest) => format!("with the rest held it would come to {} {}: accept that, or give up another of these", number(c.dial, nearest), c.dial.unit()),
                None => "even without this the rest conflicts".to_string(),
            };
            let who = if c.asked { "asked" } else { "held unasked" };
            ConflictOut { constraint: c.dial.id().into(), text: format!("{} ({who}: {wanted}); {way}", c.dial.name()), nearest: c.nearest }
        });
        let empty = swapped.candidates.list.is_empty().then(|| ConflictOut {
            constraint: "candidates".into(),
            text: format!(
                "no ingredient meets what was asked of newcomers ({} refused, {} not known)",
                swapped.candidates.refused,
                swapped.candidates.unknown.len()
            ),
            nearest: None,
        });
        unknown.chain(empty).chain(demands).collect()
    }

    /// Brings a formula back to its marks, or to new ones.
    pub fn adjust(
        &self,
        formula: &Formula,
        added: &[(IngredientKey, f64)],
        wish: &Wish,
        understood: &str,
        assumed: &[String],
    ) -> SwapOut {
        let mut out = SwapOut {
            understood: understood.into(),
            kind: "adjust".into(),
            formula: formula.name.clone(),
            assumed: assumed.to_vec(),
            ..SwapOut::default()
        };
        let Some(balance) = self.balance(formula, &[]) else {
            return out;
        };
        let assessor = self.assessor();
        let helpers: Vec<IngredientKey> = if wish.goals.is_empty() {
            vec![]
        } else {
            self.helpers(formula)
        };
        let mut marks = wish.clone();
        if wish.goals.is_empty() {
            let goal = |dial| crate::model::Goal {
                dial,
                aim: Aim::Keep,
            };
            marks.goals = vec![goal(Dial::Sweetness), goal(Dial::FreezingPoint)];
        }
        let result = swap::rebalance(assessor, formula, added, &marks, balance, &helpers);
        if !result.let_go.is_empty() && !result.edits.is_empty() {
            let names: Vec<&str> = result.let_go.iter().map(|d| d.name()).collect();
            out.assumed.push(format!(
                "{} cannot be held with that addition and {} let go",
                names.join(", "),
                if names.len() == 1 { "is" } else { "are" }
            ));
        }
        let newcomers: Vec<&Ingredient> = added
            .iter()
            .map(|(k, _)| self.catalogue.ingredient(*k))
            .collect();
        let before_view = MixView {
            assessor,
            formula,
            state: &result.before,
        };
        for (n, edit) in result.edits.iter().enumerate() {
            let view = MixView {
                assessor,
                formula: &edit.formula,
                state: &edit.state,
            };
            let (more, less): (Vec<_>, Vec<_>) = edit.changes.iter().partition(|(_, g)| *g > 0.0);
            let mut cautions = swap::declared(assessor, formula, &newcomers);
            cautions.extend(texture::introduced(&before_view, &view, &newcomers, None));
            let mut option = OptionOut {
                rank: n + 1,
                ingredients: added
                    .iter()
                    .map(|(k, g)| self.amount(*k, *g))
                    .chain(more.iter().map(|(k, g)| self.amount(*k, *g)))
                    .collect(),
                removed: less.iter().map(|(k, g)| self.amount(*k, -*g)).collect(),
                balanced: vec![],
                before: Some(Box::new(self.figures(formula, &result.before))),
                after: Some(Box::new(self.figures(&edit.formula, &edit.state))),
                formula: edit
                    .formula
                    .lines
                    .iter()
                    .map(|l| self.amount(l.key, l.grams))
                    .collect(),
                kept: vec![],
                changed: vec![],
                reasons: self.brought(added, formula.grams()),
                process: texture::process(&view, &newcomers)
                    .into_iter()
                    .filter(|s| !s.ingredients.is_empty())
                    .map(step)
                    .collect(),
                cautions: cautions.into_iter().map(finding).collect(),
                confidence: Some(edit.confidence),
                miss: Some(edit.miss),
                lost: String::new(),
                changes: String::new(),
            };
            self.compare_states(&mut option, &result.before, &edit.state, &result.targets);
            if edit.miss > 1.0 && !out.options.is_empty() {
                break;
            }
            let shelf = if edit.miss <= 1.0 {
                &mut out.options
            } else {
                &mut out.nearest
            };
            option.rank = shelf.len() + 1;
            shelf.push(option);
        }
        if out.options.is_empty() {
            out.why_none = out
                .nearest
                .first()
                .map_or(vec![], |near| self.missed(&result.targets, near));
        }
        out
    }

    /// The marks a nearest miss fails.
    fn missed(&self, targets: &[Target], near: &OptionOut) -> Vec<ConflictOut> {
        let figure = |dial: Dial| {
            near.changed
                .iter()
                .find(|c| c.property == dial.id())
                .map(|c| (c.before, c.after))
        };
        let failed = targets.iter().filter_map(|t| {
            let (before, after) = figure(t.dial)?;
            (t.miss(after) > 1.0).then(|| ConflictOut {
                constraint: t.dial.id().into(),
                text: format!(
                    "{} ({}); the nearest these ingredients come is {} {}",
                    t.dial.name(),
                    demand(t, Some(before)),
                    number(t.dial, after),
                    t.dial.unit()
                ),
                nearest: Some(after),
            })
        });
        failed.collect()
    }

    /// What an addition brings, per 100 g of the mix.
    fn brought(&self, added: &[(IngredientKey, f64)], batch: f64) -> Vec<ReasonOut> {
        use crate::formula::Part;
        let each = added.iter().map(|(key, grams)| {
            let profile = self.assessor().profile(*key);
            let parts = [
                (Part::Fat, "fat"),
                (Part::Sugars, "sugars"),
                (Part::Water, "water"),
                (Part::Protein, "protein"),
                (Part::Lactose, "lactose"),
                (Part::StabiliserContent, "stabiliser"),
                (Part::Alcohol, "alcohol"),
            ];
            let brings: Vec<String> = parts
                .iter()
                .map(|(p, name)| (profile.number(*p) * grams / 100.0, name))
                .filter(|(g, _)| *g > 0.001 * batch)
                .map(|(g, name)| format!("{} g {name}", crate::formula::weighed(g)))
                .collect();
            ReasonOut {
                rule: "mass-balance".into(),
                text: format!(
                    "{} brings {}",
                    self.catalogue.ingredient(*key).name,
                    brings.join(", ")
                ),
                source: "composition".into(),
                locator: String::new(),
            }
        });
        each.collect()
    }

    /// What a formula may be helped with towards a new mark: plain things of its own kind.
    fn helpers(&self, formula: &Formula) -> Vec<IngredientKey> {
        let dairy = formula
            .lines
            .iter()
            .any(|l| self.catalogue.ingredient(l.key).family == "milk");
        let ids: &[&str] = if dairy {
            &[
                "dextrose-monohydrate",
                "skimmed-milk-powder",
                "cream-35-fat",
            ]
        } else {
            &[
                "dextrose-monohydrate",
                "dried-glucose-syrup-de42",
                "inulin-native",
            ]
        };
        ids.iter()
            .filter_map(|id| self.catalogue.key(id))
            .filter(|k| formula.grams_of(*k) == 0.0)
            .collect()
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
        Dial::FreezingPoint | Dial::Stabiliser | Dial::Emulsifier | Dial::Salt => {
            format!("{figure:.2}")
        }
        Dial::Energy => format!("{figure:.0}"),
        _ => format!("{figure:.1}"),
    }
}
