//! Advice before a spade goes in: what the design could never show, and what would mend it.

use halfgreen_analysis::comparison::{PrimaryTest, primary_test};

use super::chance_of_finding::chance_of_finding;
use super::{Advice, BlockStructure, ENOUGH, Protocol, Rule, Sample, TreatmentKind, VerdictAbout};
use crate::text::rounding::p_value;

/// Degrees of freedom for error below which a trial is thought too small (EPPO PP 1/152).
const FEW_DF: usize = 12;
/// Up to so many blocks a gradient across them makes 6 to 22 % false claims where 5 % are promised (calibration bench,
/// `GRADIENT.md`); with more, a draw that puts a method on one side throughout is rare.
const FEW_BLOCKS: usize = 5;
/// Most blocks looked at when a number is to be named.
const MOST_BLOCKS: usize = 200;
/// Share of a plot that cores may take out before sampling itself thins the larvae (our judgement,
/// no source).
pub(crate) const CORED_SHARE: f64 = 0.05;

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
    let kind = protocol.design.kind;
    let mut advice: Vec<Advice> = kind.advise(&protocol.asked()).into_iter().collect();
    let mut say = |code, message| advice.push(Advice { code, message });
    if smallest_p > alpha {
        let more = more_until(protocol, smallest_p, |p| p <= alpha);
        say(
            "smallest-p-above-alpha",
            format!(
                "With this design the randomisation test cannot go below {}, above \
                 the {alpha} asked for: the verdict will rest on a model of the counts. {more} would \
                 bring it to {alpha}.",
                p_value(smallest_p)
            ),
        );
    } else if exchanging_two.is_some_and(|p| p > alpha) && protocol.treatments.len() > 2 {
        say(
            "two-treatments-coarse",
            format!(
                "If other methods work too, exchanging one method with the control alone cannot go \
                 below {}; lay out more blocks or give the control more plots.",
                p_value(exchanging_two.unwrap_or(1.0))
            ),
        );
    }
    let two = exchanging_two.unwrap_or(smallest_p);
    let about = protocol.verdict_about();
    if smallest_p <= alpha
        && about != Some(VerdictAbout::LikeThese)
        && primary_test(two, alpha) == PrimaryTest::Model
    {
        say(
            "model-leads",
            format!(
                "The draw alone gives p-values in steps too coarse to carry the verdict (the smallest is \
                 {two:.4}): a model of the counts will, and what the draw says stands beside it."
            ),
        );
    }
    if residual_df < FEW_DF {
        let more = match about {
            Some(VerdictAbout::LikeThese) => "More greens",
            _ => "More blocks",
        };
        say(
            "few-residual-df",
            format!(
                "Only {residual_df} degrees of freedom are left for error; EPPO PP 1/152 asks for at \
                 least {FEW_DF}. {more} would raise them."
            ),
        );
    }
    if let Some((code, message)) = gradient(protocol) {
        say(code, message);
    }
    guard_and_cores(protocol, &mut say);
    if let Some(message) = chance_of_finding(protocol) {
        say("low-chance", message);
    }
    if let Some((code, message)) = greens(protocol) {
        say(code, message);
    }
    advice
}

/// Advice on a draw that leaves a gradient across the blocks to chance.
fn gradient(protocol: &Protocol) -> Option<(&'static str, String)> {
    let design = &protocol.design;
    let facts = design.kind.facts();
    if design
        .arrangement
        .rules
        .contains(&Rule::BalancedAlongGradient)
    {
        return None;
    }
    if let Some(stated) = design.arrangement.gradient_deg {
        return Some((
            "gradient-not-balanced",
            format!(
                "gradient_deg = {stated} alone changes nothing: add rules = [\"balanced-along-gradient\"] to [design], so \
                 that no treatment is drawn to one end of its blocks."
            ),
        ));
    }
    let blocked = facts.structure == BlockStructure::Blocks && !facts.over_nights();
    if !blocked || !(2..=FEW_BLOCKS).contains(&design.blocks) {
        return None;
    }
    let one_in = 1_usize << (design.blocks - 1);
    Some((
        "draw-may-be-lopsided",
        format!(
            "With {} about one draw in {one_in} puts a method on the same side of the control throughout, and ground that \
             changes across the blocks, from wet to dry say, then looks like the method's work. Add \
             rules = [\"balanced-along-gradient\"] to [design], or turn the plots (angle_deg) so that the blocks lie along \
             what stays the same.",
            facts.counted(design.blocks)
        ),
    ))
}

/// What greens can and cannot tell of greens that are not in the trial.
fn greens(protocol: &Protocol) -> Option<(&'static str, String)> {
    let greens = protocol.design.arrangement.greens.len();
    if !protocol.response.kind.is_count() {
        return None;
    }
    match (greens, protocol.verdict_about()) {
        (0 | 1, _) => Some((
            "one-green",
            format!(
                "The trial lies on one green, and the verdict will be about that green: whether the method does as much on \
                 others cannot be known from it. A trial on {ENOUGH} greens or more could tell."
            ),
        )),
        (2, Some(VerdictAbout::LikeThese)) => Some((
            "two-greens",
            format!(
                "The verdict is to be about greens like these, and from two greens hardly anything can be known of how much \
                 greens differ: only an effect that is almost the same on both could be shown. Lay the trial on {ENOUGH} \
                 greens or more."
            ),
        )),
        (2, _) => Some((
            "two-greens",
            format!(
                "The verdict will be about these two greens: how much the effect differs from green to green cannot be known \
                 from two, nor what to expect on another. A trial on {ENOUGH} greens or more could tell."
            ),
        )),
        (_, Some(VerdictAbout::LikeThese)) => Some((
            "greens-like-these",
            format!(
                "The verdict will be about greens like these {greens}: the error is how far the effect differs from green \
                 to green, so that more plots on the same greens help little, and more greens help much. Write \
                 verdict_about = \"these-greens\" under [decision] if you ask of these alone."
            ),
        )),
        (_, Some(VerdictAbout::These)) => Some((
            "these-greens",
            "The verdict will be about these greens and no others: how far the effect differs between them does not count \
             as error."
                .to_owned(),
        )),
        (_, None) => None,
    }
}

/// Advice on guards narrower than the strip by which a sheet reaches beyond its plot.
#[must_use]
pub fn advise_on_sheets(protocol: &Protocol, edge_m: f64) -> Option<Advice> {
    let guard_m = protocol.plot.guard_m;
    if !covers(protocol) || guard_m >= edge_m {
        return None;
    }
    Some(Advice {
        code: "guard-narrower-than-edge",
        message: format!(
            "A sheet reaches {edge_m} m beyond its plot, but the guard is {guard_m} m wide, so the \
             sheet lies on the neighbour's guard. Set guard_m = {edge_m} or more, or edge_m = \
             {guard_m} or less."
        ),
    })
}

fn covers(protocol: &Protocol) -> bool {
    let mut treatments = protocol.treatments.iter();
    treatments.any(|t| t.kind == TreatmentKind::Covering)
}

fn guard_and_cores(protocol: &Protocol, say: &mut impl FnMut(&'static str, String)) {
    let plot = &protocol.plot;
    if plot.guard_m <= 0.0 {
        let sheets = if covers(protocol) {
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
    if protocol.response.sample == Sample::Core && cored > CORED_SHARE * area {
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

/// How many blocks would make the smallest p enough: with b blocks it is 2 / q^b. For a completely
/// randomised design this is a first guess.
fn more_until(protocol: &Protocol, smallest_p: f64, enough: impl Fn(f64) -> bool) -> String {
    let blocks = protocol.design.blocks;
    let [_, noun] = protocol.design.kind.facts().blocks;
    let each = (2.0 / smallest_p).powf(1.0 / blocks as f64);
    // Rounding must not ask for one block more.
    let reached = |b: usize| 2.0 * each.powf(-(b as f64)) * (1.0 - 1e-9);
    let needed = (blocks + 1..=MOST_BLOCKS).find(|&b| enough(reached(b)));
    needed.map_or_else(
        || format!("More {noun}"),
        |needed| format!("About {needed} {noun}"),
    )
}
