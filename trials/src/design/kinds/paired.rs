//! Blocks of two.

use std::sync::Arc;

use super::{Advice, Asked, BlockStructure, Facts, Kind, Labels, PLACE, Position, Units};
use crate::Error;
use crate::design::allocation::{Randomisation, Shuffled};
use crate::design::plots::Shape;

/// Blocks of two.
#[derive(Debug, Clone, Copy)]
pub struct Paired;

impl Kind for Paired {
    fn facts(&self) -> Facts {
        Facts {
            key: "paired",
            name: "paired",
            blocks: ["pair", "pairs"],
            usual_blocks: None,
            structure: BlockStructure::Blocks,
            units: Units::PlotsAlongTheWalk,
            more_control: false,
            factor_on_whole_plots: false,
        }
    }

    fn randomisation(&self, asked: &Asked<'_>) -> Arc<dyn Randomisation> {
        Arc::new(Shuffled {
            list: asked.list(1),
        })
    }

    fn shape(&self, _asked: &Asked<'_>) -> Shape {
        Shape::Compact(2)
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

    fn takes(&self, treatments: usize) -> Result<(), Error> {
        if treatments <= 2 {
            return Ok(());
        }
        Err(Error::new(
            PLACE,
            format!("kind \"paired\" compares two treatments, but {treatments} are named"),
            "Use kind = \"randomised-blocks\".",
        ))
    }

    fn suits(&self, _asked: &Asked<'_>) -> Result<(), Error> {
        Ok(())
    }

    fn advise(&self, asked: &Asked<'_>) -> Option<Advice> {
        (asked.blocks == 1).then(|| Advice {
            code: "one-pair",
            message: "One pair cannot test a method: whatever differs between the two plots looks like the \
                      method's work. Lay out more pairs."
                .to_owned(),
        })
    }
}
