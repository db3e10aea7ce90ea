//! The same list of treatments shuffled over each block's units; a completely randomised design is one block.

use halfgreen_analysis::random::{Generator, shuffle};
use num_bigint::BigUint;

use super::attainable::AttainableP;
use super::combinations::{arrangements, choose, orders, power};
use super::randomisation::{BlockSampler, Randomisation};
use crate::Error;

/// A list of treatments shuffled over a block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shuffled {
    /// Treatments of one block, in protocol order, repeats side by side.
    pub list: Vec<usize>,
}

impl Shuffled {
    /// The treatments, each once.
    fn treatments(&self) -> Vec<usize> {
        let mut treatments = self.list.clone();
        treatments.sort_unstable();
        treatments.dedup();
        treatments
    }

    /// Units of a treatment in a block.
    fn units_of(&self, treatment: usize) -> usize {
        self.list.iter().filter(|&&x| x == treatment).count()
    }

    /// Chance that a shuffle in every block leaves treatment and control where they lie, or changes them
    /// over where both have as many units.
    fn stays(&self, treatment: usize, control: usize, blocks: usize) -> f64 {
        let others = |&x: &usize| x != treatment && x != control;
        let rest: Vec<usize> = self.list.iter().copied().filter(others).collect();
        let places = arrangements(&self.list) / arrangements(&rest);
        let even = self.units_of(treatment) == self.units_of(control);
        sides(even) / power(&places, blocks)
    }
}

impl Randomisation for Shuffled {
    fn units(&self) -> usize {
        self.list.len()
    }

    fn number(&self) -> Result<BigUint, Error> {
        Ok(arrangements(&self.list))
    }

    fn sampler(&self) -> Result<BlockSampler<'_>, Error> {
        Ok(Box::new(|generator: &mut Generator| {
            let mut list = self.list.clone();
            shuffle(generator, &mut list);
            list
        }))
    }

    fn each(&self) -> Vec<Vec<usize>> {
        orders(&self.list)
    }

    fn shuffles(&self) -> Option<Vec<Vec<usize>>> {
        Some(vec![self.list.clone()])
    }

    fn exchangeable(&self) -> bool {
        true
    }

    fn attainable_p(&self, control: usize, blocks: usize) -> Result<AttainableP, Error> {
        let own = self.units_of(control);
        let worst = self
            .treatments()
            .into_iter()
            .filter(|&x| x != control)
            .map(|x| (self.stays(x, control, blocks), self.units_of(x)))
            .max_by(|p, q| p.0.total_cmp(&q.0));
        let (all, units) = worst.unwrap_or((1.0, own));
        let exchanges = choose(units + own, own);
        Ok(AttainableP {
            smallest_p: all,
            smallest_p_exchanging_two: Some(sides(units == own) / power(&exchanges, blocks)),
        })
    }

    /// Units less blocks and treatments.
    fn residual_df(&self, blocks: usize) -> usize {
        (blocks * self.units()).saturating_sub(blocks + self.treatments().len() - 1)
    }
}

/// Two when exchanging the two treatments everywhere gives the mirror image, else one.
fn sides(mirrored: bool) -> f64 {
    if mirrored { 2.0 } else { 1.0 }
}
