//! The figures of a report: plan, counts, ratio, what is left, next season.
//!
//! Each is one SVG document, drawn 480 units wide so that its lettering can be read on a telephone held
//! upright, with a title and a description in words.

mod canvas;
mod dots;
mod left;
mod looks;
mod plan;
mod ratio;
mod scale;

use super::Findings;
use super::turf::TurfFindings;
use crate::Error;
use crate::text::rounding::figure as digits;

/// A figure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// File name without its ending.
    pub name: String,
    /// What it shows, as a sentence for the text around it.
    pub caption: String,
    /// The SVG document.
    pub svg: String,
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
    let (protocol, layout) = (findings.protocol, findings.layout);
    let plans = findings.greens.iter();
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
    all.extend(left::figure(findings)?);
    all.extend(findings.next.figure.as_ref().map(|svg| {
        Figure {
            name: "power".to_owned(),
            caption:
                "Chance that a trial of this size would find the smallest change worth having."
                    .to_owned(),
            svg: svg.clone(),
        }
    }));
    Ok(all)
}
