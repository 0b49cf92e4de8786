//! One value of one property of one ingredient, with its source and the row it was read from.

/// The file and line a value was read from.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Row {
    /// Path below the data root.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
}

/// One value row.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// Property id.
    pub property: String,
    /// Conditions such as `temperature=20 C`; empty for "as is".
    pub condition: String,
    /// Least.
    pub low: Option<f64>,
    /// Typical.
    pub typical: Option<f64>,
    /// Greatest.
    pub high: Option<f64>,
    /// Text of a text or choice property; empty for numbers.
    pub text: String,
    /// Unit, equal to the property's.
    pub unit: String,
    /// Source id.
    pub source: String,
    /// Table, section, page or row in the source.
    pub locator: String,
    /// A remark.
    pub note: String,
    /// It is the person's own and goes before what is built in.
    pub own: bool,
    /// Where it was read.
    pub row: Row,
}

impl Value {
    /// Order in which rows of one property are preferred, least first: "as is" before under a
    /// condition, own before built in.
    pub fn rank(&self) -> u8 {
        2 * u8::from(!self.condition.is_empty()) + u8::from(!self.own)
    }

    /// The figure to use: the typical value, else the middle of the range.
    pub fn figure(&self) -> Option<f64> {
        self.typical.or(match (self.low, self.high) {
            (Some(low), Some(high)) => Some((low + high) / 2.0),
            (low, high) => low.or(high),
        })
    }

    /// Least and greatest of all that the row states.
    pub fn range(&self) -> Option<(f64, f64)> {
        let stated = [self.low, self.typical, self.high];
        let least = stated
            .iter()
            .flatten()
            .copied()
            .fold(f64::INFINITY, f64::min);
        let greatest = stated
            .iter()
            .flatten()
            .copied()
            .fold(f64::NEG_INFINITY, f64::max);
        (least <= greatest).then_some((least, greatest))
    }

    /// What the condition says of `key`: `condition("temperature")` of `temperature=20 C` is `20 C`.
    pub fn condition(&self, key: &str) -> Option<&str> {
        self.condition
            .split(';')
            .filter_map(|pair| pair.trim().split_once('='))
            .find(|(k, _)| k.trim() == key)
            .map(|(_, v)| v.trim())
    }

    /// The temperature of the condition, in degrees Celsius.
    pub fn at_celsius(&self) -> Option<f64> {
        self.condition("temperature")?
            .trim_end_matches(['C', ' ', '°'])
            .parse()
            .ok()
    }
}
