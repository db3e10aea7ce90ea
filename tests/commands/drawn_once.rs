//! The draw comes before the counts, and nothing about it changes without a word.

use crate::scratch::Scratch;

/// Codes and messages of the warnings of a command.
fn warned(scratch: &Scratch, command: &str) -> String {
    let document = scratch.run(&[command, "club", "--json"]).json();
    document["warnings"].to_string()
}

/// A file of the club with one text in the place of another.
fn rewrite(scratch: &Scratch, name: &str, from: &str, to: &str) {
    let old = scratch.read(name);
    assert!(old.contains(from), "{name} has no {from}");
    scratch.put(name, old.replacen(from, to, 1));
}

#[test]
fn nothing_is_drawn_under_counts_that_are_there() {
    let scratch = Scratch::club();
    let layout = scratch.read("club/layout.csv");
    for arguments in [
        &["layout", "club", "--replace", "--seed", "1"][..],
        &["layout", "club"],
    ] {
        let run = scratch.run(arguments);
        assert_eq!(run.code(), Some(1));
        assert!(
            run.err().contains("set these counts aside"),
            "{}",
            run.err()
        );
    }
    assert_eq!(scratch.read("club/layout.csv"), layout);
    assert!(!scratch.path("club/layout-1.csv").exists());
    // A sheet that is still blank is no reason.
    scratch.put(
        "club/counts.csv",
        "plot,sample,occasion,count\n1,1,main,\n2,1,main,\n",
    );
    let run = scratch.run(&["layout", "club", "--replace", "--seed", "1"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
}

#[test]
fn an_earlier_draw_is_told_of_by_check_judge_and_report() {
    let scratch = Scratch::club();
    let counts = scratch.read("club/counts.csv");
    scratch.put("club/counts.csv", "");
    assert_eq!(
        scratch
            .run(&["layout", "club", "--replace", "--seed", "1"])
            .code(),
        Some(0)
    );
    scratch.put("club/counts.csv", counts);
    for command in ["check", "judge", "report"] {
        let said = warned(&scratch, command);
        assert!(
            said.contains("not the first draw") && said.contains("layout-1.csv"),
            "{command}: {said}"
        );
    }
    assert!(
        scratch
            .read("club/report/report.html")
            .contains("not the first draw")
    );
    // The clock says that this seal is later than the counts, or earlier: both are told apart by the date alone.
    rewrite(&scratch, "club/seal.toml", "time = \"20", "time = \"29");
    let said = warned(&scratch, "check");
    assert!(
        said.contains("counted-before-sealed") && said.contains("counts.csv:"),
        "{said}"
    );
    assert!(warned(&scratch, "judge").contains("counted-before-sealed"));
}

#[test]
fn the_design_and_not_the_seal_says_which_test_leads() {
    let scratch = Scratch::club();
    rewrite(
        &scratch,
        "club/seal.toml",
        "headline_test = \"model\"",
        "headline_test = \"randomisation\"",
    );
    assert_eq!(scratch.run(&["layout", "club", "--verify"]).code(), Some(1));
    let judged = scratch.run(&["judge", "club", "--json"]).json();
    assert_eq!(judged["result"]["primary_test"], "model");
    for command in ["check", "judge"] {
        let said = warned(&scratch, command);
        assert!(
            said.contains("the design decides") && said.contains("changed after it was written"),
            "{said}"
        );
    }
}

#[test]
fn a_changed_layout_and_a_treatment_nobody_planned_are_found_by_check() {
    let scratch = Scratch::club();
    rewrite(&scratch, "club/layout.csv", "1,1,,,C,", "1,1,,,U,");
    assert!(warned(&scratch, "check").contains("Plot 1: the seed gives C, the layout says U."));
    rewrite(&scratch, "club/layout.csv", "1,1,,,U,", "1,1,,,X,");
    for command in ["check", "judge"] {
        let run = scratch.run(&[command, "club"]);
        assert_eq!(run.code(), Some(1));
        assert!(
            run.err()
                .contains("layout.csv:2:5: the protocol has no treatment `X`"),
            "{}",
            run.err()
        );
    }
}

#[test]
fn a_trial_without_main_counts_has_nothing_to_judge() {
    let scratch = Scratch::club();
    let counts = scratch.read("club/counts.csv");
    let before: Vec<&str> = counts.lines().filter(|l| !l.contains(",main,")).collect();
    scratch.put("club/counts.csv", before.join("\n"));
    let checked = scratch.run(&["check", "club"]);
    assert!(
        checked.out().contains("nothing to judge yet"),
        "{}",
        checked.out()
    );
    let judged = scratch.run(&["judge", "club"]);
    assert_eq!(judged.code(), Some(1));
    assert!(
        judged
            .err()
            .contains("club/counts.csv: no plot is counted on the main occasion (\"main\")"),
        "{}",
        judged.err()
    );
}

#[test]
fn a_sheet_of_events_on_which_nothing_is_written_stops_nothing() {
    let scratch = Scratch::club();
    for text in ["", "plot,date,event,covered_fraction,note\n"] {
        scratch.put("club/events.csv", text);
        assert_eq!(scratch.run(&["judge", "club"]).code(), Some(0));
        assert_eq!(scratch.run(&["check", "club"]).code(), Some(0));
    }
}

#[test]
fn bytes_of_value_zero_are_damage_and_no_blank_line() {
    let scratch = Scratch::club();
    let counts = scratch.read("club/counts.csv");
    let lines = counts.lines().count();
    scratch.put("club/counts.csv", counts + "\0\0\0\0\n");
    let run = scratch.run(&["check", "club"]);
    assert_eq!(run.code(), Some(1));
    let place = format!("counts.csv:{}:1", lines + 1);
    assert!(
        run.out().contains(&place) && run.out().contains("damaged"),
        "{}",
        run.out()
    );
}
