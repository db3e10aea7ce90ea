//! What may go wrong on the green, as a section of a page.

use super::document::{Role, Section};
use crate::design::Protocol;
use crate::fieldwork::cautions::cautions;

pub(super) use crate::fieldwork::cautions::LAST;

/// What every trial should bear in mind.
const ONE_TRIAL: &str = "One trial speaks for its own ground, season and weather: what held here may not hold elsewhere.";

/// The section: what holds for the treatments of this trial.
pub(super) fn section(protocol: &Protocol) -> Section {
    Section::new("cautions", "Cautions")
        .of_role(Role::Caution)
        .list(cautions(protocol).into_iter().chain([ONE_TRIAL]))
        .paragraph(LAST)
}
