//! Several Latin squares judged from their folder: each has rows and columns of its own.

use std::fmt::Write as _;

use crate::scratch::Scratch;

const COUNTS: &str = include_str!("../reference/data/latin_squares.csv");
const REFERENCE: &str = include_str!("../reference/squares.tsv");

const PROTOCOL: &str = r#"[trial]
title = "Two squares"
question = "Do fewer larvae remain?"

[[treatment]]
code = "U"
name = "untreated"
control = true

[[treatment]]
code = "A"
name = "sheet"

[[treatment]]
code = "B"
name = "slits"

[[treatment]]
code = "C"
name = "both"

[design]
kind = "latin-square"
blocks = 2

[plot]
length_m = 2.0
width_m = 2.0

[response]
name = "larvae in cores"
cores_per_plot = 1
area_m2 = 0.01

[decision]
worthwhile_reduction_percent = 50
"#;

/// Within a square the rows add up to the same as the columns, so that one column of the second square says
/// nothing more: statsmodels fits the columns that are left (`make_squares_reference.py`).
#[test]
fn one_column_of_each_square_is_aliased() {
    let scratch = Scratch::empty();
    let mut layout =
        "plot,block,row,column,treatment,x_m,y_m,length_m,width_m,angle_deg\n".to_owned();
    let mut counts = "plot,count\n".to_owned();
    for (at, line) in COUNTS.lines().skip(1).enumerate() {
        let fields: Vec<&str> = line.split(',').collect();
        let [square, row, column, treatment, count] = fields[..] else {
            panic!("{line}");
        };
        let (plot, x, y) = (at + 1, 1 + 2 * (at % 4), 1 + 2 * (at / 4));
        writeln!(
            layout,
            "{plot},{square},{row},{column},{treatment},{x},{y},2,2,0"
        )
        .unwrap();
        writeln!(counts, "{plot},{count}").unwrap();
    }
    scratch.put("trial.toml", PROTOCOL);
    scratch.put("layout.csv", layout);
    scratch.put("counts.csv", counts);
    scratch.put("outline.csv", "x_m,y_m\n0,0\n8,0\n8,16\n0,16\n");
    let run = scratch.run(&["--json", "judge", "."]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let poisson = run.json()["result"]["poisson"].clone();
    for line in REFERENCE.lines() {
        let (name, sought) = line.split_once('\t').unwrap();
        let found = match name {
            "poisson_log_likelihood" => &poisson["log_likelihood"],
            "poisson_deviance" => &poisson["deviance"],
            "poisson_residual_df" => &poisson["residual_df"],
            "poisson_lr" => &poisson["treatment_test"]["statistic"],
            other => panic!("{other} is not looked at"),
        };
        let (found, sought) = (found.as_f64().unwrap(), sought.parse::<f64>().unwrap());
        // Both stop where the deviance changes by less than one part in 10^14; statsmodels is written to 12 digits.
        assert!(
            (found - sought).abs() <= 1e-9 * sought.abs(),
            "{name}: {found}, not {sought}"
        );
    }
}

/// A Latin square as a table, its count by row, column and treatment.
fn square(order: usize, of: impl Fn(usize, usize, usize) -> usize) -> serde_json::Value {
    let mut table = "row,column,treatment,count\n".to_owned();
    for row in 0..order {
        for column in 0..order {
            let treatment = (row + column) % order;
            let count = of(row, column, treatment);
            writeln!(table, "{row},{column},T{treatment},{count}").unwrap();
        }
    }
    let scratch = Scratch::empty();
    scratch.put("square.csv", table);
    let words = "--json judge --counts square.csv --count count --treatment treatment --control T0 --row row --column column";
    let run = scratch.run(&words.split(' ').collect::<Vec<_>>());
    assert_eq!(run.code(), Some(0), "{}", run.err());
    run.json()["result"].clone()
}

/// All 576 squares of order 4 are counted, and no p-value falls below the smallest that they can give.
#[test]
fn every_square_of_order_four_is_counted() {
    let result = square(4, |row, column, treatment| {
        10 + 2 * row + column + [60, 0, 3, 5][treatment]
    });
    let set = &result["randomisation"];
    assert_eq!(
        (&set["exact"], &set["drawn"]),
        (&true.into(), &576.0.into())
    );
    assert_eq!(set["smallest_p"].as_f64(), Some(4.0 / 576.0));
    for contrast in result["contrasts"].as_array().unwrap() {
        let p = contrast["p_randomisation"].as_f64().unwrap();
        let squares = p * 576.0;
        assert!(
            p >= 4.0 / 576.0 && (squares - squares.round()).abs() < 1e-9,
            "{p}"
        );
    }
}

/// A square of order 6 from a table is judged by the test that its design has in a seal, where two letters in place leave
/// one square in 200 000.
#[test]
fn a_table_and_a_seal_have_one_headline_test() {
    let result = square(6, |row, column, treatment| {
        10 + row + column + 2 * treatment
    });
    let smallest = result["randomisation"]["smallest_p"].as_f64().unwrap();
    let design = halfgreen::design::allocation::Scheme {
        randomisation: std::sync::Arc::new(halfgreen::design::allocation::Square { order: 6 }),
        lines: Vec::new(),
        positions: halfgreen::design::allocation::Positions::default(),
        blocks: vec![(0..36).collect()],
        treatments: 6,
        control: 0,
    };
    let sealed = halfgreen::design::allocation::attainable_p(&design).unwrap();
    assert_eq!(smallest, sealed.of_the_test());
    assert!(smallest > 5e-6 && smallest < 2e-5, "{smallest}");
    assert_eq!(result["primary_test"], "model");
}
