//! Derivations: named rules that fill what the value rows leave open.
//!
//! A derived figure never replaces a stated one, and it names its rule.

use super::part::Part;
use super::profile::{Figure, Origin};
use super::taste::is_measure;
use crate::model::Ingredient;
use crate::physics::energy;
use crate::physics::syrup;

/// One derivation.
pub struct Rule {
    /// Identifier shown in trails.
    pub id: &'static str,
    /// Equation, units and source, in words.
    pub equation: &'static str,
    run: fn(&mut Draft<'_>),
}

/// Every derivation, in the order they run.
pub const RULES: &[Rule] = &[
    Rule {
        id: "syrup-saccharides",
        equation: "dry = 100 - water - ash; glucose = dry x DP1, maltose = dry x DP2, higher saccharides = the rest",
        run: syrup_saccharides,
    },
    Rule {
        id: "syrup-most-probable",
        equation: "without a spectrum: most probable distribution at the mean chain length 18016/DE (Flory 1936), w(n) = n p^(n-1) (1-p)^2",
        run: syrup_most_probable,
    },
    Rule {
        id: "lactose-by-difference",
        equation: "plain milk products: lactose = carbohydrate, when the source lists none",
        run: lactose_by_difference,
    },
    Rule {
        id: "sugars-sum",
        equation: "sugars = sum of the single mono- and disaccharides",
        run: sugars_sum,
    },
    Rule {
        id: "unspecified-sugars",
        equation: "unspecified sugars = sugars - sum of the single ones; counted half as sucrose, half as glucose",
        run: unspecified_sugars,
    },
    Rule {
        id: "polyols-sum",
        equation: "polyols = sum of the single polyols",
        run: polyols_sum,
    },
    Rule {
        id: "milk-fat",
        equation: "fat of plain milk products is milk fat",
        run: milk_fat,
    },
    Rule {
        id: "cocoa-butter",
        equation: "fat of plain cocoa products is cocoa butter",
        run: cocoa_butter,
    },
    Rule {
        id: "milk-solids-not-fat",
        equation: "plain milk products: MSNF = 100 - water - fat - added sucrose - fibre",
        run: milk_solids_not_fat,
    },
    Rule {
        id: "available-carbohydrate",
        equation: "available = by difference - fibre - organic acids",
        run: available_carbohydrate,
    },
    Rule {
        id: "starch-by-rest",
        equation: "starches and flours: starch = available carbohydrate - sugars - polyols - higher saccharides",
        run: starch_by_rest,
    },
    Rule {
        id: "unspecified-carbohydrate",
        equation: "rest = available carbohydrate - sugars - polyols - starch - higher saccharides, not below zero",
        run: unspecified_carbohydrate,
    },
    Rule {
        id: "own-stabiliser",
        equation: "a stabiliser or gelling agent sold pure is 100 g stabiliser in 100 g",
        run: own_stabiliser,
    },
    Rule {
        id: "priced",
        equation: "all of an ingredient with a price is priced",
        run: priced,
    },
    Rule {
        id: "energy",
        equation: "energy = sum of grams x factor (Regulation (EU) 1169/2011 Annex XIV; 21 CFR 101.9(c)(1)(i))",
        run: energy_by_factors,
    },
];

const SUGARS: [Part; 10] = [
    Part::Sucrose,
    Part::Glucose,
    Part::Fructose,
    Part::Galactose,
    Part::Lactose,
    Part::Maltose,
    Part::Trehalose,
    Part::Isomaltulose,
    Part::Allulose,
    Part::Tagatose,
];
const POLYOLS: [Part; 8] = [
    Part::Sorbitol,
    Part::Mannitol,
    Part::Xylitol,
    Part::Erythritol,
    Part::Maltitol,
    Part::Lactitol,
    Part::Isomalt,
    Part::Glycerol,
];
/// Whose fat is milk fat and whose solids are milk solids, unless its origin says otherwise.
const DAIRY: &str = "milk-family";

/// An ingredient whose figures are being completed.
pub struct Draft<'a> {
    /// Whose.
    pub ingredient: &'a Ingredient,
    figures: Box<[Option<Figure>]>,
}

pub(super) fn run(draft: &mut Draft<'_>) {
    for rule in RULES {
        (rule.run)(draft);
    }
}

impl<'a> Draft<'a> {
    pub(super) fn new(ingredient: &'a Ingredient) -> Self {
        Draft {
            ingredient,
            figures: vec![None; Part::COUNT].into_boxed_slice(),
        }
    }

    pub(super) fn set(&mut self, part: Part, figure: Figure) {
        self.figures[part.index()] = Some(figure);
    }

    pub(super) fn into_figures(self) -> Box<[Option<Figure>]> {
        self.figures
    }

    /// The typical figure, when known.
    pub fn known(&self, part: Part) -> Option<f64> {
        self.figures[part.index()].map(|f| f.typical)
    }

    /// The typical figure; zero when unknown.
    pub fn number(&self, part: Part) -> f64 {
        self.known(part).unwrap_or(0.0)
    }

    /// Fills a figure that is not known yet.
    fn fill(&mut self, part: Part, rule: &'static str, typical: f64) {
        if self.known(part).is_none() {
            self.set(
                part,
                Figure {
                    typical,
                    low: typical,
                    high: typical,
                    origin: Origin::Rule(rule),
                },
            );
        }
    }

    /// Fills a figure with a spread of +- `share`.
    fn fill_about(&mut self, part: Part, rule: &'static str, typical: f64, share: f64) {
        if self.known(part).is_none() {
            self.set(
                part,
                Figure {
                    typical,
                    low: typical * (1.0 - share),
                    high: typical * (1.0 + share),
                    origin: Origin::Rule(rule),
                },
            );
        }
    }

    fn sum(&self, parts: &[Part]) -> f64 {
        parts.iter().map(|&p| self.number(p)).sum()
    }

    fn plain_dairy(&self) -> bool {
        self.ingredient.is_of(DAIRY)
    }

    /// Sweetness a person states of a jar of their own as a whole.
    pub fn own_sweetness(&self) -> Option<f64> {
        let figure = self.figures[Part::RelativeSweetness.index()]?;
        let own = match figure.origin {
            Origin::Row(row) => self.ingredient.values.get(row)?.own,
            Origin::Rule(_) => self.ingredient.value(Part::RelativeSweetness.id())?.own,
        };
        (own && !is_measure(self.ingredient)).then_some(figure.typical)
    }

    /// Whether its sweetness is its own and not that of its sugars and starch chains.
    pub fn sweet_by_itself(&self) -> bool {
        self.ingredient.is_of("sweet-by-itself-family")
    }

    /// Sweetness the data states for the ingredient as a whole; sugars, polyols and foods are counted by kind instead.
    pub fn stated_sweetness(&self) -> Option<f64> {
        let stated = self.ingredient.is_of("sweet-as-stated-family");
        self.known(Part::RelativeSweetness).filter(|_| stated)
    }

    /// Molar mass of the saccharides of three units and more, g/mol, so that the whole syrup has
    /// the number-average molar mass its spectrum, its Mn or its DE gives.
    pub fn higher_molar_mass(&self) -> Option<f64> {
        let higher = self.number(Part::HigherSaccharides);
        if higher <= 0.0 {
            return None;
        }
        let spectrum = || {
            let spectrum = syrup::Spectrum::new(
                self.known(Part::Dp1)?,
                self.known(Part::Dp2)?,
                self.known(Part::Dp3)?,
                self.known(Part::Dp4Plus)?,
            )?;
            spectrum.number_average()
        };
        let by_equivalent = || syrup::number_average(self.known(Part::DextroseEquivalent)?);
        let whole = self.known(Part::NumberAverageMolarMass).or_else(|| {
            spectrum()
                .or_else(by_equivalent)
                .map(|average| average.value.get())
        })?;
        let low_moles = (self.number(Part::Glucose) + self.number(Part::Fructose)) / 180.156
            + (self.number(Part::Maltose) + self.number(Part::Sucrose)) / 342.297;
        let saccharides =
            higher + self.sum(&[Part::Glucose, Part::Fructose, Part::Maltose, Part::Sucrose]);
        let moles = saccharides / whole - low_moles;
        // Never below a trisaccharide: then the spectrum is richer in small sugars than the DE says, and the spectrum wins.
        Some(if moles > 0.0 {
            (higher / moles).max(504.44)
        } else {
            504.44_f64.max(whole)
        })
    }
}

fn dry_saccharides(d: &Draft<'_>) -> Option<f64> {
    let syrup =
        d.ingredient.family == "glucose-syrup" || d.known(Part::DextroseEquivalent).is_some();
    (syrup && d.sum(&SUGARS) == 0.0 && d.known(Part::HigherSaccharides).is_none()).then(|| {
        (100.0 - d.number(Part::Water) - d.number(Part::Ash) - d.number(Part::Protein)).max(0.0)
    })
}

fn syrup_saccharides(d: &mut Draft<'_>) {
    let (Some(dry), Some(dp1), Some(dp2)) =
        (dry_saccharides(d), d.known(Part::Dp1), d.known(Part::Dp2))
    else {
        return;
    };
    let rule = "syrup-saccharides";
    d.fill_about(Part::Glucose, rule, dry * dp1 / 100.0, 0.1);
    d.fill_about(Part::Maltose, rule, dry * dp2 / 100.0, 0.1);
    d.fill_about(
        Part::HigherSaccharides,
        rule,
        dry * (100.0 - dp1 - dp2).max(0.0) / 100.0,
        0.05,
    );
}

fn syrup_most_probable(d: &mut Draft<'_>) {
    let (Some(dry), Some(de)) = (dry_saccharides(d), d.known(Part::DextroseEquivalent)) else {
        return;
    };
    let Some(spectrum) = syrup::Spectrum::most_probable(de) else {
        return;
    };
    let rule = "syrup-most-probable";
    d.fill_about(Part::Glucose, rule, dry * spectrum.dp1 / 100.0, 0.25);
    d.fill_about(Part::Maltose, rule, dry * spectrum.dp2 / 100.0, 0.25);
    d.fill_about(
        Part::HigherSaccharides,
        rule,
        dry * (100.0 - spectrum.dp1 - spectrum.dp2).max(0.0) / 100.0,
        0.1,
    );
}

fn lactose_by_difference(d: &mut Draft<'_>) {
    // Added sugar or malt makes the carbohydrate more than lactose.
    let sweetened = d.number(Part::Sucrose) > 1.0
        || d.number(Part::AddedSugar) > 0.0
        || d.number(Part::Starch) > 0.5;
    let plain = d.plain_dairy() && !sweetened && !d.ingredient.does("flavour");
    let split = d.sum(&SUGARS) > 0.5;
    if let (true, false, Some(carbohydrate)) = (
        plain,
        split,
        d.known(Part::CarbohydrateByDifference)
            .or(d.known(Part::CarbohydrateAvailable)),
    ) {
        let lactose = (carbohydrate - d.number(Part::Fibre)).max(0.0);
        d.fill(Part::Lactose, "lactose-by-difference", lactose);
    }
}

fn sugars_sum(d: &mut Draft<'_>) {
    let sum = d.sum(&SUGARS);
    if sum > 0.0 || SUGARS.iter().any(|&p| d.known(p).is_some()) {
        d.fill(Part::Sugars, "sugars-sum", sum);
    }
}

fn unspecified_sugars(d: &mut Draft<'_>) {
    let rest = d.number(Part::Sugars) - d.sum(&SUGARS);
    // Below half a gram it is the rounding of the single analyses.
    if rest > 0.5 {
        d.fill(Part::UnspecifiedSugars, "unspecified-sugars", rest);
    }
}

fn polyols_sum(d: &mut Draft<'_>) {
    let sum = d.sum(&POLYOLS);
    if sum > 0.0 {
        d.fill(Part::Polyols, "polyols-sum", sum);
    }
}

fn milk_fat(d: &mut Draft<'_>) {
    if let (true, Some(fat)) = (
        d.plain_dairy()
            && d.ingredient
                .origin
                .iter()
                .all(|o| !o.contains("vegetable") && !o.contains("palm") && !o.contains("coconut")),
        d.known(Part::Fat),
    ) {
        d.fill(Part::MilkFat, "milk-fat", fat);
    }
}

fn cocoa_butter(d: &mut Draft<'_>) {
    if let (true, Some(fat)) = (
        d.ingredient.family == "cocoa" && d.ingredient.origin.iter().any(|o| o.contains("cocoa")),
        d.known(Part::Fat),
    ) {
        d.fill(Part::CocoaButter, "cocoa-butter", fat);
    }
}

fn milk_solids_not_fat(d: &mut Draft<'_>) {
    if let (true, Some(water), Some(fat)) =
        (d.plain_dairy(), d.known(Part::Water), d.known(Part::Fat))
    {
        let other = d.number(Part::Sucrose)
            + d.number(Part::Fibre)
            + d.number(Part::HigherSaccharides)
            + d.number(Part::StabiliserContent);
        d.fill(
            Part::MilkSolidsNotFat,
            "milk-solids-not-fat",
            (100.0 - water - fat - other).max(0.0),
        );
    }
}

fn available_carbohydrate(d: &mut Draft<'_>) {
    if let Some(total) = d.known(Part::CarbohydrateByDifference) {
        d.fill(
            Part::CarbohydrateAvailable,
            "available-carbohydrate",
            (total - d.number(Part::Fibre) - d.number(Part::OrganicAcids)).max(0.0),
        );
    }
}

fn starch_by_rest(d: &mut Draft<'_>) {
    if d.ingredient.family != "starch" {
        return;
    }
    if let Some(available) = d.known(Part::CarbohydrateAvailable) {
        let rest = available
            - d.number(Part::Sugars)
            - d.number(Part::Polyols)
            - d.number(Part::HigherSaccharides);
        d.fill(Part::Starch, "starch-by-rest", rest.max(0.0));
    }
}

fn unspecified_carbohydrate(d: &mut Draft<'_>) {
    if let Some(available) = d.known(Part::CarbohydrateAvailable) {
        let known = d.number(Part::Sugars)
            + d.number(Part::Polyols)
            + d.number(Part::Starch)
            + d.number(Part::HigherSaccharides);
        if available - known > 0.5 {
            d.fill(
                Part::UnspecifiedCarbohydrate,
                "unspecified-carbohydrate",
                available - known,
            );
        }
    }
}

fn own_stabiliser(d: &mut Draft<'_>) {
    if d.ingredient.is_of("gum-family") && d.sum(&SUGARS) < 1.0 {
        d.fill(Part::StabiliserContent, "own-stabiliser", 100.0);
    }
}

fn priced(d: &mut Draft<'_>) {
    if d.known(Part::Price).is_some() {
        d.fill(Part::Priced, "priced", 100.0);
    }
}

fn energy_by_factors(d: &mut Draft<'_>) {
    let rule = "energy";
    let available = match d.known(Part::CarbohydrateAvailable) {
        Some(available) => available,
        None => {
            d.number(Part::Sugars)
                + d.number(Part::Polyols)
                + d.number(Part::Starch)
                + d.number(Part::HigherSaccharides)
        }
    };
    let acids = d.number(Part::OrganicAcids).max(d.sum(&[
        Part::CitricAcid,
        Part::MalicAcid,
        Part::TartaricAcid,
        Part::LacticAcid,
        Part::AceticAcid,
    ]));
    let erythritol = d.number(Part::Erythritol);
    let parts = energy::Energetic {
        fat: d.number(Part::Fat),
        protein: d.number(Part::Protein),
        carbohydrate: (available - d.number(Part::Polyols)).max(0.0),
        polyols: (d.number(Part::Polyols) - erythritol).max(0.0),
        erythritol,
        fibre: d.number(Part::Fibre),
        organic_acids: acids,
        alcohol: d.number(Part::Alcohol),
    };
    d.fill(Part::EnergyEu, rule, energy::energy(&parts, &energy::EU));
    // The US label counts allulose at 0.4 kcal/g though it is carbohydrate.
    // Source: fda-allulose-2020, guidance, section on calories.
    let allulose = d.number(Part::Allulose) * (energy::US.carbohydrate - 0.4);
    d.fill(
        Part::EnergyUs,
        rule,
        energy::energy(&parts, &energy::US) - allulose,
    );
}
