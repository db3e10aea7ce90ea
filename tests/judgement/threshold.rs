//! Means beside the user's own figure, in the verdict, on the pages, in a description and in stop lines.

use crate::judgement::second_answers;
use crate::scratch::Scratch;

const ASKED: [&str; 11] = [
    "judge",
    "--counts",
    "t.csv",
    "--count",
    "n",
    "--treatment",
    "m",
    "--control",
    "none",
    "--block",
    "b",
];

/// Pairs of plots of 0.05 m2: none holds some 400 to the square metre, sheets some 80.
fn pairs() -> Scratch {
    let scratch = Scratch::empty();
    let rows = (0..8).map(|b| {
        format!(
            "none,{},{b},0.05\nsheet,{},{b},0.05\n",
            18 + (b * 5) % 7,
            3 + (b * 3) % 4
        )
    });
    let rows: Vec<String> = rows.collect();
    scratch.put("t.csv", format!("m,n,b,a\n{}", rows.concat()));
    scratch
}

#[test]
fn a_mean_lies_above_below_or_cannot_be_told() {
    let scratch = pairs();
    let sides = |own: &str| {
        let typed = [&ASKED[..], &["--area", "a", "--threshold", own, "--json"]].concat();
        let run = scratch.run(&typed);
        assert_eq!(run.code(), Some(0), "{}", run.err());
        let told = run.json()["result"]["threshold"].clone();
        assert_eq!(told["published"].as_array().unwrap().len(), 9);
        let rows = told["rows"].as_array().unwrap().clone();
        rows.iter()
            .map(|r| r["side"].as_str().unwrap().to_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(sides("200"), ["above", "below"]);
    assert_eq!(sides("90"), ["above", "cannot-tell"]);
    assert_eq!(sides("2000"), ["below", "below"]);
    let typed = [&ASKED[..], &["--area", "a", "--threshold", "200"]].concat();
    let told = scratch.run(&typed).out();
    assert!(
        told.contains("none: above your figure of 200 per m2"),
        "{told}"
    );
    assert!(
        told.contains("not what to do") && told.contains("Published figures disagree"),
        "{told}"
    );
}

#[test]
fn a_threshold_without_areas_or_for_readings_is_refused() {
    let scratch = pairs();
    for (more, says) in [
        (vec!["--threshold", "50"], "needs the sampled areas"),
        (
            vec!["--threshold", "0", "--area", "a"],
            "from 0.01 to 1000000 per m2",
        ),
        (
            vec!["--threshold", "50", "--area", "a", "--better", "more"],
            "where fewer is better",
        ),
    ] {
        let run = scratch.run(&[&ASKED[..], &more].concat());
        assert_eq!(run.code(), Some(1));
        assert!(run.err().contains(says), "{}", run.err());
    }
    let run = scratch.run(&["describe", "t.csv", "--count", "n", "--threshold", "50"]);
    assert_eq!(run.code(), Some(2), "{}", run.err());
}

/// Without the club's figure the pages show what was published and tell no side; with it, every occasion has a row.
#[test]
fn pages_tell_the_side_of_every_occasion_only_beside_the_clubs_figure() {
    let silent = second_answers::trial(&[]);
    let told = second_answers::trial(&[]);
    let text = told.read("trial.toml");
    let text = text.replace("[decision]", "[decision]\nthreshold_per_m2 = 60");
    told.put("trial.toml", text);
    for (trial, own) in [(&silent, false), (&told, true)] {
        let run = trial.run(&["report", "."]);
        assert_eq!(run.code(), Some(0), "{}", run.err());
        let page = trial.read("report/report.html");
        let members = trial.read("report/members.html");
        assert!(page.contains("Published figures") && page.contains("140 to 318"));
        assert_eq!(page.contains("Means beside the club's own figure"), own);
        assert_eq!(members.contains("our figure of 60 per m²"), own);
        assert!(!members.contains("your figure"));
    }
    let rows = told.run(&["judge", ".", "--json"]).json()["result"]["threshold"]["rows"].clone();
    let rows = rows.as_array().unwrap();
    assert!(
        rows.len() > 2 && rows.iter().all(|r| r["occasion"].is_string()),
        "{rows:?}"
    );
}

#[test]
fn a_survey_is_put_beside_the_figure_and_levels_of_a_stop_line_beside_what_was_published() {
    let scratch = pairs();
    let words = "describe t.csv --count n --core-area 0.05 --threshold 50";
    let typed: Vec<&str> = words.split(' ').collect();
    let told = scratch.run(&typed).out();
    assert!(
        told.contains("Mean per m2:") && told.contains("all units: above your figure of 50 per m2"),
        "{told}"
    );
    let words = "stopline --lower 100 --upper 200 --per-m2 --core-area 0.01 --k 0.8 --json";
    let typed: Vec<&str> = words.split(' ').collect();
    let found = scratch.run(&typed).json()["result"]["per_m2"].clone();
    assert_eq!(
        (found["lower"].as_f64(), found["core_area_m2"].as_f64()),
        (Some(100.0), Some(0.01))
    );
    assert!(
        found["sentence"]
            .as_str()
            .unwrap()
            .starts_with("Of 9 published figures")
    );
}
