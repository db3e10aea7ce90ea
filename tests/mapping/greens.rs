//! `hotspots` on a trial of two greens.

use std::fmt::Write;

use crate::scratch::{Run, Scratch, example};

/// The invented club's trial on two greens: larvae lie on the second alone.
fn two_greens() -> Scratch {
    let scratch = Scratch::empty();
    let greens = "[[green]]\nname = \"home\"\noutline = \"home.csv\"\nblocks = 4\n\n\
                  [[green]]\nname = \"valley\"\noutline = \"valley.csv\"\nblocks = 4\n\n[plot]";
    scratch.put(
        "trial.toml",
        example("demo-club/trial.toml").replacen("[plot]", greens, 1),
    );
    scratch.put("home.csv", "x_m,y_m\n0,0\n24,0\n24,14\n0,14\n");
    scratch.put("valley.csv", "x_m,y_m\n0,0\n14,0\n14,30\n0,30\n");
    let laid = scratch.run(&["layout", "."]);
    assert_eq!(laid.code(), Some(0), "{}", laid.err());
    let mut counts = "plot,sample,occasion,date,count,note\n".to_owned();
    for line in scratch.read("layout.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let valley = line.contains("valley.");
        for core in 1..=5 {
            for (occasion, date) in [("before", "2026-09-09"), ("main", "2026-09-18")] {
                let count = if valley { core % 3 } else { 0 };
                writeln!(counts, "{},{core},{occasion},{date},{count},", cells[0]).unwrap();
            }
        }
    }
    scratch.put("counts.csv", counts);
    scratch
}

fn run(extra: &[&str]) -> (Scratch, Run) {
    let scratch = two_greens();
    let arguments: Vec<&str> = ["hotspots", "."].iter().chain(extra).copied().collect();
    let run = scratch.run(&arguments);
    (scratch, run)
}

#[test]
fn each_green_answers_and_the_sheet_goes_where_larvae_are() {
    let (_, run) = run(&["--json", "--sheet", "100"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let document = run.json();
    let result = &document["result"];
    let greens = result["greens"].as_array().unwrap();
    assert_eq!(greens.len(), 2);
    assert_eq!(
        (&greens[0]["green"], &greens[1]["green"]),
        (&"home".into(), &"valley".into())
    );
    assert_eq!(greens[0]["local"].as_array().unwrap().len(), 8);
    let ranking = &result["ranking"];
    assert_eq!(ranking[0]["green"], "valley");
    let number = |at: usize, key: &str| ranking[at][key].as_f64().unwrap();
    assert!((number(0, "share") - 1.0).abs() < 1e-12 && number(1, "sheet_m2") < 1e-12);
    assert!(number(0, "sheet_m2") > 60.0 && number(0, "sheet_m2") <= 100.0);
    let strips = result["cover_plan"].as_array().unwrap();
    assert!(
        strips
            .iter()
            .filter(|s| s["laid"] == true)
            .all(|s| s["green"] == "valley")
    );
    let last = result["cover_curve"].as_array().unwrap().last().unwrap();
    assert!((last["share"].as_f64().unwrap() - 1.0).abs() < 1e-9);
    // Both greens: 24 by 14 and 14 by 30 metres, less slivers under a hundredth of a square metre.
    assert!((last["area_m2"].as_f64().unwrap() - 756.0).abs() < 0.5);
    assert_eq!(result["directions"].as_array().unwrap().len(), 2);
}

#[test]
fn people_are_told_which_green_earns_the_sheet() {
    let (scratch, run) = run(&["--out", "maps"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let told = run.out();
    assert!(
        told.contains("Which green earns the sheet most\n  valley: 420 m2"),
        "{told}"
    );
    assert!(told.contains("it earns none of the sheet"), "{told}");
    let svg = String::from_utf8(super::read(&scratch.path("maps/green-2-cover-plan.svg"))).unwrap();
    assert!(
        svg.contains("-title\">valley: Strips")
            && svg.contains("on this green")
            && svg.contains("Edge of the green")
    );
}
