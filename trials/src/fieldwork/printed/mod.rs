//! The shell of a set of printed pages: sheets of A4, each with the trial, its seal and its number.
//!
//! One home for all that is printed for the green: the pack, the order sheet, the running order.

use maud::{Markup, html};

use crate::design::Trial;
use crate::text::page::page;
use crate::text::shortened::shortened;

/// Style of the sheets.
const STYLE: &str = include_str!("sheet.css");

/// Characters of a title that a line of a sheet may need; its style cuts it where the line ends.
const LINE: usize = 200;

/// A sheet: what it is called at its head, and what stands on it.
#[derive(Debug)]
pub(crate) struct Sheet {
    pub(crate) title: String,
    pub(crate) body: Markup,
}

/// The first sixteen figures of the seal in groups of four: enough to tell seals apart by eye.
fn short_seal(digest: &str) -> String {
    let figures: Vec<char> = digest.chars().take(16).collect();
    let groups = figures
        .chunks(4)
        .map(|four| four.iter().collect::<String>());
    groups.collect::<Vec<_>>().join(" ")
}

/// The document of a set of sheets, with the digest of the seal where there is one.
pub(crate) fn document(trial: &Trial, seal: Option<&str>, name: &str, sheets: &[Sheet]) -> String {
    // More would not stand on a line of the sheet.
    let title = shortened(&trial.title, LINE);
    let site = trial.site.as_deref().map(|site| shortened(site, LINE));
    let seal = seal.map(short_seal);
    let of = sheets.len();
    let heading = format!("{name}: {title}");
    let body = html! {
        h1.unprinted { (heading) }
        @for (i, sheet) in sheets.iter().enumerate() {
            section.sheet aria-label={ "Page " (i + 1) " of " (of) } {
                header {
                    div {
                        p.trial { (title) }
                        @if let Some(site) = &site { p.site { (site) } }
                    }
                    @if let Some(seal) = &seal { p.seal { "seal " (seal) } }
                }
                h2 { (sheet.title) }
                div.body { (sheet.body) }
                footer {
                    p { (name) }
                    p { "page " (i + 1) " of " (of) }
                }
            }
        }
    };
    page(&heading, &[STYLE], None, &body)
}
