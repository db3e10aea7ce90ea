//! A crossover: plots take turns over nights, and each is counted every night.
//!
//! The unit is a plot in one night; its row is the plot, its column the night. Nights are the main
//! occasions of the protocol in order. Several squares share their nights and have plots of their own.
//! A plot in a night without a count is left out, and what is left of its square still counts.

use serde::Serialize;

use super::from_trial::{about, control_first, question, reference, reference_set, stages};
use super::trial_data::{PlotCount, Secondary, StageCount, TrialData};
use crate::design::{BlockStructure, Layout, Protocol, Role};
use crate::intake::{CheckedCounts, Observation, sums};
use crate::{Error, Warning};

/// Plots that took turns over nights.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Crossover {
    /// Plots on the ground.
    pub plots: usize,
    /// Names of the nights, in order.
    pub nights: Vec<String>,
    /// Squares, each of as many plots as there are nights.
    pub squares: usize,
    /// Plots in a night that were not counted.
    pub missing: usize,
    /// Whether the draw let every treatment follow every other equally often.
    pub balanced: bool,
    /// What was compared, and what cannot be told from it.
    pub sentences: Vec<String>,
}

/// The plots in their nights, with the draws that could have produced them.
pub(crate) fn data(
    protocol: &Protocol,
    layout: &Layout,
    counts: &CheckedCounts,
    seed: u64,
) -> Result<TrialData, Error> {
    let nights = nights(protocol)?;
    in_order(layout, nights.len())?;
    let (mut plots, mut lines, mut warnings, mut found) = (vec![], vec![], vec![], vec![]);
    for (at, &night) in nights.iter().enumerate() {
        let sums = sums(counts.observations(), Some(night));
        let tonight = (at..layout.plots.len()).step_by(nights.len());
        for (line, plot) in tonight.map(|line| (line, &layout.plots[line])) {
            let Some(sum) = sums.get(plot.plot.as_str()) else {
                let message = format!(
                    "plot {} was not counted on {night}: it is left out that night",
                    plot.plot
                );
                let place = format!("plot {}", plot.plot);
                warnings.push(Warning::at("plot-not-counted", message, place));
                continue;
            };
            lines.push(line);
            plots.push(PlotCount {
                plot: format!("{} {night}", plot.plot),
                treatment: plot.treatment.clone(),
                block: plot.block.clone(),
                green: plot.green.clone(),
                row: Some(plot.plot.clone()),
                column: Some(night.to_owned()),
                count: sum.count,
                cores: sum.cores,
                exposure: sum.area_m2,
                before: None,
                // One place for several counts says nothing of neighbours.
                place: None,
            });
        }
        found.extend(stages_of(
            layout,
            counts.observations(),
            (at, night),
            nights.len(),
        ));
    }
    compared(&plots)?;
    let treatments = control_first(protocol);
    let reference_set = reference_set(protocol, layout, &lines, &treatments, seed)?;
    let told = told(
        layout,
        &nights,
        treatments.len(),
        layout.plots.len() - plots.len(),
    );
    Ok(TrialData {
        sample: protocol.response.sample,
        plots,
        names: treatments.iter().map(|t| t.name.clone()).collect(),
        treatments: treatments.iter().map(|t| t.code.clone()).collect(),
        factors: protocol.factors.clone(),
        blocking: BlockStructure::RowColumn,
        about: about(protocol),
        per: "m2",
        counted: protocol.response.name.clone(),
        question: question(protocol),
        reference_set: Some(reference_set),
        primary_test: None,
        warnings,
        secondary: Secondary {
            threshold_per_m2: protocol.decision.threshold_per_m2,
            stages: found,
            reference: reference(protocol),
            crossover: Some(told),
            ..Secondary::default()
        },
    })
}

/// Names of the nights, as many as treatments.
fn nights(protocol: &Protocol) -> Result<Vec<&str>, Error> {
    let mains = protocol.occasions.iter().filter(|o| o.role == Role::Main);
    let nights: Vec<&str> = mains.map(|o| o.name.as_str()).collect();
    if nights.len() == protocol.treatments.len() {
        return Ok(nights);
    }
    Err(Error::new(
        "trial.toml [[occasion]]",
        format!(
            "{} main occasions, but a crossover of {} treatments takes as many nights",
            nights.len(),
            protocol.treatments.len()
        ),
        "Write one [[occasion]] with role = \"main\" for each night, in their order.",
    ))
}

/// Within one night no plot can be compared with itself.
fn compared(plots: &[PlotCount]) -> Result<(), Error> {
    let first = plots.first().map(|p| &p.column);
    if plots.iter().any(|p| Some(&p.column) != first) {
        return Ok(());
    }
    let counted = if plots.is_empty() {
        "no night is counted"
    } else {
        "only 1 night is counted"
    };
    Err(Error::new(
        "counts.csv",
        format!("{counted}, and a crossover compares each plot with itself over nights"),
        "Judge when the next night is counted.",
    ))
}

/// Lines of the layout run plot by plot, night after night, as they were drawn.
fn in_order(layout: &Layout, nights: usize) -> Result<(), Error> {
    for (line, plot) in layout.plots.iter().enumerate() {
        let night = (line % nights + 1).to_string();
        let first = &layout.plots[line - line % nights];
        if plot.row.as_deref() != Some(night.as_str()) || plot.plot != first.plot {
            return Err(Error::new(
                format!("layout.csv, line {}", line + 2),
                format!(
                    "plot {} stands where night {night} of plot {} should",
                    plot.plot, first.plot
                ),
                "Restore the sealed layout, or lay out anew with --replace.",
            ));
        }
    }
    Ok(())
}

/// Animals by stage in each plot on one night, under what the plot got that night.
fn stages_of(
    layout: &Layout,
    observations: &[Observation],
    (at, night): (usize, &str),
    nights: usize,
) -> Vec<StageCount> {
    let tonight = Layout {
        plots: layout
            .plots
            .iter()
            .skip(at)
            .step_by(nights)
            .cloned()
            .collect(),
    };
    let mut found = stages(&tonight, observations, night);
    for stage in &mut found {
        stage.plot = format!("{} {night}", stage.plot);
    }
    found
}

/// Whether every treatment follows every other equally often from one night to the next.
fn balanced(layout: &Layout, nights: usize) -> bool {
    let mut treatments: Vec<&str> = layout.plots.iter().map(|p| p.treatment.as_str()).collect();
    treatments.sort_unstable();
    treatments.dedup();
    let follows = |first: &str, then: &str| {
        let plots = layout.plots.chunks(nights);
        let turns = plots.flat_map(|plot| plot.windows(2));
        turns
            .filter(|t| t[0].treatment == first && t[1].treatment == then)
            .count()
    };
    let pairs = treatments
        .iter()
        .flat_map(|a| treatments.iter().map(move |b| (*a, *b)));
    let mut times = pairs.filter(|(a, b)| a != b).map(|(a, b)| follows(a, b));
    let first = times.next();
    times.all(|n| Some(n) == first)
}

/// What was compared, and what cannot be told.
fn told(layout: &Layout, nights: &[&str], treatments: usize, missing: usize) -> Crossover {
    let plots = layout.names().len();
    let squares = plots / treatments.max(1);
    let balanced = balanced(layout, nights.len());
    let of = if squares == 1 {
        "in one square".to_owned()
    } else {
        format!("in {squares} squares")
    };
    let mut sentences = vec![format!(
        "{plots} plots took turns over {} nights ({}), {of}. Methods are compared within plots and within nights, so that \
         neither a rich plot nor a good night counts for a method.",
        nights.len(),
        nights.join(", ")
    )];
    if missing > 0 {
        sentences.push(format!(
            "{missing} of {} counts of a plot in a night are missing and left out; what was counted in those plots on other \
             nights still counts.",
            layout.plots.len()
        ));
    }
    sentences.push(carry_over(treatments, balanced).to_owned());
    Crossover {
        plots,
        nights: nights.iter().map(|&n| n.to_owned()).collect(),
        squares,
        missing,
        balanced,
        sentences,
    }
}

/// Jones & Kenward 2014, "Design and Analysis of Cross-Over Trials", 3rd ed., ch. 2 and 4: with two
/// treatments and two periods carry-over is one with the difference between the sequences.
fn carry_over(treatments: usize, balanced: bool) -> &'static str {
    match (treatments, balanced) {
        (2, _) => {
            "What the night before left behind cannot be told apart from the effect: with two nights no order of treatments \
             allows it. The verdict holds if larvae and turf were as before when the second night began."
        }
        (_, true) => {
            "What the night before left behind is not taken out of the ratios. Every treatment followed every other equally \
             often, so that it could be told apart by a further analysis; the verdict holds if it is small."
        }
        (_, false) => {
            "What the night before left behind cannot be told apart from the effect: in this draw the treatments did not \
             follow one another equally often. The verdict holds if larvae and turf were as before when each night began."
        }
    }
}
