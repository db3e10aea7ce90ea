//! What was planned and did not come back.

use std::collections::BTreeMap;

use serde::Serialize;

use super::Observation;
use crate::design::{Layout, Protocol};
use crate::table::{Complaint, Problem, Rule};

/// Cores of a plot that were planned for an occasion and have no count.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Missing {
    /// Plot.
    pub plot: String,
    /// Occasion.
    pub occasion: String,
    /// Cores planned.
    pub planned: usize,
    /// Cores counted.
    pub counted: usize,
}

/// Compares the counts with the plan, occasion by occasion.
///
/// A count over the area of several cores stands for that many. An occasion that nobody has counted
/// yet is one warning, not one for each plot.
pub(super) fn missing(
    file: &str,
    seen: &[Observation],
    protocol: &Protocol,
    layout: &Layout,
) -> (Vec<Missing>, Vec<Problem>) {
    let (mut absent, mut problems) = (Vec::new(), Vec::new());
    let planned = protocol.response.cores_per_plot;
    for occasion in &protocol.occasions {
        let cores = cores_by_plot(seen, &occasion.name, protocol.response.core_area_m2);
        let at = |rule, complaint| Problem::new(file, None, rule, complaint);
        if cores.is_empty() {
            let nothing = format!("no plot has a count on occasion \"{}\" yet", occasion.name);
            problems.push(at(Rule::OccasionNotCounted, Complaint::note(nothing)));
            continue;
        }
        for plot in layout.names() {
            let counted = cores.get(plot).copied().unwrap_or(0);
            if counted < planned {
                absent.push(Missing {
                    plot: plot.to_owned(),
                    occasion: occasion.name.clone(),
                    planned,
                    counted,
                });
            }
            let (rule, complaint) = if counted == 0 {
                let none = format!("plot {plot} has no count on occasion \"{}\"", occasion.name);
                let cure = "If it was counted, add its lines; if not, leave it out.";
                (Rule::PlotNotCounted, Complaint::new(none, cure))
            } else if counted != planned {
                let other = format!(
                    "plot {plot} has {} on occasion \"{}\", but {planned} were planned",
                    protocol.response.sample.number(counted),
                    occasion.name
                );
                let cure =
                    "If one line is the sum of several, write their whole area under area_m2.";
                (Rule::NumberOfCores, Complaint::new(other, cure))
            } else {
                continue;
            };
            problems.push(at(rule, complaint).of_plot(plot));
        }
    }
    (absent, problems)
}

/// Cores counted in each plot on one occasion. Lines of several stages of one core are one core.
fn cores_by_plot(
    seen: &[Observation],
    occasion: &str,
    core_area_m2: f64,
) -> BTreeMap<String, usize> {
    let mut samples: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for o in seen.iter().filter(|o| o.occasion == occasion) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "areas are positive, and a cast of a huge quotient saturates"
        )]
        let cores = (o.area_m2 / core_area_m2).round().max(1.0) as usize;
        samples.insert((&o.plot, &o.sample), cores);
    }
    let mut plots = BTreeMap::new();
    for ((plot, _), cores) in samples {
        let sum: &mut usize = plots.entry(plot.to_owned()).or_default();
        *sum = sum.saturating_add(cores);
    }
    plots
}
