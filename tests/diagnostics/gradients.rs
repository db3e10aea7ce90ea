//! A gradient across the blocks: against statsmodels, and its defined answers at the edges.

use halfgreen_analysis::comparison::{BlockStructure, InferenceSpace, PlotTable};
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::diagnostics::gradient;

use crate::closeness::close;
use crate::comparison::pairs;

fn factor(name: &str, codes: &[usize]) -> Factor {
    let labels: Vec<String> = codes.iter().map(ToString::to_string).collect();
    Factor::from_labels(name, &labels, Some("0"))
}

/// F, p, slopes and degrees of freedom of `compare_f_test` and `OLS` of statsmodels 0.15.0 on log((y + 1/2) / exposure),
/// with and without the two coordinates.
#[test]
fn f_is_that_of_statsmodels() {
    let table = PlotTable {
        counts: vec![3, 7, 12, 1, 9, 4, 0, 5, 11, 8, 2, 15],
        exposure: vec![1.0, 1.0, 1.0, 1.0, 2.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 2.0],
        treatment: factor("treatment", &[0, 1, 2, 1, 0, 2, 2, 0, 1, 0, 2, 1]),
        block_structure: BlockStructure::Blocks(factor(
            "block",
            &[0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3],
        )),
        inference: InferenceSpace::Narrow,
        before: None,
    };
    let north = [
        0.0, 0.0, 1.0, 5.0, 5.0, 5.0, 10.0, 11.0, 10.0, 15.0, 15.0, 16.0,
    ];
    let places: Vec<(f64, f64)> = (0..12).map(|p| (3.0 * (p % 3) as f64, north[p])).collect();
    let found = gradient(&table, &places).unwrap();
    close("F", found.f.unwrap(), 8.110_560_913_116_228, 1e-10);
    close("p", found.p.unwrap(), 0.039_129_967_868_498_97, 1e-10);
    close("slope east", found.slope[0], 0.330_173_94, 1e-7);
    close("slope north", found.slope[1], -0.243_335_76, 1e-7);
    close("rise", found.rise, 1.981_043_662_786_375_2, 1e-10);
    assert_eq!(found.df, [2, 4]);
    // Metres or feet, and which axis comes first, change nothing but the slopes.
    let turned: Vec<(f64, f64)> = places
        .iter()
        .map(|&(x, y)| (y / 0.3048, -x / 0.3048))
        .collect();
    let again = gradient(&table, &turned).unwrap();
    close("F in feet", again.f.unwrap(), found.f.unwrap(), 1e-9);
    close("rise in feet", again.rise, found.rise, 1e-9);
}

/// Three pairs, every treated plot in the east: place and treatment are one. One pair the other way round, and they
/// are not. Pairs that stand north and south of each other have no place across; slanted pairs count along their line.
#[test]
fn a_lopsided_draw_leaves_nothing_to_judge_by() {
    let (table, _) = pairs(&[(9, 2), (12, 4), (7, 1)]);
    let east: Vec<(f64, f64)> = (0..6)
        .map(|p| (f64::from(p % 2), f64::from(p / 2)))
        .collect();
    let found = gradient(&table, &east).unwrap();
    assert_eq!((found.f, found.p, found.df[0]), (None, None, 0));
    let mut even = east.clone();
    even.swap(4, 5);
    assert_eq!(gradient(&table, &even).unwrap().df, [1, 1]);
    let slanted: Vec<(f64, f64)> = even
        .iter()
        .map(|&(x, y)| (x, x + 9.0 * y.floor()))
        .collect();
    let along = gradient(&table, &slanted).unwrap();
    assert_eq!(along.df, [1, 1]);
    close("slopes alike", along.slope[0], along.slope[1], 1e-9);
    let nowhere: Vec<(f64, f64)> = (0..6).map(|p| (0.0, f64::from(p / 2))).collect();
    assert_eq!(gradient(&table, &nowhere), None);
    assert_eq!(gradient(&table, &east[..5]), None);
    // All alike: no gradient, and no error either.
    let (flat, _) = pairs(&[(3, 3), (3, 3), (3, 3)]);
    let found = gradient(&flat, &even).unwrap();
    assert_eq!((found.f, found.p, found.rise), (Some(0.0), Some(1.0), 0.0));
}
