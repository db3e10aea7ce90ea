//! The tables that are filled in.

use std::io::{Cursor, Read};

use super::{GREEN, ends, laid_out, packed, plain};

/// Two occasions of four plots of two cores, plots in walking order, nothing counted.
#[test]
fn the_table_has_a_line_for_all_that_is_to_be_counted() {
    let scratch = packed(&plain(), GREEN);
    let text = scratch.read("pack/counts.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let head: Vec<String> = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_owned)
        .collect();
    let at = |name: &str| head.iter().position(|h| h == name).unwrap();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 2 * 4 * 2);
    let first: Vec<[&str; 3]> = rows
        .iter()
        .map(|r| [&r[at("plot")], &r[at("sample")], &r[at("occasion")]])
        .collect();
    assert_eq!(
        first[..3],
        [
            ["1", "1", "before"],
            ["1", "2", "before"],
            ["2", "1", "before"]
        ]
    );
    assert_eq!(first[15], ["4", "2", "main"]);
    assert!(rows.iter().all(|r| r[at("count")].is_empty()));
}

/// As it comes, the table says that nobody counted; filled in, it can be judged.
#[test]
fn a_filled_table_is_checked() {
    let scratch = packed(&plain(), GREEN);
    let text = scratch.read("pack/counts.csv");
    scratch.put("counts.csv", &text);
    let run = scratch.run(&["check", ".", "--json"]);
    assert_eq!(run.json()["result"]["counted"], 0, "{}", run.out());
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let count = reader
        .headers()
        .unwrap()
        .iter()
        .position(|h| h == "count")
        .unwrap();
    let mut filled = text.lines().next().unwrap().to_owned() + "\n";
    for (i, record) in reader.records().enumerate() {
        let record = record.unwrap();
        let cells = record.iter().enumerate().map(|(at, cell)| {
            if at == count {
                (i % 5).to_string()
            } else {
                cell.to_owned()
            }
        });
        filled += &(cells.collect::<Vec<_>>().join(",") + "\n");
    }
    scratch.put("counts.csv", filled);
    let run = scratch.run(&["check", ".", "--json"]);
    assert_eq!(run.code(), Some(0), "{}", run.out());
    assert_eq!(run.json()["result"]["counted"], 4);
    assert_eq!(run.json()["result"]["counts"], 16);
}

/// Readings have columns of their own.
#[test]
fn readings_have_their_own_columns() {
    let scored = plain()
        .replace(
            "name = \"larvae in cores\"",
            "name = \"cover\"\nkind = \"cover\"",
        )
        .replace("core_diameter_mm = 100\n", "")
        .replace(
            "worthwhile_reduction_percent = 50",
            "worthwhile_difference = 5",
        );
    let scratch = packed(&scored, GREEN);
    assert!(
        scratch
            .read("pack/counts.csv")
            .starts_with("plot,sample,occasion,date,reading,note\n")
    );
    let sheets = scratch.read("pack/sheets.html");
    assert!(sheets.contains(">reading</th>") && !sheets.contains("class=\"ring\""));
}

/// What people filled in is left as it is, and said so; the rest is made anew.
#[test]
fn what_was_filled_in_is_left() {
    let scratch = packed(&plain(), GREEN);
    let filled = scratch.read("pack/counts.csv").replacen(",,,", ",,7,", 1);
    scratch.put("pack/counts.csv", &filled);
    scratch.put("pack/counts.xlsx", "a workbook that somebody saved");
    let again = scratch.run(&["pack", "."]);
    assert_eq!(again.code(), Some(0), "{}", again.err());
    assert_eq!(scratch.read("pack/counts.csv"), filled);
    assert_eq!(
        scratch.read("pack/counts.xlsx"),
        "a workbook that somebody saved"
    );
    for name in ["pack/counts.csv", "pack/counts.xlsx"] {
        assert!(
            again.out().contains(&format!(
                "look: {name} is there already and is left as it is."
            )),
            "{}",
            again.out()
        );
    }
}

/// Same trial, same bytes, and a second run changes none.
#[test]
fn a_second_run_changes_nothing() {
    let scratch = packed(&plain(), GREEN);
    let before = scratch.files();
    let run = scratch.run(&["pack", "."]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    assert!(!run.out().contains("left as it is"), "{}", run.out());
    assert_eq!(scratch.files(), before);
    let pack = |scratch: &crate::scratch::Scratch| {
        let of_seal =
            |name: &str| name.starts_with("pack/") && !ends(name, "html") && !ends(name, "xlsx");
        scratch
            .files()
            .into_iter()
            .filter(|(name, _)| of_seal(name))
            .collect::<Vec<_>>()
    };
    assert_eq!(pack(&packed(&plain(), GREEN)), pack(&scratch));
}

/// A page of the workbook as XML.
fn part(workbook: &[u8], name: &str) -> String {
    let mut archive = zip::ZipArchive::new(Cursor::new(workbook)).unwrap();
    let mut text = String::new();
    archive
        .by_name(name)
        .unwrap()
        .read_to_string(&mut text)
        .unwrap();
    text
}

/// The sheet is locked without a password, its open columns are open, its cells take what can be meant.
#[test]
fn the_workbook_locks_its_header_and_lists_what_can_be_meant() {
    let scratch = packed(&plain(), GREEN);
    let workbook = scratch.bytes("pack/counts.xlsx");
    let sheet = part(&workbook, "xl/worksheets/sheet1.xml");
    assert!(
        sheet.contains("<sheetProtection ") && !sheet.contains("password="),
        "{sheet}"
    );
    assert_eq!(sheet.matches("type=\"list\"").count(), 3);
    // Samples, counts and minutes.
    assert_eq!(sheet.matches("type=\"whole\"").count(), 3);
    // A core of 10 cm, 0.00785 m2, at 10 000 to the square metre.
    assert!(sheet.contains("78,1000000"), "{sheet}");
    let book = part(&workbook, "xl/workbook.xml");
    assert!(
        book.contains("name=\"counts\"") && book.contains("state=\"hidden\""),
        "{book}"
    );
}

/// Without a seal there is nothing to pack; without a layout even less.
#[test]
fn only_a_sealed_layout_is_packed() {
    let scratch = laid_out(&plain(), GREEN);
    std::fs::remove_file(scratch.path("seal.toml")).unwrap();
    let run = scratch.run(&["pack", "."]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err().contains("seal.toml: there is no seal"),
        "{}",
        run.err()
    );
    let bare = crate::scratch::Scratch::measured(&plain());
    let run = bare.run(&["pack", "."]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err().contains("layout.csv: there is no such file"),
        "{}",
        run.err()
    );
    assert!(!bare.path("pack").exists());
}

/// The sheet for events starts with its columns and an example that is none, and is never written over.
#[test]
fn events_start_with_an_example_that_is_none() {
    let scratch = packed(&plain(), GREEN);
    let text = scratch.read("events.csv");
    assert!(
        text.starts_with("plot,date,event,covered_fraction,note\n#"),
        "{text}"
    );
    let layout =
        halfgreen::design::read_layout("layout.csv", &scratch.read("layout.csv"), &[]).unwrap();
    let protocol = halfgreen::design::read_protocol("trial.toml", &plain())
        .unwrap()
        .protocol;
    let events = halfgreen::intake::read_events("events.csv", &text, &protocol, &layout).unwrap();
    assert!(events.is_empty(), "{events:?}");
    // The example is an event once its sign is taken away.
    let example = text.replace("# such as: 7,", "1,");
    let events =
        halfgreen::intake::read_events("events.csv", &example, &protocol, &layout).unwrap();
    assert_eq!(events[0].covered_fraction, Some(0.25));
    scratch.put("events.csv", &example);
    assert_eq!(scratch.run(&["pack", "."]).code(), Some(0));
    assert_eq!(scratch.read("events.csv"), example);
}

/// A morning has no room for so much, and no memory is spent on it.
#[test]
fn more_lines_than_anybody_carries_are_refused() {
    let scratch = laid_out(
        &plain().replace("cores_per_plot = 2", "cores_per_plot = 1000"),
        GREEN,
    );
    assert_eq!(scratch.run(&["pack", "."]).code(), Some(0));
    let many =
        "name = \"main\"\nrole = \"main\"\n\n[[occasion]]\nname = \"later\"\nrole = \"follow-up\"";
    let mut protocol = plain().replace("cores_per_plot = 2", "cores_per_plot = 1000");
    for later in ["a", "b", "c", "d"] {
        protocol = protocol.replacen(
            "name = \"main\"\nrole = \"main\"",
            &many.replace("later", later),
            1,
        );
    }
    let scratch = laid_out(&protocol, GREEN);
    let run = scratch.run(&["pack", "."]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err()
            .contains("there are 24000 lines to count on, but lines is from 1 to 20000"),
        "{}",
        run.err()
    );
    assert!(!scratch.path("pack").exists());
}
