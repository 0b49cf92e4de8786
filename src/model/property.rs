//! What can be known of an ingredient: one property with its unit, bounds and meaning.

/// How a property's value is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PropertyKind {
    /// A number in the property's unit.
    Number,
    /// Free text.
    Text,
    /// One of a few words.
    Choice(Vec<String>),
}

/// One property, a row of `schema/properties.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct Property {
    /// Identifier used in data and conditions, such as `hydration_temperature`.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Unit every value row must repeat.
    pub unit: String,
    /// How values are written.
    pub kind: PropertyKind,
    /// Least number allowed.
    pub low: f64,
    /// Greatest number allowed.
    pub high: f64,
    /// Condition keys a value row may use, such as `temperature`.
    pub conditions: Vec<String>,
    /// `composition`, `sweetness`, `freezing`, `texture`, `process`, `safety`, `identity` or `diet`.
    pub group: String,
    /// Families in which it is looked for; elsewhere a missing value is no gap.
    pub families: Families,
    /// What it means, in words.
    pub meaning: String,
}

/// The property that says what a kilogram costs; its currency is the person's own.
pub const PRICE: &str = "price";

/// Some of the families, as a cell writes them: `all`, `all but a;b`, or `a;b`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Families {
    /// These.
    Only(Vec<String>),
    /// All but these.
    AllBut(Vec<String>),
}

impl Families {
    /// Reads a cell.
    pub fn parse(cell: &str) -> Families {
        let list = |text: &str| {
            let parts = text.split(';').map(str::trim);
            parts
                .filter(|p| !p.is_empty())
                .map(str::to_string)
                .collect()
        };
        match cell.trim() {
            "all" => Families::AllBut(vec![]),
            cell => match cell.strip_prefix("all but ") {
                Some(rest) => Families::AllBut(list(rest)),
                None => Families::Only(list(cell)),
            },
        }
    }

    /// The families written out.
    pub fn named(&self) -> &[String] {
        match self {
            Families::Only(named) | Families::AllBut(named) => named,
        }
    }
}

impl std::fmt::Display for Families {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Families::Only(named) => write!(f, "{}", named.join(";")),
            Families::AllBut(named) if named.is_empty() => write!(f, "all"),
            Families::AllBut(named) => write!(f, "all but {}", named.join(";")),
        }
    }
}

impl Property {
    /// Whether a value may be written in this unit: the property's own; for a price any currency
    /// per kilogram.
    pub fn takes(&self, unit: &str) -> bool {
        let currency = |unit: &str| {
            unit.strip_suffix("/kg").is_some_and(|c| {
                !c.is_empty() && c.chars().all(|c| !c.is_ascii_digit() && !c.is_whitespace())
            })
        };
        unit == self.unit || (self.id == PRICE && currency(unit))
    }

    /// Whether it is looked for in a family.
    pub fn applies_to(&self, family: &str) -> bool {
        match &self.families {
            Families::Only(named) => named.iter().any(|f| f == family),
            Families::AllBut(named) => named.iter().all(|f| f != family),
        }
    }
}
