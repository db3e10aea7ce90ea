//! What is not as it was sealed, line by line: what was sealed, and what is there now.

use super::document::{Section, Text};
use super::main_part::sentence;
use super::notes::both;
use super::page::Column::Words;
use super::papers::Papers;
use crate::design::Difference;

/// Lines that are told one by one.
const TOLD: usize = 60;

/// The section.
pub(super) fn section(papers: &Papers<'_>) -> Section {
    let section = Section::new("deviations", "Deviations from the sealed plan");
    let section = match (papers.seal, papers.differences) {
        (None, _) => section.paragraph(
            "There is no seal: nobody can check that the draw came before the counting, or what was planned then.",
        ),
        (Some(seal), []) => section.paragraph(format!(
            "None. Protocol, outline and layout are those that were sealed on {}: the seed gives this layout again.",
            seal.time
        )),
        (Some(seal), found) => {
            let grave = found.iter().filter(|d| d.touches_the_verdict).count();
            let section = section.paragraph(format!(
                "Sealed on {}. {}",
                seal.time,
                match grave {
                    0 => "What was changed since does not touch the verdict.",
                    _ => "What was changed since touches the verdict: read it with care, and let whoever changed it say why.",
                }
            ));
            lines(found, section).list(without_lines(found))
        }
    };
    if papers.seal.is_none() {
        return section;
    }
    section.paragraph(
        Text::default()
            .words("Anyone can check this: ")
            .code("halfgreen layout . --verify")
            .words(" in the trial's folder. The time in the seal is what a computer's clock said."),
    )
}

/// Lines of which both sides are known.
fn lines(found: &[Difference], section: Section) -> Section {
    let all = found.iter().flat_map(|d| {
        let touches = if d.touches_the_verdict { "yes" } else { "no" };
        d.lines.iter().map(move |line| (line, touches))
    });
    let rows: Vec<Vec<String>> = all
        .map(|(line, touches)| {
            let [sealed, now] = both(&line.sealed, &line.now);
            vec![line.line.clone(), sealed, now, touches.to_owned()]
        })
        .collect();
    let more = rows.len().saturating_sub(TOLD);
    let columns = [
        Words("line"),
        Words("as sealed"),
        Words("now"),
        Words("touches the verdict"),
    ];
    let rows = rows.into_iter().take(TOLD).collect();
    let section = section.table("What was sealed, and what is there now", &columns, rows);
    if more == 0 {
        section
    } else {
        section.paragraph(format!("{more} more lines differ."))
    }
}

/// Differences of which no line is known, a sentence each: an earlier seal keeps only digests.
fn without_lines(found: &[Difference]) -> Vec<String> {
    let bare = found.iter().filter(|d| d.lines.is_empty());
    let mut told: Vec<String> = bare.take(TOLD).map(|d| sentence(&d.sentence)).collect();
    let more = found
        .iter()
        .filter(|d| d.lines.is_empty())
        .count()
        .saturating_sub(TOLD);
    if more > 0 {
        told.push(format!("{more} more differences."));
    }
    told
}
