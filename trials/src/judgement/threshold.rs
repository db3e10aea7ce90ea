//! Means per square metre beside the user's own figure.

use halfgreen_analysis::comparison::Better;

use super::result::MeanRow;
use crate::threshold::{Beside, ThresholdRow};
use crate::trial_data::TrialData;

/// Means of an occasion: its name, where occasions have names, and a row for each treatment.
pub(super) type OccasionMeans = (Option<String>, Vec<MeanRow>);

/// The means of every occasion beside the user's own figure; `None` where means are not per square metre, or where more
/// on the surface is better: what comes up is no density of the turf.
pub(super) fn beside(data: &TrialData, occasions: &[OccasionMeans]) -> Option<Beside> {
    if data.per != "m2" || data.question.better == Better::More {
        return None;
    }
    let own = data.secondary.threshold_per_m2;
    let several = occasions.len() > 1;
    let mut rows = Vec::new();
    for (occasion, means) in occasions {
        for mean in means {
            let name = data.name_of(&mean.treatment);
            let who = match occasion {
                Some(on) if several => format!("{name}, {on}"),
                _ => name.to_owned(),
            };
            let mut row = ThresholdRow::new(&who, mean.marginal_mean, (mean.low, mean.high), own);
            row.occasion.clone_from(occasion);
            row.treatment = Some(mean.treatment.clone());
            rows.push(row);
        }
    }
    Some(Beside::new(own, rows))
}
