//! Treatment by occasion: is there any, and how large is it?

use serde::Serialize;

use super::visits::Visits;
use crate::Error;
use crate::answers::Interval;
use crate::chance::laws;
use crate::comparison::{Calibration, Profile};
use crate::counts::ModelMatrix;
use crate::mixed::block::{POINTS, RandomBlock};

/// Whether treatments kept their distance from the control.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Lasted {
    /// Twice the log-likelihood gained by treatment by occasion, k estimated anew.
    pub statistic: f64,
    /// Its degrees of freedom: (treatments - 1) (occasions - 1).
    pub df: usize,
    /// Chance of a larger one by chi-squared.
    pub p_plain: f64,
    /// The same by F, after the calibration of the comparison; 1 where plots are too few to tell.
    pub p: f64,
}

/// How much more treated plots changed than control plots.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Change {
    /// Treatment.
    pub treatment: String,
    /// Later over earlier, treated over control; `None` where one of the four is empty.
    pub ratio: Option<f64>,
    /// Interval by profile, k and plots' scatter estimated anew along it.
    pub interval: Interval,
    /// Two-sided p of no difference in change.
    pub p: f64,
}

/// What the t scale needs: differences between two occasions have one mean and the treatments.
fn calibration(visits: &Visits) -> Calibration {
    let plots = visits.plots() as f64;
    let total: u64 = visits.counts.iter().sum();
    Calibration {
        within: plots - 1.0,
        df: plots - visits.treatment.levels.len() as f64,
        mean: total as f64 / visits.counts.len() as f64,
    }
}

fn model<'a>(
    visits: &Visits,
    offset: &'a [f64],
    matrix: &'a ModelMatrix,
) -> Result<RandomBlock<'a>, Error> {
    RandomBlock::new(&visits.counts, offset, matrix, &visits.plot.codes, POINTS)
}

fn offset(visits: &Visits) -> Vec<f64> {
    visits.exposure.iter().map(|e| e.ln()).collect()
}

/// Tests treatment by occasion: whether the ratio to the control was the same on all occasions.
///
/// # Errors
/// Rows that do not fit together, fewer than two occasions or treatments, blocks tied to treatments.
pub fn lasted(visits: &Visits) -> Result<Lasted, Error> {
    visits.check()?;
    let offset = offset(visits);
    let (full, null) = (visits.matrix(true)?, visits.matrix(false)?);
    let with = model(visits, &offset, &full)?.fit(None, None, false);
    let without = model(visits, &offset, &null)?.fit(None, None, false);
    let statistic = (2.0 * (with.log_likelihood - without.log_likelihood)).max(0.0);
    let df = full.width() - null.width();
    let calibration = calibration(visits);
    let spent = (visits.treatment.levels.len() - 1) as f64;
    // The likelihood ratio of normal differences is `within` times log(1 + (treatments - 1) F / df).
    let p = if calibration.df >= 1.0 {
        let occasions = df as f64 / spent;
        let t = calibration.t(statistic / occasions, (with.inverse_k, without.inverse_k));
        laws::f_upper(t * t / spent, df as f64, calibration.df * occasions)
    } else {
        1.0
    };
    Ok(Lasted {
        statistic,
        df,
        p_plain: laws::chi_squared_upper(statistic, df as f64),
        p,
    })
}

/// Ratio of changes of every treatment between two occasions, with intervals at `level` each.
///
/// # Errors
/// As [`lasted`]; more than two occasions.
pub fn changes(visits: &Visits, level: f64) -> Result<Vec<Change>, Error> {
    visits.check()?;
    if visits.occasion.levels.len() != 2 {
        return Err(Error::new(
            "occasions",
            format!("{}", visits.occasion.levels.len()),
            "a ratio of changes compares two occasions",
            "name the earlier and the later one",
        ));
    }
    let offset = offset(visits);
    let matrix = visits.matrix(true)?;
    let model = model(visits, &offset, &matrix)?;
    let full = model.fit(None, None, false);
    let calibration = calibration(visits);
    let testable = calibration.df >= 1.0 && visits.counts.iter().any(|&y| y > 0);
    let first = visits.treatment.levels.len();
    let cell = |treatment: usize, occasion: usize| -> u64 {
        (0..visits.counts.len())
            .filter(|&r| {
                visits.treatment.codes[r] == treatment && visits.occasion.codes[r] == occasion
            })
            .map(|r| visits.counts[r])
            .sum()
    };
    let mut out = Vec::with_capacity(first - 1);
    for treatment in 1..first {
        let column = first + treatment - 1;
        let profile = Profile::new(&model, &full, column, calibration);
        // Up: treated after and control before; down: treated before and control after.
        let up = cell(treatment, 1).min(cell(0, 0)) > 0;
        let down = cell(treatment, 0).min(cell(0, 1)) > 0;
        let mut change = Change {
            treatment: visits.treatment.levels[treatment].clone(),
            ratio: (up && down).then(|| full.beta[column].exp()),
            interval: Interval {
                low: 0.0,
                high: f64::INFINITY,
                level,
            },
            p: 1.0,
        };
        if testable {
            let df = calibration.df;
            change.p = 2.0 * laws::t_upper(profile.t(0.0), df);
            let bound = laws::t_quantile(1.0 - 0.5 * (1.0 - level), df);
            let from = full.beta[column];
            if up {
                change.interval.low = profile.limit(from, -1.0, bound).exp();
            }
            if down {
                change.interval.high = profile.limit(from, 1.0, bound).exp();
            }
        }
        out.push(change);
    }
    Ok(out)
}
