//! Which way to peg out by, and from which base line.
//!
//! For squares the line runs close along the longer side of all plots. For two tapes the marks are looked for along each of
//! the four sides, at every distance and length: those that keep every crossing between 60 and 120 degrees with the shortest
//! tapes; where none do within a tape of 50 m, those that come closest to it.

use geo::{Contains, Point};
use serde::Serialize;

use super::base_line::{BaseLine, Side};
use super::two_tapes::{self, HALF_CENTIMETRE, stretch};
use super::{Worst, squares};
use crate::area::Outline;

/// Longest tape that greens are measured with, metres. Common practice, no source.
pub(super) const LONGEST_TAPE_M: f64 = 50.0;
/// Standard error with which a tape is read in the field, metres. Common practice, no source.
pub(super) const READING_M: f64 = 0.01;
/// How far rounding may move a peg, metres.
const WISHED_M: f64 = 0.01;
/// How much of that is kept for marks that are set to whole centimetres, metres.
const SPARE_M: f64 = 0.0001;
/// Steps in which lengths are tried, metres, on a ground of 40 m; wider ones on wider ground.
const STEP_M: f64 = 0.5;
/// Least distance from the base line to a plot, metres, so that a mark is no peg.
const GAP_M: f64 = 1.0;

/// By what a peg is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// Two tapes from the marks.
    TwoTapes,
    /// Along the base line, then square to it.
    Squares,
}

/// The way taken, its base line, and how good both ways are from their own base lines.
#[derive(Debug, Clone)]
pub(super) struct Choice {
    pub(super) method: Method,
    pub(super) line: BaseLine,
    /// Worst standard errors, millimetres: of each way from the base line that suits it.
    pub(super) worst_mm: Worst,
    /// What rounding does at most, millimetres: of both ways from the line taken.
    pub(super) rounding_mm: Worst,
    /// Smallest and largest crossing of tapes from their own marks, degrees.
    pub(super) crossings: [f64; 2],
    /// Longest tape from the marks taken.
    pub(super) longest_tape_m: f64,
    /// Longest tape from the marks that suit two tapes.
    pub(super) tapes_need_m: f64,
    /// Whether tapes from their own marks bring pegs back to the centimetre.
    pub(super) tapes_hold: bool,
}

impl Choice {
    /// The better way to peg `corners` out, plots lying in the direction `angle_deg` in guards of `guard_m`.
    pub(super) fn of(
        corners: &[[f64; 2]],
        angle_deg: f64,
        guard_m: f64,
        outline: &Outline,
    ) -> Self {
        let sides = Side::all(corners, angle_deg);
        let for_squares = line_for_squares(&sides, guard_m);
        let for_tapes = line_for_tapes(&sides, outline);
        let worst_mm = Worst {
            two_tapes: 1000.0 * two_tapes::standard_error(&for_tapes, corners, READING_M),
            squares: 1000.0 * squares::standard_error(&for_squares, corners, READING_M),
        };
        let tapes_need_m = two_tapes::longest(&for_tapes, corners);
        let tapes_hold = two_tapes::bound(&for_tapes, corners, HALF_CENTIMETRE) <= WISHED_M;
        let usable = tapes_hold && tapes_need_m <= LONGEST_TAPE_M;
        let (method, line) = if usable && worst_mm.two_tapes <= worst_mm.squares {
            (Method::TwoTapes, for_tapes)
        } else {
            (Method::Squares, for_squares)
        };
        Self {
            method,
            line,
            worst_mm,
            rounding_mm: Worst {
                two_tapes: 1000.0 * two_tapes::bound(&line, corners, HALF_CENTIMETRE),
                squares: 1000.0 * squares::rounding(),
            },
            crossings: two_tapes::crossings(&for_tapes, corners),
            longest_tape_m: two_tapes::longest(&line, corners),
            tapes_need_m,
            tapes_hold,
        }
    }

    /// Sides of the triangle that sets a square out on the line.
    pub(super) fn triangle_m(&self) -> [f64; 3] {
        let n = squares::multiple(self.line.length());
        [3.0 * n, 4.0 * n, 5.0 * n]
    }
}

/// Close along the side from which the plots reach least far, a little longer than they are.
fn line_for_squares(sides: &[Side; 4], guard_m: f64) -> BaseLine {
    let gap = (guard_m + STEP_M).max(GAP_M);
    let by_depth = |a: &&Side, b: &&Side| a.depth_m.total_cmp(&b.depth_m);
    let side = sides.iter().min_by(by_depth).unwrap_or(&sides[0]);
    side.base_line((side.width_m + 2.0 * STEP_M).ceil(), gap)
}

/// Marks for two tapes that were tried, by what speaks for and against them.
#[derive(Debug, Clone, Copy)]
struct Tried {
    /// Whether a mark lies in a hole.
    in_a_hole: bool,
    /// How far rounding moves the worst peg, as a multiple of that in a tape.
    stretch: f64,
    longest_m: f64,
    side: Side,
    length_m: f64,
    gap_m: f64,
}

impl Tried {
    fn line(&self) -> BaseLine {
        self.side.base_line(self.length_m, self.gap_m)
    }

    fn within_tape(&self) -> bool {
        self.longest_m <= LONGEST_TAPE_M
    }

    fn holds(&self) -> bool {
        self.stretch * HALF_CENTIMETRE <= WISHED_M - SPARE_M
    }

    /// Rank by which the least is taken: first what can be done at all, then what is easier.
    fn rank(&self) -> [f64; 4] {
        let (good, short) = (self.holds(), self.within_tape());
        let class = match (good, short) {
            (true, true) => 0.0,
            (false, true) => 1.0,
            (true, false) => 2.0,
            (false, false) => 3.0,
        };
        let next = if good { self.longest_m } else { self.stretch };
        [
            class,
            f64::from(u8::from(self.in_a_hole)),
            next,
            self.stretch,
        ]
    }
}

fn line_for_tapes(sides: &[Side; 4], outline: &Outline) -> BaseLine {
    let mut best: Option<Tried> = None;
    for side in sides {
        let size = side.width_m + side.depth_m;
        let step = STEP_M * (size / 40.0).ceil().max(1.0);
        for length in steps(step, 2.0 * size) {
            for gap in steps(step, size) {
                let mut tried = tried(side, length, gap.max(GAP_M));
                let holds = tried.holds();
                if best.as_ref().is_none_or(|best| tried.rank() < best.rank()) {
                    tried.in_a_hole = in_a_hole(&tried.line(), outline);
                    if best.as_ref().is_none_or(|best| tried.rank() < best.rank()) {
                        best = Some(tried);
                    }
                }
                // Further off, the tapes of this base line only grow.
                if holds && !tried.in_a_hole {
                    break;
                }
            }
        }
    }
    // There is always one: every side has a first length and gap.
    best.map_or_else(|| sides[0].base_line(STEP_M, GAP_M), |best| best.line())
}

fn steps(step: f64, most: f64) -> impl Iterator<Item = f64> {
    (1_u32..)
        .map(move |i| f64::from(i) * step)
        .take_while(move |x| *x <= most.max(2.0 * step))
}

/// What marks would do for the box round all plots: its corners see them under the smallest angles, the middle of its near
/// side under the largest.
fn tried(side: &Side, length: f64, gap: f64) -> Tried {
    let half = [length / 2.0, side.width_m / 2.0];
    let angle = |across: f64, off: f64| {
        let to = |mark: f64| (mark - across).atan2(off);
        to(half[0]) - to(-half[0])
    };
    let far = gap + side.depth_m;
    let least = angle(half[1], far).min(angle(half[1], gap));
    let most = angle(0.0, gap);
    Tried {
        in_a_hole: false,
        stretch: stretch(least).max(stretch(most)),
        longest_m: (half[0] + half[1]).hypot(far),
        side: *side,
        length_m: length,
        gap_m: gap,
    }
}

fn in_a_hole(line: &BaseLine, outline: &Outline) -> bool {
    let marks = [line.p, line.q];
    let mut holes = outline.holes.iter();
    holes.any(|hole| {
        marks
            .iter()
            .any(|&[x, y]| hole.ground.contains(&Point::new(x, y)))
    })
}
