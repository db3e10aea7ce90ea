//! Optional choices of a design: direction, blocking, extra control plots, rules of the draw.

use super::section::{Reading, Section};
use crate::design::{Arrangement, Balance, BlockBy, Rule, Treatment};
use crate::ranges::protocol::{ANGLE, CONTROL_PLOTS, GRADIENT};
use crate::text::spelling::offer;

const BLOCKING: [(&str, BlockBy); 4] = [
    ("position", BlockBy::Position),
    ("zones", BlockBy::Zones),
    ("edge-distance", BlockBy::EdgeDistance),
    ("before-counts", BlockBy::BeforeCounts),
];

const BALANCES: [(&str, Balance); 1] = [("carry-over", Balance::CarryOver)];

const RULES: [(&str, Rule); 3] = [
    ("not-twice-in-a-row", Rule::NotTwiceInARow),
    ("not-like-the-block-before", Rule::NotLikeTheBlockBefore),
    ("balanced-along-gradient", Rule::BalancedAlongGradient),
];

/// Reads the optional keys of `[design]`. Counts before treatment are filled in by whoever has them.
pub(super) fn arrangement(
    section: &Section<'_>,
    treatments: &[Treatment],
    reading: &mut Reading<'_>,
) -> Arrangement {
    let control_plots = section.whole("control_plots", &CONTROL_PLOTS, reading);
    Arrangement {
        angle_deg: section.number("angle_deg", &ANGLE, reading),
        gradient_deg: section.number("gradient_deg", &GRADIENT, reading),
        block_by: section
            .choice("block_by", &BLOCKING, reading)
            .unwrap_or_default(),
        control_plots: control_plots.and_then(|n| usize::try_from(n).ok()),
        whole_plots: whole_plots(section, treatments, reading),
        rules: rules(section, reading),
        balance: section.choice("balance", &BALANCES, reading),
        greens: Vec::new(),
        before: Vec::new(),
    }
}

fn rules(section: &Section<'_>, reading: &mut Reading<'_>) -> Vec<Rule> {
    let known = RULES.map(|(word, _)| word);
    let mut rules = Vec::new();
    for (at, word) in section.texts("rules", reading) {
        match RULES.iter().find(|(w, _)| *w == word) {
            Some((_, rule)) => rules.push(*rule),
            None => reading.refuse(
                at,
                format!("there is no rule \"{word}\" for a draw"),
                offer(&word, &known),
            ),
        }
    }
    rules
}

fn whole_plots(
    section: &Section<'_>,
    treatments: &[Treatment],
    reading: &mut Reading<'_>,
) -> Vec<Vec<String>> {
    let codes: Vec<&str> = treatments.iter().map(|t| t.code.as_str()).collect();
    let lists = section.lists("whole_plots", reading);
    for (at, code) in lists.iter().flatten() {
        if !codes.contains(&code.as_str()) {
            let what = format!("`whole_plots` names \"{code}\", which is no treatment's code");
            reading.refuse(*at, what, offer(code, &codes));
        }
    }
    let bare = |list: Vec<(usize, String)>| list.into_iter().map(|(_, code)| code).collect();
    lists.into_iter().map(bare).collect()
}
