//! When something was counted: the day, the time of day, the minutes since a sheet was lifted.

use jiff::Timestamp;
use jiff::civil::Date;

use super::row::Sheet;
use crate::count_rules::rules;
use crate::design::dates::{possible_days, read_date};
use crate::ranges::tables::{MINUTES, YEAR};
use crate::table::{Cause, Cell, Complaint, Problem, Rule};

/// Days between a count and its occasion within which a date is taken to be meant, and beyond which no other reading may
/// lie nearer than twice as far: common practice, no source.
const NEAR: i32 = 14;

impl Sheet<'_> {
    /// The day of a count. A date in another order is taken where it can mean one day only: by the calendar, or because one
    /// reading alone lies near the day of its occasion. That is told beside it.
    pub(super) fn day(
        &self,
        row: &[Cell],
        occasion: Option<&str>,
    ) -> Result<(Option<Date>, Option<Problem>), Problem> {
        let Some(cell) = self.cell(row, "date").filter(|c| !c.text.is_empty()) else {
            return Ok((None, None));
        };
        let fault = match read_date(&cell.text) {
            Ok(day) => return Ok((Some(day), None)),
            Err(fault) => fault,
        };
        let days = possible_days(&cell.text);
        let of_occasion = occasion.and_then(|name| {
            let at = self.occasions.iter().position(|o| *o == name)?;
            self.days[at]
        });
        if let Some((day, why)) = the_one_meant(&cell.text, &days, of_occasion) {
            let read = Complaint::note(format!(
                "\"{}\" is not written as year-month-day; it is read as {day}, {why}",
                cell.text
            ));
            let told = self
                .problem(cell, Rule::OtherDateOrder, read)
                .of_cause(Cause::DateOrder);
            return Ok((Some(day), Some(told)));
        }
        let unfit = Complaint::new(fault.what, fault.cure);
        let problem = self.problem(cell, Rule::ImpossibleDate, unfit);
        Err(if days.len() > 1 {
            problem.of_cause(Cause::DateReadings)
        } else {
            problem
        })
    }

    /// Minutes since the sheet was lifted; 0 where they are not written.
    pub(super) fn minutes(&self, row: &[Cell]) -> Result<u64, Problem> {
        let Some(cell) = self
            .cell(row, "minutes_after_lift")
            .filter(|c| !c.text.is_empty())
        else {
            return Ok(0);
        };
        let whole = cell.text.bytes().all(|b| b.is_ascii_digit());
        let minutes = cell.text.parse::<u64>().ok().filter(|_| whole);
        let fits = |m: &u64| rules().holds("minutes_after_lift", *m as f64);
        minutes.filter(fits).ok_or_else(|| {
            let unfit = Complaint::new(
                format!(
                    "the minutes after the lift are a whole number {}, but this is \"{}\"",
                    MINUTES.words(),
                    cell.text
                ),
                "Write 0, 15 or 30, say, or leave the cell blank for what was found at the lift.",
            );
            self.problem(cell, Rule::ImpossibleNumber, unfit)
        })
    }

    /// When a count was finished, as written, and the day of it there and then.
    pub(super) fn moment(&self, row: &[Cell]) -> Result<Option<(String, Date)>, Problem> {
        let Some(cell) = self.cell(row, "counted_at").filter(|c| !c.text.is_empty()) else {
            return Ok(None);
        };
        let day = cell.text.get(..10).and_then(|day| day.parse::<Date>().ok());
        let day = day.filter(|day| YEAR.holds(f64::from(day.year())));
        if let (Ok(_), Some(day)) = (cell.text.parse::<Timestamp>(), day) {
            return Ok(Some((cell.text.clone(), day)));
        }
        let unfit = Complaint::new(
            format!(
                "\"{}\" is no date with a time and its distance from universal time",
                cell.text
            ),
            "Write it as in 2026-09-24T06:40:00+01:00, or leave the cell blank.",
        );
        Err(self.problem(cell, Rule::ImpossibleMoment, unfit))
    }

    /// That the date of a count is not the day of its moment: the one was typed, the other is by a phone's clock.
    pub(super) fn two_days(
        &self,
        row: &[Cell],
        day: Option<Date>,
        moment: Option<Date>,
    ) -> Option<Problem> {
        let (day, moment) = day.zip(moment).filter(|(day, moment)| day != moment)?;
        let cell = self.cell(row, "date")?;
        let differ = Complaint::new(
            format!("the date is {day}, and `counted_at` says {moment}: the date is taken"),
            "Look which of them is right: a slip of the hand, the clock of a phone, or a night that went past twelve.",
        );
        let told = self.problem(cell, Rule::TwoDays, differ);
        Some(told.of_cause(Cause::TwoDays))
    }
}

/// The day that a date in another order must mean, and why it can be no other.
fn the_one_meant(text: &str, days: &[Date], occasion: Option<Date>) -> Option<(Date, String)> {
    if let Some(occasion) = occasion {
        let off = |day: &Date| (*day - occasion).get_days().abs();
        let near: Vec<&Date> = days.iter().filter(|day| off(day) <= NEAR).collect();
        let others_far = days
            .iter()
            .filter(|day| off(day) > NEAR)
            .all(|day| off(day) > 2 * NEAR);
        if let ([day], true) = (near.as_slice(), others_far) {
            return Some((**day, format!("for its occasion is dated {occasion}")));
        }
    }
    // Two figures may be a year as well as a day.
    let with_year = text.split(['-', '/', '.', ' ']).any(|part| part.len() == 4);
    match days {
        [day] if with_year => Some((*day, "the only day that it can be".to_owned())),
        _ => None,
    }
}
