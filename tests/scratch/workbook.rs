//! Workbooks as spreadsheet programs write them, made part by part.

use std::fmt::Write as _;
use std::io::{Cursor, Write};

use zip::ZipWriter;
use zip::write::SimpleFileOptions;

const TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>"#;
const PACKAGE: &str = r#"<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
/// The second style shows a number as a day.
const STYLES: &str = r#"<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/></cellXfs></styleSheet>"#;

/// A workbook of these sheets: name and XML of each.
pub(crate) fn workbook(sheets: &[(&str, &str)]) -> Vec<u8> {
    packed(sheets, "")
}

/// The same with a list of shared texts.
pub(crate) fn packed(sheets: &[(&str, &str)], strings: &str) -> Vec<u8> {
    let mut list = String::new();
    let mut relations = String::new();
    for (at, (name, _)) in (1..).zip(sheets) {
        write!(
            list,
            r#"<sheet name="{name}" sheetId="{at}" r:id="rId{at}"/>"#
        )
        .unwrap();
        write!(relations, r#"<Relationship Id="rId{at}" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet{at}.xml"/>"#
        ).unwrap();
    }
    let book = format!(
        r#"<?xml version="1.0"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets>{list}</sheets></workbook>"#
    );
    let relations = format!(
        r#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{relations}</Relationships>"#
    );
    let mut parts = vec![
        ("[Content_Types].xml".to_owned(), TYPES.to_owned()),
        ("_rels/.rels".to_owned(), PACKAGE.to_owned()),
        ("xl/workbook.xml".to_owned(), book),
        ("xl/_rels/workbook.xml.rels".to_owned(), relations),
        ("xl/styles.xml".to_owned(), STYLES.to_owned()),
    ];
    if !strings.is_empty() {
        parts.push(("xl/sharedStrings.xml".to_owned(), strings.to_owned()));
    }
    for (at, (_, xml)) in (1..).zip(sheets) {
        parts.push((format!("xl/worksheets/sheet{at}.xml"), (*xml).to_owned()));
    }
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        zip.start_file(name, SimpleFileOptions::default()).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// The XML of a sheet whose cells hold the texts of a table: whole numbers as numbers, days as days, the rest as texts.
pub(crate) fn sheet(table: &str) -> String {
    let mut rows = String::new();
    for (at, line) in (1..).zip(table.lines()) {
        write!(rows, r#"<row r="{at}">"#).unwrap();
        for (column, text) in ('A'..='Z').zip(line.split(',')) {
            if !text.is_empty() {
                rows += &cell(&format!("{column}{at}"), text);
            }
        }
        rows += "</row>";
    }
    format!(
        r#"<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{rows}</sheetData></worksheet>"#
    )
}

fn cell(place: &str, text: &str) -> String {
    if text.parse::<f64>().is_ok() {
        return format!(r#"<c r="{place}"><v>{text}</v></c>"#);
    }
    if let Ok(day) = text.parse::<jiff::civil::Date>() {
        // Days since the last day of 1899, as workbooks count them.
        let first = jiff::civil::date(1899, 12, 30);
        let days = (day - first).get_days();
        return format!(r#"<c r="{place}" s="1"><v>{days}</v></c>"#);
    }
    let text = text.replace('&', "&amp;").replace('<', "&lt;");
    format!(r#"<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>"#)
}
