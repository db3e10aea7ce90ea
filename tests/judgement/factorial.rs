//! Crossed factors from protocol to pages: each answers its own question.

use std::fmt::Write as _;

use serde_json::Value;

use crate::scratch::Scratch;

const PROTOCOL: &str = r#"[trial]
title = "Sheets and slits on the fourth"
question = "Do sheeting overnight and slitting lower the larvae left in the cores?"

[[factor]]
name = "sheeting"
kind = "covering"
levels = ["none", "overnight"]

[[factor]]
name = "slitting"
kind = "aeration"
levels = ["none", "spring"]

[design]
kind = "randomised-blocks"
blocks = 5

[plot]
length_m = 3.0
width_m = 2.0
guard_m = 0.5

[response]
name = "leatherjackets"
cores_per_plot = 4
area_m2 = 0.01

[decision]
worthwhile_reduction_percent = 50
"#;

const OUTLINE: &str = "x_m,y_m\n0,0\n40,0\n40,25\n0,25\n";

/// By block: untreated, slit, sheeted, both. Ten sheeted plots hold 28, ten without a sheet 145.
const COUNTS: [[u64; 4]; 5] = [
    [22, 9, 3, 1],
    [8, 18, 7, 1],
    [12, 6, 1, 5],
    [9, 30, 2, 2],
    [17, 14, 4, 2],
];

/// A laid-out trial whose plots hold these counts, spread over four cores.
fn trial(protocol: &str, counts: &[[u64; 4]]) -> Scratch {
    let scratch = Scratch::empty();
    scratch.put("t/trial.toml", protocol);
    scratch.put("t/outline.csv", OUTLINE);
    let laid = scratch.run(&["layout", "t", "--seed", "7"]);
    assert_eq!(laid.code(), Some(0), "{}", laid.err());
    let mut text = "plot,sample,occasion,count\n".to_owned();
    for line in scratch.read("t/layout.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let block: usize = cells[1].parse().unwrap();
        let treatment = ["U", "Sl", "Sh", "ShSl"];
        let at = treatment.iter().position(|t| *t == cells[4]).unwrap();
        let count = counts[block - 1][at];
        for sample in 1..=4 {
            let part = count / 4 + u64::from(sample <= count % 4);
            writeln!(text, "{},{sample},main,{part}", cells[0]).unwrap();
        }
    }
    scratch.put("t/counts.csv", text);
    scratch
}

/// The trial of sheets and slits.
pub(crate) fn sheets_and_slits() -> Scratch {
    trial(PROTOCOL, &COUNTS)
}

fn judged(scratch: &Scratch) -> Value {
    scratch.run(&["judge", "t", "--json"]).json()["result"].take()
}

#[test]
fn sheeting_beats_doing_without_where_one_combination_alone_cannot_tell() {
    let scratch = trial(PROTOCOL, &COUNTS);
    let found = judged(&scratch);
    let factors = found["factors"].as_array().unwrap();
    let sheets = &factors[0];
    assert_eq!(
        (&sheets["factor"], &sheets["level"]),
        (&"sheeting".into(), &"overnight".into())
    );
    assert_eq!(sheets["against"], "none");
    assert_eq!(sheets["call"], "beat-the-control");
    let ratio = sheets["ratio"].as_f64().unwrap();
    assert!(ratio > 0.1 && ratio < 0.3, "{ratio}");
    assert!((sheets["ratio_as_counted"].as_f64().unwrap() - 28.0 / 145.0).abs() < 1e-9);
    assert!(sheets["high"].as_f64().unwrap() < 0.5);
    let said = sheets["sentence"].as_str().unwrap();
    assert!(
        said.starts_with("sheeting overnight (over all levels of slitting) beat sheeting none: "),
        "{said}"
    );
    assert_eq!(factors[1]["call"], "cannot-tell");
    // The verdicts are those of the factors, and nothing else on the page is called a finding.
    let calls: Vec<&Value> = found["verdicts"]
        .as_array()
        .unwrap()
        .iter()
        .map(|v| &v["call"])
        .collect();
    assert_eq!(calls, ["beat-the-control", "cannot-tell"]);
    assert_eq!(found["contrasts"].as_array().unwrap().len(), 3);
    let both = &found["interactions"][0];
    assert_eq!(both["factors"], serde_json::json!(["sheeting", "slitting"]));
    for key in ["ratio", "low", "high", "p_model"] {
        assert!(both[key].is_number(), "{key}: {both}");
    }
    assert_eq!(
        found["diagnostics"]["leave_one_out"]
            .as_array()
            .unwrap()
            .len(),
        2
    );

    let told = scratch.run(&["judge", "t"]).out();
    assert!(
        told.contains("sheeting overnight: It beat the control"),
        "{told}"
    );
    assert!(
        !told.contains("Cannot tell yet whether sheeting overnight"),
        "{told}"
    );
}

#[test]
fn the_pages_tell_each_factor_and_nothing_against_it() {
    let scratch = trial(PROTOCOL, &COUNTS);
    let run = scratch.run(&["report", "t"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let pages = [
        (
            "t/report/report.html",
            "It beat the control",
            "Cannot tell yet",
            "No sign that sheeting overnight does more or less",
        ),
        (
            "t/report/members.html",
            "yes, it worked",
            "we cannot tell yet",
            "Nothing shows that sheeting did more or less good together with slitting than alone.",
        ),
    ];
    for (page, worked, open, together) in pages {
        let text = scratch.read(page);
        assert!(
            text.contains(&format!("Sheeting overnight: {worked}")),
            "{page}"
        );
        assert!(text.contains(&format!("Slitting spring: {open}")), "{page}");
        assert!(text.contains(together), "{page}");
        assert!(
            !text.contains("Sheeting overnight: Cannot tell yet"),
            "{page}"
        );
    }
    let report = scratch.read("t/report/report.html");
    for part in [
        "Each factor, over the others",
        "Main effects",
        "Interactions",
    ] {
        assert!(report.contains(part), "{part}");
    }
}

#[test]
fn the_seal_fixes_which_comparisons_get_a_verdict() {
    let scratch = trial(PROTOCOL, &COUNTS);
    let seal = scratch.read("t/seal.toml");
    let family = "headline_family = \"the main effects of sheeting and slitting, alpha shared equally by the factors\"";
    assert!(seal.contains(family), "{seal}");
    let verified = scratch.run(&["layout", "t", "--verify"]);
    assert_eq!(verified.code(), Some(0), "{}", verified.err());
    // The same treatments written one by one ask another question.
    let one_by_one = PROTOCOL.replace(
        &PROTOCOL[PROTOCOL.find("[[factor]]").unwrap()..PROTOCOL.find("[design]").unwrap()],
        "[[treatment]]\ncode = \"U\"\nname = \"untreated\"\ncontrol = true\n\n\
         [[treatment]]\ncode = \"Sl\"\nname = \"slitting spring\"\nkind = \"aeration\"\n\n\
         [[treatment]]\ncode = \"Sh\"\nname = \"sheeting overnight\"\nkind = \"covering\"\n\n\
         [[treatment]]\ncode = \"ShSl\"\nname = \"sheeting overnight + slitting spring\"\nkind = \"covering\"\n\n",
    );
    scratch.put("t/trial.toml", one_by_one);
    let told = scratch.run(&["judge", "t"]);
    assert!(
        told.err()
            .contains("verdicts are given on the main effects"),
        "{}",
        told.err()
    );
}

#[test]
fn a_combination_without_larvae_is_said() {
    let counts = COUNTS.map(|b| [b[0], b[1], b[2], 0]);
    let scratch = trial(PROTOCOL, &counts);
    let found = judged(&scratch);
    assert_eq!(found["factors"][0]["call"], "beat-the-control");
    assert_eq!(found["interactions"][0]["ratio"], Value::Null);
    let told = scratch.run(&["judge", "t"]);
    assert!(
        told.err().contains("the factors multiply"),
        "{}",
        told.err()
    );
    assert!(told.out().contains("cannot be told"), "{}", told.out());
}

#[test]
fn a_split_plot_tests_each_factor_in_its_own_stratum() {
    let split = PROTOCOL.replace("randomised-blocks", "split-plot");
    let found = judged(&trial(&split, &COUNTS));
    let df = |at: usize| found["factors"][at]["df"].as_f64().unwrap();
    // Two whole plots in each of five blocks: 4 for sheets on them; within them 20 - 5 - 4 - 3 = 8 for slits.
    // A little less where plots are expected to scatter unlike.
    assert!(
        (df(0), df(1)) <= (4.0, 8.0) && df(0) > 3.9 && df(1) > 7.5,
        "{:?}",
        (df(0), df(1))
    );
}
