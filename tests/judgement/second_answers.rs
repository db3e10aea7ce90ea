//! A trial of six pairs counted before, on the main day and four weeks later.

use std::fmt::Write as _;

use serde_json::Value;

use crate::scratch::Scratch;

const PROTOCOL: &str = r#"[trial]
title = "Six pairs"
question = "Does covering lower the count, and does it last?"

[[treatment]]
code = "U"
name = "uncovered"
control = true

[[treatment]]
code = "C"
name = "covered"
kind = "covering"

[design]
kind = "paired"
blocks = 6

[plot]
length_m = 4.0
width_m = 2.0

[response]
name = "larvae in cores"
cores_per_plot = 1
area_m2 = 0.01

[[occasion]]
name = "before"
role = "before"

[[occasion]]
name = "lift"
role = "main"

[[occasion]]
name = "day-28"
role = "follow-up"

[decision]
worthwhile_reduction_percent = 50
"#;

/// Uncovered and covered plot of each pair: before, at lift, after four weeks.
const COUNTS: [[[u32; 2]; 3]; 6] = [
    [[18, 20], [16, 4], [14, 13]],
    [[9, 11], [10, 2], [9, 10]],
    [[25, 22], [21, 5], [20, 19]],
    [[14, 15], [13, 3], [12, 12]],
    [[30, 27], [28, 8], [22, 25]],
    [[12, 10], [11, 1], [10, 8]],
];

/// The trial laid out and counted, but for some counts.
pub(crate) fn trial(leave_out: &[(&str, usize)]) -> Scratch {
    let scratch = Scratch::empty();
    let mut layout =
        "plot,block,row,column,treatment,x_m,y_m,length_m,width_m,angle_deg\n".to_owned();
    let mut counts = "plot,sample,occasion,stage,count\n".to_owned();
    for (pair, on) in COUNTS.iter().enumerate() {
        for (side, code) in ["U", "C"].into_iter().enumerate() {
            let plot = 2 * pair + side + 1;
            let (x, y) = (2 + 5 * pair, 1 + 3 * side);
            writeln!(layout, "{plot},{},,,{code},{x},{y},4,2,0", pair + 1).unwrap();
            for (name, found) in ["before", "lift", "day-28"].into_iter().zip(on) {
                if leave_out.contains(&(name, plot)) {
                    continue;
                }
                let count = found[side];
                if name == "lift" && plot == 1 {
                    writeln!(counts, "{plot},1,{name},larva,{}", count - 1).unwrap();
                    writeln!(counts, "{plot},1,{name},pupa,1").unwrap();
                } else {
                    writeln!(counts, "{plot},1,{name},larva,{count}").unwrap();
                }
            }
        }
    }
    scratch.put("trial.toml", PROTOCOL);
    scratch.put("layout.csv", layout);
    scratch.put("counts.csv", counts);
    scratch.put("outline.csv", "x_m,y_m\n-2,-2\n32,-2\n32,8\n-2,8\n");
    scratch
}

fn judged(scratch: &Scratch, more: &[&str]) -> Value {
    let run = scratch.run(&[&["--json", "judge", "."], more].concat());
    assert_eq!(run.code(), Some(0), "{}{}", run.out(), run.err());
    run.json()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

#[test]
fn an_effect_that_faded() {
    let document = judged(&trial(&[]), &[]);
    let result = &document["result"];
    let rows = result["occasions"].as_array().unwrap();
    assert_eq!((rows.len(), &rows[0]["occasion"]), (2, &"lift".into()));
    assert_eq!(rows[0]["ratio"], result["contrasts"][0]["ratio"]);
    assert_eq!(rows[0]["call"], "beat-the-control");
    assert!(number(&rows[1]["ratio"]) > 0.8 && number(&rows[1]["p"]) > 0.3);
    let lasted = &result["treatment_by_occasion"];
    // Every pair grew more under cover: one of the two extreme allocations of 2^6.
    assert_eq!(number(&lasted["p_randomisation"]), 2.0 / 64.0);
    assert!(number(&lasted["p"]) < 0.001);
    let sentence = lasted["sentence"].as_str().unwrap();
    assert!(sentence.contains("covered had lost ground"), "{sentence}");
    // From the totals, which the model's ratio must lie near in balanced pairs.
    let by_hand = (23.0 / 105.0) / (99.0 / 108.0);
    let change = &result["change_from_baseline"][0];
    assert!(
        (number(&change["ratio"]) / by_hand - 1.0).abs() < 0.1,
        "{change}"
    );
    assert_eq!(number(&change["p_randomisation"]), 2.0 / 64.0);
}

#[test]
fn stages_tell_the_season() {
    let result = judged(&trial(&[]), &[])["result"].clone();
    let all = &result["stages"]["rows"][0];
    assert_eq!((&all["emerged"], &all["larvae"]), (&1.into(), &121.into()));
    assert!(
        result["stages"]["sentence"]
            .as_str()
            .unwrap()
            .contains("not too late"),
        "{}",
        result["stages"]
    );
}

#[test]
fn plots_not_counted_on_one_occasion() {
    let document = judged(&trial(&[("day-28", 3), ("day-28", 12)]), &[]);
    let result = &document["result"];
    assert_eq!(result["occasions"].as_array().unwrap().len(), 2);
    assert!(number(&result["treatment_by_occasion"]["p"]) < 0.05);
    let none: Vec<(&str, usize)> = (1..=12).map(|p| ("day-28", p)).collect();
    let result = judged(&trial(&none), &[])["result"].clone();
    assert_eq!(result["occasions"], Value::Array(Vec::new()));
    assert!(result["treatment_by_occasion"].is_null());
}

#[test]
fn sheets_that_blew_off() {
    let scratch = trial(&[]);
    scratch.put(
        "events.csv",
        "plot,date,event,covered_fraction,note\n2,,wind,0.2,sheet gone by dawn\n4,,wind,0.9,\n1,,slip,1,covered by mistake\n",
    );
    let result = judged(&scratch, &[])["result"].clone();
    let second = &result["as_treated"];
    let plots = second["plots"].as_array().unwrap();
    assert_eq!(plots.len(), 2);
    assert_eq!(
        (&plots[1]["plot"], &plots[1]["analysed_as"]),
        (&"2".into(), &"U".into())
    );
    assert!(plots[0]["analysed_as"].is_null());
    assert!(
        second["sentence"]
            .as_str()
            .unwrap()
            .contains("no longer protected by the draw")
    );
    assert_eq!(second["verdicts"].as_array().unwrap().len(), 1);
    // The headline stays as laid out.
    let plain = judged(&trial(&[]), &[])["result"].clone();
    assert_eq!(result["contrasts"], plain["contrasts"]);
}

#[test]
fn no_single_plot_carries_a_clear_verdict() {
    let result = judged(&trial(&[]), &[])["result"].clone();
    let checks = &result["diagnostics"];
    let left = &checks["leave_one_out"][0];
    assert_eq!(left["influential_plots"], Value::Array(Vec::new()));
    assert!(
        left["sentence"]
            .as_str()
            .unwrap()
            .contains("No single plot")
    );
    assert_eq!(checks["residuals"]["values"].as_array().unwrap().len(), 12);
    for key in [
        "residuals",
        "dispersion",
        "zeros",
        "zero_inflation",
        "leverage",
    ] {
        assert!(
            checks[key]["sentence"].as_str().unwrap().ends_with('.'),
            "{key}"
        );
    }
}

/// Three treatments, the second nearly as good as the reference.
#[test]
fn close_enough_to_a_reference() {
    let scratch = Scratch::empty();
    let mut table = "block,method,count\n".to_owned();
    for block in 0..8 {
        writeln!(table, "{block},none,{}", 40 + block).unwrap();
        writeln!(table, "{block},old,{}", 20 + block % 3).unwrap();
        writeln!(table, "{block},new,{}", 19 + block % 4).unwrap();
    }
    scratch.put("table.csv", table);
    let ask = |margin: &str| {
        let words = format!(
            "--json judge --counts table.csv --count count --treatment method --control none --block block --reference old --margin {margin}"
        );
        let run = scratch.run(&words.split(' ').collect::<Vec<_>>());
        (run.code(), run)
    };
    let rows = |margin| ask(margin).1.json()["result"]["non_inferiority"]["rows"].clone();
    assert_eq!(rows("40")[0]["non_inferior"], true);
    assert_eq!(rows("5")[0]["non_inferior"], false);
    assert_eq!(rows("40").as_array().unwrap().len(), 1);
    assert_eq!(ask("0").0, Some(1));
}

/// A limit that holds for any scatter only (Markov's inequality) is no figure to be told.
#[test]
fn a_reference_of_one_larva_sets_no_worst_end() {
    let scratch = Scratch::empty();
    let mut table = "block,method,count\n".to_owned();
    for (block, [none, old, new]) in [[30, 0, 9], [41, 1, 0], [25, 0, 22], [37, 0, 2]]
        .iter()
        .enumerate()
    {
        writeln!(
            table,
            "{block},none,{none}\n{block},old,{old}\n{block},new,{new}"
        )
        .unwrap();
    }
    scratch.put("table.csv", table);
    let words = "--json judge --counts table.csv --count count --treatment method --control none --block block --reference old";
    let run = scratch.run(&words.split(' ').collect::<Vec<_>>());
    let row = &run.json()["result"]["non_inferiority"]["rows"][0];
    assert_eq!(row["high_is_markov_bound"], true, "{row}");
    let sentence = row["sentence"].as_str().unwrap();
    assert!(
        sentence.contains("any multiple of the count under old"),
        "{sentence}"
    );
}

#[test]
fn nothing_found_or_two_plots_only() {
    let scratch = Scratch::empty();
    scratch.put(
        "zeros.csv",
        "b,m,c\n1,U,0\n1,C,0\n2,U,0\n2,C,0\n3,U,0\n3,C,0\n",
    );
    scratch.put("two.csv", "m,c\nU,14\nC,3\n");
    let ask = |file: &str, more: &str| {
        let words =
            format!("--json judge --counts {file} --count c --treatment m --control U{more}");
        let run = scratch.run(&words.split(' ').collect::<Vec<_>>());
        assert_eq!(run.code(), Some(0), "{}{}", run.out(), run.err());
        run.json()["result"].clone()
    };
    let zeros = ask("zeros.csv", " --block b");
    assert_eq!(zeros["diagnostics"]["zeros"]["p"], 1.0);
    assert_eq!(zeros["verdicts"][0]["call"], "cannot-tell");
    let two = ask("two.csv", "");
    assert!(two["diagnostics"]["residuals"].is_null());
    assert!(two["diagnostics"]["leave_one_out"][0]["p_low"].is_null());
    // 3 against 14 by the binomial law of the split: R's binom.test(3, 17)$p.value = 0.01273.
    assert!((number(&two["two_groups"]["poisson"]["p"]) - 0.012_725_83).abs() < 1e-6);
}

/// The reference of the protocol is judged without a flag: the cheaper method stands beside the other.
#[test]
fn a_reference_named_in_the_protocol_is_judged() {
    let scratch = Scratch::empty();
    let third = "[[treatment]]\ncode = \"S\"\nname = \"spiked\"\nkind = \"aeration\"\n\n[design]\nkind = \"randomised-blocks\"\nblocks = 6";
    let protocol = PROTOCOL
        .replace("[design]\nkind = \"paired\"\nblocks = 6", third)
        .replace("area_m2 = 0.01", "area_m2 = 0.05")
        .replace(
            "[decision]",
            "[decision]\nreference = \"C\"\nmargin_percent = 30",
        );
    let mut layout =
        "plot,block,row,column,treatment,x_m,y_m,length_m,width_m,angle_deg\n".to_owned();
    let mut counts = "plot,occasion,count\n".to_owned();
    for block in 0..6 {
        for (side, (code, count)) in [("U", 100 + block), ("C", 40 + block), ("S", 41 + block)]
            .into_iter()
            .enumerate()
        {
            let plot = 3 * block + side + 1;
            let (x, y) = (2 + 5 * block, 1 + 3 * side);
            writeln!(layout, "{plot},{},,,{code},{x},{y},4,2,0", block + 1).unwrap();
            writeln!(counts, "{plot},lift,{count}").unwrap();
        }
    }
    scratch.put("trial.toml", &protocol);
    scratch.put("layout.csv", layout);
    scratch.put("counts.csv", counts);
    scratch.put("outline.csv", "x_m,y_m\n-2,-2\n32,-2\n32,11\n-2,11\n");
    let found = judged(&scratch, &[])["result"]["non_inferiority"].clone();
    assert_eq!(
        (&found["reference"], &found["margin_percent"]),
        (&"C".into(), &30.0.into())
    );
    assert_eq!(found["rows"][0]["treatment"], "S");
    assert_eq!(found["rows"][0]["non_inferior"], true);
    // A flag still asks another question.
    let other = judged(&scratch, &["--reference", "S", "--margin", "10"]);
    assert_eq!(other["result"]["non_inferiority"]["reference"], "S");
}

/// What stands beside the verdict stands in the pages too, and every sentence of the terminal with it.
#[test]
fn the_report_tells_what_happened_and_whether_it_lasted() {
    let scratch = trial(&[]);
    scratch.put(
        "events.csv",
        "plot,date,event,covered_fraction,note\n2,2026-09-20,sheet blown off,0.1,\n",
    );
    let run = scratch.run(&["report", "."]);
    assert_eq!(run.code(), Some(0), "{}{}", run.out(), run.err());
    let page = scratch.read("report/report.html").replace('\u{a0}', " ");
    for words in [
        "Plots that did not stay as laid out",
        "sheet blown off",
        "by what happened",
        "Did it last?",
        "Each occasion against the control",
        "Was it too late in the season?",
        "Can it be believed?",
        "Schneider-Orelli",
        "When a formula must not be used",
    ] {
        assert!(page.contains(words), "{words}");
    }
    let judged = judged(&scratch, &[]);
    let result = &judged["result"];
    for sentence in [
        &result["as_treated"]["sentence"],
        &result["treatment_by_occasion"]["sentence"],
        &result["stages"]["sentence"],
        &result["diagnostics"]["leverage"]["sentence"],
    ] {
        let sentence = sentence.as_str().unwrap();
        assert!(page.contains(&sentence.replace('<', "&lt;")), "{sentence}");
    }
    let members = scratch.read("report/members.html");
    assert!(members.contains("Plot 2 did not stay as laid out"));
    assert!(!members.contains("(p "), "members read no p-value");
}
