//! What the results of a trial hold beside its judgement: deviations from the seal, events, the ground.

use serde::Serialize;

use crate::design::Difference;
use crate::intake::Event;
use crate::mapping::TrialGround;

/// A judgement, with what a trial's folder adds to it; a table has nothing to add.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Results<J> {
    /// The judgement.
    #[serde(flatten)]
    pub judgement: J,
    /// What the trial adds.
    #[serde(flatten)]
    pub of_trial: Option<OfTrial>,
}

/// What a trial's folder adds to its judgement.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OfTrial {
    /// What is not as it was sealed.
    pub deviations: Vec<DeviationRow>,
    /// What happened to the plots, in the order of the file.
    pub events: Vec<Event>,
    /// Where larvae lay thick or thin, green by green; empty for readings.
    pub hot_spots: Vec<TrialGround>,
}

/// Something that is not as it was sealed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DeviationRow {
    /// What differs, in a sentence.
    pub sentence: String,
    /// Whether the verdict could be another because of it.
    pub touches_the_verdict: bool,
    /// The lines that differ, where the seal keeps them.
    pub lines: Vec<DeviationLine>,
}

/// A line that is not as it was sealed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DeviationLine {
    /// Which line, in which file.
    pub line: String,
    /// What was sealed.
    pub sealed: String,
    /// What is there now.
    pub now: String,
}

impl OfTrial {
    /// Of a trial's papers.
    pub(in crate::commands) fn new(
        differences: &[Difference],
        events: &[Event],
        hot_spots: &[TrialGround],
    ) -> Self {
        let row = |d: &Difference| DeviationRow {
            sentence: d.sentence.clone(),
            touches_the_verdict: d.touches_the_verdict,
            lines: d
                .lines
                .iter()
                .map(|l| DeviationLine {
                    line: l.line.clone(),
                    sealed: l.sealed.clone(),
                    now: l.now.clone(),
                })
                .collect(),
        };
        Self {
            deviations: differences.iter().map(row).collect(),
            events: events.to_vec(),
            hot_spots: hot_spots.to_vec(),
        }
    }
}

impl<J> Results<J> {
    /// The results of a table.
    pub(in crate::commands) fn of_table(judgement: J) -> Self {
        Self {
            judgement,
            of_trial: None,
        }
    }
}
