//! The shell of a set of printed pages: sheets of A4, each with the trial, its seal and its number.
//!
//! One home for all that is printed for the green: the pack, the order sheet, the running order.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::design::Trial;
use crate::text::names::well_formed;

/// Style of the sheets.
const STYLE: &str = include_str!("sheet.css");

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
    let title = &trial.title;
    let seal = seal.map(short_seal);
    let of = sheets.len();
    let document = html! {
        (DOCTYPE)
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content={ "halfgreen " (env!("CARGO_PKG_VERSION")) };
                title { (name) ": " (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                h1.unprinted { (name) ": " (title) }
                @for (i, sheet) in sheets.iter().enumerate() {
                    section.sheet aria-label={ "Page " (i + 1) " of " (of) } {
                        header {
                            div {
                                p.trial { (title) }
                                @if let Some(site) = &trial.site { p.site { (site) } }
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
            }
        }
    };
    well_formed(document.into_string())
}
