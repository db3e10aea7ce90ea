//! The counts of a trial, one row a plot, with where each plot stands in the design.

use std::collections::BTreeMap;

use crate::Error;
use crate::counts::{Factor, ModelMatrix, ModelMatrixBuilder};
use crate::mixed::component_of;

/// The block structure of the design.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BlockStructure {
    /// No blocks: completely randomised.
    Unblocked,
    /// Plots in blocks (or pairs).
    Blocks(Factor),
    /// Plots in the rows and columns of a Latin square.
    RowColumn([Factor; 2]),
    /// Split plots: whole plots in blocks, each split into plots; first the blocks, then the whole plots, each
    /// with a name of its own.
    SplitPlot([Factor; 2]),
}

/// What the conclusions are about: the inference space (McLean, Sanders & Stroup 1991, The American Statistician
/// 45:54-64).
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum InferenceSpace {
    /// The plots' own blocks and sites: the scatter of plots is the error.
    Narrow,
    /// Groups like these, each plot's given (blocks, or sites that hold several blocks): how far the effect
    /// differs between them is the error, the interaction of treatment and group.
    Broad(Factor),
}

/// One count for each plot.
#[derive(Debug, Clone, PartialEq)]
pub struct PlotTable {
    /// Counts, samples of a plot summed.
    pub counts: Vec<u64>,
    /// Sampled area or number of samples of each plot, positive; any one unit.
    pub exposure: Vec<f64>,
    /// Treatment of each plot; level 0 is the control.
    pub treatment: Factor,
    /// Block structure.
    pub block_structure: BlockStructure,
    /// What the conclusions are about.
    pub inference: InferenceSpace,
    /// Covariate: log(count before + 1), less its mean; absent without counts before treatment.
    pub before: Option<Vec<f64>>,
}

impl PlotTable {
    /// Checks that every plot has everything and every treatment has a plot.
    ///
    /// # Errors
    /// Lengths that differ, an exposure that is not positive, a level without plots, a broad inference space
    /// of split plots, which have an error of their own in each of their strata.
    pub fn check(&self) -> Result<(), Error> {
        let plots = self.counts.len();
        let mut lengths = vec![
            ("exposure", self.exposure.len()),
            ("treatment", self.treatment.codes.len()),
        ];
        lengths.extend(
            self.blocking_factors()
                .iter()
                .map(|f| (f.name.as_str(), f.codes.len())),
        );
        if let InferenceSpace::Broad(groups) = &self.inference {
            if matches!(self.block_structure, BlockStructure::SplitPlot(_)) {
                return Err(Error::new(
                    groups.name.as_str(),
                    "split plots",
                    "the conclusions can be extended to groups like these only where plots were not split",
                    "compare the treatments on these groups alone",
                ));
            }
            lengths.push((groups.name.as_str(), groups.codes.len()));
        }
        lengths.extend(self.before.as_ref().map(|b| ("before", b.len())));
        if let Some((what, found)) = lengths.into_iter().find(|(_, l)| *l != plots) {
            return Err(Error::new(
                what,
                format!("{found} values"),
                format!("each of the {plots} plots needs one"),
                "give every plot its value",
            ));
        }
        if let Some(plot) = self
            .exposure
            .iter()
            .position(|e| !(*e > 0.0 && e.is_finite()))
        {
            return Err(Error::new(
                format!("exposure of plot {}", plot + 1),
                self.exposure[plot].to_string(),
                "the sampled area or number of samples must be positive",
                "correct it, or leave the plot out",
            ));
        }
        for (code, level) in self.treatment.levels.iter().enumerate() {
            if !self.treatment.codes.contains(&code) {
                return Err(Error::new(
                    format!("treatment {level}"),
                    "no plot",
                    "every treatment compared needs a counted plot",
                    "leave the treatment out of the comparison",
                ));
            }
        }
        if self.treatment.levels.len() < 2 {
            return Err(Error::new(
                "treatment",
                "one level",
                "a comparison needs a control and a treatment",
                "name both",
            ));
        }
        Ok(())
    }

    /// The blocking factors, none for a completely randomised design.
    #[must_use]
    pub fn blocking_factors(&self) -> &[Factor] {
        match &self.block_structure {
            BlockStructure::Unblocked => &[],
            BlockStructure::Blocks(block) => std::slice::from_ref(block),
            BlockStructure::RowColumn(terms) | BlockStructure::SplitPlot(terms) => terms,
        }
    }

    /// What acts as one unit in the stratum above plots, where the design or the inference space has such a
    /// stratum: whole plots, or all plots of a treatment in a group. Each plot's unit, and their number.
    pub(super) fn whole_units(&self) -> Option<(Vec<usize>, usize)> {
        match (&self.block_structure, &self.inference) {
            (BlockStructure::SplitPlot([_, whole]), _) => {
                Some((whole.codes.clone(), whole.levels.len()))
            }
            (_, InferenceSpace::Broad(groups)) => {
                let treatments = self.treatment.levels.len();
                let cells = groups.codes.iter().zip(&self.treatment.codes);
                Some((
                    cells.map(|(g, t)| g * treatments + t).collect(),
                    groups.levels.len() * treatments,
                ))
            }
            (_, InferenceSpace::Narrow) => None,
        }
    }

    /// Log of the exposures.
    #[must_use]
    pub fn offset(&self) -> Vec<f64> {
        self.exposure.iter().map(|e| e.ln()).collect()
    }

    /// Intercept and blocking factors as fixed effects. Of whole plots only the blocks can be: the whole
    /// plots themselves carry treatments.
    pub(super) fn block_columns(&self) -> ModelMatrixBuilder {
        let intercept = ModelMatrix::with_intercept(self.counts.len());
        match &self.block_structure {
            BlockStructure::Unblocked => intercept,
            BlockStructure::Blocks(block) | BlockStructure::SplitPlot([block, _]) => {
                intercept.factor(block)
            }
            BlockStructure::RowColumn([row, column]) => intercept
                .factor(row)
                .factor_without(column, &aliased(row, column)),
        }
    }

    /// Design matrix with everything as fixed effects; `treated` leaves treatment in or out.
    ///
    /// # Errors
    /// A column that the others determine, named.
    pub fn fixed_effects(&self, treated: bool) -> Result<ModelMatrix, Error> {
        let with = |m: ModelMatrixBuilder| match &self.before {
            Some(before) => m.covariate("before", before),
            None => m,
        };
        let blocks = with(self.block_columns());
        if treated {
            blocks.factor(&self.treatment).build()
        } else {
            blocks.build()
        }
    }

    /// Treatment and covariate as fixed effects, for a model with random blocks. The columns of
    /// treatment come first after the intercept.
    pub(super) fn treatment_matrix(&self) -> Result<ModelMatrix, Error> {
        let base = ModelMatrix::with_intercept(self.counts.len()).factor(&self.treatment);
        match &self.before {
            Some(before) => base.covariate("before", before).build(),
            None => base.build(),
        }
    }

    /// Total count under each treatment.
    #[must_use]
    pub fn totals(&self) -> Vec<u64> {
        let mut totals = vec![0; self.treatment.levels.len()];
        for (&code, &count) in self.treatment.codes.iter().zip(&self.counts) {
            totals[code] += count;
        }
        totals
    }

    /// Number of plots under each treatment.
    #[must_use]
    pub fn replication(&self) -> Vec<usize> {
        let mut plots = vec![0; self.treatment.levels.len()];
        for &code in &self.treatment.codes {
            plots[code] += 1;
        }
        plots
    }
}

/// Levels of `column` that are aliased with the rows: in each square, or whatever else rows and columns connect,
/// the rows add up to the same as the columns, so that one column says nothing more.
fn aliased(row: &Factor, column: &Factor) -> Vec<usize> {
    let component = component_of(row.codes.len(), &[row.codes.clone(), column.codes.clone()]);
    let mut first: BTreeMap<usize, usize> = BTreeMap::new();
    for (&component, &level) in component.iter().zip(&column.codes) {
        let least = first.entry(component).or_insert(level);
        *least = level.min(*least);
    }
    first.into_values().collect()
}
