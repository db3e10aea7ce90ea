//! The pages of a trial of readings: scores, cover, lengths, steps at an edge.

use halfgreen_analysis::comparison::Call;
use maud::{Markup, html};

use super::figures::{self, Figure};
use super::main_part::{capital, footer, heading, notes, sentence};
use super::members::{PLANS, answered, changed, ground, list, members_footer};
use super::page::Column::{Figures, Words};
use super::page::{captioned, figure, page, table};
use super::pages::Pages;
use super::{WhatWasRead, cautions, record};
use crate::design::{Green, Layout, Protocol, Seal};
use crate::judgement::{EffectRow, TurfJudgement, headline};
use crate::text::rounding::{NONE, chance, figure as digits, plain, span};
use crate::{Error, Warning};

/// A judged trial of readings with everything round it.
#[derive(Debug, Clone)]
pub struct TurfFindings<'a> {
    /// What was asked.
    pub protocol: &'a Protocol,
    /// Where the plots lay and what they were drawn to get.
    pub layout: &'a Layout,
    /// The greens, one as a rule.
    pub greens: &'a [Green],
    /// The seal, if there is one.
    pub seal: Option<&'a Seal>,
    /// The judgement.
    pub judgement: &'a TurfJudgement,
    /// Codes of the treatments, the control first.
    pub codes: Vec<String>,
    /// Their names.
    pub names: Vec<String>,
    /// What the reader must know.
    pub warnings: &'a [Warning],
    /// Seed of sampled allocations.
    pub seed: u64,
    /// What of the trial's files was read.
    pub read: &'a [WhatWasRead],
}

impl TurfFindings<'_> {
    fn name(&self, code: &str) -> &str {
        let place = self.codes.iter().position(|c| c == code);
        place.map_or("", |i| &self.names[i])
    }
}

/// Makes the pages of a judged trial of readings.
///
/// # Errors
/// A treatment in the layout that the protocol does not know, or a figure that cannot be drawn.
pub fn turf_pages(findings: &TurfFindings<'_>) -> Result<Pages, Error> {
    let figures = figures::of_readings(findings)?;
    Ok(Pages {
        report: report(findings, &figures),
        members: members(findings, &figures),
        figures,
    })
}

fn report(findings: &TurfFindings<'_>, figures: &[Figure]) -> String {
    let trial = &findings.protocol.trial;
    let body = html! {
        (heading(trial))
        main {
            @for row in &findings.judgement.effect { (told(findings, row)) }
            p { "The verdict rests on the lot by which the treatments were given to the plots, and on nothing else: it "
                "asks how often another lot would have shown as much." }
            section id="plan" { h2 { "Where the plots lay" } (figure(figures, "map")) }
            section id="readings" { h2 { "What was read" } (figure(figures, "counts")) (means(findings)) (effects(findings)) }
            (notes(findings.warnings))
            (cautions::section(findings.protocol))
            section.appendix id="appendix" {
                h2 { "Appendix: for the statistician" }
                (method(findings))
                (record::record(findings.protocol, findings.seal, findings.warnings, findings.seed, findings.read))
                (plots(findings))
            }
        }
        (footer())
    };
    page(&trial.title, "report", &body)
}

fn told(findings: &TurfFindings<'_>, row: &EffectRow) -> Markup {
    let unit = &findings.protocol.response.unit;
    html! {
        section.verdict aria-label="Verdict" {
            h2 {
                @if findings.judgement.effect.len() > 1 { (capital(findings.name(&row.treatment))) ": " }
                (headline(row.call))
            }
            p { (sentence(row.sentence.plain())) }
            dl.facts {
                div { dt { "difference (" (unit) ")" } dd { (signed(row.difference)) } }
                div { dt { "likely between" } dd { (limits(row)) } }
                @if let Some(worth) = findings.protocol.decision.worthwhile_difference {
                    div { dt { "worth having" } dd { (plain(worth)) } }
                }
            }
        }
    }
}

/// A difference with its sign.
fn signed(x: f64) -> String {
    if x > 0.0 {
        format!("+{}", digits(x))
    } else {
        digits(x)
    }
}

fn limits(row: &EffectRow) -> String {
    match (row.low, row.high) {
        (Some(low), Some(high)) => format!("{} and {}", signed(low), signed(high)),
        _ => "no limits".to_owned(),
    }
}

fn means(findings: &TurfFindings<'_>) -> Markup {
    let found = findings.judgement;
    let rows: Vec<Vec<String>> = found
        .means
        .iter()
        .map(|m| {
            let plots = found.readings.iter().filter(|r| r.treatment == m.treatment);
            vec![
                findings.name(&m.treatment).to_owned(),
                plots.count().to_string(),
                digits(m.mean),
            ]
        })
        .collect();
    table(
        "Means",
        &[Words("treatment"), Figures("plots"), Figures("mean")],
        &rows,
    )
}

fn effects(findings: &TurfFindings<'_>) -> Markup {
    let rows: Vec<Vec<String>> = findings
        .judgement
        .effect
        .iter()
        .map(|e| {
            let ratio = e.ratio.map_or(NONE.to_owned(), |r| {
                format!("{} ({})", digits(r.estimate), span(r.low, r.high))
            });
            vec![
                format!(
                    "{} against {}",
                    findings.name(&e.treatment),
                    findings.name(&e.control)
                ),
                signed(e.difference),
                limits(e),
                signed(e.hodges_lehmann),
                ratio,
                format!("{:.0} of 100", 100.0 * e.superiority),
                chance(e.p),
                chance(e.p_adjusted),
            ]
        })
        .collect();
    let names = [
        Words("comparison"),
        Figures("difference of means"),
        Figures("interval"),
        Figures("Hodges-Lehmann estimate"),
        Figures("ratio"),
        Figures("probability of superiority"),
        Figures("p"),
        Figures("adjusted"),
    ];
    table("Difference from the control", &names, &rows)
}

fn method(findings: &TurfFindings<'_>) -> Markup {
    let found = findings.judgement;
    let smallest = found
        .effect
        .iter()
        .map(|e| e.smallest_p)
        .fold(0.0, f64::max);
    html! {
        section id="method" {
            h3 { "How it was analysed" }
            p { "The plot is the unit: readings of a plot are averaged before anything is compared, and a plot without a "
                "reading is a missing plot. No law of chance is assumed. p-values are those of the randomisation test ("
                (found.allocations) " allocations that the design allowed); the smallest attainable p is " (chance(smallest)) ". The interval "
                "holds every difference that the same test would not reject; one odd plot "
                "cannot move the Hodges-Lehmann estimate far. Probability of superiority: how often a plot of the method reads higher than one of the control." }
            p { "Error rate accepted over all methods together: " (plain(found.alpha)) "." }
        }
    }
}

fn plots(findings: &TurfFindings<'_>) -> Markup {
    let found = findings.judgement;
    let read = found.readings.iter().map(|r| {
        vec![
            r.plot.clone(),
            r.block.clone().unwrap_or_else(|| NONE.to_owned()),
            findings.name(&r.treatment).to_owned(),
            digits(r.reading),
        ]
    });
    let missing = found.missing.iter().map(|p| {
        vec![
            p.clone(),
            NONE.to_owned(),
            NONE.to_owned(),
            "not read".to_owned(),
        ]
    });
    let rows: Vec<Vec<String>> = read.chain(missing).collect();
    let names = [
        Words("plot"),
        Words("block"),
        Words("treatment"),
        Figures("reading"),
    ];
    html! { section { h3 { "Plots" } (table("Mean reading of every plot", &names, &rows)) } }
}

/// The answer in a few words, as the members' page words it.
fn answer(call: Call) -> &'static str {
    match call {
        Call::BeatTheControl => "Yes, it did better",
        Call::DidWorse => "No, it did worse",
        Call::TooSmallToMatter => "No difference that is worth having",
        Call::CannotTell => "We cannot tell yet",
    }
}

fn members(findings: &TurfFindings<'_>, figures: &[Figure]) -> String {
    let trial = &findings.protocol.trial;
    let found = findings.judgement;
    let several = found.effect.len() > 1;
    let body = html! {
        header { h1 { (trial.title) } @if let Some(site) = &trial.site { p.lead { (site) } } }
        main {
            section { h2 { "What we asked" } p { (trial.question) }
                p { "We marked " (findings.layout.plots.len()) " plots on " (ground(findings.layout)) " and drew lots for what each one got: "
                    (list(&findings.names)) ". Afterwards we read " (found.plots) " of them ("
                    (findings.protocol.response.name) ", " (findings.protocol.response.unit) ")." } }
            section.verdict aria-label="What we found" {
                @for row in &found.effect {
                    (answered(several.then(|| findings.name(&row.treatment)), answer(row.call)))
                    p { (sentence(row.sentence.plain())) }
                }
            }
            @if let Some(changed) = changed(findings.warnings) { p { (changed) } }
            div.pair {
                @if findings.greens.len() <= PLANS {
                    (captioned(figures, "map", "From above: the number of each plot, the letter of what it got, and what we read there."))
                }
                (captioned(figures, "counts", "Each mark is one plot. Thin lines join plots that were compared with each other. Thick bars are the means."))
            }
            section { h2 { "While a trial lies on " (ground(findings.layout)) }
                p { "Please keep off sheets, pegs and marked plots, and leave weights where they are. " (cautions::LAST) } }
        }
        (members_footer())
    };
    page(&trial.title, "members", &body)
}
