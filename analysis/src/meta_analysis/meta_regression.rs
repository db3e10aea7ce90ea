//! Whether the effect follows something that trials differ in.

use ndarray::{Array2, ArrayView2, Axis};
use serde::Serialize;

use super::between_variance::{i2, q_profile};
use super::effect::{Effect, PoolOptions, check};
use super::moderation::variances;
use super::pool::{Law, unsettled};
use super::weighted_fit::{Independent, Model, WeightedFit};
use crate::Error;
use crate::distributions::{chi_squared_sf, f_sf};
use crate::numerics::cholesky::Cholesky;

/// One coefficient of a meta-regression.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Coefficient {
    /// Change of the effect for one unit of the moderator; for the intercept the effect where all moderators are 0.
    pub estimate: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// Two-sided p of 0, alone: several moderators are the caller's to adjust.
    pub p: f64,
}

/// Effects as they follow moderators.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MetaRegression {
    /// The intercept, then one coefficient for each moderator.
    pub coefficients: Vec<Coefficient>,
    /// Degrees of freedom of limits and p: trials less coefficients; `None` for the normal law.
    pub degrees_of_freedom: Option<f64>,
    /// Variance between trials that moderators leave.
    pub tau2: f64,
    /// Its lower limit (Q-profile).
    pub tau2_low: f64,
    /// Its upper limit.
    pub tau2_high: f64,
    /// I^2 of what is left, in per cent.
    pub i2: f64,
    /// Share of the variance between trials that moderators take up, in per cent (Raudenbush 2009); `None` where there is none
    /// without them.
    pub r2: Option<f64>,
    /// Weighted squares about the regression, were trials alike beside it.
    pub q_residual: f64,
    /// Its p by chi-squared.
    pub q_residual_p: f64,
    /// Test of all moderators together: F, or chi-squared over its degrees of freedom for the normal law.
    pub f: f64,
    /// Its p.
    pub f_p: f64,
    /// Confidence level of all limits.
    pub level: f64,
}

/// Regression of effects on moderators with a variance between trials (Knapp & Hartung 2003, Statistics in Medicine 22:2693-2710).
///
/// `moderators` has a row for each trial and a column for each moderator, without the intercept. The variance between
/// trials is estimated beside the moderators as `options` say. Few trials and many moderators find what is not there
/// (Higgins & Thompson 2004, Statistics in Medicine 23:1663-1682): ten trials for each moderator is common advice, and
/// moderators want naming before the effects are seen.
///
/// # Errors
/// As [`pool`](super::pool()); rows that differ from trials, values that are no numbers, no trial more than coefficients, moderators
/// that determine each other or do not vary.
#[expect(
    clippy::needless_pass_by_value,
    reason = "a view is passed by value, as arrays' own functions do"
)]
pub fn meta_regression(
    effects: &[Effect],
    moderators: ArrayView2<'_, f64>,
    options: &PoolOptions,
) -> Result<MetaRegression, Error> {
    check(effects)?;
    options.check()?;
    let (centres, columns) = centred(effects, &moderators)?;
    let estimates: Vec<f64> = effects.iter().map(|e| e.estimate).collect();
    let (variances, _) = variances(effects);
    let model = Independent {
        effects: &estimates,
        variances: &variances,
        columns: columns.view(),
    };
    let dependent = |column: usize| {
        Error::new(
            format!("moderator {column}"),
            "a column that follows from the others",
            "each moderator must vary, and in its own way",
            "leave one of them out",
        )
    };
    // With equal weights, so that no weight hides a column.
    model.factor(&vec![1.0; effects.len()]).map_err(dependent)?;
    let (tau2, fit) = options.between.estimate(&model).ok_or_else(unsettled)?;
    let law = Law::of(&model, &fit, effects, options.interval);
    let (f, f_p) = all_moderators(&model, &fit, &law).ok_or_else(unsettled)?;
    let spread = q_profile(&model, options.level).ok_or_else(unsettled)?;
    let none = model.at(0.0).ok_or_else(unsettled)?;
    Ok(MetaRegression {
        coefficients: coefficients(&fit, &centres, &law, options.level),
        degrees_of_freedom: law.df,
        tau2,
        tau2_low: spread.low,
        tau2_high: spread.high,
        i2: i2(&model, tau2).ok_or_else(unsettled)?,
        r2: taken_up(&model, tau2, options),
        q_residual: none.q,
        q_residual_p: chi_squared_sf(none.q, model.df() as f64),
        f,
        f_p,
        level: options.level,
    })
}

/// The columns with an intercept, each moderator less its mean over trials; and those means.
fn centred(
    effects: &[Effect],
    moderators: &ArrayView2<'_, f64>,
) -> Result<(Vec<f64>, Array2<f64>), Error> {
    let (rows, width) = moderators.dim();
    let fault = |found: String, accepted: String, next: &str| {
        Err(Error::new("moderators", found, accepted, next))
    };
    if rows != effects.len() || width == 0 {
        return fault(
            format!(
                "{rows} rows of {width} moderators for {} trials",
                effects.len()
            ),
            "every trial needs a row, with at least one moderator".to_owned(),
            "leave out trials of which a moderator is unknown",
        );
    }
    if let Some(value) = moderators.iter().find(|x| !x.is_finite() || x.abs() > 1e30) {
        return fault(
            format!("{value}"),
            "a moderator must be a number".to_owned(),
            "leave out trials of which a moderator is unknown",
        );
    }
    if rows < width + 2 {
        return fault(
            format!("{rows} trials and {width} moderators"),
            "there must be two trials more than moderators".to_owned(),
            "add trials or leave moderators out",
        );
    }
    let centres: Vec<f64> = (moderators.axis_iter(Axis(1)))
        .map(|column| column.sum() / rows as f64)
        .collect();
    let columns = Array2::from_shape_fn((rows, width + 1), |(i, j)| match j.checked_sub(1) {
        None => 1.0,
        Some(j) => moderators[[i, j]] - centres[j],
    });
    Ok((centres, columns))
}

/// Coefficients with the intercept moved from the centre of the moderators to 0.
fn coefficients(fit: &WeightedFit, centres: &[f64], law: &Law, level: f64) -> Vec<Coefficient> {
    let reach = law.quantile(0.5 + 0.5 * level);
    let at_zero: Vec<f64> = std::iter::once(1.0)
        .chain(centres.iter().map(|c| -c))
        .collect();
    let width = fit.coefficients.len();
    (0..width)
        .map(|j| {
            let unit: Vec<f64> = (0..width).map(|i| f64::from(u8::from(i == j))).collect();
            let along = if j == 0 { &at_zero } else { &unit };
            let estimate: f64 = along
                .iter()
                .zip(&fit.coefficients)
                .map(|(a, b)| a * b)
                .sum();
            let mut variance = 0.0;
            for (a, x) in along.iter().enumerate() {
                for (b, y) in along.iter().enumerate() {
                    variance += x * y * fit.covariance[[a, b]];
                }
            }
            let standard_error = (law.factor() * variance).sqrt();
            Coefficient {
                estimate,
                standard_error,
                low: estimate - reach * standard_error,
                high: estimate + reach * standard_error,
                p: law.two_sided(estimate / standard_error),
            }
        })
        .collect()
}

/// F of all moderators together, and its p.
fn all_moderators(model: &impl Model, fit: &WeightedFit, law: &Law) -> Option<(f64, f64)> {
    let width = fit.coefficients.len() - 1;
    let block = Array2::from_shape_fn((width, width), |(a, b)| fit.covariance[[a + 1, b + 1]]);
    let mut along = fit.coefficients[1..].to_vec();
    Cholesky::new(block, 0.0).ok()?.forward(&mut along);
    let wald: f64 = along.iter().map(|x| x * x).sum();
    let f = wald / (law.factor() * width as f64);
    if f.is_nan() {
        // Effects that lie on one line with no error left and no slope.
        return Some((0.0, 1.0));
    }
    let within = law.df.map_or(f64::INFINITY, |_| model.df() as f64);
    Some((f, f_sf(f, width as f64, within)))
}

/// Share of the variance between trials that moderators take up, in per cent.
fn taken_up(model: &Independent<'_>, left: f64, options: &PoolOptions) -> Option<f64> {
    let intercept = Array2::ones((model.effects.len(), 1));
    let without = Independent {
        columns: intercept.view(),
        ..*model
    };
    let (all, _) = options.between.estimate(&without)?;
    (all > 0.0).then(|| 100.0 * (1.0 - left / all).max(0.0))
}
