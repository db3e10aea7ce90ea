//! Pegging out in words: which way, and why.

use super::choice::{Choice, LONGEST_TAPE_M};
use super::{EdgePlace, Method, Pegging};

/// Why a way was taken.
pub(super) fn because(choice: &Choice) -> String {
    let [least, most] = choice.crossings;
    let [tapes, squares] = [choice.worst_mm.two_tapes, choice.worst_mm.squares].map(|mm| mm / 10.0);
    let [a, b, c] = choice.triangle_m();
    let triangle = format!("{a}, {b} and {c} m");
    match choice.method {
        Method::TwoTapes => format!(
            "Two tapes cross at {least:.0} to {most:.0} degrees: read to 1 cm each, they set the worst peg to {tapes:.1} cm, where \
             squares from a string close by would set it to {squares:.1} cm."
        ),
        Method::Squares if choice.tapes_need_m > LONGEST_TAPE_M => format!(
            "Tapes that cross well would have to be {:.0} m long: squares of {triangle} from a string close by, read to 1 cm, set the \
             worst peg to {squares:.1} cm.",
            choice.tapes_need_m
        ),
        Method::Squares if !choice.tapes_hold => format!(
            "Tapes of {LONGEST_TAPE_M} m would cross at {least:.0} to {most:.0} degrees, too flat or too sharp to bring a peg back to the \
             centimetre: squares of {triangle} from a string close by, read to 1 cm, set the worst peg to {squares:.1} cm."
        ),
        Method::Squares => format!(
            "Squares of {triangle} from a string close by, read to 1 cm, set the worst peg to {squares:.1} cm, where two crossing tapes \
             would set it to {tapes:.1} cm."
        ),
    }
}

impl Pegging {
    /// What is done, step by step; `peg` is what a corner is called in the table beside it.
    #[must_use]
    pub fn steps(&self) -> Vec<String> {
        let base = metres(self.base_m);
        let [a, b, c] = self.triangle_m;
        let mut steps = vec![
            format!(
                "Stretch a string of {base} from mark P to mark Q, with all plots to its left as you walk from P. {}",
                self.found_again()
            ),
            "Drive a peg at both marks and leave them in: every later check starts from them."
                .to_owned(),
        ];
        let squares = format!(
            "lay a tape along the string with its nought at P. At the figure under \"along\" set out a square: {a} m square to the string \
             and {b} m along it are {c} m apart. Measure the figure under \"off\" along the square."
        );
        let tapes = "hook one tape at P and one at Q, pull both level and taut, and set the peg where the figures under \"P\" and \"Q\" \
                     meet, on the plots' side of the string.";
        let reserve = match self.method {
            Method::TwoTapes => {
                steps.push(format!("By two tapes: {tapes}"));
                format!("Where something stands in the way of a tape, by squares: {squares}")
            }
            Method::Squares => {
                steps.push(format!("By squares: {squares}"));
                self.tapes_in_reserve(tapes)
            }
        };
        steps.push(reserve);
        steps.push(
            "Check every plot before you leave it: both diagonals must come to the figure in its row, and so must the distance between its \
             near left peg and that of the plot before. More than 3 cm out: measure again."
                .to_owned(),
        );
        steps
    }

    /// The distance between the marks, in words.
    #[must_use]
    pub fn base(&self) -> String {
        metres(self.base_m)
    }

    /// How the tapes do where squares are better.
    fn tapes_in_reserve(&self, tapes: &str) -> String {
        let rounding = self.rounding_mm.two_tapes;
        if rounding > 100.0 || self.longest_tape_m > LONGEST_TAPE_M {
            return "Do not use the distances from P and Q to set pegs here: they cross too flat or are too long. They serve as a check."
                .to_owned();
        }
        format!(
            "Two tapes serve as a check here; by themselves they bring a peg back to within {:.0} cm: {tapes}",
            (rounding / 10.0).ceil()
        )
    }

    /// By which places of the edge the string is found.
    fn found_again(&self) -> String {
        let named = |which: &str| self.edge.iter().find(|at| at.which == which);
        let (Some(near), Some(left), Some(right)) =
            (named("nearest"), named("leftmost"), named("rightmost"))
        else {
            return String::new();
        };
        format!(
            "It lies right when the green's edge {}, and when its two ends, taken square to the string, lie {} and {}.",
            nearest(near),
            along(left),
            along(right)
        )
    }
}

/// "comes nearest to it 4.20 m from P, at 1.50 m".
fn nearest(at: &EdgePlace) -> String {
    let place = along(at);
    if at.offset_m < 0.0 {
        format!(
            "reaches furthest across it {place}, by {:.2} m",
            -at.offset_m
        )
    } else {
        format!("comes nearest to it {place}, at {:.2} m", at.offset_m)
    }
}

/// "4.20 m from P", or "0.30 m before P".
fn along(at: &EdgePlace) -> String {
    if at.along_m < 0.0 {
        format!("{:.2} m before P", -at.along_m)
    } else {
        format!("{:.2} m from P", at.along_m)
    }
}

/// A distance to the centimetre, to the millimetre where it has one.
fn metres(m: f64) -> String {
    let whole = (m * 100.0 - (m * 100.0).round()).abs() < 1e-6;
    if whole {
        format!("{m:.2} m")
    } else {
        format!("{m:.3} m")
    }
}
