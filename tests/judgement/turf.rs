//! Scores, cover, lengths and the step across an edge, by `judge --response`.

use serde_json::Value;

use crate::scratch::{Run, Scratch};

const TABLE: &str = "block,method,score,cover,root,inside,outside
1,none,5,60,41,5.0,5.1
1,spiked,7,72,52,6.4,5.2
2,none,6,66,44,5.2,5.0
2,spiked,7,75,58,6.0,4.9
3,none,4,52,39,4.1,4.2
3,spiked,6,70,47,5.9,4.4
4,none,5,58,42,5.0,4.9
4,spiked,8,74,55,6.2,5.0
5,none,6,63,45,5.5,5.4
5,spiked,7,71,50,6.1,5.3
6,none,5,61,40,4.8,4.9
6,spiked,6,69,49,6.0,5.1
";

fn ask(more: &str) -> Run {
    let scratch = Scratch::empty();
    scratch.put("turf.csv", TABLE);
    let words = format!(
        "--json judge --counts turf.csv --treatment method --control none --block block {more}"
    );
    scratch.run(&words.split(' ').collect::<Vec<_>>())
}

fn effect(more: &str) -> Value {
    let run = ask(more);
    assert_eq!(run.code(), Some(0), "{}{}", run.out(), run.err());
    run.json()["result"]["effect"][0].clone()
}

/// Six pairs all in one direction: 2 of 64 allocations lie as far out.
#[test]
fn every_kind_has_its_effect_and_sentence() {
    for (more, difference, words) in [
        (
            "--count score --response score",
            10.0 / 6.0,
            "points higher on the scale",
        ),
        (
            "--count cover --response cover",
            71.0 / 6.0,
            "percentage points more cover",
        ),
        (
            "--count root --response length",
            60.0 / 6.0,
            "in the unit measured",
        ),
        (
            "--count inside --outside outside --response edge",
            (36.6 - 29.9) / 6.0 - (29.6 - 29.5) / 6.0,
            "a step of",
        ),
    ] {
        let found = effect(more);
        let got = found["difference"].as_f64().unwrap();
        assert!(
            (got - difference).abs() < 1e-9,
            "{more}: {got} {difference}"
        );
        assert_eq!(found["p"].as_f64().unwrap(), 2.0 / 64.0, "{more}");
        assert_eq!(found["call"], "beat-the-control", "{more}");
        let sentence = found["sentence"].as_str().unwrap();
        assert!(sentence.contains(words), "{sentence}");
    }
    let ratio = effect("--count root --response length")["ratio"].clone();
    assert!(ratio["low"].as_f64().unwrap() > 1.0 && ratio["high"].as_f64().unwrap() < 1.5);
    assert!(effect("--count score --response score")["ratio"].is_null());
}

#[test]
fn direction_and_worth_decide_the_call() {
    let worse = effect("--count cover --response cover --better fewer");
    assert_eq!(worse["call"], "did-worse");
    let same = effect("--count outside --response length --worthwhile 2");
    assert_eq!(same["call"], "too-small-to-matter");
    let open = effect("--count outside --response length");
    assert_eq!(open["call"], "cannot-tell");
}

#[test]
fn what_cannot_be_judged_is_refused() {
    for (more, place) in [
        ("--count cover --response score", "turf.csv:2:4: `cover`"),
        ("--count inside --response edge", "--outside"),
        (
            "--count score --response score --not-randomised",
            "--not-randomised",
        ),
        ("--count colour --response score", "turf.csv"),
    ] {
        let run = ask(more);
        assert_eq!(run.code(), Some(1), "{more}");
        let said = format!("{}{}", run.out(), run.err());
        assert!(said.contains(place), "{more}: {said}");
    }
}

#[test]
fn readings_that_do_not_vary_are_said_so_without_blaming_the_layout() {
    let scratch = Scratch::empty();
    let lines: Vec<String> = (1..=8)
        .map(|b| format!("{b},none,1\n{b},cut,9\n"))
        .collect();
    let table = lines.concat();
    scratch.put("t.csv", format!("block,method,y\n{table}"));
    let asked = "judge --counts t.csv --count y --treatment method --control none --block block --response score";
    let said = scratch.run(&asked.split(' ').collect::<Vec<_>>()).out();
    assert!(
        !said.contains("too small") && said.contains("leave no room around 8.00 points higher"),
        "{said}"
    );
}

#[test]
fn a_square_with_a_treatment_twice_in_a_row_is_no_latin_square() {
    let scratch = Scratch::empty();
    let square = "row,col,trt,y\n1,1,A,3\n1,2,B,5\n1,3,A,2\n2,1,B,9\n2,2,C,4\n2,3,C,1\n3,1,C,2\n3,2,A,6\n3,3,B,7\n";
    scratch.put("s.csv", square);
    let asked = "judge --counts s.csv --count y --treatment trt --control A --row row --column col";
    let run = scratch.run(&asked.split(' ').collect::<Vec<_>>());
    assert_eq!(run.code(), Some(1), "{}", run.out());
    assert!(
        run.err().contains("A stands twice in row 1"),
        "{}",
        run.err()
    );
}
