//! What many trials say together, as pages: one sheet of A4 in plain words, and all of it for the statistician.

mod forest;
mod funnel;
mod method_text;
mod methods_figure;
mod plain_page;
mod rows;
mod statistics_page;
mod trial_tables;

use super::figures::Figure;
use crate::Error;
use crate::association::Association;

/// The pages of an association.
#[derive(Debug, Clone, PartialEq)]
pub struct AssociationPages {
    /// One sheet of A4 in plain words.
    pub plain: String,
    /// Every number, the methods and their sources.
    pub statistics: String,
    /// The figures, each to be a file of its own.
    pub figures: Vec<Figure>,
}

/// Makes the pages of a pooled answer; `title` heads them.
///
/// # Errors
/// A figure that cannot be drawn.
pub fn association_pages(found: &Association, title: &str) -> Result<AssociationPages, Error> {
    let mut figures = Vec::new();
    for (at, answer) in found.all().enumerate() {
        let worth = answer.better.ratio_by(found.worthwhile_percent / 100.0);
        let mut of_this = vec![forest::figure_of(answer, worth)];
        of_this.extend(funnel::figure_of(answer)?);
        // A file for each: the first method's bear no number.
        for figure in &mut of_this {
            if at > 0 {
                figure.name = format!("{}-{}", figure.name, at + 1);
            }
        }
        figures.extend(of_this);
    }
    figures.extend(methods_figure::figure_of(found));
    Ok(AssociationPages {
        plain: plain_page::page_of(found, title, &figures),
        statistics: statistics_page::page_of(found, title, &figures),
        figures,
    })
}
