//! A mix assessed: every dial from its sums.

use std::cell::OnceCell;

use super::dish::Dish;
use super::part::Part;
use super::profile::Profile;
use super::profile::Profiles;
use super::recipe::{Formula, Line};
use super::sums::Sums;
use crate::condition::Mix;
use crate::model::unit::Celsius;
use crate::model::{Catalogue, Dial, DishKind, Ingredient, IngredientKey};

/// Grams of salt in a gram of sodium, as labels count it. Source: eu-1169-2011, Annex I point 11.
const SALT_OF_SODIUM: f64 = 2.5;
/// Serving temperature of a home freezer, C. Source: common-practice.
pub const FREEZER: f64 = -18.0;
/// Serving temperature of a display cabinet, C. Source: common-practice.
pub const CABINET: f64 = -12.0;

/// Share of the mass whose price must be known for a mix to have one, %: all, but for rounding.
const PRICED_WHOLLY: f64 = 100.0 - 1e-6;

/// A computed number and how far it may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The number.
    pub value: f64,
    /// Half-width by the model's evidence alone.
    pub model_error: f64,
    /// It lies outside the range the model was checked in.
    pub beyond: bool,
}

/// Every dial of one mix.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// The sums it was computed from.
    pub sums: Sums,
    /// Sweetness, g sucrose-equivalent per 100 g.
    pub sweetness: f64,
    /// Initial freezing point, C; `None` without water.
    pub freezing_point: Option<Reading>,
    /// Share of the water frozen at -18 C, %.
    pub frozen_at_18: Option<f64>,
    /// Share of the water frozen at -12 C, %.
    pub frozen_at_12: Option<f64>,
}

impl State {
    /// The figure of a dial; `None` where it cannot be computed.
    pub fn dial(&self, dial: Dial) -> Option<f64> {
        let percent = |part: Part| Some(self.sums.percent(part));
        match dial {
            Dial::Sweetness => Some(self.sweetness),
            Dial::FreezingPoint => self.freezing_point.map(|r| r.value),
            Dial::FrozenAt18 => self.frozen_at_18,
            Dial::FrozenAt12 => self.frozen_at_12,
            Dial::TotalSolids => Some(
                (100.0 - self.sums.percent(Part::Water) - self.sums.percent(Part::Alcohol))
                    .max(0.0),
            ),
            Dial::Water => percent(Part::Water),
            Dial::Fat => percent(Part::Fat),
            Dial::Protein => percent(Part::Protein),
            Dial::Sugars => percent(Part::Sugars),
            Dial::Lactose => percent(Part::Lactose),
            Dial::Msnf => percent(Part::MilkSolidsNotFat),
            Dial::Polyols => percent(Part::Polyols),
            Dial::Starch => percent(Part::Starch),
            Dial::Fibre => percent(Part::Fibre),
            Dial::Alcohol => percent(Part::Alcohol),
            Dial::Salt => Some(self.sums.percent(Part::Sodium) / 1000.0 * SALT_OF_SODIUM),
            Dial::Stabiliser => percent(Part::StabiliserContent),
            Dial::Emulsifier => percent(Part::EmulsifierContent),
            Dial::Energy => percent(Part::EnergyEu),
            Dial::Price => (self.priced() > PRICED_WHOLLY).then(|| self.sums.percent(Part::Price)),
            Dial::LactoseInWater => {
                let water = self.sums.part(Part::Water);
                (water > 0.0).then(|| 100.0 * self.sums.part(Part::Lactose) / water)
            }
        }
    }

    /// Share of the mass whose price is known, %.
    pub fn priced(&self) -> f64 {
        self.sums.percent(Part::Priced)
    }

    /// Share of the water frozen at a temperature, %.
    pub fn frozen(&self, celsius: f64) -> Option<f64> {
        Some(100.0 * self.sums.solution.frozen_fraction(Celsius::new(celsius)?)?)
    }

    /// Water activity at 20 C.
    pub fn water_activity(&self) -> Option<f64> {
        self.sums.solution.water_activity_20().map(|aw| aw.get())
    }
}

/// Computes states from formulas.
#[derive(Clone, Copy)]
pub struct Assessor<'a> {
    /// What is known.
    pub catalogue: &'a Catalogue,
    /// One profile per ingredient.
    pub profiles: &'a Profiles,
}

impl<'a> Assessor<'a> {
    /// The profile of an ingredient.
    pub fn profile(&self, key: IngredientKey) -> &'a Profile {
        self.profiles.get(self.catalogue, key)
    }

    /// What the whole formula adds up to.
    pub fn sums(&self, formula: &Formula) -> Sums {
        let mut sums = Sums::default();
        for line in &formula.lines {
            sums += self.profile(line.key).sums * line.grams;
        }
        sums
    }

    /// Every dial of a formula.
    pub fn state(&self, formula: &Formula) -> State {
        self.state_of(self.sums(formula))
    }

    /// Every dial of a mass of known sums.
    pub fn state_of(&self, sums: Sums) -> State {
        let solution = &sums.solution;
        let freezing_point = solution.freezing_point().map(|r| Reading {
            value: r.value.get(),
            model_error: r.model_error.get(),
            beyond: r.range.is_some(),
        });
        let frozen = |celsius: f64| Some(100.0 * solution.frozen_fraction(Celsius::new(celsius)?)?);
        State {
            sweetness: sweetness_of(&sums),
            freezing_point,
            frozen_at_18: frozen(FREEZER),
            frozen_at_12: frozen(CABINET),
            sums,
        }
    }
}

/// Sweetness of a mix at serving temperature, g sucrose-equivalent per 100 g.
pub fn sweetness_of(sums: &Sums) -> f64 {
    if sums.grams <= 0.0 {
        return 0.0;
    }
    100.0 * sums.sweetness / sums.grams - sums.levelling.loss(sums.grams)
}

/// A mix as conditions see it.
pub struct MixView<'a> {
    /// The assessor.
    pub assessor: Assessor<'a>,
    /// The formula.
    pub formula: &'a Formula,
    /// Its state.
    pub state: &'a State,
    /// The kind of dish it is, once asked.
    kind: OnceCell<DishKind>,
}

impl<'a> MixView<'a> {
    /// A formula as conditions see it.
    pub fn new(assessor: Assessor<'a>, formula: &'a Formula, state: &'a State) -> Self {
        MixView {
            assessor,
            formula,
            state,
            kind: OnceCell::new(),
        }
    }
}

impl Mix for MixView<'_> {
    fn dial(&self, dial: Dial) -> Option<f64> {
        self.state.dial(dial)
    }

    fn share(&self, id: &str) -> f64 {
        let catalogue = self.assessor.catalogue;
        let held = |line: &Line| line.grams * catalogue.share(catalogue.ingredient(line.key), id);
        let grams: f64 = self.formula.lines.iter().map(held).sum();
        100.0 * grams / self.state.sums.grams.max(1e-12)
    }

    fn kind(&self) -> DishKind {
        let kind = || Dish::of(self.assessor, self.formula, self.state).kind;
        *self.kind.get_or_init(kind)
    }

    fn ingredients(&self) -> Vec<&Ingredient> {
        let catalogue = self.assessor.catalogue;
        let lines = self.formula.lines.iter();
        lines
            .flat_map(|line| catalogue.with_parts(catalogue.ingredient(line.key)))
            .collect()
    }
}
