//! Means beside the club's own figure and beside what was published, as sections of pages.

use maud::{Markup, html};

use super::Findings;
use super::document::Section;
use super::main_part::capital;
use super::page::Column::{Figures, Words};
use crate::text::rounding::{figure, maybe, plain};
use crate::text::spelling::list;
use crate::threshold::{Beside, Kind, Published, ThresholdRow};

/// Most means that members are told one by one.
const ONE_BY_ONE: usize = 8;

/// The section of the report; there is none where means are no densities.
pub(super) fn section(findings: &Findings<'_>) -> Option<Section> {
    let beside = findings.judgement.threshold.as_ref()?;
    let section = Section::new("threshold", "Beside a threshold");
    let section = match beside.own_per_m2 {
        Some(own) => {
            let own = format!(
                "The club's own figure is {} per m². Where a mean's interval holds it, the counts cannot tell. This says where \
                 the counts lie, not what to do.",
                plain(own)
            );
            means(findings, beside, section.paragraph(own))
        }
        None => section.paragraph(
            "The club gave no figure of its own ([decision] threshold_per_m2), so that no side is told.",
        ),
    };
    Some(published(beside, section).paragraph(beside.disagreement.as_str()))
}

/// The sentences for members; nothing without the club's own figure.
pub(super) fn members(findings: &Findings<'_>) -> Markup {
    let beside = findings.judgement.threshold.as_ref();
    let rows: Vec<&ThresholdRow> = beside
        .into_iter()
        .flat_map(|b| &b.rows)
        .filter(|r| r.sentence.is_some())
        .collect();
    let told = if rows.len() > ONE_BY_ONE {
        together(findings, &rows)
    } else {
        rows.iter().map(|row| for_members(row)).collect()
    };
    html! {
        @if !rows.is_empty() {
            p {
                @for said in &told { (said) " " }
                "That is where the counts lie; what to do is for the greenkeepers to judge."
            }
        }
    }
}

/// Many means: those of an occasion that lie on one side, in one sentence.
fn together(findings: &Findings<'_>, rows: &[&ThresholdRow]) -> Vec<String> {
    let own = (findings.judgement.threshold.as_ref()).and_then(|beside| beside.own_per_m2);
    let own = own.map(plain).unwrap_or_default();
    // The first mean of a group, and the letters of all.
    let mut groups: Vec<(&ThresholdRow, Vec<String>)> = Vec::new();
    for row in rows {
        // Letters, which the map explains: so many names would fill the sheet.
        let Some(letters) = row.treatment.clone() else {
            continue;
        };
        let like = |first: &ThresholdRow| first.occasion == row.occasion && first.side == row.side;
        match groups.iter_mut().find(|(first, _)| like(first)) {
            Some((_, others)) => others.push(letters),
            None => groups.push((row, vec![letters])),
        }
    }
    let all = findings.data.treatments.len();
    let told = groups.into_iter().filter_map(|(first, letters)| {
        let when = (first.occasion.as_ref()).map_or(String::new(), |when| format!("{when}, "));
        let side = first.side?.in_a_sentence();
        let whose = if letters.len() == all {
            "all of them".to_owned()
        } else {
            list(&letters)
        };
        Some(capital(&format!(
            "{when}{side} our figure of {own} per m²: {whose}."
        )))
    });
    told.collect()
}

/// The sentence of a row as the club says it.
fn for_members(row: &ThresholdRow) -> String {
    let told = row.sentence.as_deref().unwrap_or_default();
    capital(
        &told
            .replace("your figure", "our figure")
            .replace("m2", "m²"),
    )
}

fn means(findings: &Findings<'_>, beside: &Beside, section: Section) -> Section {
    let row = |r: &ThresholdRow| {
        let treatment = r.treatment.as_deref().map(|t| findings.name(t).to_owned());
        vec![
            treatment.unwrap_or_default(),
            r.occasion.clone().unwrap_or_default(),
            figure(r.mean),
            format!(
                "{} to {}",
                maybe(r.low),
                r.high.map_or("no limit".to_owned(), figure)
            ),
            r.side.map_or("", |side| side.words()).to_owned(),
        ]
    };
    let rows: Vec<Vec<String>> = beside.rows.iter().map(row).collect();
    let heads = [
        Words("treatment"),
        Words("occasion"),
        Figures("marginal mean per m²"),
        Figures("likely between"),
        Words("beside the figure"),
    ];
    section.table("Means beside the club's own figure", &heads, rows)
}

fn published(beside: &Beside, section: Section) -> Section {
    let row = |p: &Published| {
        let ends = if p.low_per_m2 == p.high_per_m2 {
            plain(p.low_per_m2)
        } else {
            format!("{} to {}", plain(p.low_per_m2), plain(p.high_per_m2))
        };
        let says = match p.kind {
            Kind::Threshold => "action advised",
            Kind::Damage => "damage seen",
            Kind::NoDamage => "no damage seen",
        };
        vec![
            p.turf.to_owned(),
            ends,
            says.to_owned(),
            p.about.to_owned(),
            p.source.to_owned(),
        ]
    };
    let rows: Vec<Vec<String>> = beside.published.iter().map(row).collect();
    let heads = [
        Words("turf"),
        Figures("larvae per m²"),
        Words("what it says"),
        Words("about"),
        Words("source"),
    ];
    section.table("Published figures", &heads, rows)
}
