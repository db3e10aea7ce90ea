//! Which way to lay the sheet?

use halfgreen_analysis::results::Interval;
use serde::Serialize;

use super::cover_plan::{Laying, Sheet, SurveyedGreen, limits};
use super::lanes::long_axis;

/// Directions are tried this many degrees apart, besides the green's own long axis: 5 degrees move the end
/// of a 10 m strip by less than half a roll.
const APART_DEG: u32 = 5;

/// Without a stock, directions are compared by what sheet for this share of the green would reach.
const SHARE_COMPARED: f64 = 0.25;

/// What a laying direction reaches with the sheet compared.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DirectionTried {
    /// Degrees anticlockwise from east.
    pub angle_deg: f64,
    /// Share of larvae expected under the sheet.
    pub share: f64,
    /// Lower 95 % limit.
    pub low: f64,
    /// Upper 95 % limit.
    pub high: f64,
}

/// The direction laid, and what others would give.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Direction {
    /// Name of the green, where there are several.
    pub green: Option<String>,
    /// The direction laid, degrees anticlockwise from east.
    pub angle_deg: f64,
    /// Whether it was given and not chosen.
    pub held: bool,
    /// Direction of the green's long axis.
    pub long_axis_deg: f64,
    /// Sheet with which directions are compared, square metres.
    pub compared_m2: f64,
    /// Best of all.
    pub best: DirectionTried,
    /// Second best.
    pub next_best: DirectionTried,
    /// What the direction laid gains over the second best, or loses to the best where it was given.
    pub gain: Gain,
    /// All directions tried, by angle.
    pub tried: Vec<DirectionTried>,
}

/// A difference of two shares of larvae.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Gain {
    /// Expected difference.
    pub share: f64,
    /// Lower 95 % limit, both directions judged by the same alternatives.
    pub low: f64,
    /// Upper 95 % limit.
    pub high: f64,
}

struct Trial {
    tried: DirectionTried,
    draws: Vec<f64>,
    laying: Laying,
}

/// Tries all directions on a green; `None` where no strip touches it.
pub(super) fn choose(green: &SurveyedGreen<'_>, sheet: &Sheet) -> Option<(Laying, Direction)> {
    let long_axis_deg = long_axis(green.outline);
    let area = green.outline.area_m2();
    let compared_m2 = sheet.stock_m2.unwrap_or(SHARE_COMPARED * area);
    let own = sheet.direction_deg;
    let mut angles: Vec<f64> = (0..180 / APART_DEG)
        .map(|k| f64::from(k * APART_DEG))
        .collect();
    angles.extend(own);
    angles.push(long_axis_deg);
    angles.sort_by(f64::total_cmp);
    angles.dedup();
    let mut trials: Vec<Trial> = angles
        .iter()
        .filter_map(|&angle| trial(green, sheet, angle, compared_m2))
        .collect();
    // Best first; among equals the long axis, which takes fewest pieces, then the smallest angle.
    let mut order: Vec<usize> = (0..trials.len()).collect();
    let aside = |t: &Trial| u8::from((t.tried.angle_deg - long_axis_deg).abs() > 1e-9);
    // Shares closer than a millionth differ by rounding alone.
    let level = |t: &Trial| (t.tried.share * 1e6).round();
    order.sort_by(|&a, &b| {
        let (a, b) = (&trials[a], &trials[b]);
        level(b).total_cmp(&level(a)).then(aside(a).cmp(&aside(b)))
    });
    let (&best, &next) = (order.first()?, order.get(1).or(order.first())?);
    let laid = own
        .and_then(|angle| {
            trials
                .iter()
                .position(|t| t.tried.angle_deg.total_cmp(&angle).is_eq())
        })
        .unwrap_or(best);
    let rival = if laid == best { next } else { best };
    let differences: Vec<f64> = trials[laid]
        .draws
        .iter()
        .zip(&trials[rival].draws)
        .map(|(a, b)| a - b)
        .collect();
    let share = trials[laid].tried.share - trials[rival].tried.share;
    let Interval { low, high, .. } = limits(&differences, share);
    let direction = Direction {
        green: green.name.map(str::to_owned),
        angle_deg: trials[laid].tried.angle_deg,
        held: own.is_some(),
        long_axis_deg,
        compared_m2,
        best: trials[best].tried.clone(),
        next_best: trials[next].tried.clone(),
        gain: Gain { share, low, high },
        tried: trials.iter().map(|t| t.tried.clone()).collect(),
    };
    Some((trials.swap_remove(laid).laying, direction))
}

fn trial(green: &SurveyedGreen<'_>, sheet: &Sheet, angle: f64, stock: f64) -> Option<Trial> {
    let laying = Laying::new(green, sheet, angle)?;
    let order = laying.order();
    let reached = |masses: &[f64]| laying.reached(masses, &order, stock);
    let share = reached(&laying.expected);
    let draws: Vec<f64> = laying.draws.iter().map(|d| reached(d)).collect();
    let Interval { low, high, .. } = limits(&draws, share);
    Some(Trial {
        tried: DirectionTried {
            angle_deg: angle,
            share,
            low,
            high,
        },
        draws,
        laying,
    })
}

impl Direction {
    /// Which way, and what another would give, in one sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let percent = |t: &DirectionTried| format!("{:.0} %", 100.0 * t.share);
        let on = self
            .green
            .as_ref()
            .map_or_else(String::new, |g| format!("{g}: "));
        let sheet = format!("{:.0} m2 of sheet", self.compared_m2);
        let same = self
            .tried
            .iter()
            .find(|t| t.angle_deg.total_cmp(&self.angle_deg).is_eq());
        let laid = same.unwrap_or(&self.best);
        if self.held {
            return format!(
                "{on}Laid at {} degrees from east as told, {sheet} reach {} of the larvae; the best of {} directions, \
                 {} degrees, {}.",
                self.angle_deg,
                percent(laid),
                self.tried.len(),
                self.best.angle_deg,
                percent(&self.best)
            );
        }
        let sure = if self.gain.low > 0.0 {
            "surely better than"
        } else {
            "not surely better than"
        };
        let axis = self
            .tried
            .iter()
            .find(|t| t.angle_deg.total_cmp(&self.long_axis_deg).is_eq());
        let axis = axis.filter(|t| t.angle_deg.total_cmp(&self.angle_deg).is_ne());
        let axis = axis.map_or_else(String::new, |t| {
            format!(
                " Along the green's long axis, {} degrees, they reach {}.",
                t.angle_deg,
                percent(t)
            )
        });
        format!(
            "{on}Laid at {} degrees from east, {sheet} reach {} of the larvae, the most of {} directions; {sure} the \
             next best, {} degrees, with {}.{axis}",
            self.angle_deg,
            percent(laid),
            self.tried.len(),
            self.next_best.angle_deg,
            percent(&self.next_best)
        )
    }
}
