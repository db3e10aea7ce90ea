//! How the trial was analysed, in words.

use halfgreen_analysis::comparison::{
    ErrorStratum, ModelAdjustment, PrimaryTest, RandomTerms, TestDescription, largest_attainable_p,
};
use halfgreen_analysis::randomisation::Adjustment;

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

/// How the counts were analysed, a paragraph each, with sources.
pub(super) fn analysis(findings: &Findings<'_>) -> Vec<String> {
    let found = findings.judgement;
    let mut told = vec![unit(findings), model(findings), test(&found.method)];
    told.extend(
        found
            .randomisation
            .iter()
            .map(|r| randomisation_test(findings, r)),
    );
    told.extend(adjustment(&found.method).map(|several| {
        format!("Several methods share one control, so the tests are adjusted: {several}. All intervals hold together.")
    }));
    let crossed = !found.factors.is_empty();
    if crossed {
        told.push(
            "The treatments combine factors, and each factor has a verdict of its own: its levels are compared over all \
             combinations of the others, weighted alike, with the error that the design gives that factor. The factors share \
             the error rate equally. Randomisation test: plots that agree in all other factors change places."
                .to_owned(),
        );
    }
    told.push(format!(
        "The error rate accepted over all {} together is {}.",
        if crossed { "factors" } else { "methods" },
        plain(found.alpha)
    ));
    told
}

/// What was summed, and what is compared with what.
fn unit(findings: &Findings<'_>) -> String {
    let found = findings.judgement;
    let samples = findings
        .protocol
        .response
        .sample
        .number(found.units.subsamples);
    let plots = found.units.plots;
    match &found.crossover {
        Some(turns) => format!(
            "The plot in one night is the unit: the {samples} were summed into {plots} counts before anything was compared. {}",
            turns.sentences.join(" ")
        ),
        None => format!(
            "The plot is the unit: the {samples} were summed into {plots} plots before anything was compared. {}",
            blocking(findings.data.blocking)
        ),
    }
}

/// The model of the counts.
fn model(findings: &Findings<'_>) -> String {
    let found = findings.judgement;
    let sample = findings.protocol.response.sample.words()[1];
    let covariate = if before(findings) {
        ", the count before treatment as covariate"
    } else {
        ""
    };
    format!(
        "The effect is the ratio of mean counts, method to control. Counts were modelled with negative binomial variance (m + \
         m²/k) on the log scale (Lawless 1987, McCullagh & Nelder 1989), the number of {sample} as offset, {}{covariate}. The k \
         of this model gives the scale on which treatments are compared, {}.",
        random(found.method.random),
        scale(found.method.power)
    )
}

/// The test of the model, and its limits.
fn test(method: &TestDescription) -> String {
    let own_k = if method.own_k {
        " The counts tell the treatments apart by k: each is taken part of the way to a k of its own, and t is corrected for skewness."
    } else {
        ""
    };
    let untransformed = if method.untransformed {
        " They do so clearly, so that the same comparison of the counts as they are, over their means, must reject as well."
    } else {
        ""
    };
    format!(
        "The model test is Student's t of what counts on that scale differ from their expectation, with the error of {} on {}, \
         shared out by the variance that the model expects of each plot (Lehmann & Romano 2005).{own_k}{untransformed} A \
         difference is claimed only where larvae strewn at random (the exact conditional test of the totals, two-sided; \
         Przyborowski & Wilenski 1940) would also lie as unevenly in at most {} of trials. The interval holds every ratio that \
         the same test does not rule out.",
        error(method.error),
        degrees(&method.df),
        percent(method.conditional_p)
    )
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
            "{stabilised} sqrt(k), on which the scatter of counts is the same at every mean ({infinite}; Beall 1942, Anscombe 1948)"
        )
    } else if power >= 0.5 {
        "the square root of y + 1/2 (Bartlett 1936)".to_owned()
    } else {
        format!(
            "sinh(2p {stabilised}) sqrt(k) / (2p) with p = {}, between the one that makes the scatter of counts the same at every \
             mean and the square root ({infinite}; Beall 1942, Anscombe 1948)",
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
            "plots or whole plots, as the two lie (Satterthwaite's degrees of freedom where both share in it; Satterthwaite 1946)"
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
        ModelAdjustment::Dunnett => "Dunnett's law for the model test (Dunnett 1955)",
    };
    let draw = match method.randomisation_adjustment {
        None | Some(Adjustment::None) => "",
        Some(Adjustment::ClosedTesting) => {
            ", closed testing of every group of methods by the largest difference for the randomisation test (Marcus et al. 1976)"
        }
        Some(Adjustment::Holm) => ", Holm's method for the randomisation test (Holm 1979)",
        Some(Adjustment::StepDownMaximum) => {
            ", the step-down maximum over re-allocations for the randomisation test (Westfall & Young 1993)"
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
fn randomisation_test(findings: &Findings<'_>, r: &RandomisationRow) -> String {
    let found = findings.judgement;
    let looked_at = if r.exact {
        format!(
            "For each method all {:.0} ways to {} were counted.",
            r.drawn,
            redrawn(&found.method)
        )
    } else {
        format!(
            "{:.0} of them were drawn with seed {}; p = (b + 1)/(m + 1).",
            r.drawn, r.seed
        )
    };
    let place = match like_these(findings) {
        Some(found) => format!(
            "It is not the primary test: re-drawn within these {} it tests whether the method did nothing in any plot, and tells \
             nothing of others. The error of the model test is the interaction of treatment and {}.",
            found.group.several(),
            found.group.one()
        ),
        None => why(found.primary_test, r.smallest_p, found.alpha),
    };
    format!(
        "The randomisation test (Fisher 1935) asks how often the draw alone would have shown as much. The design could have \
         given {} allocations. {looked_at} Scores are (y − m)/(1 + m/k) of the model without treatment. The smallest attainable \
         p is {}. {place}",
        r.allocations,
        step(r.smallest_p)
    )
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
