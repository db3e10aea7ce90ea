//! The members' sheet of a trial of readings.

use halfgreen_analysis::comparison::Call;
use maud::html;

use super::super::figures::{Figure, are_joined};
use super::super::head::{self, Head, short_name};
use super::super::main_part::sentence;
use super::super::page::{captioned, page};
use super::super::{TurfFindings, cautions};
use super::verdict::{answered, how_sure};
use super::{PLANS, changed, from_above, ground, members_footer, members_header};
use crate::text::spelling::list;

/// The answer in a few words.
fn answer(call: Call) -> &'static str {
    match call {
        Call::BeatTheControl => "Yes, it did better",
        Call::DidWorse => "No, it did worse",
        Call::TooSmallToMatter => "No gain that is worth having",
        Call::CannotTell => "We cannot tell yet",
    }
}

/// The page.
pub(in super::super) fn members_of_readings(
    findings: &TurfFindings<'_>,
    figures: &[Figure],
) -> String {
    let short = TurfFindings {
        judgement: findings.judgement,
        codes: findings.codes.clone(),
        names: findings.names.iter().map(|name| short_name(name)).collect(),
        papers: findings.papers,
    };
    let trial = &findings.papers.protocol.trial;
    let rest = head::rest(trial, head::SHEET, findings.names.iter());
    sheet(&short, figures, rest)
}

/// The sheet. `rest` tells where that is which it has no room for.
fn sheet(findings: &TurfFindings<'_>, figures: &[Figure], rest: Option<&str>) -> String {
    let trial = Head::of(&findings.papers.protocol.trial, head::SHEET);
    let found = findings.judgement;
    let several = found.effect.len() > 1;
    let calls = || found.effect.iter().map(|row| row.call);
    let ground = ground(findings.papers.layout);
    let read = &found.readings;
    let joined = if are_joined(read.len()) && read.iter().any(|r| r.block.is_some()) {
        " Thin lines join plots that were compared with each other."
    } else {
        ""
    };
    let marks = format!("Each mark is one plot.{joined} Thick bars are the means.");
    let body = html! {
        (members_header(&trial))
        main {
            section { h2 { "What we asked" } p { (trial.question) }
                p { "We marked " (findings.papers.layout.plots.len()) " plots on " (ground) " and drew lots for what each one got: "
                    (list(&findings.names)) ". Afterwards we read " (found.plots) " of them ("
                    (findings.papers.protocol.response.name) ", " (findings.papers.protocol.response.unit) ")." } }
            section.verdict aria-label="What we found" {
                @for row in &found.effect {
                    (answered(several.then(|| findings.name(&row.treatment)), answer(row.call)))
                    p { (sentence(row.sentence.plain())) }
                }
            }
            @if let Some(changed) = changed(findings.papers.warnings) { p { (changed) } }
            div.pair {
                @if findings.papers.greens.len() <= PLANS {
                    (captioned(figures, "map", &from_above(findings.papers.greens, findings.papers.layout, "read")))
                }
                (captioned(figures, "counts", &marks))
            }
            div.closing {
                section { h2 { "How sure are we?" } p { (how_sure(found.alpha, calls(), "reading")) } }
                section { h2 { "What it means" } @for meant in meaning(&calls().collect::<Vec<_>>(), ground) { p { (meant) } } }
                section { h2 { "While a trial lies on " (ground) }
                p { "Please keep off sheets, pegs and marked plots, and leave weights where they are. " (cautions::LAST) } }
            }
        }
        (members_footer(rest))
    };
    let class = if rest.is_some() {
        "members many"
    } else {
        "members"
    };
    page(&trial.title, class, &body)
}

/// What a club may take from the verdicts, one sentence or two for each kind of them.
fn meaning(calls: &[Call], ground: &str) -> Vec<String> {
    let several = calls.len() > 1;
    let has = |call: Call| calls.contains(&call);
    let these = ground.replacen(
        "the",
        if ground == "the greens" {
            "these"
        } else {
            "this"
        },
        1,
    );
    let told = [
        (Call::BeatTheControl, {
            let what = if several {
                "What did better"
            } else {
                "The method"
            };
            format!(
                "{what} did so on {these}, in this season. Every green differs, so it may do better or worse elsewhere."
            )
        }),
        (Call::DidWorse, {
            let what = if several {
                "What did worse"
            } else {
                "It did worse, and"
            };
            format!("{what} should not be used on the whole course.")
        }),
        (Call::TooSmallToMatter, {
            if several {
                "What brought no gain worth having is not worth the work.".to_owned()
            } else {
                "No gain worth the work is left possible.".to_owned()
            }
        }),
        (Call::CannotTell, {
            let what = if several {
                "What we cannot tell yet"
            } else {
                "That"
            };
            format!(
                "{what} is not a yes, and it is not a no. Spending money on it for the whole course would be a guess."
            )
        }),
    ];
    let told = told.into_iter().filter(|(call, _)| has(*call));
    told.map(|(_, sentence)| sentence).collect()
}
