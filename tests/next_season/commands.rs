//! The commands themselves, as a crew or a script runs them.

use serde_json::Value;

use crate::scratch::Scratch;

fn json(arguments: &[&str]) -> Value {
    let run = Scratch::empty().run(&[arguments, &["--json"]].concat());
    assert_eq!(run.code(), Some(0), "{}", run.err());
    run.json()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

#[test]
fn stopline_gives_the_contracts_keys_and_the_published_lines() {
    let document = json(&["stopline", "--lower", "1", "--upper", "2", "--k", "1.5"]);
    assert_eq!(document["command"], "stopline");
    let result = &document["result"];
    // Slope 1.415037 and intercepts -+6.160300 (Waters 1955, recomputed).
    let tenth = &result["lines"][9];
    assert_eq!(tenth["n"], 10);
    assert!((number(&tenth["lower"]) - (14.15037 - 6.160300)).abs() < 1e-5);
    assert!((number(&tenth["upper"]) - (14.15037 + 6.160300)).abs() < 1e-5);
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
    assert!((number(&line["upper"]) - 140.625).abs() < 1e-9 && line["lower"].is_null());
    let run = |arguments: &[&str]| Scratch::empty().run(arguments).code();
    // Wrong use: no levels. Refused: levels out of order.
    assert_eq!(run(&["stopline", "--kind", "sprt"]), Some(2));
    assert_eq!(
        run(&["stopline", "--lower", "2", "--upper", "1", "--k", "1"]),
        Some(1)
    );
}

#[test]
fn stopline_writes_the_card() {
    let folder = Scratch::empty();
    let run = folder.run(&[
        "stopline", "--lower", "1", "--upper", "2", "--k", "1.5", "--out", ".",
    ]);
    assert!(
        run.out().contains("After 6 cores: 2 or fewer: stop, clean"),
        "{}",
        run.out()
    );
    assert_eq!(
        folder.names(),
        [
            "stop-card.html",
            "stop-chances.svg",
            "stop-cores.svg",
            "stop-lines.svg",
            "written-by-halfgreen.toml"
        ]
    );
}

const NEXT: [&str; 17] = [
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
    "--blocks",
    "4,7",
    "--trials",
    "200",
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
        (number(&cell["blocks"]), number(&cell["cores_per_plot"])),
        (4.0, 4.0)
    );
    assert!(cell["power"].is_f64() && cell["power_se"].is_f64() && cell["cost"].is_null());
    assert!(result["suggestion"]["reached"].is_boolean());
    assert!((number(&result["assumptions"]["site"]["mean"]) - 5.0).abs() < 1e-9);
    let warnings = one["warnings"].as_array().unwrap();
    assert!(
        warnings.iter().any(|w| w["code"] == "cost-not-priced"),
        "{warnings:?}"
    );
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
        let run = Scratch::empty().run(&arguments);
        assert_eq!(run.code(), Some(1));
        assert!(
            run.err().contains(flag) && run.err().contains("blocks"),
            "{}",
            run.err()
        );
    }
    assert_eq!(
        Scratch::empty()
            .run(&["next", "--k", "1", "--reduction", "50"])
            .code(),
        Some(1)
    );
}

/// A trial's own protocol and results stand in for the flags; a flag still overrides them.
#[test]
fn next_learns_from_a_judged_trial() {
    let folder = Scratch::trial("plot,sample,occasion,count\n");
    assert_eq!(folder.run(&["next", "."]).code(), Some(1));
    let made = folder.run(&[
        "stopline", "--lower", "1", "--upper", "2", "--out", "report",
    ]);
    assert_eq!(made.code(), Some(0));
    folder.put("report/results.json", super::past::RESULTS);
    let short = [
        "next", ".", "--blocks", "4", "--cores", "4", "--trials", "200", "--json",
    ];
    let learnt = folder.run(&short).json();
    let ground = &learnt["result"]["assumptions"]["site"];
    assert!((number(&ground["mean"]) - 6.0).abs() < 1e-9);
    assert!((number(&ground["k_plot"]) - 2.5).abs() < 1e-9);
    // Cores are no more clumped than Poisson within a plot: no finite k.
    assert!(ground["k_sample"].is_null());
    assert!((number(&learnt["result"]["assumptions"]["request"]["reduction"]) - 0.5).abs() < 1e-12);
    let told = folder
        .run(&[&short[..], &["--k", "0.8", "--mean", "3"]].concat())
        .json();
    let ground = &told["result"]["assumptions"]["site"];
    assert!((number(&ground["k_sample"]) - 0.8).abs() < 1e-9 && ground["k_plot"].is_null());
}

/// Ranges and lists alike, and one core is one core.
#[test]
fn next_takes_ranges_and_says_one_core() {
    let ask = |blocks: &str| {
        let question = ["next", "--k", "1", "--mean", "4", "--reduction", "90"];
        let plans = ["--cores", "1,2", "--trials", "100", "--blocks", blocks];
        Scratch::empty().run(&[&question[..], &plans[..]].concat())
    };
    let words = ask("1,4-5").out();
    for part in [
        "1 core a plot",
        "2 cores a plot",
        "1 block ",
        "4 blocks",
        "5 blocks",
    ] {
        assert!(words.contains(part), "{part} in {words}");
    }
    let turned = ask("9-6");
    assert_eq!(turned.code(), Some(2));
    assert!(
        turned.err().contains("such as 6,8,12 or 6-12"),
        "{}",
        turned.err()
    );
}

/// Karandinos' 26.67 cores (k 1.5, mean 1, standard error a quarter of the mean) become 27 points.
#[test]
fn grid_takes_its_points_from_a_precision() {
    let folder = Scratch::empty();
    folder.put("green.csv", "x_m,y_m\n0,0\n20,0\n20,15\n0,15\n");
    let base = [
        "grid",
        "green.csv",
        "--precision",
        "0.25",
        "--mean",
        "1",
        "--k",
        "1.5",
        "--pattern",
        "random",
    ];
    let run = folder.run(&[&base[..], &["--json", "--seed", "3"]].concat());
    let result = run.json()["result"].clone();
    assert_eq!(
        result["points"].as_array().unwrap().len(),
        27,
        "{}",
        run.err()
    );
    assert!((number(&result["survey"]["cores_exact"]) - 26.6667).abs() < 1e-4);
    let words = folder
        .run(&[&base[..], &["--confidence", "0.95"]].concat())
        .out();
    assert!(
        words.contains("103 cores give an interval of 25 %"),
        "{words}"
    );
    assert_eq!(
        folder
            .run(&["grid", "green.csv", "--precision", "0.25"])
            .code(),
        Some(2)
    );
}
