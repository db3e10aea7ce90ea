//! A trial folder whose protocol says that the turf is scored, judged without a flag.

use std::fmt::Write as _;

use crate::scratch::{Run, Scratch};

const PROTOCOL: &str = r#"[trial]
title = "Spiking on the practice green"
question = "Does spiking leave a better looking turf?"

[[treatment]]
code = "N"
name = "nothing done"
control = true

[[treatment]]
code = "S"
name = "spiked"
kind = "aeration"

[design]
kind = "paired"
blocks = 7

[plot]
length_m = 4.0
width_m = 2.0

[response]
name = "looks"
kind = "score"
unit = "points from 1 to 9"

[decision]
worthwhile_difference = 1
"#;

/// Score of the untreated and the spiked plot of each pair; the last plot was not read.
const SCORES: [[&str; 2]; 7] = [
    ["5", "7"],
    ["6", "7"],
    ["4", "6"],
    ["5", "8"],
    ["6", "7.5"],
    ["5", "6"],
    ["5", ""],
];

fn trial(change: impl Fn(&str) -> String) -> Scratch {
    let scratch = Scratch::empty();
    let mut layout =
        "plot,block,row,column,treatment,x_m,y_m,length_m,width_m,angle_deg\n".to_owned();
    let mut counts = "plot,reading,note\n".to_owned();
    for (pair, scores) in SCORES.iter().enumerate() {
        for (side, code) in ["N", "S"].into_iter().enumerate() {
            let plot = 2 * pair + side + 1;
            let (x, y) = (2 + 5 * pair, 1 + 3 * side);
            writeln!(layout, "{plot},{},,,{code},{x},{y},4,2,0", pair + 1).unwrap();
            writeln!(counts, "{plot},{},", scores[side]).unwrap();
        }
    }
    scratch.put("trial.toml", change(PROTOCOL));
    scratch.put("layout.csv", layout);
    scratch.put("counts.csv", counts);
    scratch.put("outline.csv", "x_m,y_m\n-2,-2\n37,-2\n37,8\n-2,8\n");
    scratch
}

fn said(run: &Run) -> String {
    format!("{}{}", run.out(), run.err())
}

/// Six whole pairs all one way: 2 of the 2^6 allocations lie as far out, the lone plot of the seventh cannot
/// change places.
#[test]
fn a_blank_reading_is_a_missing_plot() {
    let scratch = trial(str::to_owned);
    let check = scratch.run(&["check", "."]);
    assert_eq!(check.code(), Some(0), "{}", said(&check));
    assert!(
        check.out().contains("13 of 14 plots read"),
        "{}",
        check.out()
    );
    assert!(
        check.out().contains("taken as not read, which is not zero"),
        "{}",
        check.out()
    );
    let run = scratch.run(&["--json", "judge", "."]);
    assert_eq!(run.code(), Some(0), "{}", said(&run));
    let result = &run.json()["result"];
    assert_eq!(result["missing"][0], "14");
    assert_eq!(
        (
            &result["plots"],
            result["readings"].as_array().unwrap().len()
        ),
        (&13.into(), 13)
    );
    let effect = &result["effect"][0];
    assert_eq!(effect["p"].as_f64(), Some(2.0 / 64.0));
    assert_eq!(effect["call"], "beat-the-control");
    assert!(
        effect["sentence"]
            .as_str()
            .unwrap()
            .starts_with("spiked beat nothing done")
    );
    assert!(
        run.json()["warnings"]
            .to_string()
            .contains("plot 14 has no reading and is left out")
    );
}

#[test]
fn the_report_tells_of_readings() {
    let scratch = trial(str::to_owned);
    let run = scratch.run(&["report", "."]);
    assert_eq!(run.code(), Some(0), "{}", said(&run));
    let page = scratch.read("report/report.html");
    for words in [
        "It beat the control",
        "points from 1 to 9",
        "not read",
        "Hodges-Lehmann estimate",
    ] {
        assert!(page.contains(words), "{words}");
    }
    assert!(!page.contains("larvae"), "a reading is no larva");
    assert!(
        scratch
            .read("report/members.html")
            .contains("we read 13 of them")
    );
    let results: serde_json::Value =
        serde_json::from_str(&scratch.read("report/results.json")).unwrap();
    assert_eq!(results["result"]["response"], "score");
}

/// A table given by its columns is held to the same rule.
#[test]
fn a_blank_cell_of_any_table_is_a_missing_plot() {
    let scratch = Scratch::empty();
    scratch.put(
        "t.csv",
        "block,method,root\n1,none,40\n1,slit,52\n2,none,41\n2,slit,\n3,none,39\n3,slit,50\n",
    );
    let asked = "--json judge --counts t.csv --count root --treatment method --control none --block block --response length";
    let run = scratch.run(&asked.split(' ').collect::<Vec<_>>());
    assert_eq!(run.code(), Some(0), "{}", said(&run));
    let result = &run.json()["result"];
    assert_eq!(
        (&result["plots"], &result["missing"][0]),
        (&5.into(), &"row 5".into())
    );
}

#[test]
fn readings_off_their_scale_are_refused_in_their_place() {
    let scratch = trial(str::to_owned);
    let counts = scratch
        .read("counts.csv")
        .replace("1,5,\n", "1,12,\n")
        .replace("3,6,\n", "33,6,\n");
    scratch.put("counts.csv", counts.replace("5,4,\n", "5,four,\n"));
    for command in ["check", "judge", "report"] {
        let run = scratch.run(&[command, "."]);
        assert_eq!(run.code(), Some(1), "{command}");
        let said = said(&run);
        for complaint in [
            "counts.csv:2:2: \"12\" is not a score from 1 to 9",
            "counts.csv:4:1: plot 33 is not in the layout",
            // `check` names the plot as well.
            "counts.csv:6:2",
            "\"four\" is not a score from 1 to 9",
        ] {
            assert!(said.contains(complaint), "{command}: {complaint}: {said}");
        }
    }
}

#[test]
fn what_needs_counts_says_so() {
    let scratch = trial(str::to_owned);
    for command in [&["next", "."][..], &["hotspots", "."]] {
        let run = scratch.run(command);
        assert_eq!(run.code(), Some(1), "{}", said(&run));
        assert!(said(&run).contains("readings"), "{}", said(&run));
    }
}
