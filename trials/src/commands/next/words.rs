//! `next` for people: the suggestion, the table of powers, what the plan would tell.

use super::super::{Side, Table, Words};
use crate::next_season::next_trial::{NextTrial, Suggestion};
use crate::text::spelling::number;

/// The answer in words and a table.
pub(super) fn words(answer: &NextTrial) -> Words {
    let found = &answer.suggestion;
    let mut words = Words::default();
    words.line(&found.sentence);
    words.table(table(answer));
    words.paragraph(plan(found));
    words.paragraph(found.scenarios.iter().map(|told| &told.sentence));
    words
}

/// What the suggested plan would do.
fn plan(found: &Suggestion) -> Vec<String> {
    let percent = |share: f64| 100.0 * share;
    let mut lines = vec![format!(
        "The suggested plan: power {:.1} % (give or take {:.1}), averaged over what is not known of the ground {:.1} %.",
        percent(found.plan.power),
        2.0 * percent(found.plan.power_se),
        percent(found.assurance)
    )];
    let more = found.extra_block.iter();
    lines.extend(more.map(|cell| format!("One block more: {:.1} %.", percent(cell.power))));
    lines.push(match found.smallest_reduction {
        Some(seen) => format!(
            "The smallest reduction it finds as surely as wished is about {:.0} %.",
            seen.reduction_percent
        ),
        None => "There is no reduction that it finds as surely as wished.".to_owned(),
    });
    if let Some(cores) = found.optimum_cores {
        lines.push(format!(
            "At these prices the best number of cores in each plot is {cores}."
        ));
    }
    if let Some(found) = &found.looks {
        for (look, ends) in found.looks.iter().zip(&found.stop_probability) {
            lines.push(format!(
                "Look at {:.0} % of the counting: stop when p is at or below {:.4}; the wished reduction ends it here in \
                 {:.0} of 100 trials.",
                percent(look.information),
                look.p,
                percent(*ends)
            ));
        }
        lines.push(format!(
            "Power with these looks: {:.1} %.",
            percent(found.power)
        ));
    }
    lines
}

/// Blocks down, cores across; each power with twice its Monte-Carlo error.
fn table(answer: &NextTrial) -> Table {
    let cores = &answer.assumptions.request.cores_per_plot;
    let rows = (answer.table.len() / cores.len().max(1)).max(1);
    let mut table = Table::new([("power, %", Side::Right)]);
    for n in cores {
        table.column(format!("{} a plot", number(*n, "core")), Side::Right);
    }
    for start in 0..rows {
        let cells = || answer.table.iter().skip(start).step_by(rows);
        let blocks = cells().next().map_or(0, |c| c.blocks);
        let powers = cells().map(|c| power(c.power, c.power_se));
        table.row(std::iter::once(number(blocks, "block")).chain(powers));
    }
    table
}

/// A power in per cent with twice its Monte-Carlo error, as far as 0 and 100.
fn power(share: f64, se: f64) -> String {
    let (share, twice) = (100.0 * share, 200.0 * se);
    if twice > share.min(100.0 - share) {
        let (low, high) = ((share - twice).max(0.0), (share + twice).min(100.0));
        return format!("{low:.1} to {high:.1}");
    }
    format!("{share:.1} +-{twice:.1}")
}

#[cfg(test)]
mod tests {
    use super::power;

    #[test]
    fn powers_stay_within_0_and_100() {
        assert_eq!(power(0.8, 0.01), "80.0 +-2.0");
        assert_eq!(power(1.0, 0.003), "99.4 to 100.0");
        assert_eq!(power(0.001, 0.001), "0.0 to 0.3");
    }
}
