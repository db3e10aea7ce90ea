//! The figures of a report: plan, counts, ratio, course over time, what is left, residuals, next season.
//!
//! Each is one SVG document, drawn 480 units wide so that its lettering can be read on a telephone held
//! upright, with a title and a description in words.

mod course;
mod dots;
mod left;
mod plan;
mod ratio;
pub(in crate::report) mod ratio_axis;
mod residuals;

pub(in crate::report) use dots::are_joined;

use super::Findings;
use super::turf::TurfFindings;
use crate::Error;
use crate::drawing::FigureData;
use crate::drawing::mark::Mark;
use crate::drawing::palette::{Colour, WHITE, series};
use crate::text::rounding::figure as digits;

/// A figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// File name without its ending.
    pub name: String,
    /// What it shows, as a sentence for the text around it.
    pub caption: String,
    /// The SVG document.
    pub svg: String,
    /// The numbers that it draws.
    pub data: FigureData,
}

impl Figure {
    /// Name of the file of its numbers: not that of a file in which people write counts.
    pub(crate) fn numbers_file(&self) -> String {
        format!("{}-numbers.csv", self.name)
    }

    /// Whether it is the figure of that name, or one of several such.
    pub(super) fn is_called(&self, name: &str) -> bool {
        self.name.split('-').next() == Some(name)
    }
}

/// The colour of a treatment: the control (0) is white.
fn treatment_colour(treatment: usize) -> Colour {
    treatment.checked_sub(1).map_or(WHITE, series)
}

/// The mark of a treatment: the control (0) is a ring.
fn treatment_mark(treatment: usize) -> Mark {
    treatment.checked_sub(1).map_or(Mark::RING, Mark::series)
}

/// The figures of a trial of readings.
pub(super) fn of_readings(findings: &TurfFindings<'_>) -> Result<Vec<Figure>, Error> {
    let found = findings.judgement;
    let of = |plot: &str| {
        let read = found.readings.iter().find(|r| r.plot == plot);
        read.map(|r| digits(r.reading))
    };
    let words = plan::Words {
        holds: "what was read there",
        caption: "the letter of its treatment and its mean reading",
        without: "not read",
    };
    let (protocol, layout) = (findings.papers.protocol, findings.papers.layout);
    let plans = findings.papers.greens.iter();
    let plans = plans.map(|green| plan::figure(protocol, layout, green, &of, &words));
    let mut all = plans.collect::<Result<Vec<_>, Error>>()?;
    let dots = dots::Dots {
        title: "Readings of every plot by treatment",
        unit: &protocol.response.unit,
        codes: &findings.codes,
        names: &findings.names,
        means: found.means.iter().map(|m| m.mean).collect(),
        plots: found
            .readings
            .iter()
            .map(|r| dots::Dot {
                treatment: findings
                    .codes
                    .iter()
                    .position(|c| *c == r.treatment)
                    .unwrap_or(0),
                block: r.block.as_deref(),
                value: r.reading,
            })
            .collect(),
    };
    all.push(dots.figure()?);
    Ok(all)
}

/// All figures that the findings allow.
pub(super) fn all(findings: &Findings<'_>) -> Result<Vec<Figure>, Error> {
    let mut all = vec![ratio::figure(findings)?];
    all.extend(plan::figures(findings)?);
    all.push(dots::figure(findings)?);
    all.extend(course::figure(findings)?);
    all.extend(left::figure(findings));
    all.extend(residuals::figures(findings)?);
    all.extend(findings.next.figure.as_ref().map(|svg| {
        Figure {
            name: "power".to_owned(),
            caption:
                "Chance that a trial of this size would find the smallest change worth having."
                    .to_owned(),
            svg: svg.clone(),
            data: plans(&findings.next.heads, &findings.next.plans),
        }
    }));
    Ok(all)
}

/// The table of plans as the numbers behind their curves.
fn plans(heads: &[String], rows: &[Vec<String>]) -> FigureData {
    let row = |row: &Vec<String>| row.iter().map(|cell| cell.as_str().into()).collect();
    FigureData {
        headings: heads.to_vec(),
        rows: rows.iter().map(row).collect(),
    }
}
