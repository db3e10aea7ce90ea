//! Several methods over many trials, each trial with some of them: one consistent comparison.

use ndarray::{Array1, Array2};
use serde::Serialize;

use super::between_variance::{i2, q_profile};
use super::correlated::{Contrasts, Correlated};
use super::effect::{PoolOptions, SIZES};
use super::pool::{Law, cochran, unsettled};
use super::weighted_fit::Model;
use crate::Error;

/// One contrast of a trial: a treatment against the trial's control.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TreatmentContrast {
    /// Number of the treatment, from 0 over all treatments of the network.
    pub treatment: usize,
    /// Log ratio of treatment to control.
    pub estimate: f64,
    /// Its standard error.
    pub standard_error: f64,
}

/// What one trial says of its treatments.
#[derive(Debug, Clone, PartialEq)]
pub struct NetworkTrial {
    /// Number of the trial's control.
    pub control: usize,
    /// Every other treatment of the trial against that control.
    pub contrasts: Vec<TreatmentContrast>,
    /// Variance of the control's log mean, which any two contrasts share; `None` takes half the product of their standard
    /// errors, right where all treatments are known equally well.
    pub control_variance: Option<f64>,
}

/// A treatment, or two, by the whole network.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NetworkEffect {
    /// Number of the treatment.
    pub treatment: usize,
    /// Number of what it is compared with.
    pub control: usize,
    /// Log ratio of the one to the other.
    pub effect: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// Two-sided p of no difference, alone: several comparisons are the caller's to adjust.
    pub p: f64,
    /// Trials that compared the two directly.
    pub direct_trials: usize,
}

/// The network's answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Network {
    /// Every two treatments, the smaller number as the control; by control, then by treatment.
    pub effects: Vec<NetworkEffect>,
    /// Degrees of freedom of limits and p: contrasts less treatments but one; `None` for the normal law.
    pub degrees_of_freedom: Option<f64>,
    /// Variance of each contrast between trials, one for all.
    pub tau2: f64,
    /// Its lower limit (Q-profile).
    pub tau2_low: f64,
    /// Its upper limit.
    pub tau2_high: f64,
    /// Share of the scatter that is not sampling error, in per cent.
    pub i2: f64,
    /// Weighted squares about the consistent effects: trials that differ, and routes that disagree.
    pub q: f64,
    /// Its degrees of freedom.
    pub q_df: usize,
    /// Its p by chi-squared; 1 without degrees of freedom.
    pub q_p: f64,
    /// Confidence level of all limits.
    pub level: f64,
}

/// Compares `treatments` treatments, numbered from 0, over trials that each hold some of them.
///
/// Effects are consistent: what is said of A against C is what is said of A against B and of B against C together. They come
/// from generalised least squares over the contrasts of all trials, with the covariance that contrasts share through their
/// control and one variance between trials (Lu & Ades 2004, Statistics in Medicine 23:3105-3124; Salanti et al. 2008, Stat. Methods
/// Med. Res. 17:279-301). It rests on trials differing in nothing else that matters: where trials of one method were done on other
/// ground than those of another, the ground is compared as well. Standard errors count as known: where they come from few plots,
/// steady them by [`moderated`](super::moderated) and take [`IntervalMethod::HartungKnappUnbounded`](super::IntervalMethod).
///
/// # Errors
/// No trials, numbers out of range, a treatment twice in a trial, numbers that are no usable estimates, covariances that
/// contradict their variances, a treatment that no chain of trials links to the others.
pub fn network(
    trials: &[NetworkTrial],
    treatments: usize,
    options: &PoolOptions,
) -> Result<Network, Error> {
    options.check()?;
    if trials.is_empty() || treatments < 2 {
        return Err(Error::new(
            "network",
            format!("{} trials of {treatments} treatments", trials.len()),
            "a network needs a trial and two treatments",
            "add trials",
        ));
    }
    let contrasts = (trials.iter().enumerate())
        .map(|(at, trial)| contrasts(at, trial, treatments))
        .collect::<Result<Vec<_>, _>>()?;
    linked(trials, treatments)?;
    let model = Correlated {
        trials: contrasts,
        width: treatments - 1,
    };
    let (tau2, fit) = options.between.estimate(&model).ok_or_else(unsettled)?;
    let none = model.at(0.0).ok_or_else(unsettled)?;
    let (q, q_p) = cochran(&model, &none);
    let spread = q_profile(&model, options.level).ok_or_else(unsettled)?;
    let law = Law::of(&model, &fit, &[], options.interval);
    let reach = law.quantile(0.5 + 0.5 * options.level);
    // Effects against treatment 0, which itself has none.
    let place = |treatment: usize| treatment.checked_sub(1);
    let effect = |t: usize| place(t).map_or(0.0, |a| fit.coefficients[a]);
    let covariance = |t: usize, u: usize| match (place(t), place(u)) {
        (Some(a), Some(b)) => fit.covariance[[a, b]],
        _ => 0.0,
    };
    let mut effects = Vec::new();
    for control in 0..treatments {
        for treatment in control + 1..treatments {
            let found = effect(treatment) - effect(control);
            let variance = covariance(treatment, treatment) + covariance(control, control)
                - 2.0 * covariance(treatment, control);
            let standard_error = (law.factor() * variance).sqrt();
            effects.push(NetworkEffect {
                treatment,
                control,
                effect: found,
                standard_error,
                low: found - reach * standard_error,
                high: found + reach * standard_error,
                p: law.two_sided(found / standard_error),
                direct_trials: trials
                    .iter()
                    .filter(|t| t.has(treatment) && t.has(control))
                    .count(),
            });
        }
    }
    Ok(Network {
        effects,
        degrees_of_freedom: law.df,
        tau2,
        tau2_low: spread.low,
        tau2_high: spread.high,
        i2: i2(&model, tau2).ok_or_else(unsettled)?,
        q,
        q_df: model.df(),
        q_p,
        level: options.level,
    })
}

impl NetworkTrial {
    fn has(&self, treatment: usize) -> bool {
        self.control == treatment || self.contrasts.iter().any(|c| c.treatment == treatment)
    }
}

fn fault(at: usize, found: String, accepted: &str) -> Error {
    Error::new(
        format!("trial {} of the network", at + 1),
        found,
        accepted,
        "mend the trial or leave it out",
    )
}

/// The contrasts of a trial as sums of effects against treatment 0.
fn contrasts(at: usize, trial: &NetworkTrial, treatments: usize) -> Result<Contrasts, Error> {
    let size = trial.contrasts.len();
    let mut seen = vec![false; treatments];
    let numbers = trial.contrasts.iter().map(|c| c.treatment);
    for number in std::iter::once(trial.control).chain(numbers) {
        match seen.get_mut(number) {
            None => {
                return Err(fault(
                    at,
                    format!("treatment {number}"),
                    "treatments are numbered from 0",
                ));
            }
            Some(seen) if *seen => {
                return Err(fault(
                    at,
                    format!("treatment {number} twice"),
                    "a trial has each treatment once",
                ));
            }
            Some(seen) => *seen = true,
        }
    }
    let usable = |c: &TreatmentContrast| {
        c.estimate.abs() <= SIZES.1 && (SIZES.0..=SIZES.1).contains(&c.standard_error)
    };
    if size == 0 || !trial.contrasts.iter().all(usable) {
        return Err(fault(
            at,
            format!("{:?}", trial.contrasts),
            "a trial has at least one contrast, each a number with a standard error above 0",
        ));
    }
    let error = |i: usize| trial.contrasts[i].standard_error;
    let covariance = Array2::from_shape_fn((size, size), |(i, j)| {
        if i == j {
            error(i) * error(i)
        } else {
            trial.control_variance.unwrap_or(0.5 * error(i) * error(j))
        }
    });
    if crate::numerics::cholesky::Cholesky::new(covariance.clone(), 1e-12).is_err() {
        return Err(fault(
            at,
            format!("a variance of the control of {:?}", trial.control_variance),
            "the control's variance must be below that of every contrast",
        ));
    }
    let mut columns = Array2::zeros((size, treatments - 1));
    for (row, contrast) in trial.contrasts.iter().enumerate() {
        if contrast.treatment > 0 {
            columns[[row, contrast.treatment - 1]] = 1.0;
        }
        if trial.control > 0 {
            columns[[row, trial.control - 1]] = -1.0;
        }
    }
    Ok(Contrasts {
        estimates: Array1::from_iter(trial.contrasts.iter().map(|c| c.estimate)),
        covariance,
        columns,
    })
}

/// Refuses treatments that no chain of trials links to the first.
fn linked(trials: &[NetworkTrial], treatments: usize) -> Result<(), Error> {
    let mut reached = vec![false; treatments];
    reached[0] = true;
    loop {
        let before = reached.clone();
        for trial in trials {
            if (0..treatments).any(|t| reached[t] && trial.has(t)) {
                (0..treatments)
                    .filter(|&t| trial.has(t))
                    .for_each(|t| reached[t] = true);
            }
        }
        if reached == before {
            break;
        }
    }
    reached
        .iter()
        .position(|reached| !reached)
        .map_or(Ok(()), |treatment| {
            Err(Error::new(
                "network",
                format!("treatment {treatment}, which no chain of trials links to treatment 0"),
                "every treatment must be linked to the others by trials that share treatments",
                "compare the parts of the network apart",
            ))
        })
}
