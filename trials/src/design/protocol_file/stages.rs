//! Which stages of the animals are told apart.

use super::section::{Reading, Section};
use crate::text::names::{NAME, fault};

/// Stages that are told apart; none where the protocol leaves them to what is usual.
pub(super) fn stages(
    section: &Section<'_>,
    counted: bool,
    reading: &mut Reading<'_>,
) -> Vec<String> {
    let mut stages: Vec<String> = Vec::new();
    for (offset, stage) in section.texts("stages", reading) {
        let stage = stage.trim().to_owned();
        let same = |other: &String| other.to_lowercase() == stage.to_lowercase();
        let (what, cure) = if !counted {
            let what = "`stages` is for counts, but kind says that readings are taken";
            (what.to_owned(), "Leave the line out.".to_owned())
        } else if stage.is_empty() {
            let what = "a stage has no name".to_owned();
            (what, "Name it, or take it out.".to_owned())
        } else if let Some((what, cure)) = fault(&stage, NAME) {
            (format!("`stages`: {what}"), cure)
        } else if stages.iter().any(same) {
            let what = format!("stage \"{stage}\" is listed twice");
            (what, "Take one out.".to_owned())
        } else {
            stages.push(stage);
            continue;
        };
        reading.refuse(offset, what, cure);
    }
    stages
}
