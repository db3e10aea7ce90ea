//! The reference set of the randomisation test: the allocations that a design could have drawn.

use std::fmt;

use halfgreen_analysis::random::Generator;
use halfgreen_analysis::randomisation::Scheme;
use num_bigint::BigUint;
use serde::{Serialize, Serializer};

use crate::Error;
use crate::design::Rule;
use crate::design::allocation::{self, Sampler};

/// Allocations sampled where a design is not a set of shuffles.
const SAMPLE: usize = 9_999;

/// Stream of the sampled allocations; the layout itself was drawn from stream 0.
const STREAM: u64 = 1;

/// The allocations that a design could have drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct ReferenceSet {
    /// The allocations, as shuffles or as a sample.
    pub scheme: Scheme,
    /// How many there are.
    pub allocations: AllocationCount,
}

impl ReferenceSet {
    /// A seeded sample of the allocations of a design. `treatments` takes one of them to the treatments of the
    /// plots that were counted.
    ///
    /// # Errors
    /// A design whose allocations cannot be counted or drawn.
    pub(super) fn sampled(
        design: &allocation::Scheme,
        rules: &[Rule],
        seed: u64,
        treatments: impl Fn(&[usize]) -> Vec<usize>,
    ) -> Result<Self, Error> {
        let allocations = AllocationCount::Whole(allocation::allocations(design, rules)?);
        let sampler = Sampler::new(design, rules)?;
        let mut generator = Generator::new(seed, STREAM);
        let mut drawn = Vec::with_capacity(SAMPLE);
        for _ in 0..SAMPLE {
            drawn.push(treatments(&sampler.draw(&mut generator)?));
        }
        let total = allocations.value();
        Ok(Self {
            scheme: Scheme::Sampled { drawn, total },
            allocations,
        })
    }
}

/// How many allocations a design has.
#[derive(Debug, Clone, PartialEq)]
pub enum AllocationCount {
    /// Counted in full.
    Whole(BigUint),
    /// Multiplied as floats: exact below 2^53.
    Float(f64),
}

impl AllocationCount {
    /// The nearest float; infinite beyond the largest.
    fn value(&self) -> f64 {
        match self {
            // Decimal digits are the road from a large whole number to the nearest float.
            Self::Whole(number) => number.to_string().parse().unwrap_or(f64::INFINITY),
            Self::Float(number) => *number,
        }
    }

    /// The number for people.
    #[must_use]
    pub fn in_words(&self) -> String {
        match self {
            Self::Float(number) if number.is_infinite() => "more than can be written".to_owned(),
            _ => self.to_string(),
        }
    }
}

/// In full, or to the power of ten where a float has more digits than are exact.
impl fmt::Display for AllocationCount {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Whole(number) => write!(out, "{number}"),
            Self::Float(number) if *number < 9_007_199_254_740_992.0 => write!(out, "{number:.0}"),
            Self::Float(number) => write!(out, "about {number:.3e}"),
        }
    }
}

impl Serialize for AllocationCount {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}
