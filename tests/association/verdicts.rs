//! The four calls by the rules of every trial, what may be said with few clubs, and what may never be said.

use serde_json::Value;

use super::{number, pooled, table};

/// So many clubs with one effect and one standard error.
fn alike(clubs: usize, effect: f64, se: f64) -> String {
    let lines: Vec<String> = (0..clubs)
        .map(|i| format!("club {i},{effect},{se}\n"))
        .collect();
    format!("trial,effect,se\n{}", lines.concat())
}

fn call(text: &str, words: &[&str]) -> Value {
    let found = pooled(&table(text), &[&["effects.csv"], words].concat());
    found["call"].clone()
}

#[test]
fn the_interval_of_the_average_decides() {
    assert_eq!(call(&alike(8, -1.2, 0.2), &[]), "beat-the-control");
    assert_eq!(call(&alike(8, 0.9, 0.2), &[]), "did-worse");
    assert_eq!(call(&alike(8, 0.02, 0.1), &[]), "too-small-to-matter");
    assert_eq!(call(&alike(8, -0.2, 0.9), &[]), "cannot-tell");
    // What is worth having is the association's to say.
    assert_eq!(
        call(&alike(8, -0.05, 0.1), &["--worthwhile", "5"]),
        "cannot-tell"
    );
    // Where more is better, more beats the control.
    let more = alike(8, 0.9, 0.2).replace("trial,effect,se", "trial,effect,se,better");
    let more = more.replace(",0.2\n", ",0.2,more\n");
    assert_eq!(call(&more, &[]), "beat-the-control");
}

/// Nothing found is never told as no effect.
#[test]
fn no_evidence_is_not_told_as_no_effect() {
    for text in [
        alike(2, -0.3, 0.5),
        alike(1, -0.3, 0.5),
        alike(9, -0.1, 0.8),
    ] {
        let scratch = table(&text);
        let run = scratch.run(&["pool", "effects.csv", "--out", "out"]);
        for said in [
            run.out(),
            scratch.read("out/association.html"),
            scratch.read("out/pool.html"),
        ] {
            let said = said.to_lowercase();
            for phrase in [
                "has no effect",
                "does not work",
                "no difference",
                "ineffective",
            ] {
                assert!(!said.contains(phrase), "{phrase}: {said}");
            }
        }
        assert!(run.out().contains("annot tell"), "{}", run.out());
    }
}

#[test]
fn with_one_or_two_clubs_it_is_said_what_cannot_be() {
    let one = pooled(&table(&alike(1, -0.9, 0.2)), &["effects.csv"]);
    assert_eq!(one["prediction_low"], Value::Null);
    assert_eq!(one["tau2_high"], Value::Null);
    assert_eq!(one["next_club"], Value::Null);
    assert_eq!(one["leave_one_out"].as_array().unwrap().len(), 0);
    let two = table(&alike(2, -0.9, 0.2)).run(&["pool", "effects.csv"]);
    assert!(
        two.out().contains("almost nothing can be said"),
        "{}",
        two.out()
    );
    assert!(
        two.out().contains("at least three trials are needed"),
        "{}",
        two.out()
    );
}

/// Shares of clubs follow from the prediction's law: with many alike clubs nearly all do well, with a wide spread half do harm.
#[test]
fn the_next_club_follows_from_the_spread() {
    let alike = pooled(&table(&alike(10, -1.0, 0.2)), &["effects.csv"]);
    let share = |found: &Value, key: &str| number(&found["next_club"][key]);
    assert!(share(&alike, "share_better") > 0.99 && share(&alike, "share_worthwhile") > 0.9);
    let lines: Vec<String> = (0..10)
        .map(|i| format!("club {i},{},0.1\n", if i % 2 == 0 { -1.0 } else { 1.0 }))
        .collect();
    let apart = pooled(
        &table(&format!("trial,effect,se\n{}", lines.concat())),
        &["effects.csv"],
    );
    assert!((share(&apart, "share_better") - 0.5).abs() < 1e-6);
    let (low, high) = (share(&apart, "ratio_low"), share(&apart, "ratio_high"));
    assert!((low.ln() - number(&apart["prediction_low"])).abs() < 1e-12);
    assert!(low < 0.2 && high > 5.0);
}

/// The answer without a club is the answer of the others, and a club that carries it is named.
#[test]
fn each_club_is_left_out_in_turn() {
    let text = "trial,club,effect,se\na,a,-0.3,0.2\nb,b,-0.25,0.2\nc,c,-0.35,0.25\nd1,d,-1.1,0.1\nd2,d,-1.0,0.1\n";
    let found = pooled(&table(text), &["effects.csv"]);
    let without = found["leave_one_out"].as_array().unwrap();
    let clubs: Vec<&str> = without
        .iter()
        .map(|w| w["club"].as_str().unwrap())
        .collect();
    assert_eq!(clubs, ["a", "b", "c", "d"]);
    let others = "trial,effect,se\na,-0.3,0.2\nb,-0.25,0.2\nc,-0.35,0.25\n";
    let others = pooled(&table(others), &["effects.csv"]);
    assert_eq!(without[3]["effect"], others["effect"]);
    assert_eq!(without[3]["call"], others["call"]);
    let cautions = found["cautions"].to_string();
    assert!(cautions.contains("trials come from 4 clubs"), "{cautions}");
}
