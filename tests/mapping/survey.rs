//! The invented survey of `data-examples/ground-survey`, made anew from its stated truth.
#![expect(
    clippy::disallowed_methods,
    reason = "the files among the examples are compared, and written where that is asked for"
)]

use std::fmt::Write;

use halfgreen::area::read_csv;
use halfgreen_analysis::distributions::{negative_binomial, normal_quantile};
use halfgreen_analysis::random::Generator;

use crate::scratch::example;

/// The truth behind `cores.csv`, five cores at each place: larvae double with each 10 percentage points of moisture; shade does nothing.
const MEAN_AT_25: f64 = 5.0;
const FOR_TEN: f64 = 2.0;
const K: f64 = 4.0;
const SPACING_M: f64 = 2.5;
/// And behind `holes.csv`: broods of four on average, scattered by 0.2 m round their middles.
const BROODS: u32 = 16;
const BROOD: f64 = 4.0;
const SCATTER_M: f64 = 0.2;
const SEED: u64 = 20260924;
/// The sheet that was lifted: its edge follows the green's at one end.
const SHEET: &str = "x_m,y_m\n0,0\n9.4,0\n8.8,1.1\n8,2\n0,2\n";

/// The middle of a cell of 2^53 on (0, 1), as a normal deviate: never infinite.
fn normal(g: &mut Generator) -> f64 {
    normal_quantile(g.unit() + 0.5 / 2_f64.powi(53))
}

/// Moisture: a wet hollow in the south-west, a damp corner in the north-east, and unevenness from place to place.
fn moisture(x: f64, y: f64, g: &mut Generator) -> f64 {
    let hill = |at: (f64, f64), width: f64| {
        (-((x - at.0).powi(2) + (y - at.1).powi(2)) / width.powi(2)).exp()
    };
    let level = 18.0 + 22.0 * hill((7.0, 6.0), 7.0) + 10.0 * hill((26.0, 16.0), 5.0);
    (10.0 * (level + 1.5 * normal(g))).round() / 10.0
}

fn cores() -> String {
    let outline = read_csv("outline.csv", &example("demo-club/outline.csv")).unwrap();
    let mut g = Generator::new(SEED, 0);
    let mut text = "x_m,y_m,larvae,moisture_pct,shade\n".to_owned();
    for k in 0..9 * 14 {
        let (x, y) = (
            SPACING_M.mul_add(f64::from(k % 14), 0.5),
            SPACING_M.mul_add(f64::from(k / 14), 0.75),
        );
        if !outline.contains(x, y) || outline.distance_to_edge_m(x, y) < 0.3 {
            continue;
        }
        let wet = moisture(x, y, &mut g);
        let shade = if x + y > 38.0 { "trees" } else { "open" };
        let mean = MEAN_AT_25 * FOR_TEN.powf((wet - 25.0) / 10.0);
        let larvae = negative_binomial::draw(&mut g, mean, K);
        writeln!(text, "{x},{y},{larvae},{wet},{shade}").unwrap();
    }
    text
}

fn holes() -> String {
    let sheet = read_csv("sheet.csv", SHEET).unwrap();
    let mut g = Generator::new(SEED, 1);
    let mut text = "x_m,y_m\n".to_owned();
    for _ in 0..BROODS {
        let middle = (9.4 * g.unit(), 2.0 * g.unit());
        for _ in 0..negative_binomial::draw(&mut g, BROOD, f64::INFINITY) {
            let near = |at: f64, g: &mut Generator| {
                (100.0 * SCATTER_M.mul_add(normal(g), at)).round() / 100.0
            };
            let (x, y) = (near(middle.0, &mut g), near(middle.1, &mut g));
            if sheet.contains(x, y) {
                writeln!(text, "{x},{y}").unwrap();
            }
        }
    }
    text
}

#[test]
fn the_examples_are_what_their_truth_gives() {
    let folder =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../data-examples/ground-survey");
    for (name, made) in [
        ("cores.csv", cores()),
        ("holes.csv", holes()),
        ("sheet.csv", SHEET.to_owned()),
    ] {
        if std::env::var_os("HALFGREEN_REWRITE").is_some() {
            std::fs::write(folder.join(name), &made).unwrap();
        }
        assert_eq!(example(&format!("ground-survey/{name}")), made, "{name}");
    }
}
