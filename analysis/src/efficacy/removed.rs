//! How many are removed where a method works on what is there: number times one less ratio, with its interval.

use serde::Serialize;

use crate::Error;

/// A quantity that is not negative, with the limits of its interval; an upper limit may be infinite.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bounded {
    /// Best estimate.
    pub estimate: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

impl Bounded {
    /// A quantity known without error.
    #[must_use]
    pub fn exactly(estimate: f64) -> Self {
        Self {
            estimate,
            low: estimate,
            high: estimate,
        }
    }

    /// Refuses limits that are no interval about the estimate.
    ///
    /// # Errors
    /// What is negative or no number, and limits out of order.
    pub fn check(&self, what: &str) -> Result<(), Error> {
        let Self {
            estimate,
            low,
            high,
        } = *self;
        if estimate.is_finite() && 0.0 <= low && low <= estimate && estimate <= high {
            return Ok(());
        }
        Err(Error::new(
            what,
            format!("{estimate} between {low} and {high}"),
            "an interval holds its estimate, and nothing in it is negative",
            "give the lower limit, the estimate and the upper limit in this order",
        ))
    }

    /// The same times a factor that is not negative.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        let by = |x: f64| if factor == 0.0 { 0.0 } else { x * factor };
        Self {
            estimate: by(self.estimate),
            low: by(self.low),
            high: by(self.high),
        }
    }

    /// The value `reach` half-widths from the estimate: 1 is the upper limit, -1 the lower. Between them the scale is that
    /// of logarithms, on which intervals of means and ratios are nearly even; where a side ends at 0 or begins there it is plain.
    fn at(&self, reach: f64) -> f64 {
        let limit = if reach < 0.0 { self.low } else { self.high };
        let share = reach.abs();
        if share == 0.0 || limit == self.estimate {
            self.estimate
        } else if limit.is_infinite() {
            f64::INFINITY
        } else if self.estimate > 0.0 && limit > 0.0 {
            self.estimate * (limit / self.estimate).powf(share)
        } else {
            self.estimate + share * (limit - self.estimate)
        }
    }

    /// Half the length of the interval on the scale of logarithms; infinite where a limit is 0 or infinite.
    #[must_use]
    pub fn log_half_width(&self) -> f64 {
        if self.low > 0.0 {
            0.5 * (self.high / self.low).ln()
        } else {
            f64::INFINITY
        }
    }
}

/// Sum of independent quantities with an interval of the level of theirs: the distances from estimates to limits add as
/// squares, on each side by themselves (MOVER: Zou & Donner 2008, Stat. Med. 27:1693-1702, from memory). Each keeps its own skewness.
#[must_use]
pub fn sum(parts: &[Bounded]) -> Bounded {
    let estimate: f64 = parts.iter().map(|p| p.estimate).sum();
    let reach = |of: fn(&Bounded) -> f64| parts.iter().map(|p| of(p).powi(2)).sum::<f64>().sqrt();
    let below = reach(|p| p.estimate - p.low);
    Bounded {
        estimate,
        // Rounding could leave a hair below 0.
        low: (estimate - below).max(0.0),
        high: estimate + reach(|p| p.high - p.estimate),
    }
}

/// What a method removes, with an interval; a limit may be infinite, and the lower one is below 0 where the interval of the
/// ratio reaches beyond 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Removed {
    /// Best estimate.
    pub estimate: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

impl Removed {
    /// What a thing that costs `cost` costs for each one removed, with its interval: the upper limit is `None` where it
    /// cannot be bounded because nothing may be removed, and so is the estimate where none is.
    #[must_use]
    pub fn unit_cost(&self, cost: f64) -> UnitCost {
        let over = |removed: f64| {
            let each = (removed > 0.0).then(|| cost / removed);
            // Next to nothing removed costs beyond any number.
            each.filter(|cost| cost.is_finite())
        };
        UnitCost {
            estimate: over(self.estimate),
            low: over(self.high),
            high: over(self.low),
        }
    }
}

/// Cost of one removed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct UnitCost {
    /// Best estimate; `None` where none is removed.
    pub estimate: Option<f64>,
    /// Lower limit; `None` where surely none is removed.
    pub low: Option<f64>,
    /// Upper limit; `None` where it cannot be bounded.
    pub high: Option<f64>,
}

/// Steps in which the boundary is searched before the best is refined: half a degree each.
const STEPS: i32 = 720;

/// What is removed of `number` by a method that leaves `ratio` of it: number (1 - ratio), with an interval of the level of
/// both, which carries the uncertainty of both.
///
/// **Method.** Propagating imprecision (Newcombe 2011, Commun. Stat. Theory Methods 40:3154-3180, from memory): the limits are the least and the
/// largest value on the line of pairs that together lie as far from the estimates as a limit alone does. Where it is a sum or
/// a difference that is MOVER. `correlation` is that of the two estimates on the log scale: 0 where they come from
/// different counts, [`correlation_in_one_trial`] where the number is that of the same trial's control. The lower limit is below 0 exactly
/// where the ratio's upper limit is above 1, so that it never contradicts a test of the ratio. Coverage by simulation:
/// `tests/efficacy/removed.md`.
///
/// # Errors
/// A number or ratio whose limits are out of order, a correlation outside [-1, 1].
pub fn removed(number: Bounded, ratio: Bounded, correlation: f64) -> Result<Removed, Error> {
    number.check("number there is")?;
    ratio.check("ratio")?;
    if !(-1.0..=1.0).contains(&correlation) {
        return Err(Error::new(
            "correlation",
            correlation.to_string(),
            "it lies between -1 and 1",
            "give 0 for separate counts",
        ));
    }
    let estimate = number.estimate * (1.0 - ratio.estimate);
    if number.high == 0.0 {
        return Ok(Removed {
            estimate: 0.0,
            low: 0.0,
            high: 0.0,
        });
    }
    let across = (1.0 - correlation * correlation).max(0.0).sqrt();
    let value = |angle: f64| {
        let (a, b) = (angle.cos(), angle.sin());
        product(number.at(a), 1.0 - ratio.at(correlation * a + across * b))
    };
    Ok(Removed {
        estimate,
        low: least(&value).min(estimate),
        high: -least(&|angle| -value(angle)).min(-estimate),
    })
}

/// A product in which nothing times without end is nothing.
fn product(number: f64, share: f64) -> f64 {
    if number == 0.0 || share == 0.0 {
        0.0
    } else {
        number * share
    }
}

/// Least value of a function over the circle: the best of even steps, refined by golden sections about it.
fn least(value: &impl Fn(f64) -> f64) -> f64 {
    let step = std::f64::consts::TAU / f64::from(STEPS);
    let best = (0..STEPS)
        .map(|i| f64::from(i) * step)
        .min_by(|a, b| value(*a).total_cmp(&value(*b)))
        .unwrap_or(0.0);
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut from, mut to) = (best - step, best + step);
    // Forty sections leave 1e-8 of a step, and the value is flat there.
    for _ in 0..40 {
        let reach = golden * (to - from);
        if value(to - reach) < value(from + reach) {
            to = from + reach;
        } else {
            from = to - reach;
        }
    }
    value(0.5 * (from + to)).min(value(best))
}

/// Correlation, on the log scale, of a control's mean with the ratio of a method to that control in one trial: the control's
/// share of the ratio's uncertainty, with a minus because a large control makes a small ratio. Errors of control and
/// method are taken as independent, as where blocks are in the model.
#[must_use]
pub fn correlation_in_one_trial(control: Bounded, ratio: Bounded) -> f64 {
    let (own, both) = (control.log_half_width(), ratio.log_half_width());
    if own.is_finite() && both > 0.0 {
        -(own / both).min(1.0)
    } else {
        0.0
    }
}

/// The same where only a part of the number comes from that trial's control: `part` of `whole`, whose intervals tell how much
/// of its uncertainty it brings.
#[must_use]
pub fn correlation_of_part(part: Bounded, whole: Bounded, control_with_ratio: f64) -> f64 {
    let (own, all) = (part.high - part.low, whole.high - whole.low);
    if own.is_finite() && all.is_finite() && all > 0.0 {
        control_with_ratio * (own / all).min(1.0)
    } else {
        0.0
    }
}
