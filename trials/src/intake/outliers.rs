//! Counts beyond what the other plots let expect: flagged, never dropped.
//!
//! In: the counts of an occasion. Out: a warning for each sample that holds more than the negative binomial fitted to the samples
//! of the other plots of its treatment can explain. k is taken at the lower end of its 95 % interval (the widest scatter that
//! they allow) and the mean at the upper end of its own, so that few plots do not cry wolf; the largest sample is asked first,
//! and what is flagged is left out of the next one's yardstick. The chance of flagging anything in sound counts is [`LEVEL`],
//! shared equally over all samples asked about (Bonferroni).
//!
//! Not for samples of other areas than most have, for fewer than [`FEWEST`] samples in other plots, or where those are all
//! empty: then nothing is known of the scatter.
//!
//! Checked by simulation (`tests/intake/outliers.rs`): plots that differ by themselves, and counts clumped within them.

use std::collections::BTreeMap;

use halfgreen_analysis::dispersion::{FrequencyTable, negative_binomial_k::by_likelihood};
use halfgreen_analysis::distributions::negative_binomial::cdf;
use halfgreen_analysis::distributions::normal_quantile;

use super::Observation;
use super::row::Sheet;
use crate::design::Layout;
use crate::table::{Complaint, Problem, Rule};
use crate::text::rounding::figure;

/// Chance that sound counts are flagged at all, all samples together.
const LEVEL: f64 = 0.05;
/// Level of the limits of k and of the mean.
const LIMITS: f64 = 0.95;
/// Samples in other plots without which nothing is said: common practice, no source.
const FEWEST: usize = 8;
/// Other plots without which nothing is said: scatter between plots cannot be told from one.
const FEWEST_PLOTS: usize = 2;

/// All that was found in one sample: its stages, and what came up later.
struct Whole<'o> {
    count: u64,
    largest: &'o Observation,
}

/// Samples that hold more than the others let expect.
pub(super) fn outliers(
    sheets: &[Sheet<'_>],
    layout: &Layout,
    observations: &[Observation],
) -> Vec<Problem> {
    let groups = groups(layout, observations);
    let all: usize = groups.values().map(Vec::len).sum();
    let mut problems = Vec::new();
    for ((occasion, treatment), samples) in groups {
        for (whole, others) in beyond(samples, LEVEL / all as f64) {
            let Whole { count, largest } = whole;
            let Some(sheet) = sheets.get(largest.source) else {
                continue;
            };
            let what = format!(
                "{count} is far more than the other plots of {treatment} let expect on occasion \"{occasion}\" ({} samples with a mean of \
                 {}): even if they scatter as widely as they may, so many come once in {} samples, and once in {} is the limit \
                 (in {:.0} of 100 sound checks one of all {all} samples is flagged)",
                others.samples,
                figure(others.mean),
                rarity(others.chance),
                rarity(LEVEL / all as f64),
                100.0 * LEVEL
            );
            let doubtful = Complaint::new(
                what,
                "Look at what was written in the field. It is counted as it stands, here and in the verdict.",
            );
            let (file, column) = (&sheet.table.file, sheet.column("count"));
            let problem = Problem::at(file, largest.line, column, Rule::Outlier, doubtful);
            problems.push(problem.of_plot(&largest.plot));
        }
    }
    problems
}

/// "12000" for a chance of one in 12 000.
fn rarity(chance: f64) -> String {
    if chance < 1e-9 {
        return "more than a thousand million".to_owned();
    }
    let once = chance.recip();
    let step = 10_f64.powf(once.log10().floor() - 1.0).max(1.0);
    format!("{:.0}", (once / step).round() * step)
}

/// Samples of each occasion and treatment, those of the commonest area alone. Plots that get several treatments in turn have
/// none of their own.
fn groups<'o>(
    layout: &'o Layout,
    observations: &'o [Observation],
) -> BTreeMap<(&'o str, &'o str), Vec<Whole<'o>>> {
    let mut treatments: BTreeMap<&str, Option<&str>> = BTreeMap::new();
    for plot in &layout.plots {
        let treatment = Some(plot.treatment.as_str());
        treatments
            .entry(&plot.plot)
            .and_modify(|known| *known = known.filter(|k| Some(*k) == treatment))
            .or_insert(treatment);
    }
    let mut samples: BTreeMap<(&str, &str, &str), Whole<'o>> = BTreeMap::new();
    for found in observations {
        let key = (
            found.occasion.as_str(),
            found.plot.as_str(),
            found.sample.as_str(),
        );
        let whole = samples.entry(key).or_insert(Whole {
            count: 0,
            largest: found,
        });
        whole.count += found.count;
        if found.count > whole.largest.count {
            whole.largest = found;
        }
    }
    let mut groups: BTreeMap<(&str, &str), Vec<Whole<'o>>> = BTreeMap::new();
    for ((occasion, plot, _), whole) in samples {
        if let Some(treatment) = treatments.get(plot).copied().flatten() {
            groups.entry((occasion, treatment)).or_default().push(whole);
        }
    }
    for group in groups.values_mut() {
        if let Some(area) = commonest(group.iter().map(|w| w.largest.area_m2)) {
            group.retain(|w| w.largest.area_m2 == area);
        }
    }
    groups
}

fn commonest(areas: impl Iterator<Item = f64>) -> Option<f64> {
    let mut often: BTreeMap<u64, usize> = BTreeMap::new();
    for area in areas {
        *often.entry(area.to_bits()).or_default() += 1;
    }
    let most = often.into_iter().max_by_key(|(_, n)| *n);
    most.map(|(bits, _)| f64::from_bits(bits))
}

/// What a sample is held against.
struct Others {
    samples: usize,
    mean: f64,
    chance: f64,
}

/// Samples rarer than the level, largest first; the first that is not ends the search.
fn beyond(mut samples: Vec<Whole<'_>>, level: f64) -> Vec<(Whole<'_>, Others)> {
    samples.sort_by_key(|w| w.count);
    let mut found = Vec::new();
    while let Some(largest) = samples.pop() {
        match held_against(&largest, &samples) {
            Some(others) if others.chance < level => found.push((largest, others)),
            _ => break,
        }
    }
    found
}

/// How rare a sample is by those of other plots; none where they say too little.
fn held_against(sample: &Whole<'_>, all: &[Whole<'_>]) -> Option<Others> {
    let plot = &sample.largest.plot;
    let others = || all.iter().filter(|w| w.largest.plot != *plot);
    let mut plots: Vec<&str> = others().map(|w| w.largest.plot.as_str()).collect();
    plots.dedup();
    plots.sort_unstable();
    plots.dedup();
    let counts: Vec<u64> = others().map(|w| w.count).collect();
    if counts.len() < FEWEST || plots.len() < FEWEST_PLOTS {
        return None;
    }
    let tally = FrequencyTable::of(&counts).ok()?;
    let fit = by_likelihood(std::slice::from_ref(&tally), LIMITS)?;
    let k = fit.interval.low;
    if k <= 0.0 || sample.count == 0 {
        return None;
    }
    let (mean, n) = (tally.mean, tally.n as f64);
    let error = ((mean + mean * mean / k) / n).sqrt();
    let highest = mean + normal_quantile(f64::midpoint(1.0, LIMITS)) * error;
    Some(Others {
        samples: counts.len(),
        mean,
        chance: (1.0 - cdf(sample.count - 1, highest, k)).max(0.0),
    })
}
