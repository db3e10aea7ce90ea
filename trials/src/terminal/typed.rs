//! Words typed on the command line into values of a request; a complaint is shown with the flag's name.

use std::ops::RangeInclusive;

use clap::builder::{PossibleValuesParser, TypedValueParser};
use serde::de::value::{Error, StringDeserializer};
use serde::de::{DeserializeOwned, IntoDeserializer};

use crate::ranges::Range;
use crate::ranges::request::{NEXT_BLOCKS, NEXT_CORES};

/// Reads one of these names: the value that has it in a request.
pub(super) fn one_of<T>(names: &[&'static str]) -> impl TypedValueParser<Value = T> + use<T>
where
    T: DeserializeOwned + Clone + Send + Sync + 'static,
{
    PossibleValuesParser::new(names.to_vec()).try_map(|name| {
        let name: StringDeserializer<Error> = name.into_deserializer();
        T::deserialize(name)
    })
}

/// Reads `N` or `LOW-HIGH`: blocks of which a plan may have so many.
pub(super) fn blocks(text: &str) -> Result<RangeInclusive<usize>, String> {
    range(text, &NEXT_BLOCKS)
}

/// Reads `N` or `LOW-HIGH`: cores of which a plot may have so many.
pub(super) fn cores(text: &str) -> Result<RangeInclusive<usize>, String> {
    range(text, &NEXT_CORES)
}

/// Reads `N` or `LOW-HIGH` within the limits of what is counted.
fn range(text: &str, of: &Range) -> Result<RangeInclusive<usize>, String> {
    let number = |part: &str| part.trim().parse::<usize>().ok();
    let (low, high) = text.split_once('-').unwrap_or((text, text));
    match number(low).zip(number(high)) {
        Some((low, high)) if low <= high && of.holds_whole(high as u64) => Ok(low..=high),
        _ => Err(format!(
            "a whole number {}, several with commas between, or a range is needed, such as 6,8,12 or 6-12",
            of.words()
        )),
    }
}

/// Reads `A,B`.
pub(super) fn pair(text: &str) -> Result<(f64, f64), String> {
    let number = |part: &str| part.trim().parse::<f64>().ok();
    match text.split_once(',') {
        Some((a, b)) => number(a).zip(number(b)),
        None => None,
    }
    .ok_or_else(|| "two numbers with a comma between are needed, such as 1.5,1.2".to_owned())
}
