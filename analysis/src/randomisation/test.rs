//! The test itself: how many allocations lie as far out as the one that was drawn.

use rayon::prelude::*;
use serde::Serialize;

use super::scheme::Scheme;
use super::table::{self, Table, Weights};
use crate::Error;
use crate::answers::{Origin, PValue};
use crate::chance::Generator;
use crate::multiplicity::holm;

/// Most treatments (without the control) for which every group of them is tested.
pub const CLOSED: usize = 4;

/// Sums are compared up to this share of the observed one: adding in another order moves a sum of
/// a few hundred terms by less than 1e-13 of its size, and real ties are exact.
const TIE: f64 = 1e-10;

/// Streams among which a sample is split, whatever the number of threads.
const PARTS: u64 = 32;

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
    /// For each treatment after the control, difference in mean score.
    pub differences: Vec<f64>,
    /// For each, the p-value from its plots and the control's changing places.
    pub p: Vec<PValue>,
    /// For each, adjusted for there being several.
    pub p_adjusted: Vec<f64>,
    /// For each, allocations that the pair could change between.
    pub allocations: Vec<f64>,
    /// For each, the smallest p-value those allocations could give.
    pub smallest_p: Vec<f64>,
}

/// Tests every treatment 1, 2, ... of `labels` against the control 0.
///
/// `scores` has one number for each plot, fixed before treatments are looked at. A treatment or a
/// control without plots is an error; equal scores give p = 1.
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
    let mut out = Randomisation {
        differences: Vec::new(),
        p: Vec::new(),
        p_adjusted: vec![0.0; top],
        allocations: Vec::new(),
        smallest_p: Vec::new(),
    };
    for treatment in 1..=top {
        let p = max_contrast(scores, labels, &[treatment], scheme, settings)?;
        out.differences.push(difference(scores, labels, treatment));
        let chosen: Vec<bool> = (0..=top).map(|l| l == 0 || l == treatment).collect();
        let pair = scheme.restricted(labels, &chosen);
        out.allocations.push(pair.allocations(labels));
        out.smallest_p.push(smallest_p(&pair, labels, treatment));
        out.p.push(p);
    }
    if top <= CLOSED {
        for group in 1_usize..(1 << top) {
            let members: Vec<usize> = (1..=top).filter(|t| group >> (t - 1) & 1 == 1).collect();
            let p = match members.as_slice() {
                [one] => out.p[one - 1].value,
                _ => max_contrast(scores, labels, &members, scheme, settings)?.value,
            };
            for t in members {
                out.p_adjusted[t - 1] = out.p_adjusted[t - 1].max(p);
            }
        }
    } else {
        let plain: Vec<f64> = out.p.iter().map(|p| p.value).collect();
        out.p_adjusted = holm(&plain);
    }
    Ok(out)
}

/// Smallest two-sided p-value that a scheme can give for a treatment: the allocation that lies
/// furthest out and, where each group has as many treated as control plots, its mirror image.
fn smallest_p(scheme: &Scheme, labels: &[usize], treatment: usize) -> f64 {
    let even = |plots: &mut dyn Iterator<Item = usize>| {
        let balance: i64 = plots
            .map(|p| i64::from(labels[p] == treatment) - i64::from(labels[p] == 0))
            .sum();
        balance == 0
    };
    let mirrored = match scheme {
        Scheme::Within(groups) => groups.iter().all(|g| even(&mut g.iter().copied())),
        Scheme::Listed(_) => even(&mut (0..labels.len())),
    };
    let out = if mirrored { 2.0 } else { 1.0 };
    (out / scheme.allocations(labels)).min(1.0)
}

/// p-value of the largest standardised difference from the control among the treatments `group`,
/// whose plots, with the control's, change places as `scheme` allows.
///
/// # Errors
/// As [`against_control`].
pub fn max_contrast(
    scores: &[f64],
    labels: &[usize],
    group: &[usize],
    scheme: &Scheme,
    settings: &RandomisationSettings,
) -> Result<PValue, Error> {
    check(scores, labels, group)?;
    let top = labels.iter().copied().max().unwrap_or(0);
    let chosen: Vec<bool> = (0..=top).map(|l| l == 0 || group.contains(&l)).collect();
    let scheme = scheme.restricted(labels, &chosen);
    let count = |wanted: usize| labels.iter().filter(|&&l| l == wanted).count() as f64;
    // Differences are standardised by the replication, which alone differs between treatments.
    let weights: Weights = group
        .iter()
        .map(|&t| {
            let scale = (1.0 / count(t) + 1.0 / count(0)).sqrt();
            (0..=top)
                .map(|l| match l {
                    0 => -1.0 / count(0) / scale,
                    l if l == t => 1.0 / count(t) / scale,
                    _ => 0.0,
                })
                .collect()
        })
        .collect();
    let observed = weights
        .iter()
        .map(|w| {
            labels
                .iter()
                .zip(scores)
                .map(|(&l, s)| w[l] * s)
                .sum::<f64>()
                .abs()
        })
        .fold(0.0, f64::max);
    let threshold = observed * (1.0 - TIE);
    if observed == 0.0 {
        return Ok(PValue {
            value: 1.0,
            origin: Origin::Exact,
        });
    }
    Ok(count_beyond(
        scores, labels, &weights, &scheme, threshold, settings,
    ))
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

/// Difference in mean score, treatment less control.
fn difference(scores: &[f64], labels: &[usize], treatment: usize) -> f64 {
    let mean = |wanted| {
        let (mut sum, mut n) = (0.0, 0.0);
        for (&l, s) in labels.iter().zip(scores) {
            if l == wanted {
                sum += s;
                n += 1.0;
            }
        }
        sum / n
    };
    mean(treatment) - mean(0)
}

/// Counts allocations beyond the threshold: all of them, or a sample.
fn count_beyond(
    scores: &[f64],
    labels: &[usize],
    weights: &Weights,
    scheme: &Scheme,
    threshold: f64,
    settings: &RandomisationSettings,
) -> PValue {
    let all = scheme.allocations(labels);
    let exact = all <= settings.limit as f64;
    let sampled = |beyond: u64| PValue {
        value: (beyond + 1) as f64 / (settings.draws + 1) as f64,
        origin: Origin::Sampled(settings.draws),
    };
    match scheme {
        Scheme::Listed(list) if exact => {
            let beyond = list
                .par_iter()
                .filter(|l| lies_beyond(scores, l, weights, threshold));
            PValue {
                value: beyond.count() as f64 / all,
                origin: Origin::Exact,
            }
        }
        Scheme::Within(groups) => {
            // Plots that cannot move keep adding what they add.
            let mut fixed = vec![0.0; weights.len()];
            let mut moves = vec![false; labels.len()];
            groups.iter().flatten().for_each(|&p| moves[p] = true);
            for (sum, w) in fixed.iter_mut().zip(weights) {
                for plot in (0..labels.len()).filter(|&p| !moves[p]) {
                    *sum += w[labels[plot]] * scores[plot];
                }
            }
            match table::tabulate(groups, labels, scores, weights) {
                Some(tables) if exact => PValue {
                    value: enumerate(&tables, &fixed, threshold) as f64 / all,
                    origin: Origin::Exact,
                },
                Some(tables) => sampled(sample_tables(&tables, &fixed, threshold, settings)),
                None if exact => PValue {
                    value: enumerate_one(groups, labels, scores, weights, threshold) as f64 / all,
                    origin: Origin::Exact,
                },
                None => sampled(sample_shuffles(
                    scores, labels, weights, scheme, threshold, settings,
                )),
            }
        }
        Scheme::Listed(_) => sampled(sample_shuffles(
            scores, labels, weights, scheme, threshold, settings,
        )),
    }
}

/// Whether any contrast of an allocation reaches the threshold.
fn lies_beyond(scores: &[f64], labels: &[usize], weights: &Weights, threshold: f64) -> bool {
    weights.iter().any(|w| {
        labels
            .iter()
            .zip(scores)
            .map(|(&l, s)| w[l] * s)
            .sum::<f64>()
            .abs()
            >= threshold
    })
}

/// Counts over every combination of the tables' arrangements.
fn enumerate(tables: &[Table], fixed: &[f64], threshold: f64) -> u64 {
    let Some((last, outer)) = tables.split_last() else {
        return u64::from(fixed.iter().any(|s| s.abs() >= threshold));
    };
    let combinations: usize = outer.iter().map(|t| t.arrangements).product();
    (0..combinations)
        .into_par_iter()
        .with_min_len(64)
        .map_init(
            || (vec![0.0; fixed.len()], vec![0_u8; last.arrangements]),
            |(sums, hits), mut index| {
                sums.copy_from_slice(fixed);
                for table in outer {
                    let at = index % table.arrangements;
                    index /= table.arrangements;
                    for (sum, column) in sums.iter_mut().zip(&table.values) {
                        *sum += column[at];
                    }
                }
                if let ([sum], [column]) = (sums.as_slice(), last.values.as_slice()) {
                    return column
                        .iter()
                        .map(|v| u64::from((sum + v).abs() >= threshold))
                        .sum();
                }
                hits.fill(0);
                for (sum, column) in sums.iter().zip(&last.values) {
                    for (hit, v) in hits.iter_mut().zip(column) {
                        *hit |= u8::from((sum + v).abs() >= threshold);
                    }
                }
                hits.iter().map(|&h| u64::from(h)).sum::<u64>()
            },
        )
        .sum()
}

/// Walks every order of one large group, the others being tables of one arrangement or none.
fn enumerate_one(
    groups: &[Vec<usize>],
    labels: &[usize],
    scores: &[f64],
    weights: &Weights,
    threshold: f64,
) -> u64 {
    let mut beyond = 0;
    let mut present = labels.to_vec();
    walk(groups, &mut present, &mut |l| {
        beyond += u64::from(lies_beyond(scores, l, weights, threshold));
    });
    beyond
}

/// Calls `visit` with every allocation, group by group.
fn walk(groups: &[Vec<usize>], present: &mut Vec<usize>, visit: &mut impl FnMut(&[usize])) {
    let Some((group, rest)) = groups.split_first() else {
        visit(present);
        return;
    };
    let mut order: Vec<usize> = group.iter().map(|&p| present[p]).collect();
    order.sort_unstable();
    loop {
        for (&p, &l) in group.iter().zip(&order) {
            present[p] = l;
        }
        walk(rest, present, visit);
        if !table::next_order(&mut order) {
            return;
        }
    }
}

/// Draws an arrangement from every table, many times.
fn sample_tables(
    tables: &[Table],
    fixed: &[f64],
    threshold: f64,
    settings: &RandomisationSettings,
) -> u64 {
    in_parts(settings, |generator, draws| {
        let mut sums = fixed.to_vec();
        let mut beyond = 0;
        for _ in 0..draws {
            sums.copy_from_slice(fixed);
            for table in tables {
                let at = usize::try_from(generator.below(table.arrangements as u64)).unwrap_or(0);
                for (sum, column) in sums.iter_mut().zip(&table.values) {
                    *sum += column[at];
                }
            }
            beyond += u64::from(sums.iter().any(|s| s.abs() >= threshold));
        }
        beyond
    })
}

/// Draws whole allocations, many times.
fn sample_shuffles(
    scores: &[f64],
    labels: &[usize],
    weights: &Weights,
    scheme: &Scheme,
    threshold: f64,
    settings: &RandomisationSettings,
) -> u64 {
    in_parts(settings, |generator, draws| {
        let mut drawn = labels.to_vec();
        let mut buffer = Vec::new();
        let mut beyond = 0;
        for _ in 0..draws {
            scheme.draw(generator, &mut drawn, &mut buffer);
            beyond += u64::from(lies_beyond(scores, &drawn, weights, threshold));
        }
        beyond
    })
}

/// Splits the draws among fixed streams, so that threads do not matter, and adds up.
fn in_parts(
    settings: &RandomisationSettings,
    count: impl Fn(&mut Generator, u64) -> u64 + Sync,
) -> u64 {
    (0..PARTS)
        .into_par_iter()
        .map(|part| {
            let draws = settings.draws / PARTS + u64::from(part < settings.draws % PARTS);
            count(&mut Generator::new(settings.seed, part), draws)
        })
        .sum()
}
