//! Every treatment once in every row and every column.

use std::sync::Arc;

use super::{Advice, Asked, BlockStructure, Facts, Kind, Labels, Position, Units};
use crate::Error;
use crate::design::allocation::{Randomisation, Square};
use crate::design::plots::Shape;

/// Every treatment once in every row and every column.
#[derive(Debug, Clone, Copy)]
pub struct LatinSquare;

impl Kind for LatinSquare {
    fn facts(&self) -> Facts {
        Facts {
            key: "latin-square",
            name: "Latin square",
            blocks: ["square", "squares"],
            usual_blocks: Some(1),
            structure: BlockStructure::RowColumn,
            units: Units::PlotsRowByRow,
            more_control: false,
            factor_on_whole_plots: false,
        }
    }

    fn randomisation(&self, asked: &Asked<'_>) -> Arc<dyn Randomisation> {
        Arc::new(Square {
            order: asked.number(),
        })
    }

    fn shape(&self, asked: &Asked<'_>) -> Shape {
        Shape::Array(asked.number(), asked.number())
    }

    fn shapes(&self, asked: &Asked<'_>) -> usize {
        asked.blocks
    }

    fn plots_of_each(&self, asked: &Asked<'_>) -> usize {
        asked.number()
    }

    /// The only square of a trial needs no name.
    fn labels(&self, at: &Position) -> Labels {
        Labels {
            block: at.several_blocks || at.several_greens,
            row: Some(at.in_block(at.row)),
            column: Some(at.in_block(at.column)),
        }
    }

    fn takes(&self, _treatments: usize) -> Result<(), Error> {
        Ok(())
    }

    fn suits(&self, _asked: &Asked<'_>) -> Result<(), Error> {
        Ok(())
    }

    fn advise(&self, _asked: &Asked<'_>) -> Option<Advice> {
        None
    }
}
