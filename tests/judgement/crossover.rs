//! Crossovers judged from their folders: plots are rows, nights are columns.

use std::fmt::Write as _;

use crate::closeness::rows::Rows;
use crate::scratch::{Run, Scratch};

const THREE: &str = include_str!("../reference/data/crossover.csv");
const TWO: &str = include_str!("../reference/data/crossover_two.csv");

/// One line of a file of counts: plot, square, night, treatment, count.
type Line<'a> = [&'a str; 5];

fn lines(text: &str) -> Vec<Line<'_>> {
    text.lines()
        .skip(1)
        .map(|line| {
            let mut fields = line.split(',');
            std::array::from_fn(|_| fields.next().unwrap())
        })
        .collect()
}

fn protocol(treatments: &[(&str, &str)], squares: usize, occasions: &str) -> String {
    let mut text = "[trial]\ntitle = \"Watering at dusk\"\nquestion = \"Does watering at dusk bring larvae up by dawn?\"\n"
        .to_owned();
    for (at, (code, name)) in treatments.iter().enumerate() {
        let control = if at == 0 { "control = true\n" } else { "" };
        writeln!(
            text,
            "\n[[treatment]]\ncode = \"{code}\"\nname = \"{name}\"\n{control}"
        )
        .unwrap();
    }
    write!(
        text,
        "[design]\nkind = \"crossover\"\nblocks = {squares}\n\n[plot]\nlength_m = 4.0\nwidth_m = 2.0\n\n[response]\n\
         name = \"larvae on the surface at dawn\"\nbetter = \"more\"\ncores_per_plot = 1\narea_m2 = 0.25\n\n[decision]\n\
         worthwhile_increase_percent = 50\n\n{occasions}"
    )
    .unwrap();
    text
}

fn nights(number: usize) -> String {
    let mut text = String::new();
    for n in 1..=number {
        write!(
            text,
            "[[occasion]]\nname = \"dawn-{n}\"\nrole = \"main\"\ndate = 2026-09-1{n}\n\n"
        )
        .unwrap();
    }
    text
}

const WATERED: [(&str, &str); 3] = [("U", "left dry"), ("W", "wetted"), ("D", "drenched")];
const COVERED: [(&str, &str); 2] = [("U", "left dry"), ("C", "wetted")];

/// A trial folder with these lines, and counts where `count` gives one.
fn folder(
    protocol: String,
    lines: &[Line<'_>],
    count: impl Fn(&Line<'_>) -> Option<u64>,
) -> Scratch {
    let scratch = Scratch::empty();
    let mut layout =
        "plot,block,row,column,treatment,x_m,y_m,length_m,width_m,angle_deg\n".to_owned();
    let mut counts = "plot,occasion,count\n".to_owned();
    for line in lines {
        let [plot, square, night, treatment, _] = line;
        let at: usize = plot.parse().unwrap();
        let (x, y) = (2 + 5 * ((at - 1) / 2), 1 + 3 * ((at - 1) % 2));
        writeln!(layout, "{plot},{square},{night},,{treatment},{x},{y},4,2,0").unwrap();
        if let Some(count) = count(line) {
            writeln!(counts, "{plot},dawn-{night},{count}").unwrap();
        }
    }
    scratch.put("trial.toml", protocol);
    scratch.put("layout.csv", layout);
    scratch.put("counts.csv", counts);
    scratch.put("outline.csv", "x_m,y_m\n-2,-2\n27,-2\n27,8\n-2,8\n");
    scratch
}

/// Three treatments over three nights.
pub(crate) fn three_nights() -> Scratch {
    folder(protocol(&WATERED, 2, &nights(3)), &lines(THREE), as_counted)
}

fn as_counted(line: &Line<'_>) -> Option<u64> {
    line[4].parse().ok()
}

fn said(run: &Run) -> String {
    format!("{}{}", run.out(), run.err())
}

/// R's glm at fixed k, maximised over k: `make_crossover_reference.R`.
#[test]
fn plots_and_nights_are_taken_out() {
    let scratch = three_nights();
    let check = scratch.run(&["check", "."]);
    assert_eq!(check.code(), Some(0), "{}", said(&check));
    assert!(
        check.out().contains("6 of 6 plots counted on every night"),
        "{}",
        check.out()
    );
    let run = scratch.run(&["--json", "judge", "."]);
    assert_eq!(run.code(), Some(0), "{}", said(&run));
    let result = &run.json()["result"];
    let rows = Rows::read("crossover");
    let meet = |quantity: &str, found: &serde_json::Value| {
        rows.row("three", quantity).meet(found.as_f64().unwrap());
    };
    for (family, named) in [("poisson", "poisson"), ("nb", "model")] {
        let fit = &result[named];
        meet(&format!("{family}.log_likelihood"), &fit["log_likelihood"]);
        meet(&format!("{family}.lr"), &fit["treatment_test"]["statistic"]);
    }
    meet("poisson.deviance", &result["poisson"]["deviance"]);
    meet("poisson.residual_df", &result["poisson"]["residual_df"]);
    meet("nb.k", &result["model"]["k"]);
    // 12 Latin squares of three, twice.
    assert_eq!(result["randomisation"]["allocations"], "144");
    assert_eq!(result["crossover"]["squares"], 2);
    assert_eq!(result["crossover"]["balanced"], true);
    assert_eq!(result["plots"][1]["row"], "2");
    assert_eq!(result["plots"][6]["column"], "dawn-2");
}

#[test]
fn judge_and_report_tell_of_nights() {
    let scratch = three_nights();
    let run = scratch.run(&["judge", "."]);
    assert!(
        run.out()
            .contains("6 plots took turns over 3 nights (dawn-1, dawn-2, dawn-3)"),
        "{}",
        run.out()
    );
    assert!(
        run.out()
            .contains("What the night before left behind is not taken out"),
        "{}",
        run.out()
    );
    let report = scratch.run(&["report", "."]);
    assert_eq!(report.code(), Some(0), "{}", said(&report));
    let page = scratch.read("report/report.html");
    assert!(page.contains("The plot in one night is the unit"));
    assert!(page.contains("all nights together"));
    let members = scratch.read("report/members.html");
    assert!(members.contains("We marked 6 plots"));
}

/// Every plot has far more when wetted: of the 2^4 draws the one made and its mirror lie farthest out.
#[test]
fn squares_are_drawn_anew() {
    let wetted = |line: &Line<'_>| {
        let plot: u64 = line[0].parse().unwrap();
        Some(if line[3] == "C" {
            30 + plot
        } else {
            1 + plot % 3
        })
    };
    let scratch = folder(protocol(&COVERED, 4, &nights(2)), &lines(TWO), wetted);
    let run = scratch.run(&["--json", "judge", "."]);
    assert_eq!(run.code(), Some(0), "{}", said(&run));
    let result = &run.json()["result"];
    assert_eq!(result["randomisation"]["allocations"], "16");
    let p = result["contrasts"][0]["p_randomisation"].as_f64().unwrap();
    // Four standard errors of 9 999 draws.
    assert!(
        (p - 0.125).abs() < 4.0 * (0.125 * 0.875 / 9_999.0_f64).sqrt(),
        "{p}"
    );
    let told = result["crossover"]["sentences"].to_string();
    assert!(
        told.contains("with two nights no order of treatments"),
        "{told}"
    );
}

/// Two treatments, and counts that scatter no more than at random: the model test is Student's t of square roots as
/// R's lm has it.
#[test]
fn an_even_crossover_is_tested_as_a_latin_square() {
    let scratch = folder(protocol(&COVERED, 4, &nights(2)), &lines(TWO), as_counted);
    let run = scratch.run(&["--json", "judge", "."]);
    assert_eq!(run.code(), Some(0), "{}", said(&run));
    let contrast = &run.json()["result"]["contrasts"][0];
    let rows = Rows::read("crossover");
    let of = |key: &str| contrast[key].as_f64().unwrap();
    rows.row("two", "root.df").meet(of("df"));
    // p of t by itself: the totals are so nearly even that the exact conditional test has the last word.
    let p = 2.0 * halfgreen_analysis::distributions::t_sf(of("t").abs(), of("df"));
    rows.row("two", "root.p").meet(p);
    assert!(of("p_model") >= p);
}

#[test]
fn a_plot_missed_on_one_night_counts_on_the_others() {
    let missed = |line: &Line<'_>| as_counted(line).filter(|_| line[0] != "4" || line[2] != "2");
    let scratch = folder(protocol(&WATERED, 2, &nights(3)), &lines(THREE), missed);
    let check = scratch.run(&["check", "."]);
    assert!(
        check.out().contains("5 of 6 plots counted on every night"),
        "{}",
        check.out()
    );
    let run = scratch.run(&["--json", "judge", "."]);
    assert_eq!(run.code(), Some(0), "{}", said(&run));
    let result = &run.json()["result"];
    assert_eq!(
        (&result["units"]["plots"], &result["crossover"]["missing"]),
        (&17.into(), &1.into())
    );
    assert_eq!(result["poisson"]["residual_df"], 7);
    assert!(
        run.json()["warnings"]
            .to_string()
            .contains("plot 4 was not counted on dawn-2")
    );
}

#[test]
fn a_lone_night_is_no_crossover() {
    let first = |line: &Line<'_>| as_counted(line).filter(|_| line[2] == "1");
    let scratch = folder(protocol(&WATERED, 2, &nights(3)), &lines(THREE), first);
    let run = scratch.run(&["judge", "."]);
    assert_ne!(run.code(), Some(0));
    assert!(
        said(&run).contains("only 1 night is counted"),
        "{}",
        said(&run)
    );
}

#[test]
fn nights_must_be_as_many_as_treatments() {
    for (occasions, complaint) in [
        (nights(2), "takes 3 nights, but 2 occasions are main"),
        (
            nights(3).replacen("main", "before", 1),
            "occasion \"dawn-1\" is not a night",
        ),
        (
            nights(3).replace("2026-09-12", "2026-09-11"),
            "is not later than",
        ),
    ] {
        let scratch = folder(protocol(&WATERED, 2, &occasions), &lines(THREE), as_counted);
        let run = scratch.run(&["check", "."]);
        assert_ne!(run.code(), Some(0));
        assert!(said(&run).contains(complaint), "{}", said(&run));
    }
    let unnamed = folder(protocol(&WATERED, 2, ""), &lines(THREE), |_| None);
    let mut counts = "plot,occasion,count\n".to_owned();
    for [plot, _, night, _, count] in lines(THREE) {
        writeln!(counts, "{plot},night-{night},{count}").unwrap();
    }
    unnamed.put("counts.csv", counts);
    let run = unnamed.run(&["judge", "."]);
    assert_eq!(run.code(), Some(0), "{}", said(&run));
}

/// Laid out by the command itself: the nights are named beside the plots, and counts of it are judged.
#[test]
fn a_crossover_goes_from_layout_to_verdict() {
    let scratch = folder(protocol(&COVERED, 3, &nights(2)), &[], |_| None);
    std::fs::remove_file(scratch.path("layout.csv")).unwrap();
    let laid = scratch.run(&["--seed", "7", "layout", "."]);
    assert_eq!(laid.code(), Some(0), "{}", said(&laid));
    assert!(laid.out().contains("6 plots of"), "{}", laid.out());
    assert!(
        laid.out()
            .contains("In counts.csv the night is the occasion: dawn-1, dawn-2."),
        "{}",
        laid.out()
    );
    let mut counts = "plot,occasion,count\n".to_owned();
    for line in scratch.read("layout.csv").lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let plot: u64 = fields[0].parse().unwrap();
        let many = if fields[4] == "C" {
            20 + plot
        } else {
            3 + plot
        };
        writeln!(counts, "{plot},dawn-{},{many}", fields[2]).unwrap();
    }
    scratch.put("counts.csv", counts);
    let run = scratch.run(&["--json", "judge", "."]);
    assert_eq!(run.code(), Some(0), "{}", said(&run));
    assert_eq!(
        run.json()["result"]["verdicts"][0]["call"],
        "beat-the-control",
        "{}",
        run.out()
    );
}
