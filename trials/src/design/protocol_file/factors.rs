//! Factorial treatments: every level of each `[[factor]]` with every level of the others.

use std::collections::BTreeMap;

use super::file::TrialFile;
use super::question::KINDS;
use super::section::{Reading, Section};
use crate::design::{Factor, Treatment, TreatmentKind};

/// Codes for the control, in order of preference: untreated, nothing.
const NOTHING: [&str; 3] = ["U", "N", "0"];
/// Most combinations; more would need more plots than a green holds in a block.
const MOST: usize = 16;

/// One factor as written: the first level is to do nothing.
struct Written {
    name: String,
    kind: TreatmentKind,
    levels: Vec<String>,
    /// Code of each level but the first; empty where none were given.
    codes: Vec<String>,
}

/// The treatments that the factors make, and the factors; `None` where the file has no factors. The control is the
/// combination of all first levels.
pub(super) fn factorial(
    file: &TrialFile<'_>,
    reading: &mut Reading<'_>,
) -> Option<(Vec<Treatment>, Vec<Factor>)> {
    let sections = file.list("factor", reading);
    let first = sections.first()?;
    let before = reading.complaints.len();
    if let Some(treatment) = file.list("treatment", reading).first() {
        let cure = "Keep the [[factor]] sections, from which the treatments are made, or the [[treatment]] ones.";
        reading.refuse(
            treatment.at,
            "the trial names both factors and treatments",
            cure,
        );
    }
    if sections.len() < 2 {
        let cure = "Add a second [[factor]], or write one [[treatment]] for each level.";
        reading.refuse(first.at, "one factor makes no factorial trial", cure);
    }
    let mut factors: Vec<Written> = sections.iter().filter_map(|s| factor(s, reading)).collect();
    let combinations: usize = factors.iter().map(|f| f.levels.len().max(1)).product();
    if combinations > MOST {
        let what = format!("the factors make {combinations} treatments");
        let cure = format!("Leave out levels or factors until there are {MOST} at most.");
        reading.refuse(first.at, what, cure);
    }
    name_apart(&sections, &mut factors, reading);
    if reading.complaints.len() > before {
        return Some((Vec::new(), Vec::new()));
    }
    let treatments = combined(&factors);
    told_apart(first, &treatments, reading);
    let made = with_levels(&factors, &treatments);
    Some((treatments, made))
}

fn factor(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<Written> {
    section.only(&["name", "kind", "levels", "codes"], reading);
    for (key, cure) in [
        ("name", "Name the factor, for example name = \"sheeting\"."),
        (
            "levels",
            "List its levels, doing nothing first, for example levels = [\"none\", \"one night\"].",
        ),
    ] {
        if !section.has(key) {
            section.missing(key, cure, reading);
        }
    }
    let kind = section.choice("kind", &KINDS, reading);
    let name = section.name("name", reading)?;
    let levels = section.texts("levels", reading);
    let codes = section.texts("codes", reading);
    if !levels.is_empty() && levels.len() < 2 {
        let cure = "List two levels or more, doing nothing first.";
        reading.refuse(
            section.offset("levels"),
            format!("\"{name}\" has one level only"),
            cure,
        );
    }
    for (i, (at, level)) in levels.iter().enumerate() {
        if levels[..i].iter().any(|(_, met)| met == level) {
            let what = format!("\"{name}\" has the level \"{level}\" twice");
            reading.refuse(*at, what, "Name every level once.");
        }
    }
    if section.has("codes") && codes.len() + 1 != levels.len() {
        let what = format!(
            "there are {} codes for {} levels besides the first",
            codes.len(),
            levels.len().saturating_sub(1)
        );
        let cure = "Give one code for each level but the first, or leave `codes` out.";
        reading.refuse(section.offset("codes"), what, cure);
    }
    let texts = |list: Vec<(usize, String)>| list.into_iter().map(|(_, text)| text).collect();
    Some(Written {
        kind: kind.unwrap_or(TreatmentKind::Other),
        levels: texts(levels),
        codes: texts(codes),
        name,
    })
}

/// Gives codes to the levels that have none, and refuses names and codes that are the same.
fn name_apart(sections: &[Section<'_>], factors: &mut [Written], reading: &mut Reading<'_>) {
    for at in 0..factors.len() {
        if factors[at].codes.is_empty() {
            let stem = stem(factors, at);
            let worked = factors[at].levels.len().saturating_sub(1);
            factors[at].codes = match worked {
                1 => vec![stem],
                _ => (1..=worked).map(|i| format!("{stem}{i}")).collect(),
            };
        }
    }
    let mut met: Vec<String> = Vec::new();
    for (at, (section, factor)) in sections.iter().zip(factors.iter()).enumerate() {
        if factors[..at].iter().any(|f| f.name == factor.name) {
            let what = format!("two factors are called \"{}\"", factor.name);
            reading.refuse(section.at, what, "Give each factor a name of its own.");
            continue;
        }
        for code in &factor.codes {
            let code = code.to_lowercase();
            if met.contains(&code) {
                let what = format!("two levels have the code \"{}\"", code.to_uppercase());
                let cure =
                    "Give the levels of one factor other codes, for example codes = [\"X\"].";
                reading.refuse(section.at, what, cure);
            }
            met.push(code);
        }
    }
}

/// The code of a factor that has none: as many letters of its name as set it apart from all other factors and their
/// codes, one as a rule.
fn stem(factors: &[Written], at: usize) -> String {
    let letters = |name: &str| -> Vec<char> {
        let kept = name.chars().filter(|c| c.is_alphanumeric());
        kept.flat_map(char::to_lowercase).collect()
    };
    let own = letters(&factors[at].name);
    let others = || factors.iter().enumerate().filter(|(i, _)| *i != at);
    let free = |length: usize| {
        let stem = &own[..length];
        others().all(|(_, other)| {
            let name = letters(&other.name);
            let mut codes = other.codes.iter().map(|code| letters(code));
            name.get(..length).unwrap_or(&name) != stem && codes.all(|code| !code.starts_with(stem))
        })
    };
    let length = (1..=own.len()).find(|&l| free(l)).unwrap_or(own.len());
    let mut stem = own[..length].iter();
    let first = stem.next().into_iter().flat_map(|c| c.to_uppercase());
    first.chain(stem.copied()).collect()
}

/// Refuses combinations whose joined codes read the same.
fn told_apart(first: &Section<'_>, treatments: &[Treatment], reading: &mut Reading<'_>) {
    for (at, treatment) in treatments.iter().enumerate() {
        let same = |t: &&Treatment| t.code.eq_ignore_ascii_case(&treatment.code);
        if let Some(other) = treatments[..at].iter().find(same) {
            let what = format!(
                "\"{}\" and \"{}\" both get the code {}",
                other.name, treatment.name, treatment.code
            );
            let cure = "Give one factor other codes, for example codes = [\"X\"].";
            reading.refuse(first.at, what, cure);
        }
    }
}

/// The factors with the level that each treatment has; treatments are in the order of [`combined`].
fn with_levels(factors: &[Written], treatments: &[Treatment]) -> Vec<Factor> {
    let mut each = treatments.len();
    let mut made = Vec::with_capacity(factors.len());
    for factor in factors {
        each /= factor.levels.len().max(1);
        let level = |at: usize| at / each.max(1) % factor.levels.len().max(1);
        let codes = treatments.iter().map(|t| t.code.clone());
        let level_of: BTreeMap<String, usize> = codes
            .enumerate()
            .map(|(at, code)| (code, level(at)))
            .collect();
        made.push(Factor {
            name: factor.name.clone(),
            levels: factor.levels.clone(),
            codes: factor.codes.clone(),
            level_of,
        });
    }
    made
}

/// Every combination, the first factor changing slowest.
fn combined(factors: &[Written]) -> Vec<Treatment> {
    let mut made: Vec<(String, Vec<String>, TreatmentKind)> =
        vec![(String::new(), Vec::new(), TreatmentKind::Other)];
    for factor in factors {
        let with = |(code, names, kind): &(String, Vec<String>, TreatmentKind)| {
            let mut all = vec![(code.clone(), names.clone(), *kind)];
            for (letter, level) in factor.codes.iter().zip(factor.levels.iter().skip(1)) {
                let mut longer = names.clone();
                longer.push(format!("{} {level}", factor.name));
                // A sheet decides how a plot must be counted, so it decides the kind.
                let kind = match (kind, factor.kind) {
                    (TreatmentKind::Covering, _) | (_, TreatmentKind::Covering) => {
                        TreatmentKind::Covering
                    }
                    (TreatmentKind::Aeration, _) => TreatmentKind::Aeration,
                    (TreatmentKind::Other, kind) => kind,
                };
                all.push((format!("{code}{letter}"), longer, kind));
            }
            all
        };
        made = made.iter().flat_map(with).collect();
    }
    let taken = |word: &str| {
        made.iter()
            .any(|(code, ..)| code.eq_ignore_ascii_case(word))
    };
    let nothing = NOTHING.into_iter().find(|word| !taken(word)).unwrap_or("0");
    made.iter()
        .map(|(code, names, kind)| {
            let control = names.is_empty();
            let [code, name] = if control {
                [nothing.to_owned(), "untreated".to_owned()]
            } else {
                [code.clone(), names.join(" + ")]
            };
            Treatment {
                code,
                name,
                kind: *kind,
                control,
            }
        })
        .collect()
}
