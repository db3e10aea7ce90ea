//! Ground that lies under sheet of its own.

use geo::Polygon;

use super::super::takeoff::{Holes, Laying, RollSize, Strip, TakeOff, joined, take_offs};
use crate::Error;

/// A piece of ground that is covered by itself: a green, a plot, the strips of a plan on a green.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// Name of the green, where there are several.
    pub green: Option<String>,
    /// Name of the plot; none for a green.
    pub name: Option<String>,
    /// How it is covered.
    pub way: Way,
}

/// How a patch is covered.
#[derive(Debug, Clone, PartialEq)]
pub enum Way {
    /// Strips are taken off.
    Ground {
        /// The ground.
        ground: Polygon<f64>,
        /// Which way strips lie.
        laying: Laying,
        /// Whether they lie over holes.
        holes: Holes,
    },
    /// Strips that were planned before, all in one direction.
    Planned(Vec<Fixed>),
}

/// A strip that was planned before, for a roll that takes some width for itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fixed {
    /// Lane across the direction.
    pub lane: usize,
    /// Centre, east and north, metres.
    pub centre: [f64; 2],
    /// Length on the ground, without margin, metres.
    pub length_m: f64,
    /// Width that it takes for itself: that of the roll less the lap, metres.
    pub width_m: f64,
    /// Direction of the length, degrees anticlockwise from east.
    pub angle_deg: f64,
    /// Ground covered, square metres.
    pub area_m2: f64,
}

/// Difference of widths that is rounding of a file, metres.
const SAME_M: f64 = 1e-6;

impl Patch {
    /// The best few ways to cover it from a roll; none where a planned strip is wider than the roll covers.
    pub(super) fn ways(&self, roll: &RollSize, most: usize) -> Result<Vec<TakeOff>, Error> {
        let found = match &self.way {
            Way::Ground {
                ground,
                laying,
                holes,
            } => take_offs(ground, roll, *laying, *holes, most),
            Way::Planned(strips) => Ok(planned(strips, roll).into_iter().collect()),
        };
        found.map_err(|fault| match self.called() {
            Some(name) => Error {
                place: name,
                ..fault
            },
            None => fault,
        })
    }

    /// Green and plot, as people read them.
    #[must_use]
    pub fn called(&self) -> Option<String> {
        match (&self.green, &self.name) {
            (Some(green), Some(name)) => Some(format!("{green}, {name}")),
            (one, None) | (None, one) => one.clone(),
        }
    }
}

/// Planned strips as pieces of a roll; neighbours lap as planned, margin lies beyond the ends. None where the roll takes
/// less ground for itself than a strip was planned for.
fn planned(all: &[Fixed], roll: &RollSize) -> Option<TakeOff> {
    let angle_deg = all.first()?.angle_deg.rem_euclid(180.0);
    if all.iter().any(|s| roll.pitch_m() < s.width_m - SAME_M) {
        return None;
    }
    let strips: Vec<Strip> = all
        .iter()
        .flat_map(|s| {
            let reach = s.length_m + 2.0 * roll.edge_m();
            let pieces = joined(s.centre, reach, s.angle_deg.rem_euclid(180.0), roll);
            pieces.into_iter().map(|piece| Strip {
                lane: s.lane,
                ..piece
            })
        })
        .collect();
    Some(TakeOff {
        roll: *roll,
        angle_deg,
        area_m2: all.iter().map(|s| s.area_m2).sum(),
        sheet_m2: strips.iter().map(Strip::sheet_m2).sum(),
        strips,
        directions: 1,
    })
}
