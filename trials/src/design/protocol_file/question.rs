//! What is asked: the trial, its treatments, and what would decide it.

use super::file::TrialFile;
use super::methods;
use super::section::{Reading, Section};
use crate::design::{Better, Decision, Treatment, TreatmentKind, Trial};

pub(super) const KINDS: [(&str, TreatmentKind); 3] = [
    ("covering", TreatmentKind::Covering),
    ("aeration", TreatmentKind::Aeration),
    ("other", TreatmentKind::Other),
];

/// Error rate when the file names none: common practice, one false claim in twenty.
const USUAL_ALPHA: f64 = 0.05;

pub(super) fn trial(file: &TrialFile<'_>, reading: &mut Reading<'_>) -> Option<Trial> {
    let section = file.section("trial", reading);
    section.only(&["title", "question", "site", "date"], reading);
    for (key, cure) in [
        ("title", "Give the trial a short name."),
        (
            "question",
            "Write the one question this trial is to answer, before anything is counted.",
        ),
    ] {
        if !section.has(key) {
            section.missing(key, cure, reading);
        }
    }
    let title = section.text("title", reading);
    let question = section.text("question", reading);
    let site = section.text("site", reading);
    let date = section.date("date", reading);
    Some(Trial {
        title: title?,
        question: question?,
        site,
        date,
    })
}

/// All treatments that could be read; faults among them are complained of here.
pub(super) fn treatments(file: &TrialFile<'_>, reading: &mut Reading<'_>) -> Vec<Treatment> {
    let sections = file.list("treatment", reading);
    let read: Vec<Treatment> = sections
        .iter()
        .filter_map(|s| treatment(s, reading))
        .collect();
    if read.len() == sections.len() {
        repeated_codes(&sections, &read, reading);
        one_control(&sections, &read, reading);
    }
    read
}

fn treatment(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<Treatment> {
    section.only(&["code", "name", "kind", "control"], reading);
    if !section.has("code") {
        section.missing(
            "code",
            "Give each treatment a short code, for example code = \"C\".",
            reading,
        );
    }
    let code = section.text("code", reading);
    let name = section.text("name", reading).or_else(|| code.clone());
    let kind = if section.has("kind") {
        section.choice("kind", &KINDS, reading)
    } else {
        Some(TreatmentKind::Other)
    };
    let control = if section.has("control") {
        section.flag("control", reading)
    } else {
        Some(false)
    };
    Some(Treatment {
        code: code?,
        name: name?,
        kind: kind?,
        control: control?,
    })
}

fn repeated_codes(sections: &[Section<'_>], read: &[Treatment], reading: &mut Reading<'_>) {
    for (i, t) in read.iter().enumerate() {
        let same = |o: &&Treatment| o.code.to_lowercase() == t.code.to_lowercase();
        if let Some(first) = read[..i].iter().find(same) {
            let what = format!(
                "treatment code \"{}\" is given twice (\"{}\" and \"{}\")",
                t.code, first.name, t.name
            );
            let cure = "Give every treatment a code of its own; capitals do not tell codes apart.";
            reading.refuse(sections[i].offset("code"), what, cure);
        }
    }
}

fn one_control(sections: &[Section<'_>], read: &[Treatment], reading: &mut Reading<'_>) {
    let at = sections.first().map_or(0, |s| s.at);
    let controls: Vec<usize> = (0..read.len()).filter(|&i| read[i].control).collect();
    if read.is_empty() {
        let cure = "Add one [[treatment]] for the control and one for each method.";
        reading.refuse(at, "no treatment is named", cure);
    } else if controls.is_empty() {
        let cure = "Write control = true under the treatment that the others are compared with.";
        reading.refuse(at, "no treatment is named as the control", cure);
    } else if let [first, second, ..] = controls.as_slice() {
        let what = format!(
            "two treatments are named as the control (\"{}\" and \"{}\")",
            read[*first].code, read[*second].code
        );
        let cure = "Keep control = true under one of them: every method is compared with that one.";
        reading.refuse(sections[*second].offset("control"), what, cure);
    } else if methods(read) == 0 {
        let cure = "Add a [[treatment]] for each method on trial.";
        reading.refuse(
            at,
            "there is a control but no method to compare with it",
            cure,
        );
    }
}

/// What decides; `better` is the direction named in `[response]`, if that could be read.
pub(super) fn decision(
    file: &TrialFile<'_>,
    better: Option<Better>,
    reading: &mut Reading<'_>,
) -> Option<Decision> {
    let section = file.section("decision", reading);
    let keys = [
        "alpha",
        "worthwhile_reduction_percent",
        "worthwhile_increase_percent",
        "threshold_per_m2",
    ];
    section.only(&keys, reading);
    let alpha = if section.has("alpha") {
        section.number("alpha", reading)
    } else {
        Some(USUAL_ALPHA)
    };
    if alpha.is_some_and(|a| a <= 0.0 || a >= 1.0) {
        let cure = "Write a share of false claims you would bear, for example alpha = 0.05 for one in twenty.";
        reading.refuse(
            section.offset("alpha"),
            "`alpha` must lie between 0 and 1",
            cure,
        );
    }
    let threshold_per_m2 = section.size("threshold_per_m2", false, reading);
    let worthwhile_percent = worthwhile(&section, better, reading);
    Some(Decision {
        alpha: alpha?,
        worthwhile_percent: worthwhile_percent?,
        threshold_per_m2,
    })
}

fn worthwhile(
    section: &Section<'_>,
    better: Option<Better>,
    reading: &mut Reading<'_>,
) -> Option<f64> {
    let (wanted, other, direction) = match better? {
        Better::Fewer => (
            "worthwhile_reduction_percent",
            "worthwhile_increase_percent",
            "fewer",
        ),
        Better::More => (
            "worthwhile_increase_percent",
            "worthwhile_reduction_percent",
            "more",
        ),
    };
    if section.has(other) {
        let what = format!("`{other}` contradicts better = \"{direction}\" in [response]");
        let cure = format!("Write {wanted} instead, or turn `better` round.");
        reading.refuse(section.offset(other), what, cure);
    } else if !section.has(wanted) {
        let cure = format!(
            "Write the smallest change that would be worth the work, for example {wanted} = 50."
        );
        section.missing(wanted, &cure, reading);
    }
    let percent = section.size(wanted, false, reading)?;
    if better? == Better::Fewer && percent >= 100.0 {
        let what =
            format!("`{wanted}` is {percent}, but a reduction of 100 % or more cannot be exceeded");
        reading.refuse(
            section.offset(wanted),
            what,
            "Give a figure below 100, for example 50.",
        );
        return None;
    }
    Some(percent)
}
