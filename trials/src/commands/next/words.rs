//! `next` for people: the suggestion, the table of powers, what the plan would tell.

use super::super::{Side, Table, Words};
use crate::next_season::follows::Step;
use crate::next_season::next_trial::NextTrial;

/// The answer in words and a table.
pub(super) fn words(answer: &NextTrial) -> Words {
    let found = &answer.suggestion;
    let mut words = Words::default();
    for line in follows(answer) {
        words.line(line);
    }
    words.line(&found.sentence);
    words.table(table(answer));
    words.paragraph(plan(answer));
    words.paragraph(scenarios(answer));
    words
}

/// How often each verdict would be given, whatever is true.
fn scenarios(answer: &NextTrial) -> Vec<String> {
    let told = &answer.suggestion.scenarios;
    let apart = "These are other trials than those of the power above, so that the figures may differ by the error of either.";
    let note = (!told.is_empty()).then(|| apart.to_owned());
    let each = told.iter().map(|scenario| scenario.sentence.clone());
    each.chain(note).collect()
}

/// What the trial's verdicts lead to, before any size.
fn follows(answer: &NextTrial) -> Vec<String> {
    let Some(follows) = answer.follows.as_ref().filter(|f| !f.sentence.is_empty()) else {
        return Vec::new();
    };
    let sizes = match follows.step {
        Step::SameQuestion => "",
        Step::NarrowerLimits => {
            "The sizes below are for finding a reduction, not for telling how large it is."
        }
        Step::NextQuestion => {
            "The sizes below are for a trial of another question on such ground, not for this one again."
        }
        Step::NoLargerTrial => {
            "The sizes below are for a trial of another method on such ground, not for this one again."
        }
    };
    vec![
        format!("{}. {sizes}", follows.sentence)
            .trim_end()
            .to_owned(),
    ]
}

/// What the suggested plan would do.
fn plan(answer: &NextTrial) -> Vec<String> {
    let found = &answer.suggestion;
    let percent = |share: f64| 100.0 * share;
    let mut lines = vec![format!(
        "The suggested plan: power {} %, averaged over what is not known of the ground {} %.",
        power(found.plan.power, found.plan.power_se),
        whole(found.assurance)
    )];
    lines.extend(cost(answer));
    let more = found.extra_block.iter();
    let one = answer.assumptions.request.terms.blocks[0];
    lines.extend(more.map(|cell| format!("One {one} more: {} %.", whole(cell.power))));
    lines.push(match found.smallest_reduction {
        Some(seen) => format!(
            "With ground as estimated, the smallest reduction it finds with power {:.0} % is about {:.0} %.",
            percent(answer.assumptions.request.power),
            seen.reduction_percent
        ),
        None => format!(
            "There is no reduction that it finds with power {:.0} %.",
            percent(answer.assumptions.request.power)
        ),
    });
    if let Some(cores) = found.optimum_cores {
        lines.push(format!(
            "At these prices the best number of {} in each plot is {cores}.",
            answer.assumptions.request.terms.sample.words()[1]
        ));
    }
    if let Some(found) = &found.looks {
        for (look, ends) in found.looks.iter().zip(&found.stop_probability) {
            let (p, ends) = (look.p, percent(*ends));
            lines.push(if look.information < 1.0 {
                format!(
                    "Look at {:.0} % of the counting: stop when p is at or below {p:.4}; the wished reduction ends it here in \
                     {ends:.0} of 100 trials.",
                    percent(look.information)
                )
            } else {
                format!(
                    "At the end p must be at or below {p:.4}; the wished reduction is found only then in {ends:.0} of 100 trials."
                )
            });
        }
        lines.push(format!("Power with these looks: {} %.", whole(found.power)));
    }
    lines
}

/// What the suggested plan costs, where it is priced.
fn cost(answer: &NextTrial) -> Option<String> {
    let (plan, assumed) = (&answer.suggestion.plan, &answer.assumptions);
    let currency = assumed.currency.as_deref().unwrap_or_default();
    let cost = plan.cost.map(|cost| {
        format!("It costs about {cost:.0} {currency}")
            .trim_end()
            .to_owned()
    });
    let hours = plan
        .hours
        .map(|hours| format!("takes about {hours:.0} hours of work"));
    match (cost, hours) {
        (Some(cost), Some(hours)) => Some(format!("{cost} and {hours}.")),
        (Some(cost), None) => Some(format!("{cost}.")),
        (None, Some(hours)) => Some(format!("It {hours}.")),
        (None, None) => None,
    }
}

/// Blocks down, cores across; each power with twice its Monte-Carlo error.
fn table(answer: &NextTrial) -> Table {
    let terms = answer.assumptions.request.terms;
    let cores = &answer.assumptions.request.cores_per_plot;
    let rows = (answer.table.len() / cores.len().max(1)).max(1);
    let mut table = Table::new([("power, %", Side::Right)]);
    for n in cores {
        table.column(format!("{} a plot", terms.samples(*n)), Side::Right);
    }
    for start in 0..rows {
        let cells = || answer.table.iter().skip(start).step_by(rows);
        let blocks = cells().next().map_or(0, |c| c.blocks);
        let powers = cells().map(|c| power(c.power, c.power_se));
        let tight = cells().any(|c| c.fits == Some(false));
        let named = terms.counted(terms.design_blocks(blocks));
        let named = if tight {
            format!("{named} (no room)")
        } else {
            named
        };
        table.row(std::iter::once(named).chain(powers));
    }
    table
}

/// A share as whole per cent, rounded down, so that what is shown as 80 % is no less: simulated powers have no decimals to
/// tell. What is left by the arithmetic below a whole per cent is no shortfall.
fn whole(share: f64) -> String {
    format!("{:.0}", (100.0 * share + 1e-9).floor())
}

/// A share as whole per cent, rounded up.
fn at_most(share: f64) -> String {
    format!("{:.0}", (100.0 * share - 1e-9).ceil())
}

/// A power in per cent with twice its Monte-Carlo error, as far as 0 and 100.
fn power(share: f64, se: f64) -> String {
    if 2.0 * se > share.min(1.0 - share) {
        let (low, high) = ((share - 2.0 * se).max(0.0), (share + 2.0 * se).min(1.0));
        return format!("{} to {}", whole(low), at_most(high));
    }
    format!("{} ±{}", whole(share), at_most(2.0 * se))
}

#[cfg(test)]
mod tests {
    use super::power;

    #[test]
    fn powers_stay_within_0_and_100() {
        assert_eq!(power(0.8, 0.01), "80 ±2");
        assert_eq!(power(1.0, 0.003), "99 to 100");
        assert_eq!(power(0.001, 0.001), "0 to 1");
        // No plan looks as if it had reached the power that was asked for.
        assert_eq!(power(0.7995, 0.02), "79 ±4");
    }
}
