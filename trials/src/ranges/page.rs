//! The page of all ranges, as the walk-throughs show it.

use std::fmt::Write;

use super::{Limit, Range, night, outline, protocol, request, season, shown, tables};

/// Ranges of what comes in by one door.
#[derive(Debug, Clone, Copy)]
pub struct Door {
    /// What comes in.
    pub name: &'static str,
    /// Where the ranges are met, as a sentence.
    pub about: &'static str,
    /// The ranges.
    pub ranges: &'static [Range],
}

/// All doors.
pub const DOORS: [Door; 6] = [
    Door {
        name: "What commands are asked",
        about: "A flag, or the field of the same name of a request in JSON.",
        ranges: request::RANGES,
    },
    Door {
        name: "The protocol",
        about: "Keys of `trial.toml`.",
        ranges: protocol::RANGES,
    },
    Door {
        name: "A season file",
        about: "Keys of the file that `season` reads.",
        ranges: season::RANGES,
    },
    Door {
        name: "The outline",
        about: "Corners by tape, by walk or from a map.",
        ranges: outline::RANGES,
    },
    Door {
        name: "Tables",
        about: "Counts, readings, layouts and any other file of rows.",
        ranges: tables::RANGES,
    },
    Door {
        name: "Earlier nights",
        about: "What laying and lifting took, in `nights.csv`.",
        ranges: night::RANGES,
    },
];

/// The page in Markdown.
#[must_use]
pub fn page() -> String {
    let mut page = String::from(
        "# What every number may be\n\n\
         Each number that comes in is held against its range before any work is done; what lies outside is refused with the \
         place, the range and the reason. This page is written from the table by which that is done \
         (`trials/src/ranges`). Where a reason tells how long the tool would take, that is on a small machine with two \
         processors.\n",
    );
    for door in DOORS {
        // Writing to a String cannot fail.
        let _written = write!(
            page,
            "\n## {}\n\n{}\n\n| where | number | what it is | least | most | unit | why |\n|---|---|---|---|---|---|---|\n",
            door.name, door.about
        );
        for range in door.ranges {
            let _written = writeln!(
                page,
                "| {} | {} | {} | {} | {} | {} | {} |",
                range.home,
                range.name,
                range.meaning,
                end(range.least, "above"),
                end(range.most, "below"),
                range.unit,
                range.reason
            );
        }
    }
    page
}

/// An end as the page shows it.
fn end(limit: Limit, beyond: &str) -> String {
    match limit {
        Limit::Itself(x) => shown(x),
        Limit::Beyond(x) => format!("{beyond} {}", shown(x)),
        Limit::Endless => "none".to_owned(),
    }
}
