//! What an answer in words carries among its own fields, read back: the field that only one of them
//! has tells which it is.

use serde::de::{DeserializeOwned, Error};
use serde::{Deserialize, Deserializer};
use serde_json::{Map, Value};

use super::{Hits, SwapOut};

/// Ingredients found, where there are any.
pub(super) fn hits<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Hits>, D::Error> {
    carried(from, "hits")
}

/// A swap, where there is one.
pub(super) fn swap<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Box<SwapOut>>, D::Error> {
    carried(from, "options")
}

fn carried<'de, T: DeserializeOwned, D: Deserializer<'de>>(
    from: D,
    told_by: &str,
) -> Result<Option<T>, D::Error> {
    let fields = Map::deserialize(from)?;
    match fields.contains_key(told_by) {
        true => serde_json::from_value(Value::Object(fields)).map_err(D::Error::custom),
        false => Ok(None),
    }
}
