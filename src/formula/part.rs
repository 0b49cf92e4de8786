//! The figures of an ingredient that enter a calculation.

macro_rules! parts {
    ($($(#[$doc:meta])* $name:ident = $id:literal,)*) => {
        /// One figure that enters a calculation, by its property id.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Part { $($(#[$doc])* $name,)* }

        impl Part {
            /// Every part, in order.
            pub const ALL: &[Part] = &[$(Part::$name),*];
            /// How many there are.
            pub const COUNT: usize = Self::ALL.len();

            /// The property id.
            pub fn id(self) -> &'static str {
                match self { $(Part::$name => $id),* }
            }

            /// The part with this property id.
            pub fn parse(id: &str) -> Option<Part> {
                match id { $($id => Some(Part::$name),)* _ => None }
            }
        }
    };
}

parts! {
    /// Water of the ingredient as sold.
    Water = "water",
    /// Total lipid.
    Fat = "fat",
    /// Saturated fatty acids.
    SaturatedFat = "saturated_fat",
    /// Monounsaturated fatty acids.
    MonounsaturatedFat = "monounsaturated_fat",
    /// Polyunsaturated fatty acids.
    PolyunsaturatedFat = "polyunsaturated_fat",
    /// Protein by nitrogen with the source's own factor.
    Protein = "protein",
    /// 100 less water fat protein ash and alcohol; fibre and organic acids are inside (USDA definition).
    CarbohydrateByDifference = "carbohydrate_by_difference",
    /// Sugars and starch and polyols without fibre and organic acids (Ciqual and EU definition).
    CarbohydrateAvailable = "carbohydrate_available",
    /// All mono- and disaccharides as the source counts them.
    Sugars = "sugars",
    /// Sucrose.
    Sucrose = "sucrose",
    /// Free D-glucose as the anhydrous sugar.
    Glucose = "glucose",
    /// Free D-fructose.
    Fructose = "fructose",
    /// Free D-galactose.
    Galactose = "galactose",
    /// Lactose as the anhydrous sugar.
    Lactose = "lactose",
    /// Maltose as the anhydrous sugar.
    Maltose = "maltose",
    /// Trehalose as the anhydrous sugar.
    Trehalose = "trehalose",
    /// Isomaltulose as the anhydrous sugar.
    Isomaltulose = "isomaltulose",
    /// D-allulose (psicose).
    Allulose = "allulose",
    /// D-tagatose.
    Tagatose = "tagatose",
    /// Soluble glucose oligomers and polymers of three units and more.
    HigherSaccharides = "higher_saccharides",
    /// Starch.
    Starch = "starch",
    /// Dietary fibre by the source's method.
    Fibre = "fibre",
    /// The part of the fibre that dissolves as short chains (inulin or polydextrose or resistant dextrin); counted inside fibre.
    SolubleFibre = "soluble_fibre",
    /// Sorbitol.
    Sorbitol = "sorbitol",
    /// Mannitol.
    Mannitol = "mannitol",
    /// Xylitol.
    Xylitol = "xylitol",
    /// Erythritol.
    Erythritol = "erythritol",
    /// Maltitol.
    Maltitol = "maltitol",
    /// Lactitol as the anhydrous polyol.
    Lactitol = "lactitol",
    /// Isomalt.
    Isomalt = "isomalt",
    /// Glycerol.
    Glycerol = "glycerol",
    /// All sugar alcohols as the source counts them.
    Polyols = "polyols",
    /// Citric acid as the anhydrous acid.
    CitricAcid = "citric_acid",
    /// Malic acid.
    MalicAcid = "malic_acid",
    /// Tartaric acid.
    TartaricAcid = "tartaric_acid",
    /// Lactic acid.
    LacticAcid = "lactic_acid",
    /// Acetic acid.
    AceticAcid = "acetic_acid",
    /// All organic acids as the source counts them.
    OrganicAcids = "organic_acids",
    /// Mineral residue.
    Ash = "ash",
    /// Sodium chloride of a salt or brine (not a label 'salt' figure).
    SodiumChloride = "sodium_chloride",
    /// Potassium chloride of a salt.
    PotassiumChloride = "potassium_chloride",
    /// Calcium chloride as the anhydrous salt.
    CalciumChloride = "calcium_chloride",
    /// Sodium hydrogen carbonate.
    SodiumBicarbonate = "sodium_bicarbonate",
    /// Trisodium citrate as the anhydrous salt.
    TrisodiumCitrate = "trisodium_citrate",
    /// Dipotassium hydrogen phosphate.
    DipotassiumPhosphate = "dipotassium_phosphate",
    /// Sodium.
    Sodium = "sodium",
    /// Potassium.
    Potassium = "potassium",
    /// Calcium.
    Calcium = "calcium",
    /// Ethanol by mass.
    Alcohol = "alcohol",
    /// Cholesterol.
    Cholesterol = "cholesterol",
    /// Caffeine.
    Caffeine = "caffeine",
    /// Theobromine.
    Theobromine = "theobromine",
    /// Protein lactose and salts that came from milk.
    MilkSolidsNotFat = "milk_solids_not_fat",
    /// The part of the milk solids not fat that is whey powder solids.
    WheySolids = "whey_solids",
    /// The part of the fat that came from milk.
    MilkFat = "milk_fat",
    /// The part of the fat that is cocoa butter.
    CocoaButter = "cocoa_butter",
    /// Dry cocoa less its butter.
    FatFreeCocoaSolids = "fat_free_cocoa_solids",
    /// Sugar the maker added.
    AddedSugar = "added_sugar",
    /// Thickeners and gelling agents inside; 100 for one sold pure; a range for a bought drink that lists a gum.
    StabiliserContent = "stabiliser_content",
    /// Emulsifiers inside (phospholipids of yolk or lecithin included).
    EmulsifierContent = "emulsifier_content",
    /// Energy as the dataset gives it.
    Energy = "energy",
    /// Sweetness by mass against sucrose; as is unless basis=dry.
    RelativeSweetness = "relative_sweetness",
    /// Rm of R = Rm C/(Kd + C): the strongest sweetness the substance reaches.
    SweetnessCeiling = "sweetness_ceiling",
    /// Kd of R = Rm C/(Kd + C): concentration that gives half the ceiling.
    SweetnessHalfConcentration = "sweetness_half_concentration",
    /// Freezing power that may be more or less than what is counted, mosmol/g.
    OsmoticDoubt = "osmotic_doubt",
    /// Reducing power as dextrose in per cent of dry substance.
    DextroseEquivalent = "dextrose_equivalent",
    /// Mn of the dry saccharides or soluble fibre.
    NumberAverageMolarMass = "number_average_molar_mass",
    /// Monosaccharides of the syrup's dry substance.
    Dp1 = "dp1",
    /// Disaccharides.
    Dp2 = "dp2",
    /// Trisaccharides.
    Dp3 = "dp3",
    /// Four units and more.
    Dp4Plus = "dp4_plus",
    /// Number-average chain length.
    MeanDegreeOfPolymerisation = "mean_degree_of_polymerisation",
    /// What a kilogram costs, in the currency of the own data.
    Price = "price",
    /// 100 where the price is known: the share of a mix whose price is known, %.
    Priced = "priced",
    /// Mass of one millilitre (bulk density where the form is a powder).
    Density = "density",
    /// Sugars whose kind the source does not tell.
    UnspecifiedSugars = "unspecified_sugars",
    /// Carbohydrate that is neither sugar, starch, fibre nor polyol as far as known.
    UnspecifiedCarbohydrate = "unspecified_carbohydrate",
    /// Energy by the EU factors, kcal/100 g.
    EnergyEu = "energy_eu",
    /// Energy by the US general factors, kcal/100 g.
    EnergyUs = "energy_us",
}

impl Part {
    /// Whether a mix has of it what its ingredients have together.
    pub fn adds_up(self) -> bool {
        !matches!(
            self,
            Part::RelativeSweetness
                | Part::SweetnessCeiling
                | Part::SweetnessHalfConcentration
                | Part::OsmoticDoubt
                | Part::DextroseEquivalent
                | Part::NumberAverageMolarMass
                | Part::Dp1
                | Part::Dp2
                | Part::Dp3
                | Part::Dp4Plus
                | Part::MeanDegreeOfPolymerisation
                | Part::Density
        )
    }

    /// Position in arrays of [`Part::COUNT`].
    pub fn index(self) -> usize {
        self as usize
    }
}
