//! Axes: what runs along them, and which numbers are named.

use crate::drawing::lettering::{Weight, width};
use crate::text::rounding::{plain, round_down};

/// A named place on an axis; lines of its name stand below each other.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tick {
    pub(crate) at: f64,
    pub(crate) name: Vec<String>,
}

/// An axis.
#[derive(Debug, Clone)]
pub(crate) struct Axis {
    /// What runs along it, with its unit.
    pub(crate) name: String,
    pub(crate) ends: (f64, f64),
    pub(crate) ticks: Vec<Tick>,
    /// What happens where names have no room beside each other: every second, third ... is kept, or the more telling
    /// ones, which then come first.
    pub(crate) evenly: bool,
    /// Whether a pale line runs through the figure at each tick.
    pub(crate) grid: bool,
}

impl Axis {
    /// An axis with the ticks given and no lines.
    pub(crate) fn with_ticks(name: impl Into<String>, ends: (f64, f64), ticks: Vec<Tick>) -> Self {
        Self {
            name: name.into(),
            ends,
            ticks,
            evenly: true,
            grid: false,
        }
    }

    /// Round numbers between the ends, about `steps` of them, and a pale line at each.
    pub(crate) fn numbers(name: impl Into<String>, ends: (f64, f64), steps: u32) -> Self {
        Self::stepped(name, ends, step(ends, steps), signed)
    }

    /// The same for what comes only in whole numbers.
    pub(crate) fn whole(name: impl Into<String>, ends: (f64, f64), steps: u32) -> Self {
        Self::stepped(name, ends, step(ends, steps).max(1.0), plain)
    }

    /// Shares of one, named in per cent.
    pub(crate) fn percent(name: impl Into<String>, ends: (f64, f64), steps: u32) -> Self {
        let name_of = |share| format!("{} %", plain(100.0 * share));
        Self::stepped(name, ends, step(ends, steps), name_of)
    }

    fn stepped(
        name: impl Into<String>,
        ends: (f64, f64),
        step: f64,
        name_of: impl Fn(f64) -> String,
    ) -> Self {
        let slack = 1e-6 * step;
        let first = ((ends.0 - slack) / step).ceil();
        // As many as the ends hold, and few, whatever the ends are.
        let ticks = (0..200)
            .map(|k| (first + f64::from(k)) * step + 0.0)
            .take_while(|at| *at <= ends.1 + slack)
            .map(|at| Tick {
                at,
                name: vec![name_of(at)],
            });
        Self {
            name: name.into(),
            ends,
            ticks: ticks.collect(),
            evenly: true,
            grid: true,
        }
    }

    /// The least and the greatest round number that hold both ends between them, for an axis that starts and ends
    /// at a tick.
    pub(crate) fn rounded_out(ends: (f64, f64), steps: u32) -> (f64, f64) {
        let step = step(ends, steps);
        (
            (ends.0 / step).floor() * step + 0.0,
            (ends.1 / step).ceil() * step,
        )
    }

    /// Width of the widest name.
    pub(super) fn widest(&self, size: f64) -> f64 {
        let names = self.ticks.iter().flat_map(|t| &t.name);
        names
            .map(|n| width(n, size, Weight::Regular))
            .fold(0.0, f64::max)
    }

    /// Most lines of a name.
    pub(super) fn lines(&self) -> usize {
        self.ticks.iter().map(|t| t.name.len()).max().unwrap_or(0)
    }
}

/// A number with the sign for minus that every other lettering has.
fn signed(x: f64) -> String {
    plain(x).replace('-', "−")
}

/// The round number nearest above a share of the way between two ends: 1, 2 or 5 times a power of ten.
fn step((low, high): (f64, f64), steps: u32) -> f64 {
    let rough = ((high - low) / f64::from(steps)).max(1e-9);
    let below = round_down(rough);
    if rough <= below * (1.0 + 1e-9) {
        return below;
    }
    // The next of the row 1, 2, 5, 10.
    [2.0, 2.5]
        .into_iter()
        .map(|times| below * times)
        .find(|next| (round_down(*next) - next).abs() < 1e-9 * next && *next >= rough)
        .unwrap_or(below * 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(axis: &Axis) -> Vec<String> {
        axis.ticks.iter().map(|t| t.name.concat()).collect()
    }

    #[test]
    fn ticks_are_round() {
        assert_eq!(
            names(&Axis::numbers("", (0.0, 4.3), 5)),
            ["0", "1", "2", "3", "4"]
        );
        assert_eq!(
            names(&Axis::numbers("", (-0.05, 0.13), 4)),
            ["−0.05", "0", "0.05", "0.1"]
        );
        assert_eq!(names(&Axis::whole("", (11.5, 12.5), 8)), ["12"]);
        assert_eq!(
            names(&Axis::percent("", (0.0, 1.0), 5)),
            ["0 %", "20 %", "40 %", "60 %", "80 %", "100 %"]
        );
        let steps = [0.9, 1.0, 1.1, 2.0, 3.0, 4.9, 6.0, 10.0].map(|top| step((0.0, top), 1));
        assert_eq!(steps, [1.0, 1.0, 2.0, 2.0, 5.0, 5.0, 10.0, 10.0]);
        assert_eq!(Axis::rounded_out((-0.3, 7.1), 5), (-2.0, 8.0));
    }
}
