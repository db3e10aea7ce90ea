//! The test on which the verdict will rest: it follows from the design alone.

use halfgreen_analysis::comparison::{Lead, lead};

use super::allocation::attainable_p_under;
use super::{LaidOut, Layout, Protocol, scheme_of};
use crate::Error;

/// How a test that leads is written into the seal.
#[must_use]
pub fn lead_name(lead: Lead) -> &'static str {
    match lead {
        Lead::Randomisation => "randomisation",
        Lead::Model => "model",
    }
}

/// The test that leads in a design that has just been drawn.
#[must_use]
pub fn headline_test(protocol: &Protocol, laid: &LaidOut) -> Lead {
    by_reach(
        protocol,
        laid.smallest_p_exchanging_two.unwrap_or(laid.smallest_p),
    )
}

/// The test that leads in a layout on file, whatever its seal says.
///
/// # Errors
/// As [`scheme_of`].
pub fn headline_of(protocol: &Protocol, layout: &Layout) -> Result<Lead, Error> {
    let scheme = scheme_of(protocol, layout)?;
    let reach = attainable_p_under(&scheme, &protocol.design.arrangement.rules)?;
    let two = reach.smallest_p_exchanging_two.unwrap_or(reach.smallest_p);
    Ok(by_reach(protocol, two))
}

fn by_reach(protocol: &Protocol, smallest_p: f64) -> Lead {
    // Readings follow no law of chance: only the draw can judge them.
    if protocol.response.kind.is_count() {
        lead(smallest_p, protocol.decision.alpha)
    } else {
        Lead::Randomisation
    }
}
