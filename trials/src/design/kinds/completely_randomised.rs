//! Treatments drawn over all plots at once.

use std::sync::Arc;

use super::{Advice, Asked, BlockStructure, Facts, Kind, Labels, Position, Units};
use crate::Error;
use crate::design::allocation::{Randomisation, Shuffled};
use crate::design::plots::Shape;

/// Treatments drawn over all plots at once.
#[derive(Debug, Clone, Copy)]
pub struct CompletelyRandomised;

impl Kind for CompletelyRandomised {
    fn facts(&self) -> Facts {
        Facts {
            key: "completely-randomised",
            name: "completely randomised",
            blocks: ["plot of each treatment", "plots of each treatment"],
            usual_blocks: None,
            structure: BlockStructure::Unblocked,
            units: Units::PlotsAlongTheWalk,
            more_control: true,
            factor_on_whole_plots: false,
        }
    }

    /// One list over all plots.
    fn randomisation(&self, asked: &Asked<'_>) -> Arc<dyn Randomisation> {
        Arc::new(Shuffled {
            list: asked.list(asked.blocks),
        })
    }

    fn shape(&self, _asked: &Asked<'_>) -> Shape {
        Shape::Compact(1)
    }

    fn shapes(&self, asked: &Asked<'_>) -> usize {
        asked.blocks * asked.plots_of_all()
    }

    fn plots_of_each(&self, _asked: &Asked<'_>) -> usize {
        1
    }

    fn labels(&self, _at: &Position) -> Labels {
        Labels {
            block: false,
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
