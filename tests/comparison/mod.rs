//! The headline comparison: defined answers at the edges, published data, what must hold for any data.

mod by_group;
mod factorial;
mod factorial_levels;
mod headline;
mod means;
mod own_k;
mod second_maxima;

use halfgreen_analysis::comparison::{
    Better, BlockStructure, Call, InferenceSpace, PlotTable, PreparedTest, PrimaryTest, Question,
    Settings, compare,
};
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};

const HALF: Question = Question {
    alpha: 0.05,
    better: Better::Fewer,
    worthwhile_ratio: 0.5,
};

/// Pairs of (control, treated) counts.
pub(crate) fn pairs(counts: &[(u64, u64)]) -> (PlotTable, Settings) {
    let labels: Vec<&str> = counts.iter().flat_map(|_| ["C", "S"]).collect();
    let blocks: Vec<String> = (0..counts.len())
        .flat_map(|b| [b.to_string(), b.to_string()])
        .collect();
    let block = Factor::from_labels("block", &blocks, None);
    let settings = Settings {
        scheme: Some(Scheme::blocks(&block.codes)),
        primary_test: None,
        randomisation: RandomisationSettings::default(),
    };
    let table = PlotTable {
        counts: counts.iter().flat_map(|&(c, s)| [c, s]).collect(),
        exposure: vec![1.0; labels.len()],
        treatment: Factor::from_labels("treatment", &labels, Some("C")),
        block_structure: BlockStructure::Blocks(block),
        inference: InferenceSpace::Narrow,
        before: None,
    };
    (table, settings)
}

#[test]
fn one_pair_allows_no_test() {
    let (table, settings) = pairs(&[(40, 2)]);
    let found = compare(&table, &HALF, &settings).unwrap();
    let c = &found.contrasts[0];
    assert_eq!((c.p_model, c.p_model_adjusted), (1.0, 1.0));
    assert_eq!(c.p_randomisation.unwrap().value, 1.0);
    assert_eq!((c.interval.low, c.interval.high), (0.0, f64::INFINITY));
    assert_eq!(c.call, Call::CannotTell);
    assert!(found.cautions.iter().any(|c| c.code == "no-test-possible"));
}

#[test]
fn a_perfect_treatment_has_a_bound() {
    let (table, settings) = pairs(&[(8, 0), (3, 0), (12, 0), (1, 0), (6, 0), (20, 0), (9, 0)]);
    let found = compare(&table, &HALF, &settings).unwrap();
    let c = &found.contrasts[0];
    assert_eq!(found.primary_test, PrimaryTest::Model);
    assert_eq!(c.ratio, Some(0.0));
    assert_eq!(c.interval.low, 0.0);
    assert!(c.interval.high > 0.005 && c.interval.high < 0.5, "{c:?}");
    assert_eq!(c.p_randomisation.unwrap().value, 2.0 / 128.0);
    assert!(c.p_model < 0.01);
    assert_eq!(c.call, Call::BeatTheControl);
    // The other way round: an empty control.
    let turned: Vec<(u64, u64)> = [8, 3, 12, 1, 6, 20, 9].map(|y| (0, y)).to_vec();
    let (table, settings) = pairs(&turned);
    let c = compare(&table, &HALF, &settings)
        .unwrap()
        .contrasts
        .remove(0);
    assert_eq!(
        (c.ratio, c.interval.high),
        (Some(f64::INFINITY), f64::INFINITY)
    );
    assert!(c.interval.low > 2.0);
    assert_eq!(c.call, Call::DidWorse);
}

#[test]
fn nothing_found_anywhere() {
    let (table, settings) = pairs(&[(0, 0); 6]);
    let found = compare(&table, &HALF, &settings).unwrap();
    let c = &found.contrasts[0];
    assert_eq!((c.ratio, c.p_model, c.call), (None, 1.0, Call::CannotTell));
    assert_eq!((c.interval.low, c.interval.high), (0.0, f64::INFINITY));
    assert!(found.cautions.iter().any(|c| c.code == "all-zero"));
}

#[test]
fn few_pairs_rest_on_the_model_and_many_on_the_draw() {
    let counts = [
        (20, 3),
        (14, 5),
        (31, 6),
        (9, 1),
        (17, 2),
        (25, 7),
        (12, 4),
        (22, 3),
    ];
    let (table, settings) = pairs(&counts[..4]);
    let four = compare(&table, &HALF, &settings).unwrap();
    assert_eq!(four.primary_test, PrimaryTest::Model);
    assert_eq!(four.contrasts[0].smallest_attainable_p, Some(0.125));
    assert_eq!(four.contrasts[0].call, Call::BeatTheControl);
    let (table, settings) = pairs(&[counts, counts].concat()[..12]);
    let twelve = compare(&table, &HALF, &settings).unwrap();
    assert_eq!(twelve.primary_test, PrimaryTest::Model);
    let p = twelve.contrasts[0].p_randomisation.unwrap();
    assert_eq!(p.value, 2.0 / 4096.0);
    let (table, settings) = pairs(&[counts; 6].concat()[..41]);
    let many = compare(&table, &HALF, &settings).unwrap();
    assert_eq!(many.primary_test, PrimaryTest::Randomisation);
}

/// A verdict never contradicts its interval, whichever test leads.
#[test]
fn verdict_and_interval_agree() {
    let mut random = halfgreen_analysis::random::Generator::new(5, 0);
    let mut found = [0; 4];
    for trial in 0..400 {
        let pairs_of = 3 + 2 * usize::try_from(trial % 6).unwrap();
        let treated = [1.0, 0.5, 0.2, 0.9][usize::try_from(trial % 4).unwrap()];
        let counts: Vec<(u64, u64)> = (0..pairs_of)
            .map(|_| {
                let draw = |g: &mut _, m| {
                    halfgreen_analysis::distributions::negative_binomial::draw(g, m, 2.0)
                };
                (draw(&mut random, 12.0), draw(&mut random, 12.0 * treated))
            })
            .collect();
        let (table, settings) = pairs(&counts);
        let c = compare(&table, &HALF, &settings)
            .unwrap()
            .contrasts
            .remove(0);
        let any_settings = settings.clone();
        let screen = PreparedTest::new(table.clone(), HALF, settings).unwrap();
        let called = screen.call(&table.counts).unwrap();
        assert_eq!(called.calls, [c.call], "{counts:?}");
        let alone = screen.call_of(&table.counts, 1).unwrap();
        assert_eq!(alone, c.call, "{counts:?}");
        // Where no reduction is too small to matter, what the exact test leaves open needs no fit.
        let any = Question {
            worthwhile_ratio: f64::INFINITY,
            ..HALF
        };
        let any = PreparedTest::new(table.clone(), any, any_settings).unwrap();
        let both = any.call(&table.counts).unwrap().calls[0];
        assert_eq!(any.call_of(&table.counts, 1).unwrap(), both, "{counts:?}");
        assert!(c.interval.low <= c.interval.high, "{counts:?}");
        let ratio = c.ratio.unwrap_or(1.0);
        assert!(c.interval.contains(ratio), "{counts:?} {c:?}");
        match c.call {
            Call::BeatTheControl => assert!(c.interval.high <= 1.0, "{counts:?} {c:?}"),
            Call::DidWorse => assert!(c.interval.low >= 1.0, "{counts:?} {c:?}"),
            Call::TooSmallToMatter => {
                assert!(
                    c.interval.low > 0.5 && c.interval.contains(1.0),
                    "{counts:?} {c:?}"
                );
            }
            Call::CannotTell => {
                assert!(
                    c.interval.contains(1.0) && c.interval.contains(0.5)
                        || c.interval.high < 1.0 + 1e-12,
                    "{counts:?} {c:?}"
                );
            }
        }
        found[c.call as usize] += 1;
    }
    assert!(found[0] > 50 && found[3] > 50, "{found:?}");
}

/// Relabelling blocks, reordering plots and changing the unit of area change nothing.
#[test]
fn names_order_and_units_do_not_matter() {
    let (table, settings) = pairs(&[(20, 3), (14, 5), (31, 6), (9, 1), (17, 12)]);
    let a = compare(&table, &HALF, &settings).unwrap();
    let mut turned = table;
    turned.counts.reverse();
    turned.treatment.codes.reverse();
    turned.exposure = vec![0.0079; 10];
    let BlockStructure::Blocks(block) = &mut turned.block_structure else {
        unreachable!()
    };
    block.codes.reverse();
    let b = compare(&turned, &HALF, &settings).unwrap();
    let (a, b) = (&a.contrasts[0], &b.contrasts[0]);
    assert!((a.p_model - b.p_model).abs() < 1e-6, "{a:?} {b:?}");
    assert!((a.interval.high / b.interval.high - 1.0).abs() < 1e-5);
    assert_eq!(a.p_randomisation, b.p_randomisation);
}

#[test]
fn huge_counts_and_uneven_blocks_are_answered() {
    let (mut table, settings) = pairs(&[
        (1_000_000, 400_000),
        (900_000, 500_000),
        (1_200_000, 300_000),
        (800_000, 390_000),
    ]);
    let c = compare(&table, &HALF, &settings)
        .unwrap()
        .contrasts
        .remove(0);
    assert_eq!(c.call, Call::BeatTheControl);
    assert!((c.ratio.unwrap() - 0.4).abs() < 0.05);
    // One plot of the first pair was never counted.
    table.counts.remove(0);
    table.exposure.remove(0);
    table.treatment.codes.remove(0);
    let BlockStructure::Blocks(block) = &mut table.block_structure else {
        unreachable!()
    };
    block.codes.remove(0);
    let scheme = Scheme::blocks(&block.codes);
    let settings = Settings {
        scheme: Some(scheme),
        ..settings
    };
    let found = compare(&table, &HALF, &settings).unwrap();
    assert_eq!(found.contrasts[0].smallest_attainable_p, Some(0.25));
    assert_eq!(found.df, 2);
}

/// Lopsided trials on which a search once crept, or leapt to and fro over a scatter of zero.
#[test]
fn searches_settle_on_lopsided_pairs() {
    for counts in [[(0, 0), (38, 111), (0, 0)], [(46, 75), (119, 19), (0, 64)]] {
        let (table, settings) = pairs(&counts);
        let found = compare(&table, &HALF, &settings).unwrap();
        assert!(found.cautions.iter().all(|c| c.code != "not-converged"));
        assert_eq!(found.contrasts[0].call, Call::CannotTell);
    }
}

/// Five thousand plots are no field trial, but a table may hold them: in ten blocks and on open ground, the
/// answer is that of the plain likelihood, for k is known and the law of t is normal.
#[test]
fn five_thousand_plots_are_compared() {
    let mut generator = halfgreen_analysis::random::Generator::new(5, 0);
    let mut draw =
        |m: f64| halfgreen_analysis::distributions::negative_binomial::draw(&mut generator, m, 1.0);
    let counts: Vec<u64> = (0..5_000)
        .map(|plot| draw(if plot % 2 == 0 { 8.0 } else { 4.0 }))
        .collect();
    let label = |of: &dyn Fn(usize) -> String| (0..5_000).map(of).collect::<Vec<_>>();
    let treatment = Factor::from_labels("treatment", &label(&|p| (p % 2).to_string()), Some("0"));
    let block = Factor::from_labels("block", &label(&|p| (p / 500).to_string()), None);
    for layout in [BlockStructure::Unblocked, BlockStructure::Blocks(block)] {
        let table = PlotTable {
            counts: counts.clone(),
            exposure: vec![1.0; 5_000],
            treatment: treatment.clone(),
            block_structure: layout,
            inference: InferenceSpace::Narrow,
            before: None,
        };
        let settings = Settings {
            scheme: None,
            primary_test: None,
            randomisation: RandomisationSettings::default(),
        };
        let found = compare(&table, &HALF, &settings).unwrap();
        let c = &found.contrasts[0];
        let means = [0, 1].map(|t| {
            let plots = (0..5_000).filter(|p| p % 2 == t);
            plots.map(|p| counts[p] as f64).sum::<f64>() / 2_500.0
        });
        assert!((c.ratio.unwrap() / (means[1] / means[0]) - 1.0).abs() < 1e-3);
        // Standard error of the log ratio of means, sqrt((1/m + 1/k) / n) each, k = 1.
        let half = (c.interval.high / c.interval.low).ln() / (2.0 * 1.96);
        let efficient = means
            .map(|m| (1.0 / m + 1.0) / 2_500.0)
            .iter()
            .sum::<f64>()
            .sqrt();
        // The scale gives up some of the information that clumped counts hold.
        assert!(
            half > 0.95 * efficient && half < 1.2 * efficient,
            "{half} {efficient}"
        );
    }
}
