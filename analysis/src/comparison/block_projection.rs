//! What is known of a design's plots beside their treatments: blocks and covariate.

use std::collections::BTreeMap;

use ndarray::Array1;

use super::plot_table::{BlockStructure, PlotTable};
use crate::counts::Factor;
use crate::numerics::projection::Projection;

/// A class for plots of one treatment in blocks made up alike: with the blocks taken out, no coding of treatments tells them
/// apart. `None` where something else than one grouping and the treatments is known of the plots, or where classes are nearly as
/// many as plots.
pub(super) fn classes(table: &PlotTable) -> Option<Vec<usize>> {
    let blocks: Vec<usize> = match (&table.block_structure, &table.before) {
        (_, Some(_)) | (BlockStructure::RowColumn(_), _) => return None,
        (BlockStructure::Unblocked, _) => vec![0; table.counts.len()],
        (BlockStructure::Blocks(block) | BlockStructure::SplitPlot([block, _]), _) => {
            block.codes.clone()
        }
    };
    let treatments = &table.treatment;
    let number = blocks.iter().max()? + 1;
    let mut made_of = vec![vec![0; treatments.levels.len()]; number];
    for (&block, &treatment) in blocks.iter().zip(&treatments.codes) {
        made_of[block][treatment] += 1;
    }
    let mut met = BTreeMap::new();
    let codes: Vec<usize> = blocks
        .iter()
        .zip(&treatments.codes)
        .map(|(&block, &treatment)| {
            let next = met.len();
            *met.entry((&made_of[block], treatment)).or_insert(next)
        })
        .collect();
    (2 * met.len() <= codes.len()).then_some(codes)
}

/// Projection on the blocks of a design and its covariate; of split plots on the blocks alone.
pub(super) fn block_projection(table: &PlotTable) -> Projection {
    let blocks: &[_] = match &table.block_structure {
        BlockStructure::SplitPlot([block, _]) => std::slice::from_ref(block),
        _ => table.blocking_factors(),
    };
    projection(blocks, table)
}

/// Projection on these groupings and the covariate.
pub(super) fn projection(terms: &[Factor], table: &PlotTable) -> Projection {
    let mut known = match terms.first() {
        Some(factor) => Projection::on_groups(&factor.codes, factor.levels.len()),
        None => Projection::on_groups(&vec![0; table.counts.len()], 1),
    };
    for factor in terms.iter().skip(1) {
        known.add_factor(&factor.codes, factor.levels.len());
    }
    if let Some(before) = &table.before {
        known.add(Array1::from(before.clone()));
    }
    known
}
