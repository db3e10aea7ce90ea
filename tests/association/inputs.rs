//! What may be named to be pooled, and what is said of what cannot be used.

use serde_json::Value;

use super::{number, pooled, table};
use crate::scratch::{Scratch, example};

const EFFECTS: &str = "trial,club,effect,se,df,treatment\n\
    a,Ash,-0.7,0.4,3,sheet\nb,Beech,-0.5,0.3,5,sheet\nc,Cedar,-0.9,0.35,4,sheet\n";

fn left_out(found: &Value) -> Vec<String> {
    let rows = found["left_out"].as_array().unwrap().iter();
    rows.map(|l| {
        format!(
            "{}: {}",
            l["place"].as_str().unwrap(),
            l["reason"].as_str().unwrap()
        )
    })
    .collect()
}

/// A folder, its results and a table of its counts are one trial, and it is judged as `judge` does.
#[test]
fn a_trial_folder_is_judged_and_counted_once() {
    let scratch = Scratch::club();
    let judged = scratch.run(&["judge", "club", "--json"]).json()["result"].take();
    let found = pooled(&scratch, &["club", "club/report/results.json"]);
    let trials = found["trials"].as_array().unwrap();
    assert_eq!(trials.len(), 1, "{trials:?}");
    let contrast = &judged["contrasts"][0];
    assert_eq!(found["trials"][0]["ratio_low"], contrast["low"]);
    let [ratio, low, high, t] =
        ["ratio", "low", "high", "critical_t"].map(|k| number(&contrast[k]));
    assert!((number(&found["effect"]) - ratio.ln()).abs() < 1e-12);
    let se = (high.ln() - low.ln()) / (2.0 * t);
    assert!((number(&found["trials"][0]["se"]) - se).abs() < 1e-12);
    let run = scratch.run(&["pool", "club", "club/report/results.json"]);
    assert!(run.err().contains("counted once"), "{}", run.err());
    assert!(
        run.out().contains("With one trial nothing can be said"),
        "{}",
        run.out()
    );
}

/// One malformed trial stops nothing: it stands in the list with file, line and reason.
#[test]
fn what_cannot_be_used_is_listed_and_stops_nothing() {
    let scratch = table(&format!(
        "{EFFECTS}d,Dogwood,-0.4,none,3,sheet\n,Elm,-0.4,0.3,3,sheet\nf,Fir,,,,sheet\n"
    ));
    scratch.put("broken/trial.toml", "[trial\n");
    scratch.put("notes.csv", "day,weather\n1,wet\n");
    let found = pooled(&scratch, &["effects.csv", "broken", "nowhere", "notes.csv"]);
    assert_eq!(found["trials"].as_array().unwrap().len(), 3);
    let left = left_out(&found);
    assert_eq!(found["left_out_number"], 6);
    for said in [
        "effects.csv:5:4: `none` is not a number",
        "effects.csv:6:1: the trial has no name",
        "effects.csv:7: the line has no effect",
        "broken/trial.toml:1",
        "nowhere: there is no such folder",
        "notes.csv:1:1: there is no column `trial`",
    ] {
        assert!(left.iter().any(|l| l.contains(said)), "{said} in {left:#?}");
    }
    let run = scratch.run(&["pool", "broken", "nowhere"]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err().contains("none of them can be pooled"),
        "{}",
        run.err()
    );
}

/// A trial that nothing bounds keeps its line, without weight, and is no slip of whoever wrote the table.
#[test]
fn a_line_without_limits_is_kept_for_its_counts() {
    let head = "trial,club,effect,se,df,treatment,treated_count,control_count\n";
    let rest: Vec<String> = (EFFECTS.lines().skip(1).map(|l| format!("{l},,\n"))).collect();
    let scratch = table(&format!(
        "{head}{}d,Dogwood,-2.4,,1,sheet,1,11\ne,Elm,,,1,sheet,1,11\n",
        rest.concat()
    ));
    let found = pooled(&scratch, &["effects.csv"]);
    assert_eq!(found["trials"].as_array().unwrap().len(), 4);
    let alone = pooled(&table(EFFECTS), &["effects.csv"]);
    assert_eq!(found["effect"], alone["effect"]);
    let left = left_out(&found);
    assert!(
        left.len() == 1 && left[0].starts_with("effects.csv:6: the line has no effect"),
        "{left:?}"
    );
    let run = scratch.run(&["pool", "effects.csv"]);
    let said = format!("{}{}", run.out(), run.err());
    assert!(said.contains("nothing bounds the ratio"), "{said}");
}

/// Lines that contradict each other are told and not used; the same line twice is one.
#[test]
fn contradictions_are_refused_and_copies_are_counted_once() {
    let scratch = table(&format!(
        "{EFFECTS}a,Ash,-0.7,0.4,3,sheet\nb,Beech,0.5,0.3,5,sheet\n"
    ));
    let found = pooled(&scratch, &["effects.csv"]);
    let trials: Vec<&str> = (found["trials"].as_array().unwrap().iter())
        .map(|t| t["trial"].as_str().unwrap())
        .collect();
    assert_eq!(trials, ["a", "c"]);
    let left = left_out(&found);
    assert!(
        left[0].starts_with("effects.csv:3, effects.csv:6: ") && left[0].contains("which is right"),
        "{left:?}"
    );
}

/// Two folders of one name are two trials where their plots differ.
#[test]
fn folders_of_one_name_with_other_plots_are_told_apart() {
    let scratch = Scratch::empty();
    for (club, counts) in [("ash", [8, 2, 3, 9]), ("beech", [7, 1, 2, 11])] {
        scratch.put(
            &format!("{club}/green/trial.toml"),
            crate::scratch::PROTOCOL,
        );
        scratch.put(&format!("{club}/green/layout.csv"), crate::scratch::LAYOUT);
        scratch.put(&format!("{club}/green/outline.csv"), crate::scratch::EDGE);
        let lines: Vec<String> = (counts.iter().zip(1..))
            .flat_map(|(n, plot)| [1, 2].map(|s| format!("{plot},{s},main,{n}\n")))
            .collect();
        let text = format!("plot,sample,occasion,count\n{}", lines.concat());
        scratch.put(&format!("{club}/green/counts.csv"), text);
    }
    let found = pooled(&scratch, &["ash/green", "beech/green"]);
    let trials: Vec<&str> = (found["trials"].as_array().unwrap().iter())
        .map(|t| t["trial"].as_str().unwrap())
        .collect();
    assert_eq!(trials, ["ash/green", "beech/green"]);
}

/// A method of one code but of another sort, or with the other direction as its good one, is another method.
#[test]
fn one_code_for_two_methods_is_pooled_apart() {
    let scratch = table(
        "trial,effect,se,treatment,kind,better\na,-0.7,0.4,A,covering,fewer\nb,-0.5,0.3,a,covering,fewer\n\
         c,-0.9,0.35,A,aeration,fewer\nd,0.8,0.3,A,covering,more\n",
    );
    let run = scratch.run(&["pool", "effects.csv", "--json"]);
    let document = run.json();
    let found = &document["result"];
    assert_eq!(found["trials"].as_array().unwrap().len(), 2);
    assert_eq!(found["methods"].as_array().unwrap().len(), 2);
    let codes: Vec<&str> = (document["warnings"].as_array().unwrap().iter())
        .map(|w| w["code"].as_str().unwrap())
        .collect();
    assert!(codes.contains(&"one-code-two-methods"), "{codes:?}");
    // All limits hold together: three methods at 5 per cent.
    assert!((number(&found["confidence_level"]) - (1.0 - 0.05 / 3.0)).abs() < 1e-12);
}

/// The trials of a table of counts are judged one by one, and a word among the counts costs its own trial only.
#[test]
fn a_table_of_counts_is_judged_trial_by_trial() {
    let scratch = Scratch::empty();
    scratch.put("counts.csv", example("association/counts.csv"));
    let columns = [
        "counts.csv",
        "--trial",
        "trial",
        "--club",
        "club",
        "--season",
        "season",
        "--count",
        "larvae",
        "--treatment",
        "treatment",
        "--control",
        "control",
        "--block",
        "block",
        "--area",
        "cores_area_m2",
    ];
    let found = pooled(&scratch, &[&columns[..], &["--moderator", "soil"]].concat());
    assert_eq!(found["treatment"], "sheet");
    assert_eq!(found["trials"].as_array().unwrap().len(), 15);
    assert_eq!(left_out(&found).len(), 1);
    assert!(
        left_out(&found)[0].starts_with("counts.csv:210:9: "),
        "{:?}",
        left_out(&found)
    );
    // Judged by itself a trial says the same.
    let first: Vec<&str> = example_lines("Bramble Hill");
    scratch.put("one.csv", first.join("\n"));
    let judged = scratch.run(&[
        "judge",
        "--counts",
        "one.csv",
        "--count",
        "larvae",
        "--treatment",
        "treatment",
        "--control",
        "control",
        "--block",
        "block",
        "--area",
        "cores_area_m2",
        "--json",
    ]);
    let judged = judged.json()["result"].take();
    let here = (found["trials"].as_array().unwrap().iter()).find(|t| t["club"] == "Bramble Hill");
    assert_eq!(here.unwrap()["ratio_high"], judged["contrasts"][0]["high"]);
    // An arm without an animal is no number to average, and is said.
    let empty = (found["trials"].as_array().unwrap().iter()).find(|t| t["club"] == "Mill Weir");
    assert_eq!(empty.unwrap()["zero_arm"], true);
    // Its effects, written and read again, give the same answer: a trial that nothing bounds stays out of it.
    pooled(&scratch, &[&columns[..], &["--out", "kept"]].concat());
    let again = pooled(&scratch, &["kept/effects.csv"]);
    for key in ["treatment", "effect", "tau2", "clubs"] {
        assert_eq!(again[key], found[key], "{key}");
    }
    // More threads, same bytes.
    let one = scratch.run(&[&["pool"], &columns[..], &["--threads", "1", "--json"]].concat());
    let two = scratch.run(&[&["pool"], &columns[..], &["--threads", "2", "--json"]].concat());
    assert_eq!(one.out(), two.out());
}

/// Heading and lines of one club of the example.
fn example_lines(club: &str) -> Vec<&'static str> {
    let text: &'static str = Box::leak(example("association/counts.csv").into_boxed_str());
    let lines = text.lines().enumerate();
    lines
        .filter(|(at, l)| *at == 0 || l.starts_with(club))
        .map(|(_, l)| l)
        .collect()
}

/// Effects that were written are read again as they were.
#[test]
fn effects_that_are_written_are_read_again() {
    let scratch = Scratch::club();
    scratch.put("more.csv", EFFECTS);
    let words = ["club", "more.csv", "--about", "sheet"];
    let first = pooled(&scratch, &[&words[..], &["--out", "a"]].concat());
    let again = pooled(
        &scratch,
        &["a/effects.csv", "--about", "sheet", "--out", "b"],
    );
    assert_eq!(first["effect"], again["effect"]);
    assert_eq!(first["methods"][0]["effect"], again["methods"][0]["effect"]);
    assert_eq!(scratch.read("a/effects.csv"), scratch.read("b/effects.csv"));
}

/// Codes hang on the salt and the name alone; names stand nowhere.
#[test]
fn clubs_by_codes_are_named_nowhere() {
    let scratch = table(EFFECTS);
    let salted = |salt: &str| {
        pooled(
            &scratch,
            &["effects.csv", "--anonymise", salt, "--out", salt],
        )
    };
    let found = salted("a long secret");
    let codes = |found: &Value| -> Vec<String> {
        let trials = found["trials"].as_array().unwrap().iter();
        trials
            .map(|t| t["club"].as_str().unwrap().to_owned())
            .collect()
    };
    let mut sorted = codes(&found);
    sorted.sort();
    assert_eq!(codes(&found), sorted);
    assert_ne!(codes(&found), codes(&salted("another secret")));
    for (name, content) in scratch.files() {
        let text = String::from_utf8_lossy(&content);
        if name.starts_with("a long secret") {
            for club in ["Ash", "Beech", "Cedar", "effects.csv:"] {
                assert!(!text.contains(club), "{club} in {name}");
            }
        }
    }
    // printf 'a long secret\0Ash' | sha256sum
    assert!(codes(&found).contains(&"3ece55".to_owned()), "{found}");
    let run = scratch.run(&["pool", "effects.csv", "--anonymise", "short"]);
    assert_eq!(run.code(), Some(1));
    assert!(run.err().contains("--anonymise"), "{}", run.err());
}
