//! Corners for map programs and hand-held receivers, where the outline is in WGS 84.

use geojson::{Feature, FeatureCollection, Geometry, GeometryValue, JsonObject, Position};
use maud::{Markup, PreEscaped, html};

use super::{Pegging, Place};
use crate::text::names::well_formed;

/// Plots as polygons and marks as points: a GeoJSON `FeatureCollection` (RFC 7946) with `green`, `plot` and `mark` as
/// properties; `None` where longitude and latitude are not known.
#[must_use]
pub fn corners_geojson(greens: &[Pegging]) -> Option<String> {
    let mut features = Vec::new();
    for green in greens {
        for mark in &green.marks {
            let at = position(&mark.place)?;
            features.push(feature(
                green,
                "mark",
                mark.name,
                GeometryValue::Point { coordinates: at },
            ));
        }
        for plot in &green.plots {
            let mut ring = plot
                .pegs
                .iter()
                .map(|peg| position(&peg.place))
                .collect::<Option<Vec<_>>>()?;
            ring.extend(ring.first().cloned());
            let coordinates = vec![ring];
            features.push(feature(
                green,
                "plot",
                &plot.plot,
                GeometryValue::Polygon { coordinates },
            ));
        }
    }
    // A member of its own (RFC 7946, 6.1), by which the file is known again.
    let mut made_by = JsonObject::new();
    made_by.insert("halfgreen".to_owned(), "plots and marks".into());
    let collection = FeatureCollection {
        bbox: None,
        features,
        foreign_members: Some(made_by),
    };
    Some(collection.to_string())
}

fn feature(green: &Pegging, what: &str, name: &str, geometry: GeometryValue) -> Feature {
    let mut properties = JsonObject::new();
    if let Some(green) = &green.green {
        properties.insert("green".to_owned(), green.as_str().into());
    }
    properties.insert(what.to_owned(), name.into());
    Feature {
        bbox: None,
        geometry: Some(Geometry::new(geometry)),
        id: None,
        properties: Some(properties),
        foreign_members: None,
    }
}

/// Longitude and latitude to seven decimals: a centimetre.
fn position(place: &Place) -> Option<Position> {
    let seven = |degrees: f64| (degrees * 1e7).round() / 1e7;
    Some(vec![seven(place.lon?), seven(place.lat?)].into())
}

/// Marks and corners as waypoints of a GPX 1.1 file; `None` where longitude and latitude are not known.
#[must_use]
pub fn corners_gpx(greens: &[Pegging]) -> Option<String> {
    let mut points: Vec<(String, Place)> = Vec::new();
    for green in greens {
        let on = green
            .green
            .as_ref()
            .map_or_else(String::new, |name| format!("{name} "));
        for mark in &green.marks {
            points.push((format!("{on}mark {}", mark.name), mark.place));
        }
        for plot in &green.plots {
            let pegs = plot.pegs.iter();
            points.extend(pegs.map(|peg| (format!("{on}{} {}", plot.plot, peg.corner), peg.place)));
        }
    }
    let waypoints = points
        .iter()
        .map(|(name, at)| waypoint(name, at))
        .collect::<Option<Vec<_>>>()?;
    let document = html! {
        (PreEscaped("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"))
        gpx version="1.1" creator="halfgreen" xmlns="http://www.topografix.com/GPX/1/1" {
            @for point in &waypoints { (PreEscaped("\n")) (point) }
            (PreEscaped("\n"))
        }
        (PreEscaped("\n"))
    };
    Some(well_formed(document.into_string()))
}

fn waypoint(name: &str, at: &Place) -> Option<Markup> {
    let (lon, lat) = (at.lon?, at.lat?);
    Some(html! { wpt lat=(format!("{lat:.7}")) lon=(format!("{lon:.7}")) { name { (name) } } })
}
