//! The test on which the verdict will rest: it follows from the design alone.

use halfgreen_analysis::comparison::{PrimaryTest, primary_test};

use super::allocation::attainable_p_under;
use super::{LaidOut, Layout, Protocol, VerdictAbout, scheme_of};
use crate::Error;

/// How a test that leads is written into the seal.
#[must_use]
pub fn lead_name(lead: PrimaryTest) -> &'static str {
    match lead {
        PrimaryTest::Randomisation => "randomisation",
        PrimaryTest::Model => "model",
    }
}

/// The test that leads in a design that has just been drawn.
#[must_use]
pub fn headline_test(protocol: &Protocol, laid: &LaidOut) -> PrimaryTest {
    by_reach(
        protocol,
        laid.smallest_p_exchanging_two.unwrap_or(laid.smallest_p),
    )
}

/// The test that leads in a layout on file, whatever its seal says.
///
/// # Errors
/// As [`scheme_of`].
pub fn headline_of(protocol: &Protocol, layout: &Layout) -> Result<PrimaryTest, Error> {
    let scheme = scheme_of(protocol, layout)?;
    let reach = attainable_p_under(&scheme, &protocol.design.arrangement.rules)?;
    let two = reach.smallest_p_exchanging_two.unwrap_or(reach.smallest_p);
    Ok(by_reach(protocol, two))
}

fn by_reach(protocol: &Protocol, smallest_p: f64) -> PrimaryTest {
    // The draw tells of these greens only.
    if protocol.verdict_about() == Some(VerdictAbout::LikeThese) {
        return PrimaryTest::Model;
    }
    // Readings follow no law of chance: only the draw can judge them.
    if protocol.response.kind.is_count() {
        primary_test(smallest_p, protocol.decision.alpha)
    } else {
        PrimaryTest::Randomisation
    }
}
