//! Treatments against the control, alone and adjusted.

use ndarray::{Array2, ArrayRef1};
use serde::Serialize;

use super::contributions::Weights;
use super::scheme::Scheme;
use super::step_down;
use super::tail_count::beyond;
use crate::Error;
use crate::multiplicity::holm;
use crate::results::{Origin, PValue};

/// Most treatments (without the control) for which every group of them is tested.
pub const CLOSED: usize = 4;

/// Sums are compared up to this share of the observed one: adding in another order moves a sum of
/// a few hundred terms by less than 1e-13 of its size, and real ties are exact.
pub(super) const TIE: f64 = 1e-10;

/// How much to count, and from which seed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RandomisationSettings {
    /// Count every allocation when there are at most this many.
    pub limit: u64,
    /// Otherwise draw this many.
    pub draws: u64,
    /// Seed of the draws.
    pub seed: u64,
}

impl Default for RandomisationSettings {
    fn default() -> Self {
        Self {
            limit: 200_000,
            draws: 99_999,
            seed: 0,
        }
    }
}

/// Treatments against the control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Randomisation {
    /// Score of each plot.
    pub scores: Vec<f64>,
    /// For each treatment after the control, difference in mean score.
    pub differences: Vec<f64>,
    /// For each, the p-value alone.
    pub p: Vec<PValue>,
    /// For each, adjusted for there being several.
    pub p_adjusted: Vec<f64>,
    /// For each, size of the reference set.
    pub allocations: Vec<f64>,
    /// For each, the smallest attainable p-value.
    pub smallest_attainable_p: Vec<f64>,
}

/// How the randomisation test allows for several treatments.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Adjustment {
    /// One treatment: nothing to allow for.
    None,
    /// Closed testing of every group of treatments by max-t (Marcus, Peritz & Gabriel 1976).
    ClosedTesting,
    /// Holm's method (1979).
    Holm,
    /// The step-down maximum over whole allocations (Westfall & Young 1993).
    StepDownMaximum,
}

/// The adjustment that [`against_control`] makes for so many treatments besides the control.
#[must_use]
pub fn adjustment(scheme: &Scheme, treatments: usize) -> Adjustment {
    match scheme {
        _ if treatments < 2 => Adjustment::None,
        Scheme::Within(_) if treatments <= CLOSED => Adjustment::ClosedTesting,
        Scheme::Within(_) => Adjustment::Holm,
        Scheme::Listed(_) | Scheme::Sampled { .. } => Adjustment::StepDownMaximum,
    }
}

/// Tests every treatment 1, 2, ... of `labels` against the control 0.
///
/// `scores` has one number for each plot, fixed before treatments are looked at. Equal scores give
/// p = 1. Within groups, only the plots of the treatments at issue and of the control change places.
/// Where allocations are listed or sampled whole (squares, split plots, constrained draws), all
/// labels are re-drawn and adjustment is by the step-down maximum (Westfall & Young 1993,
/// "Resampling-Based Multiple Testing", section 2.6).
///
/// # Example
/// Heights of Darwin's 15 pairs of maize plants (1876, "The Effects of Cross and Self Fertilisation in the Vegetable
/// Kingdom", p. 16), as crossed less self-fertilised in eighths of an inch; of the 2^15 allocations 1 726 differ as much
/// (R. A. Fisher 1935, "The Design of Experiments", section 21).
/// ```
/// use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme, against_control};
///
/// let differences = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48];
/// let scores: Vec<f64> = differences.iter().flat_map(|&d| [0.0, f64::from(d)]).collect();
/// let labels = [0, 1].repeat(15);
/// let pairs: Vec<usize> = (0..30).map(|plot| plot / 2).collect();
///
/// let test = against_control(&scores, &labels, &Scheme::blocks(&pairs), &RandomisationSettings::default())?;
/// assert!((test.p[0].value - 1726.0 / 32768.0).abs() < 1e-12);
/// assert_eq!(test.smallest_attainable_p[0], 2.0 / 32768.0);
/// # Ok::<(), halfgreen_analysis::Error>(())
/// ```
///
/// # Errors
/// Lengths that differ, a score that is not finite, a label without plots.
pub fn against_control(
    scores: &[f64],
    labels: &[usize],
    scheme: &Scheme,
    settings: &RandomisationSettings,
) -> Result<Randomisation, Error> {
    let top = labels.iter().copied().max().unwrap_or(0);
    let all: Vec<usize> = (1..=top).collect();
    check(scores, labels, &all)?;
    match scheme {
        Scheme::Within(groups) => exchange(scores, labels, groups, settings),
        Scheme::Listed(allocations) => step_down::all(scores, labels, allocations),
        Scheme::Sampled {
            drawn,
            total,
            smallest_p,
        } => step_down::sampled(scores, labels, drawn, *total, smallest_p),
    }
}

/// Exchanges within groups: each treatment with the control, and every group of treatments.
fn exchange(
    scores: &[f64],
    labels: &[usize],
    groups: &[Vec<usize>],
    settings: &RandomisationSettings,
) -> Result<Randomisation, Error> {
    let top = labels.iter().copied().max().unwrap_or(0);
    let scheme = Scheme::Within(groups.to_vec());
    let mut out = Randomisation {
        scores: scores.to_vec(),
        differences: differences(scores, labels),
        p: Vec::with_capacity(top),
        p_adjusted: vec![0.0; top],
        allocations: Vec::with_capacity(top),
        smallest_attainable_p: Vec::with_capacity(top),
    };
    for treatment in 1..=top {
        let p = max_t(scores, labels, &[treatment], &scheme, settings)?;
        let chosen: Vec<bool> = (0..=top).map(|l| l == 0 || l == treatment).collect();
        let pair = Scheme::restricted(groups, labels, &chosen);
        out.allocations.push(pair.allocations(labels));
        out.smallest_attainable_p
            .push(smallest_attainable_p(&pair, labels, treatment));
        out.p.push(p);
    }
    if adjustment(&scheme, top) == Adjustment::Holm {
        let plain: Vec<f64> = out.p.iter().map(|p| p.value).collect();
        out.p_adjusted = holm(&plain);
        return Ok(out);
    }
    for group in 1_usize..(1 << top) {
        let members: Vec<usize> = (1..=top).filter(|t| group >> (t - 1) & 1 == 1).collect();
        let p = match members.as_slice() {
            [one] => out.p[one - 1].value,
            _ => max_t(scores, labels, &members, &scheme, settings)?.value,
        };
        for t in members {
            out.p_adjusted[t - 1] = out.p_adjusted[t - 1].max(p);
        }
    }
    Ok(out)
}

/// Smallest attainable two-sided p-value of a scheme for a treatment: the allocation that lies
/// furthest out and, where each group has as many treated as control plots, its mirror image.
fn smallest_attainable_p(scheme: &Scheme, labels: &[usize], treatment: usize) -> f64 {
    let even = |group: &Vec<usize>| {
        let count = |wanted| group.iter().filter(|&&p| labels[p] == wanted).count();
        count(treatment) == count(0)
    };
    let mirrored = match scheme {
        Scheme::Within(groups) => groups.iter().all(even),
        Scheme::Listed(_) | Scheme::Sampled { .. } => true,
    };
    let out = if mirrored { 2.0 } else { 1.0 };
    (out / scheme.allocations(labels)).min(1.0)
}

/// Max-t: p-value of the largest standardised difference from the control among the treatments `group`,
/// whose plots, with the control's, change places within `scheme`; listed and sampled allocations
/// re-draw all labels.
///
/// # Errors
/// As [`against_control`].
pub fn max_t(
    scores: &[f64],
    labels: &[usize],
    group: &[usize],
    scheme: &Scheme,
    settings: &RandomisationSettings,
) -> Result<PValue, Error> {
    check(scores, labels, group)?;
    let top = labels.iter().copied().max().unwrap_or(0);
    let weights = weights(labels, group);
    let observed = weights
        .rows()
        .into_iter()
        .map(|w| contrast(scores, labels, &w).abs())
        .fold(0.0, f64::max);
    if observed == 0.0 {
        return Ok(PValue {
            value: 1.0,
            origin: Origin::Exact,
        });
    }
    let chosen: Vec<bool> = (0..=top).map(|l| l == 0 || group.contains(&l)).collect();
    let restricted = match scheme {
        Scheme::Within(groups) => Scheme::restricted(groups, labels, &chosen),
        Scheme::Listed(_) | Scheme::Sampled { .. } => scheme.clone(),
    };
    let threshold = observed * (1.0 - TIE);
    Ok(beyond(
        scores,
        labels,
        &weights,
        &restricted,
        threshold,
        settings,
    ))
}

/// Contrast coefficients of each label in the difference of each treatment of `group` from the control,
/// standardised by the replication, which alone differs between treatments.
pub(super) fn weights(labels: &[usize], group: &[usize]) -> Weights {
    let top = labels.iter().copied().max().unwrap_or(0);
    let count = |wanted: usize| labels.iter().filter(|&&l| l == wanted).count() as f64;
    let mut weights = Array2::zeros((group.len(), top + 1));
    for (mut row, &t) in weights.rows_mut().into_iter().zip(group) {
        let scale = (1.0 / count(t) + 1.0 / count(0)).sqrt();
        row[0] = -1.0 / count(0) / scale;
        row[t] = 1.0 / count(t) / scale;
    }
    weights
}

/// A weighted sum of scores.
pub(super) fn contrast<L: Copy + Into<usize>>(
    scores: &[f64],
    labels: &[L],
    weights: &ArrayRef1<f64>,
) -> f64 {
    labels
        .iter()
        .zip(scores)
        .map(|(&l, s)| weights[l.into()] * s)
        .sum()
}

/// Difference in mean score of each treatment from the control.
pub(super) fn differences(scores: &[f64], labels: &[usize]) -> Vec<f64> {
    let top = labels.iter().copied().max().unwrap_or(0);
    let (mut sums, mut plots) = (vec![0.0; top + 1], vec![0.0; top + 1]);
    for (&l, s) in labels.iter().zip(scores) {
        sums[l] += s;
        plots[l] += 1.0;
    }
    (1..=top)
        .map(|t| sums[t] / plots[t] - sums[0] / plots[0])
        .collect()
}

fn check(scores: &[f64], labels: &[usize], group: &[usize]) -> Result<(), Error> {
    if scores.len() != labels.len() || scores.iter().any(|s| !s.is_finite()) {
        return Err(Error::new(
            "scores",
            format!(
                "{} finite scores",
                scores.iter().filter(|s| s.is_finite()).count()
            ),
            format!("each of the {} plots needs one", labels.len()),
            "leave plots without a count out of both",
        ));
    }
    for wanted in std::iter::once(&0).chain(group) {
        if !labels.contains(wanted) {
            return Err(Error::new(
                "treatment labels",
                format!("no plot with label {wanted}"),
                "the control and every treatment tested need a plot",
                "leave the treatment out of the comparison",
            ));
        }
    }
    Ok(())
}
