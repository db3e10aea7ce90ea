//! What may go wrong on the green, as a section of a page.

use maud::{Markup, html};

use crate::design::Protocol;
use crate::fieldwork::cautions::cautions;

pub(super) use crate::fieldwork::cautions::LAST;

/// What every trial should bear in mind.
const ONE_TRIAL: &str = "One trial speaks for its own green, season and weather: what held here may not hold elsewhere.";

/// The section: what holds for the treatments of this trial.
pub(super) fn section(protocol: &Protocol) -> Markup {
    html! {
        section.caution id="cautions" {
            h2 { "Cautions" }
            ul {
                @for caution in cautions(protocol) { li { (caution) } }
                li { (ONE_TRIAL) }
            }
            p { (LAST) }
        }
    }
}
