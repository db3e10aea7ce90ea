//! The pages of a trial of readings: scores, cover, lengths, steps at an edge.

use super::document::{Document, Part, Role, Section};
use super::figures;
use super::main_part::{capital, document, notes, papers_told, plan, sentence};
use super::members::members_of_readings;
use super::page::Column::{Figures, Words};
use super::pages::{Pages, pages_of};
use super::papers::Papers;
use super::{cautions, deviations, happenings, methods_text};
use crate::Error;
use crate::judgement::{EffectRow, TurfJudgement, headline};
use crate::text::rounding::{NONE, chance, figure as digits, of_hundred, plain, span};

/// A judged trial of readings with everything round it.
#[derive(Debug, Clone)]
pub struct TurfFindings<'a> {
    /// What the trial has beside its numbers.
    pub papers: Papers<'a>,
    /// The judgement.
    pub judgement: &'a TurfJudgement,
    /// Codes of the treatments, the control first.
    pub codes: Vec<String>,
    /// Their names.
    pub names: Vec<String>,
}

impl TurfFindings<'_> {
    /// Name of a treatment for people.
    pub(super) fn name(&self, code: &str) -> &str {
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
    let members = members_of_readings(findings, &figures);
    Ok(pages_of(&report(findings), members, figures))
}

fn report(findings: &TurfFindings<'_>) -> Document {
    let papers = findings.papers;
    let found = findings.judgement;
    let mut sections: Vec<Section> = found.effect.iter().map(|row| told(findings, row)).collect();
    let rests = "The verdict rests on the lot by which the treatments were given to the plots, and on nothing else: it asks how \
                 often another lot would have shown as much.";
    let read = Section::new("readings", "What was read")
        .paragraph(rests)
        .figure("counts");
    let appendix = Section::new("appendix", "Appendix: for the statistician")
        .of_role(Role::Appendix)
        .within([
            plots(findings),
            methods_text::of_readings(&papers, analysis(findings)),
        ])
        .within(papers_told(&papers));
    let rest = [
        Some(plan()),
        Some(effects(findings, means(findings, read))),
        happenings::of_readings(&papers),
        Some(deviations::section(&papers)),
        notes(findings.papers.warnings),
        Some(cautions::section(findings.papers.protocol)),
        Some(appendix),
    ];
    sections.extend(rest.into_iter().flatten());
    document(&papers, sections)
}

fn told(findings: &TurfFindings<'_>, row: &EffectRow) -> Section {
    let call = headline(row.call);
    let heading = if findings.judgement.effect.len() > 1 {
        format!("{}: {call}", capital(findings.name(&row.treatment)))
    } else {
        call.to_owned()
    };
    let unit = &findings.papers.protocol.response.unit;
    let worth = findings.papers.protocol.decision.worthwhile_difference;
    let facts = [
        (format!("difference ({unit})"), signed(row.difference)),
        ("likely between".to_owned(), limits(row)),
    ];
    let worth = worth.map(|worth| ("worth having".to_owned(), plain(worth)));
    let mut section = Section::new("verdict", heading)
        .of_role(Role::Verdict)
        .paragraph(sentence(row.sentence.plain()));
    section.push(Part::Facts(facts.into_iter().chain(worth).collect()));
    section
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

fn means(findings: &TurfFindings<'_>, section: Section) -> Section {
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
    section.table(
        "Means",
        &[Words("treatment"), Figures("plots"), Figures("mean")],
        rows,
    )
}

fn effects(findings: &TurfFindings<'_>, section: Section) -> Section {
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
                format!("{} of 100", of_hundred(e.superiority)),
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
    section.table("Difference from the control", &names, rows)
}

/// How the readings were analysed.
fn analysis(findings: &TurfFindings<'_>) -> Vec<String> {
    let found = findings.judgement;
    let smallest = found
        .effect
        .iter()
        .map(|e| e.smallest_p)
        .fold(0.0, f64::max);
    vec![
        format!(
            "The plot is the unit: readings of a plot are averaged before anything is compared, and a plot without a reading is a \
             missing plot. No law of chance is assumed. p-values are those of the randomisation test (Fisher 1935; {} allocations \
             that the design allowed); the smallest attainable p is {}. The interval holds every difference that the same test \
             would not reject; one odd plot cannot move the Hodges-Lehmann estimate far. Probability of superiority: how often a \
             plot of the method reads higher than one of the control.",
            found.allocations,
            chance(smallest)
        ),
        format!(
            "The error rate accepted over all methods together is {}.",
            plain(found.alpha)
        ),
    ]
}

fn plots(findings: &TurfFindings<'_>) -> Section {
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
    Section::new("plots", "Plots").table("Mean reading of every plot", &names, rows)
}
