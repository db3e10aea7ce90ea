//! Which way the sheet is laid.

use crate::scratch::{Run, Scratch};

/// Places 1 m apart on a square of 12 m; larvae lie along a band from the south-west to the north-east.
fn run(extra: &[&str]) -> Run {
    let scratch = Scratch::empty();
    let line = |i: u32| {
        let (x, y) = (f64::from(i % 12) + 0.5, f64::from(i / 12) + 0.5);
        let larvae = if (x - y).abs() < 1.5 { 9 } else { i % 2 };
        format!("{x},{y},{larvae}\n")
    };
    let lines: Vec<String> = (0..144).map(line).collect();
    scratch.put("points.csv", format!("x,y,n\n{}", lines.concat()));
    scratch.put("green.csv", "x_m,y_m\n0,0\n12,0\n12,12\n0,12\n");
    let common = [
        "hotspots",
        "--counts",
        "points.csv",
        "--x",
        "x",
        "--y",
        "y",
        "--count",
        "n",
        "--outline",
        "green.csv",
        "--strip-length",
        "20",
        "--sheet",
        "40",
        "--permutations",
        "99",
        "--json",
    ];
    let arguments: Vec<&str> = common.iter().chain(extra).copied().collect();
    scratch.run(&arguments)
}

#[test]
fn strips_follow_a_band_across_the_green() {
    let document = run(&[]).json();
    let found = &document["result"]["direction"];
    let number = |at: &serde_json::Value, key: &str| at[key].as_f64().unwrap();
    assert!(
        (35.0..=55.0).contains(&number(found, "angle_deg")),
        "{found}"
    );
    assert_eq!(found["held"], false);
    assert!(number(&found["best"], "share") >= number(&found["next_best"], "share"));
    let tried = found["tried"].as_array().unwrap();
    assert_eq!(
        tried.len(),
        36,
        "every 5 degrees; the long axis of a square is among them"
    );
    let across = tried.iter().find(|t| t["angle_deg"] == 135.0).unwrap();
    assert!(
        number(&found["best"], "share") > 1.5 * number(across, "share"),
        "{found}"
    );
    for t in tried {
        assert!(number(t, "share") <= number(&found["best"], "share") + 1e-6);
    }
    for strip in document["result"]["cover_plan"].as_array().unwrap() {
        assert_eq!(strip["angle_deg"], found["angle_deg"]);
    }
}

#[test]
fn a_direction_that_is_held_is_told_beside_the_best() {
    let free = run(&[]).json();
    let held = run(&["--direction", "-48"]).json();
    let found = &held["result"]["direction"];
    assert_eq!(
        (&found["angle_deg"], &found["held"]),
        (&132.0.into(), &true.into())
    );
    assert_eq!(found["best"], free["result"]["direction"]["best"]);
    assert!(found["gain"]["share"].as_f64().unwrap() < 0.0);
    assert_eq!(held["result"]["cover_plan"][0]["angle_deg"], 132.0);
}
