//! Many questions about one outline: inside by a margin?

use std::cell::OnceCell;

use super::Outline;
use super::edges::Edges;
use crate::Error;

/// Squares laid over the box round the green, along each axis.
const SQUARES: usize = 128;
/// Places looked at in a square of which nothing is certain, along each axis.
const PLACES: usize = 4;
/// Least share of the green that a margin must leave: a sample from less says nothing about the green.
const LEAST_LEFT: f64 = 0.01;

/// An outline prepared for many points and one margin.
///
/// Edges stand in an index; a square of ground that is found to lie wholly within or wholly without the margin
/// answers at once from then on.
#[derive(Debug, Clone)]
pub struct Clearance {
    edges: Edges,
    low: [f64; 2],
    high: [f64; 2],
    margin_m: f64,
    squares: Vec<OnceCell<Option<bool>>>,
}

impl Clearance {
    /// Prepares the ground, holes included, for a margin.
    ///
    /// # Errors
    /// A margin that is no width, or that leaves less than a hundredth of the green.
    pub fn new(outline: &Outline, margin_m: f64) -> Result<Self, Error> {
        width(margin_m)?;
        let (low, high) = outline.bounds();
        let index = Self {
            edges: Edges::of_ground(&outline.ground),
            low,
            high,
            margin_m,
            squares: vec![OnceCell::new(); SQUARES * SQUARES],
        };
        let least = LEAST_LEFT * outline.area_m2();
        if margin_m > 0.0 && index.left_m2() < least {
            return Err(Error::new(
                "margin",
                format!(
                    "a margin of {margin_m} m leaves next to nothing of {:.0} m2",
                    outline.area_m2()
                ),
                "Choose a narrower margin.",
            ));
        }
        Ok(index)
    }

    /// Whether a point lies on the green and at least the margin from its edge and every hole.
    #[must_use]
    pub fn inside(&self, x_m: f64, y_m: f64) -> bool {
        let p = [x_m, y_m];
        if (0..2).any(|axis| p[axis] < self.low[axis] || p[axis] > self.high[axis]) {
            return false;
        }
        let at = [0, 1].map(|axis| {
            let share = (p[axis] - self.low[axis]) / (self.high[axis] - self.low[axis]);
            whole(share * SQUARES as f64).min(SQUARES - 1)
        });
        self.square(at[1] * SQUARES + at[0])
            .unwrap_or_else(|| self.clear(p))
    }

    fn clear(&self, p: [f64; 2]) -> bool {
        self.edges.nearest_squared(p) >= self.margin_m.powi(2) && self.edges.surround(p)
    }

    /// Sides of a square.
    fn side(&self) -> [f64; 2] {
        [0, 1].map(|axis| (self.high[axis] - self.low[axis]) / SQUARES as f64)
    }

    /// A place in a square, by shares of its sides.
    fn place(&self, i: usize, shares: [f64; 2]) -> [f64; 2] {
        let (side, at) = (self.side(), [i % SQUARES, i / SQUARES]);
        [0, 1].map(|axis| (at[axis] as f64 + shares[axis]).mul_add(side[axis], self.low[axis]))
    }

    /// What is certain of a whole square of ground.
    fn square(&self, i: usize) -> Option<bool> {
        *self.squares[i].get_or_init(|| self.certain(i))
    }

    /// The same, from the square's middle and its half diagonal.
    fn certain(&self, i: usize) -> Option<bool> {
        let middle = self.place(i, [0.5; 2]);
        let half = self.side()[0].hypot(self.side()[1]) / 2.0;
        let nearest = self.edges.nearest_squared(middle).sqrt();
        // Every point of the square is nearer than the margin to the same edge.
        if nearest + half < self.margin_m {
            return Some(false);
        }
        if self.edges.surround(middle) {
            (nearest > self.margin_m + half).then_some(true)
        } else {
            (nearest > half).then_some(false)
        }
    }

    /// Ground that the margin leaves, square metres: whole squares, and others by places in them.
    fn left_m2(&self) -> f64 {
        let share = |i: usize| match self.square(i) {
            Some(clear) => f64::from(u8::from(clear)),
            None => self.share_of(i),
        };
        let [east, north] = self.side();
        (0..self.squares.len()).map(share).sum::<f64>() * east * north
    }

    fn share_of(&self, i: usize) -> f64 {
        let at = |k: usize| (k as f64 + 0.5) / PLACES as f64;
        let places = (0..PLACES * PLACES).map(|k| self.place(i, [at(k % PLACES), at(k / PLACES)]));
        let clear = places.filter(|&p| self.clear(p)).count();
        clear as f64 / (PLACES * PLACES) as f64
    }
}

/// Checks that a margin is a width.
pub(super) fn width(margin_m: f64) -> Result<(), Error> {
    if margin_m.is_finite() && margin_m >= 0.0 {
        return Ok(());
    }
    Err(Error::new(
        "margin",
        format!("{margin_m} m is not a width"),
        "Give the margin in metres, 0 or more.",
    ))
}

/// A float of at least 0 as a whole number.
fn whole(value: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "positive by the caller; the cast drops the fraction and saturates"
    )]
    let whole = value as usize;
    whole
}
