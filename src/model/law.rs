//! What the law permits, and what people with an allergy often react to as well.

/// One permission of a substance, a row of `data/permissions.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct Permission {
    /// An ingredient id, or a substance in words.
    pub substance: String,
    /// What it is counted with; a name that begins with `sum-` shares one limit.
    pub group: String,
    /// Where.
    pub jurisdiction: String,
    /// The food category in that law.
    pub category: String,
    /// What it is, in words.
    pub category_name: String,
    /// `permitted`, `limit`, `gmp`, `not authorised` or `not known`.
    pub status: String,
    /// The limit, in `unit`.
    pub limit: Option<f64>,
    /// Unit of the limit.
    pub unit: String,
    /// What the limit is of.
    pub basis: String,
    /// Under which condition.
    pub condition: String,
    /// Source id of the text.
    pub source: String,
    /// Place in it.
    pub locator: String,
    /// Year of the text; empty where that is not known.
    pub year: String,
    /// The year it is known to have been in force; empty where that is not known.
    pub in_force_as_of: String,
    /// A remark.
    pub note: String,
}

impl Permission {
    /// The limit in mg/kg; `None` where there is none, or it is of another kind.
    pub fn most(&self) -> Option<f64> {
        match self.unit.as_str() {
            "mg/kg" => self.limit,
            "%" => self.limit.map(|percent| percent * 1e4),
            _ => None,
        }
    }

    /// Whether its limit is one of a sum.
    pub fn shared(&self) -> bool {
        self.group.starts_with("sum-")
    }
}

/// Which category of a law a class of dishes falls under, a row of `data/food-categories.csv`. Of
/// several the first that has a permission counts.
#[derive(Debug, Clone, PartialEq)]
pub struct FoodCategory {
    /// Ids of classes; `*` for all.
    pub classes: Vec<String>,
    /// Where.
    pub jurisdiction: String,
    /// Code or name of the category.
    pub category: String,
}

impl FoodCategory {
    /// Whether a permission is of this category.
    pub fn holds(&self, permission: &Permission) -> bool {
        self.jurisdiction == permission.jurisdiction
            && (self.category == permission.category || self.category == permission.category_name)
    }
}

/// A name the law has for substances, a row of `data/additives.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct AdditiveName {
    /// Folded.
    pub name: String,
    /// Substances, as permissions name them.
    pub substances: Vec<String>,
    /// Its E number, or the first and last of several.
    pub e_number: String,
}

/// A word of questions about the law and about people's health, a row of `data/law-words.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct LawWord {
    /// Folded; as typed where it is written in capitals, which then count.
    pub word: String,
    /// `asks`, `asks amount`, `bars`, `jurisdiction`, `name`, `topic` or `may`.
    pub meaning: String,
    /// The jurisdiction or topic.
    pub detail: String,
}

/// The part of a substance that counts on the basis of a limit, a row of `data/law-bases.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct Basis {
    /// The substance.
    pub substance: String,
    /// The basis, as permissions name it.
    pub basis: String,
    /// Grams that count per gram.
    pub share: f64,
}

/// What an ingredient carries by nature, a row of `data/constituents.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct Constituent {
    /// The ingredient.
    pub ingredient: String,
    /// The substance, as permissions name it.
    pub substance: String,
    /// Least and greatest content, %.
    pub percent: (f64, f64),
    /// Source id.
    pub source: String,
}

/// How much of something a person may take in, a row of `data/intakes.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct Intake {
    /// Ingredients it counts for.
    pub ingredients: Vec<String>,
    /// Its name.
    pub name: String,
    /// What the figure is: `acceptable daily intake`, `single dose without effect`.
    pub quantity: String,
    /// mg per kg of body mass.
    pub milligrams: f64,
    /// A condition or remark.
    pub condition: String,
    /// Who says so.
    pub body: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// What is known of the law beside its permissions.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Law {
    /// Categories by class, the nearest first.
    pub categories: Vec<FoodCategory>,
    /// Names.
    pub names: Vec<AdditiveName>,
    /// Words of questions.
    pub words: Vec<LawWord>,
    /// Bases of limits.
    pub bases: Vec<Basis>,
    /// What ingredients carry.
    pub constituents: Vec<Constituent>,
    /// Intakes.
    pub intakes: Vec<Intake>,
}

impl Law {
    /// A jurisdiction as people call it.
    pub fn called<'a>(&'a self, jurisdiction: &'a str) -> &'a str {
        let mut words = self.words.iter();
        let named = words.find(|w| w.meaning == "name" && w.detail == jurisdiction);
        named.map_or(jurisdiction, |w| w.word.as_str())
    }
}

/// What those allergic to one thing often react to as well, a row of `data/relatives.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct Relative {
    /// The allergen.
    pub allergen: String,
    /// The other thing, as `data/allergens.csv` names it where it does.
    pub relative: String,
    /// It holds the other way round as well.
    pub both_ways: bool,
    /// Least and greatest share of people, %; `None` where only the kinship is known.
    pub rate: Option<(f64, f64)>,
    /// What they share.
    pub bond: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}
