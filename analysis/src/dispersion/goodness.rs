//! Does a law fit the counts? Pearson's chi-squared over pooled classes.

use serde::Serialize;

use super::FrequencyTable;
use crate::distributions::chi_squared_sf;
use crate::distributions::negative_binomial::ln_pmf;

/// How counts are pooled into classes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub enum Pooling {
    /// From 0 upwards, a class is closed as soon as at least this many units are expected in it; what is
    /// left at the top joins the last class. 5 is Cochran's advice (1954, Biometrics 10, 417-451).
    Expected(f64),
    /// Every count is its own class up to this one, which takes in all larger counts.
    From(u64),
}

/// Units observed and expected with `from` to `to` animals.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Class {
    /// Smallest count.
    pub from: u64,
    /// Largest count; none: all larger counts too.
    pub to: Option<u64>,
    /// Units counted.
    pub observed: u64,
    /// Units that the law expects.
    pub expected: f64,
}

/// A test of fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Goodness {
    /// Sum of (observed - expected)^2 / expected.
    pub chi2: f64,
    /// Classes, less one, less the parameters estimated; 0 when there are too few classes to test.
    pub df: u64,
    /// Upper tail; none without a degree of freedom.
    pub p: Option<f64>,
    /// The classes that were compared.
    pub classes: Vec<Class>,
}

/// Compares the counts with a negative binomial at the sample mean and this `k` (infinite: Poisson), of
/// which `parameters` were estimated from the same counts (1 for Poisson, 2 with k).
///
/// None when no animal was counted.
#[must_use]
pub fn goodness(
    tally: &FrequencyTable,
    k: f64,
    parameters: u64,
    pooling: Pooling,
) -> Option<Goodness> {
    if tally.total == 0 {
        return None;
    }
    let classes = pool(tally, k, pooling);
    let chi2 = classes
        .iter()
        .map(|c| (c.observed as f64 - c.expected).powi(2) / c.expected)
        .sum();
    let df = (classes.len() as u64).saturating_sub(1 + parameters);
    Some(Goodness {
        chi2,
        df,
        p: (df > 0).then(|| chi_squared_sf(chi2, df as f64)),
        classes,
    })
}

fn pool(tally: &FrequencyTable, k: f64, pooling: Pooling) -> Vec<Class> {
    let n = tally.n as f64;
    let mut classes: Vec<Class> = Vec::new();
    let mut open: Option<Class> = None;
    let mut seen = tally.values.iter().peekable();
    let mut left = n;
    for count in 0..=tally.largest() {
        let expected = n * ln_pmf(count, tally.mean, k).exp();
        let observed = seen.next_if(|v| v.0 == count).map_or(0, |v| v.1);
        left -= expected;
        let class = open.get_or_insert(Class {
            from: count,
            to: None,
            observed: 0,
            expected: 0.0,
        });
        class.observed += observed;
        class.expected += expected;
        let close = match pooling {
            Pooling::Expected(least) => class.expected >= least,
            Pooling::From(last) => count < last,
        };
        if close {
            class.to = Some(count);
            classes.extend(open.take());
        }
    }
    // The top: larger counts than any seen. It stands alone only where the rule allows.
    let mut top = open.unwrap_or(Class {
        from: tally.largest() + 1,
        to: None,
        observed: 0,
        expected: 0.0,
    });
    // Rounding of the sum of all masses.
    top.expected += left.max(0.0);
    match (pooling, classes.last_mut()) {
        (Pooling::Expected(least), Some(last)) if top.expected < least => {
            last.to = None;
            last.observed += top.observed;
            last.expected += top.expected;
        }
        (Pooling::From(from), Some(last)) if top.from > from => {
            last.to = None;
            last.observed += top.observed;
            last.expected += top.expected;
        }
        _ => classes.push(top),
    }
    classes
}
