//! Treatments that change how clumped counts lie, methods that wipe out, and a handful of animals.

use halfgreen_analysis::comparison::{
    Better, BlockStructure, Call, InferenceSpace, PlotTable, Question, Settings, compare,
};
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};

use super::{HALF, pairs};

const A: [u64; 12] = [10, 7, 20, 14, 14, 12, 10, 23, 17, 20, 14, 13];
const C: [u64; 12] = [0, 1, 7, 2, 3, 1, 2, 1, 3, 0, 1, 4];

fn unblocked(control: &[u64], treated: &[u64]) -> (PlotTable, Settings) {
    let labels = [vec!["C"; control.len()], vec!["S"; treated.len()]].concat();
    let settings = Settings {
        scheme: Some(Scheme::completely_randomised(labels.len())),
        primary_test: None,
        randomisation: RandomisationSettings::default(),
    };
    let table = PlotTable {
        counts: [control, treated].concat(),
        exposure: vec![1.0; labels.len()],
        treatment: Factor::from_labels("treatment", &labels, Some("C")),
        block_structure: BlockStructure::Unblocked,
        inference: InferenceSpace::Narrow,
        before: None,
    };
    (table, settings)
}

/// Sprays A and C of Beall (1942, Biometrika 32:243-262), and A beside counts of our own that lie in clumps. Values of
/// `reference/own_k.py` (scipy 1.17); k is found to half a hundredth of its scale, log(1 + m/k).
#[test]
fn k_of_each_treatment_agrees_with_scipy() {
    let clumped = [0, 3, 41, 7, 0, 90, 2, 16, 5, 0, 63, 11];
    for (treated, common, ratio, shrinkage, own) in [
        (
            C,
            24.287_185,
            1.252_547,
            0.201_627,
            [25.924_557, 11.708_769],
        ),
        (
            clumped,
            0.855_388,
            24.185_436,
            0.958_653,
            [19.597_590, 0.392_117],
        ),
    ] {
        let (table, settings) = unblocked(&A, &treated);
        let found = compare(&table, &HALF, &settings).unwrap();
        let near = |found: f64, sought: f64, share: f64| {
            assert!((found / sought - 1.0).abs() < share, "{found} {sought}");
        };
        near(found.k.unwrap(), common, 1e-5);
        near(found.own_k.likelihood_ratio, ratio, 1e-3);
        near(found.own_k.shrinkage, shrinkage, 5e-3);
        for (found, sought) in found.own_k.k.iter().zip(own) {
            near(found.unwrap(), sought, 0.02);
        }
    }
}

/// Counts as they are, over their means, at a ratio of 1: values of `reference/own_k.py` (scipy 1.17); it is asked only where
/// the counts tell treatments apart by k.
#[test]
fn the_untransformed_comparison_agrees_with_numpy() {
    let clumped = [0, 3, 41, 7, 0, 90, 2, 16, 5, 0, 63, 11];
    let (table, settings) = unblocked(&A, &clumped);
    let found = compare(&table, &HALF, &settings).unwrap();
    let counts = found.contrasts[0].untransformed.unwrap();
    for (found, sought, share) in [
        (counts.difference, 0.310_679_61, 1e-6),
        (counts.standard_error, 0.500_353_35, 1e-6),
        // k is found to half a hundredth of its scale.
        (counts.df, 12.200_854, 0.01),
        (counts.skewness, 0.568_740_6, 0.02),
        (counts.t.unwrap(), 0.791_669_64, 0.02),
    ] {
        assert!((found / sought - 1.0).abs() < share, "{found} {sought}");
    }
    assert!(found.contrasts[0].p_model >= 0.4);
    let (table, settings) = unblocked(&A, &C);
    let alike = compare(&table, &HALF, &settings).unwrap();
    assert_eq!(alike.contrasts[0].untransformed, None);
}

/// Random counts about ten beside plots of which ten in 24 are empty and the rest hold twice as many: the transformed counts
/// lie far apart, the counts themselves do not, and nothing is claimed.
#[test]
fn empty_plots_among_full_ones_are_no_finding() {
    let control = [
        10, 8, 13, 15, 7, 14, 9, 10, 8, 12, 9, 8, 12, 7, 10, 13, 7, 6, 10, 13, 12, 10, 15, 12,
    ];
    let treated = [
        20, 18, 0, 21, 0, 22, 21, 0, 0, 21, 22, 0, 26, 16, 0, 0, 0, 0, 24, 27, 16, 16, 32, 16,
    ];
    let both: Vec<(u64, u64)> = control.into_iter().zip(treated).collect();
    let (table, settings) = pairs(&both);
    let found = compare(&table, &HALF, &settings).unwrap();
    let c = &found.contrasts[0];
    assert!(c.t.unwrap().abs() > c.critical_t.unwrap());
    let counts = c.untransformed.unwrap();
    assert!(counts.t.unwrap().abs() < counts.critical_t.unwrap());
    assert!(!matches!(c.call, Call::BeatTheControl | Call::DidWorse));
    assert!(c.interval.low < 1.0 && 1.0 < c.interval.high && c.p_model > 0.05);
    assert!(found.cautions.iter().any(|c| c.code == "k-differs"));
}

/// A third treatment of which nothing is found takes no part in the error of the others: untransformed counts still say
/// that nothing was shown.
#[test]
fn an_empty_treatment_hides_no_disagreement() {
    let control = [
        10, 8, 13, 15, 7, 14, 9, 10, 8, 12, 9, 8, 12, 7, 10, 13, 7, 6, 10, 13, 12, 10, 15, 12,
    ];
    let treated = [
        20, 18, 0, 21, 0, 22, 21, 0, 0, 21, 22, 0, 26, 16, 0, 0, 0, 0, 24, 27, 16, 16, 32, 16,
    ];
    let labels: Vec<&str> = (0..24).flat_map(|_| ["C", "S", "none"]).collect();
    let blocks: Vec<String> = (0..72).map(|plot| (plot / 3).to_string()).collect();
    let block = Factor::from_labels("block", &blocks, None);
    let table = PlotTable {
        counts: (0..24).flat_map(|b| [control[b], treated[b], 0]).collect(),
        exposure: vec![1.0; 72],
        treatment: Factor::from_labels("treatment", &labels, Some("C")),
        block_structure: BlockStructure::Blocks(block),
        inference: InferenceSpace::Narrow,
        before: None,
    };
    let settings = Settings {
        scheme: None,
        primary_test: None,
        randomisation: RandomisationSettings::default(),
    };
    let found = compare(&table, &HALF, &settings).unwrap();
    let [same, none] = &found.contrasts[..] else {
        panic!("two treatments beside the control");
    };
    let counts = same.untransformed.unwrap();
    assert!(counts.t.unwrap().abs() < counts.critical_t.unwrap());
    assert!(!matches!(same.call, Call::BeatTheControl | Call::DidWorse));
    assert_eq!(none.call, Call::BeatTheControl);
}

/// Six treatments in four blocks: five that leave next to nothing do not make the error of the sixth small.
#[test]
fn wiping_methods_lend_no_error_to_one_that_does_nothing() {
    let rows = [
        [31, 12, 0, 1, 0, 0],
        [9, 6, 0, 0, 0, 1],
        [22, 9, 1, 0, 0, 0],
        [14, 5, 0, 0, 1, 0],
    ];
    let labels: Vec<&str> = (0..4)
        .flat_map(|_| ["C", "dud", "a", "b", "c", "d"])
        .collect();
    let blocks: Vec<String> = (0..24).map(|plot| (plot / 6).to_string()).collect();
    let block = Factor::from_labels("block", &blocks, None);
    let all = PlotTable {
        counts: rows.concat(),
        exposure: vec![1.0; 24],
        treatment: Factor::from_labels("treatment", &labels, Some("C")),
        block_structure: BlockStructure::Blocks(block.clone()),
        inference: InferenceSpace::Narrow,
        before: None,
    };
    let settings = Settings {
        scheme: Some(Scheme::blocks(&block.codes)),
        primary_test: None,
        randomisation: RandomisationSettings::default(),
    };
    let found = compare(&all, &HALF, &settings).unwrap();
    let dud = &found.contrasts[0];
    // Fifteen degrees of freedom in the table, but the plots of the four others tell little of its error.
    assert!(dud.df < 11.0, "{}", dud.df);
    assert!(dud.standard_error > 1.2 * found.contrasts[1].standard_error);
    assert!(
        found.contrasts[1..]
            .iter()
            .all(|c| c.call == Call::BeatTheControl)
    );
}

/// Two-sided exact conditional p of n against none is 2 / 2^n: four are no finding at 5 %, two none at any
/// level in use, however evenly they lie; six are.
#[test]
fn a_handful_of_animals_is_no_finding() {
    let call = |larvae: u64, pairs_of: usize, alpha: f64| {
        let counts: Vec<(u64, u64)> = (0..pairs_of as u64)
            .map(|pair| (u64::from(pair < larvae), 0))
            .collect();
        let (table, settings) = pairs(&counts);
        let question = Question {
            alpha,
            better: Better::Fewer,
            worthwhile_ratio: 0.5,
        };
        let found = compare(&table, &question, &settings).unwrap();
        let c = &found.contrasts[0];
        assert!((c.p_conditional - 2.0 / 2_f64.powf(larvae as f64)).abs() < 1e-12);
        assert!(c.p_model >= c.p_conditional);
        // The interval is no shorter than the exact one (Clopper & Pearson 1934): (2 / alpha)^(1/n) - 1.
        assert!(c.interval.high >= 0.999 * ((2.0 / alpha).powf(1.0 / larvae as f64) - 1.0));
        c.call
    };
    assert_eq!(call(4, 4, 0.05), Call::CannotTell);
    assert_eq!(call(5, 5, 0.05), Call::CannotTell);
    assert_eq!(call(2, 2, 0.1), Call::CannotTell);
    assert_eq!(call(6, 6, 0.05), Call::BeatTheControl);
}
