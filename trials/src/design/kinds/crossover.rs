//! Plots take turns over nights: in a block every plot gets every treatment, one a night.

use std::sync::Arc;

use super::{Advice, Asked, BlockStructure, Facts, Kind, Labels, Position, Units};
use crate::Error;
use crate::design::allocation::{CarryOver, Randomisation, Square, carry_over};
use crate::design::arrangement::Balance;
use crate::design::plots::Shape;

/// Plots take turns over nights.
#[derive(Debug, Clone, Copy)]
pub struct Crossover;

impl Kind for Crossover {
    fn facts(&self) -> Facts {
        Facts {
            key: "crossover",
            name: "crossover",
            blocks: ["block", "blocks"],
            usual_blocks: None,
            structure: BlockStructure::RowColumn,
            units: Units::PlotsInNights,
            more_control: false,
            factor_on_whole_plots: false,
        }
    }

    /// Any Latin square of plots by nights, or sequences balanced for carry-over.
    fn randomisation(&self, asked: &Asked<'_>) -> Arc<dyn Randomisation> {
        match asked.arrangement.balance {
            Some(Balance::CarryOver) => Arc::new(CarryOver {
                treatments: asked.number(),
            }),
            None => Arc::new(Square {
                order: asked.number(),
            }),
        }
    }

    fn shape(&self, asked: &Asked<'_>) -> Shape {
        Shape::Compact(self.plots_of_each(asked))
    }

    fn shapes(&self, asked: &Asked<'_>) -> usize {
        asked.blocks
    }

    /// Every plot has every treatment in its turn.
    fn plots_of_each(&self, asked: &Asked<'_>) -> usize {
        match asked.arrangement.balance {
            Some(Balance::CarryOver) => carry_over::plots(asked.number()),
            None => asked.number(),
        }
    }

    /// The row is the night.
    fn labels(&self, at: &Position) -> Labels {
        Labels {
            block: true,
            row: Some((at.night + 1).to_string()),
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
