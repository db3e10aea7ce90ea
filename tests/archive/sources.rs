//! Workbooks and Parquet files as sources: what comes of them is what comes of the same table as CSV.
#![expect(
    clippy::disallowed_types,
    reason = "the Parquet file is made here, by the library that reads it"
)]

use polars::prelude::{CsvReadOptions, ParquetWriter, SerReader};
use rust_xlsxwriter::Workbook;

use super::{COLUMNS, archived, table};
use crate::scratch::Scratch;

/// The table as a workbook, numbers as numbers.
fn workbook(text: &str) -> Vec<u8> {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(text.as_bytes());
    for (row, record) in (0..).zip(reader.records()) {
        for (column, cell) in (0..).zip(record.unwrap().iter()) {
            match cell.parse::<f64>() {
                Ok(number) => sheet.write_number(row, column, number).unwrap(),
                Err(_) => sheet.write_string(row, column, cell).unwrap(),
            };
        }
    }
    book.save_to_buffer().unwrap()
}

/// The table as Parquet, numbers as numbers.
fn parquet(scratch: &Scratch, csv: &str, name: &str) {
    let file = scratch.path(csv);
    let mut table = CsvReadOptions::default()
        .try_into_reader_with_file_path(Some(file))
        .unwrap()
        .finish()
        .unwrap();
    ParquetWriter::new(std::fs::File::create(scratch.path(name)).unwrap())
        .finish(&mut table)
        .unwrap();
}

/// The effects of an archive of one source, under the name of the CSV.
fn effects_of(scratch: &Scratch, source: &str) -> String {
    let archive = format!("of-{}", source.replace('.', "-"));
    let added = archived(scratch, &format!("add {archive} {source} {COLUMNS}"));
    assert_eq!(
        (
            &added["trials"],
            &added["left_out"].as_array().map(Vec::len)
        ),
        (&5.into(), &Some(0))
    );
    let judged = archived(scratch, &format!("judge {archive}"));
    assert_eq!(judged["effects"], 5);
    let effects = scratch.read(&format!("{archive}/effects/effects.csv"));
    assert_eq!(effects.matches(source).count(), 5, "{effects}");
    effects.replace(source, "counts.csv")
}

#[test]
fn a_workbook_and_a_parquet_file_are_taken_in_as_the_same_table_is() {
    let scratch = Scratch::empty();
    let text = table(5);
    scratch.put("counts.csv", &text);
    scratch.put("counts.xlsx", workbook(&text));
    parquet(&scratch, "counts.csv", "counts.parquet");
    let wanted = effects_of(&scratch, "counts.csv");
    for packed in ["counts.xlsx", "counts.parquet"] {
        assert_eq!(effects_of(&scratch, packed), wanted, "{packed}");
    }
}

#[test]
fn a_folder_with_tables_of_all_three_kinds_is_one_source_after_the_other() {
    let scratch = Scratch::empty();
    let text = table(3);
    scratch.put("sent/a.csv", &text);
    scratch.put("sent/b.xlsx", workbook(&text));
    parquet(&scratch, "sent/a.csv", "sent/c.parquet");
    let added = archived(&scratch, &format!("add county sent {COLUMNS}"));
    assert_eq!(
        (&added["sources"], &added["trials"]),
        (&3.into(), &3.into())
    );
    // The same rows, from whichever file.
    assert_eq!(added["twice"].as_array().unwrap().len(), 6, "{added}");
    assert_eq!(added["contradicted"].as_array().unwrap().len(), 0);
}

#[test]
fn a_word_for_a_count_is_told_with_its_place_in_every_kind_of_file() {
    let scratch = Scratch::empty();
    let text = table(3);
    // The second line of the second trial: forty lines are one trial's.
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let (start, _) = lines[42].rsplit_once(',').unwrap();
    lines[42] = format!("{start},twleve");
    let text = lines.join("\n") + "\n";
    scratch.put("counts.csv", &text);
    scratch.put("counts.xlsx", workbook(&text));
    parquet(&scratch, "counts.csv", "counts.parquet");
    for source in ["counts.csv", "counts.xlsx", "counts.parquet"] {
        let archive = format!("of-{}", source.replace('.', "-"));
        let added = archived(&scratch, &format!("add {archive} {source} {COLUMNS}"));
        assert_eq!(added["trials"], 2, "{source}");
        let left_out = &added["left_out"][0];
        assert_eq!(left_out["place"], format!("{source}:43:11"));
        assert!(left_out["reason"].as_str().unwrap().contains("twleve"));
        assert_eq!(left_out["trial"]["trial"], "t1");
    }
}
