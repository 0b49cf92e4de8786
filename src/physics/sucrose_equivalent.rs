//! The handbook method: every sweetener as sucrose, one table, and a term for milk salts.
//!
//! Kept as a comparison. It misses glucose and fructose by up to 0.8 K and knows no other solute.

use crate::model::unit::Celsius;
use crate::physics::solute::Solute;

/// Lactose in milk solids-not-fat, g/g. Source: goff-hartel-2013, example 13.
pub const LACTOSE_IN_MILK_SOLIDS: f64 = 0.545;
/// Lactose in whey solids, g/g. Source: goff-hartel-2013, example 13.
pub const LACTOSE_IN_WHEY_SOLIDS: f64 = 0.765;
/// Depression by milk salts, K per g of milk and whey solids in one g of water.
/// Source: goff-hartel-2013, example 13; derived there from the freezing point of milk.
pub const MILK_SALT_DEPRESSION: f64 = 2.37;
/// Strongest solution of the table, g sucrose per 100 g water. Source: goff-hartel-2013, Table 6.1.
pub const TABLE_END: f64 = 180.0;

/// Depression against strength. Rows marked `published` stand in the table; the others were worked
/// back from the published curve of example 14, which was itself read from the table.
const TABLE: [Row; 20] = [
    published(0.0, 0.0),
    published(6.0, 0.35),
    published(21.0, 1.29),
    published(30.0, 1.86),
    worked_back(0.0, 2.74),
    worked_back(10.0, 3.06),
    worked_back(20.0, 3.45),
    worked_back(30.0, 4.01),
    published(60.0, 3.85),
    worked_back(40.0, 4.76),
    worked_back(50.0, 5.87),
    published(75.0, 5.00),
    published(90.0, 6.23),
    worked_back(60.0, 7.63),
    published(105.0, 7.56),
    published(120.0, 8.92),
    worked_back(70.0, 10.79),
    worked_back(75.0, 13.16),
    published(150.0, 11.41),
    published(TABLE_END, 13.68),
];
/// Sucrose equivalent of the published example, g per 100 g water: 22.18 g in 60 g.
const EXAMPLE_STRENGTH: f64 = 22.18 / 60.0 * 100.0;
/// Milk and whey solids over water of the published example, g/g.
const EXAMPLE_SALTS: f64 = 12.0 / 60.0;

#[derive(Debug, Clone, Copy)]
struct Row {
    strength: f64,
    depression: f64,
}

/// A mix as the handbook sees it, in grams.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Handbook {
    /// Water.
    pub water: f64,
    /// Sucrose equivalents of every sweetener, lactose included.
    pub sucrose_equivalent: f64,
    /// Milk solids-not-fat plus whey solids, for their salts.
    pub milk_and_whey_solids: f64,
}

const fn published(strength: f64, depression: f64) -> Row {
    Row {
        strength,
        depression,
    }
}

/// A row from the example's curve: at this share frozen the mix freezes at this depression.
const fn worked_back(frozen_percent: f64, depression: f64) -> Row {
    let left = 1.0 - frozen_percent / 100.0;
    Row {
        strength: EXAMPLE_STRENGTH / left,
        depression: depression - MILK_SALT_DEPRESSION * EXAMPLE_SALTS / left,
    }
}

/// Sucrose equivalents of one gram of a sugar or polyol.
///
/// Equation: `f = M(sucrose) / M`
/// Units:    `M` [g/mol]; result [g sucrose per g]
/// Valid:    dilute solutions; the handbook rounds the result to one digit after the point
/// Source:   goff-hartel-2013, chapter 6
#[must_use]
pub fn factor(solute: Solute) -> f64 {
    Solute::Sucrose.molar_mass().get() / solute.molar_mass().get()
}

/// Sucrose equivalents of one gram of glucose syrup solids, between the published grades.
/// `None` outside them.
///
/// Equation: straight line between the published grades
/// Units:    `DE` [g dextrose per 100 g dry substance]; result [g sucrose per g]
/// Valid:    DE 10 to 62
/// Source:   goff-hartel-2013, chapter 6 (grades); derived (between them)
#[must_use]
pub fn syrup_factor(dextrose_equivalent: f64) -> Option<f64> {
    const GRADES: [Row; 4] = [
        published(10.0, 0.2),
        published(36.0, 0.6),
        published(42.0, 0.8),
        published(62.0, 1.2),
    ];
    if !(GRADES[0].strength..=GRADES[3].strength).contains(&dextrose_equivalent) {
        return None;
    }
    GRADES
        .windows(2)
        .find_map(|pair| between(pair[0], pair[1], dextrose_equivalent))
}

/// Freezing point depression of a sucrose solution by the handbook table. `None` past its end.
///
/// Equation: straight line between the rows of the table
/// Units:    strength [g sucrose per 100 g water]; result [K]
/// Valid:    0 to 180 g per 100 g water; exact at the published rows, about 0.03 K between them
/// Source:   goff-hartel-2013, Table 6.1 (after leighton-1927)
#[must_use]
pub fn depression(strength: f64) -> Option<f64> {
    if !(0.0..=TABLE_END).contains(&strength) {
        return None;
    }
    TABLE
        .windows(2)
        .find_map(|pair| between(pair[0], pair[1], strength))
}

fn between(low: Row, high: Row, strength: f64) -> Option<f64> {
    if strength < low.strength || strength > high.strength {
        return None;
    }
    let share = (strength - low.strength) / (high.strength - low.strength);
    Some(low.depression + share * (high.depression - low.depression))
}

impl Handbook {
    /// Freezing point when this share of the water is ice. `None` without water or past the table.
    ///
    /// Equation: `T = -(d(SE / w) + m s / w)`, `w` the water still liquid, `d` by [`depression`],
    ///           `m` [`MILK_SALT_DEPRESSION`]
    /// Units:    `SE` sucrose equivalents [g]; `s` milk and whey solids [g]; `w` [g]; result [°C]
    /// Valid:    dairy mixes of sucrose and starch syrups, to 180 g equivalents per 100 g water
    /// Source:   goff-hartel-2013, examples 13 and 14 (after leighton-1927)
    #[must_use]
    pub fn freezing_point(&self, frozen_share: f64) -> Option<Celsius> {
        let water = self.water * (1.0 - frozen_share);
        if !(water > 0.0 && (0.0..1.0).contains(&frozen_share)) {
            return None;
        }
        let sugars = depression(100.0 * self.sucrose_equivalent / water)?;
        let salts = MILK_SALT_DEPRESSION * self.milk_and_whey_solids / water;
        Celsius::new(-(sugars + salts))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // 10 % milk solids-not-fat, 2 % whey solids, 12 % sucrose, 4 % syrup solids of 42 DE, 60 % water.
    // Equivalents: 10 x 0.545 + 2 x 0.765 + 12 + 4 x 0.8 = 22.18 g.
    const EXAMPLE: Handbook = Handbook {
        water: 60.0,
        sucrose_equivalent: 22.18,
        milk_and_whey_solids: 12.0,
    };

    #[test]
    fn the_published_example_comes_out() {
        // goff-hartel-2013, example 13.
        let point = EXAMPLE.freezing_point(0.0).unwrap().get();
        assert!((point - -2.74).abs() < 0.005, "{point}");
    }

    #[test]
    fn the_published_rows_come_out() {
        // goff-hartel-2013, Table 6.1.
        let rows = [
            (6.0, 0.35),
            (21.0, 1.29),
            (30.0, 1.86),
            (60.0, 3.85),
            (75.0, 5.00),
            (90.0, 6.23),
            (105.0, 7.56),
            (120.0, 8.92),
            (150.0, 11.41),
            (180.0, 13.68),
        ];
        for (strength, published) in rows {
            assert!((depression(strength).unwrap() - published).abs() < 1.0e-9);
        }
    }

    #[test]
    fn the_published_curve_comes_out() {
        // goff-hartel-2013, example 14. The same rows served to build the table between its
        // published rows, so this checks the arithmetic and not the method.
        let curve = [
            (10.0, -3.06),
            (30.0, -4.01),
            (50.0, -5.87),
            (70.0, -10.79),
            (75.0, -13.16),
        ];
        for (percent, published) in curve {
            let point = EXAMPLE.freezing_point(percent / 100.0).unwrap().get();
            assert!((point - published).abs() < 0.005, "{percent} %: {point}");
        }
    }

    #[test]
    fn the_table_rises_and_ends() {
        let mut last = -1.0;
        for strength in 0..=180 {
            let here = depression(f64::from(strength)).unwrap();
            assert!(here > last, "{strength}");
            last = here;
        }
        assert_eq!(depression(180.1), None);
        assert_eq!(depression(-1.0), None);
    }

    #[test]
    fn factors_are_the_handbooks() {
        // goff-hartel-2013 prints 1.9 for monosaccharides and 1.0 for disaccharides.
        assert!((factor(Solute::Glucose) - 1.9).abs() < 0.01);
        assert!((factor(Solute::Lactose) - 1.0).abs() < 1.0e-9);
        assert_eq!(syrup_factor(42.0), Some(0.8));
        assert_eq!(syrup_factor(5.0), None);
    }
}
