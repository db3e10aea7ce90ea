//! The readers of outlines, and what must hold of an outline that they take.

use halfgreen::Error;
use halfgreen::area::{Outline, read_csv, read_geojson, read_gpx, read_tape};
use halfgreen::design::plots::{Request, Shape, place};
use halfgreen::scouting::grid::{Density, GridPlan, Pattern, grid};

use super::Door;
use crate::design::trial::KIDNEY;

pub(super) const DOORS: [Door; 4] = [
    Door {
        name: "outline.csv",
        cost: 1,
        seeds: tables,
        enter: |text| sound(read_csv("outline.csv", text)),
    },
    Door {
        name: "tape.csv",
        cost: 1,
        seeds: tapes,
        enter: |text| sound(read_tape("tape.csv", text)),
    },
    Door {
        name: "outline.geojson",
        cost: 1,
        seeds: maps,
        enter: |text| sound(read_geojson("outline.geojson", text)),
    },
    Door {
        name: "walk.gpx",
        cost: 1,
        seeds: walks,
        enter: |text| sound(read_gpx("walk.gpx", text, 0.05)),
    },
];

fn tables() -> Vec<String> {
    vec![
        KIDNEY.to_owned(),
        "\u{feff}x_m;y_m\r\n0;0\r\n0;10,5\r\n10;10,5\r\n10;0\r\n0;0\r\n".to_owned(),
        "x_m,y_m,part\n400000,5800000,\n400030,5800000,\n400030,5800020,\n400000,5800020,\n\
         400010,5800005,\"hole old, deep\"\n400012,5800005,\"hole old, deep\"\n400012,5800009,\"hole old, deep\"\n"
            .to_owned(),
    ]
}

fn tapes() -> Vec<String> {
    vec![
        "distance_m,left_m,right_m\n0,0,0\n4,3.5,4\n8,5,5\n12,4,6\n16,,3\n20,0,0\n".to_owned(),
        "distance_m\tleft_m\tright_m\n0\t4\t-2\n10\t5\t-1\n20\t4\t-2\n".to_owned(),
    ]
}

/// A ring of four corners, in degrees.
fn square(from: f64, to: f64) -> String {
    let (w, e, s, n) = (-2.8 + from, -2.8 + to, 56.3 + from, 56.3 + to);
    format!("[[{w},{s}],[{e},{s}],[{e},{n}],[{w},{n}],[{w},{s}]]")
}

fn maps() -> Vec<String> {
    let polygon = |rings: &str| format!("{{\"type\":\"Polygon\",\"coordinates\":[{rings}]}}");
    let feature = |part: &str, geometry: &str| {
        format!(
            "{{\"type\":\"Feature\",\"properties\":{{\"part\":{part},\"name\":\"wet\"}},\"geometry\":{geometry}}}"
        )
    };
    let green = feature(
        "null",
        &polygon(&[square(0.0, 0.0003), square(0.0001, 0.00012)].join(",")),
    );
    let holes = format!(
        "{{\"type\":\"MultiPolygon\",\"coordinates\":[[{}],[{}]]}}",
        square(0.00005, 0.00008),
        square(0.00006, 0.00009)
    );
    let zone = format!(
        "{{\"type\":\"GeometryCollection\",\"geometries\":[{}]}}",
        polygon(&square(-0.0001, 0.0002))
    );
    let all = [
        green,
        feature("\"hole\"", &holes),
        feature("\"zone\"", &zone),
    ]
    .join(",\n");
    vec![
        polygon(
            "[[179.9999,52,3.5],[-179.9999,52,3.5],[-179.9999,52.0002,4],[179.9999,52.0002,4]]",
        ),
        format!("{{\"type\":\"FeatureCollection\",\n\"features\":[{all}]}}"),
    ]
}

/// Walks round a circle of 11 m, once and a bit more, of few points and of many.
fn walks() -> Vec<String> {
    let walk = |number: u32| {
        let point = |i: u32| {
            let t = 6.6 * f64::from(i) / f64::from(number);
            let (lat, lon) = (-33.9 + 1e-4 * t.sin(), 18.4 + 1.2e-4 * t.cos());
            format!("<trkpt lat=\"{lat:.7}\" lon=\"{lon:.7}\"><ele>{i}</ele></trkpt>\n")
        };
        let points: String = (0..number).map(point).collect();
        format!(
            "<?xml version=\"1.0\"?>\n<gpx version=\"1.1\"><metadata/><trk><name>9th &amp; fringe</name><trkseg>\n{points}\
             </trkseg></trk></gpx>\n"
        )
    };
    vec![walk(12), walk(60)]
}

/// Whether an outline was taken; if so, everything measured on it must be sound, and plots and sample points on
/// it must lie on it.
fn sound(read: Result<Outline, Vec<Error>>) -> bool {
    let outline = match read {
        Ok(outline) => outline,
        Err(faults) => {
            assert!(!faults.is_empty() && faults.len() < 1000);
            return false;
        }
    };
    let area = outline.area_m2();
    let holes: f64 = outline.ground.interiors().iter().map(area_of).sum();
    assert!(area > 0.0 && (area_of(outline.ground.exterior()) - holes - area).abs() < 1e-6 * area);
    assert!(outline.perimeter_m().is_finite());
    let ask = GridPlan {
        pattern: Pattern::Square,
        density: Density::Points(5),
        margin_m: 0.5,
        seed: 1,
    };
    if let Ok(points) = grid(&outline, &ask) {
        assert!(points.points.iter().all(|p| outline.contains(p.x_m, p.y_m)));
    }
    let ask = Request {
        length_m: 2.0,
        width_m: 1.5,
        guard_m: 0.3,
        angle_deg: None,
        blocks: 3,
        shape: Shape::Compact(2),
        advise: true,
    };
    for zone in std::iter::once(None).chain(outline.zones.iter().map(Some)) {
        if let Ok(found) = place(&outline, zone, &ask) {
            let mut sites = found.sites.iter();
            assert!(sites.all(|s| outline.contains(s.x_m, s.y_m)
                && outline.distance_to_edge_m(s.x_m, s.y_m) > 1.04));
        }
    }
    true
}

/// Area inside a ring, by the shoelace formula about its first corner.
fn area_of(ring: &geo::LineString<f64>) -> f64 {
    let first = ring.0[0];
    let twice: f64 = ring
        .lines()
        .map(|l| {
            (l.start.x - first.x) * (l.end.y - first.y)
                - (l.end.x - first.x) * (l.start.y - first.y)
        })
        .sum();
    twice.abs() / 2.0
}
