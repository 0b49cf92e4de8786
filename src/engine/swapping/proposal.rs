//! What every way of swapping or rebalancing gives: one change of a formula, by keys and grams. Proposals
//! are judged and ranked here once, whoever made them, and become an answer in `option.rs` once.

use super::SwapOptions;
use crate::answer::{ConflictOut, LeftOut, OtherOut, ProofOut, ReasonOut};
use crate::engine::Engine;
use crate::engine::covers::same_substance;
use crate::formula::{Dish, Formula, State, weighed};
use crate::model::{Dial, DishKind, Ingredient, IngredientKey, Presence};
use crate::physics::solubility::Readiness;
use crate::physics::solute::Solute;
use crate::swap::{self, Caution, Target};
use crate::texture::{self, FatPhase};

/// What is brought for its bulk: less than this of the batch is not worth the weighing, %.
const USEFUL: f64 = 0.5;
/// What is brought for its bulk.
const BULK: &str = "bulk-family";
/// Sugars that are bought with or without their crystal water.
const SUGARS: &str = "sugar";
/// What is poured for a milk.
const POURED: &str = "poured-family";
/// Temperature at which a fat has to hold the air, C, and the least share of the solid fat of
/// before that does.
/// Source: memory (mixes are aged at 2 to 5 C, where fat globules must be part solid).
const AGED: (f64, f64) = (5.0, 0.5);
/// A freezing point moved further than this is another hardness, K.
/// Source: memory (half a kelvin is some two in the serving temperature).
pub(super) const FREEZES_ALIKE: f64 = 0.5;
/// From this on the fat of a mix is structure, %.
const FATTY: f64 = 2.0;
/// Weight of a drawback that speaks plainly against a newcomer.
const STRONG: u8 = 3;
/// How far the weight of the batch may stray, as a share of it.
const BATCH: f64 = 0.005;

/// Something that comes in.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Comes {
    pub key: IngredientKey,
    pub grams: f64,
    /// Least and greatest dose, where a rule gives a span.
    pub span: Option<(f64, f64)>,
}

/// One change of a formula that may answer what was asked.
#[derive(Debug, Clone, Default)]
pub(super) struct Proposal {
    /// The mix it changes, and what becomes of it.
    pub before: Formula,
    pub after: Formula,
    /// What comes in, what comes out, and which other lines move: positive is more.
    pub comes: Vec<Comes>,
    pub goes: Vec<(IngredientKey, f64)>,
    pub shifts: Vec<(IngredientKey, f64)>,
    /// What was asked of the figures, and what is held.
    pub targets: Vec<Target>,
    /// Jobs that a rule of the trade takes over; none for a change by the numbers.
    pub jobs: Vec<String>,
    pub lost: String,
    pub changes: String,
    pub reasons: Vec<ReasonOut>,
    /// What goes, for rules that ask it.
    pub leaver: Option<IngredientKey>,
    /// What to look out for beside what the step between the two mixes calls for.
    pub cautions: Vec<Caution>,
    pub confidence: Option<f64>,
    pub miss: Option<f64>,
    /// Only ratios are known, not the rest of the mix.
    pub ratios: bool,
}

/// What one way of swapping found.
#[derive(Default)]
pub(super) struct Found {
    pub options: Vec<Proposal>,
    /// The nearest misses where there are no options.
    pub nearest: Vec<Proposal>,
    /// Other ways, in short.
    pub others: Vec<OtherOut>,
    /// The answer in a line, where it is not that of the first option.
    pub direct: String,
    pub assumed: Vec<String>,
    /// Ids of what was left out because the data does not say enough.
    pub unknown: Vec<String>,
    pub why_none: Vec<ConflictOut>,
    pub left: Vec<LeftOut>,
    pub proof: Option<ProofOut>,
}

impl Found {
    /// What two ways found, one after the other; the later one says why there is none.
    pub fn and(mut self, later: Found) -> Found {
        self.options.extend(later.options);
        self.assumed.extend(later.assumed);
        Found {
            options: self.options,
            assumed: self.assumed,
            direct: match self.direct.is_empty() {
                true => later.direct,
                false => self.direct,
            },
            proof: later.proof.or(self.proof),
            others: match later.others.is_empty() {
                true => self.others,
                false => later.others,
            },
            unknown: match later.unknown.is_empty() {
                true => self.unknown,
                false => later.unknown,
            },
            ..later
        }
    }
}

impl Proposal {
    pub fn coming(keys: impl IntoIterator<Item = (IngredientKey, f64)>) -> Vec<Comes> {
        let each = keys.into_iter().map(|(key, grams)| Comes {
            key,
            grams,
            span: None,
        });
        each.collect()
    }

    /// The same as something nobody asked for.
    pub fn unasked(mut self) -> Self {
        self.targets.iter_mut().for_each(|t| t.asked = false);
        self
    }

    /// What is weighed, to the milligram.
    pub fn weigh_list(&self) -> Vec<(IngredientKey, i64)> {
        let lines = self.after.lines.iter().filter(|l| l.grams > 0.0);
        let mut list: Vec<(IngredientKey, i64)> = lines
            .map(|l| (l.key, (1000.0 * l.grams).round() as i64))
            .collect();
        list.sort_unstable();
        list
    }

    /// Whether the batch no longer weighs what it did.
    pub fn strays(&self) -> bool {
        off_weight(&self.before, &self.after)
    }
}

/// Whether one formula no longer weighs what the other did.
pub(super) fn off_weight(before: &Formula, after: &Formula) -> bool {
    let (was, is) = (before.grams(), after.grams());
    (is - was).abs() > BATCH * was
}

impl Engine {
    /// The proposals worth showing, best first: each weigh list once, none with next to nothing of a
    /// newcomer while others do without, none that still holds what must go.
    pub(super) fn ranked(
        &self,
        mut proposals: Vec<Proposal>,
        options: &SwapOptions,
    ) -> Vec<Proposal> {
        let mut seen: Vec<Vec<(IngredientKey, i64)>> = vec![];
        proposals.retain(|p| {
            let list = p.weigh_list();
            let again = !p.ratios && seen.contains(&list);
            seen.push(list);
            !again
        });
        if options.excludes() {
            proposals.retain(|p| p.ratios || !options.holds_leaver(&p.after));
        }
        let open = options.newcomers.is_empty();
        let mut keep_if_any = |good: &dyn Fn(&Proposal) -> bool| {
            if proposals.iter().any(good) {
                proposals.retain(good);
            }
        };
        // What swells or shrinks the batch is no answer where another keeps its weight.
        keep_if_any(&|p| p.ratios || !p.strays());
        if open {
            keep_if_any(&|p| !self.trifles(p));
            keep_if_any(&|p| !self.reground(options, p));
            if options.wish.goals.is_empty() {
                keep_if_any(&|p| !self.far_fetched(options, p));
            }
        }
        let must_go = options.excludes();
        proposals.sort_by_cached_key(|p| match open {
            true => (
                self.turns_gritty(p),
                self.watered(options, p),
                self.turns_liquid(p),
                // Who must do without one thing is not helped by another that many must do without.
                must_go && self.burdens(p),
            ),
            // What is named stays as it is said, but for what no longer freezes as it did.
            false => (self.thawed(p).is_some(), false, false, false),
        });
        proposals
    }

    /// Whether a proposal brings less of something bulky than a cook would weigh.
    fn trifles(&self, p: &Proposal) -> bool {
        let batch = p.after.grams();
        let trifle = |c: &Comes| {
            let bulky = self.catalogue.ingredient(c.key).is_of(BULK);
            bulky && c.grams.abs() < USEFUL / 100.0 * batch
        };
        p.comes.len() > 1 && p.jobs.is_empty() && p.comes.iter().any(trifle)
    }

    /// Whether a proposal brings by the numbers what goes in another grind or with other crystal water: who is
    /// out of the one is out of the other.
    fn reground(&self, options: &SwapOptions, p: &Proposal) -> bool {
        let of = |key: IngredientKey| self.catalogue.ingredient(key);
        let mut kinds = self.catalogue.groups.iter().filter(|group| group.siblings);
        let mut kin = |a: &Ingredient, b: &Ingredient| {
            a.family == SUGARS && kinds.any(|group| a.is_of(&group.id) && b.is_of(&group.id))
        };
        let [(leaver, _)] = options.leavers.as_slice() else {
            return false;
        };
        let leaver = of(*leaver);
        let mut brought = p.comes.iter().map(|c| of(c.key));
        p.jobs.is_empty() && brought.any(|new| same_substance(leaver, new) || kin(leaver, new))
    }

    /// Whether a proposal brings what plainly speaks against itself where nobody asked for such a thing.
    fn far_fetched(&self, options: &SwapOptions, p: &Proposal) -> bool {
        let of = |key: IngredientKey| self.catalogue.ingredient(key);
        let against = |new: IngredientKey, out: IngredientKey| {
            let found = swap::drawback(&self.catalogue, of(out), of(new), None);
            found.is_some_and(|(weight, _)| weight >= STRONG)
        };
        let leavers = || options.leavers.iter().map(|(key, _)| *key);
        let mut comes = p.comes.iter().filter(|c| p.before.grams_of(c.key) <= 0.0);
        p.jobs.is_empty() && comes.any(|c| leavers().any(|out| against(c.key, out)))
    }

    /// Whether a proposal brings an allergen that lists bind to declare and the mix did not hold.
    fn burdens(&self, p: &Proposal) -> bool {
        let of = |key: IngredientKey| self.catalogue.ingredient(key);
        let mut rows = p.comes.iter().flat_map(|c| &of(c.key).allergens);
        rows.any(|row| {
            let had = || {
                p.before
                    .lines
                    .iter()
                    .any(|l| of(l.key).holds(&row.substance))
            };
            let declared = self.catalogue.must_be_declared(&row.substance);
            row.presence == Presence::Contains && declared && !had()
        })
    }

    /// Whether a milk goes and only powders, fats and water come: a cook pours another milk first.
    fn watered(&self, options: &SwapOptions, p: &Proposal) -> bool {
        let poured = |key: IngredientKey| {
            let ingredient = self.catalogue.ingredient(key);
            ingredient.is_of(POURED) && ingredient.does("liquid")
        };
        let mut leavers = options.leavers.iter();
        let shifted = p.shifts.iter().filter(|(_, grams)| *grams > 0.0);
        let mut brought = p
            .comes
            .iter()
            .map(|c| c.key)
            .chain(shifted.map(|(k, _)| *k));
        leavers.any(|(key, _)| poured(*key)) && !brought.any(poured)
    }

    /// Whether a proposal leaves the fat of a mix liquid that was part solid.
    fn turns_liquid(&self, p: &Proposal) -> bool {
        let assessor = self.assessor();
        let fat = |f: &Formula| assessor.state(f).dial(Dial::Fat).unwrap_or(0.0);
        if p.ratios || fat(&p.before) < FATTY || fat(&p.after) < FATTY {
            return false;
        }
        let solid = |f: &Formula| FatPhase::of(assessor, f).solid(AGED.0).map(|s| s.percent);
        match (solid(&p.before), solid(&p.after)) {
            (Some(was), Some(is)) => is < AGED.1 * was,
            _ => false,
        }
    }

    /// Whether something that crystallises readily does so after it and did not before.
    fn turns_gritty(&self, p: &Proposal) -> bool {
        let assessor = self.assessor();
        let grits = |formula: &Formula| -> Vec<Solute> {
            let felt = texture::felt(&assessor.state(formula)).into_iter();
            let ready = felt.filter(|c| c.readiness == Readiness::Ready);
            let each = ready.map(|c| c.solute);
            each.filter(|s| *s != Solute::Lactose).collect()
        };
        if p.ratios || !self.freezes(&p.before) {
            return false;
        }
        let was = grits(&p.before);
        grits(&p.after).iter().any(|s| !was.contains(s))
    }

    /// The freezing point before and after, where it moved too far to freeze as before.
    pub(super) fn thawed(&self, p: &Proposal) -> Option<(f64, f64)> {
        if p.ratios || !self.freezes(&p.before) {
            return None;
        }
        let point = |f: &Formula| self.assessor().state(f).dial(Dial::FreezingPoint);
        let (was, is) = (point(&p.before)?, point(&p.after)?);
        ((is - was).abs() > FREEZES_ALIKE).then_some((was, is))
    }

    /// What comes for what, in a line.
    pub(super) fn headline(&self, p: &Proposal) -> String {
        let comes: Vec<(IngredientKey, f64)> = p.comes.iter().map(|c| (c.key, c.grams)).collect();
        match comes.is_empty() {
            true => format!("{} taken out", self.listed_grams(&p.goes)),
            false => format!(
                "{} for {}",
                self.listed_grams(&comes),
                self.listed_grams(&p.goes)
            ),
        }
    }

    /// Amounts in a line.
    pub(super) fn listed_grams(&self, amounts: &[(IngredientKey, f64)]) -> String {
        let each = amounts.iter().map(|(key, grams)| {
            let name = &self.catalogue.ingredient(*key).name;
            format!("{} g {name}", weighed(*grams))
        });
        each.collect::<Vec<_>>().join(" + ")
    }

    /// What a rule brought with what was named, though it was not named.
    pub(super) fn unnamed(&self, p: &Proposal, options: &SwapOptions) -> Vec<&str> {
        let more = p.comes.iter().map(|c| c.key).filter(|key| {
            let water = self.catalogue.ingredient(*key).family == "water";
            !water
                && !options.newcomers.contains(key)
                && !p.before.lines.iter().any(|l| l.key == *key)
        });
        more.map(|key| self.catalogue.ingredient(key).name.as_str())
            .collect()
    }

    /// The state of what a proposal leaves, with that of before.
    pub(super) fn states(&self, p: &Proposal) -> (State, State) {
        let assessor = self.assessor();
        (assessor.state(&p.before), assessor.state(&p.after))
    }

    /// Whether a formula is eaten frozen.
    pub(super) fn freezes(&self, formula: &Formula) -> bool {
        let state = self.assessor().state(formula);
        Dish::of(self.assessor(), formula, &state).kind == DishKind::Frozen
    }
}
