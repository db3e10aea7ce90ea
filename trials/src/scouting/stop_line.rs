//! When to stop counting: the lines, and what they really do.

use halfgreen_analysis::distributions::normal_quantile;
use halfgreen_analysis::power::survey::VarianceLaw;
use halfgreen_analysis::results::Caution;
use halfgreen_analysis::sequential::performance::{
    Performance, Recorded, TruePopulation, exact, steps,
};
use halfgreen_analysis::sequential::probability_ratio::{self, Levels};
use halfgreen_analysis::sequential::{Bound, Line, classification, fixed_precision, presence};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::Error;
use crate::ranges::request::{STOPLINE_CORES, STOPLINE_WORK};
use crate::threshold::{PUBLISHED, Published, told};

/// Which plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Wald's sequential probability ratio test between two levels.
    Sprt,
    /// Iwao's: above or below the level half-way between the two.
    Iwao,
    /// Green's (and Kuno's): stop when the mean is precise enough.
    Green,
}

/// What is wished of the lines. Levels and means are per core.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StopLineRequest {
    /// Which plan.
    pub kind: Kind,
    /// Level that is surely fine; the low end of the means shown for Green's plan.
    pub low: f64,
    /// Level that surely asks for action.
    pub high: f64,
    /// How clumped cores are.
    pub law: VarianceLaw,
    /// Chance of acting on a green at the low level.
    pub alpha: f64,
    /// Chance of not acting on a green at the high level.
    pub beta: f64,
    /// Standard error over the mean, for Green's plan.
    pub precision: f64,
    /// Cores at most: the counting is cut off there.
    pub most: usize,
    /// Only note whether a core holds more than this many (Wald's plan).
    pub tally: Option<u64>,
}

/// One of the lines, with the whole numbers that the crew reads.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StopLine {
    /// Cores counted.
    pub n: usize,
    /// Lower line.
    pub lower: Option<f64>,
    /// Upper line.
    pub upper: Option<f64>,
    /// Stop, few, at this total or fewer.
    pub stop_at_or_below: Option<u64>,
    /// Stop, many (or precise enough), at this total or more.
    pub stop_at_or_above: Option<u64>,
}

/// A point of the operating characteristic.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Characteristic {
    /// True mean per core.
    pub mean: f64,
    /// Chance that the counting ends with "few"; for Green's plan, that it ends before it is cut off.
    pub probability: f64,
    /// Chance that it is cut off before a line is reached.
    pub cut_off: f64,
}

/// A point of the average sample number.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SampleNumber {
    /// True mean per core.
    pub mean: f64,
    /// Expected cores.
    pub n: f64,
}

/// Levels per square metre, as they were given, beside published figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LevelsPerM2 {
    /// Level that is surely fine, per square metre.
    pub lower: f64,
    /// Level that surely asks for action, per square metre.
    pub upper: f64,
    /// Area of a core, square metres.
    pub core_area_m2: f64,
    /// What was published.
    pub published: &'static [Published],
    /// How it lies beside the levels, and how far it disagrees, in sentences.
    pub sentence: String,
}

impl LevelsPerM2 {
    /// Levels beside what was published.
    #[must_use]
    pub fn new(lower: f64, upper: f64, core_area_m2: f64) -> Self {
        Self {
            lower,
            upper,
            core_area_m2,
            published: &PUBLISHED,
            sentence: told(lower, upper),
        }
    }
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StopLines {
    /// What was wished.
    pub request: StopLineRequest,
    /// The lines after 1, 2, ... cores.
    pub lines: Vec<StopLine>,
    /// Total that counts as few, at most, when the counting is cut off after the last core; null for Green's plan,
    /// which asks how sure a mean is and tells no few from many.
    pub cut_off_at: Option<u64>,
    /// Operating characteristic, exact for the whole-number rules.
    pub oc: Vec<Characteristic>,
    /// Average sample number, exact.
    pub asn: Vec<SampleNumber>,
    /// The levels per square metre beside what was published; null where levels are per core.
    pub per_m2: Option<LevelsPerM2>,
    /// What the reader must know.
    #[serde(skip)]
    pub cautions: Vec<Caution>,
}

/// Works out the lines and their performance over means from a quarter of the low level to twice the
/// high one.
///
/// # Errors
/// Levels out of order, error rates outside (0, 1), a k or precision of 0, no cores.
pub fn stop_lines(request: StopLineRequest) -> Result<StopLines, Error> {
    let levels = Levels {
        low: request.low,
        high: request.high,
        alpha: request.alpha,
        beta: request.beta,
    };
    levels.check()?;
    request.law.check()?;
    let most = request.most;
    if !STOPLINE_CORES.holds_whole(most as u64) {
        let what = STOPLINE_CORES.fault(&most.to_string());
        return Err(Error::in_field("cores", what, STOPLINE_CORES.cure()));
    }
    let (lines, bounds) = rules(&request, levels)?;
    let noted = request.tally.map_or(Recorded::Count, Recorded::Above);
    affordable(&request, &bounds)?;
    let walks: Vec<(f64, Performance)> = means(&request)
        .into_par_iter()
        .map(|mean| {
            let truth = TruePopulation {
                mean,
                k: request.law.k_at(mean),
            };
            exact(&bounds, truth, noted).map(|found| (mean, found))
        })
        .collect::<Result<_, _>>()?;
    let oc = walks
        .iter()
        .map(|(mean, found)| Characteristic {
            mean: *mean,
            probability: if request.kind == Kind::Green {
                1.0 - found.cut_off
            } else {
                found.few
            },
            cut_off: found.cut_off,
        })
        .collect();
    let asn = walks
        .iter()
        .map(|(mean, found)| SampleNumber {
            mean: *mean,
            n: found.expected_samples,
        })
        .collect();
    let divides = request.kind != Kind::Green;
    let cut_off_at = bounds.last().filter(|_| divides).map(|b| b.cut_off_at);
    let lines: Vec<StopLine> = lines
        .iter()
        .zip(&bounds)
        .map(|(l, b)| join(*l, *b, request.tally))
        .collect();
    let cautions = cautions(&request, &walks, &lines);
    Ok(StopLines {
        request,
        lines,
        cut_off_at,
        oc,
        asn,
        per_m2: None,
        cautions,
    })
}

/// Refuses lines whose chances would take minutes to work out.
fn affordable(request: &StopLineRequest, bounds: &[Bound]) -> Result<(), Error> {
    let populations = means(request).into_iter().map(|mean| TruePopulation {
        mean,
        k: request.law.k_at(mean),
    });
    let work: f64 = populations.map(|truth| steps(bounds, truth)).sum();
    if STOPLINE_WORK.holds(work.max(1.0)) {
        return Ok(());
    }
    let what = format!(
        "to follow every total that {} such clumped cores may reach takes {work:.0e} steps, and {:.0e} are the most: {}",
        request.most,
        STOPLINE_WORK.end(),
        STOPLINE_WORK.reason
    );
    let cure = "Give fewer cores, lower levels, or a k as high as counts have shown.";
    Err(Error::in_field("cores", what, cure))
}

fn rules(request: &StopLineRequest, levels: Levels) -> Result<(Vec<Line>, Vec<Bound>), Error> {
    let most = request.most;
    Ok(match request.kind {
        Kind::Sprt => {
            let plan = match request.tally {
                Some(tally) => presence::lines(levels, request.law, tally)?,
                // One k for both levels: that of the level half-way on the ratio scale.
                None => probability_ratio::counts(
                    levels,
                    request.law.k_at((request.low * request.high).sqrt()),
                )?,
            };
            (plan.lines(most), plan.bounds(most))
        }
        Kind::Iwao => {
            let level = f64::midpoint(request.low, request.high);
            let t = normal_quantile(1.0 - 0.5 * request.alpha);
            (
                classification::lines(level, request.law, t, most)?,
                classification::bounds(level, request.law, t, most)?,
            )
        }
        Kind::Green => (
            fixed_precision::lines(request.precision, request.law, most)?,
            fixed_precision::bounds(request.precision, request.law, most)?,
        ),
    })
}

/// Of n cores at most n can be occupied: a higher bound is none.
fn join(line: Line, bound: Bound, tally: Option<u64>) -> StopLine {
    let reachable = |upper: &u64| tally.is_none() || *upper <= bound.n as u64;
    StopLine {
        n: line.n,
        lower: line.lower,
        upper: line.upper,
        stop_at_or_below: bound.stop_at_or_below,
        stop_at_or_above: bound.stop_at_or_above.filter(reachable),
    }
}

/// Means at which performance is shown: even steps that meet both levels.
fn means(request: &StopLineRequest) -> Vec<f64> {
    let step = (request.high - request.low) / 10.0;
    let from = 0.25 * request.low;
    let mut out: Vec<f64> = (-30..=30)
        .map(|i| request.low + f64::from(i) * step)
        .filter(|mean| *mean > from && *mean <= 2.0 * request.high)
        .collect();
    if let Some(place) = out
        .iter()
        .position(|m| (m - request.high).abs() < 1e-9 * request.high)
    {
        out[place] = request.high;
    }
    out
}

fn cautions(
    request: &StopLineRequest,
    walks: &[(f64, Performance)],
    lines: &[StopLine],
) -> Vec<Caution> {
    let mut out = Vec::new();
    let at = |mean: f64| walks.iter().find(|(m, _)| *m == mean).map(|(_, p)| p);
    if let (Kind::Sprt, Some(low), Some(high)) = (request.kind, at(request.low), at(request.high))
        && (low.many > 1.05 * request.alpha || high.few > 1.05 * request.beta)
    {
        out.push(Caution::new(
            "error-rates-not-kept",
            format!(
                "Cut off after {} cores, the plan acts on a green at the lower level with chance {:.3} (wished {}) and \
                 spares one at the upper level with chance {:.3} (wished {}). Allow more cores or wider levels.",
                request.most, low.many, request.alpha, high.few, request.beta
            ),
        ));
    }
    if request.kind == Kind::Green {
        let none = lines.iter().filter(|l| l.upper.is_none()).count();
        if none > 0 {
            out.push(Caution::new(
                "no-line-yet",
                format!(
                    "Up to {none} cores no total is precise enough, so those lines are left out."
                ),
            ));
        }
    }
    if request.kind == Kind::Sprt && request.law.k_at(request.low) != request.law.k_at(request.high)
    {
        out.push(Caution::new(
            "one-k-for-both-levels",
            "The lines use the k half-way between the two levels; the chances shown let k follow the mean.",
        ));
    }
    out
}
