//! What a millilitre or a piece of an ingredient weighs, g.

use crate::model::{Catalogue, Ingredient, IngredientKey};

/// Millilitres of the measures that weights are stated for; as in `data/words/units.csv`.
const MEASURES: [(&str, f64); 3] = [("cup", 240.0), ("tbsp", 15.0), ("tsp", 5.0)];

/// Densities of the parts of a liquid at 20 C, g/mL.
/// Source: memory (densities of food components of Choi and Okos, 1986; ethanol of the handbooks).
const PARTS: [(&str, f64); 6] = [
    ("water", 0.998),
    ("fat", 0.917),
    ("protein", 1.32),
    ("carbohydrate_by_difference", 1.59),
    ("ash", 2.42),
    ("alcohol", 0.789),
];
/// Forms that are spooned loose, and what a millilitre of them weighs, g.
/// Source: common-practice (ground spices, cocoa and starch run from 0.4 to 0.65).
const POWDERS: [&str; 5] = ["powder", "ground", "dried", "seeds", "whole"];
const LOOSE: f64 = 0.5;
/// Forms that are poured, and what a millilitre of one is taken as where nothing better is known, g.
/// Source: common-practice (weak solutions lie near 1, acids and thin syrups up to 1.2).
const POURED: [&str; 2] = ["liquid", "paste"];
const AS_WATER: f64 = 1.0;
/// A liquid whose parts are known to less than this, g/100 g, has no density by them.
const KNOWN: f64 = 90.0;
/// What holds more water than this, g/100 g, and no form that says otherwise is taken as liquid.
const WET: f64 = 60.0;

/// What an ingredient weighs when it is measured or counted.
#[derive(Clone, Copy)]
pub struct Weight<'a> {
    /// What is known.
    pub catalogue: &'a Catalogue,
    /// Which ingredient.
    pub key: IngredientKey,
}

impl Weight<'_> {
    fn ingredient(&self) -> &Ingredient {
        self.catalogue.ingredient(self.key)
    }

    /// Grams of a millilitre as it is measured, and what has to be told of how it was found.
    pub fn density(&self) -> Option<(f64, String)> {
        let told = String::new();
        let stated = self.ingredient().value("density").filter(|v| v.own);
        if let Some(density) = stated.and_then(|v| v.figure()) {
            return Some((density, told));
        }
        // A cup of a powder is looser than its density.
        for (measure, millilitres) in MEASURES {
            if let Some(grams) = self.stated_piece(measure) {
                return Some((grams / millilitres, told));
            }
        }
        if let Some(density) = self.ingredient().number("density") {
            return Some((density, told));
        }
        let Some(density) = self.by_parts() else {
            let powder = POWDERS.contains(&self.ingredient().form.as_str());
            let said = || {
                format!(
                    "a millilitre of {} was taken as {LOOSE} g, as of loose powders",
                    self.ingredient().name
                )
            };
            // A little of a solution whose parts are not all known is near water.
            let poured = POURED.contains(&self.ingredient().form.as_str());
            let as_water = || {
                format!(
                    "a millilitre of {} was taken as {AS_WATER} g: its density is not known",
                    self.ingredient().name
                )
            };
            return (powder.then(|| (LOOSE, said())))
                .or_else(|| poured.then(|| (AS_WATER, as_water())));
        };
        let said = format!(
            "a millilitre of {} was taken as {density:.2} g, from what it holds",
            self.ingredient().name
        );
        Some((density, said))
    }

    /// Density of a liquid from its parts.
    ///
    /// Equation: `rho = sum(w) / sum(w / rho_i)`
    /// Units:    `w` [g/100 g]; `rho` [g/mL]
    /// Valid:    liquids whose parts are known; volumes are taken to add up, which costs 1 %, 3 % with alcohol
    /// Source:   memory (rule of mixtures)
    fn by_parts(&self) -> Option<f64> {
        let ingredient = self.ingredient();
        let wet = ingredient.number("water").is_some_and(|water| water > WET);
        let oil = ingredient.number("fat").is_some_and(|fat| fat > KNOWN);
        if !(ingredient.form == "liquid" || wet || oil) {
            return None;
        }
        let (mut grams, mut millilitres) = (0.0, 0.0);
        for (part, density) in PARTS {
            let held = ingredient.number(part).unwrap_or(0.0);
            grams += held;
            millilitres += held / density;
        }
        (grams > KNOWN).then(|| grams / millilitres)
    }

    /// Grams of one piece: of `piece` where it is named, else of the ingredient itself.
    pub fn piece(&self, piece: &str) -> Option<f64> {
        self.stated_piece(piece).or_else(|| self.stated_piece(""))
    }

    fn stated_piece(&self, piece: &str) -> Option<f64> {
        let id = self.ingredient().id.as_str();
        let pieces = self.catalogue.naming.pieces.iter();
        let mut found = pieces.filter(|p| p.ingredient == id && p.piece == piece);
        found.next().map(|p| p.typical)
    }
}
