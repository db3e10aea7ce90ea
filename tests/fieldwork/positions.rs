//! Corners in WGS 84: files that map programs and receivers read.

use geographiclib_rs::{Geodesic, InverseGeodesic};
use quick_xml::Reader;
use quick_xml::events::Event;

use super::plain;
use crate::scratch::Scratch;

/// A court of about 40 m by 30 m at 52 degrees north.
const OUTLINE: &str = r#"{"type":"Polygon","coordinates":[[[-1.0,52.0],[-0.99942,52.0],[-0.99942,52.00027],[-1.0,52.00027],[-1.0,52.0]]]}"#;

fn packed() -> Scratch {
    let scratch = Scratch::empty();
    scratch.put("trial.toml", plain());
    scratch.put("outline.geojson", OUTLINE);
    for words in [["layout", ".", "--seed", "3"].as_slice(), &["pack", "."]] {
        let run = scratch.run(words);
        assert_eq!(run.code(), Some(0), "{}", run.err());
    }
    scratch
}

/// Geodesic distance, metres (Karney 2013).
fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    Geodesic::wgs84().inverse(a[1], a[0], b[1], b[0])
}

/// Sides of the plots of 4 m by 2 m on the ellipsoid. Seven decimals are a centimetre: each end is within 0.8 cm.
#[test]
fn plots_have_their_size_on_the_ellipsoid() {
    let scratch = packed();
    let text = scratch.read("pack/corners.geojson");
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    let mut plots = 0;
    let mut marks = Vec::new();
    for feature in json["features"].as_array().unwrap() {
        let at = |v: &serde_json::Value| [v[0].as_f64().unwrap(), v[1].as_f64().unwrap()];
        let geometry = &feature["geometry"];
        if geometry["type"] == "Point" {
            marks.push(at(&geometry["coordinates"]));
            continue;
        }
        let ring: Vec<[f64; 2]> = geometry["coordinates"][0]
            .as_array()
            .unwrap()
            .iter()
            .map(at)
            .collect();
        assert_eq!(ring.len(), 5);
        assert_eq!(ring[0], ring[4]);
        let mut sides: Vec<f64> = ring.windows(2).map(|w| apart(w[0], w[1])).collect();
        sides.sort_by(f64::total_cmp);
        for (side, wanted) in sides.iter().zip([2.0, 2.0, 4.0, 4.0]) {
            assert!((side - wanted).abs() < 0.017, "{sides:?}");
        }
        // RFC 7946, 3.1.6: the outer ring runs anticlockwise.
        let twice: f64 = ring
            .windows(2)
            .map(|w| w[0][0] * w[1][1] - w[1][0] * w[0][1])
            .sum();
        assert!(twice > 0.0);
        plots += 1;
    }
    assert_eq!((plots, marks.len()), (4, 2));
    let told = scratch.read("pack/pegging.csv");
    assert!(told.starts_with("plot,peg,from_p_m,from_q_m,along_m,offset_m,x_m,y_m,lon,lat,"));
    // The printed distance between the marks is that on the ground.
    let base: f64 = told
        .lines()
        .nth(2)
        .unwrap()
        .split(',')
        .nth(2)
        .unwrap()
        .parse()
        .unwrap();
    assert!((apart(marks[0], marks[1]) - base).abs() < 0.017, "{base}");
}

/// A waypoint for each mark and corner, in a document that is well formed, with latitude and longitude where they belong.
#[test]
fn waypoints_are_where_the_corners_are() {
    let scratch = packed();
    let text = scratch.read("pack/corners.gpx");
    let mut reader = Reader::from_str(&text);
    let (mut names, mut places) = (Vec::new(), Vec::new());
    let mut inside = false;
    loop {
        match reader.read_event().unwrap() {
            Event::Eof => break,
            Event::Start(tag) if tag.name().as_ref() == "wpt" => {
                let number = |key: &str| {
                    let value = tag.try_get_attribute(key).unwrap().unwrap().value;
                    value.parse::<f64>().unwrap()
                };
                places.push([number("lon"), number("lat")]);
            }
            Event::Start(tag) => inside = tag.name().as_ref() == "name",
            Event::Text(words) if inside => names.push(words.to_string()),
            Event::End(_) => inside = false,
            _ => {}
        }
    }
    assert_eq!(names.len(), 2 + 4 * 4);
    assert_eq!(names[..3], ["mark P", "mark Q", "1 near left"]);
    assert!(
        places
            .iter()
            .all(|[lon, lat]| (lon + 1.0).abs() < 0.01 && (lat - 52.0).abs() < 0.01),
        "{places:?}"
    );
    let geojson = scratch.read("pack/corners.geojson");
    assert!(
        geojson.contains(&format!("[{},{}]", places[2][0], places[2][1])),
        "{places:?}"
    );
}

#[test]
fn an_outline_in_metres_has_no_such_files() {
    let scratch = super::packed(&plain(), super::GREEN);
    let names: Vec<String> = scratch.files().into_iter().map(|(name, _)| name).collect();
    assert!(!names.iter().any(|n| n.contains("corners")), "{names:?}");
    assert!(names.contains(&"pack/pegging.csv".to_owned()));
}
