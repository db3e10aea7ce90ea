//! Main effects and interactions of crossed factors.

use halfgreen_analysis::comparison::{
    BlockStructure, Call, Contrast, Factorial, InferenceSpace, PlotTable, PrimaryTest, Settings,
    compare, factorial,
};
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};

use super::HALF;

/// A table of two factors: for each plot its count, its level of each, and its block.
pub(crate) fn crossed(
    plots: &[(u64, usize, usize, usize)],
    of: [usize; 2],
) -> (PlotTable, Vec<Factor>, Settings) {
    let factor = |name: &str, levels: usize, codes: Vec<usize>| Factor {
        name: name.to_owned(),
        levels: (0..levels).map(|l| l.to_string()).collect(),
        codes,
    };
    let blocks: Vec<usize> = plots.iter().map(|p| p.3).collect();
    let number = blocks.iter().max().unwrap() + 1;
    let treatments = plots.iter().map(|p| p.1 * of[1] + p.2).collect();
    let table = PlotTable {
        counts: plots.iter().map(|p| p.0).collect(),
        exposure: vec![1.0; plots.len()],
        treatment: factor("treatment", of[0] * of[1], treatments),
        block_structure: if number == 1 {
            BlockStructure::Unblocked
        } else {
            BlockStructure::Blocks(factor("block", number, blocks.clone()))
        },
        inference: InferenceSpace::Narrow,
        before: None,
    };
    let factors = vec![
        factor("first", of[0], plots.iter().map(|p| p.1).collect()),
        factor("second", of[1], plots.iter().map(|p| p.2).collect()),
    ];
    let settings = Settings {
        scheme: Some(Scheme::blocks(&blocks)),
        primary_test: Some(PrimaryTest::Model),
        randomisation: RandomisationSettings::default(),
    };
    (table, factors, settings)
}

/// Blocks of four: neither, the second alone, the first alone, both.
pub(crate) fn blocks_of_four(counts: &[[u64; 4]]) -> (PlotTable, Vec<Factor>, Settings) {
    let plots: Vec<_> = counts
        .iter()
        .enumerate()
        .flat_map(|(block, four)| (0..4).map(move |t| (four[t], t / 2, t % 2, block)))
        .collect();
    crossed(&plots, [2, 2])
}

/// Ten plots with the first factor hold 28, ten without hold 145.
const SHEETS: [[u64; 4]; 5] = [
    [22, 9, 3, 1],
    [8, 18, 7, 1],
    [12, 6, 1, 5],
    [9, 30, 2, 2],
    [17, 14, 4, 2],
];

fn answer(counts: &[[u64; 4]]) -> Factorial {
    let (table, factors, settings) = blocks_of_four(counts);
    factorial(&table, &factors, &HALF, &settings).unwrap()
}

/// The plain test that a reader would make by hand: t of the by-block log ratios of the totals is -7.10 on 4 degrees of
/// freedom, p 0.002 (paired t test by hand).
#[test]
fn a_factor_is_told_over_the_levels_of_the_other() {
    let ratios: Vec<f64> = SHEETS
        .iter()
        .map(|b| ((b[2] + b[3]) as f64 / (b[0] + b[1]) as f64).ln())
        .collect();
    let mean = ratios.iter().sum::<f64>() / 5.0;
    let squares: f64 = ratios.iter().map(|r| (r - mean).powi(2)).sum();
    let t = mean / (squares / 4.0 / 5.0).sqrt();
    assert!((t + 7.10).abs() < 0.01, "{t}");

    let found = answer(&SHEETS);
    let sheets = &found.main_effects[0].contrast;
    assert_eq!(sheets.call, Call::BeatTheControl);
    assert!(sheets.p_model_adjusted < 0.002, "{sheets:?}");
    let ratio = sheets.ratio.unwrap();
    assert!((ratio.ln() - mean).abs() < 0.25, "{ratio}");
    assert!(sheets.interval.low < mean.exp() && mean.exp() < sheets.interval.high);
    assert!(sheets.interval.high < 0.5, "{:?}", sheets.interval);
    // Every plot is used: 12 degrees of freedom, where the by-block ratios have 4.
    assert!(sheets.df > 9.0 && sheets.df <= 12.0, "{}", sheets.df);
    let slits = &found.main_effects[1].contrast;
    assert_eq!(slits.call, Call::CannotTell);
    assert_eq!(found.alpha_of_each, 0.025);
}

/// Breaks of yarn under 2 wools and 3 tensions (Tippett 1950, "Technological Applications of Statistics"; `warpbreaks` in
/// R). For each effect R 4.2.2 fits MASS 7.3's negative binomial without it, transforms the counts with the k found, takes
/// their expectations off, and gives lm's t of the column (`tests/reference/make_factorial.R`).
#[test]
fn yarn_agrees_with_an_analysis_of_variance_of_transformed_counts() {
    let breaks = [
        26, 30, 54, 25, 70, 52, 51, 26, 67, 18, 21, 29, 17, 12, 18, 35, 30, 36, 36, 21, 24, 18, 10,
        43, 28, 15, 26, 27, 14, 29, 19, 29, 31, 41, 20, 44, 42, 26, 19, 16, 39, 28, 21, 39, 29, 20,
        21, 24, 17, 13, 15, 15, 16, 28,
    ];
    let plots: Vec<_> = (0..54).map(|i| (breaks[i], i / 27, i / 9 % 3, 0)).collect();
    let (table, factors, settings) = crossed(&plots, [2, 3]);
    let found = factorial(&table, &factors, &HALF, &settings).unwrap();
    let close = |found: Option<f64>, sought: f64| {
        let found = found.unwrap();
        assert!(
            (found - sought).abs() < 1e-4 * sought.abs(),
            "{found} {sought}"
        );
    };
    let main: Vec<_> = found.main_effects.iter().map(|e| &e.contrast).collect();
    // R's error is the plain mean square within combinations; each level's mean stands on so many plots.
    let plain = |c: &Contrast, plots: f64| {
        let residuals = &c.at_no_effect.residuals;
        let squares: f64 = (residuals.chunks(9))
            .map(|cell| {
                let mean = cell.iter().sum::<f64>() / 9.0;
                cell.iter().map(|r| (r - mean).powi(2)).sum::<f64>()
            })
            .sum();
        Some(c.difference / (squares / 48.0 * 2.0 / plots).sqrt())
    };
    let mut alike = 0;
    for (c, plots, t) in [
        (main[0], 27.0, -1.646_065_026),
        (main[1], 18.0, -2.405_109_095),
        (main[2], 18.0, -3.969_384_219),
    ] {
        // Where levels are told apart by k, their scores are no longer R's.
        if c.at_no_effect.skewness == 0.0 {
            close(plain(c, plots), t);
            alike += 1;
        }
    }
    assert_eq!(alike, 2);
    // The test shares the error out by the variance that the model expects, hardly unlike from one combination to another.
    assert!(main.iter().all(|c| c.df > 45.0 && c.df <= 48.0));
    let near = |found: Option<f64>, sought: f64| {
        assert!(
            (found.unwrap() / sought - 1.0).abs() < 0.06,
            "{found:?} {sought}"
        );
    };
    near(main[0].t, -1.646_065_026);
    near(main[1].t, -2.405_109_095);
    near(main[2].t, -3.969_384_219);
    near(found.interactions[0].t, 2.597_755_475);
    near(found.interactions[1].t, 0.823_459_510);
    // Where every combination has as many plots, the saturated model's means are those of the counts.
    let sums = [401.0_f64, 216.0, 221.0, 254.0, 259.0, 169.0];
    let wool = (0..3).map(|i| (sums[i + 3] / sums[i]).ln()).sum::<f64>() / 3.0;
    close(main[0].ratio, wool.exp());
    close(found.interactions[0].ratio, 259.0 / 216.0 * 401.0 / 254.0);
}

/// By hand: within each block, the two plots of a level of the second factor change places: 2^10 allocations, of which the
/// one drawn and its mirror image lie furthest out.
#[test]
fn plots_alike_in_the_other_factor_change_places() {
    let counts: Vec<[u64; 4]> = (0..5).map(|b| [20 + b, 30 + b, 2, 3]).collect();
    let found = answer(&counts);
    let first = &found.main_effects[0].contrast;
    assert_eq!(first.smallest_attainable_p, Some(2.0 / 1024.0));
    assert_eq!(first.p_randomisation.unwrap().value, 2.0 / 1024.0);
    assert_eq!(first.p_randomisation_adjusted, Some(4.0 / 1024.0));
}

/// Whatever order the factors are named in, the answers are the same.
#[test]
fn the_order_of_factors_does_not_matter() {
    let (table, factors, settings) = blocks_of_four(&SHEETS);
    let turned: Vec<Factor> = factors.iter().rev().cloned().collect();
    let one = factorial(&table, &factors, &HALF, &settings).unwrap();
    let other = factorial(&table, &turned, &HALF, &settings).unwrap();
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-6 * b.abs(), "{a} {b}");
    near(
        one.main_effects[0].contrast.t.unwrap(),
        other.main_effects[1].contrast.t.unwrap(),
    );
    near(
        one.interactions[0].ratio.unwrap(),
        other.interactions[0].ratio.unwrap(),
    );
    near(one.interactions[0].p, other.interactions[0].p);
}

#[test]
fn an_empty_combination_leaves_factors_that_multiply() {
    let counts: Vec<[u64; 4]> = SHEETS.iter().map(|b| [b[0], b[1], b[2], 0]).collect();
    let found = answer(&counts);
    assert!(found.cautions.iter().any(|c| c.code == "factors-multiply"));
    let first = &found.main_effects[0].contrast;
    assert!(first.ratio.unwrap() > 0.0, "{first:?}");
    assert_eq!(first.call, Call::BeatTheControl);
    assert_eq!(found.interactions[0].ratio, None);
    assert!(found.interactions[0].p > 0.0);

    let none = answer(&[[0; 4]; 5]);
    assert!(none.cautions.is_empty());
    for effect in &none.main_effects {
        assert_eq!(
            (effect.contrast.ratio, effect.contrast.call),
            (None, Call::CannotTell)
        );
    }
    let wiped: Vec<[u64; 4]> = SHEETS.iter().map(|b| [b[0], b[1], 0, 0]).collect();
    let wiped = &answer(&wiped).main_effects[0].contrast;
    assert_eq!((wiped.ratio, wiped.interval.low), (Some(0.0), 0.0));
    assert!(wiped.interval.high < 0.3, "{:?}", wiped.interval);
}

#[test]
fn all_plots_speak_for_a_main_effect() {
    let (table, factors, settings) = blocks_of_four(&SHEETS);
    let found = factorial(&table, &factors, &HALF, &settings).unwrap();
    // The control against the first factor alone has half the plots, and knows less.
    let alone = compare(&table, &HALF, &settings).unwrap();
    let width = |low: f64, high: f64| (high / low).ln();
    let over = found.main_effects[0].contrast.interval;
    let of = alone.contrasts[1].interval;
    assert!(width(over.low, over.high) < width(of.low, of.high));
}

#[test]
fn factors_that_do_not_make_the_treatments_are_refused() {
    let (table, factors, settings) = blocks_of_four(&SHEETS);
    let refused = |factors: &[Factor]| {
        let error = factorial(&table, factors, &HALF, &settings).unwrap_err();
        error.to_string()
    };
    assert!(refused(&factors[..1]).contains("two or more"));
    let twice = [factors[0].clone(), factors[0].clone()];
    assert!(refused(&twice).contains("combination"));
    let mut short = factors.clone();
    short[1].codes.pop();
    assert!(refused(&short).contains("every plot"));
    let mut mixed = factors;
    mixed[1].codes[0] = 1;
    assert!(refused(&mixed).contains("different levels"));
}
