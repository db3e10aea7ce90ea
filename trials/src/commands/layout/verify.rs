//! `layout --verify`: the draw made again from the seal's seed, and compared.

use serde::Serialize;

use super::super::{Answer, Refusal, Status, Words, trial};
use crate::Error;
use crate::design::{Difference, Green, Protocol, verify};
use crate::store::{SEAL, TrialFolder};

/// Whether protocol, outline and layout are those that were sealed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Verified {
    /// Whether nothing differs.
    pub as_sealed: bool,
    /// What differs.
    pub differences: Vec<Difference>,
}

/// Re-draws and compares.
pub(super) fn verified(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    greens: &[Green],
) -> Result<Answer<Verified>, Refusal> {
    let layout = trial::layout(folder, protocol)?;
    let Some(seal) = trial::seal(folder)? else {
        let what = "there is no seal to verify";
        let cure = "Lay the trial out: `halfgreen layout`.";
        return Err(Error::new(folder.shown(SEAL), what, cure).into());
    };
    let differences = verify(&seal, protocol, greens, &layout)?;
    let as_sealed = differences.is_empty();
    let mut words = Words::default();
    if as_sealed {
        words.told(
            Status::Good,
            "As sealed",
            format!(
                ": seed {} gives this layout again. The time in the seal is what a computer's clock said; it cannot be \
                 verified.",
                seal.seed
            ),
        );
    } else {
        words.told(Status::Bad, "Not as sealed", ":");
        for difference in &differences {
            words.line(difference.to_string());
        }
    }
    let verified = Verified {
        as_sealed,
        differences,
    };
    let mut answer = Answer::new(verified, words).with_seed(seal.seed);
    answer.passed = as_sealed;
    Ok(answer)
}
