//! The dials of a mix: what a person can keep, raise or lower.

/// One computed property of a whole mix.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dial {
    /// Sweetness, g sucrose-equivalent per 100 g.
    Sweetness,
    /// Initial freezing point, C.
    FreezingPoint,
    /// Share of the water frozen at -18 C, %.
    FrozenAt18,
    /// Share of the water frozen at -12 C, %.
    FrozenAt12,
    /// Total solids, %.
    TotalSolids,
    /// Water, %.
    Water,
    /// Fat, %.
    Fat,
    /// Protein, %.
    Protein,
    /// Mono- and disaccharides, %.
    Sugars,
    /// Lactose, %.
    Lactose,
    /// Milk solids not fat, %.
    Msnf,
    /// Sugar alcohols, %.
    Polyols,
    /// Starch, %.
    Starch,
    /// Dietary fibre, %.
    Fibre,
    /// Ethanol, %.
    Alcohol,
    /// Salt as sodium times 2.5, %.
    Salt,
    /// Thickeners and gelling agents, %.
    Stabiliser,
    /// Emulsifiers, %.
    Emulsifier,
    /// Energy, kcal per 100 g.
    Energy,
    /// Lactose per 100 g of the mix's water, g.
    LactoseInWater,
    /// What a kilogram costs, in the currency of the own data.
    Price,
}

impl Dial {
    /// Every dial with its id, name for people and unit.
    pub const ALL: [(Dial, &'static str, &'static str, &'static str); 21] = [
        (Dial::Sweetness, "sweetness", "sweetness", "%"),
        (Dial::FreezingPoint, "freezing_point", "freezing point", "C"),
        (
            Dial::FrozenAt18,
            "frozen_at_18",
            "frozen water at -18 C",
            "%",
        ),
        (
            Dial::FrozenAt12,
            "frozen_at_12",
            "frozen water at -12 C",
            "%",
        ),
        (Dial::TotalSolids, "total_solids", "total solids", "%"),
        (Dial::Water, "water", "water", "%"),
        (Dial::Fat, "fat", "fat", "%"),
        (Dial::Protein, "protein", "protein", "%"),
        (Dial::Sugars, "sugars", "sugars", "%"),
        (Dial::Lactose, "lactose", "lactose", "%"),
        (Dial::Msnf, "msnf", "milk solids not fat", "%"),
        (Dial::Polyols, "polyols", "polyols", "%"),
        (Dial::Starch, "starch", "starch", "%"),
        (Dial::Fibre, "fibre", "fibre", "%"),
        (Dial::Alcohol, "alcohol", "alcohol", "%"),
        (Dial::Salt, "salt", "salt", "%"),
        (Dial::Stabiliser, "stabiliser", "stabiliser", "%"),
        (Dial::Emulsifier, "emulsifier", "emulsifier", "%"),
        (Dial::Energy, "energy", "energy", "kcal/100 g"),
        (
            Dial::LactoseInWater,
            "lactose_in_water",
            "lactose in the water",
            "g/100 g water",
        ),
        (Dial::Price, "price", "price", "per kg"),
    ];

    fn entry(self) -> &'static (Dial, &'static str, &'static str, &'static str) {
        // ALL lists every variant in declaration order, kept by a test.
        &Self::ALL[self as usize]
    }

    /// Identifier used in rules and JSON.
    pub fn id(self) -> &'static str {
        self.entry().1
    }

    /// Name for people.
    pub fn name(self) -> &'static str {
        self.entry().2
    }

    /// Unit.
    pub fn unit(self) -> &'static str {
        self.entry().3
    }

    /// The dial with this id.
    pub fn parse(id: &str) -> Option<Dial> {
        Self::ALL
            .iter()
            .find(|entry| entry.1 == id)
            .map(|entry| entry.0)
    }
}

#[cfg(test)]
mod tests {
    use super::Dial;

    #[test]
    fn the_table_stands_in_declaration_order() {
        for (n, (dial, id, ..)) in Dial::ALL.iter().enumerate() {
            assert_eq!(*dial as usize, n);
            assert_eq!(Dial::parse(id), Some(*dial));
        }
    }
}
