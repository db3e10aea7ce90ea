//! One draw from the allocations a design allows, each equally likely.

use std::fmt;

use halfgreen_analysis::random::Generator;

use super::randomisation::BlockSampler;
use super::scheme::{Scheme, allowed};
use crate::Error;
use crate::design::Rule;

/// Draws thrown away before the rules are called unkeepable.
pub(super) const PATIENCE: usize = 1_000_000;

/// Draws a treatment for every unit: one draw of a [`Sampler`].
///
/// # Errors
/// As [`Sampler::new`] and [`Sampler::draw`].
pub fn draw(
    scheme: &Scheme,
    rules: &[Rule],
    generator: &mut Generator,
) -> Result<Vec<usize>, Error> {
    Sampler::new(scheme, rules)?.draw(generator)
}

/// A design ready to be drawn many times, as the randomisation test does.
pub struct Sampler<'a> {
    scheme: &'a Scheme,
    rules: &'a [Rule],
    block: BlockSampler<'a>,
}

impl fmt::Debug for Sampler<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Sampler")
            .field("scheme", self.scheme)
            .field("rules", &self.rules)
            .finish_non_exhaustive()
    }
}

impl<'a> Sampler<'a> {
    /// Prepares the draws.
    ///
    /// # Errors
    /// A Latin square larger than 11.
    pub fn new(scheme: &'a Scheme, rules: &'a [Rule]) -> Result<Self, Error> {
        Ok(Self {
            scheme,
            rules,
            block: scheme.randomisation.sampler()?,
        })
    }

    /// Draws a treatment for every unit.
    ///
    /// Without rules every allocation of the design is equally likely. With rules, draws are
    /// repeated until one keeps them all, which leaves every allowed allocation equally likely
    /// (rejection).
    ///
    /// # Errors
    /// A million draws in a row broke a rule.
    pub fn draw(&self, generator: &mut Generator) -> Result<Vec<usize>, Error> {
        let units = self.scheme.blocks.iter().map(Vec::len).sum();
        let (mut allocation, mut drawn) = (vec![0; units], Vec::new());
        for _ in 0..PATIENCE {
            for block in &self.scheme.blocks {
                (self.block)(generator, &mut drawn);
                for (&unit, &treatment) in block.iter().zip(&drawn) {
                    allocation[unit] = treatment;
                }
            }
            if allowed(self.scheme, self.rules, &allocation) {
                return Ok(allocation);
            }
        }
        Err(unkeepable())
    }
}

/// So many draws in a row broke a rule.
pub(super) fn unkeepable() -> Error {
    Error::new(
        "trial.toml [design] rules",
        format!("{PATIENCE} draws in a row broke a rule"),
        "Take a rule out, or use more treatments.",
    )
}
