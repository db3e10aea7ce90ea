//! The forest: every club's ratio with its interval, the average as a diamond, the next club as a broken line.

use super::super::figures::Figure;
use super::rows::{Row, Sort, drawn};
use crate::association::MethodAnswer;
use crate::drawing::{Cell, FigureData};
use crate::text::rounding::{between, change};

/// Clubs that are drawn; of more, those of the greatest weight.
const DRAWN: usize = 60;
/// The same where the figure shares a sheet of A4 with what it means: of more, names could not be read.
const ON_A_SHEET: usize = 24;

/// The forest of a method, for a page as long as it likes.
pub(super) fn figure_of(answer: &MethodAnswer, worthwhile_ratio: f64) -> Figure {
    figure(answer, worthwhile_ratio, DRAWN, "in the table")
}

/// The same for one sheet.
pub(super) fn on_a_sheet(answer: &MethodAnswer, worthwhile_ratio: f64) -> Figure {
    figure(answer, worthwhile_ratio, ON_A_SHEET, "in the full report")
}

fn figure(answer: &MethodAnswer, worthwhile_ratio: f64, most: usize, others: &str) -> Figure {
    let rows = rows(answer, most);
    let left = answer.trials.len().saturating_sub(most);
    let rest = if left > 0 {
        format!(" The {most} trials of the greatest weight are drawn; {left} more are {others}.")
    } else {
        String::new()
    };
    Figure {
        name: "forest".to_owned(),
        svg: drawn(
            &rows,
            worthwhile_ratio,
            "club",
            [
                &format!("{}: every club and the average", answer.name),
                &told(answer, most),
            ],
        ),
        data: data(answer),
        caption: format!(
            "Each line is one club: the box is what it found, larger where it weighs more, and the true figure likely lies along the \
             line. The diamond is the average, as wide as it is unsure. The broken line is what another club may expect. In the \
             tinted part the change is worth having.{rest}"
        ),
    }
}

/// Clubs that are drawn, then the average and the next club.
fn rows(answer: &MethodAnswer, most: usize) -> Vec<Row> {
    let mut rows: Vec<Row> = (answer.weightiest(most).into_iter())
        .map(|t| {
            let (low, high) = t.likely();
            Row {
                name: t.called(),
                ratio: t.ratio(),
                low,
                high,
                sort: Sort::Club(t.weight),
            }
        })
        .collect();
    rows.push(Row {
        name: "on average".to_owned(),
        ratio: answer.ratio,
        low: answer.ratio_low,
        high: answer.ratio_high,
        sort: Sort::Average,
    });
    if let Some(next) = &answer.next_club {
        rows.push(Row {
            name: "another club".to_owned(),
            ratio: None,
            low: Some(next.ratio_low),
            high: Some(next.ratio_high),
            sort: Sort::Next,
        });
    }
    rows
}

/// The figure in words.
fn told(answer: &MethodAnswer, most: usize) -> String {
    let average = answer.ratio.map_or("No average.".to_owned(), |ratio| {
        format!(
            "On average {}, likely between {}.",
            change(ratio),
            between(answer.ratio_low, answer.ratio_high)
        )
    });
    let clubs = answer.weightiest(most).into_iter().map(|t| {
        let (low, high) = t.likely();
        let found = t.ratio().map_or("no figure".to_owned(), change);
        format!(
            "{}: {found}, likely between {}.",
            t.called(),
            between(low, high)
        )
    });
    let clubs: Vec<String> = clubs.collect();
    format!("{average} {}", clubs.join(" "))
}

/// Every trial, drawn or not, then the average and the next club.
fn data(answer: &MethodAnswer) -> FigureData {
    let mut data = FigureData::new(&[
        "club", "trial", "season", "ratio", "low", "high", "weight", "effect", "se",
    ]);
    let season = |s: Option<i16>| Cell::from(s.map(f64::from));
    for t in &answer.trials {
        let (low, high) = t.likely();
        let mut row = vec![
            t.club.as_str().into(),
            t.trial.as_str().into(),
            season(t.season),
        ];
        row.extend([t.ratio(), low, high, t.weight, t.effect, t.se].map(Cell::from));
        data.rows.push(row);
    }
    let mut average = vec!["on average".into(), "".into(), Cell::Empty];
    average.extend(
        [
            answer.ratio,
            answer.ratio_low,
            answer.ratio_high,
            None,
            answer.effect,
            answer.se,
        ]
        .map(Cell::from),
    );
    data.rows.push(average);
    if let Some(next) = &answer.next_club {
        let limits = [
            None,
            Some(next.ratio_low),
            Some(next.ratio_high),
            None,
            None,
            None,
        ];
        let mut row = vec!["another club".into(), "".into(), Cell::Empty];
        row.extend(limits.map(Cell::from));
        data.rows.push(row);
    }
    data
}
