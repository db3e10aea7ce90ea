//! Every treatment once in every block, the control perhaps more often.

use std::sync::Arc;

use super::{Advice, Asked, BlockStructure, Facts, Kind, Labels, Position, Units};
use crate::Error;
use crate::design::allocation::{Randomisation, Shuffled};
use crate::design::plots::Shape;

/// Every treatment once in every block, the control perhaps more often.
#[derive(Debug, Clone, Copy)]
pub struct RandomisedBlocks;

impl Kind for RandomisedBlocks {
    fn facts(&self) -> Facts {
        Facts {
            key: "randomised-blocks",
            name: "randomised blocks",
            blocks: ["block", "blocks"],
            usual_blocks: None,
            structure: BlockStructure::Blocks,
            units: Units::PlotsAlongTheWalk,
            more_control: true,
            factor_on_whole_plots: false,
        }
    }

    fn randomisation(&self, asked: &Asked<'_>) -> Arc<dyn Randomisation> {
        Arc::new(Shuffled {
            list: asked.list(1),
        })
    }

    fn shape(&self, asked: &Asked<'_>) -> Shape {
        Shape::Compact(asked.plots_of_all())
    }

    fn shapes(&self, asked: &Asked<'_>) -> usize {
        asked.blocks
    }

    fn plots_of_each(&self, _asked: &Asked<'_>) -> usize {
        1
    }

    fn labels(&self, _at: &Position) -> Labels {
        Labels {
            block: true,
            row: None,
            column: None,
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
