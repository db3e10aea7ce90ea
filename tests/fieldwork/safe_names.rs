//! Names that would run: as text on every page, as text in every table.

use super::{GREEN, ends, packed};
use crate::scratch::PROTOCOL;

const SCRIPT: &str = "<script>alert(1)</script>";

#[test]
fn names_with_markup_appear_as_text() {
    let protocol = PROTOCOL
        .replace("title = \"Two pairs\"", &format!("title = \"{SCRIPT}\""))
        .replace("\"uncovered\"", &format!("\"{SCRIPT} U\""))
        .replace("name = \"main\"", &format!("name = \"{SCRIPT} O\""))
        .replace("larvae in cores", &format!("{SCRIPT} R"));
    let outline = GREEN
        .replace("zone wet", &format!("zone {SCRIPT}"))
        .replace("hole cup", &format!("hole {SCRIPT}"));
    let scratch = packed(&protocol, &outline);
    let mut looked_at = 0;
    for (name, content) in scratch.files() {
        let page = ends(&name, "html") && !name.contains("tally");
        if name.starts_with("pack/") && (page || ends(&name, "svg")) {
            let text = String::from_utf8(content).unwrap();
            assert!(!text.contains("<script"), "{name}");
            assert!(text.contains("&lt;script&gt;alert(1)"), "{name}");
            looked_at += 1;
        }
    }
    assert_eq!(looked_at, 4);
}

/// CWE-1236: occasions that begin with signs of a formula are quoted in CSV and marked as text in the workbook.
#[test]
fn no_spreadsheet_runs_a_name() {
    for sign in ["=", "+", "-", "@"] {
        let name = format!("{sign}1+1|x");
        let protocol = PROTOCOL.replace("name = \"main\"", &format!("name = \"{name}\""));
        let scratch = packed(&protocol, GREEN);
        let table = scratch.read("pack/counts.csv");
        assert!(
            table.contains(&format!(",'{name},")) && !table.contains(&format!(",{name},")),
            "{table}"
        );
        let workbook = scratch.bytes("pack/counts.xlsx");
        let mut archive = zip::ZipArchive::new(std::io::Cursor::new(workbook)).unwrap();
        let mut part = |name: &str| {
            let mut text = String::new();
            std::io::Read::read_to_string(&mut archive.by_name(name).unwrap(), &mut text).unwrap();
            text
        };
        assert!(part("xl/sharedStrings.xml").contains(&format!("<t>{name}</t>")));
        assert!(part("xl/styles.xml").contains("quotePrefix=\"1\""));
        // No cell of the sheet is a formula.
        assert!(!part("xl/worksheets/sheet1.xml").contains("<f>"));
    }
}
