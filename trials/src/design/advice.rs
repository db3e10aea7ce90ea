//! Advice before a spade goes in: what the design could never show, and what would mend it.

use serde::Serialize;

use super::{DesignKind, Protocol, TreatmentKind};

/// Degrees of freedom for error below which a trial is thought too small (EPPO PP 1/152, from
/// memory; advice only).
const FEW_DF: usize = 12;
/// Share of a plot that cores may take out before sampling itself thins the larvae (our judgement,
/// no source).
const CORED_SHARE: f64 = 0.05;

/// One piece of advice.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Advice {
    /// A short fixed name, for programs.
    pub code: &'static str,
    /// What is amiss and what would mend it.
    pub message: String,
}

/// Advice on a design whose randomisation test can reach `smallest_p` and that leaves `residual_df`
/// degrees of freedom for error.
#[must_use]
pub fn advise(
    protocol: &Protocol,
    smallest_p: f64,
    exchanging_two: Option<f64>,
    residual_df: usize,
) -> Vec<Advice> {
    let alpha = protocol.decision.alpha;
    let mut advice = Vec::new();
    let mut say = |code, message| advice.push(Advice { code, message });
    let blocks = protocol.design.blocks;
    if protocol.design.kind == DesignKind::Paired && blocks == 1 {
        say(
            "one-pair",
            "One pair cannot test a method: whatever differs between the two plots looks like the \
             method's work. Lay out more pairs."
                .to_owned(),
        );
    }
    if smallest_p > alpha {
        let more = blocks_needed(smallest_p, blocks, alpha);
        say(
            "smallest-p-above-alpha",
            format!(
                "With this design the randomisation test cannot go below p = {smallest_p:.3}, above \
                 the {alpha} asked for; the verdict would rest on a model. {more} would let it."
            ),
        );
    } else if exchanging_two.is_some_and(|p| p > alpha) && protocol.treatments.len() > 2 {
        say(
            "two-treatments-coarse",
            format!(
                "If other methods work too, exchanging one method with the control alone cannot go \
                 below p = {:.3}; lay out more blocks or give the control more plots.",
                exchanging_two.unwrap_or(1.0)
            ),
        );
    }
    if residual_df < FEW_DF {
        say(
            "few-residual-df",
            format!(
                "Only {residual_df} degrees of freedom are left for error; EPPO PP 1/152 is \
                 remembered as asking for {FEW_DF}. More blocks would raise them."
            ),
        );
    }
    guard_and_cores(protocol, &mut say);
    advice
}

fn guard_and_cores(protocol: &Protocol, say: &mut impl FnMut(&'static str, String)) {
    let plot = &protocol.plot;
    let covered = protocol
        .treatments
        .iter()
        .any(|t| t.kind == TreatmentKind::Covering);
    if plot.guard_m <= 0.0 {
        let sheets = if covered {
            " and a sheet's edge needs room"
        } else {
            ""
        };
        say(
            "no-guard",
            format!(
                "There is no guard between plots: larvae walk in from next door{sheets}. Set guard_m."
            ),
        );
    }
    let cored = protocol.response.core_area_m2 * protocol.response.cores_per_plot as f64;
    let area = plot.length_m * plot.width_m;
    if cored > area {
        say(
            "cores-exceed-plot",
            format!(
                "The cores of a plot cover {cored:.3} m2, but the plot has {area:.2} m2. Take fewer or smaller cores."
            ),
        );
    } else if cored > CORED_SHARE * area {
        say(
            "many-cores-for-plot",
            format!(
                "The cores take {:.0} % of each plot at one counting, which thins the larvae by itself. \
                 Take fewer cores or make plots larger.",
                100.0 * cored / area
            ),
        );
    }
}

/// How many blocks would bring the smallest p to `alpha`: with b blocks it is 2 / q^b.
fn blocks_needed(smallest_p: f64, blocks: usize, alpha: f64) -> String {
    let each = (2.0 / smallest_p).powf(1.0 / blocks as f64);
    if each <= 1.0 || alpha <= 0.0 {
        return "More blocks".to_owned();
    }
    let needed = ((2.0 / alpha).ln() / each.ln() - 1e-9).ceil();
    format!("About {needed:.0} blocks")
}
