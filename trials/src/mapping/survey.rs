//! Counts with places: from any table, or from a trial.

use halfgreen_analysis::spatial::Place;

use crate::ranges::Range;
use crate::ranges::tables::{COVARIATE, PLACE};
use crate::table::{Complaint, Problem, Problems, RawTable};
use crate::trial_data::TrialData;
use crate::{Error, Warning};

/// Counts at places.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// Places, metres.
    pub places: Vec<Place>,
    /// Larvae counted.
    pub counts: Vec<u32>,
    /// Sampling effort at each place: cores, or 1 where all places were sampled alike.
    pub cores: Vec<f64>,
    /// A second map of the same places.
    pub with: Option<SecondMap>,
    /// Treatment of each place, as a number from 0, where treatments were applied.
    pub treatments: Option<Vec<usize>>,
}

/// What counts are set against, place by place.
#[derive(Debug, Clone, PartialEq)]
pub struct SecondMap {
    /// What it shows, as sentences name it.
    pub name: String,
    /// Its value at each place.
    pub values: Vec<f64>,
}

impl Survey {
    /// Counts per core.
    #[must_use]
    pub fn values(&self) -> Vec<f64> {
        let counts = self.counts.iter().map(|&c| f64::from(c));
        counts.zip(&self.cores).map(|(c, n)| c / n).collect()
    }
}

/// Which column of a table holds what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SurveyColumns {
    /// East, metres.
    pub x: String,
    /// North, metres.
    pub y: String,
    /// Counts.
    pub count: String,
    /// A second map.
    pub with: Option<String>,
}

/// Reads counts with places from a table's text; `file` is its name in complaints. Lines without a
/// count are left out, with a warning for each.
///
/// # Errors
/// Every missing column and unreadable cell at once.
pub fn survey_from_table(
    file: &str,
    text: &str,
    columns: &SurveyColumns,
) -> Result<(Survey, Vec<Warning>), Vec<Problem>> {
    let (mut table, mut doubts) = RawTable::read_counts(file, text)?;
    let at = table.required(&columns.count).map_err(|p| vec![p])?;
    let blank =
        Complaint::note("no count is written: the line is left out, which is not the same as zero");
    let mut left_out = Problems::default();
    table.leave_out_blank(at, &blank, &mut left_out);
    doubts.extend(left_out.into_list());
    let warnings = doubts.into_iter().map(Warning::from).collect();
    let mut faults = Vec::new();
    let mut numbers = |name: &str, range: &Range| {
        let read = table.numbers(name, range);
        read.map_err(|found| faults.extend(found))
            .unwrap_or_default()
    };
    let x = numbers(&columns.x, &PLACE);
    let y = numbers(&columns.y, &PLACE);
    let with = columns.with.as_deref().map(|name| SecondMap {
        name: name.to_owned(),
        values: numbers(name, &COVARIATE),
    });
    let counts: Vec<u32> = match table.counts(&columns.count) {
        // Counts above a million are refused where they are read.
        Ok(counts) => counts
            .into_iter()
            .flatten()
            .map(|c| u32::try_from(c).unwrap_or(u32::MAX))
            .collect(),
        Err(found) => {
            faults.extend(found);
            Vec::new()
        }
    };
    if !faults.is_empty() {
        return Err(faults);
    }
    let survey = Survey {
        places: x.into_iter().zip(y).collect(),
        cores: vec![1.0; counts.len()],
        counts,
        with,
        treatments: None,
    };
    Ok((survey, warnings))
}

/// Plot centres of a trial with the main occasion's counts; the count before treatment, where there is
/// one, is the second map.
///
/// # Errors
/// A plot without a place, or a count beyond what fits.
pub fn survey_from_trial(data: &TrialData) -> Result<Survey, Error> {
    let fault = |plot: &str, what: &str, cure: &str| Error::new(format!("plot {plot}"), what, cure);
    let before: Option<Vec<f64>> = data.plots.iter().map(|p| p.before).collect();
    let mut survey = Survey {
        places: Vec::new(),
        counts: Vec::new(),
        cores: Vec::new(),
        with: before.map(|values| SecondMap {
            name: "the count before treatment".to_owned(),
            values,
        }),
        treatments: Some(Vec::new()),
    };
    for p in &data.plots {
        let place = p
            .place
            .ok_or_else(|| fault(&p.plot, "it has no place", "Lay the trial out anew."))?;
        let count = u32::try_from(p.count)
            .map_err(|_| fault(&p.plot, "its count is beyond belief", "Correct counts.csv."))?;
        survey.places.push(place);
        survey.counts.push(count);
        survey.cores.push(p.cores.max(1) as f64);
        let code = data.treatments.iter().position(|t| *t == p.treatment);
        if let Some(all) = &mut survey.treatments {
            all.push(code.unwrap_or(data.treatments.len()));
        }
    }
    Ok(survey)
}
