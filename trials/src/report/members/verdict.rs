//! A verdict for people who play on the green: yes, no or not yet; how many of twenty; how sure.

use halfgreen_analysis::comparison::{Call, Relevance};
use maud::{Markup, html};

use super::super::main_part::{capital, sentence};
use super::super::of_twenty::{OfTwenty, compared, of_twenty};
use super::{Findings, MANY};
use crate::judgement::{ContrastRow, Verdict};
use crate::text::rounding::change;

/// The answer in a few words, as the members' page words it.
fn answer(call: Call, relevance: Relevance) -> &'static str {
    match (call, relevance) {
        (Call::BeatTheControl, Relevance::Established) => "Yes, it worked",
        (Call::BeatTheControl, Relevance::Undecided) => "It worked, but perhaps not well enough",
        (Call::BeatTheControl, Relevance::Excluded) => "It worked, but too little to be worth it",
        (Call::DidWorse, _) => "No, it made things worse",
        (Call::TooSmallToMatter, _) => "No gain that is worth having",
        (Call::CannotTell, _) => "We cannot tell yet",
    }
}

/// The answer as a heading, after the name of the method where there are several.
pub(super) fn answered(name: Option<&str>, answer: &str) -> Markup {
    html! {
        h2 { @if let Some(name) = name { (capital(name)) ": " (uncapital(answer)) } @else { (answer) } }
    }
}

/// All verdicts in one frame.
pub(super) fn verdicts(findings: &Findings<'_>) -> Markup {
    let told = of_twenty(findings);
    let verdicts = &findings.judgement.verdicts;
    let several = verdicts.len() > 1;
    if verdicts.len() >= MANY {
        return many(findings, told.as_deref());
    }
    html! {
        section.verdict aria-label="What we found" {
            @for (i, (verdict, (method, control, row))) in verdicts.iter().zip(compared(findings)).enumerate() {
                (answered(several.then_some(method.as_str()), answer(verdict.call, verdict.relevance)))
                p {
                    @match told.as_ref().map(|t| &t[i]) {
                        Some(told) => (numbers(findings, verdict, told, row)),
                        None => (without_twenty(findings, row, &method, &control)),
                    }
                    (worth(verdict, findings))
                }
            }
        }
    }
}

/// Many methods: each in a line, and what holds for all of them once.
fn many(findings: &Findings<'_>, told: Option<&[OfTwenty]>) -> Markup {
    let counted = &findings.judgement.counted;
    let verdicts = &findings.judgement.verdicts;
    html! {
        section.verdict aria-label="What we found" {
            @if let Some(first) = told.and_then(<[OfTwenty]>::first) {
                p {
                    "For every " (first.of) " " (counted) " in plots of " (quoted(&first.control)) ", "
                    @if first.allows { "we estimate" } @else { "there were" }
                    " so many in as many plots of each method"
                    @if first.allows { ", allowing for " (allowed_for(findings)) } ":"
                }
            }
            @for (i, (verdict, (method, control, row))) in verdicts.iter().zip(compared(findings)).enumerate() {
                (answered(Some(&method), answer(verdict.call, verdict.relevance)))
                p {
                    @match told.map(|t| &t[i]) {
                        Some(told) => {
                            (capital(&about(told))) ", likely " (likely(told, row)) ": " (row.change_in_words())
                            " (" (row.range_in_words()) ")."
                        }
                        None => (without_twenty(findings, row, &method, &control)),
                    }
                }
            }
            @if told.is_some() && verdicts.iter().any(|v| v.call == Call::BeatTheControl || v.call == Call::TooSmallToMatter) {
                p { "We had agreed beforehand that " (change(findings.judgement.worthwhile_ratio)) " would be worth the work." }
            }
        }
    }
}

/// How many of twenty, and the range, with the same in per cent.
fn numbers(
    findings: &Findings<'_>,
    verdict: &Verdict,
    told: &OfTwenty,
    row: &ContrastRow,
) -> Markup {
    let counted = &findings.judgement.counted;
    html! {
        "For every " (told.of) " " (counted) " in plots of " (quoted(&told.control)) ", "
        @if told.allows { "we estimate " } @else { "there were " }
        (about(told)) " in as many plots of " (quoted(&told.method))
        @if told.allows { ", allowing for " (allowed_for(findings)) } ". "
        "That is " (row.change_in_words()) ". " (truth(told, row)) " "
        @if verdict.call == Call::CannotTell { (either(told)) }
    }
}

/// Where the true number lies, with the same in per cent; a range without end says so.
fn truth(told: &OfTwenty, row: &ContrastRow) -> String {
    match (told.high, told.low) {
        (None, 0) => "These counts set no limit to the true number.".to_owned(),
        (None, low) => {
            format!(
                "The true number is likely {low} or more: these counts set no upper limit to it."
            )
        }
        (Some(_), _) => format!(
            "The true number is likely {} ({}).",
            likely(told, row),
            row.range_in_words()
        ),
    }
}

/// What the estimate allows for, in words of the members' page.
fn allowed_for(findings: &Findings<'_>) -> &'static str {
    if findings.data.plots.iter().all(|p| p.before.is_some()) {
        "what the plots held before"
    } else {
        "how unevenly the larvae lay"
    }
}

/// "about 4", "none".
fn about(told: &OfTwenty) -> String {
    if told.number == 0 {
        "none or hardly any".to_owned()
    } else {
        format!("about {}", told.number)
    }
}

/// "between 1 and 10", "10 or more"; an end that is rounded to as many as in the control, and is not that, says so.
fn likely(told: &OfTwenty, row: &ContrastRow) -> String {
    let low = match row.stated_low() {
        Some(low) if low > 1.0 && told.low == told.of => format!("just over {}", told.of),
        _ => told.low.to_string(),
    };
    match (told.high, row.stated_high()) {
        (Some(high), _) if high == told.low => format!("about {high}"),
        (Some(high), Some(exact)) if exact < 1.0 && high == told.of => {
            format!("between {low} and just under {high}")
        }
        (Some(high), _) => format!("between {low} and {high}"),
        (None, _) => format!("{low} or more, without end"),
    }
}

/// What an answer that lies on both sides of no effect leaves open.
fn either(told: &OfTwenty) -> &'static str {
    if told.low < told.of && told.high.is_none_or(|high| high > told.of) {
        "So it may have helped, or done nothing, or done harm."
    } else {
        ""
    }
}

/// The numbers where they cannot be told of twenty.
fn without_twenty(
    findings: &Findings<'_>,
    row: &ContrastRow,
    method: &str,
    control: &str,
) -> Markup {
    let counted = &findings.judgement.counted;
    html! {
        @match row.ratio {
            Some(_) => {
                "There were " (row.change_in_words()) " " (counted) " in plots of " (quoted(method)) " than in plots of " (quoted(control))
                ". The true figure is likely between " (row.range_in_words()) ". "
            }
            None if findings.judgement.units.total == 0 => {
                "We found no " (counted) " in any plot, so there was nothing to compare. "
            }
            None => {
                "We found no " (counted) " in plots of " (quoted(control)) ", so the two cannot be set against each other as numbers. "
            }
        }
    }
}

/// Whether it is enough, by what was agreed before.
fn worth(verdict: &Verdict, findings: &Findings<'_>) -> Markup {
    let agreed = change(findings.judgement.worthwhile_ratio);
    let sentence = match (verdict.call, verdict.relevance) {
        (Call::BeatTheControl, Relevance::Established) => format!(
            "We had agreed beforehand that {agreed} would be worth the work. Even the cautious end of the range is better \
             than that."
        ),
        (Call::BeatTheControl, Relevance::Undecided) => format!(
            "We had agreed beforehand that {agreed} would be worth the work. It may be as good as that, or not."
        ),
        (Call::BeatTheControl, Relevance::Excluded) | (Call::TooSmallToMatter, _) => format!(
            "We had agreed beforehand that {agreed} would be worth the work. It is not as good as that."
        ),
        (Call::DidWorse | Call::CannotTell, _) => String::new(),
    };
    html! { (sentence) }
}

/// How sure, in a sentence or two; `listed` is what the full report lists, in the singular.
pub(super) fn how_sure(alpha: f64, mut calls: impl Iterator<Item = Call>, listed: &str) -> Markup {
    let wrong = 100.0 * alpha;
    let open = calls.any(|call| call == Call::CannotTell);
    html! {
        "A method that does nothing would be called a help or a harm in about " (format!("{wrong:.0}"))
        " of 100 trials like this one. "
        @if open { "“Cannot tell” does not mean that it does nothing. " }
        "The full report says how we got there, and lists every " (listed) "."
    }
}

/// A name that people gave, marked off from the sentence round it.
fn quoted(name: &str) -> Markup {
    html! { "“" (name) "”" }
}

/// A heading that goes on from a name.
fn uncapital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_ascii_lowercase());
    // "We" goes on as "we"; all others as well.
    first.into_iter().chain(letters).collect()
}

/// A sentence from the judgement that no verdict rests on.
pub(super) fn beside(text: &str) -> Markup {
    html! { p { (sentence(text)) } }
}
