//! For the members: of twenty that an untreated plot holds, how many does a treated plot hold, and how sure is that?

use maud::{Markup, html};

use super::super::of_twenty::{MOST, OfTwenty, of_twenty};
use super::Figure;
use crate::drawing::FigureData;
use crate::drawing::key::{Entry, Key};
use crate::drawing::label::{Anchor, LEADING, Label, lines};
use crate::drawing::lettering::{Weight, width, wrap};
use crate::drawing::mark::Mark;
use crate::drawing::palette::{Colour, INK};
use crate::drawing::paper::{FIGURE_PX, Paper, Words, mm};
use crate::report::Findings;

/// Marks in a line.
const LINE: u32 = 20;
/// From one mark to the next, pixels.
const STEP: f64 = 23.0;
/// Radius of a mark, pixels.
const MARK: f64 = 8.0;
/// Size of a row's name, and of the key, pixels.
const NAME: f64 = 15.0;
/// From one row to the next, pixels.
const APART: f64 = 10.0;
/// Empty margin, pixels.
const MARGIN: f64 = 6.0;

/// Draws it; `None` where a ratio has no value or is too large to draw.
pub(super) fn figure(findings: &Findings<'_>) -> Option<Figure> {
    let told = of_twenty(findings)?;
    let counted = &findings.judgement.counted;
    let rows = rows(&told);
    let of = told.first()?.of;
    let words = Words::new(
        "left",
        &format!("For every {of} {counted} on untreated ground"),
        &in_words(&rows),
        &[],
    );
    let mut top = MARGIN;
    let mut drawn: Vec<Markup> = Vec::new();
    for row in &rows {
        let (markup, foot) = row.drawn(top);
        drawn.push(markup);
        top = foot + APART;
    }
    let key = Key::new(
        samples(),
        FIGURE_PX - 2.0 * MARGIN,
        NAME - 2.0,
        [2.0 * MARK; 2],
    );
    let foot = top + key.height() + MARGIN;
    let all = html! { @for row in &drawn { (row) } (key.drawn([MARGIN, top])) };
    Some(Figure {
        name: "left".to_owned(),
        caption: caption(&told, counted),
        svg: Paper::Figure([FIGURE_PX, foot]).document(&words, &all),
        data: data(&rows),
    })
}

fn caption(told: &[OfTwenty], counted: &str) -> String {
    let of = told.first().map_or(LINE, |t| t.of);
    let found = if told.iter().any(|t| t.allows) {
        "about how many there would be in the others by the estimate"
    } else {
        "how many were found in the others"
    };
    let mut against: Vec<&str> = told.iter().map(|t| t.control.as_str()).collect();
    against.dedup();
    let against = match against.as_slice() {
        [one] => format!("plots of “{one}”"),
        _ => "the plots that it stands against".to_owned(),
    };
    format!(
        "For every {of} {counted} in {against}: {found}, and how far that may be from the truth."
    )
}

/// A row for what each method stands against, once, and one for each method.
fn rows(told: &[OfTwenty]) -> Vec<Row<'_>> {
    let mut rows: Vec<Row<'_>> = Vec::new();
    for (i, one) in told.iter().enumerate() {
        let above = i.checked_sub(1).map(|before| &told[before].control);
        if above != Some(&one.control) {
            rows.push(Row {
                name: &one.control,
                treatment: 0,
                low: one.of,
                number: one.of,
                high: Some(one.of),
            });
        }
        rows.push(Row {
            name: &one.method,
            treatment: i + 1,
            low: one.low,
            number: one.number,
            high: one.high,
        });
    }
    rows
}

fn in_words(rows: &[Row<'_>]) -> String {
    let told: Vec<String> = rows
        .iter()
        .map(|row| format!("{}: {}", row.name, row.range()))
        .collect();
    format!("{}.", told.join("; "))
}

fn data(rows: &[Row<'_>]) -> FigureData {
    let mut data = FigureData::new(&["treatment", "low", "estimate", "high"]);
    let number = |n: u32| f64::from(n).into();
    data.rows = rows
        .iter()
        .map(|r| {
            vec![
                r.name.into(),
                number(r.low),
                number(r.number),
                r.high.map(f64::from).into(),
            ]
        })
        .collect();
    data
}

/// How sure a single one of a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sureness {
    /// Up to the lower limit.
    Sure,
    /// From there to the estimate.
    Likely,
    /// From there to the upper limit.
    Perhaps,
}

impl Sureness {
    /// A mark that reads in grey as well: full, with a hollow, or a broken ring.
    fn drawn(self, fill: Colour, at: [f64; 2]) -> Markup {
        let disc = Mark::disc(fill);
        html! {
            @match self {
                Self::Sure => (disc.drawn(at, MARK)),
                Self::Likely => { (disc.drawn(at, MARK)) (Mark::RING.drawn(at, 0.45 * MARK)) }
                Self::Perhaps => circle cx=(mm(at[0])) cy=(mm(at[1])) r=(mm(MARK)) fill="none" stroke=(INK) stroke-width="1"
                    stroke-dasharray="2.5 2.5" {}
            }
        }
    }
}

/// What the marks mean.
fn samples() -> Vec<Entry> {
    let entry = |sureness: Sureness, name: &str| Entry {
        sample: sureness.drawn(super::treatment_colour(1), [MARK, 0.0]),
        letter: String::new(),
        name: name.to_owned(),
    };
    vec![
        entry(Sureness::Sure, "at least so many"),
        entry(Sureness::Likely, "our best figure"),
        entry(Sureness::Perhaps, "perhaps"),
    ]
}

/// A treatment, and how many its row shows.
struct Row<'r> {
    name: &'r str,
    treatment: usize,
    low: u32,
    number: u32,
    high: Option<u32>,
}

impl Row<'_> {
    /// Its numbers in words.
    fn range(&self) -> String {
        match self.high {
            Some(high) if high == self.low => self.number.to_string(),
            Some(high) => format!("about {}, likely {} to {high}", self.number, self.low),
            None => format!("about {}, {} or more", self.number, self.low),
        }
    }

    /// How many marks stand in it, and whether there would be more.
    fn shown(&self) -> (u32, bool) {
        let high = self.high.unwrap_or(u32::MAX);
        (high.min(MOST), high > MOST)
    }

    fn sureness(&self, n: u32) -> Sureness {
        if n < self.low {
            Sureness::Sure
        } else if n < self.number {
            Sureness::Likely
        } else {
            Sureness::Perhaps
        }
    }

    /// Its name, its numbers and as many marks, from `top` down; and where it ends.
    fn drawn(&self, top: f64) -> (Markup, f64) {
        let range = self.range();
        let room = FIGURE_PX - 3.0 * MARGIN - width(&range, NAME, Weight::Regular);
        let names = wrap(self.name, room, NAME, Weight::Regular, 3);
        let base = top + NAME;
        let number = Label::new(range, [FIGURE_PX - MARGIN, base], NAME);
        let first = base + LEADING * NAME * (names.len() - 1) as f64 + 0.4 * NAME + MARK;
        let fill = super::treatment_colour(self.treatment);
        let at = |n: u32| {
            [
                MARGIN + MARK + STEP * f64::from(n % LINE),
                first + STEP * f64::from(n / LINE),
            ]
        };
        let (shown, more) = self.shown();
        let last = at(shown.max(1) - 1)[1];
        let drawn = html! {
            @for name in lines(&names, [MARGIN, base], NAME) { (name.drawn()) }
            (number.anchored(Anchor::End).drawn())
            @for n in 0..shown { (self.sureness(n).drawn(fill, at(n))) }
            @if more { (Label::new("and more", [MARGIN, last + MARK + NAME], NAME).drawn()) }
        };
        let foot = if more {
            last + MARK + 1.3 * NAME
        } else {
            last + MARK
        };
        (drawn, foot)
    }
}
