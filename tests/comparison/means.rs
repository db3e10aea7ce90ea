//! Marginal means: what their limits are about, and how often they hold it.

use halfgreen_analysis::comparison::compare;

use super::{HALF, pairs};

/// Standardised Poisson regression by statsmodels 0.15.0 (`tests/reference/make_means_reference.py`): mean, lower and upper
/// limit. Both solve the same equations to full precision; the rows are written to twelve digits.
#[test]
fn marginal_means_by_another_program() {
    let (mut table, settings) = pairs(&[(14, 7), (11, 6), (20, 9), (17, 9), (9, 4), (13, 6)]);
    let before = [12, 15, 9, 10, 19, 17, 14, 18, 8, 9, 12, 11].map(|b| f64::from(b).ln_1p());
    let mean = before.iter().sum::<f64>() / 12.0;
    table.before = Some(before.iter().map(|b| b - mean).collect());
    let found = compare(&table, &HALF, &settings).unwrap();
    assert_eq!(found.k, None);
    let sought = [
        [14.2096899547, 10.1683672401, 19.8571986869],
        [6.73396142093, 4.27212316782, 10.6144496863],
    ];
    for (m, sought) in found.means.iter().zip(sought) {
        let found = [m.marginal_mean, m.interval.low, m.interval.high];
        for (a, b) in found.into_iter().zip(sought) {
            assert!((a / b - 1.0).abs() < 1e-8, "{}: {a}, not {b}", m.treatment);
        }
    }
}

/// In complete blocks without covariate the marginal mean is the mean as counted, however counts scatter.
#[test]
fn in_complete_blocks_the_marginal_mean_is_the_mean_as_counted() {
    let (table, settings) = pairs(&[(40, 3), (11, 6), (2, 0), (70, 31), (9, 4)]);
    let found = compare(&table, &HALF, &settings).unwrap();
    for m in &found.means {
        assert!((m.marginal_mean / m.mean - 1.0).abs() < 1e-8, "{m:?}");
        assert!(m.interval.low < m.mean && m.mean < m.interval.high);
    }
}

/// An empty block is expected to hold nothing, an empty treatment has an upper limit, nothing at all has none.
#[test]
fn empty_blocks_and_treatments_have_defined_means() {
    let (table, settings) = pairs(&[(40, 13), (0, 0), (12, 6), (31, 11), (9, 4)]);
    let found = compare(&table, &HALF, &settings).unwrap();
    for m in &found.means {
        assert!((m.marginal_mean / m.mean - 1.0).abs() < 1e-8, "{m:?}");
    }
    let (table, settings) = pairs(&[(40, 0), (3, 0), (12, 0), (31, 0)]);
    let empty = &compare(&table, &HALF, &settings).unwrap().means[1];
    assert_eq!((empty.marginal_mean, empty.interval.low), (0.0, 0.0));
    assert!(empty.interval.high > 0.0 && empty.interval.high.is_finite());
    let (table, settings) = pairs(&[(0, 0), (0, 0), (0, 0)]);
    let none = &compare(&table, &HALF, &settings).unwrap().means[0];
    assert_eq!(
        (none.marginal_mean, none.interval.high),
        (0.0, f64::INFINITY)
    );
}
