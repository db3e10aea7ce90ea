//! Tables: columns as wide as their widest cell, folded where there is not room for that, and row under row where even folding
//! leaves too little.

use super::fold::{fold, longest_word, narrowed, wide};
use super::typeset::styled;
use crate::commands::{Side, Span, Table};
use crate::text::names::visible;

/// What stands between two columns.
const BETWEEN: &str = "  ";

/// Most lines of one row of a folded table: a longer one is no longer read across (no source).
const TALLEST: usize = 4;

/// The table in lines of at most `room` characters, as far as its words allow.
pub(super) fn rows(table: &Table, room: Option<usize>) -> String {
    let mut text = match &table.caption {
        Some(caption) => format!(
            "{}\n",
            fold(&visible(caption), room.unwrap_or(usize::MAX)).join("\n")
        ),
        None => String::new(),
    };
    let heads: Vec<Span> = table
        .columns
        .iter()
        .map(|c| Span::from(c.head.as_str()))
        .collect();
    let sides: Vec<Side> = table.columns.iter().map(|c| c.side).collect();
    let headed = heads.iter().any(|h| !h.text.is_empty());
    let lines: Vec<&[Span]> = headed
        .then_some(heads.as_slice())
        .into_iter()
        .chain(table.rows.iter().map(Vec::as_slice))
        .collect();
    match widths(&lines, sides.len(), room) {
        Some(widths) => {
            for line in lines {
                text.push_str(&row(line, &sides, &widths));
            }
        }
        None => text.push_str(&one_by_one(table, room.unwrap_or(usize::MAX))),
    }
    text
}

/// Width of every column; `None` where the rows would not be read across.
fn widths(lines: &[&[Span]], columns: usize, room: Option<usize>) -> Option<Vec<usize>> {
    let most = |of: fn(&str) -> usize| -> Vec<usize> {
        let column = |at: usize| {
            let cells = lines.iter().filter_map(|row| row.get(at));
            cells
                .map(|cell| of(&visible(&cell.text)))
                .max()
                .unwrap_or(0)
        };
        (0..columns).map(column).collect()
    };
    let natural = most(wide);
    let Some(room) = room else {
        return Some(natural);
    };
    let room = room.saturating_sub(wide(BETWEEN) * columns.saturating_sub(1));
    let widths = narrowed(&natural, &most(longest_word), room)?;
    let tall = |row: &&[Span]| {
        let lines = row
            .iter()
            .zip(&widths)
            .map(|(cell, wide)| fold(&visible(&cell.text), *wide).len());
        lines.max().unwrap_or(1) > TALLEST
    };
    (!lines.iter().any(tall)).then_some(widths)
}

/// A row, in as many lines as its tallest cell.
fn row(cells: &[Span], sides: &[Side], widths: &[usize]) -> String {
    let folded: Vec<Vec<String>> = cells
        .iter()
        .zip(widths)
        .map(|(cell, wide)| fold(&visible(&cell.text), *wide))
        .collect();
    let tallest = folded.iter().map(Vec::len).max().unwrap_or(0);
    let mut text = String::new();
    for at in 0..tallest {
        let line = folded.iter().zip(cells).zip(sides.iter().zip(widths));
        let line = line.map(|((lines, cell), (side, wide))| {
            let piece = lines.get(at).map_or("", String::as_str);
            set(piece, cell, *side, *wide)
        });
        text.push_str(line.collect::<Vec<_>>().join(BETWEEN).trim_end());
        text.push('\n');
    }
    text
}

/// A piece of a cell in the cell's colour, with the blanks that bring it to its column's width.
fn set(piece: &str, cell: &Span, side: Side, width: usize) -> String {
    let blanks = " ".repeat(width.saturating_sub(wide(piece)));
    let text = styled(piece, cell.status);
    match side {
        Side::Left => text + &blanks,
        Side::Right => blanks + &text,
    }
}

/// Every row by itself: the head of each cell, and beside it the cell. Rows stand a line of hyphens apart.
fn one_by_one(table: &Table, room: usize) -> String {
    let longest = table
        .columns
        .iter()
        .map(|c| wide(&visible(&c.head)))
        .max()
        .unwrap_or(0);
    let heads = longest.min(room / 2);
    let cells = room.saturating_sub(heads + wide(BETWEEN)).max(1);
    let mut parts = Vec::new();
    for cells_of in &table.rows {
        let told = cells_of
            .iter()
            .zip(&table.columns)
            .filter(|(cell, _)| !cell.text.is_empty());
        let told = told.map(|(cell, column)| {
            let pair = [Span::from(column.head.as_str()), cell.clone()];
            row(&pair, &[Side::Left, Side::Left], &[heads, cells])
        });
        parts.push(told.collect::<String>());
    }
    parts.join(&format!("{}\n", "-".repeat(room.min(heads))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::commands::Status;

    fn plain(table: &Table, room: Option<usize>) -> String {
        anstream::adapter::strip_str(&rows(table, room)).to_string()
    }

    #[test]
    fn a_long_name_widens_its_column_and_numbers_stand_on_the_right() {
        let mut table = Table::new([
            ("block", Side::Left),
            ("x (m)", Side::Right),
            ("", Side::Left),
        ]);
        table.row(["practice-green 1", "2.50", "wet"]);
        table.row(["B", "10.25", ""]);
        assert_eq!(
            plain(&table.captioned("plots"), None),
            "plots\nblock             x (m)\npractice-green 1   2.50  wet\nB                 10.25\n"
        );
    }

    #[test]
    fn colour_does_not_count_as_width() {
        let mut table = Table::new([("", Side::Left), ("", Side::Right)]);
        table.row([Span::told(Status::Good, "mean"), "9.5".into()]);
        table.row([Span::told(Status::Bad, "k"), "1.74".into()]);
        assert_eq!(plain(&table, None), "mean   9.5\nk     1.74\n");
    }

    #[test]
    fn a_table_that_is_too_wide_is_folded() {
        let mut table = Table::new([
            ("green", Side::Left),
            ("why", Side::Left),
            ("m2", Side::Right),
        ]);
        table.row(["green 1", "nights and sheet reach more elsewhere", "410"]);
        let folded = "green    why               m2\n\
                      green 1  nights and       410\n         sheet reach\n         more elsewhere\n";
        assert_eq!(plain(&table, Some(29)), folded);
        assert!(plain(&table, Some(80)).lines().count() == 2);
    }

    #[test]
    fn a_table_that_folding_does_not_help_is_told_row_by_row() {
        let mut table = Table::new([
            ("green", Side::Left),
            ("larvae on it", Side::Right),
            ("cost", Side::Right),
        ]);
        table.row(["hollow", "164\u{a0}000", "GBP\u{a0}391.77"]);
        table.row(["first", "78\u{a0}300", ""]);
        let told = "green         hollow\nlarvae on it  164\u{a0}000\ncost          GBP\u{a0}391.77\n\
                    ------------\ngreen         first\nlarvae on it  78\u{a0}300\n";
        assert_eq!(plain(&table, Some(25)), told);
    }
}
