//! `hotspots --ground` as it is typed.

use crate::scratch::{Run, Scratch};

const POINTS: [&str; 9] = [
    "hotspots",
    "--counts",
    "points.csv",
    "--x",
    "x",
    "--y",
    "y",
    "--count",
    "n",
];

/// Seven by seven places; larvae double with each 10 % of moisture, which lies in no pattern; shade is
/// any third place.
fn survey() -> String {
    let line = |i: u32| {
        let (x, y) = (i % 7, i / 7);
        let moisture = 20 + (i * 37 + 11) % 30;
        let larvae = (f64::from(moisture - 20) / 10.0).exp2().round() + f64::from(i % 2);
        let shade = if i.is_multiple_of(3) { "trees" } else { "open" };
        format!("{x},{y},{larvae},{moisture},{shade}")
    };
    let lines: Vec<String> = (0..49).map(line).collect();
    format!("x,y,n,moisture_pct,shade\n{}\n", lines.join("\n"))
}

fn run(table: String, extra: &[&str]) -> Run {
    let scratch = Scratch::empty();
    scratch.put("points.csv", table);
    let arguments: Vec<&str> = POINTS.iter().chain(extra).copied().collect();
    scratch.run(&arguments)
}

#[test]
fn numbers_and_kinds_have_their_ratios() {
    let run = run(survey(), &["--ground", "moisture_pct,shade", "--json"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let document = run.json();
    let ground = document["result"]["site_covariates"].as_array().unwrap();
    assert_eq!(ground.len(), 2);
    let number = |at: usize, key: &str| ground[at][key].as_f64().unwrap();
    // Twice as many for 10 more, a little less for the odd larva more at every second place.
    let ten = number(0, "ratio_per_unit").powi(10);
    assert!((1.6..2.0).contains(&ten), "{ten}");
    assert!(number(0, "p") < 0.001 && number(0, "low") > 1.0);
    assert!((number(0, "step") - 5.0).abs() < 1e-12);
    assert!((number(0, "ratio") - number(0, "ratio_per_unit").powi(5)).abs() < 1e-9);
    assert_eq!(
        (&ground[1]["level"], &ground[1]["against"]),
        (&"trees".into(), &"open".into())
    );
    assert!(number(1, "p") > 0.05 && number(1, "low") < 1.0 && number(1, "high") > 1.0);
}

#[test]
fn people_are_told_in_one_sentence_each() {
    let told = run(survey(), &["--ground", "moisture_pct,shade"]).out();
    assert!(
        told.contains("more larvae for each 5 percentage points more moisture"),
        "{told}"
    );
    assert!(
        told.contains("No link of larvae to shade was shown"),
        "{told}"
    );
}

#[test]
fn what_cannot_be_used_is_named() {
    for (ground, found) in [
        ("slope", "no column `slope`"),
        ("one", "column one: found the same value everywhere"),
        ("word", "column word: the same kind everywhere"),
        ("gap", "`gap` is blank"),
    ] {
        let plain = survey();
        let table = plain.lines().enumerate().map(|(i, line)| match i {
            0 => format!("{line},one,word,gap\n"),
            7 => format!("{line},3,wet,\n"),
            _ => format!("{line},3,wet,8\n"),
        });
        let run = run(table.collect::<Vec<_>>().concat(), &["--ground", ground]);
        assert_eq!(run.code(), Some(1), "{ground}");
        assert!(run.err().contains(found), "{}", run.err());
    }
}

/// The invented survey: ratios and p of independent places as `glm.nb` of R's MASS 7.3-58.2 has them, printed with
/// ten decimals.
#[test]
fn ratios_agree_with_glm_nb() {
    let scratch = Scratch::empty();
    scratch.put(
        "cores.csv",
        crate::scratch::example("ground-survey/cores.csv"),
    );
    let run = scratch.run(&[
        "hotspots",
        "--counts",
        "cores.csv",
        "--x",
        "x_m",
        "--y",
        "y_m",
        "--count",
        "larvae",
        "--ground",
        "moisture_pct,shade",
        "--permutations",
        "0",
        "--json",
    ]);
    let document = run.json();
    let ground = &document["result"]["site_covariates"];
    for (at, key, expected) in [
        (0, "ratio_per_unit", 1.0817643963),
        (1, "ratio", 1.3662285454),
        (1, "p_independent", 0.1319949741),
    ] {
        let found = ground[at][key].as_f64().unwrap();
        // glm.nb stops its search for k at 1e-8.
        assert!((found - expected).abs() < 1e-7, "{key}: {found}");
    }
}
