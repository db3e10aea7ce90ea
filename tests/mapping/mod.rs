//! `hotspots` as it is typed, and the strips it picks.

mod directions;
mod greens;
mod ground;
mod positions;
mod survey;

use crate::drawing::lettering_is_inside;
use crate::scratch::Scratch;

/// Six by six points, 2 m apart, with a clump in the south-west and wetness that follows it.
fn clump() -> String {
    let line = |i: u32| {
        let (x, y) = (i % 6, i / 6);
        let larvae = if x < 2 && y < 2 { 20 } else { i % 3 };
        let wet = 10 - x - y;
        format!("{},{},{larvae},{wet}", 2 * x + 1, 2 * y + 1)
    };
    let lines: Vec<String> = (0..36).map(line).collect();
    format!("east,north,larvae,wet\n{}\n", lines.join("\n"))
}

const SQUARE: &str = "x_m,y_m\n0,0\n12,0\n12,12\n0,12\n";

const POINTS: [&str; 9] = [
    "hotspots",
    "--counts",
    "points.csv",
    "--x",
    "east",
    "--y",
    "north",
    "--count",
    "larvae",
];

fn points(extra: &[&str]) -> (Scratch, Vec<String>) {
    let scratch = Scratch::empty();
    scratch.put("points.csv", clump());
    scratch.put("green.csv", SQUARE);
    let all = POINTS.iter().chain(extra).map(|&a| a.to_owned()).collect();
    (scratch, all)
}

fn run(extra: &[&str]) -> crate::scratch::Run {
    let (scratch, arguments) = points(extra);
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    scratch.run(&arguments)
}

fn warns(document: &serde_json::Value, code: &str) -> bool {
    let warnings = document["warnings"].as_array().unwrap();
    warnings.iter().any(|w| w["code"] == code)
}

#[test]
fn the_agreed_keys_are_there() {
    let run = run(&["--json", "--with", "wet", "--outline", "green.csv"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let document = run.json();
    let result = &document["result"];
    let numbers = |at: &serde_json::Value, keys: &[&str]| {
        for key in keys {
            assert!(at[key].is_number(), "{key} of {at}");
        }
    };
    numbers(
        &result["moran"],
        &["i", "expected", "z", "p_normal", "p_permutation"],
    );
    numbers(&result["geary"], &["c", "z", "p_permutation"]);
    numbers(
        &result["local"][0],
        &[
            "x_m",
            "y_m",
            "count",
            "gi_star",
            "p",
            "q",
            "moran_local",
            "moran_p",
            "moran_q",
            "patchiness",
            "patchiness_p",
            "patchiness_q",
        ],
    );
    numbers(
        &result["regularity"],
        &[
            "distance",
            "index",
            "p",
            "patch_index",
            "patch_p",
            "gap_index",
            "gap_p",
        ],
    );
    numbers(
        &result["scan"][0],
        &["x_m", "y_m", "radius_m", "inside", "expected", "llr", "p"],
    );
    numbers(&result["association"], &["r", "p"]);
    numbers(&result["cover_plan"][0], &["strip", "expected_share"]);
    assert_eq!(result["local"][0]["class"], "hot");
    assert_eq!(result["local"][0]["moran_class"], "high-high");
    assert_eq!(result["local"].as_array().unwrap().len(), 36);
}

#[test]
fn strips_over_the_clump_come_first() {
    let document = run(&[
        "--json",
        "--outline",
        "green.csv",
        "--strip-length",
        "4",
        "--lap",
        "0",
    ])
    .json();
    let result = &document["result"];
    let first = &result["cover_plan"][0];
    let near = |key: &str| first[key].as_f64().unwrap() <= 4.0;
    assert!(near("x_m") && near("y_m"), "{first}");
    let curve = result["cover_curve"].as_array().unwrap();
    let last = curve.last().unwrap();
    assert!((last["share"].as_f64().unwrap() - 1.0).abs() < 1e-9);
    assert!((last["area_m2"].as_f64().unwrap() - 144.0).abs() < 1e-6);
    for step in curve {
        assert!(step["share"].as_f64().unwrap() >= step["naive_share"].as_f64().unwrap() - 1e-9);
    }
}

#[test]
fn people_are_told_in_sentences() {
    let run = run(&[]);
    assert_eq!(run.code(), Some(0));
    assert!(run.out().contains("Near places are alike"), "{}", run.out());
    assert!(run.err().contains("--outline"), "{}", run.err());
    let (scratch, mut asked) = points(&["--with", "wet"]);
    asked.retain(|a| a != "--json");
    let asked: Vec<&str> = asked.iter().map(String::as_str).collect();
    let words = scratch.run(&asked).out();
    assert!(words.contains("No link to wet was shown"), "{words}");
}

#[test]
fn the_seed_fixes_the_answer_on_any_number_of_threads() {
    let one = run(&["--json", "--seed", "5", "--threads", "1"]).out();
    assert_eq!(one, run(&["--json", "--seed", "5", "--threads", "2"]).out());
    assert_ne!(one, run(&["--json", "--seed", "6"]).out());
}

#[test]
fn what_cannot_be_used_is_refused() {
    for bad in ["distance:0", "nearest:0", "distance:x", "queens"] {
        assert_eq!(run(&["--weights", bad]).code(), Some(2), "{bad}");
    }
    let run = run(&["--weights", "nearest:36"]);
    assert_eq!(run.code(), Some(1));
    assert!(run.err().contains("36 nearest of 36"), "{}", run.err());
}

#[test]
fn an_empty_green_has_nulls_with_reasons() {
    let scratch = Scratch::empty();
    scratch.put("points.csv", "east,north,larvae\n0,0,0\n1,0,0\n2,0,0\n");
    let mut arguments = POINTS.to_vec();
    arguments.push("--json");
    let run = scratch.run(&arguments);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let document = run.json();
    assert!(document["result"]["moran"]["i"].is_null());
    assert!(document["result"]["regularity"]["index"].is_null());
    assert!(warns(&document, "no-pattern"));
}

/// One point, two, a row, coinciding places, equal counts, no counts, nobody within reach: every null has a
/// warning that explains it, and nothing is refused.
#[test]
fn odd_maps_are_answered() {
    let maps: [(&str, &str, &[&str], &str); 7] = [
        ("one", "0,0,4\n", &[], "no-pattern"),
        ("two", "0,0,4\n1,0,2\n", &[], "no-variance"),
        (
            "row",
            "0,0,4\n1,1,2\n2,2,0\n3,3,9\n4,4,1\n",
            &["--weights", "nearest:2"],
            "few-places",
        ),
        (
            "twins",
            "0,0,4\n0,0,2\n5,0,0\n5,0,1\n",
            &["--weights", "nearest:1"],
            "few-places",
        ),
        ("equal", "0,0,4\n1,0,4\n2,0,4\n3,0,4\n", &[], "no-pattern"),
        ("empty", "0,0,0\n1,0,0\n2,0,0\n3,0,0\n", &[], "no-pattern"),
        (
            "lonely",
            "0,0,4\n9,0,1\n0,9,2\n9,9,0\n",
            &["--weights", "distance:1"],
            "islands",
        ),
    ];
    for (name, rows, extra, code) in maps {
        let scratch = Scratch::empty();
        scratch.put("points.csv", format!("east,north,larvae\n{rows}"));
        let arguments: Vec<&str> = POINTS
            .into_iter()
            .chain(["--json"])
            .chain(extra.iter().copied())
            .collect();
        let run = scratch.run(&arguments);
        assert_eq!(run.code(), Some(0), "{name}: {}", run.err());
        let document = run.json();
        assert!(warns(&document, code), "{name}: {}", document["warnings"]);
        for place in document["result"]["local"].as_array().unwrap() {
            assert!(place["moran_class"].is_string(), "{name}");
            if place["moran_p"].is_null() {
                assert_eq!(place["moran_class"], "not-significant", "{name}");
                assert!(place["moran_q"].is_null(), "{name}");
            }
            assert_eq!(
                place["patchiness"].is_null(),
                place["patchiness_p"].is_null(),
                "{name}"
            );
        }
    }
}

/// Choices among many large counts are drawn, not counted, and few draws cannot show a lone spot.
#[test]
fn too_few_draws_are_told() {
    let asked = ["--json", "--permutations", "99"];
    assert!(!run(&asked).out().contains("few-permutations"));
    let scratch = Scratch::empty();
    let row = |i: u32| format!("{},{},{}", i % 20, i / 20, i * 7919 % 1009);
    let rows: Vec<String> = (0..400).map(row).collect();
    scratch.put(
        "points.csv",
        format!("east,north,larvae\n{}\n", rows.join("\n")),
    );
    let arguments: Vec<&str> = POINTS.into_iter().chain(asked).collect();
    let run = scratch.run(&arguments);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    assert!(run.out().contains("it takes 15999"), "{}", run.out());
}

#[test]
fn a_trial_tells_of_its_residuals() {
    let scratch = Scratch::trial(&crate::scratch::example("untidy-counts/tidy.csv"));
    scratch.put("outline.csv", "x_m,y_m\n-1,-1\n11,-1\n11,6\n-1,6\n");
    let run = scratch.run(&["hotspots", ".", "--json"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let document = run.json();
    assert!(document["result"]["residuals"].is_object());
    assert_eq!(document["result"]["local"].as_array().unwrap().len(), 4);
    let meaning = document["result"]["meaning"].to_string();
    for part in [
        "the count before treatment",
        "counts set against the mean of their treatment",
        "allows for blocks too",
    ] {
        assert!(meaning.contains(part), "{part} in {meaning}");
    }
}

#[test]
fn pictures_carry_title_words_and_the_edge() {
    let (scratch, mut arguments) = points(&["--outline", "green.csv"]);
    arguments.extend(["--out".to_owned(), "maps".to_owned()]);
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let run = scratch.run(&arguments);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    assert!(
        run.out().contains("Written:\n") && run.out().contains("  maps/cover-plan.svg\n"),
        "{}",
        run.out()
    );
    let plan = String::from_utf8(read(&scratch.path("maps/cover-plan.svg"))).unwrap();
    assert!(plan.contains("Numbers: the best strip first."), "{plan}");
    assert!(plan.contains("paint-order=\"stroke\""), "{plan}");
    let written = scratch.path("maps").read_dir().unwrap();
    let written = written.map(|entry| entry.unwrap().path());
    for picture in written.filter(|path| path.extension().is_some_and(|e| e == "svg")) {
        let svg = String::from_utf8(read(&picture)).unwrap();
        assert!(svg.contains("<title id=") && svg.contains("<desc id="));
        lettering_is_inside("hotspots", &svg);
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
        if svg.contains("north is up") {
            assert!(svg.contains("Edge of the green"));
        }
    }
}

#[expect(
    clippy::disallowed_methods,
    reason = "a test looks at what was written"
)]
fn read(path: &std::path::Path) -> Vec<u8> {
    std::fs::read(path).unwrap()
}
