//! Several greens in one trial: `[[green]]` with name, outline and, if wished, blocks.

use super::file::TrialFile;
use super::section::{Reading, Section};
use crate::design::{GreenShare, Protocol, VerdictAbout};
use crate::ranges::protocol::GREEN_BLOCKS;

/// Reads the greens, none where the trial has a single one; `blocks` is the number in `[design]`.
pub(super) fn greens(
    file: &TrialFile<'_>,
    blocks: Option<usize>,
    reading: &mut Reading<'_>,
) -> Vec<GreenShare> {
    let sections = file.list("green", reading);
    let mut found: Vec<GreenShare> = Vec::new();
    for section in &sections {
        let Some(share) = green(section, reading) else {
            continue;
        };
        let same = |g: &GreenShare| g.name.to_lowercase() == share.name.to_lowercase();
        if found.iter().any(same) {
            let what = format!("two greens are called \"{}\"", share.name);
            reading.refuse(
                section.offset("name"),
                what,
                "Give every green a name of its own; capitals do not tell names apart.",
            );
        }
        found.push(share);
    }
    let told: Vec<usize> = found.iter().filter_map(|g| g.blocks).collect();
    let sum: usize = told.iter().sum();
    let at = sections.first().map_or(0, |s| s.at);
    if !told.is_empty() && told.len() < found.len() {
        let cure = "Give `blocks` for every green, or for none: then they are shared out by room.";
        reading.refuse(at, "`blocks` is given for some greens only", cure);
    } else if !told.is_empty() && blocks.is_some_and(|b| b != sum) {
        let what = format!(
            "the greens have {sum} blocks together, but [design] has {}",
            blocks.unwrap_or(0)
        );
        reading.refuse(at, what, "Make the two agree.");
    }
    found
}

const ABOUT: [(&str, VerdictAbout); 2] = [
    ("these-greens", VerdictAbout::These),
    ("greens-like-these", VerdictAbout::LikeThese),
];

/// What the verdict is about, if `[decision]` says so; refused where there is nothing to choose.
pub(super) fn verdict_about(
    file: &TrialFile<'_>,
    protocol: &Protocol,
    reading: &mut Reading<'_>,
) -> Option<VerdictAbout> {
    let section = file.section("decision", reading);
    if !section.has("verdict_about") {
        return None;
    }
    let about = section.choice("verdict_about", &ABOUT, reading)?;
    let refuse = |what: &str, cure: &str, reading: &mut Reading<'_>| {
        reading.refuse(section.offset("verdict_about"), what.to_owned(), cure);
    };
    if protocol.design.arrangement.greens.len() < 2 {
        refuse(
            "`verdict_about` is for trials on several greens, and this one has one: its verdict is about that green",
            "Take the line out, or add a [[green]] for each green.",
            reading,
        );
    } else if !protocol.response.kind.is_count() {
        refuse(
            "`verdict_about` is for counts, but kind in [response] says that readings are taken: the draw judges them, \
             and it tells of these greens",
            "Take the line out.",
            reading,
        );
    } else if about == VerdictAbout::LikeThese && !protocol.repeats_on_greens() {
        refuse(
            "this kind of design does not repeat the trial on every green, so that its verdict can only be about these greens",
            "Write verdict_about = \"these-greens\", or use kind = \"paired\", \"randomised-blocks\" or \"latin-square\".",
            reading,
        );
    }
    Some(about)
}

fn green(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<GreenShare> {
    section.only(&["name", "outline", "blocks"], reading);
    for (key, cure) in [
        ("name", "Name the green, for example name = \"3rd\"."),
        (
            "outline",
            "Name the file of its outline, for example outline = \"outline-3rd.csv\".",
        ),
    ] {
        if !section.has(key) {
            section.missing(key, cure, reading);
        }
    }
    let blocks = section.whole("blocks", &GREEN_BLOCKS, reading);
    let outline = section.name("outline", reading);
    let name = section.name("name", reading)?;
    if !name.chars().all(|c| c.is_alphanumeric() || c == '-') {
        let what = format!("the green's name \"{name}\" has signs that no file or block may carry");
        reading.refuse(
            section.offset("name"),
            what,
            "Use letters, figures and hyphens.",
        );
    }
    Some(GreenShare {
        name,
        outline: outline?,
        blocks: blocks.and_then(|b| usize::try_from(b).ok()),
    })
}
