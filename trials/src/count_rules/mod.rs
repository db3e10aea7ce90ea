//! What a line of counts may hold, as data: `count_rules.json`.
//!
//! In: nothing. Out: [`rules`], which the check of counts goes by, and [`JSON`], the same text for a page that takes counts in
//! where this program is not at hand. Both are held together by the cases in `tests/count_rules/fixtures.json`, which go through
//! either.
//!
//! The numbers are those of [`ranges`](crate::ranges::tables), which says why each is no other.

use std::sync::LazyLock;

use serde::Deserialize;

/// The rules as they are written.
pub const JSON: &str = include_str!("count_rules.json");

/// What a line of counts may hold.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CountRules {
    /// The columns, in the order in which they are written.
    pub columns: Vec<Column>,
    /// Stages that are told apart.
    pub stages: Vec<Stage>,
    /// Columns that say together what was counted: the same in all of them is the same count.
    pub counted_once: Vec<String>,
    /// More animals to the square metre are a slip of the pen, unless the protocol says otherwise.
    pub most_per_m2: f64,
    /// Most characters of a cell.
    pub cell_characters: usize,
    /// Years of a date.
    pub years: Years,
}

/// A column of counts.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Column {
    /// Its heading; capitals do not matter.
    pub name: String,
    /// What stands in its cells.
    pub holds: Holds,
    /// What that means.
    pub meaning: String,
    /// Least number, where it holds numbers.
    pub least: Option<f64>,
    /// Largest number, where it holds numbers.
    pub most: Option<f64>,
    /// Whether a table of counts can do without it.
    pub needed: Needed,
    /// What a blank cell stands for, in words.
    pub blank: String,
}

/// What the cells of a column hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Holds {
    /// A name.
    Name,
    /// A day of the calendar.
    Date,
    /// A stage of an animal's life.
    Stage,
    /// A number without a fraction.
    #[serde(rename = "whole number")]
    WholeNumber,
    /// A number.
    Number,
    /// A date and time of day with its distance from universal time.
    Moment,
    /// Free text.
    Text,
}

/// When a column is needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Needed {
    /// In every table of counts.
    Always,
    /// Where the protocol has several of what it names.
    #[serde(rename = "where there are several")]
    WhereSeveral,
    /// In none.
    Never,
}

/// A stage of an animal's life.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stage {
    /// As it is kept.
    pub name: String,
    /// Other ways in which it may be written.
    pub also: Vec<String>,
}

/// Years of a date, both ends included.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Years {
    /// First.
    pub least: i16,
    /// Last.
    pub most: i16,
}

impl CountRules {
    /// Headings of all columns, in order.
    #[must_use]
    pub fn names(&self) -> Vec<&str> {
        self.columns.iter().map(|c| c.name.as_str()).collect()
    }

    /// Headings that a table cannot do without.
    #[must_use]
    pub fn needed(&self) -> Vec<&str> {
        let needed = self.columns.iter().filter(|c| c.needed == Needed::Always);
        needed.map(|c| c.name.as_str()).collect()
    }

    /// Whether a number may stand under a heading.
    #[must_use]
    pub fn holds(&self, column: &str, value: f64) -> bool {
        let range = self.columns.iter().find(|c| c.name == column);
        range.is_some_and(|c| {
            c.least.is_none_or(|least| value >= least) && c.most.is_none_or(|most| value <= most)
        })
    }

    /// The largest number that may stand under a heading; without end where none is given.
    #[must_use]
    pub fn most(&self, column: &str) -> f64 {
        let range = self.columns.iter().find(|c| c.name == column);
        range.and_then(|c| c.most).unwrap_or(f64::INFINITY)
    }

    /// A stage by any of its names, as it is kept; capitals do not matter.
    #[must_use]
    pub fn stage(&self, written: &str) -> Option<&str> {
        let written = written.trim().to_lowercase();
        let known = |s: &&Stage| s.name == written || s.also.contains(&written);
        self.stages.iter().find(known).map(|s| s.name.as_str())
    }
}

/// The rules. Their text is a part of the program, and a test holds that it can be read.
#[must_use]
pub fn rules() -> &'static CountRules {
    static RULES: LazyLock<CountRules> =
        LazyLock::new(|| serde_json::from_str(JSON).unwrap_or_default());
    &RULES
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ranges::tables::{CELL, COUNT, DENSITY, MINUTES, SAMPLED_AREA, YEAR};

    #[test]
    fn the_rules_can_be_read_and_their_numbers_are_those_of_the_ranges() {
        let read: CountRules = serde_json::from_str(JSON).unwrap();
        assert_eq!(&read, rules());
        assert_eq!(read.needed(), ["plot", "count"]);
        for (name, range) in [
            ("count", COUNT),
            ("area_m2", SAMPLED_AREA),
            ("minutes_after_lift", MINUTES),
        ] {
            let column = read.columns.iter().find(|c| c.name == name).unwrap();
            let ends = (column.least.unwrap(), column.most.unwrap());
            assert_eq!(ends, (range.start(), range.end()), "{name}");
        }
        assert_eq!(read.most_per_m2, DENSITY.end());
        assert_eq!(read.cell_characters as f64, CELL.end());
        let years = [read.years.least, read.years.most].map(f64::from);
        assert_eq!(years, [YEAR.start(), YEAR.end()]);
        let known = read.names();
        assert!(
            read.counted_once
                .iter()
                .all(|n| known.contains(&n.as_str()))
        );
    }

    #[test]
    fn a_stage_is_found_by_any_of_its_names() {
        assert_eq!(rules().stage("Larvae"), Some("larva"));
        assert_eq!(rules().stage("exuviae"), Some("empty case"));
        assert_eq!(rules().stage("egg"), None);
    }
}
