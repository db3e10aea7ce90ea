//! Workbooks: read like the table they hold, and bounded whatever they claim.

use halfgreen::table::workbook_text;
use proptest::prelude::*;

use super::{check, wild};
use crate::scratch::example;
use crate::scratch::workbook::{packed, sheet, workbook};

#[test]
fn a_workbook_reads_like_its_table() {
    let tidy = example("untidy-counts/tidy.csv");
    let text = workbook_text("counts.xlsx", &workbook(&[("Sheet1", &sheet(&tidy))])).unwrap();
    assert_eq!(check(&text).counts, check(&tidy).counts);
}

/// Rows that are left out and cells that are skipped move nothing.
#[test]
fn places_stay_where_they_are_in_the_sheet() {
    let table = "\n\nplot,,count,occasion\n1,,7,main\n\n2,,twleve,main\n";
    let text = workbook_text("counts.xlsx", &workbook(&[("Sheet1", &sheet(table))])).unwrap();
    let found = check(&text).result.problems;
    assert_eq!((found[0].line, found[0].column), (6, 3), "{found:#?}");
}

#[test]
fn the_sheet_called_counts_is_read_and_a_choice_is_never_made() {
    let (one, other) = (sheet("plot,count\n1,3\n"), sheet("how to count\n"));
    let both = |name: &str| workbook_text("c.xlsx", &workbook(&[("Notes", &other), (name, &one)]));
    assert_eq!(both("Counts").unwrap(), "plot,count\n1,3\n");
    let refused = both("Sheet2").unwrap_err();
    assert!(
        refused.what.contains("\"Notes\" and \"Sheet2\""),
        "{refused}"
    );
    let blank = workbook(&[("Notes", &sheet("")), ("Sheet2", &one)]);
    assert_eq!(
        workbook_text("c.xlsx", &blank).unwrap(),
        "plot,count\n1,3\n"
    );
}

/// A cell over lines, signs that part cells, and what a formula last came to.
#[test]
fn cells_of_every_kind_are_told_as_they_would_be_typed() {
    let cells = r#"<row r="1"><c r="A1" t="inlineStr"><is><t>a&#10;b, "c"</t></is></c><c r="B1"><f>1+1</f><v>2</v></c><c r="C1" t="b"><v>1</v></c><c r="D1" t="e"><v>#N/A</v></c><c r="E1"><v>0.1</v></c><c r="F1" s="1"><v>46289</v></c><c r="G1"><v>1E2</v></c></row>"#;
    let xml = sheet("").replace("<sheetData>", &format!("<sheetData>{cells}"));
    let text = workbook_text("c.xlsx", &workbook(&[("S", &xml)])).unwrap();
    assert_eq!(text, "\"a b, \"\"c\"\"\",2,true,#N/A,0.1,2026-09-24,100\n");
}

/// What a file claims of itself is not believed: each of these is a few kilobytes and asks for gigabytes.
#[test]
fn workbooks_that_swell_are_refused_at_once() {
    let refused = |bytes: &[u8], words: &str| {
        let found = workbook_text("c.xlsx", bytes).unwrap_err().to_string();
        assert!(found.contains(words), "{found}");
    };
    let zeros = " ".repeat(200_000_000);
    refused(&workbook(&[("S", &zeros)]), "unpacks to more");
    drop(zeros);
    let far = |place: &str| {
        sheet("").replace(
            "<sheetData>",
            &format!(r#"<sheetData><row><c r="{place}"><v>1</v></c></row>"#),
        )
    };
    refused(&workbook(&[("S", &far("XFD1"))]), "columns");
    refused(&workbook(&[("S", &far("A4000000"))]), "rows");
    // Beyond what the reader of cells can multiply up: it would come out as another place.
    for place in ["A43000000001", "ZZZZZZZZ1"] {
        refused(
            &workbook(&[("S", &far(place))]),
            "beyond the last place of a sheet",
        );
    }
    let row = sheet("").replace("<sheetData>", r#"<sheetData><row r="99999999999"></row>"#);
    refused(
        &workbook(&[("S", &row)]),
        "beyond the last place of a sheet",
    );
    let strings =
        |n: &str| format!(r#"<sst count="1" uniqueCount="{n}"><si><t>plot</t></si></sst>"#);
    for n in ["18446744073709551615", "99999999999", " 99999999999 "] {
        refused(
            &packed(&[("S", &sheet(""))], &strings(n)),
            "longer than any table",
        );
    }
}

/// A workbook with some of its bytes changed, cut off or spliced is read or refused.
#[test]
fn damaged_workbooks_never_crash_the_reader() {
    let tidy = example("untidy-counts/tidy.csv");
    let strings = r#"<sst count="2" uniqueCount="2"><si><t>plot</t></si><si><r><t>co</t></r><r><t>unt</t></r></si></sst>"#;
    let shared = sheet("").replace(
        "<sheetData>",
        r#"<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c></row><row r="2"><c r="A2"><v>1</v></c><c r="B2"><v>3</v></c></row>"#,
    );
    let seeds = [
        workbook(&[("Sheet1", &sheet(&tidy))]),
        packed(&[("Sheet1", &shared)], strings),
    ];
    assert_eq!(
        workbook_text("c.xlsx", &seeds[1]).unwrap(),
        "plot,count\n1,3\n"
    );
    let change = (any::<prop::sample::Index>(), any::<u8>());
    let damage = (
        0..seeds.len(),
        prop::collection::vec(change, 1..6),
        any::<Option<prop::sample::Index>>(),
    );
    let run = wild::runner().run(&damage, |(seed, changes, torn)| {
        let mut bytes = seeds[seed].clone();
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        if let Some(torn) = torn {
            bytes.truncate(torn.index(bytes.len()));
        }
        if let Ok(text) = workbook_text("c.xlsx", &bytes) {
            drop(check(&text));
        }
        Ok(())
    });
    assert!(run.is_ok(), "{run:?}");
}
