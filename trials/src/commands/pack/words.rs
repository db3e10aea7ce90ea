//! `pack` for people: what is in it, how the plots are pegged out, what to do next.

use super::super::{Status, Words, trial};
use super::Made;
use crate::design::Protocol;
use crate::store::{COUNTS, TrialFolder};

/// The pack in words.
pub(super) fn words(folder: &TrialFolder<'_>, protocol: &Protocol, made: &Made) -> Words {
    let mut words = Words::default();
    let response = &protocol.response;
    let plots: usize = made.pegging.iter().map(|green| green.plots.len()).sum();
    let occasions = protocol.occasions.len();
    words.told(
        Status::Good,
        "Packed",
        format!(
            ": {plots} plots, {} in each, {}.",
            response.sample.number(response.cores_per_plot),
            match occasions {
                1 => "1 occasion".to_owned(),
                n => format!("{n} occasions"),
            }
        ),
    );
    words.paragraph(made.pegging.iter().map(trial::pegging_in_words));
    for name in &made.left {
        words.told(
            Status::Doubtful,
            "look",
            format!(
                ": {name} is there already and is left as it is. If nothing is written in it yet, move it away and run this again for a fresh one."
            ),
        );
    }
    words.written(&made.files);
    let mut next = vec![
        "Print pegging.html and sheets.html at full size (100 %, no margins), double-sided if you like; sheets-hidden.html is for counting \
         by somebody who should not know the treatments."
            .to_owned(),
    ];
    if response.kind.is_count() {
        next.push(
            "Or send tally.html to the telephone that counts, and open it there: it needs no signal. tally-hidden.html shows no treatments."
                .to_owned(),
        );
    }
    next.push(format!(
        "Type the counts into counts.csv or counts.xlsx of the pack; a filled counts.csv goes beside trial.toml as {}.",
        folder.shown(COUNTS)
    ));
    words.section("Next:", next);
    words
}
