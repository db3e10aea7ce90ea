//! The pinned generator: ChaCha8 keyed by a seed, one stream for each purpose or replicate.

use std::convert::Infallible;

use rand::{SeedableRng, TryRng};
use rand_chacha::ChaCha8Rng;

/// A seeded source of random numbers whose output never changes between releases.
///
/// The generator is ChaCha with 8 rounds (D. J. Bernstein, "ChaCha, a variant of Salsa20", 2008).
/// The 32-byte key holds the seed as eight little-endian bytes followed by 24 zero bytes; the 64-bit
/// nonce holds the stream number; the block counter starts at 0. A 64-bit draw is two successive
/// 32-bit words of the key stream, the first word low. Anyone with a ChaCha8 can repeat a draw.
#[derive(Debug, Clone)]
pub struct Generator(ChaCha8Rng);

impl Generator {
    /// Name and version of the rule, printed wherever a seed is printed.
    pub const NAME: &'static str = "chacha8-v1";

    /// A generator for `seed`; different `stream`s of one seed are independent.
    #[must_use]
    pub fn new(seed: u64, stream: u64) -> Self {
        let mut key = [0; 32];
        key[..8].copy_from_slice(&seed.to_le_bytes());
        let mut inner = ChaCha8Rng::from_seed(key);
        inner.set_stream(stream);
        Self(inner)
    }

    /// The next 64 random bits.
    #[inline]
    pub fn bits(&mut self) -> u64 {
        match self.0.try_next_u64() {
            Ok(bits) => bits,
        }
    }

    /// A whole number from 0 to `n` - 1, each equally likely; 0 when `n` is 0.
    ///
    /// Draws of 64 bits at or above the largest multiple of `n` are thrown away, the rest taken
    /// modulo `n`.
    #[inline]
    pub fn below(&mut self, n: u64) -> u64 {
        if n == 0 {
            return 0;
        }
        loop {
            let bits = self.bits();
            // What is thrown away is less than n: below the last n, no more need be known of it. It is 2^64 mod n,
            // without 128-bit arithmetic.
            if bits <= u64::MAX - n || bits <= u64::MAX - (u64::MAX % n + 1) % n {
                return bits % n;
            }
        }
    }

    /// A number in [0, 1): the top 53 of 64 bits, divided by 2^53.
    #[inline]
    pub fn unit(&mut self) -> f64 {
        const SCALE: f64 = 1.0 / (1_u64 << 53) as f64;
        (self.bits() >> 11) as f64 * SCALE
    }
}

/// Lets the distributions of `rand_distr` draw from the pinned stream.
impl TryRng for Generator {
    type Error = Infallible;

    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        self.0.try_next_u32()
    }

    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        self.0.try_next_u64()
    }

    fn try_fill_bytes(&mut self, into: &mut [u8]) -> Result<(), Infallible> {
        self.0.try_fill_bytes(into)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// First key-stream words of ChaCha8 for the all-zero key and nonce, from the test vectors of
    /// draft-strombergsson-chacha-test-vectors-01 (TC1, 8 rounds, 256-bit key):
    /// 3e 00 ef 2f 89 5f 40 d6 | 7f 5b b8 e8 1f 09 a5 a1.
    #[test]
    fn seed_zero_gives_the_published_key_stream() {
        let mut g = Generator::new(0, 0);
        assert_eq!(
            g.bits().to_le_bytes(),
            [0x3e, 0x00, 0xef, 0x2f, 0x89, 0x5f, 0x40, 0xd6]
        );
        assert_eq!(
            g.bits().to_le_bytes(),
            [0x7f, 0x5b, 0xb8, 0xe8, 0x1f, 0x09, 0xa5, 0xa1]
        );
    }

    #[test]
    fn below_is_even_over_a_small_range() {
        let mut g = Generator::new(7, 0);
        let mut seen = [0_u32; 6];
        for _ in 0..60_000 {
            seen[usize::try_from(g.below(6)).unwrap()] += 1;
        }
        let chi2: f64 = seen
            .iter()
            .map(|&o| (f64::from(o) - 1e4).powi(2) / 1e4)
            .sum();
        // Upper 0.1 % point of chi-squared on 5 degrees of freedom: 20.515.
        assert!(chi2 < 20.515, "{seen:?}");
    }
}
