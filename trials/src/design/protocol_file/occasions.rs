//! When it is counted: exactly one occasion is the main one, or one a night in a crossover.

use super::file::TrialFile;
use super::nights;
use super::section::{Reading, Section};
use crate::design::{Occasion, Role};

const ROLES: [(&str, Role); 3] = [
    ("before", Role::Before),
    ("main", Role::Main),
    ("follow-up", Role::FollowUp),
];

/// The occasions of counting; when the file names none, a single main one. `nights` is the number of
/// nights of a crossover.
pub(super) fn occasions(
    file: &TrialFile<'_>,
    nights: Option<usize>,
    reading: &mut Reading<'_>,
) -> Vec<Occasion> {
    let sections = file.list("occasion", reading);
    if sections.is_empty() {
        if let Some(nights) = nights {
            return nights::unnamed(nights);
        }
        return vec![Occasion {
            name: "main".to_owned(),
            role: Role::Main,
            date: None,
        }];
    }
    let read: Vec<Occasion> = sections
        .iter()
        .filter_map(|s| occasion(s, reading))
        .collect();
    if read.len() < sections.len() {
        return read;
    }
    for (i, o) in read.iter().enumerate() {
        if read[..i]
            .iter()
            .any(|p| p.name.to_lowercase() == o.name.to_lowercase())
        {
            let what = format!("occasion \"{}\" is named twice", o.name);
            reading.refuse(
                sections[i].offset("name"),
                what,
                "Give every occasion a name of its own.",
            );
        }
    }
    if let Some(nights) = nights {
        nights::check(&sections, &read, nights, reading);
        return read;
    }
    let mains: Vec<usize> = (0..read.len())
        .filter(|&i| read[i].role == Role::Main)
        .collect();
    if let [_, second, ..] = mains.as_slice() {
        let cure = "Keep role = \"main\" for the count that decides; the later one is role = \"follow-up\".";
        reading.refuse(
            sections[*second].offset("role"),
            "two occasions are named as the main one",
            cure,
        );
    } else if mains.is_empty() {
        let cure = "Write role = \"main\" under the count that the verdict rests on.";
        reading.refuse(sections[0].at, "no occasion is the main one", cure);
    }
    out_of_order(&sections, &read, reading);
    read
}

fn occasion(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<Occasion> {
    section.only(&["name", "role", "date"], reading);
    for (key, cure) in [
        (
            "name",
            "Name it as it will be written in counts.csv, for example name = \"dawn-7\".",
        ),
        (
            "role",
            "Write role = \"before\", \"main\" or \"follow-up\".",
        ),
    ] {
        if !section.has(key) {
            section.missing(key, cure, reading);
        }
    }
    let name = section.name("name", reading);
    let role = section.choice("role", &ROLES, reading);
    let date = section.date("date", reading);
    Some(Occasion {
        name: name?,
        role: role?,
        date,
    })
}

/// A count from before treatment cannot be planned after the main one, nor a follow-up before it.
fn out_of_order(sections: &[Section<'_>], read: &[Occasion], reading: &mut Reading<'_>) {
    let Some(main) = read
        .iter()
        .find(|o| o.role == Role::Main)
        .and_then(|o| o.date)
    else {
        return;
    };
    for (section, o) in sections.iter().zip(read) {
        let Some(date) = o.date else { continue };
        let wrong = match o.role {
            Role::Before => date > main,
            Role::FollowUp => date < main,
            Role::Main => false,
        };
        if wrong {
            let what = format!(
                "occasion \"{}\" on {date} is on the wrong side of the main count on {main}",
                o.name
            );
            reading.refuse(
                section.offset("date"),
                what,
                "Correct the date or the role.",
            );
        }
    }
}
