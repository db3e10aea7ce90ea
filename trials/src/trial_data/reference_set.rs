//! The reference set of the randomisation test: the allocations that a design could have drawn.

use std::fmt;
use std::sync::Arc;

use halfgreen_analysis::random::Generator;
use halfgreen_analysis::randomisation::{Allocations, RandomisationSettings, Scheme};
use num_bigint::BigUint;
use rayon::prelude::*;
use serde::{Serialize, Serializer};

use crate::Error;
use crate::design::Rule;
use crate::design::allocation::{
    self, BalancedSampler, Sampler, attainable_p_among, attainable_p_of_each, each_allowed,
};

/// Allocations sampled where a design is not a set of shuffles and has too many to count every one.
const SAMPLE: u64 = 9_999;

/// Streams among which they are shared out.
const PARTS: u64 = 32;

/// Allocations without rules among which those that keep them are looked for one by one: a second's work.
const LOOKED_THROUGH: usize = 2_000_000;

/// The first of those streams; the layout itself was drawn from stream 0.
const STREAM: u64 = 1;

/// The allocations that a design could have drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct ReferenceSet {
    /// The allocations, as shuffles, one by one, or as a sample.
    pub scheme: Scheme,
    /// How many there are.
    pub allocations: AllocationCount,
    /// Smallest p-value that the test of one treatment can reach, as the seal has it; absent where the scheme is a
    /// set of shuffles, from which it follows.
    pub smallest_p: Option<f64>,
}

/// The plots of a design that were counted.
#[derive(Debug, Clone, Copy)]
pub(super) struct Counted<'a> {
    /// The unit of the design on which each lies.
    pub(super) units: &'a [usize],
    /// For each treatment of the design, its number among those counted, the control first.
    pub(super) numbers: &'a [usize],
}

impl Counted<'_> {
    /// An allocation of the design, as these plots have it.
    fn of(&self, allocation: &[usize]) -> impl Iterator<Item = usize> {
        self.units.iter().map(|&u| self.numbers[allocation[u]])
    }
}

impl ReferenceSet {
    /// The allocations of a design: every one where they are no more than the randomisation test counts, else a
    /// seeded sample.
    ///
    /// # Errors
    /// A design whose allocations cannot be counted or drawn.
    pub(super) fn of_design(
        design: &allocation::Scheme,
        rules: &[Rule],
        seed: u64,
        counted: Counted<'_>,
    ) -> Result<Self, Error> {
        let number = allocation::allocations(design, rules)?;
        let smallest_p = Some(attainable_p_among(design, rules, &number)?.of_the_test());
        let allocations = AllocationCount::Whole(number);
        let scheme = match listed(design, rules, &allocations, counted)? {
            Some(all) => Scheme::Listed(Arc::new(all)),
            None => Scheme::Sampled {
                drawn: Arc::new(sample(design, rules, seed, counted)?),
                total: allocations.value(),
                smallest_p: smallest_p_of_each(design, rules, &allocations, counted)?,
            },
        };
        Ok(Self {
            scheme,
            allocations,
            smallest_p,
        })
    }
}

/// Every allocation, where there are few enough.
fn listed(
    design: &allocation::Scheme,
    rules: &[Rule],
    allocations: &AllocationCount,
    counted: Counted<'_>,
) -> Result<Option<Allocations>, Error> {
    if allocations.value() > RandomisationSettings::default().limit as f64 {
        return Ok(None);
    }
    let mut all = Allocations::new(counted.units.len());
    let mut kept = Ok(());
    let whole = each_allowed(design, rules, LOOKED_THROUGH, &mut |allocation| {
        if kept.is_ok() {
            kept = all.push(counted.of(allocation));
        }
    });
    kept?;
    Ok(whole.map(|()| all))
}

/// Allocations drawn by lot, in parts with a stream of their own, so that threads do not matter.
fn sample(
    design: &allocation::Scheme,
    rules: &[Rule],
    seed: u64,
    counted: Counted<'_>,
) -> Result<Allocations, Error> {
    let balanced = BalancedSampler::new(design, rules);
    let rejecting = Sampler::new(design, rules)?;
    let part = |part: u64| -> Result<Allocations, Error> {
        let mut generator = Generator::new(seed, STREAM + part);
        let mut drawn = Allocations::new(counted.units.len());
        for _ in 0..SAMPLE / PARTS + u64::from(part < SAMPLE % PARTS) {
            let allocation = match &balanced {
                Some(balanced) => balanced.draw(&mut generator)?,
                None => rejecting.draw(&mut generator)?,
            };
            drawn.push(counted.of(&allocation))?;
        }
        Ok(drawn)
    };
    let parts: Result<Vec<Allocations>, Error> = (0..PARTS).into_par_iter().map(part).collect();
    Ok(Allocations::concat(&parts?)?)
}

/// What no p-value of a treatment can fall below, in the order of the counted treatments after the control. Under
/// rules not more is known than that the layout itself is one of the allocations.
fn smallest_p_of_each(
    design: &allocation::Scheme,
    rules: &[Rule],
    allocations: &AllocationCount,
    counted: Counted<'_>,
) -> Result<Vec<f64>, Error> {
    let others = design.treatments.saturating_sub(1);
    if !rules.is_empty() {
        return Ok(vec![1.0 / allocations.value(); others]);
    }
    let mut of_each = vec![0.0; others];
    let methods = (0..design.treatments).filter(|&x| x != design.control);
    for (x, p) in methods.zip(attainable_p_of_each(design)?) {
        if let Some(slot) = counted.numbers[x]
            .checked_sub(1)
            .and_then(|i| of_each.get_mut(i))
        {
            *slot = p;
        }
    }
    Ok(of_each)
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
