//! `describe` as its users meet it.
#![expect(
    clippy::unwrap_used,
    reason = "a failed step of what serves a test must fail the test"
)]

use std::io::Write;

use assert_cmd::Command;
use serde_json::Value;

fn describe(arguments: &[&str]) -> std::process::Output {
    Command::cargo_bin("halfgreen")
        .unwrap()
        .arg("describe")
        .args(arguments)
        .output()
        .unwrap()
}

fn published(name: &str) -> String {
    format!(
        "{}/../data-examples/published/{name}",
        env!("CARGO_MANIFEST_DIR")
    )
}

fn result(arguments: &[&str]) -> Value {
    let output = describe(&[arguments, &["--json"]].concat());
    assert!(output.status.success());
    serde_json::from_slice::<Value>(&output.stdout).unwrap()
}

fn written(text: &str) -> tempfile::NamedTempFile {
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.write_all(text.as_bytes()).unwrap();
    file
}

/// Red mites on apple leaves (Bliss & Fisher 1953, Biometrics 9, 176-200, table 1): published k 1.02459.
#[test]
fn frequencies_of_red_mites() {
    let file =
        written("mites;leaves\r\n0;70\r\n1;38\r\n2;17\r\n3;10\r\n4;9\r\n5;3\r\n6;2\r\n7;1\r\n");
    let path = file.path().to_str().unwrap();
    let document = result(&[path, "--count", "mites", "--frequency", "leaves"]);
    let found = &document["result"];
    assert_eq!((&found["n"], &found["total"]), (&150.into(), &172.into()));
    for (key, want) in [
        ("mean", 1.146_667),
        ("variance", 2.273_647),
        ("index_of_dispersion", 295.441_86),
        ("k_moment", 1.166_697),
        ("k", 1.024_592),
        ("k_se", 0.275_907),
        ("lloyd_crowding", 2.129_498),
        ("lloyd_patchiness", 1.857_120),
        ("morisita", 1.856_385),
    ] {
        assert!(
            (found[key].as_f64().unwrap() - want).abs() < 1e-6,
            "{key}: {}",
            found[key]
        );
    }
    assert!(
        (found["goodness"]["negative_binomial"]["chi2"]
            .as_f64()
            .unwrap()
            - 2.490_356)
            .abs()
            < 1e-6
    );
    // What does not exist is null, with a warning.
    assert!(found["taylor"].is_null() && found["common_k"].is_null());
    assert_eq!(document["warnings"][0]["code"], "no-groups");
}

/// Insects after sprays (Beall 1942, Biometrika 32, 243-262): ordinary least squares and k by R.
#[test]
fn groups_of_sprayed_plots() {
    let path = published("insect_sprays_beall1942.csv");
    let found = &result(&[&path, "--count", "count", "--group", "spray"])["result"];
    for (at, want) in [
        ("/taylor/a", 1.178_544),
        ("/taylor/b", 1.099_422),
        ("/taylor/b_se", 0.191_185),
        ("/iwao/alpha", 0.236_545),
        ("/iwao/beta", 1.028_544),
    ] {
        assert!(
            (found.pointer(at).unwrap().as_f64().unwrap() - want).abs() < 1e-6,
            "{at}"
        );
    }
    assert!((found["common_k_likelihood"].as_f64().unwrap() - 28.0995).abs() < 1e-3);
    assert_eq!(found["groups"].as_array().unwrap().len(), 6);
    let people = describe(&[&path, "--count", "count", "--group", "spray"]);
    let text = String::from_utf8(people.stdout).unwrap();
    assert!(text.starts_with("On average 9.50 in each of the 72 units counted, 684 in all."));
}

#[test]
fn faults_are_refused_with_their_place() {
    let path = published("insect_sprays_beall1942.csv");
    let output = describe(&[&path, "--count", "counts"]);
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains(":1:1") && said.contains("`count`"), "{said}");
    let file = written("count\n3\ntwleve\n-1\n");
    let output = describe(&[file.path().to_str().unwrap(), "--count", "count"]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains(":3:1") && said.contains(":4:1"), "{said}");
    assert_eq!(describe(&[&path]).status.code(), Some(2));
}

/// A figure that does not exist is not shown as half of something else.
#[test]
fn figures_that_do_not_exist_are_left_out() {
    let told = |counts: &str| {
        let file = written(counts);
        let path = file.path().to_str().unwrap();
        String::from_utf8(describe(&[path, "--count", "count"]).stdout).unwrap()
    };
    let one = told("count\n4\n");
    assert!(
        one.starts_with("One unit was counted, with 4 in it."),
        "{one}"
    );
    assert!(!one.contains("(0 df)"), "{one}");
    // Evener than chance: k has no value, only a limit below.
    let even = told("count\n3\n3\n4\n3\n4\n3\n");
    assert!(
        !even.contains("95 % from") && even.contains("k at least (95 %)"),
        "{even}"
    );
}

#[test]
fn nothing_found_and_blank_cells_are_said() {
    let file = written("count,place\n0,a\n,a\n0,b\n0,b\n");
    let document = result(&[
        file.path().to_str().unwrap(),
        "--count",
        "count",
        "--group",
        "place",
    ]);
    let codes: Vec<&str> = document["warnings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|w| w["code"].as_str().unwrap())
        .collect();
    for code in ["not-counted", "all-zero", "no-relation"] {
        assert!(codes.contains(&code), "{code} in {codes:?}");
    }
    assert!(document["result"]["k"].is_null());
}

#[test]
fn picture_shows_every_count() {
    let folder = tempfile::tempdir().unwrap();
    let picture = folder.path().join("counts.svg");
    let path = published("insect_sprays_beall1942.csv");
    let output = describe(&[
        &path,
        "--count",
        "count",
        "--figure",
        picture.to_str().unwrap(),
    ]);
    assert!(output.status.success());
    let svg = halfgreen::store::read_text(&picture).unwrap();
    // 27 counts from 0 to 26, each with its edge, a ground, a key; a ring for each by the one law, and in the key.
    assert_eq!(svg.matches("<rect").count(), 2 * 27 + 2);
    assert_eq!(svg.matches("<circle").count(), 2 * 27 + 1);
    assert!(
        svg.contains("by chance alone (Poisson)") && svg.contains("in clumps (negative binomial)")
    );
    assert!(svg.contains("26 to 26: found 2"), "{svg}");
    let zeros = written("count\n0\n0\n");
    let path = zeros.path().to_str().unwrap();
    let output = describe(&[
        path,
        "--count",
        "count",
        "--figure",
        picture.to_str().unwrap(),
    ]);
    assert!(output.status.success());
}
