//! The patterns themselves.

use halfgreen_analysis::random::Generator;

use super::Pattern;
use crate::Error;
use crate::area::{Clearance, Outline};
use crate::design::times::times;

/// Stream of the generator for sample grids.
const STREAM: u64 = 1;
/// Legs of a zigzag: a W.
const LEGS: usize = 4;

/// A green ready to be sampled.
pub(super) struct Ground<'a> {
    pub(super) clearance: Clearance,
    low: [f64; 2],
    high: [f64; 2],
    margin_m: f64,
    seed: u64,
    outline: &'a Outline,
}

impl<'a> Ground<'a> {
    /// # Errors
    /// A margin that leaves next to nothing of the green.
    pub(super) fn new(outline: &'a Outline, margin_m: f64, seed: u64) -> Result<Self, Error> {
        let (low, high) = outline.bounds();
        let clearance = Clearance::new(outline, margin_m).map_err(|e| Error {
            place: "--margin".to_owned(),
            ..e
        })?;
        Ok(Self {
            clearance,
            low,
            high,
            margin_m,
            seed,
            outline,
        })
    }

    fn generator(&self) -> Generator {
        Generator::new(self.seed, STREAM)
    }

    fn takes(&self, [x, y]: [f64; 2]) -> bool {
        self.clearance.inside(x, y)
    }
}

/// Points of a pattern at a spacing, unordered.
pub(super) fn spaced(ground: &Ground<'_>, pattern: Pattern, spacing: f64) -> Vec<[f64; 2]> {
    match pattern {
        Pattern::Square => net(ground, [spacing, spacing], 0.0),
        Pattern::Triangular => net(ground, [spacing, spacing * 0.75_f64.sqrt()], 0.5),
        Pattern::Stratified => stratified(ground, spacing),
        Pattern::Zigzag => zigzag(ground, spacing),
        Pattern::Random => Vec::new(),
    }
}

/// A net with a random start; every second row is shifted by `shift` of a step.
fn net(ground: &Ground<'_>, step: [f64; 2], shift: f64) -> Vec<[f64; 2]> {
    let mut chance = ground.generator();
    let start = [0, 1].map(|axis| (chance.unit() - 1.0).mul_add(step[axis], ground.low[axis]));
    let rows = times(ground.high[1] - start[1], step[1]) + 1;
    let columns = times(ground.high[0] - start[0], step[0]) + 1;
    let place = |row: usize, column: usize| {
        let odd = if row % 2 == 1 { shift } else { 0.0 };
        [
            (column as f64 + odd).mul_add(step[0], start[0]),
            (row as f64).mul_add(step[1], start[1]),
        ]
    };
    (0..rows)
        .flat_map(|row| (0..columns).map(move |column| place(row, column)))
        .filter(|&p| ground.takes(p))
        .collect()
}

/// One point at random in each cell of a net with a random start.
fn stratified(ground: &Ground<'_>, side: f64) -> Vec<[f64; 2]> {
    let mut chance = ground.generator();
    let start = [0, 1].map(|axis| (chance.unit() - 1.0).mul_add(side, ground.low[axis]));
    let rows = times(ground.high[1] - start[1], side) + 1;
    let columns = times(ground.high[0] - start[0], side) + 1;
    let mut points = Vec::new();
    for row in 0..rows {
        for column in 0..columns {
            let point = [
                (column as f64 + chance.unit()).mul_add(side, start[0]),
                (row as f64 + chance.unit()).mul_add(side, start[1]),
            ];
            if ground.takes(point) {
                points.push(point);
            }
        }
    }
    points
}

/// Points at equal steps along a W over the box round the green, along its longer side.
fn zigzag(ground: &Ground<'_>, step: f64) -> Vec<[f64; 2]> {
    let span = [0, 1].map(|axis| ground.high[axis] - ground.low[axis]);
    let along = usize::from(span[1] > span[0]);
    let leg = (span[along] / LEGS as f64).hypot(span[1 - along]);
    let first = ground.generator().unit() * step;
    let number = times(LEGS as f64 * leg - first, step) + 1;
    (0..number)
        .map(|i| {
            let gone = ((i as f64).mul_add(step, first) / leg).min(LEGS as f64);
            // Up and down between the sides: 0, 1, 0, 1, 0.
            let across = 1.0 - (gone.rem_euclid(2.0) - 1.0).abs();
            let mut point = [0.0; 2];
            point[along] = (gone / LEGS as f64).mul_add(span[along], ground.low[along]);
            point[1 - along] = across.mul_add(span[1 - along], ground.low[1 - along]);
            point
        })
        .filter(|&p| ground.takes(p))
        .collect()
}

/// A number of points anywhere on the ground, every place alike, by rejection from the box round it.
pub(super) fn random(ground: &Ground<'_>, number: usize) -> Result<Vec<[f64; 2]>, Error> {
    let mut chance = ground.generator();
    // Ground that fills less than a ten-thousandth of its box is none that cores can be taken from.
    let tries = 10_000 * number + 1_000_000;
    let points: Vec<[f64; 2]> = (0..tries)
        .map(|_| {
            [0, 1].map(|axis| {
                chance
                    .unit()
                    .mul_add(ground.high[axis] - ground.low[axis], ground.low[axis])
            })
        })
        .filter(|&p| ground.takes(p))
        .take(number)
        .collect();
    if points.len() < number {
        return Err(Error::in_field(
            "margin",
            format!(
                "a margin of {} m leaves next to nothing of {:.0} m2",
                ground.margin_m,
                ground.outline.area_m2()
            ),
            "Choose a narrower margin.",
        ));
    }
    Ok(points)
}
