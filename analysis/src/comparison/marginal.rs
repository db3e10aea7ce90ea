//! The count model with random ground, whichever way it is integrated.

use super::plot_table::{Layout, PlotTable};
use crate::Error;
use crate::counts::ModelMatrix;
use crate::mixed::block::{POINTS, RandomBlock};
use crate::mixed::laplace::RandomTerms;
use crate::mixed::{Ground, MarginalFit};

/// One block grouping by quadrature, several groupings by Laplace.
#[derive(Debug)]
pub(super) enum Marginal<'a> {
    Block(RandomBlock<'a>),
    Terms(RandomTerms<'a>),
}

impl<'a> Marginal<'a> {
    pub(super) fn new(
        table: &PlotTable,
        offset: &'a [f64],
        matrix: &'a ModelMatrix,
    ) -> Result<Self, Error> {
        match &table.layout {
            Layout::Open => {
                let one = vec![0; table.counts.len()];
                RandomBlock::new(&table.counts, offset, matrix, &one, POINTS).map(Self::Block)
            }
            // Whole plots scatter in a stratum of their own; to the model they are clumping.
            Layout::Blocks(block) | Layout::WholePlots([block, _]) => {
                RandomBlock::new(&table.counts, offset, matrix, &block.codes, POINTS)
                    .map(Self::Block)
            }
            Layout::RowsAndColumns(terms) => {
                let codes: Vec<Vec<usize>> = terms.iter().map(|f| f.codes.clone()).collect();
                RandomTerms::new(&table.counts, offset, matrix, &codes).map(Self::Terms)
            }
        }
    }

    /// The maximum, with one coefficient held where asked, searched from `start`.
    pub(super) fn fit(
        &self,
        held: Option<(usize, f64)>,
        start: Option<&MarginalFit>,
    ) -> MarginalFit {
        match self {
            Self::Block(model) => model.fit(held, start, false),
            Self::Terms(model) => model.fit(held, start, false),
        }
    }

    /// What the counts say of the ground at a fit.
    pub(super) fn ground(&self, fit: &MarginalFit) -> Ground {
        match self {
            Self::Block(model) => model.ground(fit),
            Self::Terms(model) => model.ground(fit),
        }
    }
}
