//! The sheets of the pack as one document.

use super::Pack;
use crate::fieldwork::printed;

pub(super) use crate::fieldwork::printed::Sheet;

/// The document of a set of sheets.
pub(super) fn document(pack: &Pack<'_>, name: &str, sheets: &[Sheet]) -> String {
    let seal = Some(pack.seal.digest.as_str());
    printed::document(&pack.protocol.trial, seal, name, sheets)
}
