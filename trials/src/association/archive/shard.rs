//! A part of the trials, for one of several runs or machines.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::TrialKey;
use crate::ranges::request::ARCHIVE_SHARDS;

/// Part i of n. A trial's part follows from its key alone (SHA-256 of it, modulo n), so that it is the same on every machine and
/// stays when other trials are added.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Shard {
    part: u64,
    of: u64,
}

impl Shard {
    /// All trials.
    pub const WHOLE: Self = Self { part: 1, of: 1 };

    /// Whether a trial belongs to this part.
    #[must_use]
    pub fn holds(&self, key: &TrialKey) -> bool {
        let digest = Sha256::digest(format!("{}\0{}\0{}", key.season, key.club, key.trial));
        let first = digest.iter().take(8);
        let number = first.fold(0_u64, |n, byte| n << 8 | u64::from(*byte));
        number % self.of == self.part - 1
    }

    /// Name of the file that holds what came of this part.
    #[must_use]
    pub fn file(&self) -> String {
        format!("shard-{:07}-of-{:07}.jsonl", self.part, self.of)
    }
}

impl FromStr for Shard {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let told = || {
            format!(
                "`{text}` is no part of the trials: write i/n, as 3/8 for the third of eight parts"
            )
        };
        let (part, of) = text.split_once('/').ok_or_else(told)?;
        let number = |t: &str| t.trim().parse::<u64>().map_err(|_| told());
        let (part, of) = (number(part)?, number(of)?);
        if !ARCHIVE_SHARDS.holds_whole(of) || part == 0 || part > of {
            return Err(told());
        }
        Ok(Self { part, of })
    }
}

impl TryFrom<String> for Shard {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        text.parse()
    }
}

impl From<Shard> for String {
    fn from(shard: Shard) -> Self {
        shard.to_string()
    }
}

impl fmt::Display for Shard {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}/{}", self.part, self.of)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_trial_belongs_to_one_part() {
        let parts: Vec<Shard> = (1..=7).map(|i| format!("{i}/7").parse().unwrap()).collect();
        let mut sizes = [0; 7];
        for n in 0..2000 {
            let key = TrialKey {
                season: 2026,
                club: format!("club {}", n % 40),
                trial: format!("trial {n}"),
            };
            let holding: Vec<usize> = (0..7).filter(|i| parts[*i].holds(&key)).collect();
            assert_eq!(holding.len(), 1, "{key}");
            assert!(Shard::WHOLE.holds(&key));
            sizes[holding[0]] += 1;
        }
        // Binomial with 2000 trials: 286 expected, standard deviation 16.
        assert!(sizes.iter().all(|n| (220..350).contains(n)), "{sizes:?}");
    }

    #[test]
    fn what_is_no_part_is_refused() {
        for text in [
            "",
            "1",
            "0/3",
            "4/3",
            "1/0",
            "a/b",
            "1/3/5",
            "-1/3",
            "1/99999999",
        ] {
            assert!(text.parse::<Shard>().is_err(), "{text}");
        }
    }
}
