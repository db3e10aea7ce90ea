//! Counts on several occasions.

use halfgreen_analysis::counts::{Factor, ModelMatrix};
use halfgreen_analysis::mixed::laplace::RandomEffects;
use halfgreen_analysis::repeated_measures::{
    RepeatedCounts, baci_ratios, change_scores, treatment_by_occasion,
};

use crate::closeness::close;
use crate::closeness::rows::Rows;
use crate::reference::Table;

/// Eelworm cysts before and after fumigation (Cochran & Cox 1957, "Experimental Designs", section 3.2).
fn eelworms() -> RepeatedCounts {
    let table = Table::read("data-examples/published/cochran_eelworms.csv");
    let mut counts = table.counts("initial");
    counts.extend(table.counts("final"));
    let twice = |labels: Vec<String>| [labels.clone(), labels].concat();
    let fumigants = table
        .text("fumigant")
        .into_iter()
        .map(|f| if f == "Con" { "Con" } else { "fumigated" }.to_owned());
    let blocks = table.text("block").into_iter().map(str::to_owned).collect();
    let plots = (0..48).map(|i| i.to_string()).collect();
    let occasions = [vec!["initial"; 48], vec!["final"; 48]].concat();
    RepeatedCounts {
        exposure: vec![1.0; 96],
        treatment: Factor::from_labels("treatment", &twice(fumigants.collect()), Some("Con")),
        occasion: Factor::from_labels("occasion", &occasions, None),
        plot: Factor::from_labels("plot", &twice(plots), None),
        block: Some(Factor::from_labels("block", &twice(blocks), None)),
        counts,
    }
}

fn columns(visits: &RepeatedCounts, crossed: bool) -> ModelMatrix {
    let mut base = ModelMatrix::with_intercept(96).factor(&visits.treatment);
    if crossed {
        let both: Vec<f64> = visits
            .treatment
            .codes
            .iter()
            .zip(&visits.occasion.codes)
            .map(|(&t, &o)| if t * o == 1 { 1.0 } else { 0.0 })
            .collect();
        base = base.covariate("change", &both);
    }
    base.factor(&visits.occasion)
        .factor(visits.block.as_ref().unwrap())
        .build()
        .unwrap()
}

/// The model of a change, by Laplace's approximation as in the reference.
#[test]
fn treatment_by_occasion_by_laplace() {
    let visits = eelworms();
    let offset = vec![0.0; 96];
    let run = |crossed| {
        let matrix = columns(&visits, crossed);
        let plots = [visits.plot.codes.clone()];
        RandomEffects::new(&visits.counts, &offset, &matrix, &plots)
            .unwrap()
            .fit(None, None, false)
    };
    let (full, null) = (run(true), run(false));
    let rows = Rows::read("doubt");
    for (quantity, ours) in [
        ("full.log_likelihood", full.log_likelihood),
        ("null.log_likelihood", null.log_likelihood),
        ("interaction", full.beta[2]),
        ("sigma", full.sigma[0]),
        ("k", 1.0 / full.inverse_k),
    ] {
        rows.row("eelworms", quantity).meet(ours);
    }
}

/// These blocks changed each in their own way, so that block by occasion is taken out.
#[test]
fn change_against_control() {
    let visits = eelworms();
    let change = baci_ratios(&visits, 0.95).unwrap().remove(0);
    let rows = Rows::read("doubt");
    let theirs = |quantity: &str| rows.row("eelworms", quantity).value;
    // Quadrature here, Laplace there: they agree to about the third digit.
    close(
        "ratio",
        change.ratio.unwrap(),
        theirs("by_block.interaction").exp(),
        1e-3,
    );
    assert!(change.interval.contains(change.ratio.unwrap()));
    let tested = treatment_by_occasion(&visits).unwrap();
    let by_hand =
        2.0 * (theirs("by_block.full.log_likelihood") - theirs("by_block.null.log_likelihood"));
    close("likelihood ratio", tested.statistic, by_hand, 1e-2);
    // With two treatments and two occasions both are the same test.
    close("p", tested.p, change.p, 1e-4);
    assert!((change.p < 0.05) != change.interval.contains(1.0));
}

#[test]
fn empty_cells_leave_one_side_open() {
    let mut visits = eelworms();
    for row in 48..96 {
        if visits.treatment.codes[row] == 1 {
            visits.counts[row] = 0;
        }
    }
    let change = baci_ratios(&visits, 0.95).unwrap().remove(0);
    assert_eq!((change.ratio, change.interval.low), (None, 0.0));
    assert!(change.interval.high < 0.5);
    visits.counts = vec![0; 96];
    let change = baci_ratios(&visits, 0.95).unwrap().remove(0);
    assert_eq!((change.p, change.interval.high), (1.0, f64::INFINITY));
    assert_eq!(treatment_by_occasion(&visits).unwrap().p, 1.0);
}

/// A plot missed on one occasion stays in for the other.
#[test]
fn a_plot_missed_once() {
    let mut visits = eelworms();
    visits.counts.pop();
    visits.exposure.pop();
    visits.block.as_mut().unwrap().codes.pop();
    for factor in [
        &mut visits.treatment,
        &mut visits.occasion,
        &mut visits.plot,
    ] {
        factor.codes.pop();
    }
    assert!(treatment_by_occasion(&visits).unwrap().p > 0.0);
}

#[test]
fn scores_are_logs_of_growth() {
    let scores = change_scores(&[0, 9], &[1.0, 1.0], &[0, 4], &[1.0, 2.0]);
    assert_eq!(scores[0], 0.0);
    close("halved twice", scores[1], (4.5_f64 / 2.0 / 9.5).ln(), 1e-12);
}

/// Five blocks of three treatments before and after, the control first.
fn three_treatments() -> RepeatedCounts {
    let before = [
        [9, 14, 11],
        [3, 6, 5],
        [22, 17, 15],
        [8, 9, 13],
        [12, 15, 10],
    ];
    let after = [[11, 9, 6], [4, 3, 3], [19, 10, 9], [10, 5, 8], [9, 12, 6]];
    let rows: Vec<(usize, usize, usize, u64)> = [before, after]
        .iter()
        .enumerate()
        .flat_map(|(on, all)| {
            all.iter().enumerate().flat_map(move |(block, row)| {
                row.iter()
                    .enumerate()
                    .map(move |(t, &count)| (on, block, t, count))
            })
        })
        .collect();
    let factor = |name: &str, codes: Vec<usize>| Factor {
        name: name.to_owned(),
        levels: (0..=codes.iter().copied().max().unwrap_or(0))
            .map(|l| l.to_string())
            .collect(),
        codes,
    };
    RepeatedCounts {
        counts: rows.iter().map(|r| r.3).collect(),
        exposure: vec![1.0; rows.len()],
        occasion: factor("occasion", rows.iter().map(|r| r.0).collect()),
        block: Some(factor("block", rows.iter().map(|r| r.1).collect())),
        treatment: factor("treatment", rows.iter().map(|r| r.2).collect()),
        plot: factor("plot", rows.iter().map(|r| 3 * r.1 + r.2).collect()),
    }
}

/// p of both methods adjusted by the law of two contrasts with one control, from R's mvtnorm: these counts scatter so
/// little that the likelihood ratio decides, whose law has no degrees of freedom to estimate (`tests/reference/make_change_reference.R`, fed with the p alone), and intervals that say the same.
#[test]
fn changes_of_two_methods_are_adjusted() {
    let visits = three_treatments();
    let found = baci_ratios(&visits, 0.95).unwrap();
    let want = [(0.127_038_54, 0.219_658_9), (0.085_726_61, 0.151_743_2)];
    for (c, (alone, adjusted)) in found.iter().zip(want) {
        close("p", c.p, alone, 1e-4);
        close("adjusted p", c.p_adjusted, adjusted, 2e-4);
    }
    for level in [0.9, 0.95, 0.99, 0.999] {
        for c in baci_ratios(&visits, level).unwrap() {
            let ruled_out = c.p_adjusted < 1.0 - level;
            assert_eq!(ruled_out, !c.interval.contains(1.0), "{level} {c:?}");
        }
    }
    // At the level that is one less the adjusted p, the interval ends at no effect.
    for (at, whole) in found.iter().enumerate() {
        let edge = baci_ratios(&visits, 1.0 - whole.p_adjusted)
            .unwrap()
            .remove(at);
        close("limit", edge.interval.high, 1.0, 1e-3);
    }
}
