//! `check`.

use crate::scratch::{Scratch, example};

#[test]
fn counts_in_order_pass() {
    let scratch = Scratch::trial(&example("untidy-counts/tidy.csv"));
    let run = scratch.run(&["check", "."]);
    assert_eq!(run.code(), Some(0));
    assert!(run.err().contains("not sealed"), "{}", run.err());
    assert!(run.out().contains("4 of 4 plots"), "{}", run.out());
    assert!(
        !run.out().contains('\u{1b}'),
        "no colour where there is no terminal"
    );
}

#[test]
fn a_count_of_twleve_is_refused_in_its_place() {
    let scratch = Scratch::trial(&example("untidy-counts/text-in-count.csv"));
    let run = scratch.run(&["check", "."]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.out().contains("counts.csv:6:6 (plot 3): \"twleve\""),
        "{}",
        run.out()
    );
    assert_eq!(scratch.names(), ["counts.csv", "layout.csv", "trial.toml"]);
}

#[test]
fn problems_have_the_agreed_keys() {
    let scratch = Scratch::trial(&example("untidy-counts/negative-count.csv"));
    let run = scratch.run(&["--json", "check", "."]);
    let document = run.json();
    assert_eq!((run.code(), document["seed"].is_null()), (Some(1), true));
    let result = &document["result"];
    assert_eq!(
        (&result["plots"], &result["counted"]),
        (&4.into(), &4.into())
    );
    let problem = &result["problems"][0];
    for key in ["file", "line", "column", "plot", "message", "severity"] {
        assert!(!problem[key].is_null(), "{key}");
    }
    assert_eq!(
        (&problem["plot"], &problem["severity"]),
        (&"3".into(), &"error".into())
    );
}

#[test]
fn missing_cores_are_listed_and_do_not_refuse_the_rest() {
    let scratch = Scratch::trial(&example("untidy-counts/plot-not-counted.csv"));
    let run = scratch.run(&["check", ".", "--json"]);
    assert_eq!(run.code(), Some(0));
    assert_eq!(run.json()["result"]["missing"][0]["plot"], "4");
}

#[test]
fn check_says_that_counts_can_be_judged_where_judge_judges_them() {
    let scratch = Scratch::club();
    let counts = scratch.read("club/counts.csv");
    let checked = scratch.run(&["check", "club"]);
    assert!(
        checked.out().contains("The counts can be judged: 16 of 16"),
        "{}",
        checked.out()
    );
    let one: Vec<&str> = counts
        .lines()
        .filter(|line| line.starts_with("plot,") || line.starts_with("1,"))
        .collect();
    scratch.put("club/counts.csv", one.join("\n"));
    let checked = scratch.run(&["check", "club"]);
    assert_eq!(checked.code(), Some(0), "{}", checked.err());
    assert!(
        checked
            .out()
            .contains("The counts cannot be judged yet: 1 of 16"),
        "{}",
        checked.out()
    );
    let judged = scratch.run(&["judge", "club"]);
    assert_eq!(judged.code(), Some(1));
    let result = &scratch.run(&["check", "club", "--json"]).json()["result"];
    let reason = result["not_judged"].as_str().unwrap();
    assert!(judged.err().contains(reason), "{reason}: {}", judged.err());
}

#[test]
fn what_is_not_there_is_named_with_the_way_to_it() {
    let scratch = Scratch::empty();
    let says = |words: &str| {
        let run = scratch.run(&["check", "."]);
        assert_eq!((run.code(), run.out().as_str()), (Some(1), ""));
        assert!(run.err().contains(words), "{}", run.err());
    };
    says("halfgreen new");
    scratch.put("trial.toml", crate::scratch::PROTOCOL);
    says("halfgreen layout");
    scratch.put("layout.csv", crate::scratch::LAYOUT);
    says("counts.csv: there is no such file");
    scratch.put("counts.csv", b"plot,count\n1,\xff\n");
    says("counts.csv:2:3: byte 14 (0xff)");
}

#[test]
fn a_refusal_is_a_document_too() {
    let document = Scratch::empty().run(&["check", "nowhere", "--json"]).json();
    assert!(document["result"].is_null());
    assert_eq!(document["errors"][0]["where"], "nowhere");
}

#[test]
fn impossible_events_refuse_the_trial() {
    let scratch = Scratch::trial(&example("untidy-counts/tidy.csv"));
    scratch.put("events.csv", "plot,event\n12,flood\n");
    let run = scratch.run(&["check", "."]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.out().contains("events.csv:2:1: plot 12"),
        "{}",
        run.out()
    );
}

#[test]
fn a_reader_that_stops_reading_is_no_fault() {
    let scratch = Scratch::trial(&example("untidy-counts/tidy.csv"));
    for arguments in [
        &["check", ".", "--quiet"][..],
        &["check", ".", "--json", "--quiet"],
    ] {
        let run = scratch.run_into_closed_pipe(arguments);
        assert_eq!((run.code(), run.err().as_str()), (Some(0), ""));
    }
}
