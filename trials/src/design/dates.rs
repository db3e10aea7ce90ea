//! Calendar dates as people type them, refused unless there is one reading.

use jiff::civil::Date;

use crate::ranges::tables::YEAR;

const CURE: &str = "Write dates as year-month-day, for example 2026-03-04.";

/// Why a text is not a date: what is wrong and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct DateFault {
    /// What is wrong, without a full stop.
    pub what: String,
    /// What to do, as a sentence.
    pub cure: String,
}

/// Reads an ISO 8601 calendar date, `2026-03-04`.
///
/// # Errors
/// A date that does not exist is told apart from a text that is no date, and a date with slashes or
/// dots is answered with its possible readings; it is never guessed.
pub(crate) fn read_date(text: &str) -> Result<Date, DateFault> {
    let text = text.trim();
    let parts: Vec<&str> = text.split(['-', '/', '.', ' ']).collect();
    let numbers: Vec<i16> = parts.iter().filter_map(|p| p.parse().ok()).collect();
    let (&[a, b, c], true) = (numbers.as_slice(), parts.len() == 3) else {
        return Err(fault(format!("\"{text}\" is not a date"), CURE));
    };
    if parts[0].len() == 4 && text.contains('-') {
        if !YEAR.holds(f64::from(a)) && civil(a, b, c).is_some() {
            return Err(fault(
                YEAR.fault(&format!("the year {a}")),
                "Correct the year.",
            ));
        }
        return civil(a, b, c).ok_or_else(|| {
            fault(
                format!("{text} does not exist in the calendar"),
                "Correct the day or the month.",
            )
        });
    }
    let readings = readings(a, b, c, parts[0].len() == 4);
    Err(match readings.as_slice() {
        [] => fault(
            format!("\"{text}\" is not a date in any order of day, month and year"),
            CURE,
        ),
        [one] => fault(
            format!("\"{text}\" is not written as year-month-day"),
            &format!("Write {one} if that is the day meant."),
        ),
        [one, two, ..] => fault(
            format!("\"{text}\" can be read as {one} or as {two}"),
            "Write the one that is meant.",
        ),
    })
}

/// Every day that a text may mean: the one of an ISO 8601 date, else day, month and year in any order in which people write
/// them. None where the text is no date.
pub(crate) fn possible_days(text: &str) -> Vec<Date> {
    let text = text.trim();
    if let Ok(day) = read_date(text) {
        return vec![day];
    }
    let parts: Vec<&str> = text.split(['-', '/', '.', ' ']).collect();
    let numbers: Vec<i16> = parts.iter().filter_map(|p| p.parse().ok()).collect();
    let (&[a, b, c], true) = (numbers.as_slice(), parts.len() == 3) else {
        return Vec::new();
    };
    let year_first = parts[0].len() == 4;
    let iso = year_first && text.contains('-');
    let mut days = if iso {
        Vec::new()
    } else {
        readings(a, b, c, year_first)
    };
    // 26/09/24 may have its year first as well.
    if parts.iter().all(|p| p.len() <= 2) {
        days.extend(civil(2000 + a, b, c));
    }
    days.retain(|day| YEAR.holds(f64::from(day.year())));
    days.sort_unstable();
    days.dedup();
    days
}

/// Every existing date that the three numbers could stand for, year first or last, without repeats.
fn readings(a: i16, b: i16, c: i16, year_first: bool) -> Vec<Date> {
    let full = |year: i16| {
        if (0..100).contains(&year) {
            year + 2000
        } else {
            year
        }
    };
    let candidates = if year_first {
        [civil(a, b, c), None]
    } else {
        [civil(full(c), b, a), civil(full(c), a, b)]
    };
    let mut found: Vec<Date> = candidates.into_iter().flatten().collect();
    found.dedup();
    found
}

fn civil(year: i16, month: i16, day: i16) -> Option<Date> {
    Date::new(year, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()
}

fn fault(what: String, cure: &str) -> DateFault {
    DateFault {
        what,
        cure: cure.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leap_days_follow_the_calendar() {
        assert!(read_date("2028-02-29").is_ok());
        let fault = read_date("2026-02-29").unwrap_err();
        assert!(fault.what.contains("does not exist"), "{fault:?}");
    }

    #[test]
    fn a_date_with_slashes_is_answered_with_both_readings() {
        let fault = read_date("03/04/26").unwrap_err();
        assert!(fault.what.contains("2026-04-03") && fault.what.contains("2026-03-04"));
        let only = read_date("25/04/26").unwrap_err();
        assert!(only.cure.contains("2026-04-25"), "{only:?}");
        assert!(
            read_date("04/04/26")
                .unwrap_err()
                .cure
                .contains("2026-04-04")
        );
    }

    #[test]
    fn other_texts_are_no_dates() {
        for text in [
            "",
            "tomorrow",
            "2026",
            "99999-99999-99999",
            "2026-03",
            "31.31.31",
        ] {
            assert!(read_date(text).is_err(), "{text}");
        }
    }
}
