//! Kinds of whole plot shuffled over each block's whole plots, then treatments within each.

use halfgreen_analysis::random::shuffle;
use num_bigint::BigUint;

use super::attainable::Staying;
use super::combinations::{arrangements, factorial, orders};
use super::randomisation::{BlockSampler, Randomisation};
use crate::Error;

/// Treatments shuffled over the plots of whole plots, which are shuffled themselves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Split {
    /// Treatments of each kind of whole plot; all of one length.
    pub groups: Vec<Vec<usize>>,
}

impl Randomisation for Split {
    fn units(&self) -> usize {
        self.groups.iter().map(Vec::len).sum()
    }

    fn number(&self) -> Result<BigUint, Error> {
        let within: BigUint = self.groups.iter().map(|g| arrangements(g)).product();
        Ok(factorial(self.groups.len()) * within)
    }

    fn sampler(&self) -> Result<BlockSampler<'_>, Error> {
        Ok(Box::new(|generator, drawn| {
            let mut groups = self.groups.clone();
            shuffle(generator, &mut groups);
            for group in &mut groups {
                shuffle(generator, group);
            }
            *drawn = groups.concat();
        }))
    }

    fn each(&self) -> Vec<Vec<usize>> {
        let whole: Vec<usize> = (0..self.groups.len()).collect();
        let within: Vec<Vec<Vec<usize>>> = self.groups.iter().map(|g| orders(g)).collect();
        let filled = |order: Vec<usize>| {
            order.into_iter().fold(vec![Vec::new()], |begun, group| {
                let longer = |b: &Vec<usize>| {
                    let begun = b.clone();
                    within[group].iter().map(move |w| [&begun[..], w].concat())
                };
                begun.iter().flat_map(longer).collect()
            })
        };
        orders(&whole).into_iter().flat_map(filled).collect()
    }

    fn shuffles(&self) -> Option<Vec<Vec<usize>>> {
        Some(self.groups.clone())
    }

    fn exchangeable(&self) -> bool {
        false
    }

    fn staying(&self, treatment: usize, control: usize) -> Result<Staying, Error> {
        let kinds = self.groups.len();
        let within = self.groups.first().map_or(1, Vec::len);
        let home = self.groups.iter().find(|g| g.contains(&control));
        // The control's whole plot, then the control on it; the treatment beside it, or on another whole plot.
        let places = if home.is_some_and(|g| g.contains(&treatment)) {
            kinds * within * (within - 1)
        } else {
            kinds * within * (kinds - 1) * within
        };
        Ok(Staying {
            staying: BigUint::from(1_u8),
            all: BigUint::from(places),
            exchanging: None,
            mirrored: true,
        })
    }

    /// Those of the whole plots, the fewer.
    fn residual_df(&self, blocks: usize) -> usize {
        (self.groups.len() - 1) * blocks.saturating_sub(1)
    }
}
