//! How fine a p-value the draw can give, and how many degrees of freedom are left for error.

use num_bigint::BigUint;

use super::carry_over::{chance_of_two, plots};
use super::counting::{arrangements, factorial, latin_squares};
use super::scheme::{Kind, Scheme};
use crate::Error;

/// What a design could show at its very best.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Resolution {
    /// Smallest two-sided p of the randomisation test of one treatment against the control when all
    /// treatments are re-drawn: the share of allocations that put the two on their own plots, and
    /// on each other's where both have as many plots. The largest over treatments.
    pub smallest_p: f64,
    /// The same when only these two are exchanged and all others stay, as must be when the others
    /// may work; absent for squares and split plots and under rules, where exchanges are not free.
    pub smallest_p_exchanging_two: Option<f64>,
    /// Degrees of freedom left for error in the analysis of variance of the design; for a split plot
    /// the smaller, that of whole plots.
    pub residual_df: usize,
}

/// Resolution of a design without rules; with them see [`resolution_under`](super::resolution_under).
///
/// # Errors
/// A Latin square above order 11.
pub fn resolution(scheme: &Scheme) -> Result<Resolution, Error> {
    let b = scheme.blocks.len();
    let t = scheme.treatments;
    let (all, two) = match &scheme.kind {
        Kind::Shuffled { list } => {
            let own = |treatment: usize| list.iter().filter(|&&x| x == treatment).count();
            let control = own(scheme.control);
            let worst = (0..t)
                .filter(|&x| x != scheme.control)
                .map(|x| (shuffled(list, x, scheme.control, b), own(x)))
                .max_by(|p, q| p.0.total_cmp(&q.0));
            let (all, plots) = worst.unwrap_or((1.0, control));
            let swaps = choose(plots + control, control);
            (all, Some(sides(plots == control) / power(&swaps, b)))
        }
        Kind::Split { groups } => (split(scheme, groups), None),
        Kind::Square => (square(t, b)?, None),
        Kind::CarryOver => {
            let blocks = i32::try_from(b).unwrap_or(i32::MAX);
            (2.0 * chance_of_two(t).powi(blocks), None)
        }
    };
    Ok(Resolution {
        smallest_p: all.min(1.0),
        smallest_p_exchanging_two: two.map(|p| p.min(1.0)),
        residual_df: residual_df(scheme),
    })
}

/// Two when exchanging the two treatments everywhere gives the mirror image, else one.
fn sides(mirrored: bool) -> f64 {
    if mirrored { 2.0 } else { 1.0 }
}

/// Chance that a shuffle in every block leaves treatment and control where they lie.
fn shuffled(list: &[usize], treatment: usize, control: usize, blocks: usize) -> f64 {
    let rest: Vec<usize> = list
        .iter()
        .copied()
        .filter(|&x| x != treatment && x != control)
        .collect();
    let places = arrangements(list) / arrangements(&rest);
    let count = |x: usize| list.iter().filter(|&&y| y == x).count();
    sides(count(treatment) == count(control)) / power(&places, blocks)
}

/// Split plot: the worst of a partner in the control's whole plot and one in another.
fn split(scheme: &Scheme, groups: &[Vec<usize>]) -> f64 {
    let within = groups.first().map_or(1, Vec::len);
    let together = within * (within - 1);
    let apart = groups.len() * within * (groups.len() - 1) * within;
    let home = groups.iter().find(|g| g.contains(&scheme.control));
    (0..scheme.treatments)
        .filter(|&x| x != scheme.control)
        .map(|x| {
            let ways = if home.is_some_and(|g| g.contains(&x)) {
                together
            } else {
                apart
            };
            2.0 / power(&BigUint::from(ways.max(1)), scheme.blocks.len())
        })
        .fold(0.0, f64::max)
}

/// Squares: allocations with both letters in place. Up to order 5 the fewest over all places, found
/// by listing; above, the mean over all places, n! times the derangements of n in number.
fn square(order: usize, blocks: usize) -> Result<f64, Error> {
    let all = latin_squares(order)?;
    let places = if (2..=5).contains(&order) {
        all / BigUint::from(completions(order))
    } else {
        factorial(order) * derangements(order)
    };
    Ok(2.0 / power(&places, blocks))
}

/// Fewest squares with two letters' places fixed. Reordering rows and columns changes no number, so
/// the first letter may stand on the diagonal; the second then stands on each derangement in turn.
fn completions(order: usize) -> usize {
    let mut fewest = usize::MAX;
    let mut shift: Vec<usize> = Vec::new();
    each_derangement(order, &mut shift, &mut |second| {
        fewest = fewest.min(count_filled(order, second));
    });
    fewest
}

fn each_derangement(order: usize, so_far: &mut Vec<usize>, visit: &mut dyn FnMut(&[usize])) {
    if so_far.len() == order {
        return visit(so_far);
    }
    for column in 0..order {
        if column != so_far.len() && !so_far.contains(&column) {
            so_far.push(column);
            each_derangement(order, so_far, visit);
            so_far.pop();
        }
    }
}

/// Squares with letter 0 on the diagonal and letter 1 at `second[row]` in each row.
fn count_filled(order: usize, second: &[usize]) -> usize {
    fn go(square: &mut [Vec<usize>], at: usize) -> usize {
        let order = square.len();
        if at == order * order {
            return 1;
        }
        let (row, column) = (at / order, at % order);
        if square[row][column] != usize::MAX {
            return go(square, at + 1);
        }
        let mut ways = 0;
        for letter in 2..order {
            let used = square[row].contains(&letter) || square.iter().any(|r| r[column] == letter);
            if !used {
                square[row][column] = letter;
                ways += go(square, at + 1);
                square[row][column] = usize::MAX;
            }
        }
        ways
    }
    let mut square = vec![vec![usize::MAX; order]; order];
    for (row, &column) in second.iter().enumerate() {
        square[row][row] = 0;
        square[row][column] = 1;
    }
    go(&mut square, 0)
}

/// Orders of n things that leave none in its place: D(n) = (n-1)(D(n-1) + D(n-2)).
fn derangements(n: usize) -> BigUint {
    let (mut before, mut now) = (BigUint::from(1_u8), BigUint::from(0_u8));
    for i in 2..=n {
        let next = (&before + &now) * BigUint::from(i - 1);
        before = now;
        now = next;
    }
    now
}

/// n over k.
fn choose(n: usize, k: usize) -> BigUint {
    factorial(n) / (factorial(k) * factorial(n - k))
}

/// `base`^`blocks` as a float; infinite where it passes the largest.
fn power(base: &BigUint, blocks: usize) -> f64 {
    let digits = base.to_string().parse::<f64>().unwrap_or(f64::INFINITY);
    digits.powi(i32::try_from(blocks).unwrap_or(i32::MAX))
}

/// Residual degrees of freedom of the analysis of variance that the design implies.
fn residual_df(scheme: &Scheme) -> usize {
    let b = scheme.blocks.len();
    let t = scheme.treatments;
    match &scheme.kind {
        Kind::Shuffled { list } => (b * list.len()).saturating_sub(b + t - 1),
        Kind::Split { groups } => (groups.len() - 1) * b.saturating_sub(1),
        Kind::Square => (t - 1) * (b * (t - 1)).saturating_sub(1),
        // Plots, nights within blocks, treatments and what they leave behind are taken off.
        Kind::CarryOver => (t - 1) * (b * (plots(t) - 1)).saturating_sub(2),
    }
}
