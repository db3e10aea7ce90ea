//! `members.html`: one sheet of A4 for people who play on the green.

use halfgreen_analysis::comparison::{Call, Relevance};
use maud::{Markup, html};

use super::figures::Figure;
use super::main_part::{capital, footer, sentence};
use super::page::{figure, page};
use super::{Findings, cautions, threshold};
use crate::Warning;
use crate::design::{CHANGED_BESIDE, LAYOUT_CHANGED, Layout, NOT_AS_SEALED, Sample};
use crate::judgement::{AsTreated, Verdict, headline};

/// The page.
pub(super) fn members(findings: &Findings<'_>, figures: &[Figure]) -> String {
    let trial = &findings.protocol.trial;
    let several = findings.judgement.verdicts.len() > 1;
    // The plan is the picture where no row of larvae can be drawn.
    let picture = if figures.iter().any(|f| f.name == "left") {
        "left"
    } else {
        "map"
    };
    let body = html! {
        header { h1 { (trial.title) } @if let Some(site) = &trial.site { p.lead { (site) } } }
        main {
            section { h2 { "What we asked" } p { (trial.question) } p { (done(findings)) } }
            section.verdict aria-label="What we found" {
                @for verdict in &findings.judgement.verdicts {
                    h2 { @if several { (capital(findings.name(&verdict.treatment))) ": " } (headline(verdict.call)) }
                    p { (sentence(&verdict.sentence)) }
                }
            }
            @if let Some(changed) = changed(findings.warnings) { p { (changed) } }
            @for both in &findings.judgement.interactions { p { (sentence(&both.sentence)) } }
            @if let Some(second) = &findings.judgement.as_treated { p { (uncovered(second)) } }
            @if let Some(lasted) = &findings.judgement.treatment_by_occasion { p { (sentence(lasted.sentence.plain())) } }
            (figure(figures, picture))
            section { h2 { "What it means" } p { (meaning(findings)) } (threshold::members(findings)) @if !findings.next.plain.is_empty() { p { "Next season: " (sentence(&findings.next.plain)) } } }
            section { h2 { "While a trial lies on " (ground(findings.layout)) }
                p { "Please keep off sheets, pegs and marked plots, and leave weights where they are. " (cautions::LAST) } }
        }
        (footer())
    };
    page(&trial.title, "members", &body)
}

/// What was done, in two sentences.
fn done(findings: &Findings<'_>) -> Markup {
    let units = findings.judgement.units;
    let of_them = match &findings.judgement.crossover {
        Some(turns) => format!("them over {} nights", turns.nights.len()),
        None if units.plots == findings.layout.names().len() => "all of them".to_owned(),
        None => format!("{} of them", units.plots),
    };
    html! {
        "We marked " (findings.layout.names().len()) " plots on " (ground(findings.layout)) " and drew lots for what each one got: "
        (list(&findings.data.names)) ". Afterwards we " (looked(findings)) " "
        (of_them) " and counted " (units.total) " (" (findings.judgement.counted) ")."
    }
}

/// What was done to count: turf is taken out, a marked square is only looked at.
fn looked(findings: &Findings<'_>) -> String {
    let (sample, n) = (
        findings.protocol.response.sample,
        findings.judgement.units.subsamples,
    );
    match sample {
        Sample::Core => format!("took {} from", sample.plain(n)),
        Sample::Quadrat | Sample::Reading => format!("looked at {} in", sample.plain(n)),
    }
}

/// What was changed since the plan was sealed, or keeps anyone from checking it; nothing where all is as agreed.
pub(super) fn changed(warnings: &[Warning]) -> Option<&'static str> {
    let told = |code: &str| warnings.iter().any(|w| w.code == code);
    let layout = |w: &Warning| w.code == NOT_AS_SEALED && w.message.starts_with(LAYOUT_CHANGED);
    if warnings.iter().any(layout) {
        Some(
            "The list of plots is no longer the one on which the lots were drawn. Until somebody explains why, read the \
             answer with care.",
        )
    } else if told(NOT_AS_SEALED) {
        Some(
            "What had been agreed before the counting was changed afterwards, in a way that may change the answer. Read it \
             with care.",
        )
    } else if told("counted-before-sealed") {
        Some(
            "Some counts are dated before the lots were drawn. Until somebody explains why, read the answer with care.",
        )
    } else if told("no-seal") {
        Some(
            "There is no record that the lots were drawn before the counting, so that others have to take our word for it.",
        )
    } else if told(CHANGED_BESIDE) {
        Some(
            "Something in the plan was changed after it had been agreed, but nothing on which the answer rests.",
        )
    } else {
        None
    }
}

/// "the green", or "the greens" where plots lie on several.
pub(super) fn ground(layout: &Layout) -> &'static str {
    let first = layout.plots.first().map(|p| &p.green);
    if layout.plots.iter().all(|p| Some(&p.green) == first) {
        "the green"
    } else {
        "the greens"
    }
}

/// What wind or people did to plots, and whether it would have changed the answer.
fn uncovered(second: &AsTreated) -> String {
    let plots: Vec<String> = second.plots.iter().map(|t| t.plot.clone()).collect();
    let one = plots.len() == 1;
    format!(
        "{} {} did not stay as laid out. What is said above counts {} as drawn, as was agreed before.",
        if one { "Plot" } else { "Plots" },
        list(&plots),
        if one { "it" } else { "them" }
    )
}

/// "a, b and c".
pub(super) fn list(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// What a club may take from the verdicts.
fn meaning(findings: &Findings<'_>) -> &'static str {
    let verdicts = || findings.judgement.verdicts.iter();
    let worked = |v: &Verdict| v.call == Call::BeatTheControl && v.relevance != Relevance::Excluded;
    let useless = |v: &Verdict| {
        v.call == Call::TooSmallToMatter || (v.call == Call::BeatTheControl && !worked(v))
    };
    if findings.judgement.units.total == 0 {
        return "Nothing was found in any plot, treated or not. That says nothing for or against what was tried: there was \
                nothing for it to work on.";
    }
    if verdicts().any(worked) {
        match (
            ground(findings.layout),
            findings.judgement.by_group.as_ref(),
        ) {
            (_, Some(found)) if found.like_these => {
                "On greens like these, in a season like this, what is said above to have beaten the control works. Larvae sit \
                 in clumps and every green differs, so that on one of them it may do better or worse than the figure we found."
            }
            ("the greens", _) => {
                "On these greens, in this season, what is said above to have beaten the control worked. Larvae sit in clumps \
                 and every green differs, so the true figure may be better or worse than the one we found, within the range \
                 given."
            }
            _ => {
                "On this green, in this season, what is said above to have beaten the control worked. Larvae sit in clumps and \
                 every green differs, so the true figure may be better or worse than the one we found, within the range given."
            }
        }
    } else if verdicts().all(useless) {
        "We can stop wondering: whatever good it does, it is not worth the work."
    } else if verdicts().any(|v| v.call == Call::DidWorse) {
        "What did worse here seems to do harm. We shall not use it on the whole course."
    } else if (findings.judgement.by_group.as_ref()).is_some_and(|found| found.like_these) {
        "That is not a no, and it is not a yes: what was found differs so much from green to green that this trial could not \
         tell what to expect on others. Spending money on it for the whole course would be a guess."
    } else {
        "That is not a no, and it is not a yes: the counts differ so much from place to place that this trial \
         could not tell. Spending money on it for the whole course would be a guess."
    }
}
