//! Outlines as GeoJSON (RFC 7946: WGS 84, longitude first).

use geojson::{Feature, GeoJson, Geometry, GeometryValue};
use halfgreen_analysis::results::Caution;

use super::faults::checked;
use super::rings::{Part, Ring};
use super::{LocalFrame, Outline};
use crate::Error;

/// Reads a `Polygon`, a `Feature` or a `FeatureCollection`.
///
/// The first polygon is the green, its inner rings are holes. In a collection a feature whose
/// property `part` is `hole` or `zone` is that, named by its property `name`. Degrees become metres
/// east and north of the middle of the green, kept in [`Outline::frame`]. Either winding is taken.
///
/// # Errors
/// Every fault found: no JSON, no polygon, a latitude beyond 90 degrees (numbers swapped), points
/// spread over more than a kilometre, and those of [`checked`](super::checked); corners are named by
/// ring and number.
pub fn read_geojson(file: &str, text: &str) -> Result<Outline, Vec<Error>> {
    let json = text
        .trim_start_matches('\u{feff}')
        .parse::<GeoJson>()
        .map_err(|e| {
            vec![Error::new(
                file,
                format!("this is no GeoJSON ({e})"),
                "Export the outline as GeoJSON, or write x_m,y_m as CSV.",
            )]
        })?;
    let mut found = Vec::new();
    match &json {
        GeoJson::Geometry(geometry) => found.extend(rings(geometry, &Part::Edge)),
        GeoJson::Feature(feature) => found.extend(feature_rings(feature)),
        GeoJson::FeatureCollection(all) => {
            found.extend(all.features.iter().flat_map(feature_rings));
        }
    }
    // Only the first polygon that claims to be the green is; a second one is a fault to name.
    let greens = found.iter().filter(|(part, _)| *part == Part::Edge).count();
    if greens != 1 {
        return Err(vec![Error::new(
            file,
            format!("{greens} polygons could be the green"),
            "Keep one polygon for the green; mark others with the property `part` as `hole` or `zone`.",
        )]);
    }
    let degrees: Vec<[f64; 2]> = found
        .iter()
        .filter(|(part, _)| *part == Part::Edge)
        .flat_map(|(_, corners)| corners.iter().copied())
        .collect();
    let frame = LocalFrame::about(&degrees, file).map_err(|e| vec![e])?;
    let mut repairs = Vec::new();
    let rings = found
        .into_iter()
        .enumerate()
        .map(|(ring, (part, mut corners))| {
            let mut metres = Ring::new(part);
            // RFC 7946 repeats the first corner at the end.
            if corners.len() > 1 && corners.first() == corners.last() {
                corners.pop();
            } else {
                repairs.push(Caution::new(
                    "ring-closed",
                    format!(
                        "Ring {} does not return to its first corner; it was closed by a straight line.",
                        ring + 1
                    ),
                ));
            }
            for (i, [lon, lat]) in corners.into_iter().enumerate() {
                let place = format!("{file}: ring {}, corner {}", ring + 1, i + 1);
                metres.push(frame.to_metres(lon, lat), place);
            }
            metres
        })
        .collect();
    checked(file, rings, Some(frame), repairs)
}

type Degrees = (Part, Vec<[f64; 2]>);

/// Rings of a feature, by its properties `part` and `name`.
fn feature_rings(feature: &Feature) -> Vec<Degrees> {
    let property = |key: &str| {
        let value = feature.property(key).and_then(|v| v.as_str());
        value.unwrap_or_default().to_owned()
    };
    let part = match property("part").as_str() {
        "hole" => Part::Hole(property("name")),
        "zone" => Part::Zone(property("name")),
        _ => Part::Edge,
    };
    let geometry = feature.geometry.as_ref();
    geometry.map_or_else(Vec::new, |g| rings(g, &part))
}

/// Outer ring as `part`, inner rings as holes; nothing for other geometries.
fn rings(geometry: &Geometry, part: &Part) -> Vec<Degrees> {
    let GeometryValue::Polygon { coordinates } = &geometry.value else {
        return Vec::new();
    };
    coordinates
        .iter()
        .enumerate()
        .map(|(i, ring)| {
            let part = if i == 0 {
                part.clone()
            } else {
                Part::Hole(i.to_string())
            };
            let corners: Vec<[f64; 2]> = ring
                .iter()
                .filter_map(|p| p.as_slice().first_chunk::<2>().copied())
                .collect();
            (part, corners)
        })
        .collect()
}
