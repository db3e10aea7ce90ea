//! The pinned shuffle by which treatments are drawn.

use super::Generator;

/// Puts `items` in random order, every order equally likely.
///
/// The rule (Fisher and Yates; Durstenfeld 1964, Algorithm 235): for i from the last place down to
/// the second, draw j with [`Generator::below`]`(i + 1)` and swap places i and j (places from 0).
pub fn shuffle<T>(generator: &mut Generator, items: &mut [T]) {
    for i in (1..items.len()).rev() {
        let j = usize::try_from(generator.below(i as u64 + 1)).unwrap_or(i);
        items.swap(i, j);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pins the stream and the shuffle: this order must never change.
    #[test]
    fn order_for_a_seed_is_pinned() {
        let mut items: Vec<u8> = (0..10).collect();
        shuffle(&mut Generator::new(2026, 0), &mut items);
        assert_eq!(items, PINNED);
    }
    const PINNED: [u8; 10] = [6, 1, 3, 5, 8, 4, 0, 9, 2, 7];
}
