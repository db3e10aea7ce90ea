//! Trial data from a trial folder: protocol, layout and checked counts.

use std::collections::BTreeMap;

use halfgreen_analysis::comparison::Question;
use halfgreen_analysis::randomisation::Scheme;

use super::crossover;
use super::reference_set::{AllocationCount, Counted, ReferenceSet};
use super::trial_data::{
    About, OccasionCounts, PlotCount, Reference, Secondary, StageCount, TrialData,
};
use crate::design::allocation;
use crate::design::{BlockStructure, Grouping, Layout, Protocol, Role, Treatment, scheme_of};
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
    if protocol.design.kind.facts().over_nights() {
        return crossover::data(protocol, layout, counts, seed);
    }
    let main = occasion(protocol, Role::Main).unwrap_or_default();
    let mut drawn = Drawn {
        protocol,
        layout,
        seed,
        met: Vec::new(),
    };
    let mut data = on_occasion(&mut drawn, counts, &main)?;
    data.secondary.stages = stages(layout, counts.observations(), &main);
    let mut another = |name: &str| -> Result<Option<OccasionCounts>, Error> {
        if !counts.observations().iter().any(|o| o.occasion == name) {
            return Ok(None);
        }
        let mut data = on_occasion(&mut drawn, counts, name)?;
        data.counted = format!("{} ({name})", data.counted);
        Ok(Some(OccasionCounts {
            occasion: name.to_owned(),
            data,
        }))
    };
    if let Some(name) = occasion(protocol, Role::Before) {
        data.secondary.before = another(&name)?.map(|mut visit| {
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
        data.secondary.follow_ups.extend(another(&later.name)?);
    }
    data.secondary.main = Some(main);
    data.secondary.reference = reference(protocol);
    data.secondary.threshold_per_m2 = protocol.decision.threshold_per_m2;
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

/// A trial as it was drawn, and the reference sets met so far: occasions mostly count the same plots.
struct Drawn<'a> {
    protocol: &'a Protocol,
    layout: &'a Layout,
    seed: u64,
    /// Each by the lines of the plots that were counted.
    met: Vec<(Vec<usize>, ReferenceSet)>,
}

impl Drawn<'_> {
    /// That of the plots on these lines of the layout.
    fn reference_set(
        &mut self,
        lines: Vec<usize>,
        treatments: &[&Treatment],
    ) -> Result<ReferenceSet, Error> {
        if let Some((_, set)) = self.met.iter().find(|(of, _)| *of == lines) {
            return Ok(set.clone());
        }
        let set = reference_set(self.protocol, self.layout, &lines, treatments, self.seed)?;
        self.met.push((lines, set.clone()));
        Ok(set)
    }
}

/// The plots as counted on one occasion.
fn on_occasion(
    drawn: &mut Drawn<'_>,
    counts: &CheckedCounts,
    on: &str,
) -> Result<TrialData, Error> {
    let (protocol, layout) = (drawn.protocol, drawn.layout);
    let sums = sums(counts.observations(), Some(on));
    let before = occasion(protocol, Role::Before)
        .map(|name| sums_before(counts.observations(), &name, protocol));
    let mut warnings = Vec::new();
    let mut plots = Vec::new();
    let mut lines = Vec::new();
    for (line, plot) in layout.plots.iter().enumerate() {
        let Some(sum) = sums.get(plot.plot.as_str()) else {
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
            green: plot.green.clone(),
            row: plot.row.clone(),
            column: plot.column.clone(),
            count: sum.count,
            cores: sum.cores,
            exposure: sum.area_m2,
            before: before
                .as_ref()
                .and_then(|b| b.get(plot.plot.as_str()).copied()),
            place: Some((plot.x_m, plot.y_m)),
        });
    }
    drop_partial_before(&mut plots, &mut warnings);
    let treatments = control_first(protocol);
    let reference_set = drawn.reference_set(lines, &treatments)?;
    Ok(TrialData {
        sample: protocol.response.sample,
        plots,
        names: treatments.iter().map(|t| t.name.clone()).collect(),
        treatments: treatments.iter().map(|t| t.code.clone()).collect(),
        factors: protocol.factors.clone(),
        blocking: blocking(protocol, layout),
        about: about(protocol),
        per: "m2",
        counted: protocol.response.name.clone(),
        question: question(protocol),
        reference_set: Some(reference_set),
        primary_test: None,
        warnings,
        secondary: Secondary::default(),
    })
}

/// What the verdict is about, as the protocol has it.
pub(super) fn about(protocol: &Protocol) -> Option<About> {
    let verdict = protocol.verdict_about()?;
    Some(About {
        grouping: Grouping::Green,
        verdict,
    })
}

/// The question of a protocol.
pub(crate) fn question(protocol: &Protocol) -> Question {
    Question {
        alpha: protocol.decision.alpha,
        better: protocol.response.better,
        worthwhile_ratio: protocol.worthwhile_ratio(),
    }
}

pub(crate) fn occasion(protocol: &Protocol, role: Role) -> Option<String> {
    protocol
        .occasions
        .iter()
        .find(|o| o.role == role)
        .map(|o| o.name.clone())
}

/// The treatments, the control first.
pub(crate) fn control_first(protocol: &Protocol) -> Vec<&Treatment> {
    let mut all: Vec<&Treatment> = protocol.treatments.iter().collect();
    all.sort_by_key(|t| !t.control);
    all
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

/// Within what plots are compared: as the design has it, and in blocks only where the layout names some.
fn blocking(protocol: &Protocol, layout: &Layout) -> BlockStructure {
    let structure = protocol.design.kind.facts().structure;
    let named = layout.plots.iter().any(|p| p.block.is_some());
    if structure == BlockStructure::Blocks && !named {
        BlockStructure::Unblocked
    } else {
        structure
    }
}

/// The allocations that the design could have drawn, for the plots that were counted: those on these lines of
/// the layout.
pub(crate) fn reference_set(
    protocol: &Protocol,
    layout: &Layout,
    lines: &[usize],
    treatments: &[&Treatment],
    seed: u64,
) -> Result<ReferenceSet, Error> {
    let drawn = scheme_of(protocol, layout)?;
    let rules = &protocol.design.arrangement.rules;
    if drawn.randomisation.exchangeable() && rules.is_empty() {
        let groups = drawn
            .blocks
            .iter()
            .map(|block| {
                (0..lines.len())
                    .filter(|&plot| block.contains(&lines[plot]))
                    .collect::<Vec<_>>()
            })
            .filter(|g| !g.is_empty())
            .collect();
        return Ok(ReferenceSet {
            scheme: Scheme::Within(groups),
            allocations: AllocationCount::Whole(allocation::allocations(&drawn, rules)?),
            smallest_p: None,
        });
    }
    // Treatments are numbered as in the protocol there, with the control first here.
    let numbers: Vec<usize> = protocol
        .treatments
        .iter()
        .map(|t| {
            treatments
                .iter()
                .position(|first| first.code == t.code)
                .unwrap_or(0)
        })
        .collect();
    let counted = Counted {
        units: lines,
        numbers: &numbers,
    };
    ReferenceSet::of_design(&drawn, rules, seed, counted)
}
