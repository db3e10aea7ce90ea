//! Effects that differ from group to group: what each inference space claims, each group by itself, and the spread.

use halfgreen_analysis::comparison::{
    BlockStructure, Call, InferenceSpace, PlotTable, PrimaryTest, Settings, compare,
    effects_by_group,
};
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};

use super::HALF;

/// Blocks of several plots: those of the control, then those of the method.
fn blocks(counts: &[[&[u64]; 2]]) -> (PlotTable, Factor) {
    let mut rows: Vec<(u64, &str, String)> = Vec::new();
    for (block, treatments) in counts.iter().enumerate() {
        for (name, plots) in ["C", "S"].into_iter().zip(treatments) {
            rows.extend(plots.iter().map(|&y| (y, name, block.to_string())));
        }
    }
    let labels: Vec<&str> = rows.iter().map(|r| r.1).collect();
    let names: Vec<&str> = rows.iter().map(|r| r.2.as_str()).collect();
    let block = Factor::from_labels("block", &names, None);
    let table = PlotTable {
        counts: rows.iter().map(|r| r.0).collect(),
        exposure: vec![1.0; rows.len()],
        treatment: Factor::from_labels("treatment", &labels, Some("C")),
        block_structure: BlockStructure::Blocks(block.clone()),
        inference: InferenceSpace::Narrow,
        before: None,
    };
    (table, block)
}

fn settings(block: &Factor) -> Settings {
    Settings {
        scheme: Some(Scheme::blocks(&block.codes)),
        primary_test: None,
        randomisation: RandomisationSettings::default(),
    }
}

/// A method that worked in two blocks of four: true of these blocks, no finding about others.
#[test]
fn what_holds_in_these_blocks_need_not_hold_in_others() {
    let (mut table, block) = blocks(&[
        [&[30, 26, 34], &[4, 6, 3]],
        [&[22, 25, 19], &[3, 2, 5]],
        [&[28, 31, 24], &[27, 30, 25]],
        [&[20, 18, 24], &[21, 19, 22]],
    ]);
    let these = compare(&table, &HALF, &settings(&block)).unwrap();
    assert_eq!(these.contrasts[0].call, Call::BeatTheControl);
    table.inference = InferenceSpace::Broad(block.clone());
    let like_these = compare(&table, &HALF, &settings(&block)).unwrap();
    let c = &like_these.contrasts[0];
    assert_eq!(c.call, Call::CannotTell);
    // Three, and hardly less for variances that are hardly unlike.
    assert!(c.df > 2.99 && c.df <= 3.0, "{}", c.df);
    assert!(c.interval.high > 1.0 && c.interval.low < these.contrasts[0].interval.low);
    // The draw tells of these blocks only: it stands beside the model test, and never leads.
    assert_eq!(like_these.primary_test, PrimaryTest::Model);
    assert_eq!(c.p_randomisation, these.contrasts[0].p_randomisation);

    let found = effects_by_group(&table, &block, 0.05).unwrap();
    let ratios: Vec<f64> = found.effects.iter().filter_map(|e| e.ratio).collect();
    for (ratio, own) in ratios
        .iter()
        .zip([13.0 / 90.0, 10.0 / 66.0, 82.0 / 83.0, 1.0])
    {
        assert!((ratio / own - 1.0).abs() < 0.05, "{ratio} {own}");
    }
    for (effect, works) in found.effects.iter().zip([true, true, false, false]) {
        assert_eq!(effect.interval.high < 1.0, works, "{effect:?}");
    }
    let spread = &found.spreads[0];
    assert!(spread.p < 0.001 && spread.interval.low > 0.3, "{spread:?}");
    // Standard deviation of the four log ratios as counted.
    assert!((spread.sd - 1.11).abs() < 0.25, "{spread:?}");
}

/// With equal blocks Wald's interval is that of the balanced analysis of variance: the variance is as (F / quantile - 1).
/// Quantiles of F on 2 and 6 degrees of freedom by scipy 1.11: 7.259855680 above, 0.02542494 below.
#[test]
fn with_equal_blocks_the_spread_is_that_of_the_balanced_analysis() {
    let (table, block) = blocks(&[
        [&[40, 52], &[4, 8]],
        [&[34, 38], &[14, 18]],
        [&[44, 56], &[1, 3]],
    ]);
    let found = effects_by_group(&table, &block, 0.05).unwrap();
    let spread = &found.spreads[0];
    assert_eq!(spread.df, (2, 6));
    let expected = |quantile: f64| ((spread.f / quantile - 1.0) / (spread.f - 1.0)).sqrt();
    for (limit, quantile) in [
        (spread.interval.low, 7.259_855_680),
        (spread.interval.high, 0.025_424_94),
    ] {
        let ratio = limit / spread.sd;
        assert!(
            (ratio / expected(quantile) - 1.0).abs() < 1e-5,
            "{ratio} {spread:?}"
        );
    }
}

/// Nothing differs: no spread, and its upper limit still says what could be.
#[test]
fn an_effect_alike_everywhere_has_a_spread_of_nothing() {
    let same: [&[u64]; 2] = [&[20, 30, 26], &[10, 15, 12]];
    let (table, block) = blocks(&[same; 4]);
    let spread = effects_by_group(&table, &block, 0.05)
        .unwrap()
        .spreads
        .remove(0);
    assert!(spread.f < 1e-9 && spread.p > 0.999);
    assert_eq!((spread.sd, spread.interval.low), (0.0, 0.0));
}

/// Without replicates nothing tells a block's effect from its plots; a block without the control tells nothing of its own.
#[test]
fn groups_that_cannot_be_told_are_left_out() {
    let (table, block) = blocks(&[[&[20], &[5]], [&[30], &[9]], [&[16], &[3]]]);
    let found = effects_by_group(&table, &block, 0.05).unwrap();
    assert!(found.spreads.is_empty());
    assert_eq!(found.effects.len(), 3);
    assert!(found.effects.iter().all(|e| e.interval.high.is_infinite()));
    let (table, block) = blocks(&[[&[20, 22], &[5, 9]], [&[], &[9, 4]], [&[16, 18], &[3, 6]]]);
    let found = effects_by_group(&table, &block, 0.05).unwrap();
    let groups: Vec<&str> = found.effects.iter().map(|e| e.group.as_str()).collect();
    assert_eq!(groups, ["0", "2"]);
    let (table, block) = blocks(&[[&[0, 0], &[0, 0]], [&[0, 0], &[0, 0]], [&[0, 0], &[0, 0]]]);
    let found = effects_by_group(&table, &block, 0.05).unwrap();
    assert!(found.spreads.is_empty() && found.effects.iter().all(|e| e.ratio.is_none()));
}

#[test]
fn split_plots_are_about_their_own_groups() {
    let (mut table, block) = blocks(&[[&[20, 22], &[5, 9]], [&[20, 22], &[5, 9]]]);
    table.block_structure = BlockStructure::SplitPlot([block.clone(), block.clone()]);
    table.inference = InferenceSpace::Broad(block.clone());
    assert!(compare(&table, &HALF, &settings(&block)).is_err());
}
