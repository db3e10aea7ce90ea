//! Interactions of two factors: whether the effect of one depends on the other.

use serde::Serialize;

use super::factor_coding::{combined, interaction, matrix, others, values};
use super::fourfold::Fourfold;
use super::model_test::ModelTest;
use super::plot_table::PlotTable;
use super::strata::Strata;
use crate::Error;
use crate::counts::Factor;
use crate::multiplicity::dunnett::CriticalCurve;
use crate::results::Interval;

/// Whether the effect of one factor depends on another: a ratio of ratios.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Interaction {
    /// Names of the two factors.
    pub factors: [String; 2],
    /// The level of each, against their first levels.
    pub levels: [String; 2],
    /// The first factor's ratio under the level of the second, over that under the second's first level; `None`
    /// where a combination is empty.
    pub ratio: Option<f64>,
    /// Its interval, alone at 1 - alpha.
    pub interval: Interval,
    /// Student's t of the transformed counts; `None` where nothing scatters.
    pub t: Option<f64>,
    /// Its degrees of freedom.
    pub df: f64,
    /// p of t alone, and no smaller than that of the exact conditional test.
    pub p: f64,
}

/// Every two levels of two factors, beside their first ones.
pub(super) fn interactions_of(
    table: &PlotTable,
    factors: &[Factor],
    pair: [usize; 2],
    alpha: f64,
) -> Result<Vec<Interaction>, Error> {
    let two = pair.map(|at| &factors[at]);
    let beside = combined(&others(factors, &pair), table.counts.len());
    let columns = interaction(two, &beside);
    let strata = Strata::with_columns(table, &values(&columns));
    let (offset, matrix) = (table.offset(), matrix(table, &columns)?);
    let model_test = ModelTest::new(table, &offset, &matrix, &strata)?;
    // Each by itself: one contrast.
    let bound = CriticalCurve::new(alpha, vec![0.0])?;
    let mut found = Vec::new();
    for i in 1..two[0].levels.len() {
        for j in 1..two[1].levels.len() {
            let column = found.len() + 1;
            let four = Fourfold::of(table, two, [i, j]);
            let t = model_test.contrast(column, 0.0);
            let (p, t) = (t.p().max(four.p()), t.transformed);
            let ratio = (!table.totals().contains(&0)).then(|| model_test.full.beta[column].exp());
            let interval = interval(&model_test, column, ratio, t.df, &bound, 1.0 - alpha);
            found.push(Interaction {
                factors: two.map(|f| f.name.clone()),
                levels: [two[0].levels[i].clone(), two[1].levels[j].clone()],
                interval: ratio.map_or(interval, |r| interval.consistent_with(p <= alpha, r)),
                ratio,
                t: Some(t.t()).filter(|t| t.is_finite()),
                df: t.df,
                p,
            });
        }
    }
    Ok(found)
}

/// Every ratio of ratios that t alone does not reject.
fn interval(
    model_test: &ModelTest<'_>,
    column: usize,
    ratio: Option<f64>,
    df: f64,
    bound: &CriticalCurve,
    level: f64,
) -> Interval {
    let open = Interval {
        low: 0.0,
        high: f64::INFINITY,
        level,
    };
    if ratio.is_none() || df < 1.0 {
        return open;
    }
    Interval {
        low: model_test.limit(column, -1.0, bound).exp(),
        high: model_test.limit(column, 1.0, bound).exp(),
        level,
    }
}
