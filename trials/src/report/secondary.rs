//! What stands beside the verdict: later occasions, plots that changed, stages, a reference, doubts.

use super::Findings;
use super::document::Section;
use super::main_part::{capital, sentence};
use super::method;
use super::page::Column::{Figures, Words};
use crate::judgement::{
    AsTreated, ChangeRow, ContrastRow, RULE_IN_WORDS, SECOND_ANSWER, Stages, headline,
};
use crate::text::rounding::{NONE, between, change, figure, maybe_chance, percent};

/// From before to after, and whether the effect lasted.
pub(super) fn occasions(findings: &Findings<'_>) -> Option<Section> {
    let found = findings.judgement;
    let once = findings.data.secondary.before.is_none() && found.occasions.is_empty();
    if once && found.change_from_baseline.is_none() {
        return None;
    }
    let rows: Vec<Vec<String>> = found
        .occasions
        .iter()
        .map(|o| {
            vec![
                o.occasion.clone(),
                findings.name(&o.treatment).to_owned(),
                o.tested.ratio.map_or(NONE.to_owned(), change),
                between(o.tested.low, o.tested.high),
                o.call.map_or("described only", headline).to_owned(),
            ]
        })
        .collect();
    let names = [
        Words("occasion"),
        Words("method"),
        Figures("change"),
        Figures("likely between"),
        Words("verdict"),
    ];
    let heading = if found.treatment_by_occasion.is_some() {
        "Did it last?"
    } else {
        "From before to after"
    };
    let mut section = Section::new("occasions", heading);
    if over_time(findings) {
        section = section.paragraph(SECOND_ANSWER);
    }
    let changes = found.change_from_baseline.iter().flatten();
    let lasted = found.treatment_by_occasion.iter();
    let section = section
        .paragraphs(changes.map(|c| sentence(c.sentence.plain())))
        .paragraphs(lasted.map(|l| sentence(l.sentence.plain())))
        .table("Each occasion against the control", &names, rows)
        .figure("course");
    Some(section)
}

/// Whether anything is told of changes.
fn over_time(findings: &Findings<'_>) -> bool {
    findings.judgement.change_from_baseline.is_some()
        || findings.judgement.treatment_by_occasion.is_some()
}

/// The tests over time, for the appendix.
pub(super) fn tests_over_time(findings: &Findings<'_>) -> Option<Section> {
    let found = findings.judgement;
    let before = found.change_from_baseline.iter().flatten();
    let later = found.treatment_by_occasion.iter().flat_map(|l| &l.changes);
    let moved: Vec<Vec<String>> = before.chain(later).map(|c| moved(findings, c)).collect();
    let on: Vec<Vec<String>> = found
        .occasions
        .iter()
        .map(|o| {
            let name = findings.name(&o.treatment).to_owned();
            vec![o.occasion.clone(), name, maybe_chance(o.tested.p_on_page)]
        })
        .collect();
    let heads_moved = [
        Words("from"),
        Words("to"),
        Words("method"),
        Figures("BACI ratio"),
        Figures("interval"),
        Figures("p on this page"),
    ];
    if moved.is_empty() {
        return None;
    }
    let adjusted = method::adjustment(&found.method).map_or(String::new(), |several| {
        format!(" Limits are adjusted for the number of methods: {several}.")
    });
    let heads_on = [
        Words("occasion"),
        Words("method"),
        Figures("p on this page"),
    ];
    let lasted = found.treatment_by_occasion.iter();
    let section = Section::new("tests-over-time", "Over time")
        .paragraphs(lasted.map(|l| sentence(l.sentence.with_p())))
        .table("Primary test on each occasion", &heads_on, on)
        .table(
            "Change from baseline and between occasions (BACI ratio)",
            &heads_moved,
            moved,
        )
        .paragraph(format!(
            "{RULE_IN_WORDS} p on this page is the smallest error rate at which a second answer is a finding; without one it is a \
             description."
        ))
        .paragraph(format!(
            "A second answer beside the verdict. Ratio: what the method's plots held later, over what they would have held had \
             they changed as the control's did.{adjusted}"
        ));
    Some(section)
}

fn moved(findings: &Findings<'_>, c: &ChangeRow) -> Vec<String> {
    let times =
        |x: Option<f64>, none: &str| x.map_or(none.to_owned(), |x| format!("× {}", figure(x)));
    vec![
        c.from.clone(),
        c.to.clone(),
        findings.name(&c.treatment).to_owned(),
        times(c.tested.ratio, NONE),
        format!(
            "{} and {}",
            times(c.tested.low, "× 0"),
            times(c.tested.high, "no limit")
        ),
        maybe_chance(c.tested.p_on_page),
    ]
}

/// The section with the second analysis beside the first, where plots did not keep what they were drawn to get.
pub(super) fn as_treated(findings: &Findings<'_>, second: &AsTreated, section: Section) -> Section {
    let names = [
        Words("method"),
        Figures("as laid out"),
        Figures("likely between"),
        Figures("by what happened"),
        Figures("likely between"),
    ];
    let verdicts = second.verdicts.iter();
    turned(
        findings,
        second,
        section.paragraph(sentence(&second.sentence)),
    )
    .table(
        "As laid out, and by what happened",
        &names,
        beside(findings, second),
    )
    .paragraphs(verdicts.map(|v| format!("By what happened: {}", sentence(&v.sentence))))
    .paragraph(sentence(&second.rule))
}

/// The plots that changed.
fn turned(findings: &Findings<'_>, second: &AsTreated, section: Section) -> Section {
    let rows: Vec<Vec<String>> = second
        .plots
        .iter()
        .map(|t| {
            let counted = t.analysed_as.as_deref();
            vec![
                t.plot.clone(),
                t.event.clone(),
                percent(t.covered_fraction),
                findings.name(&t.randomised_to).to_owned(),
                counted.map_or("left out", |c| findings.name(c)).to_owned(),
            ]
        })
        .collect();
    let names = [
        Words("plot"),
        Words("what happened"),
        Figures("covered"),
        Words("drawn to get"),
        Words("counted as"),
    ];
    section.table("Plots that changed", &names, rows)
}

/// Both analyses of every method, in the order of the first.
fn beside(findings: &Findings<'_>, second: &AsTreated) -> Vec<Vec<String>> {
    let told = |row: Option<&ContrastRow>| match row {
        Some(c) => [c.change_in_words(), c.range_in_words()],
        None => ["no plots left".to_owned(), NONE.to_owned()],
    };
    let first = findings.judgement.contrasts.iter();
    first
        .map(|c| {
            let same = second.contrasts.iter().find(|s| s.treatment == c.treatment);
            let mut row = vec![findings.name(&c.treatment).to_owned()];
            row.extend(told(Some(c)));
            row.extend(told(same));
            row
        })
        .collect()
}

/// How far the animals had come.
pub(super) fn stages(findings: &Findings<'_>) -> Option<Section> {
    let stages = findings.judgement.stages.as_ref()?;
    let section = Section::new("stages", "Was it too late in the season?")
        .paragraph(sentence(&stages.sentence));
    Some(stage_table(findings, stages, section))
}

/// Methods beside a reference.
pub(super) fn reference(findings: &Findings<'_>) -> Option<Section> {
    let found = findings.judgement.non_inferiority.as_ref()?;
    let heading = format!("Beside the reference, {}", findings.name(&found.reference));
    let rows = found.rows.iter();
    let section = Section::new("reference", heading);
    Some(section.paragraphs(rows.map(|row| sentence(&row.sentence))))
}

fn stage_table(findings: &Findings<'_>, stages: &Stages, section: Section) -> Section {
    let rows: Vec<Vec<String>> = stages
        .rows
        .iter()
        .map(|r| {
            let name = r.treatment.as_ref().map_or("all", |t| findings.name(t));
            vec![
                name.to_owned(),
                r.larvae.to_string(),
                r.emerged.to_string(),
                r.share.map_or(NONE.to_owned(), percent),
                format!("{} and {}", percent(r.low), percent(r.high)),
            ]
        })
        .collect();
    let names = [
        Words("treatment"),
        Figures("larvae"),
        Figures("past it"),
        Figures("share past it"),
        Figures("likely between"),
    ];
    section.table("Stages", &names, rows)
}

/// What speaks against the verdict, a sentence each.
pub(super) fn doubts(findings: &Findings<'_>) -> Section {
    let checks = findings.judgement.diagnostics.sentences().into_iter();
    let told = checks.map(|(method, said)| match method {
        Some(method) => format!("{}: {}", capital(findings.name(method)), sentence(said)),
        None => sentence(said),
    });
    Section::new("doubts", "Can it be believed?")
        .list(told)
        .figure("quantiles")
        .figure("residuals")
}
