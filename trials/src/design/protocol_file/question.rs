//! What is asked: the trial, its treatments, and what would decide it.

use super::file::TrialFile;
use super::methods;
use super::section::{Reading, Section};
use crate::design::{
    Better, Decision, ReferenceMethod, ResponseKind, Treatment, TreatmentKind, Trial,
};
use crate::ranges::protocol::{ALPHA, DIFFERENCE, MARGIN, THRESHOLD, TREATMENTS, WORTHWHILE};
use crate::text::spelling::offer;

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
    if !TREATMENTS.holds_whole(sections.len().max(1) as u64) {
        let found = sections.len();
        let what = format!(
            "there are {}",
            TREATMENTS.fault(&format!("{found} treatments, which"))
        );
        reading.refuse(sections[0].at, what, "Compare fewer at once.");
        return Vec::new();
    }
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
    let code = section.name("code", reading);
    let name = section.name("name", reading).or_else(|| code.clone());
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

/// What decides; `asked` is kind and direction named in `[response]`, if those could be read.
pub(super) fn decision(
    file: &TrialFile<'_>,
    asked: Option<(ResponseKind, Better)>,
    treatments: &[Treatment],
    reading: &mut Reading<'_>,
) -> Option<Decision> {
    let section = file.section("decision", reading);
    let keys = [
        "alpha",
        "worthwhile_reduction_percent",
        "worthwhile_increase_percent",
        "worthwhile_difference",
        "threshold_per_m2",
        "reference",
        "margin_percent",
        "verdict_about",
    ];
    section.only(&keys, reading);
    let alpha = if section.has("alpha") {
        section.number("alpha", &ALPHA, reading)
    } else {
        Some(USUAL_ALPHA)
    };
    let threshold_per_m2 = section.number("threshold_per_m2", &THRESHOLD, reading);
    let counted = asked.is_none_or(|(kind, _)| kind.is_count());
    let (worthwhile_percent, worthwhile_difference) = if counted {
        let unread = "worthwhile_difference";
        if section.has(unread) {
            let what = format!("`{unread}` is for readings, but animals are counted");
            let cure = "Write worthwhile_reduction_percent (or worthwhile_increase_percent).";
            reading.refuse(section.offset(unread), what, cure);
        }
        let better = asked.map(|(_, better)| better);
        (worthwhile(&section, better, reading), None)
    } else {
        no_counts(&section, reading);
        (
            Some(0.0),
            section.number("worthwhile_difference", &DIFFERENCE, reading),
        )
    };
    let reference = reference(&section, asked, treatments, reading);
    Some(Decision {
        alpha: alpha?,
        worthwhile_percent: worthwhile_percent?,
        worthwhile_difference,
        threshold_per_m2,
        reference,
        verdict_about: None,
    })
}

/// What cannot be asked of readings: their effects are differences, not ratios of counts.
fn no_counts(section: &Section<'_>, reading: &mut Reading<'_>) {
    let ratios = [
        "worthwhile_reduction_percent",
        "worthwhile_increase_percent",
        "threshold_per_m2",
    ];
    for key in ratios.into_iter().filter(|k| section.has(k)) {
        let what =
            format!("`{key}` is for counts, but kind in [response] says that readings are taken");
        let cure = "Write worthwhile_difference, in the unit of the reading, or leave it out.";
        reading.refuse(section.offset(key), what, cure);
    }
}

/// The method that others need only come close to, and by how much.
fn reference(
    section: &Section<'_>,
    asked: Option<(ResponseKind, Better)>,
    treatments: &[Treatment],
    reading: &mut Reading<'_>,
) -> Option<ReferenceMethod> {
    let named = ["reference", "margin_percent"].map(|key| section.has(key));
    match named {
        [false, false] => return None,
        [true, false] => {
            let cure = "Write how much worse than the reference would still do, for example margin_percent = 20.";
            section.missing("margin_percent", cure, reading);
        }
        [false, true] => {
            let cure = "Write the code of the method that the others need only come close to.";
            section.missing("reference", cure, reading);
        }
        [true, true] => {}
    }
    let code = section.name("reference", reading);
    let margin = section.number("margin_percent", &MARGIN, reading);
    if let Some(code) = &code {
        referable(section, code, treatments, reading);
    }
    let (kind, better) = asked?;
    if !kind.is_count() {
        let what = "a reference is for counts, but kind in [response] says that readings are taken";
        let cure = "Leave reference and margin_percent out.";
        reading.refuse(section.offset("reference"), what, cure);
    } else if better == Better::More && margin.is_some_and(|m| m >= 100.0) {
        let what =
            "`margin_percent` must be below 100 where more is better: nothing can fall by more";
        let cure = "Write for example margin_percent = 20.";
        reading.refuse(section.offset("margin_percent"), what, cure);
    }
    Some(ReferenceMethod {
        code: code?,
        margin_percent: margin?,
    })
}

/// A reference must be a method, and there must be another to hold against it.
fn referable(
    section: &Section<'_>,
    code: &str,
    treatments: &[Treatment],
    reading: &mut Reading<'_>,
) {
    let known: Vec<&str> = treatments.iter().map(|t| t.code.as_str()).collect();
    let fault = match treatments.iter().find(|t| t.code == code) {
        // Treatments that could not be read are complained of already.
        None if known.is_empty() => return,
        None => (
            format!("`reference` is \"{code}\", which is no treatment"),
            offer(code, &known),
        ),
        Some(t) if t.control => (
            format!(
                "`reference` is \"{code}\", the control: every method is compared with that anyway"
            ),
            "Name a method, such as the one your club uses today.".to_owned(),
        ),
        Some(_) if methods(treatments) < 2 => (
            format!("`reference` is \"{code}\", the only method"),
            "Add the method that is to be held against it, or leave reference out.".to_owned(),
        ),
        Some(_) => return,
    };
    reading.refuse(section.offset("reference"), fault.0, fault.1);
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
    let percent = section.number(wanted, &WORTHWHILE, reading)?;
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
