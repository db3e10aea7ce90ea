//! How far the effect of a treatment differs between groups: blocks, or sites that hold several blocks.

use ndarray::Array1;
use serde::Serialize;

use super::block_projection::block_projection;
use super::model_test::ModelTest;
use crate::counts::Factor;
use crate::distributions::{f_quantile, f_sf};
use crate::numerics::cholesky::Cholesky;
use crate::numerics::projection::Basis;
use crate::numerics::roots;
use crate::results::Interval;

/// The spread of an effect between groups.
///
/// On the scale of the transformed counts the effect of a treatment in a group is a normal deviate beside the scatter
/// of plots; a deviate of the log ratio moves a plot's transformed count by sqrt(m / (1 + m/k)) / 2, m its expected count
/// (the derivative of the variance-stabilising transformation). The ratio of the two variances has the exact interval
/// of Wald (1940, Ann. Math. Stat. 11:96-100): the values at which the mean square between groups, weighted by them, over
/// that of plots is no unlikely F. Times the mean square of plots it is the variance of the log ratio.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EffectSpread {
    /// Name of the treatment.
    pub treatment: String,
    /// Standard deviation of the log ratio between groups: where F is 1 (0 where it is less without any spread).
    pub sd: f64,
    /// Interval of that standard deviation.
    pub interval: Interval,
    /// Mean square of treatment by group over that of plots.
    pub f: f64,
    /// Its degrees of freedom: groups less one, and those of plots.
    pub df: (usize, usize),
    /// p of F, were the effect the same in all groups.
    pub p: f64,
}

/// Largest standard deviation of a log ratio looked at: e to the twentieth between groups is no effect, but an error.
const MOST: f64 = 20.0;

/// The spread of treatment `j` (1 for the first after the control) over `groups`; `None` where no plots tell it
/// from their own scatter.
pub(super) fn spread(
    model_test: &ModelTest<'_>,
    j: usize,
    groups: &Factor,
    alpha: f64,
) -> Option<EffectSpread> {
    let table = model_test.table;
    let (response, slopes) = (model_test.at_the_estimate(), model_test.slopes());
    let cell = |treatment: usize, group: Option<usize>| -> Array1<f64> {
        let rows = table.treatment.codes.iter().zip(&groups.codes);
        let inside = rows.map(|(&t, &g)| t == treatment && group.is_none_or(|at| at == g));
        (inside.zip(&slopes))
            .map(|(inside, slope)| if inside { *slope } else { 0.0 })
            .collect()
    };
    let mut known = block_projection(table);
    let numbers = 0..groups.levels.len();
    for other in (1..table.treatment.levels.len()).filter(|&t| t != j) {
        for group in numbers.clone() {
            known.add(cell(other, Some(group)));
        }
    }
    known.add(cell(j, None));
    let cells: Vec<Array1<f64>> = numbers.map(|group| cell(j, Some(group))).collect();
    let mut between = Basis::empty(response.len());
    for column in &cells {
        let own = column.dot(column);
        let mut left = known.residual(column.clone());
        for _ in 0..2 {
            between.take_out(&mut left);
        }
        between.add(&left, own);
    }
    let df = (
        between.len(),
        response.len().checked_sub(known.rank() + between.len())?,
    );
    let mut within = known.residual(response.clone());
    for _ in 0..2 {
        between.take_out(&mut within);
    }
    let error = within.dot(&within) / df.1 as f64;
    if df.0 == 0 || df.1 == 0 || error <= 1e-26 * response.dot(&response) {
        return None;
    }
    let along: Vec<f64> = between.vectors().map(|v| v.dot(&response)).collect();
    let loadings: Vec<Vec<f64>> = between
        .vectors()
        .map(|v| cells.iter().map(|c| v.dot(c)).collect())
        .collect();
    // F where the log ratio has this standard deviation.
    let f = |sd: f64| weighted_squares(&along, &loadings, sd * sd / error) / (df.0 as f64 * error);
    let none = f(0.0);
    let (between_df, within_df) = (df.0 as f64, df.1 as f64);
    let reaches = |goal: f64| {
        if none <= goal {
            0.0
        } else {
            // No group tells anything: the spread has no bound.
            roots::brent(|sd| f(sd) - goal, 0.0, MOST, 1e-9).map_or(f64::INFINITY, |r| r.x)
        }
    };
    let bound = |p: f64| f_quantile(p, between_df, within_df);
    Some(EffectSpread {
        treatment: table.treatment.levels[j].clone(),
        sd: reaches(1.0),
        interval: Interval {
            low: reaches(bound(1.0 - alpha / 2.0)),
            high: reaches(bound(alpha / 2.0)),
            level: 1.0 - alpha,
        },
        f: none,
        df,
        p: f_sf(none, between_df, within_df),
    })
}

/// Sum of squares between groups, each weighted by its variance were the groups' own `ratio` times that of plots.
fn weighted_squares(along: &[f64], loadings: &[Vec<f64>], ratio: f64) -> f64 {
    let size = along.len();
    let variance = ndarray::Array2::from_shape_fn((size, size), |(a, b)| {
        let product: f64 = loadings[a]
            .iter()
            .zip(&loadings[b])
            .map(|(x, y)| x * y)
            .sum();
        ratio * product + f64::from(u8::from(a == b))
    });
    // The identity is part of it: never singular.
    Cholesky::new(variance, 0.0).map_or(0.0, |root| {
        let mut left = along.to_vec();
        root.forward(&mut left);
        left.iter().map(|v| v * v).sum()
    })
}
