//! Trial data from a trial folder: protocol, layout and checked counts.

use std::collections::BTreeMap;

use halfgreen_analysis::comparison::{Better, Question};
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::randomisation::Scheme;

use super::crossover;
use super::square::{SAMPLE, STREAM};
use super::trial_data::{Beside, Ground, PlotCount, Reference, StageCount, TrialData, Visit};
use crate::design::allocation::{self, Kind, Lots};
use crate::design::{self, DesignKind, Layout, Protocol, Role, scheme_of};
use crate::intake::{CheckedCounts, Observation, sums, sums_before};
use crate::{Error, Warning};

/// Sums the main occasion's cores of every plot, sets the count before beside it, and takes the
/// design as it was drawn. Plots without a count on the main occasion are left out, with a warning. In a
/// crossover the unit is a plot in one night.
///
/// # Errors
/// A layout that does not hold what the protocol says, no counted plot.
pub fn data_from_trial(
    protocol: &Protocol,
    layout: &Layout,
    counts: &CheckedCounts,
    seed: u64,
) -> Result<TrialData, Error> {
    if protocol.design.kind == DesignKind::Crossover {
        return crossover::data(protocol, layout, counts, seed);
    }
    let main = occasion(protocol, Role::Main).unwrap_or_default();
    let mut data = on_occasion(protocol, layout, counts, seed, &main)?;
    data.beside.stages = stages(layout, counts.observations(), &main);
    let another = |name: &str| -> Result<Option<Visit>, Error> {
        if !counts.observations().iter().any(|o| o.occasion == name) {
            return Ok(None);
        }
        let mut data = on_occasion(protocol, layout, counts, seed, name)?;
        data.counted = format!("{} ({name})", data.counted);
        Ok(Some(Visit {
            occasion: name.to_owned(),
            data,
        }))
    };
    if let Some(name) = occasion(protocol, Role::Before) {
        data.beside.before = another(&name)?.map(|mut visit| {
            for plot in &mut visit.data.plots {
                plot.before = None;
            }
            Box::new(visit)
        });
    }
    for later in protocol
        .occasions
        .iter()
        .filter(|o| o.role == Role::FollowUp)
    {
        data.beside.follow_ups.extend(another(&later.name)?);
    }
    data.beside.main = Some(main);
    data.beside.reference = reference(protocol);
    Ok(data)
}

/// The reference that the protocol names.
pub(crate) fn reference(protocol: &Protocol) -> Option<Reference> {
    let named = protocol.decision.reference.as_ref();
    named.map(|r| Reference {
        treatment: r.code.clone(),
        margin_percent: r.margin_percent,
    })
}

/// Animals found in each plot on an occasion, by stage; none where no stage is written.
pub(crate) fn stages(
    layout: &Layout,
    observations: &[Observation],
    occasion: &str,
) -> Vec<StageCount> {
    let mut found: BTreeMap<(&str, &str, &str), u64> = BTreeMap::new();
    for o in observations.iter().filter(|o| o.occasion == occasion) {
        let plot = layout.plots.iter().find(|p| p.plot == o.plot);
        if let (Some(stage), Some(plot)) = (&o.stage, plot) {
            *found
                .entry((&plot.treatment, &plot.plot, stage))
                .or_default() += o.count;
        }
    }
    found
        .into_iter()
        .map(|((treatment, plot, stage), count)| StageCount {
            plot: plot.to_owned(),
            treatment: treatment.to_owned(),
            stage: stage.to_owned(),
            count,
        })
        .collect()
}

/// The plots as counted on one occasion.
fn on_occasion(
    protocol: &Protocol,
    layout: &Layout,
    counts: &CheckedCounts,
    seed: u64,
    on: &str,
) -> Result<TrialData, Error> {
    let sums = sums(counts.observations(), Some(on));
    let before = occasion(protocol, Role::Before)
        .map(|name| sums_before(counts.observations(), &name, protocol));
    let mut warnings = Vec::new();
    let mut plots = Vec::new();
    let mut lines = Vec::new();
    for (line, plot) in layout.plots.iter().enumerate() {
        let Some(&(count, cores, area)) = sums.get(plot.plot.as_str()) else {
            warnings.push(Warning::at(
                "plot-not-counted",
                format!(
                    "plot {} was not counted on occasion {on} and is left out",
                    plot.plot
                ),
                format!("plot {}", plot.plot),
            ));
            continue;
        };
        lines.push(line);
        plots.push(PlotCount {
            plot: plot.plot.clone(),
            treatment: plot.treatment.clone(),
            block: plot.block.clone(),
            row: plot.row.clone(),
            column: plot.column.clone(),
            count,
            cores,
            exposure: area,
            before: before
                .as_ref()
                .and_then(|b| b.get(plot.plot.as_str()).copied()),
            place: Some((plot.x_m, plot.y_m)),
        });
    }
    drop_partial_before(&mut plots, &mut warnings);
    let treatments = control_first(protocol);
    let (scheme, allocations) = scheme(protocol, layout, &plots, &lines, &treatments, seed)?;
    Ok(TrialData {
        plots,
        names: treatments.iter().map(|t| t.1.clone()).collect(),
        treatments: treatments.into_iter().map(|t| t.0).collect(),
        ground: ground(protocol.design.kind, layout),
        per: "m2",
        counted: protocol.response.name.clone(),
        question: question(protocol),
        scheme: Some(scheme),
        allocations: Some(allocations),
        lead: None,
        warnings,
        beside: Beside::default(),
    })
}

/// The question of a protocol.
pub(crate) fn question(protocol: &Protocol) -> Question {
    let percent = protocol.decision.worthwhile_percent / 100.0;
    let (better, worthwhile_ratio) = match protocol.response.better {
        design::Better::Fewer => (Better::Fewer, 1.0 - percent),
        design::Better::More => (Better::More, 1.0 + percent),
    };
    Question {
        alpha: protocol.decision.alpha,
        better,
        worthwhile_ratio,
    }
}

pub(crate) fn occasion(protocol: &Protocol, role: Role) -> Option<String> {
    protocol
        .occasions
        .iter()
        .find(|o| o.role == role)
        .map(|o| o.name.clone())
}

/// Codes and names of the treatments, the control first.
pub(crate) fn control_first(protocol: &Protocol) -> Vec<(String, String)> {
    let mut all: Vec<&design::Treatment> = protocol.treatments.iter().collect();
    all.sort_by_key(|t| !t.control);
    all.into_iter()
        .map(|t| (t.code.clone(), t.name.clone()))
        .collect()
}

/// A count before treatment helps only if every plot has one.
fn drop_partial_before(plots: &mut [PlotCount], warnings: &mut Vec<Warning>) {
    let with = plots.iter().filter(|p| p.before.is_some()).count();
    if with == 0 || with == plots.len() {
        return;
    }
    warnings.push(Warning {
        code: "before-incomplete",
        message: format!(
            "only {with} of {} plots have a count before treatment: it is not used",
            plots.len()
        ),
        place: None,
    });
    for plot in plots {
        plot.before = None;
    }
}

fn ground(kind: DesignKind, layout: &Layout) -> Ground {
    match kind {
        DesignKind::CompletelyRandomised => Ground::Open,
        DesignKind::LatinSquare | DesignKind::Crossover => Ground::RowsAndColumns,
        DesignKind::SplitPlot => Ground::WholePlots,
        DesignKind::RandomisedBlocks | DesignKind::Paired => {
            if layout.plots.iter().any(|p| p.block.is_some()) {
                Ground::Blocks
            } else {
                Ground::Open
            }
        }
    }
}

/// The draws that could have produced the layout, for the plots that were counted.
pub(crate) fn scheme(
    protocol: &Protocol,
    layout: &Layout,
    plots: &[PlotCount],
    lines: &[usize],
    treatments: &[(String, String)],
    seed: u64,
) -> Result<(Scheme, String), Error> {
    let drawn = scheme_of(protocol, layout)?;
    let rules = &protocol.design.arrangement.rules;
    let number = allocation::allocations(&drawn, rules)?.to_string();
    if let (Kind::Shuffled { .. }, true) = (&drawn.kind, rules.is_empty()) {
        let groups = drawn
            .blocks
            .iter()
            .map(|block| {
                (0..plots.len())
                    .filter(|&plot| block.contains(&lines[plot]))
                    .collect::<Vec<_>>()
            })
            .filter(|g| !g.is_empty())
            .collect();
        return Ok((Scheme::Within(groups), number));
    }
    // Treatments are numbered as in the protocol there, with the control first here.
    let renumber: Vec<usize> = protocol
        .treatments
        .iter()
        .map(|t| {
            treatments
                .iter()
                .position(|(code, _)| *code == t.code)
                .unwrap_or(0)
        })
        .collect();
    let lots = Lots::new(&drawn, rules)?;
    let mut generator = Generator::new(seed, STREAM);
    let mut sample = Vec::with_capacity(SAMPLE);
    for _ in 0..SAMPLE {
        let allocation = lots.draw(&mut generator)?;
        sample.push(
            lines
                .iter()
                .map(|&line| renumber[allocation[line]])
                .collect(),
        );
    }
    let total = number.parse().unwrap_or(f64::INFINITY);
    Ok((
        Scheme::Sampled {
            drawn: sample,
            total,
        },
        number,
    ))
}
