//! What stands beside the verdict, for people: only what they should read.

use halfgreen_analysis::comparison::Better;

use super::super::{Side, Table, Words};
use crate::judgement::{ByGroup, Judgement, NO_EFFICACY, SECOND_ANSWER};
use crate::text::rounding::maybe;

/// Sentences on occasions, stages, events, a reference and doubts, each under its heading.
pub(super) fn words(found: &Judgement) -> Words {
    let mut words = Words::default();
    let turns = found.crossover.iter().flat_map(|c| &c.sentences);
    words.section("night by night", turns);
    let over_time = found.change_from_baseline.is_some() || found.treatment_by_occasion.is_some();
    words.section("over time", over_time.then_some(SECOND_ANSWER));
    let changes = found.change_from_baseline.iter().flatten();
    words.section("from before to after", changes.map(|c| c.sentence.with_p()));
    let later = found.occasions.iter();
    let later = later.map(|o| format!("{}: {}", o.occasion, o.sentence));
    let lasted = found
        .treatment_by_occasion
        .iter()
        .map(|l| l.sentence.to_string());
    words.section("did it last?", later.chain(lasted));
    words.section("stages", found.stages.iter().map(|s| &s.sentence));
    let happened = found.as_treated.iter().flat_map(|h| {
        let verdicts = h.verdicts.iter().map(|v| &v.sentence);
        [&h.sentence, &h.rule].into_iter().chain(verdicts)
    });
    words.section("by what happened", happened);
    let rows = found.non_inferiority.iter().flat_map(|n| &n.rows);
    words.section("beside the reference", rows.map(|r| &r.sentence));
    words.section(
        "efficacy by the trade's formulas (the verdict does not rest on these)",
        efficacy(found),
    );
    let doubts = found.diagnostics.sentences().into_iter();
    words.section(
        "can it be believed?",
        doubts.map(|(method, sentence)| match method {
            Some(method) => format!("{method}: {sentence}"),
            None => sentence.to_owned(),
        }),
    );
    words
}

/// Greens, or blocks with several plots of a treatment: each by itself, how far they differ, and the other question.
pub(super) fn by_group(found: &ByGroup) -> Words {
    let one = found.group.one();
    let mut table = Table::new([
        (one, Side::Left),
        ("method", Side::Left),
        ("counted, plots", Side::Right),
        ("control", Side::Right),
        ("ratio", Side::Right),
        ("likely between", Side::Right),
    ]);
    for r in &found.rows {
        table.row([
            r.name().to_owned(),
            r.treatment.clone(),
            format!("{}, {}", r.counted[0], r.plots[0]),
            format!("{}, {}", r.counted[1], r.plots[1]),
            maybe(r.ratio),
            format!("{} - {}", maybe(r.low), maybe(r.high)),
        ]);
    }
    let mut words = Words::default();
    let spread = found.spread.iter().map(|s| &s.sentence);
    words.section(
        format!("from {one} to {one}"),
        std::iter::once(&found.sentence).chain(spread),
    );
    if !found.rows.is_empty() {
        words.table(table);
    }
    let other = found
        .other
        .iter()
        .flat_map(|o| std::iter::once(&o.sentence).chain(&o.descriptions));
    words.section("second analysis", other);
    words
}

/// A line for each formula and method, then what forbids its use.
fn efficacy(found: &Judgement) -> Vec<String> {
    if found.better == Better::More {
        return vec![NO_EFFICACY.to_owned()];
    }
    let mut lines = Vec::new();
    for formula in found.efficacy.formulas() {
        for row in formula.rows {
            let figures = match row.percent {
                Some(_) => format!("{}, likely {}", row.figure_in_words(), row.range_in_words()),
                None => "no value".to_owned(),
            };
            lines.push(format!("{}, {}: {figures}", formula.name, row.treatment));
        }
        lines.push(format!("    not where {}", formula.not_where));
    }
    lines
}
