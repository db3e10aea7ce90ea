//! Reading a trial folder's texts into checked values.

use crate::design::{ReadProtocol, read_protocol};
use crate::store::{TRIAL, TrialFolder};

use super::output::Refusal;

/// The protocol of a trial folder.
pub(super) fn protocol(folder: &TrialFolder) -> Result<ReadProtocol, Refusal> {
    Ok(read_protocol(&folder.shown(TRIAL), &folder.text(TRIAL)?)?)
}
