//! Which stage the animals had reached: is it too late in the season?

use serde::Serialize;

use crate::night::emergence::emergence;
use crate::trial_data::TrialData;

/// Share of animals that had left the larval stage.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StageRow {
    /// Treatment; null for all together.
    pub treatment: Option<String>,
    /// Animals found in the larval stage.
    pub larvae: u64,
    /// Animals past it.
    pub emerged: u64,
    /// Share past it; null where nothing was found.
    pub share: Option<f64>,
    /// Lower limit, the plot being the unit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

/// Stages on the main occasion.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stages {
    /// All together, then each treatment.
    pub rows: Vec<StageRow>,
    /// What that means for the trial.
    pub sentence: String,
}

/// Sums the stages of a trial; `None` where no stage was written.
pub(super) fn stages(data: &TrialData) -> Option<Stages> {
    if data.secondary.stages.is_empty() {
        return None;
    }
    let level = 1.0 - data.question.alpha;
    let row = |treatment: Option<&String>| {
        let mine = data.secondary.stages.iter();
        let mine = mine.filter(|s| treatment.is_none_or(|t| *t == s.treatment));
        let found = emergence(
            mine.map(|s| (s.plot.as_str(), s.stage.as_str(), s.count)),
            level,
        );
        StageRow {
            treatment: treatment.cloned(),
            larvae: found.larvae,
            emerged: found.emerged,
            share: found.share,
            low: found.low,
            high: found.high,
        }
    };
    let all = row(None);
    let sentence = meaning(&all);
    let mut rows = vec![all];
    rows.extend(data.treatments.iter().map(|t| row(Some(t))));
    Some(Stages { rows, sentence })
}

fn meaning(all: &StageRow) -> String {
    let Some(share) = all.share else {
        return "Nothing was found of any stage.".to_owned();
    };
    let figures = format!(
        "{} of {} found had left the larval stage ({:.0} %, likely between {:.0} and {:.0} %)",
        all.emerged,
        all.larvae + all.emerged,
        100.0 * share,
        100.0 * all.low,
        100.0 * all.high
    );
    if all.low > 0.5 {
        format!(
            "{figures}: it was too late in the season to judge a method against larvae by these counts."
        )
    } else if all.high > 0.5 {
        format!(
            "{figures}: it may have been too late in the season to judge a method against larvae by these counts."
        )
    } else {
        format!("{figures}: most were still larvae, so that it was not too late in the season.")
    }
}
