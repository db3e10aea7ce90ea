//! Tables of more lines than are kept: they are taken in part by part, and nothing of that shows.

use std::fmt::Write;

use halfgreen::description::{DescribedColumns, Row, read_rows};
use halfgreen::intake::{Columns, read_columns};
use halfgreen::table::{RawTable, Rule};

/// More lines than a table that is kept may have, and several parts of one that is summed.
const LINES: u64 = 500_321;

fn wanted() -> Columns {
    Columns {
        count: "larvae".to_owned(),
        treatment: "method".to_owned(),
        control: "none".to_owned(),
        plot: Some("plot".to_owned()),
        ..Columns::default()
    }
}

/// A line for each number from 1; `line` may write another one.
fn table(line: impl Fn(u64, &mut String)) -> String {
    let mut text = "plot,method,larvae\n".to_owned();
    for number in 1..=LINES {
        line(number, &mut text);
    }
    text
}

fn sound(number: u64, text: &mut String) {
    let method = if number.is_multiple_of(2) {
        "none"
    } else {
        "sheet"
    };
    writeln!(text, "{},{method},{}", number % 10, number % 7).unwrap();
}

#[test]
fn a_table_that_is_too_long_to_be_kept_is_summed() {
    let text = table(sound);
    let kept = RawTable::read("t.csv", &text).unwrap_err();
    assert!(
        kept[0].complaint.to_string().contains("500000 rows"),
        "{kept:?}"
    );
    let read = read_columns("t.csv", &text, &wanted()).unwrap();
    assert_eq!(read.counts.len() as u64, LINES);
    assert_eq!(
        read.counts.iter().sum::<u64>(),
        (1..=LINES).map(|n| n % 7).sum::<u64>()
    );
    let plots = read.plots.unwrap();
    assert_eq!(
        plots.levels,
        ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0"]
    );
    assert!(
        (1..)
            .zip(&plots.codes)
            .all(|(n, &code)| plots.levels[code] == (n % 10).to_string())
    );
    assert_eq!(read.treatments.levels, ["sheet", "none"]);
    assert!((2..).zip(&read.lines).all(|(line, at)| line == *at));
}

#[test]
fn lines_of_one_group_and_count_are_one_row() {
    let columns = DescribedColumns {
        count: "larvae".to_owned(),
        frequency: None,
        groups: vec!["method".to_owned(), "plot".to_owned()],
    };
    let (rows, told) = read_rows("t.csv", &table(sound), &columns).unwrap();
    assert!(told.is_empty());
    assert_eq!(rows.len(), 70);
    assert_eq!(rows.iter().map(|r| r.frequency).sum::<u64>(), LINES);
    // Numbers that end in 4 and leave 3 over when parted by 7: 24, and every 70 after it.
    let row = Row {
        count: 3,
        frequency: (LINES - 24) / 70 + 1,
        group: vec!["none".to_owned(), "4".to_owned()],
    };
    assert!(rows.contains(&row), "{rows:?}");
}

#[test]
fn faults_of_several_parts_are_told_as_those_of_one() {
    let text = table(|number, text| match number {
        // The header is the first line.
        150_000 | 450_000 => writeln!(text, "0,none,twelve").unwrap(),
        250_000 => writeln!(text, "0,,3").unwrap(),
        99_999 | 350_001 => writeln!(text, "{},sheet,", number % 10).unwrap(),
        number => sound(number, text),
    });
    let faults = read_columns("t.csv", &text, &wanted()).unwrap_err();
    let places: Vec<_> = faults.iter().map(|p| (p.rule, p.line, p.times)).collect();
    assert_eq!(
        places,
        [
            (Rule::TextInCount, 150_001, 2),
            (Rule::BlankCell, 250_001, 1)
        ]
    );
    assert!(
        faults[0].complaint.to_string().contains("450001"),
        "{faults:?}"
    );

    let text = table(|number, text| match number {
        99_999 | 350_001 => writeln!(text, "{},sheet,", number % 10).unwrap(),
        number => sound(number, text),
    });
    let read = read_columns("t.csv", &text, &wanted()).unwrap();
    assert_eq!(read.counts.len() as u64, LINES - 2);
    let told: Vec<_> = read
        .problems
        .iter()
        .map(|p| (p.rule, p.line, p.times))
        .collect();
    assert_eq!(told, [(Rule::NotCounted, 100_000, 2)]);

    let missing = text.replacen("method", "how", 1);
    let faults = read_columns("t.csv", &missing, &wanted()).unwrap_err();
    assert_eq!(faults.len(), 1);
    assert_eq!(faults[0].rule, Rule::MissingColumn);
}

#[test]
fn a_quotation_mark_far_down_spoils_the_whole_of_a_large_table() {
    let text = table(|number, text| match number {
        400_000 => writeln!(text, "\"0,none,3").unwrap(),
        number => sound(number, text),
    });
    let faults = read_columns("t.csv", &text, &wanted()).unwrap_err();
    assert_eq!(
        (faults[0].rule, faults[0].line),
        (Rule::BrokenLine, 400_001)
    );
    assert!(faults[0].complaint.to_string().contains("never closed"));
}
