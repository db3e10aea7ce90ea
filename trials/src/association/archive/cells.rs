//! What single cells of a club's table mean.

use jiff::civil::Date;

use super::Levels;
use crate::intake::read_count;
use crate::ranges::tables::{SAMPLED_AREA, YEAR};
use crate::text::names::{NAME, fault};

/// A fault before its place is known.
pub(super) type Wrong = (String, String);

/// What a text of few different ones means, worked out once for each.
#[derive(Debug)]
pub(super) struct Meanings<T> {
    pub(super) texts: Levels,
    meant: Vec<Result<T, Wrong>>,
}

impl<T> Meanings<T> {
    /// Nothing met yet.
    pub(super) fn none() -> Self {
        Self {
            texts: Levels::default(),
            meant: Vec::new(),
        }
    }

    /// Position and meaning of a text.
    pub(super) fn of(
        &mut self,
        text: &str,
        read: impl FnOnce(&str) -> Result<T, Wrong>,
    ) -> (u32, &Result<T, Wrong>) {
        let (code, new) = self.texts.meet(text);
        if new {
            self.meant.push(read(text));
        }
        (code, &self.meant[code as usize])
    }
}

/// A count; `None` where nothing was counted.
#[inline]
pub(super) fn count(text: &str) -> Result<Option<u32>, Wrong> {
    let plain = (1..=5).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    if plain {
        return Ok(Some(
            text.bytes().fold(0, |n, b| n * 10 + u32::from(b - b'0')),
        ));
    }
    match read_count(text) {
        Ok(count) => Ok(count.map(|n| u32::try_from(n).unwrap_or(u32::MAX))),
        Err(fault) => Err((
            fault.complaint.what,
            fault.complaint.cure.unwrap_or_default(),
        )),
    }
}

/// Whether this can be a name.
pub(super) fn name(text: &str) -> Result<(), Wrong> {
    if text.is_empty() {
        return Err((
            "a name is blank here".to_owned(),
            "Fill it in on every line.".to_owned(),
        ));
    }
    fault(text, NAME).map_or(Ok(()), Err)
}

/// A year.
pub(super) fn season(text: &str) -> Result<i16, Wrong> {
    let year = text
        .parse::<i16>()
        .ok()
        .filter(|y| YEAR.holds(f64::from(*y)));
    year.ok_or_else(|| {
        let what = format!("\"{text}\" is no year");
        (
            what,
            "Write the year of the counts in four figures, as 2026.".to_owned(),
        )
    })
}

/// A day.
pub(super) fn day(text: &str) -> Result<Date, Wrong> {
    let day = text
        .parse::<Date>()
        .ok()
        .filter(|d| YEAR.holds(f64::from(d.year())));
    day.ok_or_else(|| {
        let what = format!("\"{text}\" is no date");
        (what, "Write year, month and day, as 2026-09-18.".to_owned())
    })
}

/// A sampled area, from the number of its cell.
pub(super) fn area(
    text: &str,
    decimal_comma: bool,
    square_metres: impl Fn(f64) -> f64,
) -> Result<f64, Wrong> {
    let number = if decimal_comma {
        text.replace(',', ".")
    } else {
        text.to_owned()
    };
    let area = number.parse::<f64>().ok().map(square_metres);
    area.filter(|a| SAMPLED_AREA.holds(*a)).ok_or_else(|| {
        let what = format!("\"{text}\" is no sampled area ({})", SAMPLED_AREA.words());
        (
            what,
            "Write a plain number in the unit that --area-unit says.".to_owned(),
        )
    })
}
