//! What may go wrong on the green, by the sort of method.

use crate::design::{Protocol, TreatmentKind};

/// Cautions for sheets. Common practice, no source.
pub const COVERING: [&str; 5] = [
    "Sheets are heavy, wet ones more so, and wind gets under them: lay them with enough people, weigh the edges \
     and joints down, and leave the work when gusts are forecast.",
    "Work in the dark and on wet slopes is where people fall: lights, boots that grip, nobody alone.",
    "Turf under plastic scorches and sickens if it stays on after sunrise: lift the sheets at first light, and look \
     for marks on the turf.",
    "Birds feed on what comes up, and hedgehogs, frogs and others may be under or on a sheet: look before you roll, \
     leave nests alone, and leave no loose netting or ties.",
    "Keep players and machines off sheets and weights until the last one is counted back in.",
];

/// Cautions for holes and slits. Common practice, no source.
const AERATION: [&str; 2] = [
    "Machines with moving tines and blades: guards on, nobody in front, engine off before a hand goes near.",
    "Find cables, pipes and sprinklers before a tine goes in; open holes dry out fast in wind and sun.",
];

/// Cautions for everything else. Common practice, no source.
const OTHER: [&str; 2] = [
    "Drenches can irritate skin, eyes and lungs, and run off into drains and ponds: gloves, goggles, and only where \
     local rules allow them.",
    "Anything that counts as a pesticide is for people licensed to use it, and only as its label says.",
];

/// What stands under every list of cautions.
pub const LAST: &str = "These are reminders, not rules: the law, local codes, the makers' instructions and the \
                        judgement of licensed people come first.";

/// Cautions for the methods of a trial.
#[must_use]
pub fn cautions(protocol: &Protocol) -> Vec<&'static str> {
    let methods = || protocol.treatments.iter().filter(|t| !t.control);
    let any = |kind| methods().any(|t| t.kind == kind);
    let mut all = Vec::new();
    if any(TreatmentKind::Covering) {
        all.extend(COVERING);
    }
    if any(TreatmentKind::Aeration) {
        all.extend(AERATION);
    }
    if any(TreatmentKind::Other) {
        all.extend(OTHER);
    }
    all
}
