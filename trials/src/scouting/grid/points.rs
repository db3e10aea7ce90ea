//! The command: pattern to numbered points.

use serde::{Deserialize, Serialize};

use super::left_out::{LeftOut, left_out};
use super::pattern::{Ground, random, spaced};
use super::route::{route_length, short_route};
use crate::Error;
use crate::area::Outline;
use crate::design::times::times;

/// Most points laid; more is a slip of the spacing.
const MOST: usize = 100_000;

/// How points lie to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Pattern {
    /// A square net.
    Square,
    /// A net of equilateral triangles.
    Triangular,
    /// Anywhere, every place alike.
    Random,
    /// One at random in each cell of a square net.
    Stratified,
    /// Along a W across the green.
    Zigzag,
}

/// How many points.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Density {
    /// About this many (exactly, for [`Pattern::Random`]).
    Points(usize),
    /// This far apart, metres.
    Spacing(f64),
}

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GridPlan {
    /// How points lie.
    pub pattern: Pattern,
    /// How many.
    pub density: Density,
    /// Least distance from the edge and holes, metres.
    pub margin_m: f64,
    /// Seed of the random start.
    pub seed: u64,
}

/// A sample point.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GridPoint {
    /// Number along the walk, from 1.
    pub id: usize,
    /// East of the origin, metres.
    pub x_m: f64,
    /// North of the origin, metres.
    pub y_m: f64,
    /// Longitude, degrees, where the outline came with one.
    pub lon: Option<f64>,
    /// Latitude, degrees.
    pub lat: Option<f64>,
}

/// Sample points and the walk.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Grid {
    /// Area of the green less its holes, square metres.
    pub area_m2: f64,
    /// Length of its edge, metres.
    pub perimeter_m: f64,
    /// Points in walking order.
    pub points: Vec<GridPoint>,
    /// Spacing used, metres; for random points the side of the square each stands for.
    pub spacing_m: f64,
    /// Length of the walk through all points, metres.
    pub route_length_m: f64,
    /// Seed of the random start.
    pub seed: u64,
    /// What a zigzag leaves out; absent from patterns that come everywhere.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left_out: Option<LeftOut>,
}

/// Lays a sample grid.
///
/// # Errors
/// A spacing, number or margin that is none, a margin that leaves no ground, or more than 100 000
/// points.
pub fn grid(outline: &Outline, plan: &GridPlan) -> Result<Grid, Error> {
    sane(outline, plan)?;
    let ground = Ground::new(outline, plan.margin_m, plan.seed)?;
    let (places, spacing_m) = match (plan.pattern, plan.density) {
        (Pattern::Random, density) => {
            let number = match density {
                Density::Points(number) => number,
                Density::Spacing(side) => times(outline.area_m2(), side * side).max(1),
            };
            let side = (outline.area_m2() / number as f64).sqrt();
            (random(&ground, number)?, side)
        }
        (pattern, Density::Spacing(spacing)) => (spaced(&ground, pattern, spacing), spacing),
        (pattern, Density::Points(number)) => numbered(&ground, outline, pattern, number),
    };
    if places.is_empty() {
        return Err(Error::new(
            "grid",
            "no point lies on the green at this spacing and margin",
            "Choose a narrower margin or spacing.",
        ));
    }
    let order = short_route(&places);
    let walked: Vec<[f64; 2]> = order.iter().map(|&i| places[i]).collect();
    let points = numbered_points(outline, &walked);
    let zigzag = plan.pattern == Pattern::Zigzag;
    Ok(Grid {
        left_out: zigzag
            .then(|| left_out(outline, &ground.clearance, &points))
            .flatten(),
        area_m2: outline.area_m2(),
        perimeter_m: outline.perimeter_m(),
        route_length_m: route_length(&walked),
        points,
        spacing_m,
        seed: plan.seed,
    })
}

fn numbered_points(outline: &Outline, walked: &[[f64; 2]]) -> Vec<GridPoint> {
    walked
        .iter()
        .enumerate()
        .map(|(i, &[x_m, y_m])| {
            let degrees = outline.frame.map(|f| f.to_degrees(x_m, y_m));
            GridPoint {
                id: i + 1,
                x_m,
                y_m,
                lon: degrees.map(|d| d[0]),
                lat: degrees.map(|d| d[1]),
            }
        })
        .collect()
}

/// The spacing whose number of points comes nearest to the one asked for, the wider of two equals.
fn numbered(
    ground: &Ground<'_>,
    outline: &Outline,
    pattern: Pattern,
    number: usize,
) -> (Vec<[f64; 2]>, f64) {
    const DOUBLINGS: usize = 8;
    const HALVINGS: usize = 14;
    const TRIES: usize = 100;
    // From the area, or for a zigzag from its length.
    let guess = match pattern {
        Pattern::Zigzag => 4.0 * outline.perimeter_m() / 3.0 / number as f64,
        _ => (outline.area_m2() / number as f64).sqrt(),
    };
    let mut best: Option<(Vec<[f64; 2]>, f64)> = None;
    let mut consider = |spacing: f64| {
        let points = spaced(ground, pattern, spacing);
        let found = points.len();
        let off = found.abs_diff(number);
        if best
            .as_ref()
            .is_none_or(|(b, _)| off < b.len().abs_diff(number))
        {
            best = Some((points, spacing));
        }
        found
    };
    // The number falls as the spacing grows, nearly steadily: bracket it, then halve the bracket.
    let (mut narrow, mut wide) = (guess, guess * 2.0);
    for _ in 0..DOUBLINGS {
        if consider(narrow) >= number {
            break;
        }
        (narrow, wide) = (narrow / 2.0, narrow);
    }
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(narrow, wide);
        if consider(middle) >= number {
            narrow = middle;
        } else {
            wide = middle;
        }
    }
    // A small net moves in jumps that halving may miss; trying spacings about its end is cheap.
    if number <= 500 {
        for i in 0..=TRIES {
            let _ = consider(narrow * (0.9 + 0.2 * i as f64 / TRIES as f64));
        }
    }
    best.unwrap_or_default()
}

fn sane(outline: &Outline, plan: &GridPlan) -> Result<(), Error> {
    let refuse = |field: &str, what: String, cure: &str| Err(Error::in_field(field, what, cure));
    if !plan.margin_m.is_finite() || plan.margin_m < 0.0 {
        return refuse(
            "margin",
            format!("{} m is no margin", plan.margin_m),
            "Give metres, 0 or more.",
        );
    }
    let points = match plan.density {
        Density::Points(number) => number as f64,
        Density::Spacing(spacing) if spacing.is_finite() && spacing > 0.0 => {
            outline.area_m2() / (spacing * spacing)
        }
        Density::Spacing(spacing) => {
            return refuse(
                "spacing",
                format!("{spacing} m is no spacing"),
                "Give metres, above 0.",
            );
        }
    };
    if points == 0.0 {
        return refuse(
            "points",
            "0 points are no grid".to_owned(),
            "Ask for 1 or more.",
        );
    }
    if points > MOST as f64 {
        return refuse(
            "spacing",
            format!("this asks for about {points:.0} points"),
            "Choose a wider spacing; 100000 points are the most.",
        );
    }
    Ok(())
}
