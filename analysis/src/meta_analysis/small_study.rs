//! Whether small trials find other effects than large ones.

use ndarray::Array2;
use serde::Serialize;

use super::effect::{Effect, PoolOptions, check};
use super::meta_regression::{Coefficient, meta_regression};
use crate::Error;
use crate::distributions::normal_quantile;
use crate::error::open_share;
use crate::results::Caution;

/// What the smallness of a trial is measured by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Smallness<'a> {
    /// Its standard error (Egger et al. 1997, BMJ 315:629-634; Sterne & Egger 2005, in Rothstein et al., "Publication Bias in
    /// Meta-Analysis", ch. 6). The standard error of a log ratio of counts grows as counts in an arm shrink, and so does the log
    /// ratio: the two go together without any bias.
    StandardError,
    /// One over its size, such as the number of plots, which does not hang on the counts (Peters et al. 2006, JAMA 295:676-680).
    OneOver(&'a [f64]),
}

/// Regression of effects on the smallness of their trials.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SmallStudyTest {
    /// The slope: change of the effect for one unit of smallness.
    pub slope: Coefficient,
    /// The effect of a trial without limit of size, by the same line.
    pub limit: Coefficient,
    /// What the reader should know.
    pub cautions: Vec<Caution>,
}

/// Fewer trials than this give the test too little power to be of use (Sterne et al. 2011, BMJ 343:d4002, their first rule).
const ENOUGH: usize = 10;

/// Tests whether effects follow the smallness of their trials, by meta-regression as `options` say.
///
/// A slope may come from trials that were never told of, and as well from small trials done otherwise, on other ground, or from
/// the link between estimate and standard error; no slope may come from too few trials. It proves neither.
///
/// # Errors
/// As [`meta_regression`]: fewer than three trials, or trials all as small as each other; sizes that are not above 0.
pub fn small_study_test(
    effects: &[Effect],
    smallness: Smallness<'_>,
    options: &PoolOptions,
) -> Result<SmallStudyTest, Error> {
    let smallness: Vec<f64> = match smallness {
        Smallness::StandardError => effects.iter().map(|e| e.standard_error).collect(),
        Smallness::OneOver(sizes) => {
            if let Some(size) = sizes.iter().find(|&&s| s.is_nan() || s <= 0.0) {
                return Err(Error::new(
                    "size of a trial",
                    format!("{size}"),
                    "a size must be above 0",
                    "give the number of plots of each trial",
                ));
            }
            sizes.iter().map(|size| 1.0 / size).collect()
        }
    };
    let moderators = Array2::from_shape_fn((smallness.len(), 1), |(i, _)| smallness[i]);
    let found = meta_regression(effects, moderators.view(), options)?;
    let mut cautions = vec![Caution::new(
        "small-study-limits",
        "a slope tells that small trials find other effects, not why",
    )];
    if effects.len() < ENOUGH {
        cautions.push(Caution::new(
            "few-trials-for-slope",
            format!(
                "{} trials are too few to see a slope that is there: {ENOUGH} is the least",
                effects.len()
            ),
        ));
    }
    Ok(SmallStudyTest {
        limit: found.coefficients[0],
        slope: found.coefficients[1],
        cautions,
    })
}

/// A trial in the funnel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FunnelPoint {
    /// Its effect.
    pub estimate: f64,
    /// Its standard error, drawn downwards.
    pub standard_error: f64,
    /// Where an effect of that standard error would lie, were the centre true for all trials: lower limit.
    pub low: f64,
    /// The upper limit.
    pub high: f64,
}

/// Points of a funnel plot about `centre` (the average effect), with the limits at each trial's standard error (Light & Pillemer
/// 1984, "Summing Up"; Sterne & Egger 2001, J. Clin. Epidemiol. 54:1046-1055).
///
/// # Errors
/// As [`pool`](super::pool()).
pub fn funnel(effects: &[Effect], centre: f64, level: f64) -> Result<Vec<FunnelPoint>, Error> {
    check(effects)?;
    open_share("confidence level", level)?;
    let z = normal_quantile(0.5 + 0.5 * level);
    Ok(effects
        .iter()
        .map(|e| FunnelPoint {
            estimate: e.estimate,
            standard_error: e.standard_error,
            low: centre - z * e.standard_error,
            high: centre + z * e.standard_error,
        })
        .collect())
}
