//! Sample points as files and as tape instructions.

use geojson::{Feature, FeatureCollection, Geometry, GeometryValue, JsonObject};
use serde::Serialize;

use super::{Grid, GridPoint};
use crate::area::Outline;

/// Points as CSV: `id,x_m,y_m`, with `lon,lat` where known; metres to the centimetre, degrees to
/// seven decimals (a centimetre).
#[must_use]
pub fn points_csv(grid: &Grid) -> String {
    let known = grid.points.iter().all(|p| p.lon.is_some());
    let head = if known {
        "id,x_m,y_m,lon,lat\n"
    } else {
        "id,x_m,y_m\n"
    };
    let lines = grid.points.iter().map(|p| match (p.lon, p.lat) {
        (Some(lon), Some(lat)) => {
            format!("{},{:.2},{:.2},{lon:.7},{lat:.7}\n", p.id, p.x_m, p.y_m)
        }
        _ => format!("{},{:.2},{:.2}\n", p.id, p.x_m, p.y_m),
    });
    std::iter::once(head.to_owned()).chain(lines).collect()
}

/// Points as a GeoJSON `FeatureCollection` in WGS 84 (RFC 7946) with `id`, `x_m` and `y_m` as
/// properties; `None` where longitude and latitude are not known.
#[must_use]
pub fn points_geojson(grid: &Grid) -> Option<String> {
    let features: Option<Vec<Feature>> = grid.points.iter().map(feature).collect();
    // A member of its own (RFC 7946, 6.1), by which the file is known again.
    let mut made_by = JsonObject::new();
    made_by.insert("halfgreen".to_owned(), "sample points".into());
    let collection = FeatureCollection {
        bbox: None,
        features: features?,
        foreign_members: Some(made_by),
    };
    Some(collection.to_string())
}

fn feature(point: &GridPoint) -> Option<Feature> {
    let (lon, lat) = (point.lon?, point.lat?);
    let seven = |degrees: f64| (degrees * 1e7).round() / 1e7;
    let mut properties = JsonObject::new();
    properties.insert("id".to_owned(), point.id.into());
    properties.insert("x_m".to_owned(), centimetres(point.x_m).into());
    properties.insert("y_m".to_owned(), centimetres(point.y_m).into());
    let geometry = Geometry::new(GeometryValue::Point {
        coordinates: vec![seven(lon), seven(lat)].into(),
    });
    Some(Feature {
        bbox: None,
        geometry: Some(geometry),
        id: None,
        properties: Some(properties),
        foreign_members: None,
    })
}

/// A point by tape: along the string, then square to it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TapeLine {
    /// Number of the point.
    pub id: usize,
    /// Distance along the string from its western end, metres.
    pub along_m: f64,
    /// Distance north of the string, metres.
    pub offset_m: f64,
}

/// Tape measures of the points from a string along the southern side of the box round the green,
/// starting at its south-west corner.
#[must_use]
pub fn tape_lines(outline: &Outline, points: &[GridPoint]) -> Vec<TapeLine> {
    let (low, _) = outline.bounds();
    points
        .iter()
        .map(|p| TapeLine {
            id: p.id,
            along_m: centimetres(p.x_m - low[0]),
            offset_m: centimetres(p.y_m - low[1]),
        })
        .collect()
}

/// The same in words, for people with tape and string.
#[must_use]
pub fn tape_text(outline: &Outline, lines: &[TapeLine]) -> String {
    let (low, high) = outline.bounds();
    let head = format!(
        "Stretch a string of {:.2} m from west to east so that the green's southernmost point just \
         touches it and its westernmost point lies straight above the string's beginning \
         (the place x = {:.2}, y = {:.2} of the outline). Square off with a 3-4-5 triangle.\n",
        high[0] - low[0],
        low[0],
        low[1]
    );
    let each = lines.iter().map(|line| {
        format!(
            "Point {}: {:.2} m along the string, then {:.2} m north.\n",
            line.id, line.along_m, line.offset_m
        )
    });
    std::iter::once(head).chain(each).collect()
}

fn centimetres(metres: f64) -> f64 {
    (metres * 100.0).round() / 100.0 + 0.0
}
