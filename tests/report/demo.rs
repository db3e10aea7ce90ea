//! The demonstration from an empty folder.

use halfgreen::text::rounding::{between, change};

use super::{club, markup};
use crate::scratch::{Scratch, example};

#[test]
fn the_clubs_counts_and_layout_follow_from_the_stated_truth() {
    assert_eq!(example("demo-club/counts.csv"), club::counts());
    let layout = halfgreen::design::write_layout(&club::layout()).unwrap();
    assert_eq!(example("demo-club/layout.csv"), layout);
}

#[test]
fn the_whole_job_runs_in_an_empty_folder() {
    let scratch = Scratch::empty();
    let run = scratch.run(&["demo"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let out = run.out();
    assert!(out.contains("halfgreen-demo/report/report.html"));
    let verdict = out.lines().skip_while(|l| !l.starts_with("C:")).take(4);
    insta::assert_snapshot!(verdict.collect::<Vec<_>>().join("\n"), @r"
    C: It beat the control
    covered overnight beat uncovered: 82 % fewer leatherjackets after allowing for the counts before (as counted: 79 % fewer); the true figure is likely between 93 % fewer and 54 % fewer. That is enough to matter: even the cautious end is beyond 40 % fewer.

    The verdict rests on a model of the counts: with 16 plots the draw alone is too coarse to lead (it leads where its smallest p for one method is 1.0e-12 or less; here it is 0.008).
    ");
    assert_eq!(
        scratch.read("halfgreen-demo/layout.csv"),
        example("demo-club/layout.csv")
    );
    let report = scratch.read("halfgreen-demo/report/report.html");
    // A caution of a formula names the formula and the method.
    assert!(report.contains("<li>Abbott (counts after treatment), covered overnight: "));
    let members = scratch.read("halfgreen-demo/report/members.html");
    assert!(members.contains(" cores of turf from all of them and counted"));
    let verified = scratch.run(&["layout", "halfgreen-demo", "--verify"]);
    assert_eq!(verified.code(), Some(0));
}

#[test]
fn next_season_is_planned_from_counts_per_core() {
    let scratch = Scratch::club();
    let next = scratch.run(&["next", "club", "--trials", "50", "--json"]);
    assert_eq!(next.code(), Some(0), "{}", next.err());
    let mean = next.json()["result"]["assumptions"]["site"]["mean"]
        .as_f64()
        .unwrap();
    // 123 larvae in the 40 cores of the eight uncovered plots.
    assert!((mean - 123.0 / 40.0).abs() < 1e-9, "{mean}");
}

#[test]
fn pages_and_figures_of_the_demonstration_keep_the_rules() {
    let scratch = Scratch::club();
    let (mut pages, mut figures) = (0, 0);
    for (name, content) in scratch.files() {
        let Ok(text) = String::from_utf8(content) else {
            assert!(
                ["club/pack/counts.xlsx", "club/order/merchant.xlsx"].contains(&name.as_str()),
                "{name}"
            );
            continue;
        };
        match name.rsplit('.').next() {
            Some("svg") => {
                markup::figure(&name, &text);
                figures += 1;
            }
            // A page of its own sort, which is driven in a browser.
            Some("html") if name.contains("tally") => {}
            Some("html") => {
                markup::page(&name, &text);
                assert!(text.contains("invented"), "{name}");
                pages += 1;
            }
            _ => {}
        }
    }
    assert!(
        pages == 7 && figures >= 7,
        "{pages} pages, {figures} figures"
    );
}

#[test]
fn numbers_of_the_verdict_are_those_of_the_results() {
    let scratch = Scratch::club();
    let text = scratch.read("club/report/results.json");
    let results: serde_json::Value = serde_json::from_str(&text).unwrap();
    let row = &results["result"]["contrasts"][0];
    let number = |key: &str| row[key].as_f64();
    let found = change(number("ratio").unwrap()).replace(" %", "\u{a0}%");
    let range = between(number("low"), number("high")).replace(" %", "\u{a0}%");
    for page in ["report", "members"] {
        let html = scratch.read(&format!("club/report/{page}.html"));
        let told = html.split("class=\"verdict\"").nth(1).unwrap();
        let told = told.split("</section>").next().unwrap();
        assert!(told.contains(&found), "{page}: {found}");
        assert!(told.contains(&range), "{page}: {range}");
    }
}

/// The club that the tests share was made with two threads.
#[test]
fn threads_change_no_byte() {
    let one = Scratch::empty();
    let run = one.run(&["demo", "club", "--json", "--threads", "1"]);
    let result = &run.json()["result"];
    assert_eq!(result["verdicts"][0]["call"], "beat-the-control");
    let two = Scratch::club();
    let files = result["files"].as_array().unwrap();
    assert!(files.len() > 5, "{files:?}");
    for name in files.iter().map(|f| f.as_str().unwrap()) {
        assert_eq!(one.bytes(name), two.bytes(name), "{name}");
    }
}

#[test]
fn earlier_demonstrations_and_other_folders_are_left_alone() {
    let scratch = Scratch::empty();
    for (name, content) in Scratch::club().files() {
        scratch.put(&name.replacen("club", "halfgreen-demo", 1), content);
    }
    let earlier = scratch.files();
    for _ in 0..2 {
        assert_eq!(scratch.run(&["demo"]).code(), Some(0));
    }
    assert_eq!(
        scratch.names(),
        ["halfgreen-demo", "halfgreen-demo-2", "halfgreen-demo-3"]
    );
    let now = scratch.files();
    assert!(earlier.iter().all(|file| now.contains(file)));
    let other = Scratch::trial("plot,count\n");
    let before = other.names();
    let run = other.run(&["demo", "."]);
    assert_eq!(run.code(), Some(1));
    assert!(run.err().contains("Name another folder"));
    assert_eq!(other.names(), before);
}
