//! Lines to write counts on: a box and a ring for every core of every plot.

use maud::{Markup, html};

use super::rows::{Row, rows_of};
use super::sheet::Sheet;
use super::walk::treatment_on;
use super::{Pack, Treatments};
use crate::design::{Occasion, ResponseKind, Sample, TreatmentKind};

/// Lines that fit below one another on a sheet.
const LINES: usize = 16;
/// Characters of a plot's name that fit beside its boxes in large letters.
const LARGE_NAME: usize = 3;

/// What is written on a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Boxes {
    /// One count, and a ring for none.
    Count,
    /// Counts when the sheet is lifted and twice after, and a ring for none.
    LateComers,
    /// A reading.
    Reading,
    /// A reading inside an edge and one outside.
    InsideOutside,
}

impl Boxes {
    /// What suits the response: in marked squares that a sheet is lifted from, animals go on coming up.
    pub(super) fn of(pack: &Pack<'_>) -> Self {
        let response = &pack.protocol.response;
        let mut methods = pack.protocol.treatments.iter();
        let covered = methods.any(|t| t.kind == TreatmentKind::Covering);
        match response.kind {
            ResponseKind::Count if covered && response.sample == Sample::Quadrat => {
                Self::LateComers
            }
            ResponseKind::Count => Self::Count,
            ResponseKind::Edge => Self::InsideOutside,
            ResponseKind::Score | ResponseKind::Cover | ResponseKind::Length => Self::Reading,
        }
    }

    /// What stands above each box, and whether it is a narrow one.
    fn heads(self) -> &'static [&'static str] {
        match self {
            Self::Count => &["count"],
            Self::LateComers => &["at lift", "15 min", "30 min"],
            Self::Reading => &["reading"],
            Self::InsideOutside => &["inside", "outside"],
        }
    }

    /// How many tables stand side by side: three boxes and a note take the whole width.
    fn tables_beside(self) -> usize {
        match self {
            Self::LateComers => 1,
            Self::Count | Self::Reading | Self::InsideOutside => 2,
        }
    }

    /// Whether "none found" is told apart.
    pub(super) fn with_ring(self) -> bool {
        matches!(self, Self::Count | Self::LateComers)
    }
}

/// The sheets of one occasion.
pub(super) fn line_sheets(
    pack: &Pack<'_>,
    occasion: &Occasion,
    treatments: Treatments,
) -> Vec<Sheet> {
    let rows = rows_of(pack, occasion);
    let cores = pack.protocol.response.cores_per_plot;
    // The cores of a plot stay together where they fit.
    let half = if cores <= LINES {
        LINES - LINES % cores.max(1)
    } else {
        LINES
    };
    let when = occasion
        .date
        .map_or_else(String::new, |date| format!(", {date}"));
    let beside = Boxes::of(pack).tables_beside();
    let sheets = rows.chunks(beside * half);
    sheets
        .map(|both| Sheet {
            title: format!("{}{when}", occasion.name),
            body: html! {
                (to_fill_in())
                div.halves {
                    @for lines in both.chunks(half) { (table(pack, occasion, lines, treatments)) }
                    @if beside > 1 && both.len() <= half { table aria-hidden="true" { tr { td {} } } }
                }
            },
        })
        .collect()
}

/// Boxes for what holds for the whole sheet.
fn to_fill_in() -> Markup {
    html! {
        div.filled {
            p { "date" }
            p.wide { "counted by" }
            p { "begun at" }
            p { "ended at" }
            p.wide { "weather, light" }
        }
    }
}

fn table(
    pack: &Pack<'_>,
    occasion: &Occasion,
    lines: &[Row<'_>],
    treatments: Treatments,
) -> Markup {
    let boxes = Boxes::of(pack);
    let [sample, _] = pack.protocol.response.sample.words();
    let width = if boxes.heads().len() == 1 {
        "boxed"
    } else {
        "narrow"
    };
    html! {
        table.lines {
            thead {
                tr {
                    th.plot scope="col" { "plot" }
                    th.sample scope="col" { (sample) }
                    @for head in boxes.heads() { th class=(width) scope="col" { (head) } }
                    @if boxes.with_ring() { th.none scope="col" { "none found" } }
                    th scope="col" { "note" }
                }
            }
            tbody {
                @for line in lines {
                    tr.first[line.sample == 1] {
                        (plot_cell(pack, occasion, line, treatments))
                        td.sample { (line.sample) }
                        @for _ in boxes.heads() { td class=(width) { span.box {} } }
                        @if boxes.with_ring() { td.none { span.ring { "0" } } }
                        td.note {}
                    }
                }
            }
        }
    }
}

/// The plot's name, and what it got where that is shown; on the lines after its first the name alone.
fn plot_cell(
    pack: &Pack<'_>,
    occasion: &Occasion,
    line: &Row<'_>,
    treatments: Treatments,
) -> Markup {
    let long = line.plot.chars().count() > LARGE_NAME;
    let got = treatment_on(pack, line.plot, occasion)
        .filter(|_| line.sample == 1 && treatments == Treatments::Shown);
    html! {
        td.plot.long[long] {
            (line.plot)
            @if let Some(got) = got { small { b { (got.code) } " " (got.name) } }
        }
    }
}
