//! What a page calls a finding beside its verdicts.

use std::fmt::Write as _;

use serde_json::Value;

use crate::scratch::Scratch;

const PROTOCOL: &str = r#"[trial]
title = "Five visits"
question = "Does covering lower the count, and does it last?"

[[treatment]]
code = "U"
name = "uncovered"
control = true

[[treatment]]
code = "C"
name = "covered"
kind = "covering"

[[treatment]]
code = "S"
name = "slit"

[design]
kind = "randomised-blocks"
blocks = 8

[plot]
length_m = 4.0
width_m = 2.0

[response]
name = "larvae in cores"
cores_per_plot = 1
area_m2 = 0.01

[[occasion]]
name = "lift"
role = "main"

[[occasion]]
name = "day-14"
role = "follow-up"

[[occasion]]
name = "day-28"
role = "follow-up"

[decision]
worthwhile_reduction_percent = 50
"#;

/// Eight blocks on three visits; the count of a plot is `of(visit, treatment, block)`. With two treatments the third is
/// left out of protocol and layout.
fn judged(treatments: usize, of: impl Fn(usize, usize, usize) -> usize) -> (Value, String) {
    let scratch = Scratch::empty();
    let mut layout =
        "plot,block,row,column,treatment,x_m,y_m,length_m,width_m,angle_deg\n".to_owned();
    let mut counts = "plot,occasion,count\n".to_owned();
    for block in 0..8 {
        for (side, code) in ["U", "C", "S"].into_iter().enumerate().take(treatments) {
            let plot = treatments * block + side + 1;
            let (x, y) = (2 + 5 * block, 1 + 3 * side);
            writeln!(layout, "{plot},{},,,{code},{x},{y},4,2,0", block + 1).unwrap();
            for (visit, name) in ["lift", "day-14", "day-28"].into_iter().enumerate() {
                writeln!(counts, "{plot},{name},{}", of(visit, side, block)).unwrap();
            }
        }
    }
    let slit = "[[treatment]]\ncode = \"S\"\nname = \"slit\"\n\n";
    let protocol = match treatments {
        2 => PROTOCOL.replace(slit, ""),
        _ => PROTOCOL.to_owned(),
    };
    scratch.put("trial.toml", protocol);
    scratch.put("layout.csv", layout);
    scratch.put("counts.csv", counts);
    scratch.put("outline.csv", "x_m,y_m\n-2,-2\n42,-2\n42,10\n-2,10\n");
    let run = scratch.run(&["--json", "judge", "."]);
    assert_eq!(run.code(), Some(0), "{}{}", run.out(), run.err());
    let plain = scratch.run(&["judge", "."]);
    (run.json()["result"].clone(), plain.out())
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// Counts that differ from block to block and a little within.
fn about(level: usize, block: usize, treatment: usize) -> usize {
    level + 3 * block + (block + treatment) % 3
}

#[test]
fn later_occasions_are_description_where_the_verdict_found_nothing() {
    // Nothing at lift; clearly fewer four weeks later.
    let (result, said) = judged(2, |visit, treatment, block| {
        let level = if visit == 2 && treatment == 1 { 4 } else { 20 };
        about(level, block, treatment)
    });
    assert_ne!(result["verdicts"][0]["call"], "beat-the-control");
    let last = &result["occasions"][2];
    assert!(last["p"].as_f64().unwrap() < 0.01, "{last}");
    assert_eq!(
        (&last["call"], &last["finding"]),
        (&Value::Null, &false.into())
    );
    let sentence = last["sentence"].as_str().unwrap();
    assert!(
        sentence.contains("a description, not a verdict"),
        "{sentence}"
    );
    assert_eq!(result["treatment_by_occasion"]["finding"], false);
    let lasted = result["treatment_by_occasion"]["sentence"]
        .as_str()
        .unwrap();
    assert!(!lasted.contains("p "), "{lasted}");
    assert!(!said.contains("covered beat uncovered"), "{said}");
}

#[test]
fn second_answers_are_tested_together_where_every_method_differs() {
    let (result, _) = judged(2, |visit, treatment, block| {
        let level = match (visit, treatment) {
            (0 | 1, 1) => 3,
            _ => 30,
        };
        about(level, block, treatment)
    });
    assert_eq!(result["verdicts"][0]["call"], "beat-the-control");
    let rows = result["occasions"].as_array().unwrap();
    assert_eq!(
        (&rows[1]["call"], &rows[1]["finding"]),
        (&"beat-the-control".into(), &true.into())
    );
    assert_eq!(rows[2]["finding"], false);
    let lasted = &result["treatment_by_occasion"];
    assert_eq!(lasted["finding"], true);
    // Holm's method by hand over the two later visits and whether the effect stayed, none below the verdict's p.
    let verdict = number(&result["contrasts"][0]["p_model_adjusted"]);
    let mut p = [
        number(&rows[1]["p_model"]),
        number(&rows[2]["p_model"]),
        number(&lasted["p"]),
    ];
    p.sort_by(f64::total_cmp);
    let mut holm = [3.0 * p[0], 2.0 * p[1], p[2]].map(|p| p.min(1.0));
    for at in 1..3 {
        holm[at] = holm[at].max(holm[at - 1]);
    }
    let sought = holm.map(|p| p.max(verdict));
    let mut found = [&rows[1], &rows[2], lasted].map(|row| number(&row["p_on_page"]));
    found.sort_by(f64::total_cmp);
    assert_eq!(found, sought);
}

#[test]
fn a_p_value_is_adjusted_where_its_name_says_so() {
    let (result, _) = judged(3, |visit, treatment, block| {
        let level = [[22, 12, 20], [24, 17, 21], [20, 15, 16]][visit][treatment];
        level + [0, 9, 2, 14, 5, 3, 8, 1][(block + 3 * treatment + 5 * visit) % 8]
    });
    let occasions = result["occasions"].as_array().unwrap();
    let changes = result["treatment_by_occasion"]["changes"]
        .as_array()
        .unwrap();
    assert_eq!((occasions.len(), changes.len()), (6, 4));
    for row in occasions.iter().chain(changes) {
        assert!(
            number(&row["p_model"]) < number(&row["p_model_adjusted"]),
            "{row}"
        );
        // The larger of two p-values of the draw may be that of the method alone.
        let (alone, adjusted) = (&row["p_randomisation"], &row["p_randomisation_adjusted"]);
        assert!(number(alone) <= number(adjusted), "{row}");
    }
    // The first occasion is the verdict's, and its p-values are those of the contrasts.
    for (row, contrast) in occasions
        .iter()
        .zip(result["contrasts"].as_array().unwrap())
    {
        for key in ["p_model", "p_model_adjusted", "p_randomisation"] {
            assert_eq!(row[key], contrast[key], "{key}");
        }
    }
}
