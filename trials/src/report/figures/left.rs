//! For the members: of twenty that an untreated plot holds, how many does a treated plot hold?

use maud::{Markup, html};

use super::Figure;
use crate::drawing::FigureData;
use crate::drawing::label::{Anchor, LEADING, Label, lines};
use crate::drawing::lettering::{Weight, wrap};
use crate::drawing::mark::Mark;
use crate::drawing::paper::{FIGURE_PX, Paper, Words};
use crate::report::Findings;

/// How many the control's row shows.
const TWENTY: f64 = 20.0;
/// Longest row, in marks.
const MOST: f64 = 60.0;
/// Marks in a line.
const LINE: u32 = 20;
/// From one mark to the next, pixels.
const STEP: f64 = 23.0;
/// Radius of a mark, pixels.
const MARK: f64 = 8.0;
/// Size of a row's name, and of its number, pixels.
const NAME: f64 = 15.0;
const NUMBER: f64 = 18.0;
/// Room for the number at the right of a name, pixels.
const NUMBERS: f64 = 40.0;
/// Empty margin, pixels.
const MARGIN: f64 = 6.0;

/// Draws it; `None` where a ratio has no value or is too large to draw.
pub(super) fn figure(findings: &Findings<'_>) -> Option<Figure> {
    let contrasts = findings.judgement.contrasts.iter();
    let ratios: Vec<f64> = contrasts.map(|c| c.ratio).collect::<Option<_>>()?;
    if ratios.iter().any(|r| TWENTY * r > MOST) {
        return None;
    }
    let numbers = std::iter::once(1.0).chain(ratios).map(whole);
    let names = findings.data.names.iter().map(String::as_str);
    let rows: Vec<Row<'_>> = names
        .zip(numbers)
        .enumerate()
        .map(|(treatment, (name, number))| Row {
            treatment,
            name,
            number,
        })
        .collect();
    let told: Vec<String> = rows
        .iter()
        .map(|row| format!("{}: {}", row.name, row.number))
        .collect();
    let counted = &findings.judgement.counted;
    let words = Words::new(
        "left",
        &format!("For every twenty {counted} in untreated plots"),
        &format!("{}.", told.join("; ")),
        &[],
    );
    let mut data = FigureData::new(&["treatment", "of twenty"]);
    data.rows = rows
        .iter()
        .map(|row| vec![row.name.into(), f64::from(row.number).into()])
        .collect();
    let mut top = MARGIN;
    let drawn: Vec<Markup> = rows
        .iter()
        .map(|row| {
            let (drawn, foot) = row.drawn(top);
            top = foot;
            drawn
        })
        .collect();
    let all = html! { @for row in &drawn { (row) } };
    Some(Figure {
        name: "left".to_owned(),
        caption: format!(
            "For every twenty {counted} in plots of the control, about so many {}.",
            told_as(findings)
        ),
        svg: Paper::Figure([FIGURE_PX, top]).document(&words, &all),
        data,
    })
}

/// Whether the rows are what was found, or an estimate.
fn told_as(findings: &Findings<'_>) -> String {
    let mut rows = findings.judgement.contrasts.iter();
    if rows.any(|c| c.reads_otherwise().is_some()) {
        format!(
            "are to be expected in the others by the estimate, which allows for {}",
            findings.judgement.allowed_for(findings.data)
        )
    } else {
        "were found in the others".to_owned()
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "between 0 and sixty"
)]
fn whole(ratio: f64) -> u32 {
    (TWENTY * ratio).round() as u32
}

/// A treatment, and how many its row shows.
struct Row<'r> {
    treatment: usize,
    name: &'r str,
    number: u32,
}

impl Row<'_> {
    /// Its name, its number, and as many marks, from `top` down; and where the next row begins.
    fn drawn(&self, top: f64) -> (Markup, f64) {
        let room = FIGURE_PX - 2.0 * MARGIN - NUMBERS;
        let names = wrap(self.name, room, NAME, Weight::Regular, 3);
        let base = top + NUMBER;
        let number = Label::new(self.number.to_string(), [FIGURE_PX - MARGIN, base], NUMBER);
        let first = base + LEADING * NAME * (names.len() - 1) as f64 + 0.4 * NAME + MARK;
        let disc = Mark::disc(super::treatment_colour(self.treatment));
        let at = |n: u32| {
            [
                MARGIN + MARK + STEP * f64::from(n % LINE),
                first + STEP * f64::from(n / LINE),
            ]
        };
        let drawn = html! {
            @for name in lines(&names, [MARGIN, base], NAME) { (name.drawn()) }
            (number.anchored(Anchor::End).drawn())
            @for n in 0..self.number { (disc.drawn(at(n), MARK)) }
        };
        let last = at(self.number.max(1) - 1)[1];
        (drawn, last + MARK + NAME)
    }
}
