//! Rolls of the shed and rolls on sale, as the cutting takes them.

use super::super::rolls::{Problem, Sale};
use super::sort::{Material, Sort};

/// A rest of the shed shorter than this is left there, metres: hardly a piece is as short.
const LEAST_REST_M: f64 = 0.5;

/// A problem of cutting, and the sorts that its rolls are of.
#[derive(Debug)]
pub(super) struct Cuttable {
    pub(super) problem: Problem,
    /// Sort of each roll of the shed.
    pub(super) shed: Vec<usize>,
    /// Sort of each roll on sale.
    pub(super) sale: Vec<usize>,
}

/// Strips of a material and the rolls that they can be cut from.
pub(super) fn cuttable(
    material: &Material,
    sorts: &[Sort],
    strips_m: impl Iterator<Item = f64>,
    by_price: bool,
) -> Cuttable {
    let (mut shed, mut lengths) = (Vec::new(), Vec::new());
    for &s in &material.sorts {
        for length in in_shed(&sorts[s]) {
            shed.push(s);
            lengths.push(millimetres(length));
        }
    }
    let sale = material.sorts.iter().map(|&s| Sale {
        length_mm: millimetres(sorts[s].size.length_m()),
        cost: cost(&sorts[s], by_price),
    });
    Cuttable {
        problem: Problem {
            strips: strips_m.map(millimetres).collect(),
            shed: lengths,
            sale: sale.collect(),
        },
        shed,
        sale: material.sorts.clone(),
    }
}

/// Lengths of the rolls in the shed, metres: whole ones and a rest.
fn in_shed(sort: &Sort) -> Vec<f64> {
    let metres = sort.in_stock_m2 / sort.size.width_m();
    let whole = sort.size.length_m();
    // A roll that is short by a millionth is a whole one: the square metres were rounded.
    let count = (metres / whole + 1e-6).floor();
    let rest = metres - count * whole;
    let mut lengths = vec![whole; usize::from(capped(count))];
    if rest >= LEAST_REST_M {
        lengths.push(rest);
    }
    lengths
}

/// What a roll costs, in hundredths, or its sheet in hundredths of a square metre where prices do not tell.
fn cost(sort: &Sort, by_price: bool) -> u64 {
    let what = if by_price { sort.price } else { None };
    hundredths(what.unwrap_or_else(|| sort.size.area_m2()))
}

/// Rolls of the shed that are looked at: no green takes more.
const MOST_ROLLS: f64 = 500.0;

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "from 0 to 500"
)]
fn capped(count: f64) -> u16 {
    count.clamp(0.0, MOST_ROLLS) as u16
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a price or an area of the ranges, from 0 to a hundred thousand million hundredths"
)]
fn hundredths(of: f64) -> u64 {
    (100.0 * of).round().max(0.0) as u64
}

/// Rounded to the nearest: strips are whole decimetres or whole rolls, and both round alike.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "above 0, and no roll is longer than a kilometre"
)]
fn millimetres(length_m: f64) -> u64 {
    (length_m * 1000.0).round() as u64
}
