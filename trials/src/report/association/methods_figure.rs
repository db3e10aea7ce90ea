//! All methods against the control, one line each.

use super::super::figures::Figure;
use super::rows::{Row, Sort, drawn};
use crate::association::{Association, MethodAnswer};
use crate::drawing::{Cell, FigureData};
use crate::text::rounding::{between, change};

/// The figure; nothing where there is one method.
pub(super) fn figure_of(found: &Association) -> Option<Figure> {
    if found.methods.is_empty() {
        return None;
    }
    let rows: Vec<Row> = found.all().map(row).collect();
    let worth = found
        .answer
        .better
        .ratio_by(found.worthwhile_percent / 100.0);
    let told = found.all().map(|m| {
        let figure = m.ratio.map_or("no figure".to_owned(), change);
        format!(
            "{}: {figure}, likely between {}.",
            m.name,
            between(m.ratio_low, m.ratio_high)
        )
    });
    let told: Vec<String> = told.collect();
    let mut data = FigureData::new(&["method", "clubs", "ratio", "low", "high"]);
    data.rows = (found.all())
        .map(|m| {
            let mut row = vec![m.treatment.as_str().into(), Cell::from(m.clubs as f64)];
            row.extend([m.ratio, m.ratio_low, m.ratio_high].map(Cell::from));
            row
        })
        .collect();
    Some(Figure {
        name: "methods".to_owned(),
        svg: drawn(
            &rows,
            worth,
            "method",
            ["Each method against the control", &told.join(" ")],
        ),
        data,
        caption: "Each diamond is one method on average over the clubs that tried it, as wide as it is unsure. Methods were tried at \
                  different clubs, so that the order of two says little where their diamonds overlap."
            .to_owned(),
    })
}

fn row(answer: &MethodAnswer) -> Row {
    Row {
        name: answer.name.clone(),
        ratio: answer.ratio,
        low: answer.ratio_low,
        high: answer.ratio_high,
        sort: Sort::Average,
    }
}
