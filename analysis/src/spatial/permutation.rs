//! Fast seeded permutations, and the p-values they give.

use crate::random::Generator;
use crate::results::{Origin, PValue};

/// Shuffles `items`, each order equally likely: Fisher-Yates from the last place down.
///
/// One 64-bit word serves several places: multiplied by one place's range after another it gives a draw
/// in its upper half and what is left for the next in its lower half, and is thrown away as a whole where
/// the last remainder says that it would favour some draws (Brackett-Rozinsky & Lemire 2025, Softw. Pract.
/// Exp. 55, 155-169).
pub(super) fn permute(generator: &mut Generator, items: &mut [f64]) {
    // Products of so many ranges stay below 2^56: hardly a word in 256 is looked at twice.
    let mut left = items.len();
    left = fill::<1>(generator, items, left, 1 << 27);
    left = fill::<2>(generator, items, left, 1 << 18);
    left = fill::<3>(generator, items, left, 1 << 13);
    left = fill::<4>(generator, items, left, 1 << 11);
    left = fill::<5>(generator, items, left, 1 << 9);
    left = fill::<6>(generator, items, left, 6);
    fill::<1>(generator, items, left, 1);
}

/// Fills places from the last of the `left` down, `K` from a word, while more than `until` and at least
/// `K` are left; how many are left then.
#[inline]
fn fill<const K: usize>(
    generator: &mut Generator,
    items: &mut [f64],
    mut left: usize,
    until: usize,
) -> usize {
    while left > until.max(K - 1) {
        let (mut chosen, mut rest) = draws::<K>(generator.bits(), left);
        let choices: u64 = (0..K).map(|k| (left - k) as u64).product();
        if rest < choices {
            let least = choices.wrapping_neg() % choices;
            while rest < least {
                (chosen, rest) = draws::<K>(generator.bits(), left);
            }
        }
        for j in chosen {
            left -= 1;
            items.swap(left, j);
        }
    }
    left
}

/// One draw each below `left`, `left - 1`, ... from one word, and what is left of the word.
#[inline]
fn draws<const K: usize>(mut word: u64, left: usize) -> ([usize; K], u64) {
    let chosen = std::array::from_fn(|k| {
        let product = u128::from(word) * (left - k) as u128;
        #[expect(
            clippy::cast_possible_truncation,
            reason = "the halves of the product; the upper is below `left`"
        )]
        {
            word = product as u64;
            (product >> 64) as usize
        }
    });
    (chosen, word)
}

/// The p-value of `reached` draws at least as extreme among `draws`.
pub(super) fn sampled(reached: usize, draws: usize) -> PValue {
    PValue {
        value: (reached as f64 + 1.0) / (draws as f64 + 1.0),
        origin: Origin::Sampled(draws as u64),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each of the 24 orders of four, 48 000 shuffles.
    #[test]
    fn all_orders_come_alike() {
        let mut seen = std::collections::BTreeMap::new();
        for stream in 0..48_000 {
            let mut items = [0.0, 1.0, 2.0, 3.0];
            permute(&mut Generator::new(3, stream), &mut items);
            *seen.entry(items.map(|x| x.to_string())).or_insert(0_u32) += 1;
        }
        let chi2: f64 = seen
            .values()
            .map(|&o| (f64::from(o) - 2000.0).powi(2) / 2000.0)
            .sum();
        assert_eq!(seen.len(), 24);
        // Upper 0.1 % point of chi-squared on 23 degrees of freedom: 49.728.
        assert!(chi2 < 49.728, "{chi2}");
    }

    /// Where each of 3 000 items goes, by tenths: the first item over 5 000 shuffles.
    #[test]
    fn long_lists_are_shuffled_evenly() {
        let mut tenths = [0_u32; 10];
        for stream in 0..5_000 {
            let mut items: Vec<f64> = (0..3_000).map(f64::from).collect();
            permute(&mut Generator::new(4, stream), &mut items);
            let at = items.iter().position(|&x| x == 0.0).unwrap();
            tenths[at / 300] += 1;
        }
        let chi2: f64 = tenths
            .iter()
            .map(|&o| (f64::from(o) - 500.0).powi(2) / 500.0)
            .sum();
        // Upper 0.1 % point of chi-squared on 9 degrees of freedom: 27.877.
        assert!(chi2 < 27.877, "{tenths:?}");
    }
}
