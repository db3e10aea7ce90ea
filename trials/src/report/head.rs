//! What people wrote at the head of a page, as long as there is room for it.

use crate::design::Trial;
use crate::text::shortened::{is_longer, shortened};

/// Characters of title, site and question for which a page has room.
#[derive(Debug, Clone, Copy)]
pub(super) struct Room {
    title: usize,
    site: usize,
    question: usize,
}

/// A sheet that must not grow.
pub(super) const SHEET: Room = Room {
    title: 110,
    site: 90,
    question: 240,
};

/// A report of several sheets, whose record holds the whole.
pub(super) const REPORT: Room = Room {
    title: 240,
    site: 400,
    question: 600,
};

/// Title, site and question of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Head {
    pub(super) title: String,
    pub(super) site: Option<String>,
    pub(super) question: String,
}

impl Head {
    /// As much of a trial's texts as a page has room for.
    pub(super) fn of(trial: &Trial, room: Room) -> Self {
        Self {
            title: shortened(&trial.title, room.title).into_owned(),
            site: (trial.site.as_deref()).map(|site| shortened(site, room.site).into_owned()),
            question: shortened(&trial.question, room.question).into_owned(),
        }
    }

    /// Whether it has less than all of it.
    pub(super) fn is_cut(trial: &Trial, room: Room) -> bool {
        is_longer(&trial.title, room.title)
            || is_longer(&trial.question, room.question)
            || (trial.site.as_deref()).is_some_and(|site| is_longer(site, room.site))
    }
}

/// Characters of a name for which a sheet that must not grow has room.
const NAME: usize = 60;

/// A name as such a sheet shows it.
pub(super) fn short_name(name: &str) -> String {
    shortened(name, NAME).into_owned()
}

/// A title as such a sheet shows it.
pub(super) fn short_title(title: &str) -> String {
    shortened(title, SHEET.title).into_owned()
}

/// A title as a report of several sheets shows it.
pub(super) fn report_title(title: &str) -> String {
    shortened(title, REPORT.title).into_owned()
}

/// Where the rest of what a sheet cut stands; nothing where nothing was cut.
pub(super) fn rest<'a>(
    trial: &Trial,
    room: Room,
    mut names: impl Iterator<Item = &'a String>,
) -> Option<&'static str> {
    let cut = Head::is_cut(trial, room) || names.any(|name| is_longer(name, NAME));
    cut.then_some("What ends in “…” was too long for this page. All of it is in the full report.")
}

/// Rows of a record for what a report's head had no room for; the question stands in every record.
pub(super) fn in_full(trial: &Trial) -> impl Iterator<Item = (&'static str, String)> {
    let title = is_longer(&trial.title, REPORT.title).then(|| ("Title", trial.title.clone()));
    let site = trial.site.clone();
    let site = site.filter(|site| is_longer(site, REPORT.site));
    title.into_iter().chain(site.map(|site| ("Site", site)))
}
