//! What an association must know of a trial beside its judgement.

use super::Trial;
use crate::association::TrialFacts;
use crate::design::{Protocol, Role, Setting};
use crate::store::TrialFolder;

/// Months of the year as people say them, and as trials are told apart by them.
const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Names, sorts of method, season and setting of a trial. It is called by its folder.
pub(in crate::commands) fn facts(folder: &TrialFolder<'_>, trial: &Trial) -> TrialFacts {
    let typed = folder.typed();
    let last = typed.rsplit(['/', '\\']).find(|part| !part.is_empty());
    let treatments = || trial.protocol.treatments.iter();
    let sort = |kind| serde_json::to_value(kind).ok();
    let kinds = treatments().filter_map(|t| {
        let kind = sort(t.kind)?.as_str()?.to_owned();
        Some((t.code.clone(), kind))
    });
    let day = day(&trial.protocol);
    TrialFacts {
        trial: match last {
            Some(name) if name != "." && name != ".." => name.to_owned(),
            _ => trial.protocol.trial.title.clone(),
        },
        club: trial.setting.club.clone(),
        season: day.map(|(year, _)| year),
        names: treatments()
            .map(|t| (t.code.clone(), t.name.clone()))
            .collect(),
        kinds: kinds.collect(),
        moderators: moderators(&trial.setting, day.map(|(_, month)| month)),
        source: typed,
    }
}

/// Year and month of the count that decides; those of the laying out where no occasion has a date.
fn day(protocol: &Protocol) -> Option<(i16, usize)> {
    let mut mains = (protocol.occasions.iter()).filter(|o| o.role == Role::Main);
    let day = mains.find_map(|o| o.date).or(protocol.trial.date)?;
    Some((day.year(), usize::try_from(day.month()).ok()?))
}

/// What trials are told apart by, under the names of the setting's keys.
fn moderators(
    setting: &Setting,
    month: Option<usize>,
) -> std::collections::BTreeMap<String, String> {
    let month = month.and_then(|m| MONTHS.get(m.checked_sub(1)?));
    let degrees = setting.night_temperature_c.map(|c| c.to_string());
    let all = [
        ("soil", setting.soil.clone()),
        ("wetness", setting.wetness.clone()),
        ("night_temperature_c", degrees),
        ("month", month.map(|m| (*m).to_owned())),
    ];
    let known = all.into_iter();
    known
        .filter_map(|(name, value)| Some((name.to_owned(), value?)))
        .collect()
}
