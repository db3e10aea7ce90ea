//! One rule for names where they come in, one for texts where they go out.

use crate::scratch::{PROTOCOL, Scratch};

/// An edge below which zones can be written.
const WITH_PARTS: &str = "x_m,y_m,part\n0,0,\n30,0,\n30,20,\n0,20,\n";

/// What no name may hold, as a trial file spells it.
const UNSEEN: [&str; 7] = [
    "\\u0000",
    "\\u001B[2J",
    "\\u009B2J",
    "\\u202E",
    "\\u2066",
    "\\uFFFE",
    "\\u2028",
];

/// A trial whose protocol has one text in the place of another.
fn with(from: &str, to: &str) -> Scratch {
    assert!(PROTOCOL.contains(from));
    Scratch::measured(&PROTOCOL.replacen(from, to, 1))
}

/// Whether a text would move a cursor or read in another order.
fn is_raw(text: &str) -> bool {
    let raw = |c: char| {
        (c.is_control() && c != '\n') || ('\u{202a}'..='\u{202e}').contains(&c) || c == '\u{fffe}'
    };
    text.chars().any(raw)
}

#[test]
fn a_name_that_cannot_be_seen_is_refused_in_its_place() {
    let names = [
        (2, "Two pairs"),
        (6, "\"U"),
        (12, "\"covered"),
        (29, "\"before"),
    ];
    for (line, from) in names {
        for unseen in UNSEEN {
            let scratch = with(from, &format!("{from}{unseen}."));
            let run = scratch.run(&["layout", "."]);
            assert_eq!(run.code(), Some(1), "{from} {unseen}");
            let place = format!("trial.toml:{line}:");
            assert!(
                run.err().contains(&place) && run.err().contains("cannot be seen"),
                "{from} {unseen}: {}",
                run.err()
            );
            assert_eq!(scratch.names(), ["outline.csv", "trial.toml"]);
        }
    }
    let run = with("\"U\"", &format!("\"{}\"", "U".repeat(201))).run(&["layout", "."]);
    assert!(run.err().contains("201 characters"), "{}", run.err());
}

#[test]
fn a_zone_and_a_treatment_of_a_table_are_held_to_the_same_rule() {
    let scratch = Scratch::empty();
    let long = "z".repeat(201);
    for (zone, said) in [("wet\u{202e}", "U+202E"), (long.as_str(), "206 characters")] {
        let corners = ["2,2", "9,2", "9,9"].map(|c| format!("{c},zone {zone}\n"));
        scratch.put("edge.csv", WITH_PARTS.to_owned() + &corners.concat());
        let run = scratch.run(&["grid", "edge.csv", "--points", "5"]);
        assert_eq!(run.code(), Some(1));
        assert!(
            run.err().contains("edge.csv:6:3") && run.err().contains(said),
            "{}",
            run.err()
        );
        assert!(!is_raw(&run.err()));
        let ring = "[[[0,0],[0.001,0],[0.001,0.001],[0,0]]]";
        let zone = format!(
            "{{\"type\":\"Feature\",\"properties\":{{\"part\":\"zone\",\"name\":\"{zone}\"}},\
             \"geometry\":{{\"type\":\"Polygon\",\"coordinates\":{ring}}}}}"
        );
        scratch.put("edge.geojson", zone);
        let run = scratch.run(&["grid", "edge.geojson", "--points", "5"]);
        let said = said.replace("206", "201");
        assert_eq!(run.code(), Some(1));
        assert!(run.err().contains(&said), "{}", run.err());
    }
    scratch.put("y.csv", "t,y\nA,1\nB\u{1b}[2J,2\n");
    let judge = [
        "judge",
        "--counts",
        "y.csv",
        "--count",
        "y",
        "--treatment",
        "t",
        "--control",
        "A",
    ];
    let run = scratch.run(&judge);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err().contains("y.csv:3:1") && run.err().contains("U+001B"),
        "{}",
        run.err()
    );
}

#[test]
fn a_name_that_a_spreadsheet_would_run_is_written_so_that_it_does_not_and_read_back() {
    let code = "=HYPERLINK(\\\"x\\\")";
    for (code, cell) in [
        (code, "\"'=HYPERLINK(\"\"x\"\")\""),
        ("+A", "'+A"),
        ("-1+1", "'-1+1"),
        ("@SUM", "'@SUM"),
        ("'=1", "''=1"),
        ("-1", "-1"),
    ] {
        let scratch = with("code = \"C\"", &format!("code = \"{code}\""));
        assert_eq!(
            scratch.run(&["layout", ".", "--seed", "1"]).code(),
            Some(0),
            "{code}"
        );
        let layout = scratch.read("layout.csv");
        assert!(layout.contains(&format!(",{cell},")), "{code}: {layout}");
        let verified = scratch.run(&["layout", ".", "--verify"]);
        assert_eq!(
            verified.code(),
            Some(0),
            "{}{}",
            verified.out(),
            verified.err()
        );
        let cores = [1, 2, 3, 4].map(|plot| format!("{plot},1,main,{plot}\n{plot},2,main,1\n"));
        let counts = "plot,sample,occasion,count\n".to_owned() + &cores.concat();
        scratch.put("counts.csv", counts);
        let judged = scratch.run(&["judge", ".", "--json"]);
        assert_eq!(judged.code(), Some(0), "{}", judged.err());
        let treatment = &judged.json()["result"]["contrasts"][0]["treatment"];
        assert_eq!(*treatment, code.replace('\\', ""));
    }
}

#[test]
fn nothing_that_is_shown_moves_a_cursor() {
    let scratch = Scratch::empty();
    scratch.put("y.csv", "y\n1\n0\n5\n");
    let name = "no\u{1b}[2J\u{9b}2J\u{202e}file";
    for arguments in [
        &["check", name][..],
        &["describe", name, "--count", "y"],
        &["describe", "y.csv", "--count", name],
        &["grid", "y.csv", "--points", name],
        &[name],
    ] {
        for json in [&[][..], &["--json"]] {
            let run = scratch.run(&[arguments, json].concat());
            assert_ne!(run.code(), Some(0));
            assert!(
                !is_raw(&run.err()) && !is_raw(&run.out()),
                "{:?}",
                run.err()
            );
        }
    }
    // The escapes of a document mean the same.
    let document = scratch.run(&["check", name, "--json"]).json();
    assert_eq!(document["errors"][0]["where"], name);
}
