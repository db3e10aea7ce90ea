//! Factorial treatments coded so that one coefficient is one question: a main effect, or an interaction.

use ndarray::Array1;

use super::plot_table::PlotTable;
use crate::Error;
use crate::counts::{Factor, ModelMatrix};
use crate::numerics::projection::indicator;

/// The columns of a coding, named; those of the question come first.
pub(super) type Columns = Vec<(String, Array1<f64>)>;

/// The columns alone.
pub(super) fn values(columns: &Columns) -> Vec<Array1<f64>> {
    columns.iter().map(|(_, column)| column.clone()).collect()
}

/// Main effect of a factor. The coefficient of level i is its log mean less that of level 0, averaged over all
/// combinations of the other factors (`beside`), each with the same weight.
pub(super) fn main_effect(factor: &Factor, beside: &Factor) -> Columns {
    let mut columns = levels(factor);
    for level in 0..factor.levels.len() {
        let here = indicator(&factor.codes, level);
        columns.extend(centred(&factor.levels[level], &here, beside));
    }
    columns
}

/// Main effects alone, those of `factor` first: what stands in for [`main_effect`] where a combination is empty, so
/// that its log mean has no value to average.
pub(super) fn main_effects_alone(factor: &Factor, others: &[&Factor]) -> Columns {
    let others = others.iter().copied();
    std::iter::once(factor)
        .chain(others)
        .flat_map(levels)
        .collect()
}

/// Interaction of two factors. The coefficient of levels i and j is the log ratio of i to 0 of the first factor
/// under j of the second, less that under 0, averaged over the combinations of all further factors (`beside`).
pub(super) fn interaction([first, second]: [&Factor; 2], beside: &Factor) -> Columns {
    let both = |i: usize, j: usize| indicator(&first.codes, i) * indicator(&second.codes, j);
    let name = |i: usize, j: usize| format!("{} {}", first.levels[i], second.levels[j]);
    let mut columns = Columns::new();
    for i in 1..first.levels.len() {
        for j in 1..second.levels.len() {
            columns.push((name(i, j), both(i, j)));
        }
    }
    columns.extend(levels(first));
    columns.extend(levels(second));
    for i in 0..first.levels.len() {
        for j in 0..second.levels.len() {
            columns.extend(centred(&name(i, j), &both(i, j), beside));
        }
    }
    columns
}

/// A column for every level but the first.
fn levels(factor: &Factor) -> Columns {
    (1..factor.levels.len())
        .map(|level| {
            let name = format!("{}[{}]", factor.name, factor.levels[level]);
            (name, indicator(&factor.codes, level))
        })
        .collect()
}

/// How the levels of a factor differ from their own plain average, in the plots of `here`.
fn centred(name: &str, here: &Array1<f64>, factor: &Factor) -> Columns {
    let share = 1.0 / factor.levels.len() as f64;
    (1..factor.levels.len())
        .map(|level| {
            let column = (indicator(&factor.codes, level) - share) * here;
            (format!("{name} {}", factor.levels[level]), column)
        })
        .collect()
}

/// The other factors.
pub(super) fn others<'f>(factors: &'f [Factor], without: &[usize]) -> Vec<&'f Factor> {
    let others = factors.iter().enumerate();
    others
        .filter(|(at, _)| !without.contains(at))
        .map(|(_, factor)| factor)
        .collect()
}

/// The combinations of some factors as one; one level that holds every plot where there are none.
pub(super) fn combined(factors: &[&Factor], plots: usize) -> Factor {
    let mut out = Factor {
        name: "combination".to_owned(),
        levels: vec![String::new()],
        codes: vec![0; plots],
    };
    for factor in factors {
        let pairs = out.levels.iter().flat_map(|before| {
            let levels = factor.levels.iter();
            levels.map(move |level| format!("{before} {level}").trim().to_owned())
        });
        let levels = pairs.collect();
        for (code, level) in out.codes.iter_mut().zip(&factor.codes) {
            *code = *code * factor.levels.len() + level;
        }
        out.levels = levels;
    }
    out
}

/// Design matrix of a coding, for a model with random blocks: the intercept, the columns, the covariate.
pub(super) fn matrix(table: &PlotTable, columns: &Columns) -> Result<ModelMatrix, Error> {
    let mut base = ModelMatrix::with_intercept(table.counts.len());
    for (name, column) in columns {
        base = base.covariate(name, column);
    }
    match &table.before {
        Some(before) => base.covariate("before", before).build(),
        None => base.build(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::plot_table::{BlockStructure, InferenceSpace};
    use super::super::strata::Strata;
    use super::*;
    use ndarray::ArrayView1;

    fn factor(name: &str, levels: usize, codes: impl Iterator<Item = usize>) -> Factor {
        Factor {
            name: name.to_owned(),
            levels: (0..levels).map(|l| l.to_string()).collect(),
            codes: codes.collect(),
        }
    }

    fn table(treatment: Factor, block_structure: BlockStructure) -> PlotTable {
        let plots = treatment.codes.len();
        PlotTable {
            counts: vec![0; plots],
            exposure: vec![1.0; plots],
            treatment,
            block_structure,
            inference: InferenceSpace::Narrow,
            before: None,
        }
    }

    fn near(found: f64, sought: f64) {
        assert!((found - sought).abs() < 1e-6 * sought, "{found} {sought}");
    }

    /// Yields of peas with nitrogen, phosphate and potash in six blocks of four (Yates 1937; Venables & Ripley 2002, "Modern
    /// Applied Statistics with S", section 6.7; `npk` in R): F by `aov(yield ~ block + N * P * K)` of R 4.2.2, error on 12
    /// degrees of freedom.
    #[test]
    fn main_effects_and_interactions_are_those_of_the_analysis_of_variance() {
        let yields = [
            49.5, 62.8, 46.8, 57.0, 59.8, 58.5, 55.5, 56.0, 62.8, 55.8, 69.5, 55.0, 62.0, 48.8,
            45.5, 44.2, 52.0, 51.5, 49.8, 48.8, 57.2, 59.0, 53.2, 56.0,
        ];
        let digits = |text: &str| {
            text.bytes()
                .map(|b| usize::from(b == b'1'))
                .collect::<Vec<_>>()
        };
        let n = factor("N", 2, digits("010111000110110010101100").into_iter());
        let p = factor("P", 2, digits("110001011100010110010110").into_iter());
        let k = factor("K", 2, digits("100101100101011000111010").into_iter());
        let block = factor("block", 6, (0..24).map(|i| i / 4));
        let all = combined(&[&n, &p, &k], 24);
        let table = table(all, BlockStructure::Blocks(block));
        let f = |columns: &Columns| {
            let strata = Strata::with_columns(&table, &values(columns));
            let found = strata.contrast(0, &ArrayView1::from(&yields), None);
            assert_eq!(found.df, 12.0);
            found.t().powi(2)
        };
        near(f(&main_effect(&n, &combined(&[&p, &k], 24))), 12.258_734);
        near(f(&main_effect(&p, &combined(&[&n, &k], 24))), 0.544_129_8);
        near(f(&main_effect(&k, &combined(&[&n, &p], 24))), 6.165_688_6);
        near(f(&interaction([&n, &p], &k)), 1.378_296_8);
        near(f(&interaction([&n, &k], &p)), 2.145_971_1);
        // All three together are confounded with the blocks.
        let three = f(&interaction([&p, &k], &n));
        near(three, 0.031_194_9);
    }

    /// Oats in a split plot (Yates 1935, JRSS Supplement 2:181-247): standard errors from the mean squares of `aov` with an
    /// error stratum, 601.330556 on 10 for varieties on whole plots, 177.083333 on 45 for nitrogen within them.
    #[test]
    fn each_factor_of_a_split_plot_is_tested_in_its_own_stratum() {
        let oats: [f64; 72] = super::super::strata_tests::OATS;
        let variety = factor("variety", 3, (0..72).map(|i| i / 4 % 3));
        let nitrogen = factor("nitrogen", 4, (0..72).map(|i| i % 4));
        let blocks = factor("block", 6, (0..72).map(|i| i / 12));
        let wholes = factor("whole plot", 18, (0..72).map(|i| i / 4));
        let all = combined(&[&variety, &nitrogen], 72);
        let table = table(all, BlockStructure::SplitPlot([blocks, wholes]));
        let found = |columns: &Columns| {
            let strata = Strata::with_columns(&table, &values(columns));
            strata.contrast(0, &ArrayView1::from(&oats), None)
        };
        let on_wholes = found(&main_effect(&variety, &nitrogen));
        near(
            on_wholes.standard_error,
            (2.0 * 601.330_555_6 / 24.0_f64).sqrt(),
        );
        near(on_wholes.df, 10.0);
        let within = found(&main_effect(&nitrogen, &variety));
        near(
            within.standard_error,
            (2.0 * 177.083_333_3 / 18.0_f64).sqrt(),
        );
        near(within.df, 45.0);
        let both = found(&interaction([&variety, &nitrogen], &combined(&[], 72)));
        near(both.df, 45.0);
    }
}
