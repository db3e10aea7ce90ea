//! `archive` for people.

use super::super::{Side, Status, Table, Words};
use super::add::Added;
use super::describe::Described;
use super::judge::JudgedTrials;
use crate::association::archive::{LeftOutTrial, Told};
use crate::text::rounding::maybe;
use crate::text::spelling::number;

/// Trials, or sources, that are told one by one.
const TOLD: usize = 20;
/// Groups of a table that are shown.
const SHOWN: usize = 100;

/// What was taken in, and what was not.
pub(super) fn added(found: &Added, archive: &str) -> Words {
    let mut words = Words::default();
    let taken = number(found.trials, "trial");
    words.told(
        if found.left_out.is_empty() {
            Status::Good
        } else {
            Status::Doubtful
        },
        format!("{taken} taken into {archive}"),
        format!(
            ", {} rows, from {}.",
            found.rows,
            number(found.sources, "source")
        ),
    );
    if found.unchanged > 0 {
        words.line(format!(
            "{} were in it already, as they are.",
            number(found.unchanged, "source")
        ));
    }
    if found.uncounted > 0 {
        words.line(format!(
            "{} without a count left out: they are no zeros.",
            lines(found.uncounted)
        ));
    }
    words.line(format!(
        "The archive holds {} now.",
        number(found.in_archive, "trial")
    ));
    twice(
        &mut words,
        "came twice, with the same rows; the first is kept",
        &found.twice,
    );
    twice(
        &mut words,
        "contradict an earlier one of their name; the first is kept, and somebody should look",
        &found.contradicted,
    );
    left_out(&mut words, &found.left_out);
    words
}

/// A number of lines.
fn lines(n: u64) -> String {
    number(usize::try_from(n).unwrap_or(usize::MAX), "line")
}

fn twice(words: &mut Words, what: &str, told: &[Told]) {
    let some = told.iter().take(TOLD);
    let lines = some.map(|t| format!("{}: {} beside {}", t.trial, t.source, t.first));
    let more = told.len().saturating_sub(TOLD);
    let more = (more > 0).then(|| format!("and {more} more"));
    words.section(
        format!("{} {what}", number(told.len(), "trial")),
        lines.chain(more),
    );
}

fn left_out(words: &mut Words, left_out: &[LeftOutTrial]) {
    let some = left_out.iter().take(TOLD);
    let lines = some.map(|t| format!("{}: {}", t.place, t.reason));
    let more = left_out.len().saturating_sub(TOLD);
    let more = (more > 0).then(|| format!("and {more} more"));
    words.section(format!("left out: {}", left_out.len()), lines.chain(more));
}

/// How far the judging has come.
pub(super) fn judged(found: &JudgedTrials, archive: &str) -> Words {
    let mut words = Words::default();
    let part = if found.shard == "1/1" {
        String::new()
    } else {
        format!(" of part {}", found.shard)
    };
    words.line(format!(
        "{} judged{part}, {} were before.",
        number(found.judged, "trial"),
        found.kept
    ));
    if found.to_judge > 0 {
        words.told(
            Status::Doubtful,
            format!("{} of {} are still to be judged", found.to_judge, number(found.in_archive, "trial")),
            format!("; then the effects are written, by the last run or by: halfgreen archive gather {archive}"),
        );
    } else {
        let answered = number(found.effects, "effect");
        let out = found.left_out.len();
        words.told(
            Status::Good,
            format!("{answered} of {}", number(found.in_archive, "trial")),
            format!(", {out} left out."),
        );
        words.line(format!("Pool them: halfgreen pool {archive}"));
    }
    left_out(&mut words, &found.left_out);
    words.section("Written:", found.files.iter().cloned());
    words
}

/// Groups and settings as tables.
pub(super) fn described(found: &Described) -> Words {
    let mut words = Words::default();
    let trials = if found.trials > 0 {
        format!(" of {}", number(found.trials, "trial"))
    } else {
        String::new()
    };
    words.line(format!(
        "{} counts{trials}, {} without a count.",
        found.counts,
        lines(found.not_counted)
    ));
    let mut table = Table::new([
        ("club", Side::Left),
        ("treatment", Side::Left),
        ("counts", Side::Right),
        ("mean", Side::Right),
        ("variance", Side::Right),
    ]);
    for group in found.groups.iter().take(SHOWN) {
        table.row([
            group.club.clone(),
            group.treatment.clone(),
            group.n.to_string(),
            maybe(group.mean),
            maybe(group.variance),
        ]);
    }
    words.table(table);
    let more = found.groups.len().saturating_sub(SHOWN);
    if more > 0 {
        words.line(format!("{more} more groups: --json has them all."));
    }
    let mut settings = Table::new([
        ("setting", Side::Left),
        ("trials", Side::Right),
        ("mean of the control", Side::Right),
        ("k of a plot", Side::Right),
        ("block SD", Side::Right),
    ]);
    for s in &found.settings {
        let named: Vec<String> = s
            .setting
            .iter()
            .map(|(name, value)| format!("{name} {value}"))
            .collect();
        let named = if named.is_empty() {
            "all".to_owned()
        } else {
            named.join(", ")
        };
        settings.row([
            named,
            s.trials.to_string(),
            maybe(s.mean),
            maybe(s.k_plot),
            maybe(s.block_sd),
        ]);
    }
    words.table(settings);
    words.section(
        "size the next trial by it",
        found.settings.iter().filter_map(|s| s.next.clone()),
    );
    if found.to_judge > 0 {
        let trials = number(found.to_judge, "trial");
        words.line(format!(
            "{trials} not judged yet, which teach nothing of the ground: halfgreen archive judge"
        ));
    }
    words
}
