//! The search for a direction, a start and a shape of block that hold what is asked.

use super::pack::{Rows, lattice, ragged, rows};
use super::region::Region;
use super::request::{LEAST_SIDE, Placement, Request, Site};
use super::walk::to_and_fro;
use crate::Error;
use crate::area::{Outline, Zone};
use crate::text::spelling::number;

/// Starts tried along each axis, as shares of a tile.
const STARTS: usize = 16;
/// Step between directions tried when the axes do not serve, degrees.
const TURN: usize = 15;

/// A block as found: centres in turned axes, with row and column.
type Block = Vec<([f64; 2], usize, usize)>;

/// Blocks that fit at one direction and start.
struct Candidate {
    angle_deg: f64,
    blocks: Vec<Block>,
    /// Greatest distance between two plots of a block, metres, doubled where its array has idle
    /// tiles: a full row looks and walks better than a slightly shorter torn one.
    spread: f64,
    /// Mean distance of the blocks from the middle of the ground, metres.
    off_centre: f64,
}

/// Places the blocks asked for.
///
/// # Errors
/// A size that is not a positive length, or too little room; then the message says how many blocks
/// do fit and which plot size would.
pub fn place(outline: &Outline, zone: Option<&Zone>, ask: &Request) -> Result<Placement, Error> {
    ask.sizes()?;
    let (best, most) = search(outline, zone, ask);
    match best {
        Some(found) => Ok(placement(outline, zone, ask, &found, most)),
        None => Err(too_tight(outline, zone, ask, most)),
    }
}

/// The best candidate that holds all blocks, and the most blocks any candidate held.
fn search(outline: &Outline, zone: Option<&Zone>, ask: &Request) -> (Option<Candidate>, usize) {
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
            let region = Region::new(outline, zone, angle_deg);
            for array in ask.shape.arrays() {
                try_array(&region, ask, angle_deg, array, &mut best, &mut most);
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
    ask: &Request,
    angle_deg: f64,
    (down, across): (usize, usize),
    best: &mut Option<Candidate>,
    most: &mut usize,
) {
    let tile = [
        2.0f64.mul_add(ask.guard_m, ask.length_m),
        2.0f64.mul_add(ask.guard_m, ask.width_m),
    ];
    let size = [tile[0] * across as f64, tile[1] * down as f64];
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
        let mut trials: Vec<Vec<[f64; 2]>> = (0..STARTS)
            .map(|i| lattice(region, &rows, size[0], share(i)))
            .collect();
        let in_line = trials.iter().map(Vec::len).max().unwrap_or(0);
        if in_line < ask.blocks {
            trials.push(ragged(&rows, size[0]));
        }
        for corners in trials {
            *most = (*most).max(corners.len());
            if corners.len() < ask.blocks {
                continue;
            }
            let found = candidate(
                ask,
                angle_deg,
                &corners,
                region.middle,
                tile,
                (down, across),
            );
            if best.as_ref().is_none_or(|b| better(&found, b)) {
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

fn better(a: &Candidate, b: &Candidate) -> bool {
    // Differences below a micrometre are rounding.
    (a.spread + 1e-6 < b.spread)
        || (a.spread < b.spread + 1e-6 && a.off_centre + 1e-6 < b.off_centre)
}

/// Keeps the asked number of blocks, those nearest the middle of the ground, and measures them.
fn candidate(
    ask: &Request,
    angle_deg: f64,
    corners: &[[f64; 2]],
    middle: [f64; 2],
    tile: [f64; 2],
    (down, across): (usize, usize),
) -> Candidate {
    let half = [tile[0] * across as f64 / 2.0, tile[1] * down as f64 / 2.0];
    let far = |c: &[f64; 2]| (c[0] + half[0] - middle[0]).hypot(c[1] + half[1] - middle[1]);
    let mut kept = corners.to_vec();
    kept.sort_by(|a, b| far(a).total_cmp(&far(b)));
    kept.truncate(ask.blocks);
    let off_centre = kept.iter().map(far).sum::<f64>() / kept.len() as f64;
    let idle = down * across > ask.shape.plots();
    let used_rows = ask.shape.plots().div_ceil(across).min(down);
    let spread = (tile[0] * (across - 1) as f64).hypot(tile[1] * (used_rows - 1) as f64);
    let centres: Vec<[f64; 2]> = kept
        .iter()
        .map(|c| [c[0] + half[0], c[1] + half[1]])
        .collect();
    let blocks = to_and_fro(&centres, 2.0 * half[1])
        .into_iter()
        .map(|(i, eastward)| array(kept[i], tile, across, ask.shape.plots(), eastward))
        .collect();
    Candidate {
        angle_deg,
        blocks,
        spread: if idle { 2.0 * spread } else { spread },
        off_centre,
    }
}

/// The plots of one block, row by row, walked to and fro from its western or eastern end.
fn array(corner: [f64; 2], tile: [f64; 2], across: usize, plots: usize, eastward: bool) -> Block {
    (0..plots)
        .map(|i| {
            let row = i / across;
            let along = i % across;
            let column = if row.is_multiple_of(2) == eastward {
                along
            } else {
                across - 1 - along
            };
            let centre = [
                tile[0].mul_add(column as f64 + 0.5, corner[0]),
                tile[1].mul_add(row as f64 + 0.5, corner[1]),
            ];
            (centre, row, column)
        })
        .collect()
}

fn placement(
    outline: &Outline,
    zone: Option<&Zone>,
    ask: &Request,
    found: &Candidate,
    most_blocks: usize,
) -> Placement {
    let region = Region::new(outline, zone, found.angle_deg);
    let sites = found
        .blocks
        .iter()
        .take(ask.blocks)
        .enumerate()
        .flat_map(|(block, plots)| plots.iter().map(move |p| (block, p)))
        .map(|(block, &(centre, row, column))| {
            let [x_m, y_m] = region.restored(centre);
            Site {
                x_m,
                y_m,
                block,
                row,
                column,
            }
        })
        .collect();
    Placement {
        sites,
        angle_deg: found.angle_deg,
        most_blocks,
    }
}

/// Says what stopped the layout, how many blocks fit, and which plot would.
fn too_tight(outline: &Outline, zone: Option<&Zone>, ask: &Request, most: usize) -> Error {
    // Twentieths of the asked size; the largest found to fit by halving is offered.
    let fits = |twentieths: u32| {
        let share = f64::from(twentieths) / 20.0;
        let smaller = Request {
            length_m: round_down(ask.length_m * share),
            width_m: round_down(ask.width_m * share),
            ..*ask
        };
        let sound = smaller.length_m >= LEAST_SIDE && smaller.width_m >= LEAST_SIDE;
        (sound && search(outline, zone, &smaller).0.is_some()).then_some(smaller)
    };
    let (mut low, mut high, mut offer) = (0, 20, None);
    while high - low > 1 {
        let middle = u32::midpoint(low, high);
        if let Some(smaller) = fits(middle) {
            (low, offer) = (middle, Some(smaller));
        } else {
            high = middle;
        }
    }
    let fewer = if most > 0 {
        format!("Ask for {}", number(most, "block"))
    } else {
        "Measure a larger green".to_owned()
    };
    let cure = offer.map_or_else(
        || format!("{fewer}, or make the guard narrower."),
        |s| {
            format!(
                "{fewer}, or make the plots {:.1} m by {:.1} m, or the guard narrower.",
                s.length_m, s.width_m
            )
        },
    );
    let where_to = zone.map_or_else(
        || "the green".to_owned(),
        |z| format!("the zone {}", z.name),
    );
    Error::new(
        "trial.toml [design] blocks",
        format!(
            "{} of {}, each plot {} m by {} m with a guard of {} m, do not fit on {where_to}: at most {} would",
            number(ask.blocks, "block"),
            number(ask.shape.plots(), "plot"),
            ask.length_m,
            ask.width_m,
            ask.guard_m,
            number(most, "complete block"),
        ),
        cure,
    )
}

fn round_down(metres: f64) -> f64 {
    (metres * 10.0 + 1e-9).floor() / 10.0
}
