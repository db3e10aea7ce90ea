//! Units observed and expected at each count, for a picture.

use halfgreen_analysis::dispersion::{
    Class, FrequencyTable, Pooling, goodness, negative_binomial_k,
};

use super::describe::Row;
use crate::Error;

/// Most bars that can be told apart on a page.
const MOST_BARS: u64 = 30;

/// Units with `from` to `to` animals, counted and as two laws would have them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    /// Smallest count.
    pub from: u64,
    /// Largest count.
    pub to: u64,
    /// Units counted.
    pub observed: u64,
    /// Units expected by chance alone (Poisson).
    pub poisson: f64,
    /// Units expected from the clumped law (negative binomial); none where it has no finite k.
    pub negative_binomial: Option<f64>,
}

/// One bar for each count from 0 to the largest, or for equal spans of counts where they are many.
/// Empty when nothing was found.
///
/// # Errors
/// When there is no counted unit, or the counts are too large to add up.
pub fn histogram(rows: &[Row]) -> Result<Vec<Bar>, Error> {
    let all = FrequencyTable::of_frequencies(rows.iter().map(|r| (r.count, r.frequency)))?;
    let span = (all.largest() + 1).div_ceil(MOST_BARS);
    // Every count its own class, and none for larger counts: this is no test.
    let each = |k: f64| {
        let mut classes = goodness(&all, k, 0, Pooling::From(all.largest() + 1))?.classes;
        classes.pop();
        Some(classes)
    };
    let Some(poisson) = each(f64::INFINITY) else {
        return Ok(Vec::new());
    };
    let k = negative_binomial_k::by_likelihood(std::slice::from_ref(&all), 0.95).and_then(|f| f.k);
    let clumped = k.and_then(each);
    let width = usize::try_from(span).unwrap_or(usize::MAX);
    let expected = |classes: &[Class]| classes.iter().map(|c| c.expected).sum::<f64>();
    Ok(poisson
        .chunks(width)
        .enumerate()
        .map(|(at, classes)| Bar {
            from: at as u64 * span,
            to: (at as u64 + 1) * span - 1,
            observed: classes.iter().map(|c| c.observed).sum(),
            poisson: expected(classes),
            negative_binomial: clumped
                .as_ref()
                .and_then(|all| all.chunks(width).nth(at))
                .map(expected),
        })
        .collect())
}
