//! The invented club's counts, made anew from their stated truth.

use std::fmt::Write;

use halfgreen::area::read_csv;
use halfgreen::design::{Layout, lay_out, read_protocol};
use halfgreen_analysis::distributions::{negative_binomial, normal_quantile};
use halfgreen_analysis::random::Generator;

use crate::scratch::example;

/// The truth behind `data-examples/demo-club/counts.csv`.
const MEAN_PER_CORE: f64 = 2.0;
const WET_HOLLOW: f64 = 1.9;
const PAIR_SD: f64 = 0.35;
const PLOT_SD: f64 = 0.25;
const K_PER_CORE: f64 = 1.5;
const LEFT_BY_SHEETS: f64 = 0.3;
const LEFT_BY_TIME: f64 = 0.9;
const SEED: u64 = 20260918;

/// The layout that the club's seed draws.
pub(super) fn layout() -> Layout {
    let protocol = read_protocol("trial.toml", &example("demo-club/trial.toml")).unwrap();
    let outline = read_csv("outline.csv", &example("demo-club/outline.csv")).unwrap();
    let seed = protocol.protocol.design.seed.unwrap();
    lay_out(&protocol.protocol, &outline, seed).unwrap().layout
}

/// Counts of five cores in every plot, before and after, as the truth gives them.
pub(super) fn counts() -> String {
    let outline = read_csv("outline.csv", &example("demo-club/outline.csv")).unwrap();
    let plots = layout().plots;
    let mut generator = Generator::new(SEED, 0);
    let mut pairs: Vec<Option<String>> = plots.iter().map(|p| p.block.clone()).collect();
    pairs.dedup();
    let pairs: Vec<(Option<String>, f64)> = pairs
        .into_iter()
        .map(|b| (b, log_normal(&mut generator, PAIR_SD)))
        .collect();
    let ground: Vec<f64> = plots
        .iter()
        .map(|p| {
            let pair = pairs.iter().find(|(b, _)| *b == p.block).unwrap().1;
            let wet = outline.zone_of(p.x_m, p.y_m) == Some("wet hollow");
            MEAN_PER_CORE * pair * if wet { WET_HOLLOW } else { 1.0 }
        })
        .collect();
    let mut text = "plot,sample,occasion,date,count,note\n".to_owned();
    for (occasion, date) in [("before", "2026-09-09"), ("main", "2026-09-18")] {
        for (plot, mean) in plots.iter().zip(&ground) {
            let here = mean * log_normal(&mut generator, PLOT_SD);
            let left = match (occasion, plot.treatment.as_str()) {
                ("before", _) => 1.0,
                (_, "C") => LEFT_BY_TIME * LEFT_BY_SHEETS,
                _ => LEFT_BY_TIME,
            };
            for core in 1..=5 {
                let count = negative_binomial::draw(&mut generator, here * left, K_PER_CORE);
                let note = note(&plot.plot, core, occasion);
                writeln!(
                    text,
                    "{},{core},{occasion},{date},{count},{note}",
                    plot.plot
                )
                .unwrap();
            }
        }
    }
    text
}

/// A factor whose log is normal with mean 0.
fn log_normal(generator: &mut Generator, sd: f64) -> f64 {
    // The middle of a cell of 2^53 on (0, 1): never an end.
    let u = generator.unit() + 0.5 / 2_f64.powi(53);
    (sd * normal_quantile(u)).exp()
}

/// What an invented counter might have written beside a core.
fn note(plot: &str, core: usize, occasion: &str) -> &'static str {
    match (plot, core, occasion) {
        ("3", 2, "before") => "water stood in the hole",
        ("7", 1, "main") => "starling holes beside it",
        ("12", 4, "main") => "counted twice",
        _ => "",
    }
}
