//! A wind speed as forecasts write it, to metres per second; the Beaufort scale.
//!
//! The scale's limits are those of the World Meteorological Organization (Manual on Codes, WMO-No. 306, code table 1100),
//! in metres per second to one decimal. A force tells a wind over ten minutes; its gusts are stronger, and a gust that is
//! written as a force is taken at the upper limit of that force.

use crate::ranges::protocol::GUST;

/// Upper limits of Beaufort forces 0 to 11, metres per second; force 12 has none.
pub const BEAUFORT_UPPER_M_S: [f64; 12] = [
    0.2, 1.5, 3.3, 5.4, 7.9, 10.7, 13.8, 17.1, 20.7, 24.4, 28.4, 32.6,
];

/// Units of a speed as people write them, and how many metres per second one is: the mile of 1609.344 m and the nautical mile
/// of 1852 m are exact by definition.
const UNITS: [(&str, f64); 11] = [
    ("m/s", 1.0),
    ("ms-1", 1.0),
    ("mps", 1.0),
    ("mph", 1609.344 / 3600.0),
    ("mi/h", 1609.344 / 3600.0),
    ("km/h", 1.0 / 3.6),
    ("kmh", 1.0 / 3.6),
    ("kph", 1.0 / 3.6),
    ("kn", 1852.0 / 3600.0),
    ("kt", 1852.0 / 3600.0),
    ("knots", 1852.0 / 3600.0),
];

/// Words that make a number a force.
const FORCES: [&str; 4] = ["beaufort", "force", "bft", "f"];

/// A speed and how it was told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindSpeed {
    /// Metres per second.
    pub m_s: f64,
    /// The force, where it was told as one.
    pub force: Option<u8>,
}

/// The Beaufort force of a speed in metres per second: the least whose upper limit is not below it, once the speed is rounded
/// to the decimal that the scale has.
#[must_use]
pub fn beaufort(m_s: f64) -> u8 {
    let tenths = (10.0 * m_s).round();
    let below = BEAUFORT_UPPER_M_S
        .iter()
        .take_while(|upper| (10.0 * **upper).round() < tenths)
        .count();
    u8::try_from(below).unwrap_or(12)
}

/// Reads a speed with its unit (`35 mph`, `9 m/s`, `32 km/h`, `18 kn`) or a force (`F6`, `force 6`, `6 Bft`).
///
/// # Errors
/// What is wrong and what to do: no number, no unit, a unit or force that is not known, a speed outside its range.
pub fn read_wind_speed(text: &str) -> Result<WindSpeed, (String, String)> {
    let written = text.trim().to_lowercase();
    let shown = text.trim();
    if let Some(force) = force_of(&written) {
        return of_force(force, shown);
    }
    let end = written
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')))
        .unwrap_or(written.len());
    let (digits, unit) = written.split_at(end);
    let Ok(number) = digits.replacen(',', ".", 1).parse::<f64>() else {
        let what = format!("\"{shown}\" is no speed");
        return Err((what, CURE.to_owned()));
    };
    let unit: String = unit.chars().filter(|c| !c.is_whitespace()).collect();
    if unit.is_empty() {
        let what = format!("\"{shown}\" has no unit");
        return Err((what, CURE.to_owned()));
    }
    let Some((_, factor)) = UNITS.iter().find(|(name, _)| *name == unit) else {
        let what = format!("the unit of \"{shown}\" is not known");
        return Err((what, CURE.to_owned()));
    };
    within(number * factor, None, shown)
}

const CURE: &str =
    "Write a number and its unit, such as \"9 m/s\", \"20 mph\", \"32 km/h\" or \"F5\".";

/// The number of a force, where the text is one.
fn force_of(written: &str) -> Option<&str> {
    FORCES.iter().find_map(|word| {
        let rest = written
            .strip_prefix(word)
            .or_else(|| written.strip_suffix(word))?
            .trim();
        let digits = !rest.is_empty() && rest.chars().all(|c| c.is_ascii_digit());
        digits.then_some(rest)
    })
}

fn of_force(force: &str, shown: &str) -> Result<WindSpeed, (String, String)> {
    let number = force.parse::<u8>().ok().filter(|f| *f <= 12);
    let Some(number) = number else {
        let what = format!("\"{shown}\" is beyond the Beaufort scale, which ends at force 12");
        return Err((what, CURE.to_owned()));
    };
    match BEAUFORT_UPPER_M_S.get(usize::from(number)) {
        Some(upper) => within(*upper, Some(number), shown),
        None => Err((
            format!("\"{shown}\" has no upper limit, so that nothing can be weighed down for it"),
            "Leave the sheets in the shed; or write the gust as a speed.".to_owned(),
        )),
    }
}

fn within(m_s: f64, force: Option<u8>, shown: &str) -> Result<WindSpeed, (String, String)> {
    if GUST.holds(m_s) {
        return Ok(WindSpeed { m_s, force });
    }
    let what = format!(
        "\"{shown}\" is {m_s:.1} m/s, but a gust is {}: {}",
        GUST.words(),
        GUST.reason
    );
    Err((what, "Correct the figure or its unit.".to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_gust_in_every_unit() {
        for text in [
            "15.6464 m/s",
            "35 mph",
            "35mph",
            "56.32704 km/h",
            "56,32704 kmh",
            "30.4141685 kn",
        ] {
            let read = read_wind_speed(text).unwrap();
            assert!((read.m_s - 15.6464).abs() < 1e-6, "{text}: {read:?}");
        }
        for text in [
            "F6",
            "f6",
            "force 6",
            "Bft 6",
            "6 Bft",
            "6 beaufort",
            " Beaufort 6 ",
        ] {
            let read = read_wind_speed(text).unwrap();
            assert_eq!((read.m_s, read.force), (13.8, Some(6)), "{text}");
        }
    }

    #[test]
    fn what_is_no_gust_is_refused_with_what_to_write() {
        for text in [
            "",
            "35",
            "windy",
            "F13",
            "F12",
            "200 m/s",
            "-3 m/s",
            "9 furlongs",
            "1e9 m/s",
            "m/s",
            "nan m/s",
        ] {
            let (what, cure) = read_wind_speed(text).unwrap_err();
            assert!(
                what.contains(text.trim()) && cure.ends_with('.'),
                "{what} {cure}"
            );
        }
    }

    #[test]
    fn every_force_ends_where_the_next_begins() {
        for (force, upper) in BEAUFORT_UPPER_M_S.iter().enumerate() {
            assert_eq!(usize::from(beaufort(*upper)), force);
            assert_eq!(usize::from(beaufort(upper + 0.1)), force + 1);
        }
    }
}
