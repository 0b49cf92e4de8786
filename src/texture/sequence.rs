//! The plan of a dish: what is done, in order, with the grams of every line.

use super::heat::{Asked, Cited, Mark, lasting, own};
use super::process::{Step, process};
use crate::condition::{Facts, Mix, Truth, judge};
use crate::formula::{MixView, Part, weighed};
use crate::model::rule::Span;
use crate::model::sequence::{Asks, Heat, Keep, PlanRule, Sequences, Solids};
use crate::model::{DishKind, Expr, Ingredient, IngredientKey, capital};

/// Grams of one line that go in at a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Poured {
    /// Which ingredient.
    pub key: IngredientKey,
    /// Its name.
    pub name: String,
    /// How much, g.
    pub grams: f64,
    /// More of it goes in elsewhere.
    pub part: bool,
}

/// One step of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanStep {
    /// Id of the step in `data/sequences.toml`, or of the caution.
    pub rule: String,
    /// The phase of the work; `stop` and `caution` for what must be said first.
    pub phase: String,
    /// What to do.
    pub text: String,
    /// What goes in.
    pub grams: Vec<Poured>,
    /// Temperature, C.
    pub celsius: Option<f64>,
    /// Time, minutes.
    pub minutes: Option<Span>,
    /// How one knows it is done.
    pub sign: String,
    /// Words of the first line of the plan.
    pub key: String,
    /// Why.
    pub because: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
    /// Further sources: of what asks for the heat, and of the words that stand in many steps.
    pub also: Vec<Cited>,
}

/// Whatever no other step takes.
const REST: &str = "*";
/// Words of a clause: the pot is colder, or hotter, than the step asks.
const COOLER: &str = "cooler";
const HOTTER: &str = "hotter";
/// The phase of what the heat of the pot is.
const HEAT: &str = "heat";
/// Where a warm blend is taken to where nothing in it asks for more, C. Source: common-practice.
const BLENDED: f64 = 50.0;
/// How far above its setting temperature a gel still takes something in, C. Source: common-practice.
const BEFORE_IT_SETS: f64 = 10.0;
/// Where a gel is chilled where no rule and no class says, C. Source: common-practice.
const CHILLED: f64 = 5.0;
/// How far over a fixed heat another need must lie to be a heat of its own, K. Source: common-practice.
const APART: f64 = 2.0;
/// Water a heated gum is dissolved in at least, and gelatin, parts per part. Source: common-practice.
const ROOM: f64 = 20.0;
const ROOM_GELATIN: f64 = 8.0;
const GUMS: &str = "gum-family";
/// Share of water from which an ingredient is a liquid that can carry a heat step, %. Source: common-practice.
const LIQUID: f64 = 45.0;
/// The role that may be warmed in part where no liquid is left to carry the heat.
const WARMED: &str = "fruit";
/// The roles that may be warmed in part where only gelatin is to be melted, best first.
const CARRIERS: [&str; 2] = [WARMED, "cream"];
/// The role of what is poured first.
const POURED: &str = "liquid";
/// What is left of a line that lends nearly all goes with it.
const NEARLY_ALL: f64 = 0.95;
/// The phases of steps that are none of their own: their words stand where `{hold}` and the like do.
const STANDING: [&str; 4] = [HOLD, COOLING, LONG_HEAT, "altitude"];
/// How long a heat is held; what all but boils needs no telling.
const HOLD: &str = "hold";
const HOLD_MARK: &str = "{hold}";
/// From where a mix counts as boiled, C. Source: common-practice.
const BOILED: f64 = 90.0;
/// Stands only after a heat.
const COOLING: &str = "cooling";
/// One long low heat in place of a split one.
const LONG_HEAT: &str = "long heat";
/// From where what was heated counts as cooked and then cooled, C. Source: food-code-3-501-14, 57 to 21 C.
const COOKED: f64 = 57.0;
/// Hottest that a hot blend is told, C. Source: common-practice.
const BLENDED_HOT: f64 = 80.0;
/// How far under what it stands something is stirred in, K. Source: common-practice.
const UNDER_ITS_LIMIT: f64 = 20.0;
/// How near to where a gel takes nothing in any more is too near, K. Source: common-practice.
const NEAR: f64 = 5.0;
/// What is stirred in late is at this, C. Source: common-practice.
const ROOM_WARM: f64 = 20.0;
/// Shares of the water that are frozen as a churn is drawn: the least, the usual and the most, %.
/// Source: web-draw-temperature, over 50 %, as cold as it can be handled (the others from common-practice).
const DRAWN: [f64; 3] = [50.0, 58.0, 67.0];
/// Colder than this nothing is drawn, C. Source: common-practice.
const COLDEST_DRAW: f64 = -16.0;
/// The phase of how a dish is kept.
const STORE: &str = "store";
/// The phase of the rules of what swells cold.
const SWELLS: &str = "hydrate cold";
/// The role of egg.
const EGG: &str = "egg";
/// Heat that a kilogram takes up for each kelvin, kJ: water, fat, all else. Source: memory.
const CAPACITIES: [f64; 3] = [4.18, 2.0, 1.5];
/// The role of what a boiled syrup must dissolve.
const DISSOLVED: &str = "sugar";
/// The family that lends before others of its role.
const PLAIN: &str = "water";
/// How far a syrup may lie over its end point before it is called past it, % solids. Source: common-practice.
const PAST: f64 = 1.0;
/// Water that boiled sugar is dissolved in, parts per part. Source: common-practice.
const WETS: f64 = 0.33;
/// The strongest syrup that is still mixed into a gel or foam, % solids. Source: memory.
const STRONGEST: f64 = 93.0;
/// Share of the water in the pot from which a line is named as carrying the heat.
const CARRIES: f64 = 0.05;

/// A line of the formula with its role.
struct Held<'a> {
    key: IngredientKey,
    ingredient: &'a Ingredient,
    role: &'a str,
    grams: f64,
    /// Where it is poured, by place in the work.
    at: usize,
}

/// A step at work.
struct Work<'a> {
    rule: &'a PlanRule,
    lent: Vec<(usize, f64)>,
    /// Said in place of the text of the rule.
    text: Option<String>,
    heat: Warmth,
}

/// The temperature of a step and all that is said of it.
#[derive(Default)]
struct Warmth {
    celsius: Option<f64>,
    minutes: Option<Span>,
    /// Words after those of the first line.
    key: String,
    who: String,
    range: String,
    /// The end point in solids, in words.
    solids: String,
    /// Said after the text.
    more: String,
    source: Option<Cited>,
    /// The sources of what asks for it.
    asked: Vec<Cited>,
    /// It is done at a temperature nobody knows here.
    lacking: bool,
}

/// The plan of a mix as a dish of a class: every line of its formula, once, in the order of work.
///
/// Of what the law of a place says, only that of `place` is told where one is given.
pub fn sequence(view: &MixView<'_>, class: &str, place: &str) -> Vec<PlanStep> {
    let catalogue = view.assessor.catalogue;
    let known = &catalogue.sequences;
    let kind = match view.kind() {
        DishKind::Frozen => "frozen",
        DishKind::Gel => "gel",
        DishKind::Thickened => "thickened",
        DishKind::Other => "other",
    };
    let merged = view.formula.merged();
    let mut held: Vec<Held<'_>> = merged
        .lines
        .iter()
        .map(|line| {
            let ingredient = catalogue.ingredient(line.key);
            Held {
                key: line.key,
                ingredient,
                role: role(known, view, line.key, class),
                grams: line.grams,
                at: usize::MAX,
            }
        })
        .collect();
    let mut planner = Planner {
        view,
        class,
        place,
        rules: process(view, &view.ingredients()),
        pours: None,
        work: vec![],
    };
    let orders = known.of(&catalogue.classes, class, kind);
    let Some(order) = orders
        .into_iter()
        .find(|order| planner.is_own(&order.asks, &held))
    else {
        return vec![];
    };
    planner.pours = (order.steps.iter().map(|n| &known.steps[*n]))
        .find(|s| s.takes.iter().any(|r| r == POURED));
    let has = |roles: &[String]| held.iter().any(|h| roles.iter().any(|r| r == h.role));
    let asked = |roles: &[String]| roles.is_empty() || has(roles);
    let done = order.steps.iter().map(|n| &known.steps[*n]).filter(|rule| {
        asked(&rule.needs)
            && asked(&rule.with)
            && !has(&rule.without)
            && (rule.about.is_empty() || held.iter().any(|h| concerns(rule, h)))
            && holds(view, &rule.when)
    });
    let done: Vec<&PlanRule> = done.collect();
    planner.work.extend(done.into_iter().map(Work::of));
    for rest in [false, true] {
        for (at, work) in planner.work.iter().enumerate() {
            let takes = |h: &&mut Held<'_>| {
                let named = work.rule.takes.iter().any(|r| r == h.role);
                let star = rest && work.rule.takes.iter().any(|r| r == REST);
                h.at == usize::MAX && (named || star)
            };
            for line in held.iter_mut().filter(takes) {
                line.at = at;
            }
        }
    }
    planner.keep_done(&mut held);
    planner.heats(&mut held);
    planner.lend(&held);
    planner.boils(&held);
    let said = guards(known, &planner, &held);
    let steps = (0..planner.work.len()).filter_map(|at| planner.told(at, &held));
    let kept = kept(known, &planner, kind, &held, &said);
    said.into_iter().chain(steps).chain(kept).collect()
}

/// What an ingredient is to the cook in a dish of a class.
fn role<'a>(known: &'a Sequences, view: &MixView<'_>, key: IngredientKey, class: &str) -> &'a str {
    let ingredient = view.assessor.catalogue.ingredient(key);
    let states = states(view, key);
    let classes = &view.assessor.catalogue.classes;
    let above = std::iter::successors(classes.get(class), |c| classes.get(&c.parent));
    let of: Vec<&str> = (above.take(classes.list.len()))
        .map(|c| c.id.as_str())
        .collect();
    let facts = Facts {
        catalogue: view.assessor.catalogue,
        this: Some(ingredient),
        newcomer: Some(ingredient),
        leaver: None,
        mix: Some(view),
    };
    let found = known.places.iter().find(|place| {
        let open = place.ids.is_empty() && place.families.is_empty();
        let named = place.ids.contains(&ingredient.id)
            || place.families.contains(&ingredient.family)
            || open;
        let here =
            place.classes.is_empty() || place.classes.iter().any(|c| of.contains(&c.as_str()));
        let noted = place.noted.is_empty() || place.noted_in(&states).is_some();
        named
            && here
            && noted
            && (place.when == Expr::Always || judge(&place.when, &facts) == Truth::Yes)
    });
    found.map_or("", |place| place.role.as_str())
}

/// What was said of the lines of an ingredient as they were read.
fn states(view: &MixView<'_>, key: IngredientKey) -> String {
    let assumed = view.formula.assumed.iter().filter(|a| a.key == key);
    let said = assumed.flat_map(|a| std::iter::once(&a.typed).chain(&a.said));
    said.map(String::as_str).collect::<Vec<_>>().join("; ")
}

/// Whether a line is of the groups that a step is about.
fn concerns(rule: &PlanRule, line: &Held<'_>) -> bool {
    let asked = rule.needs.is_empty() || rule.needs.iter().any(|r| r == line.role);
    let out = |group: &String| {
        group
            .strip_prefix('-')
            .is_some_and(|g| line.ingredient.is_of(g))
    };
    let about = |group: &String| line.ingredient.is_of(group);
    asked && rule.about.iter().any(about) && !rule.about.iter().any(out)
}

/// Whether a condition holds of this mix.
fn holds(view: &MixView<'_>, when: &Expr) -> bool {
    let facts = Facts::of_mix(view.assessor.catalogue, view);
    judge(when, &facts) == Truth::Yes
}

impl<'a> Work<'a> {
    fn of(rule: &'a PlanRule) -> Self {
        Work {
            rule,
            lent: vec![],
            text: None,
            heat: Warmth::default(),
        }
    }
}

/// Works the plan of one mix out.
struct Planner<'a, 'v> {
    view: &'a MixView<'v>,
    class: &'a str,
    /// The jurisdiction that was chosen; empty where none was.
    place: &'a str,
    rules: Vec<Step>,
    /// The step that pours the liquids of this dish.
    pours: Option<&'a PlanRule>,
    work: Vec<Work<'a>>,
}

impl<'a> Planner<'a, '_> {
    /// Leaves only the steps at which something goes in or is done.
    fn keep_done(&mut self, held: &mut [Held<'_>]) {
        let mut at = 0;
        while at < self.work.len() {
            let rule = self.work[at].rule;
            let idle = !rule.takes.is_empty() && !rule.always && held.iter().all(|h| h.at != at);
            let follows =
                rule.after.is_empty() || self.work.iter().any(|w| w.rule.id == rule.after);
            if idle || !follows {
                self.work.remove(at);
                for line in held.iter_mut().filter(|h| h.at > at && h.at != usize::MAX) {
                    line.at -= 1;
                }
            } else {
                at += 1;
            }
        }
    }

    /// Whether an order of work is that of this formula.
    fn is_own(&self, asks: &Asks, held: &[Held<'a>]) -> bool {
        let has = |roles: &[String]| held.iter().any(|h| roles.iter().any(|r| r == h.role));
        let weighs = |role: &str| -> f64 {
            let of = held.iter().filter(|h| h.role == role);
            of.map(|h| h.grams).sum()
        };
        let (needs, heavier) = (&asks.needs, &asks.outweighs);
        (needs.is_empty() || has(needs))
            && !has(&asks.without)
            && (heavier.iter()).all(|(more, less)| weighs(more) > weighs(less))
            && holds(self.view, &asks.when)
            && !(asks.cold && self.asked_of(held.iter()).hottest().is_some())
    }

    /// What is in the pot at a step.
    fn pot<'h>(&self, held: &'h [Held<'a>], at: usize) -> Vec<&'h Held<'a>> {
        let within = |h: &&Held<'_>| h.at <= at && !self.work[h.at].rule.apart;
        held.iter().filter(within).collect()
    }

    fn asked(&self, held: &[Held<'a>], at: usize) -> Asked {
        self.asked_of(self.pot(held, at).into_iter())
    }

    /// What lines together ask.
    fn asked_of<'h>(&self, lines: impl Iterator<Item = &'h Held<'a>>) -> Asked
    where
        'a: 'h,
    {
        let catalogue = self.view.assessor.catalogue;
        let parts = lines.flat_map(|h| catalogue.with_parts(h.ingredient));
        let mut parts: Vec<&Ingredient> = parts.collect();
        parts.dedup_by_key(|i| i.id.clone());
        Asked::of(&self.rules, &parts)
    }

    /// Works every temperature out, with one heat or two.
    fn heats(&mut self, held: &mut [Held<'a>]) {
        let mut at = 0;
        while at < self.work.len() {
            let rule = self.work[at].rule;
            self.work[at].heat = match rule.heat {
                None => Warmth::default(),
                Some(Heat::Fixed(celsius)) => Warmth {
                    celsius: Some(celsius),
                    ..Warmth::default()
                },
                Some(Heat::Asked) => {
                    let before = self.work.len();
                    self.asked_heat(held, at);
                    // What was put in before or after it is worked out already.
                    at += 1 + self.work.len() - before;
                    continue;
                }
                Some(Heat::Activation) => Warmth {
                    celsius: Some(activation(held, at, &self.rules)),
                    ..Warmth::default()
                },
                Some(Heat::End) => self.end(),
                Some(Heat::Serving) => self.serving(),
                Some(Heat::Draw) => self.draw(),
                Some(Heat::Ageing) => self.resting(None),
                Some(Heat::Setting) => self.resting(Some(CHILLED)),
                Some(Heat::AboveSet) => self.above_set(held, at),
                Some(Heat::Swelling) => self.swelling(held, at),
            };
            let kept = self.work[at].heat.celsius;
            if let (HEAT, true, Some(kept)) = (rule.phase.as_str(), rule.takes.is_empty(), kept)
                && !rule.cooks
                && self.first_heat(held, at, kept)
            {
                at += 1;
            }
            at += 1;
        }
    }

    /// The heat that the ingredients ask, in one step or two.
    fn asked_heat(&mut self, held: &mut [Held<'a>], at: usize) {
        let asked = self.asked(held, at);
        let rule = self.work[at].rule;
        let Some(hottest) = asked.hottest() else {
            self.work[at].heat.lacking = rule.none.is_empty();
            self.bathed(held, at);
            let at = self.place_of(rule);
            self.work[at].heat.celsius = self.melts_gelatin(held, at);
            let none = (rule.none.clone(), asked.limit);
            self.work[at].text = Some(match none {
                (none, Some(limit)) => {
                    format!("{none} Not above {:.0} C ({}).", limit.celsius, limit.who)
                }
                (none, None) => none,
            });
            return;
        };
        let sets: Vec<&Mark> = (asked.needs.iter())
            .filter(|n| n.celsius == hottest)
            .collect();
        let who = sets.iter().map(|n| n.who.as_str()).collect::<Vec<_>>();
        let mut heat = Warmth {
            celsius: Some(hottest),
            key: format!(", set by {}", who.join(", ")),
            ..Warmth::default()
        };
        heat.who = who.join(", ");
        heat.asked = asked.cited();
        let Some(limit) = asked.conflict().cloned() else {
            let top = match &asked.limit {
                Some(limit) => format!(", not above {:.0} C ({})", limit.celsius, limit.who),
                None => String::new(),
            };
            heat.key += &top;
            heat.more = asked.holds();
            self.work[at].heat = heat;
            self.carried(held, at, &asked);
            return;
        };
        // No one heat serves: what must not be so hot comes after it.
        let moved = |h: &Held<'_>| limit.names.contains(&h.ingredient.name);
        for line in held.iter_mut().filter(|h| h.at != usize::MAX && h.at > at) {
            line.at += 1;
        }
        let above = asked.needs.iter().filter(|n| n.celsius > limit.celsius);
        let above: Vec<&str> = above.map(|n| n.who.as_str()).collect();
        heat.more = format!(
            " No one heat serves: {} asks for this, {} stands {:.0} C at most and comes after it.",
            above.join(", "),
            limit.who,
            limit.celsius
        );
        heat.key += &format!("; a second heat, below {:.0} C", limit.celsius);
        let eggs = |need: &&Mark| {
            let egg = |h: &Held<'_>| h.role == EGG && need.names.contains(&h.ingredient.name);
            held.iter().any(egg)
        };
        let hotter = asked.needs.iter().filter(|n| n.celsius > limit.celsius);
        let more = match hotter.clone().all(|n| eggs(&n)) {
            true => format!("{{{LONG_HEAT}}}"),
            false => String::new(),
        };
        let own = asked
            .needs
            .iter()
            .filter(|n| n.names.iter().any(|n| limit.names.contains(n)));
        let own = own.map(|n| n.celsius).reduce(f64::max);
        heat.more += &more;
        let mut second = Work::of(rule);
        let back = own.unwrap_or(limit.celsius).min(limit.celsius);
        second.heat.celsius = Some(back);
        second.heat.lacking = false;
        second.text = Some(match own {
            Some(_) => format!(
                "Let it cool below {:.0} C, whisk in and bring back to {back:.0} C, not above {:.0} C.",
                limit.celsius.min(back) - 10.0,
                limit.celsius
            ),
            None => format!(
                "Let it cool below {:.0} C, then shear in; whatever follows stays below {:.0} C.",
                limit.celsius - UNDER_ITS_LIMIT,
                limit.celsius
            ),
        });
        for line in held.iter_mut().filter(|h| h.at <= at && moved(h)) {
            line.at = at + 1;
        }
        self.work.insert(at + 1, second);
        self.work[at].heat = heat;
        let rest = self.asked(held, at);
        self.carried(held, at, &rest);
    }

    /// A heat of its own before one that must not be so hot; whether one came.
    fn first_heat(&mut self, held: &mut [Held<'a>], at: usize, kept: f64) -> bool {
        let asked = self.asked(held, at);
        let above: Vec<&Mark> = (asked.needs.iter())
            .filter(|n| n.celsius > kept + APART)
            .collect();
        let Some(hottest) = above.first().map(|n| n.celsius) else {
            return false;
        };
        let each: Vec<String> = (above.iter())
            .map(|n| format!("{} ({:.0} C)", n.who, n.celsius))
            .collect();
        let mut first = Work::of(self.work[at].rule);
        first.heat.celsius = Some(hottest);
        first.text = Some(format!(
            "No one heat serves: before the egg goes in, heat {} in the liquid, then let it cool below {:.0} C.",
            each.join(", "),
            kept - 20.0
        ));
        for line in held.iter_mut().filter(|h| h.at != usize::MAX && h.at >= at) {
            line.at += 1;
        }
        // The egg joins after it.
        for line in held.iter_mut().filter(|h| h.role == "egg" && h.at < at) {
            line.at = at + 1;
        }
        self.work.insert(at, first);
        true
    }

    /// Which liquid carries the heat, where most of the water goes in cold; what to do where none can.
    fn carried(&mut self, held: &mut [Held<'a>], at: usize, asked: &Asked) {
        let water = |h: &Held<'_>| {
            let profile = self.view.assessor.profile(h.key);
            profile.number(Part::Water)
        };
        let hot = |h: &&Held<'_>| h.at <= at && !self.work[h.at].rule.apart;
        let (warm, cold): (Vec<&Held<'_>>, Vec<&Held<'_>>) = held.iter().partition(hot);
        let sum =
            |lines: &[&Held<'_>]| -> f64 { lines.iter().map(|h| h.grams * water(h) / 100.0).sum() };
        let (held_cold, held_hot) = (sum(&cold), sum(&warm));
        if held_cold <= held_hot {
            return;
        }
        let who: Vec<String> = asked.needs.iter().flat_map(|n| n.names.clone()).collect();
        let room = |h: &&Held<'_>| match who.contains(&h.ingredient.name) {
            true if h.ingredient.value("bloom").is_some() => ROOM_GELATIN * h.grams,
            true if h.ingredient.is_of(GUMS) => ROOM * h.grams,
            _ => 0.0,
        };
        let room: f64 = warm.iter().map(room).sum();
        let liquids: Vec<String> = (warm.iter())
            .filter(|h| water(h) >= LIQUID && !who.contains(&h.ingredient.name))
            .filter(|h| h.grams * water(h) / 100.0 >= CARRIES * held_hot)
            .map(|h| format!("{} g {}", weighed(h.grams), h.ingredient.name))
            .collect();
        if !liquids.is_empty() && held_hot >= room {
            self.work[at].heat.more += &format!(" The {} carries it.", liquids.join(" + "));
            return;
        }
        let lack = room - held_hot;
        let warmed = (0..held.len())
            .filter(|n| held[*n].at > at && held[*n].role == WARMED && water(&held[*n]) >= LIQUID)
            .max_by(|a, b| held[*a].grams.total_cmp(&held[*b].grams));
        match warmed.filter(|n| held[*n].grams * water(&held[*n]) / 100.0 >= lack) {
            Some(n) => {
                let grams = (lack * 100.0 / water(&held[n])).max(held[n].grams / 4.0);
                let grams = grams.min(held[n].grams);
                let name = &held[n].ingredient.name;
                self.work[at].heat.more += &format!(" So much of the {name} carries it.");
                let grams = round(grams).min(held[n].grams);
                self.pour_first(held, at, (n, grams));
            }
            None => {
                self.work[at].heat.more += &format!(
                    " {}: put {} g of water or milk in place of as much of what is not heated and heat {} in that, or take a gum that hydrates cold.",
                    match liquids.is_empty() {
                        true => "No liquid that may be heated is left to carry it".to_string(),
                        false => format!("The {} is too little to carry it", liquids.join(" + ")),
                    },
                    weighed(if liquids.is_empty() { room } else { lack }),
                    who.join(", ")
                );
            }
        }
    }

    /// Where a step stands in the work.
    fn place_of(&self, rule: &PlanRule) -> usize {
        let found = self.work.iter().position(|w| std::ptr::eq(w.rule, rule));
        found.unwrap_or(self.work.len() - 1)
    }

    /// Where only gelatin is to be melted and the pot is dry, some of the fruit is warmed for it.
    fn bathed(&mut self, held: &mut [Held<'a>], at: usize) {
        let water = |h: &Held<'_>| self.view.assessor.profile(h.key).number(Part::Water);
        let melts = |h: &&Held<'_>| h.ingredient.value("bloom").is_some();
        let bloomed: f64 = held.iter().filter(melts).map(|h| h.grams).sum();
        let pot = self.pot(held, at).into_iter();
        let wet: f64 = pot.map(|h| h.grams * water(h) / 100.0).sum();
        if bloomed <= 0.0 || wet >= ROOM_GELATIN * bloomed {
            return;
        }
        let warmed = CARRIERS.iter().find_map(|role| {
            (0..held.len())
                .filter(|n| {
                    held[*n].at > at && held[*n].role == *role && water(&held[*n]) >= LIQUID
                })
                .max_by(|a, b| held[*a].grams.total_cmp(&held[*b].grams))
        });
        if let Some(n) = warmed {
            let least = ROOM_GELATIN * bloomed;
            let grams = least.max(held[n].grams / 4.0).min(held[n].grams);
            self.pour_first(held, at, (n, round(grams).min(held[n].grams)));
        }
    }

    /// Where the next step melts gelatin, C.
    fn melts_gelatin(&self, held: &[Held<'_>], at: usize) -> Option<f64> {
        let bloomed = |h: &&Held<'_>| h.ingredient.value("bloom").is_some();
        let roles: Vec<&str> = held.iter().filter(bloomed).map(|h| h.role).collect();
        let melts = |w: &&Work<'_>| {
            w.rule.takes.is_empty() && w.rule.needs.iter().any(|r| roles.contains(&r.as_str()))
        };
        match self.work[at + 1..].iter().find(melts)?.rule.heat {
            Some(Heat::Fixed(celsius)) => Some(celsius),
            _ => None,
        }
    }

    /// Pours a part of a line before all else that goes into the pot.
    fn pour_first(&mut self, held: &mut [Held<'a>], at: usize, part: (usize, f64)) {
        let into_pot = |w: &Work<'_>| !w.rule.apart;
        let first = self.work.iter().position(into_pot).unwrap_or(at);
        let Some(pours) = self.pours else {
            self.work[at].lent.push(part);
            return;
        };
        let mut work = Work::of(pours);
        work.lent.push(part);
        for line in held.iter_mut().filter(|h| h.at >= first) {
            line.at += 1;
        }
        self.work.insert(first, work);
    }

    fn end(&self) -> Warmth {
        let classes = &self.view.assessor.catalogue.classes;
        let ranges = classes.ranges_of(self.class, "end_temperature");
        let Some(range) = ranges.first() else {
            return Warmth::default();
        };
        let middle = |(low, high): (f64, f64)| (low + high) / 2.0;
        let celsius = range.typical.or(range.low.zip(range.high).map(middle));
        Warmth {
            celsius: celsius.or(range.low).or(range.high),
            range: match range.low.zip(range.high) {
                Some((low, high)) => format!(" ({low:.0} to {high:.0} C)"),
                None => String::new(),
            },
            source: Some((range.source.clone(), range.locator.clone())),
            ..Warmth::default()
        }
    }

    fn serving(&self) -> Warmth {
        let class = self.view.assessor.catalogue.classes.get(self.class);
        let celsius = class.and_then(|class| class.serving_celsius);
        Warmth {
            celsius,
            lacking: celsius.is_none(),
            ..Warmth::default()
        }
    }

    /// Where a churn is drawn: more than half of the water of this mix is frozen there.
    fn draw(&self) -> Warmth {
        let [half, usual, most] = DRAWN.map(|share| self.frozen_at(share));
        Warmth {
            celsius: usual,
            range: match half.zip(most) {
                Some((half, most)) => format!(
                    " (half of its water is frozen at {half:.0} C, two thirds at {most:.0} C)"
                ),
                None => String::new(),
            },
            ..Warmth::default()
        }
    }

    /// Where a share of the water of this mix is frozen, C.
    fn frozen_at(&self, percent: f64) -> Option<f64> {
        let (mut cold, mut warm) = (COLDEST_DRAW, 0.0);
        if self.view.state.frozen(cold)? < percent {
            return None;
        }
        while warm - cold > 0.01 {
            let middle = (warm + cold) / 2.0;
            match self.view.state.frozen(middle)? < percent {
                true => warm = middle,
                false => cold = middle,
            }
        }
        Some(cold)
    }

    /// The rule of ageing or setting that takes longest.
    fn resting(&self, otherwise: Option<f64>) -> Warmth {
        let steps = self.rules.iter();
        let steps = steps.filter(|s| s.phase == "age" && s.celsius.is_some());
        let least = |s: &&Step| s.minutes.map_or(0.0, |m| m.low);
        let step = steps.rev().max_by(|a, b| least(a).total_cmp(&least(b)));
        let celsius = step.and_then(|s| s.celsius).map(|c| c.typical);
        Warmth {
            celsius: celsius.or(otherwise),
            minutes: step.and_then(|s| s.minutes),
            lacking: celsius.or(otherwise).is_none(),
            source: step.map(|s| (s.source.clone(), s.locator.clone())),
            ..Warmth::default()
        }
    }

    /// The rest in which what swells cold takes up its water, where no heat does it.
    fn swelling(&self, held: &[Held<'a>], at: usize) -> Warmth {
        let through = self
            .work
            .iter()
            .rposition(|w| w.rule.heat == Some(Heat::Asked));
        let heated = self.asked(held, through.unwrap_or(at).max(at)).hottest();
        let roles = &self.work[at].rule.needs;
        let within = |name: &&String| {
            let mut swells = held
                .iter()
                .filter(|h| h.at <= at && roles.iter().any(|r| r == h.role));
            swells.any(|h| h.ingredient.name == **name)
        };
        let steps = self.rules.iter().filter(|s| s.phase == SWELLS);
        let steps = steps.filter_map(|s| Some((s.ingredients.iter().find(within)?, s.minutes?)));
        let slowest = steps.max_by(|a, b| a.1.low.total_cmp(&b.1.low));
        Warmth {
            lacking: slowest.is_none() || heated.is_some(),
            who: slowest.map_or(String::new(), |(who, _)| who.clone()),
            minutes: slowest.map(|(_, minutes)| minutes),
            ..Warmth::default()
        }
    }

    /// What a pot comes to when the lines of a step are stirred in at a temperature, C.
    fn joined(&self, held: &[Held<'_>], at: usize, hot: f64, cold: f64) -> f64 {
        let takes_up = |h: &Held<'_>| {
            let profile = self.view.assessor.profile(h.key);
            let water = profile.number(Part::Water) / 100.0;
            let fat = profile.number(Part::Fat) / 100.0;
            let [of_water, of_fat, of_rest] = CAPACITIES;
            h.grams * (water * of_water + fat * of_fat + (1.0 - water - fat).max(0.0) * of_rest)
        };
        let sum = |within: &dyn Fn(usize) -> bool| -> f64 {
            let lines = held.iter().filter(|h| within(h.at));
            lines.map(takes_up).sum()
        };
        let pot = sum(&|n| n < at && !self.work[n].rule.apart);
        let joins = sum(&|n| n == at);
        (pot * hot + joins * cold) / (pot + joins).max(1e-9)
    }

    /// How warm what is stirred in must be, in words, where the pot would set around it.
    fn joins(&self, held: &[Held<'_>], at: usize, least: f64) -> String {
        let heats = self.work[..at].iter().rev().find_map(|w| w.heat.celsius);
        let Some(hot) = heats.filter(|hot| *hot > least) else {
            return String::new();
        };
        let comes = self.joined(held, at, hot, ROOM_WARM);
        if held.iter().all(|h| h.at != at) || comes >= hot - NEAR {
            return String::new();
        }
        let warmer = self.joined(held, at, hot, ROOM_WARM + 1.0) - comes;
        let needed = ROOM_WARM + (least + NEAR - comes) / warmer.max(1e-9);
        match comes < least + NEAR {
            true => format!(
                " Stirred in at {ROOM_WARM:.0} C it takes the mix from {hot:.0} to about {comes:.0} C: warm it to {:.0} C first.",
                (needed / 5.0).ceil() * 5.0
            ),
            false => format!(
                " Stirred in at {ROOM_WARM:.0} C it takes the mix from {hot:.0} to about {comes:.0} C."
            ),
        }
    }

    fn above_set(&self, held: &[Held<'_>], at: usize) -> Warmth {
        let agents = held
            .iter()
            .filter(|h| h.ingredient.family == "gelling-agent");
        let sets = agents.filter_map(|h| {
            let (_, highest) = h.ingredient.value("setting_temperature")?.range()?;
            Some((h.ingredient.name.clone(), highest))
        });
        let hottest = sets.max_by(|a, b| a.1.total_cmp(&b.1));
        let least = hottest.as_ref().map(|(_, sets)| sets + BEFORE_IT_SETS);
        Warmth {
            celsius: least,
            more: least.map_or(String::new(), |least| self.joins(held, at, least)),
            who: hottest.map_or(String::new(), |(who, _)| who),
            ..Warmth::default()
        }
    }

    /// Takes from other lines what goes in with those of a step.
    fn lend(&mut self, held: &[Held<'_>]) {
        let mut left: Vec<f64> = held.iter().map(|h| h.grams).collect();
        for (n, grams) in self.work.iter().flat_map(|w| &w.lent) {
            left[*n] -= grams;
        }
        for at in 0..self.work.len() {
            let Some(borrow) = &self.work[at].rule.borrow else {
                continue;
            };
            let counted = |h: &&Held<'_>| {
                let of = borrow.of.is_empty() || borrow.of.iter().any(|r| r == h.role);
                let here = h.at == at && borrow.by.is_empty() && of;
                here || borrow.by.iter().any(|r| r == h.role)
            };
            let taken: f64 = held.iter().filter(counted).map(|h| h.grams).sum();
            let dissolves = held.iter().filter(|h| h.role == DISSOLVED);
            let kept = borrow.keep * dissolves.map(|h| h.grams).sum::<f64>();
            let (mut wanted, mut least) = (borrow.parts.typical * taken, borrow.parts.low * taken);
            let lends = |n: &usize| {
                let role = &held[*n].role;
                held[*n].at != at && borrow.from.iter().any(|from| from == role)
            };
            let there: f64 = (0..held.len()).filter(lends).map(|n| left[n]).sum();
            if borrow.enough && there < least {
                continue;
            }
            for role in &borrow.from {
                let lenders = (0..held.len()).filter(|n| held[*n].role == *role);
                let lenders = lenders.filter(|n| held[*n].at != at && left[*n] > 0.0);
                let plain = |n: usize| held[n].ingredient.family == PLAIN && left[n] >= least;
                let largest = lenders.max_by(|a, b| {
                    let (a, b) = (*a, *b);
                    plain(a).cmp(&plain(b)).then(left[a].total_cmp(&left[b]))
                });
                let Some(n) = largest.filter(|_| least > 1e-9) else {
                    continue;
                };
                let free = (left[n] - kept).max(least.min(left[n]));
                let grams = match wanted >= NEARLY_ALL * left[n] && kept <= 0.0 {
                    true => left[n],
                    false => round(wanted.min(free)).min(left[n]),
                };
                left[n] -= grams;
                (wanted, least) = (wanted - grams, least - grams);
                self.work[at].lent.push((n, grams));
            }
        }
    }

    /// Works out what each boil starts from and ends at, and says where it is past its end already.
    fn boils(&mut self, held: &[Held<'_>]) {
        for at in 0..self.work.len() {
            if let Some(read) = self.work[at].rule.solids {
                self.boil(held, at, read);
            }
        }
    }

    fn boil(&mut self, held: &[Held<'_>], at: usize, read: Solids) {
        let lent = |n: usize, in_pot: bool| -> f64 {
            let works = self.work.iter().enumerate();
            let works = works.filter(|(of, w)| (*of <= at && !w.rule.apart) == in_pot);
            let lent = works.flat_map(|(_, w)| &w.lent).filter(|(of, _)| *of == n);
            lent.map(|(_, grams)| grams).sum()
        };
        let (mut pan, mut later, mut whole) = ((0.0, 0.0), (0.0, 0.0), 0.0);
        for (n, line) in held.iter().enumerate() {
            let profile = self.view.assessor.profile(line.key);
            let water = profile.number(Part::Water) / 100.0;
            let dry = (1.0 - water - profile.number(Part::Fat) / 100.0).max(0.0);
            let inside = match line.at <= at && !self.work[line.at].rule.apart {
                true => line.grams - lent(n, false),
                false => lent(n, true),
            };
            let outside = line.grams - inside;
            pan = (pan.0 + inside * water, pan.1 + inside * dry);
            whole += inside;
            later = (later.0 + outside * water, later.1 + outside * dry);
        }
        let (water, dry) = pan;
        if water + dry <= 0.0 {
            return;
        }
        let starts = 100.0 * dry / (water + dry);
        let known = &self.view.assessor.catalogue.sequences;
        let classes = &self.view.assessor.catalogue.classes;
        let ranges = classes.ranges_of(self.class, "soluble_solids");
        let range = ranges.first();
        // Water left in the pan where the finished mass holds so many per cent.
        let left = |solids: f64| match read {
            Solids::Pan => dry * (100.0 - solids) / solids,
            Solids::Finished => (dry + later.1) * (100.0 - solids) / solids - later.0,
        };
        let end = match (
            range.and_then(|r| r.low.zip(r.high)),
            self.work[at].heat.celsius,
        ) {
            (Some((low, high)), _) => Some((low, range.and_then(|r| r.typical).unwrap_or(high))),
            (None, Some(celsius)) => known.solids_at(celsius).map(|solids| (solids, solids)),
            (None, None) => None,
        };
        let Some((low, usual)) = end else {
            return;
        };
        let heat = &mut self.work[at].heat;
        let pan_at = |solids: f64| 100.0 * dry / (dry + left(solids));
        if starts > pan_at(usual) + PAST && left(usual) > 0.0 {
            let more = WETS * dry - water;
            heat.celsius = None;
            heat.range = String::new();
            heat.key = format!(
                "the pan holds {starts:.0} % solids as weighed, past its end point of {:.0} %",
                pan_at(usual)
            );
            self.work[at].text = Some(format!(
                "Bring to the boil only until clear: as weighed the pan holds about {starts:.0} % solids, past the {:.0} % asked.{}",
                pan_at(usual),
                match more >= 1.0 {
                    true => format!(" To boil it take {more:.0} g more water, which steams off."),
                    false => String::new(),
                }
            ));
            return;
        }
        let weighs = whole - (water - left(usual));
        match (read, range.is_some()) {
            (Solids::Pan, true) => {
                let high = range.and_then(|r| r.high).unwrap_or(usual);
                let span = match high - low < PAST {
                    true => format!("{low:.0}"),
                    false => format!("{low:.0} to {high:.0}"),
                };
                heat.solids =
                    format!(", {span} % soluble solids; the pan then weighs about {weighs:.0} g");
            }
            (Solids::Pan, false) => {}
            (Solids::Finished, _) => {
                let first = pan_at(low).min(STRONGEST);
                let last = match left(usual) > 0.0 {
                    true => pan_at(usual).min(STRONGEST),
                    false => STRONGEST,
                };
                heat.celsius = known.boils_at(first);
                let boils = known.boils_at(first).zip(known.boils_at(last));
                let boils = boils.map_or(String::new(), |(a, b)| {
                    format!(" (about {a:.0} to {b:.0} C)")
                });
                let finished = |pan: f64| {
                    let kept = dry * (100.0 - pan) / pan;
                    100.0 * (dry + later.1) / (dry + later.1 + kept + later.0)
                };
                heat.solids = format!(
                    " to {first:.0} to {last:.0} % solids in the pan{boils}; with what goes in after it the finished mass then holds {:.0} to {:.0} %",
                    finished(first),
                    finished(last)
                );
            }
        }
    }

    /// The steps of a phase whose words stand in others, where they hold: those of no place, and those of
    /// the place that was chosen, without one of that whose law is told by itself.
    fn standing(&self, phase: &str) -> impl Iterator<Item = &'a PlanRule> {
        let known = &self.view.assessor.catalogue.sequences;
        let steps = known.steps.iter().filter(move |s| s.phase == phase);
        let told = match self.place {
            "" => known.law.as_str(),
            place => place,
        };
        let here = move |s: &&PlanRule| s.place.is_empty() || s.place == told;
        steps
            .filter(here)
            .filter(|step| holds(self.view, &step.when))
    }

    /// Whether what goes through a step is cooked, or is to be heat-treated by a local code.
    fn is_hot(&self, work: &Work<'_>) -> bool {
        let heated = work.heat.celsius.is_some_and(|celsius| celsius >= COOKED);
        let treated = (work.text.as_ref()).is_some_and(|text| text.contains(HOLD_MARK))
            && self.standing(HOLD).next().is_some();
        !work.rule.apart && work.rule.phase == HEAT && (work.rule.cooks || heated || treated)
    }

    /// What stands in the pot just before a step, C.
    fn before(&self, at: usize) -> f64 {
        let earlier = self.work[..at].iter().rev().filter(|w| !w.rule.apart);
        earlier
            .filter_map(|w| w.heat.celsius)
            .next()
            .unwrap_or(ROOM_WARM)
    }

    /// What the clauses of the text of a step ask about.
    fn here(&self, at: usize, held: &[Held<'a>]) -> Here<'a> {
        let celsius = self.work[at].heat.celsius;
        let before = self.before(at);
        Here {
            roles: (held.iter().filter(|h| h.at == at))
                .chain(self.work[at].lent.iter().map(|(n, _)| &held[*n]))
                .map(|h| h.role)
                .collect(),
            all: held.iter().map(|h| h.role).collect(),
            cooler: celsius.is_some_and(|celsius| before < celsius - APART),
            hotter: celsius.is_some_and(|celsius| before > celsius + APART),
        }
    }

    /// A step in words, with its grams.
    fn told(&self, at: usize, held: &[Held<'_>]) -> Option<PlanStep> {
        let work = &self.work[at];
        let (rule, heat) = (work.rule, &work.heat);
        let lent_of = |n: usize| -> f64 {
            let lent = self.work.iter().flat_map(|w| &w.lent);
            lent.filter(|(of, _)| *of == n)
                .map(|(_, grams)| grams)
                .sum()
        };
        let poured = |n: usize, grams: f64| Poured {
            key: held[n].key,
            name: held[n].ingredient.name.clone(),
            grams,
            part: (held[n].grams - grams).abs() > 1e-9,
        };
        let own = (0..held.len()).filter(|n| held[*n].at == at);
        let own = own.map(|n| poured(n, held[n].grams - lent_of(n)));
        let own: Vec<Poured> = own.filter(|p| p.grams > 1e-9).collect();
        let lent = work.lent.iter().map(|(n, grams)| poured(*n, *grams));
        let lacks = rule.borrow.is_some() && work.lent.is_empty();
        let bare = rule.heat.is_some() && heat.celsius.is_none();
        let text = match &work.text {
            Some(text) => text,
            None if (lacks || bare) && !rule.none.is_empty() => &rule.none,
            None => &rule.text,
        };
        let here = self.here(at, held);
        let text = &here.text(text);
        let cooked = self.work[..at].iter().any(|work| self.is_hot(work));
        let sign = match rule.heat == Some(Heat::Asked) && heat.celsius.is_none() {
            true => String::new(),
            false => here.text(&rule.sign),
        };
        let mut also = heat.asked.clone();
        // What is said of a heat stands before what the law says of it.
        let (words, law) = text.split_at(text.find(HOLD_MARK).unwrap_or(text.len()));
        let (mut text, mut sign) = (format!("{words}{}{law}", heat.more), sign);
        for phase in STANDING {
            let mark = format!("{{{phase}}}");
            if !text.contains(&mark) && !sign.contains(&mark) {
                continue;
            }
            let rules = self.standing(phase);
            let boiled = heat.celsius.is_some_and(|celsius| celsius >= BOILED);
            let stands = |_: &&PlanRule| match phase {
                COOLING => cooked,
                HOLD => !boiled,
                _ => true,
            };
            let rules: Vec<&PlanRule> = rules.filter(stands).collect();
            let words: String = rules.iter().map(|rule| format!(" {}", rule.text)).collect();
            (text, sign) = (text.replace(&mark, &words), sign.replace(&mark, &words));
            also.extend(rules.iter().map(|r| (r.source.clone(), r.locator.clone())));
        }
        let top = self.asked(held, at).limit.map(|limit| limit.celsius);
        let top = top.map_or(BLENDED_HOT, |celsius| celsius.min(BLENDED_HOT));
        let later = held.iter().any(|h| h.at > at && h.at != usize::MAX);
        let about = held
            .iter()
            .filter(|h| !rule.about.is_empty() && concerns(rule, h));
        let about: Vec<&str> = about.map(|h| h.ingredient.name.as_str()).collect();
        let fill = |text: &str| {
            let celsius = heat.celsius.map_or("?".into(), |c| format!("{c:.0}"));
            let all = if later {
                "what is in the pot"
            } else {
                "the whole mix"
            };
            let time = heat
                .minutes
                .map_or(String::new(), |m| format!(", {}", lasting(m)));
            text.replace("{c}", &celsius)
                .replace("{about}", &about.join(", "))
                .replace("{all}", all)
                .replace("{time}", &time)
                .replace("{who}", &heat.who)
                .replace("{range}", &heat.range)
                .replace("{solids}", &heat.solids)
                .replace("{top}", &format!("{top:.0}"))
        };
        // A step that was worked out anew has words of its own for the first line.
        let said = match rule.solids.is_some() {
            true => &heat.key,
            false => &String::new(),
        };
        let grams: Vec<Poured> = own.into_iter().chain(lent).collect();
        let idle = grams.is_empty() && !rule.takes.is_empty() && !rule.always;
        if text.is_empty() || idle || (grams.is_empty() && heat.lacking) {
            return None;
        }
        let (source, locator) = match (&heat.source, rule.source.as_str()) {
            (Some(found), _) => found.clone(),
            (None, "class") => ("common-practice".into(), String::new()),
            _ => (rule.source.clone(), rule.locator.clone()),
        };
        Some(PlanStep {
            rule: rule.id.clone(),
            phase: rule.phase.clone(),
            text: capital(&fill(&text)),
            grams,
            celsius: heat.celsius,
            minutes: rule.minutes.or(heat.minutes),
            sign,
            key: match work.text.is_some() || rule.key.is_empty() {
                true => said.clone(),
                false if bare && rule.key.contains("{c}") => match heat.solids.is_empty() {
                    true => String::new(),
                    false => format!("boil down{}", heat.solids),
                },
                false => format!("{}{}", fill(&rule.key), heat.key),
            },
            because: rule.because.clone(),
            also: further(also, (&source, &locator)),
            source,
            locator,
        })
    }
}

/// Sources beside the first, each once; what is of the trade needs no telling again.
fn further(all: Vec<Cited>, first: (&str, &str)) -> Vec<Cited> {
    let mut out: Vec<Cited> = vec![];
    for cited in all {
        let known = (cited.0.as_str(), cited.1.as_str()) == first || out.contains(&cited);
        if !known && cited.0 != "common-practice" {
            out.push(cited);
        }
    }
    out
}

/// Where what goes in at a step is melted or active, C.
fn activation(held: &[Held<'_>], at: usize, rules: &[Step]) -> f64 {
    let melted = held.iter().filter(|h| h.at == at).filter_map(|h| {
        let named = |s: &&Step| s.ingredients.contains(&h.ingredient.name);
        let reached = rules.iter().filter(named).filter_map(|s| s.reach);
        reached.reduce(f64::max).or(own(h.ingredient))
    });
    melted.fold(BLENDED, f64::max)
}

/// Where a clause of a text stands.
struct Here<'a> {
    /// Roles of what goes in at this step.
    roles: Vec<&'a str>,
    /// Roles of all that is in the formula.
    all: Vec<&'a str>,
    /// The pot is colder than the step asks.
    cooler: bool,
    /// The pot is hotter.
    hotter: bool,
}

impl Here<'_> {
    /// Whether every term of a condition holds: `role|role` goes in here, `+role` is anywhere in the
    /// formula, `-role` nowhere, `cooler` and `hotter` tell of the pot, `!` turns one of them round.
    fn holds(&self, condition: &str) -> bool {
        condition
            .split('&')
            .all(|term| match term.strip_prefix('!') {
                Some(term) => !self.is(term),
                None => self.is(term),
            })
    }

    fn is(&self, term: &str) -> bool {
        let any = |roles: &str, among: &[&str]| roles.split('|').any(|r| among.contains(&r));
        match term.split_at_checked(1) {
            Some(("+", roles)) => any(roles, &self.all),
            Some(("-", roles)) => !any(roles, &self.all),
            _ if term == COOLER => self.cooler,
            _ if term == HOTTER => self.hotter,
            _ => any(term, &self.roles),
        }
    }

    /// A text with those of its clauses in brackets that stand.
    fn text(&self, text: &str) -> String {
        let mut out = String::new();
        for (n, piece) in text.split('[').enumerate() {
            let Some((clause, after)) = piece.split_once(']').filter(|_| n > 0) else {
                out.push_str(piece);
                continue;
            };
            if let Some((condition, words)) = clause.split_once(':')
                && self.holds(condition)
            {
                out.push_str(words);
            }
            out.push_str(after);
        }
        out
    }
}

/// Grams as a cook splits them: whole from 10 g, else tenths.
fn round(grams: f64) -> f64 {
    match grams >= 10.0 {
        true => grams.round(),
        false => (grams * 10.0).round() / 10.0,
    }
}

/// How the dish is kept, and how long, then what is done once it is made.
fn kept(
    known: &Sequences,
    planner: &Planner<'_, '_>,
    kind: &str,
    held: &[Held<'_>],
    said: &[PlanStep],
) -> Vec<PlanStep> {
    let classes = &planner.view.assessor.catalogue.classes;
    let Some(last) = planner.work.len().checked_sub(1) else {
        return vec![];
    };
    let all = planner.here(last, held);
    let told = |guard: &str| guard.is_empty() || said.iter().any(|step| step.rule == guard);
    let of = |keeping| {
        let each = Sequences::keeping_of(keeping, classes, planner.class, kind);
        each.filter(|keep: &&Keep| told(&keep.guard) && planner.is_own(&keep.asks, held))
    };
    let step = |keep: &Keep| PlanStep {
        rule: keep.id.clone(),
        phase: STORE.into(),
        text: all.text(&keep.text),
        grams: vec![],
        celsius: keep.celsius,
        minutes: None,
        sign: String::new(),
        key: String::new(),
        because: keep.because.clone(),
        source: keep.source.clone(),
        locator: keep.locator.clone(),
        also: vec![],
    };
    let kept = of(&known.keeping).take(1);
    kept.chain(of(&known.closing)).map(step).collect()
}

/// What must be said first: each ingredient that nothing here heats through.
fn guards(known: &Sequences, planner: &Planner<'_, '_>, held: &[Held<'_>]) -> Vec<PlanStep> {
    let mut told: Vec<&str> = vec![];
    let mut out = vec![];
    for guard in &known.guards {
        let raw = |h: &&Held<'_>| {
            let watched = holds(planner.view, &guard.when);
            let watched = watched
                && (guard.ids.contains(&h.ingredient.id)
                    || guard.roles.iter().any(|r| r == h.role));
            let from = planner.work.iter().enumerate().skip(h.at);
            let heat = from.filter(|(at, w)| *at >= h.at && !(w.rule.apart && *at != h.at));
            let heats = heat.filter_map(|(_, w)| match w.rule.cooks {
                true => Some(f64::INFINITY),
                false if w.rule.phase == HEAT => w.heat.celsius,
                false => None,
            });
            watched && heats.fold(f64::NEG_INFINITY, f64::max) < guard.below
        };
        let found: Vec<&Held<'_>> = (held.iter().filter(raw))
            .filter(|h| !told.contains(&h.ingredient.id.as_str()))
            .collect();
        if found.is_empty() {
            continue;
        }
        let names: Vec<&str> = found.iter().map(|h| h.ingredient.name.as_str()).collect();
        told.extend(found.iter().map(|h| h.ingredient.id.as_str()));
        out.push(PlanStep {
            rule: guard.id.clone(),
            phase: if guard.stop { "stop" } else { "caution" }.into(),
            text: capital(&guard.text.replace("{who}", &names.join(", "))),
            grams: vec![],
            celsius: None,
            minutes: None,
            sign: String::new(),
            key: String::new(),
            because: guard.because.clone(),
            source: guard.source.clone(),
            locator: guard.locator.clone(),
            also: vec![],
        });
    }
    out
}
