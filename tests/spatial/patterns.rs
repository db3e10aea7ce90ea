//! Ripley's K on published patterns: values of R spatstat.

use halfgreen_analysis::spatial::Place;
use halfgreen_analysis::spatial::point_pattern::{EdgeCorrection, Window, envelope, ripley_k};

use super::close;

fn pattern(text: &str) -> Vec<Place> {
    text.lines()
        .skip(1)
        .map(|l| {
            let (x, y) = l.split_once(',').unwrap();
            (x.parse().unwrap(), y.parse().unwrap())
        })
        .collect()
}

const UNIT: Window = Window {
    low: (0.0, 0.0),
    high: (1.0, 1.0),
};

/// Redwood seedlings (Strauss 1975), Japanese pines (Numata 1964), Swedish pines (Strand 1972), cells
/// (Crick). A radius that a pair lies at exactly is left out.
#[test]
fn k_agrees_with_spatstat() {
    let redwood = pattern(include_str!("../reference/spatial/points_redwood.csv"));
    let japanese = pattern(include_str!(
        "../reference/spatial/points_japanesepines.csv"
    ));
    let swedish = pattern(include_str!("../reference/spatial/points_swedishpines.csv"));
    let cells = pattern(include_str!("../reference/spatial/points_cells.csv"));
    let south = Window {
        low: (0.0, -1.0),
        high: (1.0, 0.0),
    };
    let wood = Window {
        low: (0.0, 0.0),
        high: (96.0, 100.0),
    };
    for (points, window, r, isotropic, translation) in [
        (&redwood, south, 0.05, 0.026441036, 0.027674896),
        (&redwood, south, 0.25, 0.206061542, 0.219652041),
        (&japanese, UNIT, 0.05, 0.008051859, 0.008017302),
        (&japanese, UNIT, 0.10, 0.027526541, 0.026549441),
        (&swedish, wood, 10.0, 171.304496, 174.577422),
        (&cells, UNIT, 0.10, 0.001161440, 0.001303854),
    ] {
        let k = |kind| ripley_k(points, &window, &[r], kind).unwrap()[0];
        close(k(EdgeCorrection::Isotropic), isotropic, 1e-8);
        close(k(EdgeCorrection::Translation), translation, 1e-8);
    }
}

/// Redwood is clustered, cells regular, Japanese pines neither (Ripley 1977; Diggle 2003, from memory).
#[test]
fn envelopes_tell_the_three_apart() {
    let radii: Vec<f64> = (1..=12).map(|i| 0.02 * f64::from(i)).collect();
    let south = Window {
        low: (0.0, -1.0),
        high: (1.0, 0.0),
    };
    let test =
        |text: &str, window: &Window| envelope(&pattern(text), window, &radii, 199, 1).unwrap();
    let redwood = test(
        include_str!("../reference/spatial/points_redwood.csv"),
        &south,
    );
    assert!(redwood.p.value <= 0.01 && redwood.excess[3] > redwood.high[3]);
    let cells = test(include_str!("../reference/spatial/points_cells.csv"), &UNIT);
    assert!(cells.p.value <= 0.01 && cells.excess[3] < cells.low[3]);
    let pines = test(
        include_str!("../reference/spatial/points_japanesepines.csv"),
        &UNIT,
    );
    assert!(pines.p.value > 0.05, "{:?}", pines.p);
}

#[test]
fn points_beyond_the_window_are_refused() {
    let points = [(0.5, 0.5), (1.5, 0.5)];
    assert!(ripley_k(&points, &UNIT, &[0.1], EdgeCorrection::Translation).is_err());
    assert!(ripley_k(&points[..1], &UNIT, &[0.1], EdgeCorrection::Translation).is_err());
}
