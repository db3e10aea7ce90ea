//! The rings of a GeoJSON file, each with its part; every feature is one or is refused.

use geojson::{Feature, GeoJson, Geometry, GeometryValue, JsonValue, Position};

use super::refusals::Refusals;
use super::rings::Part;
use crate::Error;
use crate::text::names::{NAME, fault};

/// A ring of a file.
#[derive(Debug)]
pub(super) struct Piece<'a> {
    pub(super) part: Part,
    /// File, feature and ring.
    pub(super) place: String,
    pub(super) ring: &'a [Position],
}

/// Where a geometry stands, what it is part of, and what is found.
struct Search<'a, 'f> {
    place: String,
    part: Part,
    rings: usize,
    found: &'f mut Vec<Piece<'a>>,
    faults: &'f mut Refusals,
}

/// Every ring of the file.
///
/// # Errors
/// Every feature that is no polygon, or of no known part.
pub(super) fn pieces<'a>(file: &str, json: &'a GeoJson) -> Result<Vec<Piece<'a>>, Vec<Error>> {
    let (mut found, mut faults) = (Vec::new(), Refusals::new(file));
    match json {
        GeoJson::Geometry(geometry) => {
            let mut search = Search {
                place: file.to_owned(),
                part: Part::Edge,
                rings: 0,
                found: &mut found,
                faults: &mut faults,
            };
            search.geometry(geometry);
        }
        GeoJson::Feature(one) => feature(file.to_owned(), one, &mut found, &mut faults),
        GeoJson::FeatureCollection(all) => {
            for (one, number) in all.features.iter().zip(1..) {
                let place = format!("{file}: feature {number}");
                feature(place, one, &mut found, &mut faults);
            }
        }
    }
    if faults.is_empty() {
        Ok(found)
    } else {
        Err(faults.done())
    }
}

fn feature<'a>(
    place: String,
    feature: &'a Feature,
    found: &mut Vec<Piece<'a>>,
    faults: &mut Refusals,
) {
    let part = match part(feature, &place) {
        Ok(part) => part,
        Err(fault) => return faults.push(fault),
    };
    let Some(geometry) = &feature.geometry else {
        let cure = "Draw it as a polygon, or take the feature out.";
        return faults.push(Error::new(
            place,
            format!("{} has no geometry", part.name()),
            cure,
        ));
    };
    Search {
        place,
        part,
        rings: 0,
        found,
        faults,
    }
    .geometry(geometry);
}

/// What a feature is part of, by its properties `part` and `name`.
fn part(feature: &Feature, place: &str) -> Result<Part, Error> {
    let text = |key: &str| match feature.property(key) {
        None | Some(JsonValue::Null) => Ok(String::new()),
        Some(JsonValue::String(text)) => Ok(text.trim().to_owned()),
        Some(JsonValue::Number(number)) => Ok(number.to_string()),
        Some(_) => {
            let cure = "Write a word in quotation marks.";
            Err(Error::new(
                place,
                format!("the property `{key}` is no text"),
                cure,
            ))
        }
    };
    let (word, name) = (text("part")?, text("name")?);
    if let Some((what, cure)) = [&word, &name].into_iter().find_map(|t| fault(t, NAME)) {
        return Err(Error::new(place, what, cure));
    }
    match word.to_lowercase().as_str() {
        "" | "edge" => Ok(Part::Edge),
        "hole" => Ok(Part::Hole(name)),
        "zone" if !name.is_empty() => Ok(Part::Zone(name)),
        "zone" => {
            let cure = "Write its name in the property `name`.";
            Err(Error::new(place, "a zone has no name", cure))
        }
        _ => {
            let cure = "Write `edge`, `hole` or `zone` in the property `part`.";
            Err(Error::new(
                place,
                format!("`{word}` is no part of a green"),
                cure,
            ))
        }
    }
}

impl<'a> Search<'a, '_> {
    fn geometry(&mut self, geometry: &'a Geometry) {
        let kind = match &geometry.value {
            GeometryValue::Polygon { coordinates } => return self.polygon(coordinates),
            GeometryValue::MultiPolygon { coordinates } if !coordinates.is_empty() => {
                return coordinates.iter().for_each(|one| self.polygon(one));
            }
            GeometryValue::GeometryCollection { geometries } if !geometries.is_empty() => {
                return geometries.iter().for_each(|one| self.geometry(one));
            }
            other => other.type_name(),
        };
        let what = format!("{} is a {kind} and encloses no ground", self.part.name());
        self.refuse(what, "Draw it as a polygon, or take the feature out.");
    }

    /// The outer ring as the part, the inner rings of the green as holes.
    fn polygon(&mut self, rings: &'a [Vec<Position>]) {
        let Some((outer, inner)) = rings.split_first() else {
            let what = format!("{} is a polygon without a ring", self.part.name());
            return self.refuse(what, "Draw it as a polygon, or take the feature out.");
        };
        if !inner.is_empty() && self.part != Part::Edge {
            let what = format!("{} has a ring inside it", self.part.name());
            return self.refuse(
                what,
                "Draw it in pieces without rings inside; inside a hole leave the ring out.",
            );
        }
        self.add(self.part.clone(), outer);
        for (ring, number) in inner.iter().zip(1..) {
            self.add(Part::Hole(number.to_string()), ring);
        }
    }

    fn add(&mut self, part: Part, ring: &'a [Position]) {
        self.rings += 1;
        let place = format!("{}: ring {}", self.place, self.rings);
        self.found.push(Piece { part, place, ring });
    }

    fn refuse(&mut self, what: String, cure: &str) {
        self.faults.push(Error::new(&self.place, what, cure));
    }
}
