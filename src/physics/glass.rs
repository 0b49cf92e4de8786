//! Glass transition: dry sugars, sugars with water, and the freeze-concentrated phase.
//!
//! At home-freezer and cabinet temperatures every dessert is above its freeze-concentrated glass,
//! so these figures rank storage stability; they say nothing about hardness.

use crate::model::unit::Celsius;
use crate::physics::solute::Solute;

/// Glass transition of water, °C. Source: memory, the value used with Gordon-Taylor constants.
pub const WATER_GLASS: f64 = -135.0;

/// What is known of the glass of one solute.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glass {
    /// Dry glass transition, °C.
    pub dry: Option<f64>,
    /// Gordon-Taylor constant with water.
    pub constant: Option<f64>,
    /// Glass transition of the freeze-concentrated phase, Tg', °C.
    pub freeze_concentrated: Option<f64>,
    /// Onset of ice melting in the freeze-concentrated phase, Tm', °C.
    pub melting_onset: Option<f64>,
    /// Where the figures come from.
    pub origin: &'static str,
}

/// A mass-weighted indication for a mix of solutes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Indication {
    /// Glass transition of the freeze-concentrated phase.
    pub glass: Celsius,
    /// Onset of ice melting in that phase.
    pub melting_onset: Celsius,
    /// Share of the solutes' mass that has figures, 0 to 1.
    pub covered: f64,
}

/// What is known of the glass of a solute; `None` where nothing is.
#[must_use]
pub const fn glass(solute: Solute) -> Option<&'static Glass> {
    match solute {
        Solute::Sucrose => Some(&SUCROSE),
        Solute::Glucose => Some(&GLUCOSE),
        Solute::Fructose => Some(&FRUCTOSE),
        Solute::Maltose => Some(&MALTOSE),
        Solute::Lactose => Some(&LACTOSE),
        Solute::Trehalose => Some(&TREHALOSE),
        Solute::Sorbitol => Some(&SORBITOL),
        Solute::Xylitol => Some(&XYLITOL),
        Solute::Glycerol => Some(&GLYCEROL),
        _ => None,
    }
}

/// Glass transition of a solute with water. `None` where the share is outside 0 to 1.
///
/// Equation: `Tg = (w Tg_dry + k (1 - w) Tg_water) / (w + k (1 - w))`
/// Units:    `w` solute [g/g]; `k` [-]; `Tg` [°C]
/// Valid:    no ice and no crystals; within about 5 K over the whole range of `w`
/// Source:   gordon-taylor-1952 (form); the origin of each solute's constants
#[must_use]
pub fn glass_transition(solute_share: f64, dry: Celsius, constant: f64) -> Option<Celsius> {
    if !((0.0..=1.0).contains(&solute_share) && constant > 0.0) {
        return None;
    }
    let water = constant * (1.0 - solute_share);
    Celsius::new((solute_share * dry.get() + water * WATER_GLASS) / (solute_share + water))
}

/// Mass-weighted Tg' and Tm' of the dissolved solutes. `None` where no solute has figures.
///
/// Equation: `T = sum(g T) / sum(g)` over the solutes that have figures
/// Units:    `g` [g]; `T` [°C]
/// Valid:    an indication only: small sugars and alcohol pull the mix lower than their mass
/// Source:   derived; the origin of each solute's figures
#[must_use]
pub fn indication(solutes: &[(Solute, f64)]) -> Option<Indication> {
    let (mut covered, mut whole, mut glass_sum, mut melting_sum) = (0.0, 0.0, 0.0, 0.0);
    for &(solute, grams) in solutes {
        if !(grams.is_finite() && grams >= 0.0) {
            return None;
        }
        whole += grams;
        if let Some(Glass {
            freeze_concentrated: Some(concentrated),
            melting_onset: Some(onset),
            ..
        }) = glass(solute)
        {
            covered += grams;
            glass_sum += grams * concentrated;
            melting_sum += grams * onset;
        }
    }
    if covered <= 0.0 {
        return None;
    }
    Some(Indication {
        glass: Celsius::new(glass_sum / covered)?,
        melting_onset: Celsius::new(melting_sum / covered)?,
        covered: covered / whole,
    })
}

static SUCROSE: Glass = Glass {
    dry: Some(60.0),
    constant: Some(5.0),
    freeze_concentrated: Some(-46.0),
    melting_onset: Some(-34.0),
    origin: "dry: roe-labuza-2005, abstract; the rest: memory (roos-1993 as recalled; constants 4.7 to 5.4 are in use)",
};

static GLUCOSE: Glass = Glass {
    dry: Some(31.0),
    constant: Some(4.5),
    freeze_concentrated: Some(-57.0),
    melting_onset: Some(-46.0),
    origin: "memory (roos-1993 as recalled)",
};

static FRUCTOSE: Glass = Glass {
    dry: Some(5.0),
    constant: Some(3.8),
    freeze_concentrated: Some(-57.0),
    melting_onset: Some(-46.0),
    origin: "memory (roos-1993 as recalled)",
};

static MALTOSE: Glass = Glass {
    dry: Some(87.0),
    constant: Some(6.0),
    freeze_concentrated: Some(-42.0),
    melting_onset: Some(-32.0),
    origin: "memory (roos-1993 as recalled)",
};

static LACTOSE: Glass = Glass {
    dry: Some(101.0),
    constant: Some(6.6),
    freeze_concentrated: Some(-41.0),
    melting_onset: Some(-30.0),
    origin: "memory (roos-1993 as recalled)",
};

static TREHALOSE: Glass = Glass {
    dry: Some(106.0),
    constant: Some(7.3),
    freeze_concentrated: Some(-40.0),
    melting_onset: Some(-30.0),
    origin: "dry: roe-labuza-2005, abstract; the rest: memory (roos-1993 as recalled)",
};

static SORBITOL: Glass = Glass {
    dry: Some(-4.0),
    constant: None,
    freeze_concentrated: Some(-63.0),
    melting_onset: Some(-49.0),
    origin: "memory (roos-1993 as recalled)",
};

static XYLITOL: Glass = Glass {
    dry: Some(-29.0),
    constant: None,
    freeze_concentrated: Some(-72.0),
    melting_onset: Some(-57.0),
    origin: "memory (roos-1993 as recalled)",
};

static GLYCEROL: Glass = Glass {
    dry: Some(-93.0),
    constant: None,
    freeze_concentrated: Some(-109.0),
    melting_onset: None,
    origin: "freeze-concentrated: inaba-2007, abstract (164 K); dry: memory",
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ends_are_dry_sugar_and_water() {
        let dry = Celsius::new(60.0).unwrap();
        assert_eq!(glass_transition(1.0, dry, 5.0), Some(dry));
        assert_eq!(glass_transition(0.0, dry, 5.0).unwrap().get(), WATER_GLASS);
        assert_eq!(glass_transition(1.1, dry, 5.0), None);
    }

    #[test]
    fn freeze_concentrated_sucrose_lies_near_its_gordon_taylor_line() {
        // Hand calculation at 80 % solids: (0.8 x 60 + 5 x 0.2 x -135) / (0.8 + 1.0) = -48.3 °C,
        // against -46 °C in the table.
        let line = glass_transition(0.8, Celsius::new(60.0).unwrap(), 5.0).unwrap();
        assert!((line.get() - -48.33).abs() < 0.01);
        assert!((line.get() - SUCROSE.freeze_concentrated.unwrap()).abs() < 5.0);
    }

    #[test]
    fn a_mix_says_how_much_of_it_is_known() {
        let mix = [
            (Solute::Sucrose, 12.0),
            (Solute::Glucose, 6.0),
            (Solute::Allulose, 6.0),
        ];
        let indication = indication(&mix).unwrap();
        assert!((indication.covered - 0.75).abs() < 1.0e-12);
        // (12 x -34 + 6 x -46) / 18 = -38 °C.
        assert!((indication.melting_onset.get() - -38.0).abs() < 1.0e-9);
        assert_eq!(super::indication(&[(Solute::Allulose, 1.0)]), None);
    }
}
