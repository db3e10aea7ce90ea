//! p-values of the model test: of each contrast alone, and of all together.

use super::contrast_estimate::ContrastEstimate;
use super::contrast_test::ContrastTest;
use super::model_test::ModelTest;
use crate::Error;
use crate::multiplicity::{Alternative, dunnett};

/// p of the model test for every treatment, alone and adjusted.
pub(super) fn p_model(
    model_test: &ModelTest<'_>,
    differences: &[ContrastTest],
    lambda: &[f64],
) -> Result<Vec<(f64, f64)>, Error> {
    let adjusted = |of: fn(&ContrastTest) -> &ContrastEstimate| -> Result<Vec<f64>, Error> {
        let compared: Vec<&ContrastEstimate> = differences.iter().map(of).collect();
        adjusted(&compared, lambda)
    };
    let transformed = adjusted(|d| &d.transformed)?;
    // Where one has them, all have.
    let untransformed = if differences.iter().any(|d| d.untransformed.is_some()) {
        adjusted(|d| d.untransformed.as_ref().unwrap_or(&d.transformed))?
    } else {
        transformed.clone()
    };
    let p = differences.iter().enumerate().map(|(j, difference)| {
        let floor = model_test.conditional_test(j + 1).p(1.0);
        let both = [transformed[j], untransformed[j]].into_iter();
        (
            difference.p().max(floor),
            difference.larger(both).max(floor),
        )
    });
    Ok(p.collect())
}

/// p of several contrasts, adjusted for one another (Dunnett); as they are where there is one.
fn adjusted(compared: &[&ContrastEstimate], lambda: &[f64]) -> Result<Vec<f64>, Error> {
    let t: Vec<f64> = compared.iter().map(|contrast| contrast.t()).collect();
    let mut out = Vec::with_capacity(compared.len());
    // Treatments mostly share their degrees of freedom, and then one table serves all.
    let mut last = (0.0, Vec::new());
    for (j, contrast) in compared.iter().enumerate() {
        out.push(if contrast.df < 1.0 || lambda.len() == 1 {
            contrast.p()
        } else {
            if last.0 != contrast.df {
                last = (
                    contrast.df,
                    dunnett::p_values(&t, lambda, contrast.df, Alternative::TwoSided)?,
                );
            }
            last.1[j]
        });
    }
    Ok(out)
}
