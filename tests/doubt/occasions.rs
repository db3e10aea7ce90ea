//! Counts on several occasions.

use halfgreen_analysis::counts::{Factor, ModelMatrix};
use halfgreen_analysis::mixed::laplace::RandomTerms;
use halfgreen_analysis::occasions::{Visits, change_scores, changes, lasted};

use crate::closeness::close;
use crate::reference::{Table, expected};

fn want(quantity: &str) -> f64 {
    expected("doubt")[&("eelworms".to_owned(), quantity.to_owned())]
}

/// Eelworm cysts before and after fumigation (Cochran & Cox 1957, "Experimental Designs", section 3.2).
fn eelworms() -> Visits {
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
    Visits {
        exposure: vec![1.0; 96],
        treatment: Factor::from_labels("treatment", &twice(fumigants.collect()), Some("Con")),
        occasion: Factor::from_labels("occasion", &occasions, None),
        plot: Factor::from_labels("plot", &twice(plots), None),
        block: Some(Factor::from_labels("block", &twice(blocks), None)),
        counts,
    }
}

fn columns(visits: &Visits, crossed: bool) -> ModelMatrix {
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
        RandomTerms::new(&visits.counts, &offset, &matrix, &plots)
            .unwrap()
            .fit(None, None, false)
    };
    let (full, null) = (run(true), run(false));
    close(
        "full",
        full.log_likelihood,
        want("full.log_likelihood"),
        1e-6,
    );
    close(
        "null",
        null.log_likelihood,
        want("null.log_likelihood"),
        1e-6,
    );
    close("change", full.beta[2], want("interaction"), 1e-4);
    close("sigma", full.sigma[0], want("sigma"), 1e-3);
}

#[test]
fn change_against_control() {
    let visits = eelworms();
    let change = changes(&visits, 0.95).unwrap().remove(0);
    // Quadrature here, Laplace there: they agree to about the third digit.
    close(
        "ratio",
        change.ratio.unwrap(),
        want("interaction").exp(),
        1e-3,
    );
    assert!(change.interval.contains(change.ratio.unwrap()));
    let tested = lasted(&visits).unwrap();
    let by_hand = 2.0 * (want("full.log_likelihood") - want("null.log_likelihood"));
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
    let change = changes(&visits, 0.95).unwrap().remove(0);
    assert_eq!((change.ratio, change.interval.low), (None, 0.0));
    assert!(change.interval.high < 0.5);
    visits.counts = vec![0; 96];
    let change = changes(&visits, 0.95).unwrap().remove(0);
    assert_eq!((change.p, change.interval.high), (1.0, f64::INFINITY));
    assert_eq!(lasted(&visits).unwrap().p, 1.0);
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
    assert!(lasted(&visits).unwrap().p > 0.0);
}

#[test]
fn scores_are_logs_of_growth() {
    let scores = change_scores(&[0, 9], &[1.0, 1.0], &[0, 4], &[1.0, 2.0]);
    assert_eq!(scores[0], 0.0);
    close("halved twice", scores[1], (4.5_f64 / 2.0 / 9.5).ln(), 1e-12);
}
