//! What is taken in: every row from its line, nothing twice, nothing malformed, and the rest all the same.

use polars::prelude::{ParquetReader, SerReader};

use super::{COLUMNS, archived, filled, table};
use crate::scratch::{EDGE, LAYOUT, PROTOCOL, Scratch};

/// Rows of an archive as `source:line` and the other cells, from the files themselves.
#[expect(
    clippy::disallowed_types,
    reason = "the files are read by the library that other engines use"
)]
fn rows(scratch: &Scratch, archive: &str) -> Vec<(u64, String)> {
    let mut found = Vec::new();
    for (name, _) in scratch.files() {
        if !name.starts_with(&format!("{archive}/counts/")) {
            continue;
        }
        let frame = ParquetReader::new(std::fs::File::open(scratch.path(&name)).unwrap())
            .finish()
            .unwrap();
        let column = |name: &str| frame.column(name).unwrap();
        let home: Vec<&str> = name.split('/').collect();
        for at in 0..frame.height() {
            let text = |name: &str| column(name).str().unwrap().get(at).unwrap().to_owned();
            let whole = |name: &str| column(name).i64().unwrap().get(at).unwrap();
            let line = whole("line").cast_unsigned();
            let mut cells = ["trial", "occasion", "role", "treatment", "block", "plot"]
                .map(text)
                .to_vec();
            cells.push(whole("count").to_string());
            cells.push(
                column("area_m2")
                    .f64()
                    .unwrap()
                    .get(at)
                    .unwrap()
                    .to_string(),
            );
            cells.push(text("source"));
            found.push((line, format!("{} {} {}", home[2], home[3], cells.join(" "))));
        }
    }
    found.sort();
    found
}

#[test]
fn every_row_is_found_under_its_club_with_its_line_and_area() {
    let scratch = filled(4);
    let rows = rows(&scratch, "county");
    let text = scratch.read("counts.csv");
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(rows.len(), lines.len() - 1);
    for (at, (line, row)) in rows.iter().enumerate() {
        assert_eq!(*line, at as u64 + 2);
        let written = lines[at + 1]
            .replace("\"Club ", "")
            .replace(", invented\"", "");
        let cells: Vec<&str> = written.split(',').collect();
        // A corer of 108 mm: pi (0.108 / 2)^2 = 0.00916 square metres.
        let area = std::f64::consts::PI * 0.054_f64.powi(2);
        let wanted = format!(
            "season={} club=Club {}%2C invented {} {} {} {} {} {} {} {area} counts.csv",
            cells[2],
            cells[1],
            cells[0],
            cells[5],
            cells[5],
            cells[8],
            cells[6],
            cells[7],
            cells[10]
        );
        assert_eq!(*row, wanted);
    }
}

#[test]
fn adding_twice_changes_nothing() {
    let scratch = filled(5);
    let before = scratch.files();
    let again = archived(&scratch, &format!("add county counts.csv {COLUMNS}"));
    assert_eq!(
        (&again["trials"], &again["unchanged"]),
        (&0.into(), &1.into())
    );
    assert_eq!(scratch.files(), before);
}

#[test]
fn the_same_trial_from_another_file_is_told_and_not_counted_twice() {
    let scratch = filled(4);
    // The same rows in another order, and one trial with another count.
    let text = table(3);
    let (head, rows) = text.split_once('\n').unwrap();
    let mut rows: Vec<&str> = rows.lines().collect();
    rows.reverse();
    let changed = format!("{head}\n{}\n", rows.join("\n"));
    let first = changed.lines().nth(1).unwrap();
    let (start, count) = first.rsplit_once(',').unwrap();
    let other = format!("{start},{}", count.parse::<u32>().unwrap() + 1);
    scratch.put("again.csv", changed.replacen(first, &other, 1));
    let added = archived(&scratch, &format!("add county again.csv {COLUMNS}"));
    assert_eq!(added["trials"], 0);
    let named = |list: &str| -> Vec<String> {
        let told = added[list].as_array().unwrap();
        told.iter()
            .map(|t| {
                format!("{} {} {}", t["trial"]["trial"], t["source"], t["first"]).replace('"', "")
            })
            .collect()
    };
    assert_eq!(
        named("twice"),
        ["t0 again.csv counts.csv", "t1 again.csv counts.csv"]
    );
    assert_eq!(named("contradicted"), ["t2 again.csv counts.csv"]);
    assert_eq!(added["in_archive"], 4);
}

#[test]
fn a_malformed_trial_among_many_is_listed_and_stops_nothing() {
    let scratch = Scratch::empty();
    let text = table(9);
    let lines: Vec<&str> = text.lines().collect();
    let line = lines.iter().position(|l| l.starts_with("t4,")).unwrap() + 2;
    let (start, _) = lines[line].rsplit_once(',').unwrap();
    let twleve = format!("{start},twleve");
    let text = text.replacen(lines[line], &twleve, 1);
    // A line of no trial, and a blank count.
    let text = format!(
        "{text}t8,,2025,2025-09-18,sand,main,0,0,U,108,3\nt8,\"Club 2, invented\",2025,2025-09-18,sand,main,0,0,U,108,\n"
    );
    scratch.put("counts.csv", &text);
    let added = archived(&scratch, &format!("add county counts.csv {COLUMNS}"));
    assert_eq!(
        (&added["trials"], &added["uncounted"]),
        (&8.into(), &1.into())
    );
    let left_out = added["left_out"].as_array().unwrap();
    let told: Vec<String> = left_out
        .iter()
        .map(|l| format!("{} {}", l["place"], l["reason"]).replace('"', ""))
        .collect();
    assert_eq!(told.len(), 2, "{told:?}");
    let place = format!("counts.csv:{}:11 ", line + 1);
    assert!(
        told.iter()
            .any(|t| t.starts_with(&place) && t.contains("If twelve was meant, write 12")),
        "{told:?}"
    );
    assert!(
        told.iter()
            .any(|t| t.contains("nobody can tell of which trial")),
        "{told:?}"
    );
    let judged = archived(&scratch, "judge county");
    assert_eq!(
        (
            &judged["effects"],
            judged["left_out"].as_array().unwrap().len()
        ),
        (&8.into(), 2)
    );
    assert!(
        scratch
            .read("county/effects/left-out.csv")
            .contains(&place.replace(' ', ",2025,\"Club 1, invented\",t4,"))
    );
}

#[test]
fn a_source_that_changed_stays_as_it_was_until_it_is_replaced() {
    let scratch = filled(4);
    let before = scratch.files();
    scratch.put("counts.csv", table(3));
    let told = scratch.run(
        &[
            &["archive", "add", "county", "counts.csv"],
            &COLUMNS.split_whitespace().collect::<Vec<_>>()[..],
        ]
        .concat(),
    );
    assert_eq!(told.code(), Some(1), "{}", told.out());
    assert!(told.out().contains("--replace"), "{}", told.out());
    let kept = |files: Vec<(String, Vec<u8>)>| {
        files
            .into_iter()
            .filter(|(n, _)| n.starts_with("county"))
            .collect::<Vec<_>>()
    };
    assert_eq!(kept(scratch.files()), kept(before));
    let replaced = archived(
        &scratch,
        &format!("add county counts.csv {COLUMNS} --replace"),
    );
    assert_eq!(
        (&replaced["trials"], &replaced["in_archive"]),
        (&3.into(), &3.into())
    );
    assert_eq!(rows(&scratch, "county").len(), table(3).lines().count() - 1);
}

#[test]
fn trial_folders_go_in_and_are_judged_as_by_themselves() {
    let scratch = Scratch::empty();
    for (club, extra) in [("elm", 0), ("oak", 4)] {
        let protocol =
            PROTOCOL.replacen("role = \"main\"", "role = \"main\"\ndate = 2026-09-18", 1);
        scratch.put(&format!("clubs/{club}/north/trial.toml"), protocol);
        scratch.put(&format!("clubs/{club}/north/layout.csv"), LAYOUT);
        scratch.put(&format!("clubs/{club}/north/outline.csv"), EDGE);
        let counts = format!(
            "plot,sample,occasion,count\n1,1,main,{}\n1,2,main,4\n2,1,main,2\n2,2,main,1\n3,1,main,0\n3,2,main,3\n4,1,main,7\n4,2,main,9\n",
            5 + extra
        );
        scratch.put(&format!("clubs/{club}/north/counts.csv"), counts);
    }
    scratch.put("clubs/ash/south/trial.toml", "this is no protocol");
    let added = archived(&scratch, "add county clubs");
    assert_eq!(
        (&added["trials"], &added["rows"]),
        (&2.into(), &16.into()),
        "{added}"
    );
    assert_eq!(
        added["left_out"][0]["place"]
            .as_str()
            .unwrap()
            .split(':')
            .next(),
        Some("clubs/ash/south/trial.toml")
    );
    let rows = rows(&scratch, "county");
    assert!(
        rows[0].1.starts_with(
            "season=2026 club=elm north main main U 1 1 5 0.01 clubs/elm/north/counts.csv"
        ),
        "{rows:?}"
    );
    // What judge says of the folder is what the archive says of it.
    let judged = archived(&scratch, "judge county");
    assert_eq!(judged["effects"], 2);
    let alone = scratch.run(&["judge", "clubs/oak/north", "--json"]).json();
    let ratio = alone["result"]["contrasts"][0]["ratio"].as_f64().unwrap();
    let effects = scratch.read("county/effects/effects.csv");
    let oak = effects.lines().find(|l| l.contains("oak")).unwrap();
    assert!(
        oak.contains(&format!(",{},", ratio.ln())),
        "{oak} has no {}",
        ratio.ln()
    );
    let before = scratch.files();
    let again = archived(&scratch, "add county clubs");
    assert_eq!(
        (&again["unchanged"], &again["trials"]),
        (&2.into(), &0.into())
    );
    assert_eq!(scratch.files(), before);
}
