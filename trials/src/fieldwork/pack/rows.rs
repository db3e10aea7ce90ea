//! What is to be counted: a row for each occasion, plot and sample.

use jiff::civil::Date;

use super::Pack;
use crate::count_rules::{self, Holds, rules};
use crate::design::{Occasion, ResponseKind};

/// Something that is to be counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Row<'a> {
    pub(super) plot: &'a str,
    /// Number of the core, quadrat or place read within the plot.
    pub(super) sample: usize,
    pub(super) occasion: &'a str,
    /// Planned day.
    pub(super) date: Option<Date>,
}

/// Rows of one occasion, plots in walking order.
pub(super) fn rows_of<'a>(pack: &Pack<'a>, occasion: &'a Occasion) -> Vec<Row<'a>> {
    let samples = pack.protocol.response.cores_per_plot;
    let plots = pack.layout.names().into_iter();
    let row = move |plot| {
        (1..=samples).map(move |sample| Row {
            plot,
            sample,
            occasion: &occasion.name,
            date: occasion.date,
        })
    };
    plots.flat_map(row).collect()
}

/// Rows of all occasions, one occasion after the other.
pub(super) fn rows<'a>(pack: &Pack<'a>) -> Vec<Row<'a>> {
    let occasions = pack.protocol.occasions.iter();
    occasions
        .flat_map(|occasion| rows_of(pack, occasion))
        .collect()
}

/// What is written into a column of the tables.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Column {
    Plot,
    Sample,
    Occasion,
    Date,
    Stage,
    /// Whole number of animals.
    Count,
    /// Another whole number, between two.
    Whole([f64; 2]),
    /// Ground that a count comes from, between two numbers.
    Area([f64; 2]),
    /// A reading, or what is read outside an edge.
    Reading,
    /// Words, free.
    Free,
}

/// Names and contents of the columns: those of counts by their [rules](crate::count_rules), or those of readings.
pub(super) fn columns(kind: ResponseKind) -> Vec<(&'static str, Column)> {
    let readings: &[&'static str] = match kind {
        ResponseKind::Count => return rules().columns.iter().map(of_counts).collect(),
        ResponseKind::Edge => &["reading", "outside"],
        ResponseKind::Score | ResponseKind::Cover | ResponseKind::Length => &["reading"],
    };
    let mut columns = vec![
        ("plot", Column::Plot),
        ("sample", Column::Sample),
        ("occasion", Column::Occasion),
        ("date", Column::Date),
    ];
    columns.extend(readings.iter().map(|name| (*name, Column::Reading)));
    columns.push(("note", Column::Free));
    columns
}

fn of_counts(rule: &'static count_rules::Column) -> (&'static str, Column) {
    let ends = || {
        [
            rule.least.unwrap_or(f64::MIN),
            rule.most.unwrap_or(f64::MAX),
        ]
    };
    let what = match (rule.name.as_str(), rule.holds) {
        ("plot", _) => Column::Plot,
        ("sample", _) => Column::Sample,
        ("occasion", _) => Column::Occasion,
        ("count", _) => Column::Count,
        (_, Holds::Date) => Column::Date,
        (_, Holds::Stage) => Column::Stage,
        (_, Holds::WholeNumber) => Column::Whole(ends()),
        (_, Holds::Number) => Column::Area(ends()),
        (_, Holds::Name | Holds::Moment | Holds::Text) => Column::Free,
    };
    (&rule.name, what)
}

/// Stages that may be chosen from: those of the protocol, or the usual ones.
pub(super) fn stages<'a>(pack: &Pack<'a>) -> Vec<&'a str> {
    let listed = &pack.protocol.response.stages;
    if listed.is_empty() {
        rules().stages.iter().map(|s| s.name.as_str()).collect()
    } else {
        listed.iter().map(String::as_str).collect()
    }
}
