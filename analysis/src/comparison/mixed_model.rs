//! The negative binomial mixed model of a plot table, by quadrature or by Laplace's approximation.

use super::plot_table::{BlockStructure, PlotTable};
use crate::Error;
use crate::counts::ModelMatrix;
use crate::mixed::block::RandomBlock;
use crate::mixed::laplace::RandomEffects;
use crate::mixed::{EffectPosterior, MarginalFit};

/// One block grouping by quadrature, several groupings by Laplace.
#[derive(Debug)]
pub(super) enum MixedModel<'a> {
    Block(RandomBlock<'a>),
    Terms(RandomEffects<'a>),
}

impl<'a> MixedModel<'a> {
    pub(super) fn new(
        table: &PlotTable,
        offset: &'a [f64],
        matrix: &'a ModelMatrix,
    ) -> Result<Self, Error> {
        match &table.block_structure {
            BlockStructure::Unblocked => {
                let one = vec![0; table.counts.len()];
                RandomBlock::new(&table.counts, offset, matrix, &one).map(Self::Block)
            }
            // Whole plots scatter in a stratum of their own; to the model they are overdispersion.
            BlockStructure::Blocks(block) | BlockStructure::SplitPlot([block, _]) => {
                RandomBlock::new(&table.counts, offset, matrix, &block.codes).map(Self::Block)
            }
            BlockStructure::RowColumn(terms) => {
                let codes: Vec<Vec<usize>> = terms.iter().map(|f| f.codes.clone()).collect();
                RandomEffects::new(&table.counts, offset, matrix, &codes).map(Self::Terms)
            }
        }
    }

    /// The maximum, with one coefficient held where asked, searched from `start`.
    pub(super) fn fit(
        &self,
        restricted: Option<(usize, f64)>,
        start: Option<&MarginalFit>,
    ) -> MarginalFit {
        match self {
            Self::Block(model) => model.fit(restricted, start, false),
            Self::Terms(model) => model.fit(restricted, start, false),
        }
    }

    /// The posterior of the random effects at a fit.
    pub(super) fn posterior(&self, fit: &MarginalFit) -> EffectPosterior {
        match self {
            Self::Block(model) => model.posterior(fit),
            Self::Terms(model) => model.posterior(fit),
        }
    }
}
