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
    by_reach(protocol, laid.attainable().of_the_test())
}

/// The test that leads in a layout on file, whatever its seal says.
///
/// # Errors
/// As [`scheme_of`].
pub fn headline_of(protocol: &Protocol, layout: &Layout) -> Result<PrimaryTest, Error> {
    let scheme = scheme_of(protocol, layout)?;
    let reach = attainable_p_under(&scheme, &protocol.design.arrangement.rules)?;
    Ok(by_reach(protocol, reach.of_the_test()))
}

/// One comparison of the headline family, as whoever sizes a trial needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadlineComparison {
    /// Methods that stand against one control: all of them, or the levels of a factor but the first.
    pub methods: usize,
    /// Plots of each of them, and of the control, where every treatment has one.
    pub plots_of_each: usize,
    /// Error rate over these methods.
    pub alpha: f64,
}

/// The comparison that has the fewest plots: of treatments with the control, or of the levels of the factor that has most.
#[must_use]
pub fn headline_comparison(protocol: &Protocol) -> HeadlineComparison {
    let (treatments, alpha) = (protocol.treatments.len(), protocol.decision.alpha);
    let factors = &protocol.factors;
    let levels = factors.iter().map(|f| f.levels.len()).max();
    match levels.filter(|l| *l > 1) {
        None => HeadlineComparison {
            methods: treatments.saturating_sub(1),
            plots_of_each: 1,
            alpha,
        },
        Some(levels) => HeadlineComparison {
            methods: levels - 1,
            plots_of_each: treatments / levels,
            alpha: alpha / factors.len() as f64,
        },
    }
}

/// The comparisons that share the error rate of the headline test, as written into the seal: those that get a verdict.
#[must_use]
pub fn headline_family(protocol: &Protocol) -> String {
    if protocol.factors.is_empty() {
        return "each treatment against the control".to_owned();
    }
    let names: Vec<&str> = protocol.factors.iter().map(|f| f.name.as_str()).collect();
    format!(
        "the main effects of {}, alpha shared equally by the factors",
        names.join(" and ")
    )
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
