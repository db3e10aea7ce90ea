//! Repeated measures: counts of the same plots on several occasions, one row a plot and occasion.

use ndarray::Array1;

use crate::Error;
use crate::counts::{Factor, ModelMatrix};

/// One row for each plot on each occasion it was counted.
#[derive(Debug, Clone, PartialEq)]
pub struct RepeatedCounts {
    /// Counts, samples summed.
    pub counts: Vec<u64>,
    /// Sampled area or number of samples, positive.
    pub exposure: Vec<f64>,
    /// Treatment; level 0 is the control.
    pub treatment: Factor,
    /// Occasion; level 0 is the earliest.
    pub occasion: Factor,
    /// Plot.
    pub plot: Factor,
    /// Block, where there are blocks.
    pub block: Option<Factor>,
}

impl RepeatedCounts {
    /// Refuses lengths that differ, exposures that are not positive, and too few levels.
    pub(super) fn check(&self) -> Result<(), Error> {
        let rows = self.counts.len();
        let factors = [&self.treatment, &self.occasion, &self.plot];
        let whole = self.exposure.len() == rows
            && factors
                .into_iter()
                .chain(&self.block)
                .all(|f| f.codes.len() == rows);
        if !whole || self.exposure.iter().any(|e| !(*e > 0.0 && e.is_finite())) {
            return Err(Error::new(
                "counts on several occasions",
                format!("{rows} counts"),
                "each needs a positive area, a treatment, an occasion and a plot",
                "check that no row was left out of one of them",
            ));
        }
        for factor in [&self.treatment, &self.occasion] {
            let bare = (0..factor.levels.len()).any(|level| !factor.codes.contains(&level));
            if factor.levels.len() < 2 || bare {
                return Err(Error::new(
                    factor.name.clone(),
                    format!("{} levels", factor.levels.len()),
                    "a comparison over time needs two treatments and two occasions, each with a count",
                    "leave out what was not counted",
                ));
            }
        }
        Ok(())
    }

    /// A column for each treatment on each later occasion, occasion by occasion.
    pub(super) fn crossed(&self) -> Vec<Array1<f64>> {
        let mut columns = Vec::new();
        for occasion in 1..self.occasion.levels.len() {
            for treatment in 1..self.treatment.levels.len() {
                let both = self.treatment.codes.iter().zip(&self.occasion.codes);
                let here = |(&t, &o): (&usize, &usize)| t == treatment && o == occasion;
                columns.push(both.map(|row| f64::from(u8::from(here(row)))).collect());
            }
        }
        columns
    }

    /// A column for each later block on each later occasion; none without blocks.
    pub(super) fn block_by_occasion(&self) -> Vec<Array1<f64>> {
        let Some(block) = &self.block else {
            return Vec::new();
        };
        let mut columns = Vec::new();
        for occasion in 1..self.occasion.levels.len() {
            for later in 1..block.levels.len() {
                let both = block.codes.iter().zip(&self.occasion.codes);
                let here = |(&b, &o): (&usize, &usize)| b == later && o == occasion;
                columns.push(both.map(|row| f64::from(u8::from(here(row)))).collect());
            }
        }
        columns
    }

    /// Columns: intercept, treatments, then treatment by later occasion where `crossed`, occasions,
    /// blocks, and block by occasion where `by_block`. The columns of change therefore start at the number of treatments.
    pub(super) fn matrix(&self, crossed: bool, by_block: bool) -> Result<ModelMatrix, Error> {
        let mut builder = ModelMatrix::with_intercept(self.counts.len()).factor(&self.treatment);
        if crossed {
            let later = self.treatment.levels.len() - 1;
            for (at, column) in self.crossed().iter().enumerate() {
                let name = format!(
                    "treatment[{}] occasion[{}]",
                    self.treatment.levels[at % later + 1],
                    self.occasion.levels[at / later + 1]
                );
                builder = builder.covariate(&name, column);
            }
        }
        builder = builder.factor(&self.occasion);
        if let Some(block) = &self.block {
            builder = builder.factor(block);
        }
        if by_block {
            for (at, column) in self.block_by_occasion().iter().enumerate() {
                builder = builder.covariate(&format!("block by occasion {at}"), column);
            }
        }
        builder.build()
    }
}
