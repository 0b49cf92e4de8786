//! Sweetness as sucrose equivalents: bulk sweeteners by ratio, intense sweeteners by saturation.
//!
//! A ratio holds at a level and a temperature and between tasters; each comes with its spread.

use crate::model::unit::Celsius;
use crate::physics::solute::Solute;

/// Fixed-point steps for a sum whose ratios depend on the sum; it closes in well before.
const STEPS: usize = 60;
/// Change of the level, relative, at which it is taken as found.
const CLOSE: f64 = 1.0e-11;

/// Sweetness per gram against sucrose at the same sweetness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ratio {
    /// Lowest published value that applies.
    pub low: f64,
    /// Best value.
    pub typical: f64,
    /// Highest published value that applies.
    pub high: f64,
}

/// A sweetness in g sucrose per 100 g that would taste as sweet.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Sweetness {
    /// With the lowest ratios.
    pub low: f64,
    /// With the best ratios.
    pub typical: f64,
    /// With the highest ratios.
    pub high: f64,
}

/// How the ratio of a bulk sweetener behaves.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Course {
    /// One ratio at all levels.
    Fixed(Ratio),
    /// Rows of level (g sucrose equivalent per 100 g) and ratio, weakest first.
    ByLevel(&'static [(f64, Ratio)]),
    /// A line falling with temperature, held outside its ends.
    ByTemperature,
}

/// A sweetener whose taste saturates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Intense {
    /// Aspartame.
    Aspartame,
    /// Acesulfame potassium.
    AcesulfameK,
    /// Sodium cyclamate.
    Cyclamate,
    /// Sodium saccharin.
    Saccharin,
    /// Sucralose.
    Sucralose,
    /// Rebaudioside A.
    RebaudiosideA,
}

/// The saturation constants of an intense sweetener.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saturating {
    /// Sweetness never exceeded, g sucrose per 100 ml.
    pub maximum: f64,
    /// Concentration that gives half of it, mg/l.
    pub half: f64,
    /// Where the constants come from.
    pub origin: &'static str,
}

/// Slope of the sweetness of fructose with temperature, 1/K, its value at the Celsius zero, and
/// the ends of the line. Source: memory (after Tsuzuki, Shallenberger and Hyvonen).
const FRUCTOSE_SLOPE: f64 = -0.0115;
const FRUCTOSE_AT_ZERO: f64 = 1.48;
const FRUCTOSE_ENDS: (f64, f64) = (0.0, 60.0);
/// Spread of published values about the line. Source: derived from lowe-1937, 1.03 to 1.73.
const FRUCTOSE_SPREAD: (f64, f64) = (0.25, 0.25);
/// Temperature of a ratio that states none, °C. Source: common-practice of tasting.
const ROOM: f64 = 20.0;

const fn ratio(low: f64, typical: f64, high: f64) -> Ratio {
    Ratio { low, typical, high }
}

// nickerson-1974, as reprinted: ratios of the printed iso-sweet concentrations.
const GLUCOSE: &[(f64, Ratio)] = &[
    (0.5, ratio(0.53, 0.56, 0.62)),
    (2.0, ratio(0.53, 0.57, 0.62)),
    (5.0, ratio(0.60, 0.63, 0.69)),
    (10.0, ratio(0.72, 0.75, 0.79)),
    (15.0, ratio(0.75, 0.81, 0.87)),
    (20.0, ratio(0.87, 0.92, 0.95)),
];
// The same table as recalled, for lactose; its low end from lowe-1937 (16, Biester and Wood).
const LACTOSE: &[(f64, Ratio)] = &[
    (0.5, ratio(0.16, 0.26, 0.29)),
    (2.0, ratio(0.16, 0.31, 0.33)),
    (5.0, ratio(0.16, 0.34, 0.38)),
    (10.0, ratio(0.30, 0.41, 0.48)),
    (15.0, ratio(0.43, 0.48, 0.54)),
    (20.0, ratio(0.50, 0.60, 0.65)),
];

const fn course(solute: Solute) -> Course {
    match solute {
        Solute::Sucrose => Course::Fixed(ratio(1.0, 1.0, 1.0)),
        Solute::Glucose => Course::ByLevel(GLUCOSE),
        Solute::Lactose => Course::ByLevel(LACTOSE),
        Solute::Fructose => Course::ByTemperature,
        Solute::Maltose => Course::Fixed(ratio(0.30, 0.33, 0.50)),
        Solute::Galactose => Course::Fixed(ratio(0.30, 0.50, 0.65)),
        Solute::Trehalose => Course::Fixed(ratio(0.40, 0.45, 0.70)),
        Solute::Isomaltulose => Course::Fixed(ratio(0.40, 0.45, 0.50)),
        Solute::Allulose => Course::Fixed(ratio(0.60, 0.70, 0.70)),
        Solute::Tagatose => Course::Fixed(ratio(0.90, 0.92, 0.92)),
        Solute::Sorbitol => Course::Fixed(ratio(0.50, 0.60, 0.70)),
        Solute::Mannitol => Course::Fixed(ratio(0.40, 0.50, 0.70)),
        Solute::Xylitol => Course::Fixed(ratio(0.85, 1.00, 1.20)),
        Solute::Erythritol => Course::Fixed(ratio(0.60, 0.65, 0.80)),
        Solute::Maltitol => Course::Fixed(ratio(0.50, 0.90, 0.90)),
        Solute::Lactitol => Course::Fixed(ratio(0.30, 0.35, 0.40)),
        Solute::Isomalt => Course::Fixed(ratio(0.45, 0.50, 0.65)),
        Solute::Glycerol => Course::Fixed(ratio(0.55, 0.60, 0.75)),
    }
}

/// Where the ratio of a bulk sweetener comes from.
#[must_use]
pub const fn origin(solute: Solute) -> &'static str {
    match solute {
        Solute::Sucrose => "by definition",
        Solute::Glucose => {
            "nickerson-1974, as reprinted; ratios derived from printed concentrations"
        }
        Solute::Lactose => "memory of nickerson-1974; low end lowe-1937 (after Biester and Wood)",
        Solute::Fructose => {
            "memory of the line with temperature; spread from lowe-1937 (1.03 to 1.73)"
        }
        Solute::Maltose => "varzakas-2012, Table 2.1 (0.30); lowe-1937 (0.325 and 0.50)",
        Solute::Galactose => "varzakas-2012, Table 2.1 (0.30); the rest memory",
        Solute::Trehalose => {
            "chattopadhyay-2014, Table 2 (0.5 to 0.7); wiebe-2011, Table 1 (0.45); 0.40 memory"
        }
        Solute::Isomaltulose => "wiebe-2011, Table 1 (0.5); phn-2023, Table 2 (0.4)",
        Solute::Allulose => "fda-grn-498 (0.7); low end memory",
        Solute::Tagatose => {
            "alternative-sweeteners-2001, page 105 (0.92 against 10 % sucrose); wiebe-2011, Table 1 (0.9)"
        }
        Solute::Sorbitol => {
            "varzakas-2012, Table 2.1 (0.50); phn-2023, Table 2 (0.6); ific-2008 (0.5 to 0.7)"
        }
        Solute::Mannitol => {
            "varzakas-2012, Table 2.1 (0.40); phn-2023, Table 2 (0.6); ific-2008 (0.5 to 0.7)"
        }
        Solute::Xylitol => "varzakas-2012, Table 2.1 (0.85 to 1.2); phn-2023, Table 2 (1.0)",
        Solute::Erythritol => "amb-2018, Table 1 (0.6 to 0.8); phn-2023, Table 2 (0.7)",
        Solute::Maltitol => "varzakas-2012, Table 2.1 (0.5 to 0.9); phn-2023, Table 2 (0.9)",
        Solute::Lactitol => {
            "varzakas-2012, Table 2.1 (0.3 to 0.4); smith-hong-shum-undated, lactitol (0.35)"
        }
        Solute::Isomalt => "chattopadhyay-2014, Table 2 (0.45 to 0.65); phn-2023, Table 2 (0.5)",
        Solute::Glycerol => "memory",
    }
}

/// Sweetness per gram against sucrose, at a level and a temperature.
///
/// Equation: fixed; or a straight line in the level between rows, held outside them; or for
///           fructose `r = a - b T`, held outside the ends of that line
/// Units:    level [g sucrose equivalent per 100 g]; `T` [°C]; result [-]
/// Valid:    tasted in water; fat, acid, cold and thickeners change the whole taste, not the ratio
/// Source:   nickerson-1974, varzakas-2012, lowe-1937; memory where [`origin`] says so
#[must_use]
pub fn relative_sweetness(solute: Solute, level: f64, temperature: Option<Celsius>) -> Ratio {
    match course(solute) {
        Course::Fixed(ratio) => ratio,
        Course::ByLevel(rows) => at_level(rows, level),
        Course::ByTemperature => {
            let celsius = temperature.map_or(ROOM, Celsius::get);
            let held = celsius.clamp(FRUCTOSE_ENDS.0, FRUCTOSE_ENDS.1);
            let typical = FRUCTOSE_AT_ZERO + FRUCTOSE_SLOPE * held;
            ratio(
                typical - FRUCTOSE_SPREAD.0,
                typical,
                typical + FRUCTOSE_SPREAD.1,
            )
        }
    }
}

fn at_level(rows: &[(f64, Ratio)], level: f64) -> Ratio {
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
        return ratio(0.0, 0.0, 0.0);
    };
    if level.is_nan() || level <= first.0 {
        return first.1;
    }
    let inside = rows.windows(2).find_map(|pair| {
        let ((weak, one), (strong, other)) = (pair[0], pair[1]);
        (level <= strong).then(|| {
            let share = (level - weak) / (strong - weak);
            let mix = |from: f64, to: f64| from + share * (to - from);
            ratio(
                mix(one.low, other.low),
                mix(one.typical, other.typical),
                mix(one.high, other.high),
            )
        })
    });
    inside.unwrap_or(last.1)
}

/// Sweetness of bulk sweeteners together with what intense sweeteners give.
///
/// Equation: `s = sum(c r(s)) + i`, the ratios taken at the level `s` itself, by repetition
/// Units:    `c` [g/100 g]; `r` [-]; `i`, `s` [g sucrose equivalent per 100 g]
/// Valid:    additive at medium levels; weak mixes taste up to 10 % more, strong ones less
/// Source:   dubois-2016 (bulk sweeteners linear); derived (repetition)
#[must_use]
pub fn sweetness(bulk: &[(Solute, f64)], intense: f64, temperature: Option<Celsius>) -> Sweetness {
    let total = |pick: fn(Ratio) -> f64| settled(bulk, intense, temperature, pick);
    Sweetness {
        low: total(|ratio| ratio.low),
        typical: total(|ratio| ratio.typical),
        high: total(|ratio| ratio.high),
    }
}

/// The typical figure of [`sweetness`] alone, for answers that ask many thousand times.
///
/// Equation: `s = sum(c r(s)) + i`, the ratios taken at the level `s` itself, by repetition
/// Units:    `c` [g/100 g]; `r` [-]; `i`, `s` [g sucrose equivalent per 100 g]
/// Valid:    as [`sweetness`]
/// Source:   dubois-2016 (bulk sweeteners linear); derived (repetition)
#[must_use]
pub fn typical_sweetness(
    bulk: &[(Solute, f64)],
    intense: f64,
    temperature: Option<Celsius>,
) -> f64 {
    settled(bulk, intense, temperature, |ratio| ratio.typical)
}

/// Only ratios that depend on the level are taken again at each step.
fn settled(
    bulk: &[(Solute, f64)],
    intense: f64,
    temperature: Option<Celsius>,
    pick: fn(Ratio) -> f64,
) -> f64 {
    let mut fixed = intense;
    let mut by_level: [(&[(f64, Ratio)], f64); 2] = [(GLUCOSE, 0.0), (LACTOSE, 0.0)];
    for &(solute, grams) in bulk {
        match solute {
            Solute::Glucose => by_level[0].1 += grams,
            Solute::Lactose => by_level[1].1 += grams,
            _ if grams == 0.0 => {}
            _ => fixed += grams * pick(relative_sweetness(solute, 0.0, temperature)),
        }
    }
    let mut level = fixed;
    for _ in 0..STEPS {
        let next = by_level.iter().fold(fixed, |sum, &(rows, grams)| {
            if grams == 0.0 {
                sum
            } else {
                sum + grams * pick(at_level(rows, level))
            }
        });
        let moved = (next - level).abs();
        level = next;
        // Not `>`: a NaN must not run on.
        if moved.partial_cmp(&(CLOSE * level.abs())) != Some(std::cmp::Ordering::Greater) {
            break;
        }
    }
    level
}

impl Intense {
    /// Every intense sweetener with known constants.
    pub const ALL: [Self; 6] = [
        Self::Aspartame,
        Self::AcesulfameK,
        Self::Cyclamate,
        Self::Saccharin,
        Self::Sucralose,
        Self::RebaudiosideA,
    ];

    /// The saturation constants, with where they come from.
    #[must_use]
    pub const fn constants(self) -> Saturating {
        const RECALLED: &str = "memory of dubois-1991; the form is in the abstract of dubois-2016";
        let (maximum, half, origin) = match self {
            Self::Aspartame => (16.0, 560.0, RECALLED),
            Self::AcesulfameK => (11.6, 470.0, RECALLED),
            Self::Cyclamate => (15.2, 2060.0, RECALLED),
            Self::Saccharin => (10.1, 167.0, RECALLED),
            Self::Sucralose => (
                14.7,
                162.0,
                "maximum: memory of dubois-1991; half: derived so that phn-2023 (600 times) holds at 5 %",
            ),
            Self::RebaudiosideA => (10.0, 200.0, RECALLED),
        };
        Saturating {
            maximum,
            half,
            origin,
        }
    }
}

impl Saturating {
    /// Sweetness of a concentration.
    ///
    /// Equation: `R = Rm C / (Kd + C)`
    /// Units:    `C`, `Kd` [mg/l]; `R`, `Rm` [g sucrose per 100 ml]
    /// Valid:    in water at room temperature
    /// Source:   dubois-2016 (form, abstract); constants: see their origin
    #[must_use]
    pub fn response(&self, milligrams_per_litre: f64) -> f64 {
        let concentration = milligrams_per_litre.max(0.0);
        if concentration.is_finite() {
            self.maximum * (concentration / (self.half + concentration))
        } else {
            self.maximum
        }
    }

    /// Concentration that gives a sweetness; `None` at or above the maximum.
    ///
    /// Equation: `C = Kd R / (Rm - R)`
    /// Units:    `C`, `Kd` [mg/l]; `R`, `Rm` [g sucrose per 100 ml]
    /// Valid:    as [`Saturating::response`]
    /// Source:   dubois-2016 (form, abstract); constants: see their origin
    #[must_use]
    pub fn concentration(&self, response: f64) -> Option<f64> {
        (response >= 0.0 && response < self.maximum)
            .then(|| self.half * response / (self.maximum - response))
    }
}

/// Sweetness of intense sweeteners together: each saturates alone, then they add.
///
/// Equation: `i = sum(Rm C / (Kd + C))`
/// Units:    `C`, `Kd` [mg/l]; `i`, `Rm` [g sucrose per 100 ml]
/// Valid:    an upper bound for sweeteners of one receptor site; synergy is not counted
/// Source:   dubois-2016 (form, abstract); derived (sum)
#[must_use]
pub fn intense_sweetness(parts: &[(Intense, f64)]) -> f64 {
    parts
        .iter()
        .map(|&(sweetener, dose)| sweetener.constants().response(dose))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dextrose_gains_with_level() {
        // nickerson-1974: 3.6 to 3.8 % tastes as 2 % sucrose, 21.8 % as 20 %.
        let weak = relative_sweetness(Solute::Glucose, 2.0, None);
        assert_eq!((weak.low, weak.high), (0.53, 0.62));
        assert_eq!(
            relative_sweetness(Solute::Glucose, 20.0, None).typical,
            0.92
        );
        assert_eq!(
            relative_sweetness(Solute::Glucose, 50.0, None).typical,
            0.92
        );
    }

    #[test]
    fn fructose_fades_with_heat() {
        // The line by hand: 1.48 - 0.0115 x 5 = 1.4225 and 1.48 - 0.0115 x 60 = 0.79.
        let at =
            |celsius| relative_sweetness(Solute::Fructose, 10.0, Celsius::new(celsius)).typical;
        assert!((at(5.0) - 1.4225).abs() < 1.0e-12);
        assert!((at(90.0) - 0.79).abs() < 1.0e-12);
    }

    #[test]
    fn a_sum_takes_its_ratios_at_its_own_level() {
        let mix = [(Solute::Sucrose, 10.0), (Solute::Glucose, 5.0)];
        let total = sweetness(&mix, 0.0, None);
        let ratio = relative_sweetness(Solute::Glucose, total.typical, None);
        assert!((total.typical - (10.0 + 5.0 * ratio.typical)).abs() < 1.0e-9);
        assert!(total.low <= total.typical && total.typical <= total.high);
        assert_eq!(sweetness(&[], 3.0, None).typical, 3.0);
    }

    #[test]
    fn potencies_lie_where_tables_put_them() {
        // phn-2023, Table 2: cyclamate 30 to 50, saccharin 300 to 500, sucralose 550 to 750; taken at 5 %.
        let table = [
            (Intense::Cyclamate, 30.0, 50.0),
            (Intense::Saccharin, 300.0, 500.0),
            (Intense::Sucralose, 550.0, 750.0),
        ];
        for (sweetener, low, high) in table {
            let dose = sweetener.constants().concentration(5.0).unwrap();
            let potency = 5.0e4 / dose;
            assert!((low..=high).contains(&potency), "{sweetener:?}: {potency}");
        }
    }

    #[test]
    fn doses_and_responses_are_inverse_and_bounded() {
        for sweetener in Intense::ALL {
            let constants = sweetener.constants();
            let dose = constants.concentration(4.0).unwrap();
            assert!((constants.response(dose) - 4.0).abs() < 1.0e-9);
            assert_eq!(constants.concentration(constants.maximum), None);
            assert_eq!(constants.response(f64::INFINITY), constants.maximum);
        }
        let both = intense_sweetness(&[(Intense::Sucralose, 50.0), (Intense::AcesulfameK, 50.0)]);
        assert!(both > Intense::Sucralose.constants().response(50.0));
    }
}
