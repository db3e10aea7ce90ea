//! The search for a direction, a start and a shape of block that hold what is asked.

use super::candidate::{Array, Candidate};
use super::pack::{Rows, Run, lattice, ragged, rows, tiles};
use super::region::Region;
use super::request::{Placement, Request, Site};
use super::too_tight::too_tight;
use crate::Error;
use crate::area::{Outline, Zone};

/// Starts tried along each axis, as shares of a tile.
const STARTS: usize = 16;
/// Step between directions tried when the axes do not serve, degrees.
const TURN: usize = 15;

/// The ground to be searched, in each direction looked at.
pub(super) struct Ground<'a> {
    outline: &'a Outline,
    pub(super) zone: Option<&'a Zone>,
    turned: Vec<(f64, Region)>,
}

impl<'a> Ground<'a> {
    fn new(outline: &'a Outline, zone: Option<&'a Zone>) -> Self {
        Self {
            outline,
            zone,
            turned: Vec::new(),
        }
    }

    /// The ground turned by an angle, made when first asked for.
    fn turned(&mut self, angle_deg: f64) -> &Region {
        let made = self.turned.iter().position(|(a, _)| *a == angle_deg);
        let at = made.unwrap_or_else(|| {
            let region = Region::new(self.outline, self.zone, angle_deg);
            self.turned.push((angle_deg, region));
            self.turned.len() - 1
        });
        &self.turned[at].1
    }
}

/// Places the blocks asked for.
///
/// # Errors
/// A size that is not a positive length, or too little room; then the message says how many blocks
/// do fit and which plot size would.
pub fn place(outline: &Outline, zone: Option<&Zone>, ask: &Request) -> Result<Placement, Error> {
    ask.sizes()?;
    let mut ground = Ground::new(outline, zone);
    let (best, most) = search(&mut ground, ask);
    match best {
        Some(found) => Ok(placement(&mut ground, &found, most)),
        None => Err(too_tight(&mut ground, ask, most)),
    }
}

/// The most blocks that any trial of the search holds; 0 where not one fits, or sizes are none.
#[must_use]
pub fn room(outline: &Outline, zone: Option<&Zone>, ask: &Request) -> usize {
    let one = Request { blocks: 1, ..*ask };
    if one.sizes().is_err() {
        return 0;
    }
    search(&mut Ground::new(outline, zone), &one).1
}

/// The best candidate that holds all blocks, and the most blocks any candidate held.
pub(super) fn search(ground: &mut Ground<'_>, ask: &Request) -> (Option<Candidate>, usize) {
    let first: Vec<f64> = ask.angle_deg.map_or_else(|| vec![0.0, 90.0], |a| vec![a]);
    let turned: Vec<f64> = if ask.angle_deg.is_none() {
        (TURN..180)
            .step_by(TURN)
            .filter(|&a| a != 90)
            .map(|a| a as f64)
            .collect()
    } else {
        Vec::new()
    };
    let mut most = 0;
    for angles in [first, turned] {
        let mut best: Option<Candidate> = None;
        for angle_deg in angles {
            let region = ground.turned(angle_deg);
            for shape in ask.shape.arrays() {
                let array = Array::new(ask, angle_deg, shape);
                try_array(region, ask.blocks, array, &mut best, &mut most);
            }
        }
        if best.is_some() {
            return (best, most);
        }
    }
    (None, most)
}

/// Tries every start for one direction and one array of plots.
fn try_array(
    region: &Region,
    blocks: usize,
    array: Array,
    best: &mut Option<Candidate>,
    most: &mut usize,
) {
    let size = array.size();
    let share = |i: usize| i as f64 / STARTS as f64;
    for up in (0..=STARTS).map(|i| {
        if i == STARTS {
            slack(region, size[1])
        } else {
            share(i)
        }
    }) {
        let rows: Rows = rows(region, size[1], up);
        // A lattice keeps columns in line; ragged rows are for greens where it holds too few.
        let mut trials: Vec<Vec<Run>> = (0..STARTS)
            .map(|i| lattice(region, &rows, size[0], share(i)))
            .collect();
        let in_line = trials.iter().map(|runs| tiles(runs)).max().unwrap_or(0);
        if in_line < blocks {
            trials.push(ragged(&rows, size[0]));
        }
        for runs in trials {
            let number = tiles(&runs);
            *most = (*most).max(number);
            if number < blocks || best.as_ref().is_some_and(|b| array.beaten_by(b)) {
                continue;
            }
            let found = Candidate::new(array, &runs, blocks, region.middle);
            if best.as_ref().is_none_or(|b| found.better_than(b)) {
                *best = Some(found);
            }
        }
    }
}

/// The start that centres the rows between the lowest and the highest point.
fn slack(region: &Region, height: f64) -> f64 {
    let room = (region.high[1] - region.low[1]) / height;
    (room - room.floor()) / 2.0
}

fn placement(ground: &mut Ground<'_>, found: &Candidate, most_blocks: usize) -> Placement {
    let region = ground.turned(found.angle_deg());
    let blocks = found.blocks().into_iter().enumerate();
    let sites = blocks.flat_map(|(block, plots)| {
        plots.into_iter().map(move |(centre, row, column)| {
            let [x_m, y_m] = region.restored(centre);
            Site {
                x_m,
                y_m,
                block,
                row,
                column,
            }
        })
    });
    Placement {
        sites: sites.collect(),
        angle_deg: found.angle_deg(),
        most_blocks,
    }
}
