//! Curves: likeness against distance, share reached against area covered, L against chance.

use super::PictureFile;
use super::ground::titled;
use crate::Error;
use crate::drawing::chart::{Axis, Chart, Layer, Note, Stroke};
use crate::drawing::mark::Mark;
use crate::drawing::palette::{BAND, BLUE, INK, WHITE};
use crate::drawing::paper::Words;
use crate::drawing::{Cell, FigureData};
use crate::mapping::CoverStep;
use crate::mapping::cover_plan::CoverPlan;
use crate::mapping::findings::Hotspots;
use crate::mapping::positions::Pattern;

/// Radius of the mark at a point, pixels.
const MARK: f64 = 5.0;
/// What chance or an even choice would give.
const EXPECTED: Stroke = Stroke::broken(INK, 1);

/// Moran's I by distance; full discs where chance seldom does as much.
pub(super) fn correlogram(found: &Hotspots, green: Option<&str>) -> Result<PictureFile, Error> {
    let points: Vec<(f64, f64, bool)> = found
        .correlogram
        .iter()
        .filter_map(|c| {
            let sure = c.p.is_some_and(|p| p <= 0.05);
            Some((f64::midpoint(c.low_m, c.high_m), c.i?, sure))
        })
        .collect();
    let heights = || points.iter().map(|p| p.1);
    let ends = (
        heights().fold(-0.2, f64::min) - 0.05,
        heights().fold(0.2, f64::max) + 0.05,
    );
    let told: Vec<String> = points
        .iter()
        .map(|p| format!("{:.1} m: {:.2}", p.0, p.1))
        .collect();
    let mut chart = Chart::new(
        words(
            "correlogram",
            &titled(green, "How alike are places that lie apart?"),
            &format!("Moran's I by distance between places. {}.", told.join("; ")),
        ),
        Axis::numbers(
            "distance between places, metres",
            (0.0, found.correlogram.last().map_or(1.0, |c| c.high_m)),
            6,
        ),
        Axis::numbers("Moran's I", ends, 8),
    );
    let level = found.moran.expected;
    let of = |which: bool| -> Vec<(f64, f64)> {
        let those = points.iter().filter(|p| p.2 == which);
        those.map(|p| (p.0, p.1)).collect()
    };
    chart.layers = vec![
        Layer::Line(
            vec![(chart.across.ends.0, level), (chart.across.ends.1, level)],
            EXPECTED,
        ),
        Layer::Line(
            points.iter().map(|p| (p.0, p.1)).collect(),
            Stroke::full(BLUE, 2),
        ),
        Layer::Marks(of(true), Mark::disc(BLUE), MARK),
        Layer::Marks(of(false), Mark::disc(WHITE), MARK),
    ];
    chart.foot = vec![
        "Full disc: p at most 0.05 at that distance. Broken line: expected by chance.".to_owned(),
    ];
    let mut data = FigureData::new(&["from_m", "to_m", "moran_i", "p"]);
    data.rows = found
        .correlogram
        .iter()
        .map(|c| {
            let numbers = [Some(c.low_m), Some(c.high_m), c.i, c.p];
            numbers.map(Cell::from).to_vec()
        })
        .collect();
    file("correlogram", &chart, data)
}

/// Share of larvae reached against area covered.
pub(super) fn share(cover: &CoverPlan) -> Result<PictureFile, Error> {
    let green = cover.curve.last().map_or(1.0, |s| s.area_m2);
    let from = |f: fn(&CoverStep) -> f64| {
        std::iter::once((0.0, 0.0))
            .chain(cover.curve.iter().map(|s| (s.area_m2, f(s))))
            .collect::<Vec<_>>()
    };
    let mut band = from(|s| s.high);
    band.extend(from(|s| s.low).into_iter().rev());
    let mut chart = Chart::new(
        words("share-reached", "What the sheet reaches", &reached(cover)),
        Axis::numbers("ground covered, square metres", (0.0, green), 8),
        Axis::percent("share of the larvae reached", (0.0, 1.0), 5),
    );
    chart.layers = vec![
        Layer::Area(band, BAND),
        Layer::Line(vec![(0.0, 0.0), (green, 1.0)], EXPECTED),
        Layer::Line(from(|s| s.share), Stroke::full(BLUE, 2)),
    ];
    // Where the sheet there is ends, unless it covers everything.
    let laid = cover.strips.iter().take_while(|s| s.laid).count();
    let stock = cover
        .curve
        .get(laid)
        .and(cover.curve.get(laid.wrapping_sub(1)));
    chart.notes = stock
        .map(|s| {
            let name = "the sheet there is".to_owned();
            Note::Upright(s.area_m2, name, Stroke::full(INK, 1))
        })
        .into_iter()
        .collect();
    chart.foot = vec![
        "Full line: best strips first.".to_owned(),
        "Band: the middle 95 % of the maps that these counts allow on ground that changes smoothly; with sharp edges the truth often \
         lies beyond it."
            .to_owned(),
        "Broken line: strips spread evenly.".to_owned(),
    ];
    let mut data = FigureData::new(&["area_m2", "share", "low", "high", "naive_share"]);
    data.rows = cover
        .curve
        .iter()
        .map(|s| {
            let numbers = [s.area_m2, s.share, s.low, s.high, s.naive_share];
            numbers.map(Cell::from).to_vec()
        })
        .collect();
    file("share-reached", &chart, data)
}

/// The share in words.
fn reached(cover: &CoverPlan) -> String {
    let told: Vec<String> = cover
        .curve
        .iter()
        .step_by(cover.curve.len().div_ceil(8).max(1))
        .map(|s| {
            format!(
                "{:.0} square metres reach {:.0} % ({:.0} to {:.0} %)",
                s.area_m2,
                100.0 * s.share,
                100.0 * s.low,
                100.0 * s.high
            )
        })
        .collect();
    format!(
        "Share of larvae reached by the best strips. {}.",
        told.join("; ")
    )
}

/// L less the radius, with the band in which chance keeps it at all radii together 95 times in 100.
pub(super) fn l_function(found: &Pattern) -> Result<PictureFile, Error> {
    let less = |l: &[f64]| -> Vec<(f64, f64)> {
        let each = found.radii.iter().zip(l);
        each.map(|(r, l)| (*r, l - r)).collect()
    };
    let (seen, low, high) = (less(&found.l), less(&found.low), less(&found.high));
    let all = || seen.iter().chain(&low).chain(&high).map(|p| p.1);
    let (least, most) = (all().fold(0.0, f64::min), all().fold(0.0, f64::max));
    let room = 0.05 * (most - least).max(1e-6);
    let far = found.radii.last().copied().unwrap_or(1.0);
    let mut chart = Chart::new(
        words(
            "l-function",
            "How close do positions lie together?",
            &found.meaning.join(" "),
        ),
        Axis::numbers("radius, metres", (0.0, far), 6),
        Axis::numbers("L less the radius, metres", (least - room, most + room), 8),
    );
    let mut band = high.clone();
    band.extend(low.iter().rev());
    chart.layers = vec![
        Layer::Area(band, BAND),
        Layer::Line(vec![(0.0, 0.0), (far, 0.0)], EXPECTED),
        Layer::Line(seen.clone(), Stroke::full(BLUE, 2)),
    ];
    chart.foot = vec![
        "Full line: the positions.".to_owned(),
        "Above the broken line they lie closer together than at random.".to_owned(),
        "Tinted: where chance keeps the whole line 95 times in 100.".to_owned(),
    ];
    let mut data = FigureData::new(&["radius_m", "l_less_radius", "low", "high"]);
    data.rows = (0..seen.len())
        .map(|i| {
            let of = |line: &[(f64, f64)]| line.get(i).map(|p| p.1);
            let numbers = [Some(seen[i].0), Some(seen[i].1), of(&low), of(&high)];
            numbers.map(Cell::from).to_vec()
        })
        .collect();
    file("l-function", &chart, data)
}

fn words(name: &str, title: &str, description: &str) -> Words {
    Words::new(name, title, description, &[])
}

fn file(name: &str, chart: &Chart, data: FigureData) -> Result<PictureFile, Error> {
    Ok(PictureFile {
        name: format!("{name}.svg"),
        svg: chart.draw()?,
        data,
    })
}
