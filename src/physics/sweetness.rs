//! Sweetness as sucrose equivalents: bulk sweeteners by ratio, intense sweeteners by saturation.
//!
//! The ratios themselves are data; each comes with the spread of what was published.

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

/// Sweetness of bulk sweeteners together with what intense sweeteners give.
///
/// Equation: `s = sum(c r) + i`
/// Units:    `c` [g/100 g]; `r` [-]; `i`, `s` [g sucrose equivalent per 100 g]
/// Valid:    additive at medium levels; weak mixes taste up to 10 % more, strong ones less; tasted in
///           water: fat, acid, cold and thickeners change the whole taste, not the ratio
/// Source:   dubois-2016 (bulk sweeteners linear)
#[must_use]
pub fn sweetness(bulk: &[(Ratio, f64)], intense: f64) -> Sweetness {
    let total = |pick: fn(Ratio) -> f64| {
        let tastes = bulk.iter().map(|&(ratio, grams)| grams * pick(ratio));
        tastes.sum::<f64>() + intense
    };
    Sweetness {
        low: total(|ratio| ratio.low),
        typical: total(|ratio| ratio.typical),
        high: total(|ratio| ratio.high),
    }
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
    fn a_sum_adds_each_by_its_ratio() {
        // By hand: 10 x 1 + 5 x 0.75 + 3 = 16.75; 10 + 5 x 0.7 + 3 = 16.5; 10 + 5 x 0.8 + 3 = 17.
        let ratio = |low, typical, high| Ratio { low, typical, high };
        let mix = [(ratio(1.0, 1.0, 1.0), 10.0), (ratio(0.7, 0.75, 0.8), 5.0)];
        let total = sweetness(&mix, 3.0);
        for (found, by_hand) in [
            (total.low, 16.5),
            (total.typical, 16.75),
            (total.high, 17.0),
        ] {
            assert!((found - by_hand).abs() < 1.0e-12);
        }
        assert_eq!(sweetness(&[], 3.0).typical, 3.0);
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
