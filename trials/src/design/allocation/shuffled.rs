//! The same list of treatments shuffled over each block's units; a completely randomised design is one block.

use halfgreen_analysis::random::shuffle;
use num_bigint::BigUint;

use super::attainable::Staying;
use super::combinations::{arrangements, choose, orders};
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
}

impl Randomisation for Shuffled {
    fn units(&self) -> usize {
        self.list.len()
    }

    fn number(&self) -> Result<BigUint, Error> {
        Ok(arrangements(&self.list))
    }

    fn sampler(&self) -> Result<BlockSampler<'_>, Error> {
        Ok(Box::new(|generator, drawn| {
            drawn.clone_from(&self.list);
            shuffle(generator, drawn);
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

    fn staying(&self, treatment: usize, control: usize) -> Result<Staying, Error> {
        let others = |&x: &usize| x != treatment && x != control;
        let rest: Vec<usize> = self.list.iter().copied().filter(others).collect();
        let (own, controls) = (self.units_of(treatment), self.units_of(control));
        Ok(Staying {
            staying: arrangements(&rest),
            all: arrangements(&self.list),
            exchanging: Some(choose(own + controls, own)),
            mirrored: own == controls,
        })
    }

    /// Units less blocks and treatments.
    fn residual_df(&self, blocks: usize) -> usize {
        (blocks * self.units()).saturating_sub(blocks + self.treatments().len() - 1)
    }
}
