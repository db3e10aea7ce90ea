//! How likely a trial of this size is to find the change worth having, before anything is known.

use halfgreen_analysis::power::blocked::{blocks_for, power};
use halfgreen_analysis::power::simulated::{Plan, SiteParameters};

use super::{Better, Protocol, headline_comparison};

/// Larvae in an untreated core where the protocol names no threshold: an assumption, no source.
const ASSUMED_MEAN: f64 = 1.0;
/// Clumping between plots, from very patchy to nearly even: an assumption, no source.
const ASSUMED_K: [f64; 2] = [0.5, 5.0];
/// Chance below which the sentence is worth saying: the usual wish of planners.
const WISHED: f64 = 0.8;
/// Most blocks named as a cure; no club lays out more.
const MOST_BLOCKS: usize = 60;

/// A sentence on the chance of finding the worthwhile change, `None` where it is good even on patchy
/// ground. The chance is the closed-form preview for complete blocks
/// ([`power`]); other designs are taken as blocks with as many plots of each treatment.
pub(super) fn chance_of_finding(protocol: &Protocol) -> Option<String> {
    let response = &protocol.response;
    // Of readings nobody knows the scatter before the trial.
    if !response.kind.is_count() {
        return None;
    }
    let plan = plan(protocol)?;
    let alpha = headline_comparison(protocol).alpha;
    let decision = &protocol.decision;
    let sample = response.sample.words()[0];
    let (mean, source) = match (mean_before(protocol), decision.threshold_per_m2) {
        (Some(mean), _) => (
            mean,
            format!("as many as were counted before treatment ({mean:.1} in a {sample})"),
        ),
        (None, Some(threshold)) => {
            let mean = threshold * response.core_area_m2;
            (
                mean,
                format!("untreated ground at your threshold ({mean:.1} in a {sample})"),
            )
        }
        (None, None) => (
            ASSUMED_MEAN,
            format!("{ASSUMED_MEAN} in an untreated {sample}"),
        ),
    };
    let ground = |k_plot: f64| SiteParameters {
        mean,
        k_sample: f64::INFINITY,
        k_plot,
        block_sd: 0.0,
        missing: 0.0,
    };
    // Sizes that cannot be worked out are refused elsewhere: then there is nothing to say.
    let chance = |k: f64| power(&plan, &ground(k), alpha).ok();
    let [patchy, even] = [chance(ASSUMED_K[0])?, chance(ASSUMED_K[1])?];
    if patchy >= WISHED {
        return None;
    }
    let [low, high] = ASSUMED_K;
    let blocks = |k: f64| {
        blocks_for(&plan, &ground(k), alpha, WISHED, MOST_BLOCKS)
            .ok()
            .flatten()
    };
    let what = if protocol.factors.is_empty() {
        "treatment"
    } else {
        "level of a factor"
    };
    let cure = match (blocks(low), blocks(high)) {
        (Some(many), _) => {
            format!("{many} plots of each {what} would find it in 80 of 100 trials even then.")
        }
        (None, Some(few)) if even < WISHED => {
            format!("{few} plots of each {what} would find it in 80 of 100 trials on even ground.")
        }
        _ => format!(
            "More {} in each plot{} or a larger worthwhile change would help.",
            response.sample.words()[1],
            if mean_before(protocol).is_some() {
                ""
            } else {
                ", blocking by counts before treatment,"
            }
        ),
    };
    let change = match response.better {
        Better::Fewer => "a reduction",
        Better::More => "an increase",
    };
    Some(format!(
        "The chance of finding {change} of {} % is about {:.0} % if plots are very patchy (k = {low}) \
         and {:.0} % if they are nearly even (k = {high}). That assumes {source} and that range of k, \
         for which there is no source. {cure} `halfgreen next` works it out from counts of your own.",
        decision.worthwhile_percent,
        100.0 * patchy,
        100.0 * even,
    ))
}

/// Mean of a sample by the counts before treatment, where blocks were formed from them.
fn mean_before(protocol: &Protocol) -> Option<f64> {
    let before = &protocol.design.arrangement.before;
    let cores = protocol.response.cores_per_plot as f64;
    let mean = before.iter().sum::<f64>() / (before.len() as f64 * cores);
    // None where nothing was counted, or nothing found.
    (mean > 0.0).then_some(mean)
}

/// The design as complete blocks with as many plots of each method, or of each level of a factor.
fn plan(protocol: &Protocol) -> Option<Plan> {
    let compared = headline_comparison(protocol);
    let plots_of_each = protocol.design.kind.plots_of_each(&protocol.asked());
    (compared.methods > 0).then(|| Plan {
        blocks: protocol.design.blocks * plots_of_each * compared.plots_of_each,
        samples: protocol.response.cores_per_plot,
        ratios: vec![protocol.worthwhile_ratio(); compared.methods],
    })
}
