//! The commands themselves, as a crew or a script runs them.

#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use assert_cmd::Command;
use serde_json::Value;

fn halfgreen() -> Command {
    Command::new(env!("CARGO_BIN_EXE_halfgreen"))
}

fn json(arguments: &[&str]) -> Value {
    let run = halfgreen().args(arguments).arg("--json").assert().success();
    serde_json::from_slice(&run.get_output().stdout).unwrap()
}

#[test]
fn stopline_gives_the_contracts_keys_and_the_published_lines() {
    let document = json(&[
        "stopline", "--kind", "sprt", "--lower", "1", "--upper", "2", "--k", "1.5",
    ]);
    assert_eq!(document["command"], "stopline");
    let result = &document["result"];
    // Slope 1.415037 and intercepts -+6.160300 (Waters 1955, recomputed).
    let tenth = &result["lines"][9];
    assert_eq!(tenth["n"], 10);
    assert!((tenth["lower"].as_f64().unwrap() - (14.15037 - 6.160300)).abs() < 1e-5);
    assert!((tenth["upper"].as_f64().unwrap() - (14.15037 + 6.160300)).abs() < 1e-5);
    for (curve, value) in [("oc", "probability"), ("asn", "n")] {
        let points = result[curve].as_array().unwrap();
        assert!(
            points
                .iter()
                .all(|p| p["mean"].is_f64() && p[value].is_f64()),
            "{curve}"
        );
    }
}

#[test]
fn stopline_by_taylor_and_precision() {
    let document = json(&[
        "stopline",
        "--kind",
        "green",
        "--taylor",
        "1.5,1.5",
        "--precision",
        "0.2",
    ]);
    let line = &document["result"]["lines"][9];
    assert!((line["upper"].as_f64().unwrap() - 140.625).abs() < 1e-9 && line["lower"].is_null());
    // Wrong use: no levels.
    halfgreen()
        .args(["stopline", "--kind", "sprt"])
        .assert()
        .code(2);
    halfgreen()
        .args(["stopline", "--lower", "2", "--upper", "1", "--k", "1"])
        .assert()
        .code(1);
}

#[test]
fn stopline_writes_the_card() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().to_str().unwrap();
    let run = halfgreen()
        .args([
            "stopline", "--lower", "1", "--upper", "2", "--k", "1.5", "--out", out,
        ])
        .assert()
        .success();
    let said = String::from_utf8_lossy(&run.get_output().stdout).into_owned();
    assert!(
        said.contains("After 6 cores: 2 or fewer: stop, clean"),
        "{said}"
    );
    for name in [
        "stop-card.html",
        "stop-lines.svg",
        "stop-chances.svg",
        "stop-cores.svg",
    ] {
        assert!(folder.path().join(name).exists(), "{name}");
    }
}

const NEXT: [&str; 15] = [
    "next",
    "--k",
    "0.8",
    "--mean",
    "5",
    "--reduction",
    "75",
    "--block-sd",
    "0.4",
    "--cores",
    "4",
    "--trials",
    "500",
    "--seed",
    "7",
];

#[test]
fn next_gives_the_contracts_keys_on_any_number_of_threads() {
    let one = json(&[&NEXT[..], &["--threads", "1"]].concat());
    let two = json(&[&NEXT[..], &["--threads", "2"]].concat());
    assert_eq!(one, two);
    assert_eq!(one["seed"], 7);
    let result = &one["result"];
    let cell = &result["table"][0];
    assert_eq!(
        (&cell["blocks"], &cell["cores_per_plot"]),
        (&Value::from(3), &Value::from(4))
    );
    assert!(cell["power"].is_f64() && cell["power_se"].is_f64() && cell["cost"].is_null());
    assert!(result["suggestion"]["reached"].is_boolean());
    assert_eq!(
        result["assumptions"]["ground"]["mean"]
            .as_f64()
            .unwrap()
            .round(),
        5.0
    );
    let codes: Vec<&str> = one["warnings"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|w| w["code"].as_str())
        .collect();
    assert!(codes.contains(&"cost-not-priced"), "{codes:?}");
}

#[test]
fn next_refuses_the_impossible_with_a_way_out() {
    for (flag, value) in [
        ("--reduction", "0"),
        ("--k", "0"),
        ("--alpha", "0"),
        ("--power", "1"),
    ] {
        let mut arguments = vec!["next", "--mean", "5", flag, value];
        for (other, usual) in [("--reduction", "75"), ("--k", "0.8")] {
            if other != flag {
                arguments.extend([other, usual]);
            }
        }
        let run = halfgreen().args(arguments).assert().code(1);
        let said = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
        assert!(said.contains(flag) && said.contains("blocks"), "{said}");
    }
    halfgreen()
        .args(["next", "--k", "1", "--reduction", "50"])
        .assert()
        .code(1);
}
