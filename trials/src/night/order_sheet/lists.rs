//! The lists to cut and to lay, as rows that fill pages.

use maud::{Markup, html};

use super::super::order::SheetOrder;

/// Rows of half a page.
const ROWS: usize = 36;

/// A row of a list.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Row {
    /// Words over all columns: a roll, a patch.
    Head(String),
    /// Cells.
    Cells(Vec<String>),
}

/// Pages of a list, two columns of rows on each.
pub(super) fn pages(heads: &[&str], rows: &[Row]) -> Vec<Markup> {
    let halves: Vec<&[Row]> = rows.chunks(ROWS).collect();
    let page = |both: &[&[Row]]| {
        html! {
            div.halves {
                @for half in both { (table(heads, half)) }
                // One half alone keeps its width.
                @if both.len() == 1 { table.list {} }
            }
        }
    };
    halves.chunks(2).map(page).collect()
}

fn table(heads: &[&str], rows: &[Row]) -> Markup {
    html! {
        table.list {
            thead { tr { @for head in heads { th scope="col" { (head) } } } }
            tbody {
                @for row in rows {
                    @match row {
                        Row::Head(words) => tr.first { th.over colspan=(heads.len()) { (words) } },
                        Row::Cells(cells) => tr { @for cell in cells { td { (cell) } } },
                    }
                }
            }
        }
    }
}

/// What is cut from each roll: the strip, its length, and where the knife goes, from the roll's beginning.
pub(super) fn to_cut(order: &SheetOrder) -> Vec<Row> {
    let mut rows = Vec::new();
    for roll in &order.rolls {
        let from = if roll.in_shed { "shed" } else { "new" };
        rows.push(Row::Head(format!(
            "Roll {}, {from}: {}, {} m by {} m",
            roll.roll,
            roll.sort,
            metres(roll.length_m),
            metres(roll.width_m)
        )));
        let mut mark = 0.0;
        for &strip in &roll.strips {
            let length = order
                .strips
                .get(strip - 1)
                .map_or(0.0, |s| s.strip.length_m);
            mark += length;
            rows.push(Row::Cells(vec![
                strip.to_string(),
                metres(length),
                metres(mark),
                "\u{25a1}".to_owned(),
            ]));
        }
        if roll.rest_m > 0.005 {
            rows.push(Row::Cells(vec![
                "rest".to_owned(),
                metres(roll.rest_m),
                String::new(),
                String::new(),
            ]));
        }
    }
    rows
}

/// The strips in the order in which they are laid.
pub(super) fn to_lay(order: &SheetOrder) -> Vec<Row> {
    let mut rows = Vec::new();
    let mut before = None;
    for s in &order.strips {
        if before != Some(s.patch) {
            before = Some(s.patch);
            let patch = &order.patches[s.patch];
            let named = [
                patch.green.clone(),
                patch.plot.as_ref().map(|p| format!("plot {p}")),
            ];
            let named: Vec<String> = named.into_iter().flatten().collect();
            if !named.is_empty() {
                rows.push(Row::Head(named.join(", ")));
            }
        }
        rows.push(Row::Cells(vec![
            s.order.to_string(),
            s.roll.to_string(),
            metres(s.strip.length_m),
            "\u{25a1}".to_owned(),
        ]));
    }
    rows
}

/// Metres by tape: two decimals, the last left out where it is nought.
pub(super) fn metres(length: f64) -> String {
    let text = format!("{length:.2}");
    text.strip_suffix('0').map_or(text.clone(), str::to_owned)
}
