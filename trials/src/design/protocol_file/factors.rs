//! Factorial treatments: every level of each `[[factor]]` with every level of the others.

use super::file::TrialFile;
use super::question::KINDS;
use super::section::{Reading, Section};
use crate::design::{Treatment, TreatmentKind};

/// Codes for the control, in order of preference: untreated, nothing.
const NOTHING: [&str; 3] = ["U", "N", "0"];
/// Most combinations; more would need more plots than a green holds in a block.
const MOST: usize = 16;

/// One factor: the first level is to do nothing.
struct Factor {
    name: String,
    kind: TreatmentKind,
    /// Code and name of each level but the first.
    levels: Vec<(String, String)>,
}

/// The treatments that the factors make, and how many levels the first factor has; `None` where the
/// file has no factors. The control is the combination of all first levels.
pub(super) fn factorial(
    file: &TrialFile<'_>,
    reading: &mut Reading<'_>,
) -> Option<(Vec<Treatment>, usize)> {
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
    let factors: Vec<Factor> = sections.iter().filter_map(|s| factor(s, reading)).collect();
    let combinations: usize = factors.iter().map(|f| f.levels.len() + 1).product();
    if combinations > MOST {
        let what = format!("the factors make {combinations} treatments");
        let cure = format!("Leave out levels or factors until there are {MOST} at most.");
        reading.refuse(first.at, what, cure);
    }
    distinct(&sections, &factors, reading);
    if reading.complaints.len() > before {
        return Some((Vec::new(), 0));
    }
    let levels = factors.first().map_or(0, |f| f.levels.len() + 1);
    Some((combined(&factors), levels))
}

fn factor(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<Factor> {
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
    let initial: String = name.chars().take(1).flat_map(char::to_uppercase).collect();
    let several = levels.len() > 2;
    let code = |i: usize| match codes.get(i) {
        Some((_, code)) => code.clone(),
        None if several => format!("{initial}{}", i + 1),
        None => initial.clone(),
    };
    let worked = levels.iter().skip(1).enumerate();
    Some(Factor {
        kind: kind.unwrap_or(TreatmentKind::Other),
        levels: worked.map(|(i, (_, l))| (code(i), l.clone())).collect(),
        name,
    })
}

/// Codes must not be mistaken for one another once they are joined.
fn distinct(sections: &[Section<'_>], factors: &[Factor], reading: &mut Reading<'_>) {
    let mut met: Vec<String> = Vec::new();
    for (section, factor) in sections.iter().zip(factors) {
        for (code, _) in &factor.levels {
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

/// Every combination, the first factor changing slowest.
fn combined(factors: &[Factor]) -> Vec<Treatment> {
    let mut made: Vec<(String, Vec<String>, TreatmentKind)> =
        vec![(String::new(), Vec::new(), TreatmentKind::Other)];
    for factor in factors {
        let with = |(code, names, kind): &(String, Vec<String>, TreatmentKind)| {
            let mut all = vec![(code.clone(), names.clone(), *kind)];
            for (letter, level) in &factor.levels {
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
