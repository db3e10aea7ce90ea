//! A workbook's sheet of counts as the text of a table, row for row and column for column, so that places stay where they were.

use std::fmt::Write;
use std::io::{Cursor, Read};

use calamine::{DataRef, ExcelDateTime, Reader, SheetType, SheetVisible, Xlsx, XlsxError};
use quick_xml::events::Event;
use zip::ZipArchive;

use crate::Error;
use crate::ranges::Range;
use crate::ranges::tables::{CELLS, COLUMNS, FILE_SIZE, SHEET_ROWS, WORKBOOK};

/// Name of the sheet that is read where several hold something; capitals do not matter.
const COUNTS: &str = "counts";

/// Bytes in the unit of sizes.
const MEGABYTE: f64 = 1e6;

/// Whether bytes are a workbook: a packed file, whatever its name ends in.
#[must_use]
pub fn is_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

/// The sheet of a workbook that holds the table, as comma-separated text; `file` is its name in complaints. Line and cell of the text
/// are row and column of the sheet. Days become year-month-day, a line break within a cell becomes a blank, and of a formula its
/// last result is taken.
///
/// # Errors
/// A workbook that is damaged, locked with a password, or unpacks to more than any holds; several sheets with something in them
/// of which none is called `counts`; a sheet larger than any table.
pub fn workbook_text(file: &str, bytes: &[u8]) -> Result<String, Error> {
    unpacks_to_no_more(file, bytes)?;
    let mut workbook: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|e| unreadable(file, &e))?;
    let visible: Vec<String> = workbook
        .sheets_metadata()
        .iter()
        .filter(|s| s.visible == SheetVisible::Visible && s.typ == SheetType::WorkSheet)
        .map(|s| s.name.clone())
        .collect();
    let named = visible
        .iter()
        .find(|name| name.trim().to_lowercase() == COUNTS);
    if let Some(name) = named {
        return text_of(file, &mut workbook, name);
    }
    let mut filled: Vec<(&str, String)> = Vec::new();
    for name in &visible {
        let text = text_of(file, &mut workbook, name)?;
        if !text.trim().is_empty() {
            filled.push((name, text));
        }
        if let [(one, _), (other, _)] = filled.as_slice() {
            let what = format!(
                "sheets \"{one}\" and \"{other}\" both hold something, and none is called {COUNTS}"
            );
            let cure = "Call the one with the counts that, or save it as a file of its own.";
            return Err(Error::new(file, what, cure));
        }
    }
    Ok(filled.pop().map_or(String::new(), |(_, text)| text))
}

/// Unpacks every part once, looks it over, and keeps none of it: what a part says of its own size is not believed.
fn unpacks_to_no_more(file: &str, bytes: &[u8]) -> Result<(), Error> {
    let damaged = |e: &dyn std::fmt::Display| damaged(file, e);
    let mut parts = ZipArchive::new(Cursor::new(bytes)).map_err(|e| damaged(&e))?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the range is positive and small"
    )]
    let most = (WORKBOOK.end() * MEGABYTE) as u64;
    let mut unpacked = 0;
    for at in 0..parts.len() {
        let part = parts.by_index(at).map_err(|e| damaged(&e))?;
        let name = part.name().map_err(|e| damaged(&e))?.to_lowercase();
        let strings = name.ends_with("sharedstrings.xml");
        let mut part = part.take(most + 1 - unpacked);
        let mut text = Vec::new();
        unpacked += part.read_to_end(&mut text).map_err(|e| damaged(&e))? as u64;
        if strings {
            room_for_strings(file, &text)?;
        } else {
            places_within_a_sheet(file, &text)?;
        }
        if unpacked > most {
            let cure = "Save the sheet with the counts as a file of its own.";
            return Err(WORKBOOK.refuse(file, "it unpacks to more", cure));
        }
    }
    Ok(())
}

/// Refuses a list of texts that says it holds more of them than there are cells: room would be made for as many.
fn room_for_strings(file: &str, xml: &[u8]) -> Result<(), Error> {
    let mut reader = quick_xml::Reader::from_reader(xml);
    let mut buffer = Vec::new();
    while let Ok(event) = reader.read_event_into(&mut buffer) {
        match event {
            Event::Start(list) if list.local_name().as_ref() == "sst" => {
                let told = list.attributes().flatten().any(|said| {
                    let number = said.value.trim();
                    let digits: String = number.chars().take_while(char::is_ascii_digit).collect();
                    said.key.as_ref() == "uniqueCount"
                        && digits.parse::<f64>().is_ok_and(|n| n > CELLS.end())
                });
                if told {
                    return Err(damaged(file, &"its list of texts is longer than any table"));
                }
                break;
            }
            Event::Eof => break,
            _ => {}
        }
        buffer.clear();
    }
    Ok(())
}

/// Letters and digits of the last place on a sheet, XFD1048576 (ECMA-376, part 1, 18.3.1.73: rows; the reader of cells
/// multiplies on without a look, so that a longer place would come out as another one).
const PLACE: (usize, usize) = (3, 7);

/// Parts of a sheet that name a place.
const PLACED: [&str; 5] = ["row", "c", "f", "dimension", "mergeCell"];

/// Refuses places of rows, cells and ranges that no sheet has.
fn places_within_a_sheet(file: &str, xml: &[u8]) -> Result<(), Error> {
    let mut reader = quick_xml::Reader::from_reader(xml);
    // As lenient as the reader of cells, which goes on where names do not match; what is no XML it refuses itself.
    reader.config_mut().check_end_names = false;
    let mut buffer = Vec::new();
    while let Ok(event) = reader.read_event_into(&mut buffer) {
        match event {
            Event::Start(part) | Event::Empty(part)
                if PLACED.contains(&part.local_name().as_ref())
                    && places(part.attributes_raw()).any(beyond) =>
            {
                return Err(damaged(
                    file,
                    &"a cell lies beyond the last place of a sheet",
                ));
            }
            Event::Eof => break,
            _ => {}
        }
        buffer.clear();
    }
    Ok(())
}

/// Values of `r` and `ref` among the attributes as they are written, sound or not.
fn places(attributes: &str) -> impl Iterator<Item = &str> {
    let pieces = attributes.split(['"', '\'']);
    let named = |before: &str| {
        let name = before.trim_end().strip_suffix('=').map(str::trim_end);
        name.is_some_and(|name| name.ends_with('r') || name.ends_with("ref"))
    };
    pieces
        .clone()
        .zip(pieces.skip(1))
        .filter_map(move |(before, value)| named(before).then_some(value))
}

/// Whether one of the ends of a range has more letters or digits than the last place of a sheet.
fn beyond(range: &str) -> bool {
    range.split([':', ' ']).any(|place| {
        let letters = place.chars().filter(char::is_ascii_alphabetic).count();
        let digits = place.chars().filter(char::is_ascii_digit).count();
        letters > PLACE.0 || digits > PLACE.1
    })
}

/// One sheet as text.
fn text_of(file: &str, workbook: &mut Xlsx<Cursor<&[u8]>>, sheet: &str) -> Result<String, Error> {
    let mut reader = workbook
        .worksheet_cells_reader(sheet)
        .map_err(|e| unreadable(file, &e))?;
    let mut cells: Vec<(u32, u32, String)> = Vec::new();
    while let Some(cell) = reader.next_cell().map_err(|e| unreadable(file, &e))? {
        let text = shown(cell.get_value());
        if text.is_empty() {
            continue;
        }
        let (row, column) = cell.get_position();
        within(file, SHEET_ROWS, f64::from(row) + 1.0, "rows")?;
        within(file, COLUMNS, f64::from(column) + 1.0, "columns")?;
        cells.push((row, column, text));
        within(file, CELLS, cells.len() as f64, "cells")?;
    }
    // Written by programs in order, but nothing says that they must.
    cells.sort_by_key(|(row, column, _)| (*row, *column));
    let (mut text, mut at) = (String::new(), (0, 0));
    for (row, column, cell) in cells {
        while at.0 < row {
            text.push('\n');
            at = (at.0 + 1, 0);
        }
        while at.1 < column {
            text.push(',');
            at.1 += 1;
        }
        quoted(&cell, &mut text);
        within(file, FILE_SIZE, text.len() as f64 / MEGABYTE, "MB")?;
    }
    text.push('\n');
    Ok(text)
}

fn within(file: &str, range: Range, found: f64, things: &str) -> Result<(), Error> {
    if range.holds(found) {
        return Ok(());
    }
    let what = format!("a sheet of the workbook has {found:.0} {things} or more");
    let cure = "Leave out what is not asked about, or save the counts as a file of their own.";
    Err(range.refuse(file, &what, cure))
}

/// What a cell shows, as it would be typed.
fn shown(value: &DataRef<'_>) -> String {
    let text = match value {
        DataRef::Empty => return String::new(),
        DataRef::Int(whole) => return whole.to_string(),
        DataRef::Float(number) => return number.to_string(),
        DataRef::Bool(is) => return is.to_string(),
        DataRef::DateTime(when) => return moment(when),
        DataRef::Error(fault) => return fault.to_string(),
        DataRef::SharedString(text) => *text,
        DataRef::String(text) | DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => text,
    };
    text.replace(['\r', '\n'], " ").trim().to_owned()
}

/// A day, with the time of day where there is one; a time by itself where there is no day.
fn moment(when: &ExcelDateTime) -> String {
    let (year, month, day, hour, minute, second, _) = when.to_ymd_hms_milli();
    let mut text = String::new();
    // Writing to a String cannot fail.
    if when.is_datetime() && when.as_f64() >= 1.0 {
        let _written = write!(text, "{year:04}-{month:02}-{day:02}");
    }
    if when.as_f64().fract() != 0.0 || text.is_empty() {
        let between = if text.is_empty() { "" } else { "T" };
        let _written = write!(text, "{between}{hour:02}:{minute:02}:{second:02}");
    }
    text
}

/// A cell of comma-separated text (RFC 4180).
fn quoted(cell: &str, text: &mut String) {
    if cell.contains([',', '"', ';', '\t']) {
        text.push('"');
        text.push_str(&cell.replace('"', "\"\""));
        text.push('"');
    } else {
        text.push_str(cell);
    }
}

fn unreadable(file: &str, fault: &XlsxError) -> Error {
    match fault {
        XlsxError::Password => Error::new(
            file,
            "the workbook is locked with a password",
            "Save it without one, or save the sheet as CSV.",
        ),
        fault => damaged(file, fault),
    }
}

fn damaged(file: &str, fault: &dyn std::fmt::Display) -> Error {
    Error::new(
        file,
        format!("this cannot be read as a workbook ({fault})"),
        "Open it in a spreadsheet program and save it anew as .xlsx, or save the sheet as \"CSV UTF-8\".",
    )
}
