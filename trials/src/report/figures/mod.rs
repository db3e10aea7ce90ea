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
use crate::Error;

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
