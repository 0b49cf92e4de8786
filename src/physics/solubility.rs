//! How much of a sugar or polyol water dissolves, each alone, against temperature.

use crate::model::unit::Celsius;
use crate::physics::ice::GAS_CONSTANT;
use crate::physics::solute::Solute;

/// How readily a supersaturated solute makes crystals in a frozen dessert.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Readiness {
    /// Crystals form soon after the ratio passes one.
    Ready,
    /// Crystals wait until the ratio is several times one, or the cold cycles.
    Slow,
    /// No crystals are known to form in frozen desserts at usual levels.
    Rare,
}

/// The solubility of one substance in water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solubility {
    /// Temperature in °C and anhydrous grams per 100 g water, coldest first.
    pub points: &'static [(f64, f64)],
    /// Heat that carries the curve past its points, J/mol. Positive: colder dissolves less.
    pub heat: f64,
    /// Moles of water that one mole takes into the crystal.
    pub hydrate: f64,
    /// How readily crystals form.
    pub readiness: Readiness,
    /// Ratio to saturation from which to warn.
    pub warn_above: f64,
    /// Where the points and the heat come from.
    pub origin: &'static str,
}

/// The solubility of a solute; `None` where no figure is known.
#[must_use]
pub const fn solubility(solute: Solute) -> Option<&'static Solubility> {
    match solute {
        Solute::Lactose => Some(&LACTOSE),
        Solute::Sucrose => Some(&SUCROSE),
        Solute::Glucose => Some(&GLUCOSE),
        Solute::Fructose => Some(&FRUCTOSE),
        Solute::Maltose => Some(&MALTOSE),
        Solute::Trehalose => Some(&TREHALOSE),
        Solute::Isomaltulose => Some(&ISOMALTULOSE),
        Solute::Erythritol => Some(&ERYTHRITOL),
        Solute::Mannitol => Some(&MANNITOL),
        Solute::Xylitol => Some(&XYLITOL),
        Solute::Sorbitol => Some(&SORBITOL),
        Solute::Maltitol => Some(&MALTITOL),
        Solute::Lactitol => Some(&LACTITOL),
        Solute::Isomalt => Some(&ISOMALT),
        Solute::Galactose | Solute::Allulose | Solute::Tagatose | Solute::Glycerol => None,
    }
}

impl Solubility {
    /// Grams that 100 g of water dissolve, and whether the curve was carried past its points.
    ///
    /// Equation: `ln s` a straight line in `1/T` between points; past them `d ln s / d(1/T) = -H/R`
    /// Units:    `T` [K]; `H` [J/mol]; `R` [J/(mol K)]; `s` [g anhydrous per 100 g water]
    /// Valid:    between the points; below 0 °C every curve here is carried on
    /// Source:   derived (van 't Hoff form); the origin of each curve
    #[must_use]
    pub fn at(&self, temperature: Celsius) -> (f64, bool) {
        let celsius = temperature.get();
        let inverse =
            |celsius: f64| 1.0 / Celsius::new(celsius).map_or(1.0, |c| c.to_kelvin().get());
        let carried = |(from, grams): (f64, f64)| {
            grams * (-self.heat / GAS_CONSTANT * (inverse(celsius) - inverse(from))).exp()
        };
        let (Some(&first), Some(&last)) = (self.points.first(), self.points.last()) else {
            return (0.0, true);
        };
        if celsius < first.0 {
            return (carried(first), true);
        }
        if celsius > last.0 {
            return (carried(last), true);
        }
        let inside = self.points.windows(2).find_map(|pair| {
            let ((cold, less), (warm, more)) = (pair[0], pair[1]);
            (cold..=warm).contains(&celsius).then(|| {
                let share = (inverse(celsius) - inverse(cold)) / (inverse(warm) - inverse(cold));
                less * (more / less).powf(share)
            })
        });
        (inside.unwrap_or(first.1), false)
    }
}

static LACTOSE: Solubility = Solubility {
    points: &[
        (0.0, 11.9),
        (15.0, 16.9),
        (25.0, 21.6),
        (39.0, 31.5),
        (49.0, 42.4),
        (64.0, 65.8),
        (74.0, 86.2),
        (89.0, 139.2),
    ],
    heat: 16_100.0,
    hydrate: 1.0,
    readiness: Readiness::Slow,
    warn_above: 6.0,
    origin: "points: lowe-1937, solubility of lactose (after Hudson); heat: derived from the points at 0 and 25 C; level: memory",
};

static SUCROSE: Solubility = Solubility {
    points: &[
        (0.0, 179.2),
        (5.0, 184.7),
        (10.0, 190.5),
        (15.0, 197.0),
        (20.0, 203.9),
        (25.0, 211.4),
        (30.0, 219.9),
        (40.0, 238.1),
        (50.0, 260.4),
    ],
    heat: 3_800.0,
    hydrate: 0.0,
    readiness: Readiness::Rare,
    warn_above: 1.5,
    origin: "points: mohos-2010, Table A2.2; heat: derived from the points at 0 and 5 C; level: memory",
};

static MALTOSE: Solubility = Solubility {
    points: &[
        (0.6, 56.5),
        (21.0, 78.9),
        (29.6, 93.2),
        (34.4, 98.4),
        (43.5, 123.9),
        (49.4, 139.8),
    ],
    heat: 11_000.0,
    hydrate: 1.0,
    readiness: Readiness::Slow,
    warn_above: 2.0,
    origin: "points: lowe-1937, solubility of maltose (after Gillis); heat: derived from the points at 0.6 and 21 C; level: memory",
};

static TREHALOSE: Solubility = Solubility {
    points: &[(10.0, 73.3), (20.0, 87.3), (30.0, 109.6), (40.0, 148.1)],
    heat: 12_000.0,
    hydrate: 2.0,
    readiness: Readiness::Ready,
    warn_above: 1.0,
    origin: "points: lammert-schmidt-day-1998, abstract (42.3, 46.6, 52.3, 59.7 g per 100 g solution); heat: derived from the points at 10 and 20 C",
};

static ERYTHRITOL: Solubility = Solubility {
    points: &[(25.0, 56.3)],
    heat: 22_500.0,
    hydrate: 0.0,
    readiness: Readiness::Ready,
    warn_above: 1.0,
    origin: "point: memory (36 g per 100 g solution at 25 C); heat: memory",
};

static MANNITOL: Solubility = Solubility {
    points: &[(25.0, 21.6)],
    heat: 22_000.0,
    hydrate: 0.0,
    readiness: Readiness::Ready,
    warn_above: 1.0,
    origin: "memory",
};

static XYLITOL: Solubility = Solubility {
    points: &[(20.0, 168.0)],
    heat: 18_000.0,
    hydrate: 0.0,
    readiness: Readiness::Slow,
    warn_above: 1.5,
    origin: "memory",
};

static SORBITOL: Solubility = Solubility {
    points: &[(20.0, 220.0)],
    heat: 14_000.0,
    hydrate: 0.0,
    readiness: Readiness::Rare,
    warn_above: 1.5,
    origin: "memory",
};

static MALTITOL: Solubility = Solubility {
    points: &[(20.0, 160.0), (37.0, 200.0)],
    heat: 12_000.0,
    hydrate: 0.0,
    readiness: Readiness::Rare,
    warn_above: 1.5,
    origin: "point at 37 C: saraiva-2020 (200 g per 100 ml water); the rest: memory",
};

static LACTITOL: Solubility = Solubility {
    points: &[(25.0, 176.0)],
    heat: 20_000.0,
    hydrate: 1.0,
    readiness: Readiness::Slow,
    warn_above: 1.5,
    origin: "point: smith-hong-shum-undated, lactitol (206 g monohydrate per 100 g water at 25 C, here anhydrous in all the water); heat: memory",
};

static ISOMALT: Solubility = Solubility {
    points: &[(25.0, 33.3)],
    heat: 22_000.0,
    hydrate: 1.0,
    readiness: Readiness::Ready,
    warn_above: 1.0,
    origin: "point: web listing seen (25 g per 100 g solution at 25 C), counted as memory; heat: memory",
};

static ISOMALTULOSE: Solubility = Solubility {
    points: &[(20.0, 43.0)],
    heat: 20_000.0,
    hydrate: 1.0,
    readiness: Readiness::Ready,
    warn_above: 1.0,
    origin: "memory (about 30 g per 100 g solution at 20 C)",
};

static GLUCOSE: Solubility = Solubility {
    points: &[(-5.3, 46.5), (25.0, 104.0)],
    heat: 17_700.0,
    hydrate: 1.0,
    readiness: Readiness::Slow,
    warn_above: 1.5,
    origin: "memory (eutectic at 31.75 g per 100 g solution, -5.3 C; about 51 g per 100 g solution at 25 C)",
};

static FRUCTOSE: Solubility = Solubility {
    points: &[(20.0, 375.0)],
    heat: 18_000.0,
    hydrate: 0.0,
    readiness: Readiness::Rare,
    warn_above: 1.5,
    origin: "memory",
};

#[cfg(test)]
mod tests {
    use super::*;

    fn celsius(degrees: f64) -> Celsius {
        Celsius::new(degrees).unwrap()
    }

    #[test]
    fn curves_pass_through_their_points_and_rise() {
        for solute in Solute::ALL {
            let Some(curve) = solubility(solute) else {
                continue;
            };
            for &(degrees, grams) in curve.points {
                assert!((curve.at(celsius(degrees)).0 / grams - 1.0).abs() < 1.0e-9);
            }
            let mut last = 0.0;
            for degrees in -30..=60 {
                let (here, _) = curve.at(celsius(f64::from(degrees)));
                assert!(here > last, "{} at {degrees}", solute.id());
                last = here;
            }
        }
    }

    #[test]
    fn lactose_at_room_temperature_is_the_dairy_figure() {
        // Final solubility at 20 °C: 18.2 g per 100 g water, 7 alpha and 11.2 beta
        // (cheese-science-lactose). The curve rests on another author, so 7 % is allowed.
        let (grams, extrapolated) = LACTOSE.at(celsius(20.0));
        assert!((grams / 18.2 - 1.0).abs() < 0.07, "{grams}");
        assert!(!extrapolated);
    }
}
