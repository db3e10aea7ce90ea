//! Clubs as codes: from a salt that the association keeps, so that a club knows its own line and nobody else's.

use std::collections::BTreeMap;

use sha2::{Digest, Sha256};

use super::{Gathered, LeftOut, TrialEffect};
use crate::Error;

/// Least characters of a salt: shorter ones are guessed, and with them every club's name.
pub const SALT: usize = 8;

/// Hexadecimal digits of a code to begin with; more where two clubs would share one.
const DIGITS: usize = 6;

/// Puts codes in the place of clubs and trials, and sorts by them. A code is the beginning of the SHA-256 of salt, a byte of value
/// zero, and the club's name: who holds the salt finds a club's code again, and nobody else can try names. Places are taken
/// from what was left out, for they may hold names.
///
/// # Errors
/// A salt that is too short.
pub fn anonymise(mut gathered: Gathered, salt: &str) -> Result<Gathered, Error> {
    if salt.chars().count() < SALT {
        let what = format!("the salt has fewer than {SALT} characters, and could be guessed");
        let cure = "Take a long one, keep it secret, and use the same next time.";
        return Err(Error::in_field("anonymise", what, cure));
    }
    let codes = codes(&gathered.effects, salt);
    let mut numbers: BTreeMap<String, Vec<(String, Option<i16>)>> = BTreeMap::new();
    for effect in &mut gathered.effects {
        let code = codes.get(&effect.club).cloned().unwrap_or_default();
        let trials = numbers.entry(code.clone()).or_default();
        let this = (effect.trial.clone(), effect.season);
        let at = trials.iter().position(|t| *t == this).unwrap_or_else(|| {
            trials.push(this);
            trials.len() - 1
        });
        effect.trial = format!("{code}-{}", at + 1);
        effect.club = code;
        effect.source = String::new();
        effect.digest = None;
    }
    gathered.effects.sort_by(|a, b| a.trial.cmp(&b.trial));
    gathered.left_out.fill(LeftOut {
        place: "a trial that is not named here".to_owned(),
        reason: "run the command without --anonymise to read why".to_owned(),
    });
    for warning in &mut gathered.warnings {
        warning.place = None;
    }
    gathered.warnings.retain(|w| w.code != "same-trial-twice");
    Ok(gathered)
}

/// A code for each club, all of one length and no two alike.
fn codes(effects: &[TrialEffect], salt: &str) -> BTreeMap<String, String> {
    let hashes: BTreeMap<&str, String> = effects
        .iter()
        .map(|e| (e.club.as_str(), hash(salt, &e.club)))
        .collect();
    let whole = hashes.values().next().map_or(DIGITS, String::len);
    let apart = |digits: &usize| {
        let cut: std::collections::BTreeSet<&str> =
            hashes.values().map(|h| &h[..*digits]).collect();
        cut.len() == hashes.len()
    };
    let digits = (DIGITS..whole).find(apart).unwrap_or(whole);
    hashes
        .into_iter()
        .map(|(club, hash)| (club.to_owned(), hash[..digits].to_owned()))
        .collect()
}

fn hash(salt: &str, club: &str) -> String {
    let digest = Sha256::digest([salt.as_bytes(), b"\0", club.as_bytes()].concat());
    let hex: Vec<String> = digest.iter().map(|b| format!("{b:02x}")).collect();
    hex.concat()
}
