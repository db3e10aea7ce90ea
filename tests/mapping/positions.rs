//! `hotspots --positions` as it is typed.

use crate::drawing::lettering_is_inside;
use crate::scratch::{Run, Scratch};

const SHEET: &str = "x_m,y_m\n0,0\n8,0\n8,3\n0,3\n";

const POSITIONS: [&str; 9] = [
    "hotspots",
    "--positions",
    "holes.csv",
    "--x",
    "east",
    "--y",
    "north",
    "--outline",
    "sheet.csv",
];

fn run(holes: &str, extra: &[&str]) -> (Scratch, Run) {
    let scratch = Scratch::empty();
    scratch.put("holes.csv", format!("east,north\n{holes}"));
    scratch.put("sheet.csv", SHEET);
    let arguments: Vec<&str> = POSITIONS.iter().chain(extra).copied().collect();
    let run = scratch.run(&arguments);
    (scratch, run)
}

/// Five pairs, a tenth of a metre apart, far from each other.
fn pairs() -> String {
    let line = |i: u32| format!("{i}.5,1.5\n{i}.6,1.5\n");
    (1..6).map(line).collect::<Vec<_>>().concat()
}

#[test]
fn pairs_are_told_from_chance() {
    let document = run(&pairs(), &["--json"]).1.json();
    let found = &document["result"]["pattern"];
    assert_eq!(found["n"], 10);
    assert!((found["intensity_per_m2"].as_f64().unwrap() - 10.0 / 24.0).abs() < 1e-12);
    assert!(found["p"].as_f64().unwrap() <= 0.01);
    assert!((found["clark_evans"]["mean_m"].as_f64().unwrap() - 0.1).abs() < 1e-9);
    for key in ["radii", "k", "l", "low", "high"] {
        assert_eq!(found[key].as_array().unwrap().len(), 40, "{key}");
    }
    let told = run(&pairs(), &[]).1.out();
    assert!(
        told.contains("closer together than chance puts them"),
        "{told}"
    );
}

#[test]
fn the_seed_fixes_it_on_any_number_of_threads() {
    let with = |threads| run(&pairs(), &["--json", "--threads", threads]).1.out();
    assert_eq!(with("1"), with("2"));
}

#[test]
fn pictures_show_the_edge_and_speak() {
    let (scratch, run) = run(&pairs(), &["--out", "maps"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let svg =
        |name: &str| String::from_utf8(super::read(&scratch.path("maps").join(name))).unwrap();
    assert!(svg("positions.svg").contains("Edge of the green"));
    for name in ["positions.svg", "l-function.svg"] {
        assert!(svg(name).contains("-desc\">10 positions") && !svg(name).contains("NaN"));
        lettering_is_inside(name, &svg(name));
    }
}

#[test]
fn what_cannot_be_used_is_refused_with_its_line() {
    for (holes, told) in [
        (
            "1,1\n9,1\n2,2\n",
            "holes.csv:3: the position (9, 1) lies off the green",
        ),
        ("1,1\nx,1\n2,2\n", "holes.csv:3:1"),
        ("1,1\n", "there must be two or more"),
        ("9,1\n10,1\n2,2\n", "2 of 3 positions lie off the green"),
    ] {
        let run = run(holes, &[]).1;
        assert_eq!(run.code(), Some(1), "{holes}");
        assert!(run.err().contains(told), "{}", run.err());
    }
    assert_eq!(run(&pairs(), &["--permutations", "10"]).1.code(), Some(1));
}

#[test]
fn options_of_counts_are_refused() {
    for option in [
        ["--sheet", "10"],
        ["--weights", "queen"],
        ["--ground", "wet"],
        ["--direction", "0"],
    ] {
        assert_eq!(run(&pairs(), &option).1.code(), Some(2), "{option:?}");
    }
}

/// Two points, all in one place, all in one line, all on the edge: answers, no faults, no numbers that are none.
#[test]
fn odd_patterns_have_answers() {
    for holes in [
        "1,1\n7,2\n".to_owned(),
        "1,1\n".repeat(12),
        (0..12)
            .map(|i| format!("{},1.5\n", f64::from(i) / 2.0))
            .collect::<Vec<_>>()
            .concat(),
        "0,0\n8,0\n8,3\n0,3\n4,0\n0,1.5\n".to_owned(),
    ] {
        let run = run(&holes, &["--json"]).1;
        assert_eq!(run.code(), Some(0), "{holes}{}", run.err());
        let found = run.json()["result"]["pattern"].clone();
        let p = found["p"].as_f64().unwrap();
        assert!(p > 0.0 && p <= 1.0, "{found}");
        assert!(
            found["l"]
                .as_array()
                .unwrap()
                .iter()
                .all(serde_json::Value::is_number)
        );
    }
}

#[test]
fn shared_places_and_few_positions_are_remarked_on() {
    let told = run("1,1\n1,1\n1,1\n5,2\n", &[]).1;
    assert_eq!(told.code(), Some(0));
    assert!(
        told.err().contains("2 positions share their place"),
        "{}",
        told.err()
    );
    assert!(told.err().contains("4 positions are few"), "{}", told.err());
}
