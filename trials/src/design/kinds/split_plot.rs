//! One factor on whole plots, another on their halves.

use std::sync::Arc;

use super::{Advice, Asked, BlockStructure, Facts, Kind, Labels, PLACE, Position, Units};
use crate::Error;
use crate::design::allocation::{Randomisation, Split};
use crate::design::plots::Shape;

/// One factor on whole plots, another on their halves.
#[derive(Debug, Clone, Copy)]
pub struct SplitPlot;

impl Kind for SplitPlot {
    fn facts(&self) -> Facts {
        Facts {
            key: "split-plot",
            name: "split plot",
            blocks: ["block", "blocks"],
            usual_blocks: None,
            structure: BlockStructure::SplitPlot,
            units: Units::PlotsAlongTheWalk,
            more_control: false,
            factor_on_whole_plots: true,
        }
    }

    fn randomisation(&self, asked: &Asked<'_>) -> Arc<dyn Randomisation> {
        Arc::new(Split {
            groups: asked.whole_plots(),
        })
    }

    /// A row is a whole plot.
    fn shape(&self, asked: &Asked<'_>) -> Shape {
        let whole = &asked.arrangement.whole_plots;
        Shape::Array(whole.len(), whole.first().map_or(0, Vec::len))
    }

    fn shapes(&self, asked: &Asked<'_>) -> usize {
        asked.blocks
    }

    fn plots_of_each(&self, _asked: &Asked<'_>) -> usize {
        1
    }

    fn labels(&self, at: &Position) -> Labels {
        Labels {
            block: true,
            row: Some(at.in_block(at.row)),
            column: None,
        }
    }

    fn takes(&self, _treatments: usize) -> Result<(), Error> {
        Ok(())
    }

    /// Every treatment stands on one kind of whole plot, and all kinds hold as many.
    fn suits(&self, asked: &Asked<'_>) -> Result<(), Error> {
        let whole = &asked.arrangement.whole_plots;
        let mut named: Vec<&str> = whole.iter().flatten().map(String::as_str).collect();
        let mut codes: Vec<&str> = asked.treatments.iter().map(|t| t.code.as_str()).collect();
        named.sort_unstable();
        codes.sort_unstable();
        let first = whole.first().map_or(0, Vec::len);
        let even = whole.iter().all(|w| w.len() == first);
        if named == codes && even && whole.len() >= 2 && first >= 2 {
            return Ok(());
        }
        Err(Error::new(
            PLACE,
            "the whole plots do not share out the treatments evenly",
            "List in `whole_plots` two or more groups of equally many codes, each code once.",
        ))
    }

    fn advise(&self, _asked: &Asked<'_>) -> Option<Advice> {
        None
    }
}
