//! `check` with several files: put together in a new one, and none that was there is touched.

use crate::scratch::workbook::{sheet, workbook};
use crate::scratch::{Scratch, example};

const HEAD: &str = "plot,sample,occasion,count,counter\n";

/// Plots 1 and 2, and 3 and 4, as two people counted them on the main occasion.
fn halves() -> (String, String) {
    let half = |plots: [u32; 2], who: &str| {
        let rows = plots.iter().flat_map(|p| (1..=2).map(move |s| (*p, s)));
        let rows = rows.map(|(p, s)| format!("{p},{s},main,{},{who}\n", p + s));
        format!("{HEAD}{}", rows.collect::<String>())
    };
    (half([1, 2], "Anna"), half([3, 4], "Ben"))
}

fn trial() -> Scratch {
    let scratch = Scratch::trial(HEAD);
    std::fs::remove_file(scratch.path("counts.csv")).unwrap();
    let (a, b) = halves();
    scratch.put("a.csv", a);
    scratch.put("phones/b.csv", b);
    scratch
}

#[test]
fn two_phones_become_the_counts_of_the_trial() {
    let scratch = trial();
    let before = scratch.files();
    let run = scratch.run(&["check", ".", "a.csv", "phones/b.csv"]);
    assert_eq!(run.code(), Some(0), "{}{}", run.out(), run.err());
    assert!(
        run.out().contains("Written:") && run.out().contains("counts.csv"),
        "{}",
        run.out()
    );
    assert_eq!(scratch.read("counts.csv").lines().count(), 9);
    for (name, content) in before {
        assert!(
            scratch.files().contains(&(name.clone(), content)),
            "{name} is as it was"
        );
    }
    assert!(
        scratch
            .run(&["check", "."])
            .out()
            .contains("4 of 4 plots counted on the main occasion, 8 counts")
    );
    // The same again says that all of it is there.
    let again = scratch.run(&["check", ".", "a.csv", "phones/b.csv"]);
    assert_eq!(again.code(), Some(0));
    assert!(
        again.out().contains("says all of this already"),
        "{}",
        again.out()
    );
    assert!(!scratch.names().contains(&"counts-merged.csv".to_owned()));
}

#[test]
fn counts_that_are_there_stay_and_the_merged_file_lies_beside_them() {
    let scratch = trial();
    let (a, _) = halves();
    scratch.put("counts.csv", &a);
    let run = scratch.run(&["check", ".", "phones/b.csv", "--json"]);
    let result = &run.json()["result"];
    assert_eq!(
        (&result["merged"], &result["new_counts"]),
        (&"counts-merged.csv".into(), &4.into())
    );
    assert_eq!(scratch.read("counts.csv"), a);
    assert_eq!(scratch.read("counts-merged.csv").lines().count(), 9);
    // Asked again it says the same, and takes the place of what it wrote.
    let again = scratch.run(&["check", ".", "phones/b.csv", "--json"]);
    assert_eq!(
        again.json()["result"]["merged"],
        "counts-merged.csv",
        "{}",
        again.out()
    );
    // Whoever judges or checks meanwhile is told that something is not judged.
    let told = scratch.run(&["check", "."]);
    assert!(
        told.err()
            .contains("counts-merged.csv holds 4 counts that counts.csv lacks"),
        "{}",
        told.err()
    );
    let merged = scratch.read("counts-merged.csv");
    scratch.put("counts.csv", merged);
    let told = scratch.run(&["check", "."]);
    assert!(!told.err().contains("counts-merged.csv"), "{}", told.err());
}

#[test]
fn judge_says_that_the_merged_counts_are_not_judged() {
    let scratch = Scratch::club();
    let counts = scratch.read("club/counts.csv");
    let some: Vec<&str> = counts.lines().filter(|l| !l.starts_with("7,1,")).collect();
    scratch.put("club/counts-merged.csv", &counts);
    scratch.put("club/counts.csv", some.join("\n"));
    let run = scratch.run(&["judge", "club"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    assert!(
        run.err()
            .contains("that club/counts.csv lacks: only club/counts.csv is judged"),
        "{}",
        run.err()
    );
}

#[test]
fn what_two_do_not_agree_on_is_shown_and_nothing_is_written() {
    let scratch = trial();
    scratch.put("counts.csv", format!("{HEAD}1,1,main,7,Cora\n"));
    let before = scratch.files();
    let run = scratch.run(&["check", ".", "a.csv", "phones/b.csv"]);
    assert_eq!(run.code(), Some(1));
    let out = run.out();
    assert!(out.contains("a.csv:2:4: plot 1, sample 1, occasion \"main\" stands in counts.csv:2 as well: count is 2 here and 7 there"), "{out}");
    assert!(out.contains("Nothing is put together"), "{out}");
    assert_eq!(scratch.files(), before);
}

/// A workbook is taken wherever a table of counts is, and complaints name its rows and columns.
#[test]
fn a_workbook_is_read_wherever_a_table_of_counts_is() {
    let tidy = example("untidy-counts/tidy.csv");
    let scratch = Scratch::trial(&tidy);
    let book = workbook(&[
        ("counts", &sheet(&tidy)),
        ("How to", &sheet("count them\n")),
    ]);
    scratch.put("counts.xlsx", &book);
    std::fs::remove_file(scratch.path("counts.csv")).unwrap();
    let run = scratch.run(&["check", "."]);
    assert!(
        run.out()
            .contains("4 of 4 plots counted on the main occasion, 16 counts"),
        "{}{}",
        run.out(),
        run.err()
    );
    let bad = sheet(&tidy.replace("2,1,main,2026-09-24,,5", "2,1,main,2026-09-24,,twleve"));
    scratch.put("bad.xlsx", workbook(&[("Sheet1", &bad)]));
    let run = scratch.run(&["check", ".", "bad.xlsx"]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.out().contains("bad.xlsx:12:6 (plot 2): \"twleve\""),
        "{}",
        run.out()
    );
    scratch.put(
        "places.xlsx",
        workbook(&[(
            "S",
            &sheet("x,y,n\n0,0,3\n1,0,4\n0,1,0\n1,1,2\n2,0,1\n2,1,5\n"),
        )]),
    );
    let placed = [
        "hotspots",
        "--counts",
        "places.xlsx",
        "--x",
        "x",
        "--y",
        "y",
        "--count",
        "n",
        "--permutations",
        "19",
    ];
    assert_eq!(scratch.run(&placed).code(), Some(0));
    assert_eq!(
        scratch
            .run(&["describe", "places.xlsx", "--count", "n"])
            .code(),
        Some(0)
    );
    scratch.put(
        "judged.xlsx",
        workbook(&[("S", &sheet("t,n\nU,9\nC,3\nU,8\nC,4\nU,12\nC,2\n"))]),
    );
    let judged = [
        "judge",
        "--counts",
        "judged.xlsx",
        "--count",
        "n",
        "--treatment",
        "t",
        "--control",
        "U",
    ];
    let run = scratch.run(&judged);
    assert_eq!(run.code(), Some(0), "{}", run.err());
}

/// A trial of scores with these readings of its own.
fn scored(own: &str) -> Scratch {
    let scratch = Scratch::trial(own);
    let protocol = crate::scratch::PROTOCOL
        .replace("area_m2 = 0.01", "kind = \"score\"")
        .replace(
            "worthwhile_reduction_percent = 50",
            "worthwhile_difference = 1",
        );
    scratch.put("trial.toml", protocol);
    scratch
}

#[test]
fn readings_of_two_people_are_put_together() {
    let scratch =
        scored("plot,sample,occasion,reading\n1,1,main,3\n1,2,main,4\n2,1,main,\n2,2,main,\n");
    // One place is read twice, and another was blank; a decimal comma is written as a point.
    scratch.put(
        "ben.csv",
        "plot;sample;occasion;reading;note\n1;2;main;4;dew\n2;1;main;6,5;\n3;1;main;7;\n",
    );
    let before = scratch.files();
    let run = scratch.run(&["check", ".", "ben.csv", "--json"]);
    assert_eq!(run.code(), Some(0), "{}{}", run.out(), run.err());
    let result = &run.json()["result"];
    assert_eq!(
        (&result["merged"], &result["new_counts"], &result["counts"]),
        (&"counts-merged.csv".into(), &2.into(), &4.into())
    );
    assert_eq!(
        scratch.read("counts-merged.csv"),
        "plot,sample,occasion,reading,note\n1,1,main,3,\n1,2,main,4,dew\n2,2,main,,\n2,1,main,6.5,\n3,1,main,7,\n"
    );
    for (name, content) in before {
        assert!(
            scratch.files().contains(&(name.clone(), content)),
            "{name} is as it was"
        );
    }
    let told = run.json()["result"]["problems"].to_string();
    assert!(
        told.contains("the two agree: they are one reading"),
        "{told}"
    );
}

#[test]
fn readings_that_two_people_do_not_agree_on_are_shown() {
    let scratch = scored("plot,sample,occasion,reading\n1,1,main,3\n1,2,main,4\n");
    scratch.put(
        "ben.csv",
        "plot,sample,occasion,reading\n1,2,main,5\n2,1,main,6\n",
    );
    let before = scratch.files();
    let run = scratch.run(&["check", ".", "ben.csv"]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.out().contains("ben.csv:2:4") && run.out().contains("reading is 5 here and 4 there"),
        "{}",
        run.out()
    );
    assert_eq!(scratch.files(), before);
}

/// Each event that changes nothing is told in its line.
#[test]
fn an_event_after_the_count_is_told() {
    let scratch = Scratch::trial(&example("untidy-counts/tidy.csv"));
    scratch.put(
        "events.csv",
        "plot,date,event,covered_fraction,note\n# 3,2026-09-20,sheet blown off,0.5,example\n2,2026-09-20,sheet laid,1,\n3,2026-09-30,sheet blown off,0,\n",
    );
    let run = scratch.run(&["check", ".", "--json"]);
    assert_eq!(run.code(), Some(0));
    let problems = run.json()["result"]["problems"].clone();
    assert_eq!(problems.as_array().unwrap().len(), 1, "{problems}");
    assert_eq!(
        (
            &problems[0]["rule"],
            &problems[0]["line"],
            &problems[0]["column"]
        ),
        (&"late-event".into(), &4.into(), &2.into())
    );
    assert_eq!(problems[0]["severity"], "warning");
}

/// The worst comes first: what two do not agree on, then cells, then what is only doubtful.
#[test]
fn the_worst_comes_first() {
    let scratch = Scratch::trial(&format!(
        "{HEAD}1,1,main,,\n1,2,main,three,\n2,1,main,3,Anna\n2,1,main,4,Ben\n3,1,spring,4,\n"
    ));
    let run = scratch.run(&["check", ".", "--json"]);
    let problems = run.json()["result"]["problems"].clone();
    let rules: Vec<&str> = problems
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|p| p["rule"].as_str())
        .collect();
    assert_eq!(
        rules,
        [
            "counts-differ",
            "text-in-count",
            "unknown-occasion",
            "not-counted"
        ]
    );
}
