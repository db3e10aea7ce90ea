//! Strata against what R answers.

use ndarray::{Array1, ArrayView1};

use super::plot_table::{BlockStructure, InferenceSpace, PlotTable};
use super::strata::Strata;
use crate::counts::Factor;

/// Yields of oats in a split plot (Yates 1935, JRSS Supplement 2:181-247; as `oats` in R's MASS 7.3):
/// six blocks, three varieties on whole plots, four rates of nitrogen within each.
pub(super) const OATS: [f64; 72] = [
    111.0, 130.0, 157.0, 174.0, 117.0, 114.0, 161.0, 141.0, 105.0, 140.0, 118.0, 156.0, 61.0, 91.0,
    97.0, 100.0, 70.0, 108.0, 126.0, 149.0, 96.0, 124.0, 121.0, 144.0, 68.0, 64.0, 112.0, 86.0,
    60.0, 102.0, 89.0, 96.0, 89.0, 129.0, 132.0, 124.0, 74.0, 89.0, 81.0, 122.0, 64.0, 103.0,
    132.0, 133.0, 70.0, 89.0, 104.0, 117.0, 62.0, 90.0, 100.0, 116.0, 80.0, 82.0, 94.0, 126.0,
    63.0, 70.0, 109.0, 99.0, 53.0, 74.0, 118.0, 113.0, 89.0, 82.0, 86.0, 104.0, 97.0, 99.0, 119.0,
    121.0,
];

fn oats() -> PlotTable {
    let label = |of: &dyn Fn(usize) -> String| (0..72).map(of).collect::<Vec<_>>();
    let blocks = label(&|i| (i / 12).to_string());
    let wholes = label(&|i| (i / 4).to_string());
    let treatments = label(&|i| format!("{} {}", i / 4 % 3, i % 4));
    PlotTable {
        counts: vec![0; 72],
        exposure: vec![1.0; 72],
        treatment: Factor::from_labels("treatment", &treatments, Some("0 0")),
        block_structure: BlockStructure::SplitPlot([
            Factor::from_labels("block", &blocks, None),
            Factor::from_labels("whole", &wholes, None),
        ]),
        inference: InferenceSpace::Narrow,
        before: None,
    }
}

/// Standard errors and degrees of freedom from the mean squares of R 4.2.2's `aov` with an error
/// stratum: 601.330556 on 10 between whole plots, 177.083333 on 45 within.
#[test]
fn a_split_plot_tests_each_contrast_in_its_own_stratum() {
    let table = oats();
    let strata = Strata::new(&table);
    let at = |name: &str| {
        table
            .treatment
            .levels
            .iter()
            .position(|l| l == name)
            .unwrap()
            - 1
    };
    let same_whole = strata.contrast(at("0 2"), &ArrayView1::from(&OATS), None);
    let other_whole = strata.contrast(at("1 0"), &ArrayView1::from(&OATS), None);
    near(same_whole.estimate, 110.833_333_33 - 71.5);
    near(same_whole.standard_error, 7.682_953_71);
    near(same_whole.df, 45.0);
    near(other_whole.estimate, 8.5);
    near(other_whole.standard_error, 9.715_025_11);
    near(other_whole.df, 30.230_780);
}

/// The oats with other treatments and groups: the label of each plot, and the plots that are left.
fn regrouped(
    treatment: &dyn Fn(usize) -> &'static str,
    group: &dyn Fn(usize) -> usize,
    left: &[usize],
) -> PlotTable {
    let factor = |name: &str, of: &dyn Fn(usize) -> String, first: Option<&str>| {
        let labels: Vec<String> = left.iter().map(|&plot| of(plot)).collect();
        Factor::from_labels(name, &labels, first)
    };
    PlotTable {
        counts: vec![0; left.len()],
        exposure: vec![1.0; left.len()],
        treatment: factor(
            "treatment",
            &|p| treatment(p).to_owned(),
            Some(treatment(4)),
        ),
        block_structure: BlockStructure::Blocks(factor("block", &|p| (p / 12).to_string(), None)),
        inference: InferenceSpace::Broad(factor("group", &|p| group(p).to_string(), None)),
        before: None,
    }
}

fn near(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() < 1e-6 * expected.abs(),
        "{found} {expected}"
    );
}

/// Nitrogen over the six blocks, and over three sites of two blocks, the varieties taken for replicates: R 4.2.2's
/// `aov` with an error stratum (`tests/comparison/reference/treatment_by_group.R`).
#[test]
fn treatment_by_group_is_an_error_of_its_own() {
    let nitrogen = &|p: usize| ["0", "2", "4", "6"][p % 4];
    let all: Vec<usize> = (0..72).collect();
    for (size, se, df) in [(12, 3.639_461_36, 15.0), (24, 3.600_197_18, 6.0)] {
        let strata = Strata::new(&regrouped(nitrogen, &|p| p / size, &all));
        let found = strata.contrast(1, &ArrayView1::from(&OATS), None);
        near(found.estimate, 34.833_333_33);
        near(found.standard_error, se);
        near(found.df, df);
    }
}

/// Varieties over blocks, and over sites of two blocks, with five plots lost: over sites the strata may share in the
/// error. By matrices in R (same script); golden rain comes first, victory second.
#[test]
fn with_plots_lost_two_strata_may_share_in_the_error() {
    let variety = &|p: usize| ["victory", "golden rain", "marvellous"][p / 4 % 3];
    let left: Vec<usize> = (0..72).filter(|p| ![0, 1, 5, 29, 30].contains(p)).collect();
    let mean = |rate: usize| (rate..72).step_by(4).map(|p| OATS[p]).sum::<f64>() / 18.0;
    let response: Array1<f64> = left.iter().map(|&p| OATS[p] - mean(p % 4)).collect();
    let blocks: [(f64, f64); 2] = [(7.695_550_34, 10.0), (7.614_162_67, 10.0)];
    let sites = [(3.485_525_30, 4.340_467_45), (3.403_783_22, 4.0)];
    for (size, expected) in [(12, blocks), (24, sites)] {
        let table = regrouped(variety, &|p| p / size, &left);
        let strata = Strata::new(&table);
        for (name, estimate, (se, df)) in [
            ("victory", -8.644_890_51, expected[0]),
            ("marvellous", 4.082_846_72, expected[1]),
        ] {
            let levels = &table.treatment.levels;
            let j = levels.iter().position(|l| l == name).unwrap() - 1;
            let found = strata.contrast(j, &response, None);
            near(found.estimate, estimate);
            near(found.standard_error, se);
            near(found.df, df);
        }
    }
}

/// One plot of a treatment in a group: plots and treatment by group are the same, and so is the test.
#[test]
fn without_replicates_both_inference_spaces_agree() {
    let treatment = &|p: usize| ["x", "y"][p / 4 % 2];
    let left: Vec<usize> = (0..72).filter(|p| p % 12 == 0 || p % 12 == 4).collect();
    let mut table = regrouped(treatment, &|p| p / 12, &left);
    let response: Array1<f64> = left.iter().map(|&p| OATS[p]).collect();
    let broad = Strata::new(&table);
    table.inference = InferenceSpace::Narrow;
    let narrow = Strata::new(&table);
    let (a, b) = (
        broad.contrast(0, &response, None),
        narrow.contrast(0, &response, None),
    );
    near(a.standard_error, b.standard_error);
    assert_eq!((a.df, broad.power()), (b.df, narrow.power()));
}

#[test]
fn a_treatment_confounded_with_blocks_has_no_test() {
    let mut table = oats();
    let label = |i: usize| if i < 36 { "a" } else { "b" };
    let labels: Vec<&str> = (0..72).map(label).collect();
    table.treatment = Factor::from_labels("treatment", &labels, None);
    let found = Strata::new(&table).contrast(0, &ArrayView1::from(&OATS), None);
    assert_eq!((found.estimate, found.df), (0.0, 0.0));
}

#[test]
fn what_scatters_nowhere_has_no_t_or_an_infinite_one() {
    let table = oats();
    let strata = Strata::new(&table);
    assert_eq!(
        strata.contrast(0, &ArrayView1::from(&[3.0; 72]), None).t(),
        0.0
    );
    let codes = table.treatment.codes.iter();
    let steps: Array1<f64> = codes.map(|&c| if c == 1 { 5.0 } else { 1.0 }).collect();
    assert!(strata.contrast(0, &steps, None).t().abs() > 1e6);
}
