//! Single positions, such as emergence holes: do they lie closer together than chance would put them?

use geo::{CoordsIter, LineString};
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::results::Caution;
use halfgreen_analysis::spatial::Place;
use halfgreen_analysis::spatial::point_pattern::{
    EdgeCorrection, Window, envelope, nearest_neighbours, ripley_k,
};
use serde::Serialize;

use crate::Error;
use crate::area::Outline;
use crate::ranges::request::HOTSPOTS_LAID;
use crate::ranges::tables::PLACE;
use crate::table::{RawTable, errors};
use crate::text::rounding::p_value;

/// Radii at which neighbours are counted, up to a quarter of the breadth (common practice, after Ripley).
const RADII: u32 = 40;
/// Radii end where so many others lie within by chance: beyond, the pattern is one of density, and every
/// further metre costs time.
const OTHERS: f64 = 60.0;
/// Positions below which the answer deserves a word of doubt: fewer leave under one pair a radius.
const FEW: usize = 10;

/// What the positions show.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pattern {
    /// Positions.
    pub n: usize,
    /// Ground that was searched, square metres.
    pub area_m2: f64,
    /// Positions per square metre.
    pub intensity_per_m2: f64,
    /// Positions that share their place with an earlier one.
    pub coincident: usize,
    /// Radii, metres.
    pub radii: Vec<f64>,
    /// Ripley's K at each, square metres.
    pub k: Vec<f64>,
    /// L = sqrt(K / pi) at each, metres; equal to the radius on average when chance alone rules.
    pub l: Vec<f64>,
    /// Lower side of the global 95 % envelope of L.
    pub low: Vec<f64>,
    /// Upper side.
    pub high: Vec<f64>,
    /// p of complete randomness, all radii together.
    pub p: f64,
    /// How the edge of the ground was allowed for.
    pub edge_correction: EdgeCorrection,
    /// Distances to the nearest neighbour.
    pub clark_evans: ClarkEvans,
    /// Patterns laid at random for each p.
    pub simulations: usize,
    /// What it means, in plain sentences.
    pub meaning: Vec<String>,
    /// The positions.
    pub positions: Vec<Spot>,
    /// What the reader must know.
    #[serde(skip)]
    pub cautions: Vec<Caution>,
}

/// Mean distance to the nearest neighbour against chance.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ClarkEvans {
    /// Mean distance, metres.
    pub mean_m: f64,
    /// Clark and Evans' ratio, no edge allowed for.
    pub ratio: f64,
    /// The same with Donnelly's allowance for the edge.
    pub ratio_edge: f64,
    /// Two-sided p by simulation in the same ground.
    pub p: f64,
}

/// One position.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Spot {
    /// East, metres.
    pub x_m: f64,
    /// North, metres.
    pub y_m: f64,
}

/// Reads positions, one a line, from a table's text; `file` is its name in complaints.
///
/// # Errors
/// Every missing column, unreadable cell, and position off the green at once.
pub fn positions_from_table(
    file: &str,
    text: &str,
    (x, y): (&str, &str),
    outline: &Outline,
) -> Result<Vec<Place>, Vec<Error>> {
    let table = RawTable::read(file, text).map_err(errors)?;
    let mut faults = Vec::new();
    let mut numbers = |name: &str| {
        let read = table.numbers(name, &PLACE);
        read.map_err(|found| faults.extend(errors(found)))
            .unwrap_or_default()
    };
    let places: Vec<Place> = numbers(x).into_iter().zip(numbers(y)).collect();
    let window = window(outline).map_err(|fault| vec![fault])?;
    let off: Vec<usize> = (0..places.len())
        .filter(|&i| !window.contains(places[i]))
        .collect();
    if 2 * off.len() > places.len() {
        let what = format!(
            "{} of {} positions lie off the green",
            off.len(),
            places.len()
        );
        let cure = "Are the columns of east and north exchanged, or measured from another corner?";
        return Err(vec![Error::new(file, what, cure)]);
    }
    faults.extend(off.into_iter().map(|i| {
        let line = table.rows[i].first().map_or(0, |cell| cell.line);
        let (x, y) = places[i];
        let what = format!("the position ({x}, {y}) lies off the green");
        let cure = "Correct it, or the outline, or leave the line out.";
        Error::new(format!("{file}:{line}"), what, cure)
    }));
    if faults.is_empty() {
        Ok(places)
    } else {
        Err(faults)
    }
}

/// The green as a window to look for positions in.
fn window(outline: &Outline) -> Result<Window, Error> {
    let ring =
        |ring: &LineString<f64>| -> Vec<Place> { ring.coords().map(|c| (c.x, c.y)).collect() };
    let holes: Vec<Vec<Place>> = outline.ground.interiors().iter().map(ring).collect();
    Ok(Window::polygon(&ring(outline.ground.exterior()), &holes)?)
}

/// Compares positions with as many laid at random on the same green, at all radii together.
///
/// # Errors
/// Fewer than two positions, positions off the green, or fewer than 39 simulations.
pub fn pattern(
    places: &[Place],
    outline: &Outline,
    simulations: usize,
    seed: u64,
) -> Result<Pattern, Error> {
    affordable(places.len(), simulations, outline.ground.coords_count())?;
    let window = window(outline)?;
    let seed_of = |test: u64| Generator::new(seed, u64::MAX - test).bits();
    let intensity_per_m2 = places.len() as f64 / window.area();
    let crowded = (OTHERS / (std::f64::consts::PI * intensity_per_m2)).sqrt();
    let widest = (window.breadth() / 4.0).min(crowded);
    let radii: Vec<f64> = (1..=RADII)
        .map(|i| widest * f64::from(i) / f64::from(RADII))
        .collect();
    let kind = EdgeCorrection::Isotropic;
    let k = ripley_k(places, &window, &radii, kind)?;
    let test = envelope(places, &window, &radii, simulations, seed_of(20))?;
    let nearest = nearest_neighbours(places, &window, simulations, seed_of(21))?;
    let on =
        |excess: &[f64]| -> Vec<f64> { excess.iter().zip(&radii).map(|(e, r)| e + r).collect() };
    let mut sorted = places.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut found = Pattern {
        n: places.len(),
        area_m2: window.area(),
        intensity_per_m2,
        coincident: sorted.windows(2).filter(|w| w[0] == w[1]).count(),
        k,
        l: on(&test.excess),
        low: on(&test.low),
        high: on(&test.high),
        radii,
        p: test.p.value,
        edge_correction: kind,
        clark_evans: ClarkEvans {
            mean_m: nearest.mean_m,
            ratio: nearest.ratio,
            ratio_edge: nearest.ratio_edge,
            p: nearest.p.value,
        },
        simulations,
        meaning: Vec::new(),
        positions: places.iter().map(|&(x_m, y_m)| Spot { x_m, y_m }).collect(),
        cautions: Vec::new(),
    };
    found.meaning = vec![density(&found), clumping(&found), neighbours(&found)];
    found.cautions = cautions(&found);
    Ok(found)
}

/// Refuses so many positions that laying as many at random would take minutes.
fn affordable(places: usize, simulations: usize, corners: usize) -> Result<(), Error> {
    let each = places as f64 * (1.0 + corners as f64 / 200.0);
    let laid = each * simulations as f64;
    if HOTSPOTS_LAID.holds(laid) {
        return Ok(());
    }
    let what = format!(
        "{simulations} arrangements of {places} positions on a green of {corners} corners are too many: {}",
        HOTSPOTS_LAID.reason
    );
    let cure = format!(
        "Give {:.0} at most, or look at a part of the ground at a time.",
        (HOTSPOTS_LAID.end() / each).floor()
    );
    Err(Error::in_field("permutations", what, cure))
}

fn density(found: &Pattern) -> String {
    format!(
        "{} positions on {:.1} square metres: {:.2} a square metre.",
        found.n, found.area_m2, found.intensity_per_m2
    )
}

/// Which radii leave the envelope, and where it is left furthest, in widths of the envelope.
fn clumping(found: &Pattern) -> String {
    let p = found.p;
    if p > 0.05 {
        return format!(
            "Chance alone often puts positions as close together or as far apart ({}); that does not prove \
             that nothing draws them together.",
            p_value(p)
        );
    }
    let beyond = |i: usize| {
        let half = (found.high[i] - found.low[i]) / 2.0;
        let middle = f64::midpoint(found.high[i], found.low[i]);
        if half > 0.0 {
            (found.l[i] - middle) / half
        } else {
            0.0
        }
    };
    let furthest = (0..found.radii.len())
        .max_by(|&a, &b| beyond(a).abs().total_cmp(&beyond(b).abs()))
        .unwrap_or(0);
    let r = found.radii[furthest];
    let times = found.k[furthest] / (std::f64::consts::PI * r * r);
    let how = if beyond(furthest) > 0.0 {
        "closer together than chance puts them"
    } else {
        "further apart than chance puts them"
    };
    format!(
        "Positions lie {how} ({}), most clearly within {r:.2} m: there are {times:.2} times as many \
         others so near as at random.",
        p_value(p)
    )
}

fn neighbours(found: &Pattern) -> String {
    let near = &found.clark_evans;
    format!(
        "The nearest other position is {:.2} m away on average, {:.2} times what chance gives ({}).",
        near.mean_m,
        near.ratio_edge,
        p_value(near.p)
    )
}

fn cautions(found: &Pattern) -> Vec<Caution> {
    let mut all = Vec::new();
    if found.coincident > 0 {
        let text = format!(
            "{} positions share their place with another: if they were rounded to a grid, clumping at short \
             distances is of the rounding's making.",
            found.coincident
        );
        all.push(Caution::new("shared-places", text));
    }
    if found.n < FEW {
        let text = format!(
            "{} positions are few: only very tight clumps would show.",
            found.n
        );
        all.push(Caution::new("few-positions", text));
    }
    all
}
