//! How the trial was analysed, in words.

use halfgreen_analysis::comparison::{
    ErrorStratum, ModelAdjustment, PrimaryTest, RandomTerms, TestDescription, largest_attainable_p,
};
use halfgreen_analysis::randomisation::Adjustment;
use maud::{Markup, html};

use super::Findings;
use crate::design::BlockStructure;
use crate::judgement::{ByGroup, RandomisationRow};
use crate::text::rounding::{chance, figure, percent, plain, step};

/// What the verdict rests on, without numbers: for the main part.
pub(super) fn basis_in_words(findings: &Findings<'_>) -> String {
    let plots = findings.judgement.units.plots;
    if let Some(found) = like_these(findings) {
        let (one, several) = (found.group.one(), found.group.several());
        return format!(
            "The verdict rests on a model of how larvae scatter and on how far the effect differs from {one} to {one}: it is \
             about {several} like these. The lot by which treatments were given to the plots tells only of these {several}. \
             The protocol decides what the verdict is about, not the counts."
        );
    }
    match (&findings.judgement.randomisation, findings.judgement.primary_test) {
        (Some(_), PrimaryTest::Randomisation) => {
            "The verdict rests on the lot by which the treatments were given to the plots, and on nothing else: it asks \
             how often another lot would have shown as much. The design decides which test leads, not the counts."
                .to_owned()
        }
        (Some(r), PrimaryTest::Model) if r.smallest_p > findings.judgement.alpha => format!(
            "The verdict rests on a model of how larvae scatter: with {plots} plots there are too few ways to draw \
             lots for the lot alone to tell. The design decides which test leads, not the counts."
        ),
        (Some(_), PrimaryTest::Model) => {
            "The verdict rests on a model of how larvae scatter. The lot alone leads only in larger trials, by a rule that \
             the design fixes and the counts do not: with fewer plots it tells, but finds real differences less often."
                .to_owned()
        }
        (None, _) => "The verdict rests on a model of how larvae scatter. The treatments were not given to the plots by \
                      lot, so that a difference may come from where the plots lie."
            .to_owned(),
    }
}

/// Greens or blocks, where the verdict is about others like them.
fn like_these<'f>(findings: &'f Findings<'_>) -> Option<&'f ByGroup> {
    let found = findings.judgement.by_group.as_ref();
    found.filter(|f| f.like_these)
}

/// The section of the appendix.
pub(super) fn section(findings: &Findings<'_>) -> Markup {
    let found = findings.judgement;
    let sample = findings.protocol.response.sample;
    let samples = sample.number(found.units.subsamples);
    html! {
        section id="method" {
            h3 { "How it was analysed" }
            @match &found.crossover {
                Some(turns) => {
                    p { "The plot in one night is the unit: the " (samples) " were summed into "
                        (found.units.plots) " counts before anything was compared." }
                    p { (turns.sentences.join(" ")) }
                }
                None => p { "The plot is the unit: the " (samples) " were summed into "
                            (found.units.plots) " plots before anything was compared. " (blocking(findings.data.blocking)) },
            }
            p { "Effect: the ratio of mean counts, method to control. Model: counts with negative binomial variance "
                "(m + m²/k) on the log scale, the number of " (sample.words()[1]) " as offset, " (random(found.method.random))
                @if before(findings) { ", the count before treatment as covariate" }
                ". Its k gives the scale on which treatments are compared, " (scale(found.method.power))
                ". The test is Student's t of what counts on that scale differ from their expectation, with the error of "
                (error(found.method.error)) " on " (degrees(&found.method.df)) ", shared out by the variance that the model expects of each plot. "
                @if found.method.own_k {
                    "The counts tell the treatments apart by k: each is taken part of the way to a k of its own, and t is corrected for skewness. "
                }
                @if found.method.untransformed {
                    "They do so clearly, so that the same comparison of the counts as they are, over their means, must reject as well. "
                }
                "A difference is claimed only where larvae strewn at random (the exact conditional test of the totals, two-sided) "
                "would also lie as unevenly in at most " (percent(found.method.conditional_p)) " of trials. The "
                "interval holds every ratio that the same test does not rule out." }
            @if let Some(r) = &found.randomisation { (randomisation_test(findings, r)) }
            @if let Some(several) = adjustment(&found.method) {
                p { "Several methods share one control, so the tests are adjusted: " (several) ". All intervals hold together." }
            }
            @if !found.factors.is_empty() {
                p { "The treatments combine factors, and each factor has a verdict of its own: its levels are compared over all "
                    "combinations of the others, weighted alike, with the error that the design gives that factor. The factors "
                    "share the error rate equally. Randomisation test: plots that agree in all other factors change places." }
            }
            p { "Error rate accepted over all " @if found.factors.is_empty() { "methods" } @else { "factors" } " together: " (plain(found.alpha)) "." }
        }
    }
}

/// The random effects of the count model.
fn random(terms: RandomTerms) -> &'static str {
    match terms {
        RandomTerms::None => "no random effects",
        RandomTerms::Blocks => "blocks as random effects",
        RandomTerms::RowsAndColumns => "rows and columns as random effects",
    }
}

/// The scale on which counts are compared.
fn scale(power: f64) -> String {
    let stabilised = "arsinh(sqrt((y + 1/2) / k))";
    let infinite = "the square root of y + 1/2 where k is infinite";
    if power == 0.0 {
        format!(
            "{stabilised} sqrt(k), on which the scatter of counts is the same at every mean ({infinite})"
        )
    } else if power >= 0.5 {
        "the square root of y + 1/2".to_owned()
    } else {
        format!(
            "sinh(2p {stabilised}) sqrt(k) / (2p) with p = {}, between the one that makes the scatter of counts the same at every \
             mean and the square root ({infinite})",
            figure(power)
        )
    }
}

/// Where the error comes from.
fn error(stratum: ErrorStratum) -> &'static str {
    match stratum {
        ErrorStratum::Plots => "plots",
        ErrorStratum::PlotsWithinBlocks => "plots within blocks",
        ErrorStratum::PlotsWithinRowsAndColumns => "plots within rows and columns",
        ErrorStratum::PlotsAndWholePlots => {
            "plots or whole plots, as the two lie (Satterthwaite's degrees of freedom where both share in it)"
        }
        ErrorStratum::TreatmentByGroup => {
            "how far the effect differs between the groups that the verdict is about"
        }
    }
}

/// Degrees of freedom, the fewest and the most.
fn degrees(df: &[f64]) -> String {
    let fewest = df.iter().copied().fold(f64::INFINITY, f64::min);
    let most = df.iter().copied().fold(0.0, f64::max);
    let told = |df: f64| figure((10.0 * df).round() / 10.0);
    if told(fewest) == told(most) {
        format!("{} degrees of freedom", told(most))
    } else {
        format!("{} to {} degrees of freedom", told(fewest), told(most))
    }
}

/// How several methods are allowed for; nothing where there is one.
pub(super) fn adjustment(method: &TestDescription) -> Option<String> {
    let model = match method.model_adjustment {
        ModelAdjustment::None => return None,
        ModelAdjustment::Dunnett => "Dunnett's law for the model test",
    };
    let draw = match method.randomisation_adjustment {
        None | Some(Adjustment::None) => "",
        Some(Adjustment::ClosedTesting) => {
            ", closed testing of every group of methods by the largest difference for the randomisation test"
        }
        Some(Adjustment::Holm) => ", Holm's method for the randomisation test",
        Some(Adjustment::StepDownMaximum) => {
            ", the step-down maximum over re-allocations for the randomisation test"
        }
    };
    Some(format!("{model}{draw}"))
}

/// Which plots were compared with which.
fn blocking(blocking: BlockStructure) -> &'static str {
    match blocking {
        BlockStructure::Unblocked => "There were no blocks: all plots are compared with all.",
        BlockStructure::Blocks => "Plots are compared within their block.",
        BlockStructure::RowColumn => {
            "Plots are compared within the rows and columns of the square."
        }
        BlockStructure::SplitPlot => "Plots are compared within blocks and within whole plots.",
    }
}

/// Whether the counts before treatment entered the model.
fn before(findings: &Findings<'_>) -> bool {
    let mut before = findings.data.plots.iter().map(|p| p.before);
    let first = before.next().flatten();
    first.is_some()
        && findings.data.plots.iter().all(|p| p.before.is_some())
        && before.any(|b| b != first)
}

/// The randomisation test: its reference set, its attainable p, and whether it is the primary test.
fn randomisation_test(findings: &Findings<'_>, r: &RandomisationRow) -> Markup {
    let found = findings.judgement;
    html! {
        p { "Randomisation test: the design could have given " (r.allocations) " allocations. "
            @if r.exact { "For each method all " (format!("{:.0}", r.drawn)) " ways to " (redrawn(&found.method)) " were counted." }
            @else { (format!("{:.0}", r.drawn)) " of them were drawn with seed " (r.seed) "; p = (b + 1)/(m + 1)." }
            " Scores: (y − m)/(1 + m/k) of the model without treatment. The smallest attainable p is "
            (step(r.smallest_p)) "." }
        @if let Some(found) = like_these(findings) {
            p { "It is not the primary test: re-drawn within these " (found.group.several()) " it tests whether the method did nothing \
                in any plot, and tells nothing of others. The error of the model test is the interaction of treatment and "
                (found.group.one()) "." }
        } @else {
            p { (why(found.primary_test, r.smallest_p, found.alpha)) }
        }
    }
}

/// What a re-allocation changes.
fn redrawn(method: &TestDescription) -> &'static str {
    if method.redraws_all {
        "draw all treatments anew"
    } else {
        "exchange it with the control"
    }
}

fn why(primary_test: PrimaryTest, smallest_p: f64, alpha: f64) -> String {
    match primary_test {
        PrimaryTest::Randomisation => "It is the primary test because the design gives it allocations enough; it asks nothing of how larvae \
                                scatter. The model test stands beside it."
            .to_owned(),
        PrimaryTest::Model if smallest_p > alpha => format!(
            "It cannot be the primary test: its attainable p is {}, above the accepted {}. The model test is, and the \
             verdict is only as good as the model.",
            chance(smallest_p),
            plain(alpha)
        ),
        PrimaryTest::Model => format!(
            "It is not the primary test: by the rule it is only where one method and the control alone, changing places, can \
             reach p = {} or less; with coarser steps, ties would cost it chances to find a real difference. The model \
             test is the primary one, and the verdict is only as good as the model.",
            step(largest_attainable_p(alpha))
        ),
    }
}
