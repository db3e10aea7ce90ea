//! Words typed on the command line into values of a request.

use serde::Deserialize;
use serde::de::IntoDeserializer;
use serde::de::value::Error;

/// The value that a request in JSON has under this name.
pub(super) fn named<'de, T: Deserialize<'de>>(name: &'de str) -> Result<T, Error> {
    T::deserialize(name.into_deserializer())
}
