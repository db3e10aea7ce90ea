//! The shape of one block, by the kind of design.

use super::super::allocation::carry_over;
use super::super::plots::Shape;
use super::super::{Balance, DesignKind, Protocol};
use crate::Error;

/// Shape of one block.
pub(in crate::design) fn shape(protocol: &Protocol) -> Result<Shape, Error> {
    let t = protocol.treatments.len();
    Ok(match protocol.design.kind {
        DesignKind::CompletelyRandomised => Shape::Compact(1),
        DesignKind::RandomisedBlocks => Shape::Compact(t - 1 + control_plots(protocol)),
        DesignKind::Paired if t == 2 => Shape::Compact(2),
        DesignKind::Paired => {
            return Err(Error::new(
                "trial.toml [design] kind",
                format!("a paired design compares 2 treatments, not {t}"),
                "Use `randomised-blocks`, or leave two treatments.",
            ));
        }
        DesignKind::LatinSquare => Shape::Array(t, t),
        DesignKind::SplitPlot => {
            let whole = &protocol.design.arrangement.whole_plots;
            Shape::Array(whole.len(), whole.first().map_or(0, Vec::len))
        }
        DesignKind::Crossover => match protocol.design.arrangement.balance {
            Some(Balance::CarryOver) => Shape::Compact(carry_over::plots(t)),
            None => Shape::Compact(t),
        },
    })
}

/// Plots of the control in a block.
pub(in crate::design) fn control_plots(protocol: &Protocol) -> usize {
    protocol
        .design
        .arrangement
        .control_plots
        .unwrap_or(1)
        .max(1)
}
