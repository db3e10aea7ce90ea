//! Fast seeded permutations, and the p-values they give.

use crate::answers::{Origin, PValue};
use crate::chance::Generator;

/// Shuffles `items`, taking two 32-bit draws from each 64-bit word.
///
/// Fisher-Yates from the last place down; a draw below `n` is the high half of a 32-by-32-bit product
/// with Lemire's rejection (2019, ACM Trans. Model. Comput. Simul. 29, 3), so all orders are equally likely.
pub(super) fn permute(generator: &mut Generator, items: &mut [f64]) {
    let (mut word, mut spare) = (0_u64, false);
    let mut half = || {
        if spare {
            spare = false;
            word >> 32
        } else {
            word = generator.bits();
            spare = true;
            word & 0xffff_ffff
        }
    };
    for i in (1..items.len()).rev() {
        let n = i as u64 + 1;
        let mut product = half() * n;
        if product & 0xffff_ffff < n {
            let least = (1_u64 << 32) % n;
            while product & 0xffff_ffff < least {
                product = half() * n;
            }
        }
        let j = usize::try_from(product >> 32).unwrap_or(i);
        items.swap(i, j);
    }
}

/// The p-value of `reached` draws at least as extreme among `draws`.
pub(super) fn sampled(reached: usize, draws: usize) -> PValue {
    PValue {
        value: (reached as f64 + 1.0) / (draws as f64 + 1.0),
        origin: Origin::Sampled(draws as u64),
    }
}
