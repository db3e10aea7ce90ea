//! Outlines: measures against formulas, the projection against geodesics, faults named.

use halfgreen::area::{
    LocalFrame, Part, checked, ellipse, read_csv, read_geojson, read_gpx, read_tape, rectangle,
};

use super::trial::{KIDNEY, green, ring};

/// Area of an ellipse by its diameters is pi a b / 4; the 720-corner polygon falls short by
/// sin(2 pi / n) / (2 pi / n), 1.3e-5.
#[test]
fn areas_and_perimeters_follow_the_formulas() {
    let court = green(&rectangle(25.0, 23.0));
    assert_eq!(court.area_m2(), 575.0);
    assert_eq!(court.perimeter_m(), 96.0);
    let oval = green(&ellipse(30.0, 20.0, 720));
    let formula = std::f64::consts::PI * 30.0 * 20.0 / 4.0;
    assert!((oval.area_m2() / formula - 1.0).abs() < 1.4e-5);
    // Ramanujan's second formula (1914), relative error below 1e-8 at this eccentricity.
    let (a, b) = (15.0_f64, 10.0_f64);
    let h = ((a - b) / (a + b)).powi(2);
    let round = std::f64::consts::PI * (a + b) * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
    assert!((oval.perimeter_m() / round - 1.0).abs() < 1e-5);
}

/// A rectangle drawn in by its margin is a smaller rectangle; a margin that leaves nothing is refused.
#[test]
fn an_inset_rectangle_is_a_rectangle() {
    use geo::Area;
    let court = green(&rectangle(25.0, 23.0));
    let inner = court.inset(1.5).unwrap().unsigned_area();
    assert!((inner - 22.0 * 20.0).abs() < 1e-6);
    assert!(
        court
            .inset(11.6)
            .unwrap_err()
            .what
            .contains("leaves nothing")
    );
    assert!(court.inset(-1.0).is_err());
}

/// Distances in the local plane against Karney's geodesics (2013, *J. Geodesy* 87, 43-55) as
/// implemented by geographiclib: below 1 mm for any two points within 200 m of the origin.
#[test]
fn the_local_plane_is_true_to_a_millimetre_over_200_m() {
    use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};
    let earth = Geodesic::wgs84();
    let mut worst: f64 = 0.0;
    for lat in [-80.0, -33.0, 0.0, 10.0, 45.0, 52.5, 60.0, 70.0, 80.0] {
        let frame = LocalFrame { lon: 5.999, lat };
        let mut points = Vec::new();
        for bearing in (0..360).step_by(30) {
            for far in [50.0, 200.0] {
                let (plat, plon): (f64, f64) =
                    earth.direct(lat, frame.lon, f64::from(bearing), far);
                points.push((plon, plat));
            }
        }
        for &(lon1, lat1) in &points {
            for &(lon2, lat2) in &points {
                let true_m: f64 = earth.inverse(lat1, lon1, lat2, lon2);
                let [x1, y1] = frame.to_metres(lon1, lat1);
                let [x2, y2] = frame.to_metres(lon2, lat2);
                worst = worst.max(((x2 - x1).hypot(y2 - y1) - true_m).abs());
            }
            let [x, y] = frame.to_metres(lon1, lat1);
            let [lon, lat] = frame.to_degrees(x, y);
            let [x2, y2] = frame.to_metres(lon, lat);
            assert!((x - x2).hypot(y - y2) < 1e-6);
            assert!((lon - lon1).abs() < 1e-11 && (lat - lat1).abs() < 1e-11);
        }
    }
    assert!(worst < 1e-3, "worst error {worst} m");
}

#[test]
fn a_kidney_with_zones_and_a_hole_reads() {
    let outline = read_csv("outline.csv", KIDNEY).unwrap();
    assert_eq!(outline.zones.len(), 3);
    assert_eq!(outline.ground.interiors().len(), 1);
    assert_eq!(outline.zone_of(5.0, 10.0), Some("wet"));
    assert!(!outline.contains(16.0, 18.5));
}

#[test]
fn spreadsheet_habits_are_tolerated_and_slips_repaired() {
    let text = "\u{feff}x_m;y_m\r\n0;0\r\n0;10,5\r\n10;10,5\r\n10;0\r\n0;0\r\n";
    let outline = read_csv("outline.csv", text).unwrap();
    assert_eq!(outline.area_m2(), 105.0);
    let codes: Vec<&str> = outline.repairs.iter().map(|r| r.code).collect();
    assert_eq!(codes, ["closing-corner-dropped", "clockwise-turned"]);
}

/// Every fault is named with its place, all at once.
#[test]
fn faults_name_their_place() {
    let faults = |text: &str| -> Vec<String> {
        read_csv("o.csv", text)
            .unwrap_err()
            .iter()
            .map(ToString::to_string)
            .collect()
    };
    let two = faults("x_m,y_m\n0,zero\n1,\n5,5\n");
    assert_eq!(two.len(), 2);
    assert!(two[0].starts_with("o.csv:2:2: `zero` is not a number"));
    assert!(two[1].starts_with("o.csv:3:2: `y_m` is empty"));
    assert!(faults("x,y_m\n1,2\n")[0].contains("no column `x_m`. Did you mean `x`?"));
    assert!(faults("east,y_m\n1,2\n")[0].contains("no column `x_m`. Known here: east, y_m."));
    assert!(faults("x_m,y_m\n")[0].starts_with("o.csv:1:1: there is a header but no line below"));
    assert!(faults("")[0].contains("empty"));
    assert!(faults("x_m,y_m\n0,0\n1,1\n")[0].contains("needs three"));
    assert!(faults("x_m,y_m\n0,0\n10,10\n10,0\n0,10\n")[0].contains("crosses"));
    assert!(faults("x_m,y_m\n0,0\n5,0\n10,0\n")[0].contains("crosses"));
    assert!(faults("x_m,y_m\n0,0\n10,0\n10,10\n5,5\n0,10\n5,5\n")[0].contains("already given"));
    let degrees = "x_m,y_m\n-2.80251,56.34301\n-2.80221,56.34301\n-2.80221,56.34321\n";
    assert!(faults(degrees)[0].contains("degrees"));
    assert!(faults("x_m,y_m\n0,0\n10000,0\n10000,10000\n")[0].contains("wider than any green"));
    let zones = "x_m,y_m\n699990,5800000\n300010,5800010\n300012,5800030\n699990,5800030\n";
    assert!(faults(zones)[0].contains("wider than any green"));
    let far = faults("x_m,y_m\n0,0\n1e300,0\n1e300,1e300\n");
    assert!(
        far[0].len() < 200 && far[0].contains("1e300 m"),
        "{}",
        far[0]
    );
}

#[test]
fn a_swapped_corner_is_named() {
    let far =
        "x_m,y_m\n350000,5800000\n350020,5800000\n5800020,350020\n350000,5800020\n350010,5800025\n";
    let faults = read_csv("o.csv", far).unwrap_err();
    assert!(
        faults[0].what.contains("would lie among them"),
        "{}",
        faults[0]
    );
    assert!(faults[0].place.starts_with("o.csv:4"));
    let near = "x_m,y_m\n0,0\n10,0\n20,2\n22,8\n15,20\n3,22\n0,12\n";
    assert!(read_csv("o.csv", near).is_ok());
    let swapped = near.replace("22,8", "8,22");
    let faults = read_csv("o.csv", &swapped).unwrap_err();
    assert!(faults[0].cure.contains("look swapped"), "{}", faults[0]);
}

#[test]
fn a_zone_off_the_green_is_refused() {
    let rings = vec![
        ring(Part::Edge, &rectangle(10.0, 10.0)),
        ring(
            Part::Zone("wet".into()),
            &[[50.0, 50.0], [60.0, 50.0], [60.0, 60.0]],
        ),
    ];
    let faults = checked("o.csv", rings, None, Vec::new()).unwrap_err();
    assert!(
        faults[0]
            .what
            .contains("the zone wet lies wholly off the green")
    );
}

const WALK: &str = "<?xml version=\"1.0\"?><gpx version=\"1.1\"><trk><trkseg>";

/// A court of 0.0003 by 0.0002 degrees at 56.3 north, as GeoJSON and as a walk that overruns its
/// start; its sides from Karney's geodesics.
#[test]
fn degrees_become_metres() {
    use geographiclib_rs::{Geodesic, InverseGeodesic};
    let court = [
        [-2.8, 56.3],
        [-2.7997, 56.3],
        [-2.7997, 56.3002],
        [-2.8, 56.3002],
    ];
    let earth = Geodesic::wgs84();
    let side = |a: [f64; 2], b: [f64; 2]| -> f64 { earth.inverse(a[1], a[0], b[1], b[0]) };
    let area = side(court[0], court[1]) * side(court[1], court[2]);
    let ring = "[[-2.8,56.3],[-2.7997,56.3],[-2.7997,56.3002],[-2.8,56.3002],[-2.8,56.3]]";
    let json = format!("{{\"type\":\"Polygon\",\"coordinates\":[{ring}]}}");
    let outline = read_geojson("o.geojson", &json).unwrap();
    // Opposite sides differ by 5e-6 of their length, as meridians converge.
    assert!((outline.area_m2() / area - 1.0).abs() < 1e-5);
    assert!(outline.frame.is_some() && outline.repairs.is_empty());

    let mut walk = String::from(WALK);
    for lap in 0..5 {
        for step in 0..10 {
            let (a, b) = (court[lap % 4], court[(lap + 1) % 4]);
            let at = |axis: usize| a[axis] + (b[axis] - a[axis]) * f64::from(step) / 10.0;
            let point = format!("<trkpt lat=\"{:.9}\" lon=\"{:.9}\"/>", at(1), at(0));
            walk += &point;
        }
    }
    walk += "</trkseg></trk></gpx>";
    let outline = read_gpx("walk.gpx", &walk, 0.2).unwrap();
    assert!((outline.area_m2() / area - 1.0).abs() < 1e-4);
    let codes: Vec<&str> = outline.repairs.iter().map(|r| r.code).collect();
    assert!(codes.contains(&"walk-cut-at-start") && codes.contains(&"track-simplified"));
}

#[test]
fn collections_carry_holes_and_zones() {
    let ring = |a: f64, b: f64| {
        let (w, e, s, n) = (-2.8 + a, -2.8 + b, 56.3 + a, 56.3 + b);
        format!("[[[{w},{s}],[{e},{s}],[{e},{n}],[{w},{n}],[{w},{s}]]]")
    };
    let feature = |part: &str, a: f64, b: f64| {
        let at = ring(a, b);
        format!(
            "{{\"type\":\"Feature\",\"properties\":{{\"part\":\"{part}\",\"name\":\"wet\"}},\
             \"geometry\":{{\"type\":\"Polygon\",\"coordinates\":{at}}}}}"
        )
    };
    let json = format!(
        "{{\"type\":\"FeatureCollection\",\"features\":[{},{},{}]}}",
        feature("", 0.0, 0.0003),
        feature("hole", 0.0001, 0.00012),
        feature("zone", 0.0, 0.00015)
    );
    let outline = read_geojson("o.geojson", &json).unwrap();
    assert_eq!(outline.ground.interiors().len(), 1);
    assert_eq!(outline.zones[0].name, "wet");
}

#[test]
fn faulty_degrees_are_named() {
    let fault = |text: &str| read_geojson("o.geojson", text).unwrap_err()[0].to_string();
    assert!(fault("{").contains("no GeoJSON"));
    assert!(fault("{\"type\":\"Point\",\"coordinates\":[1,2]}").contains("is a Point"));
    let swapped =
        "{\"type\":\"Polygon\",\"coordinates\":[[[51.5,-120.1],[51.6,-120.1],[51.6,-120.2]]]}";
    assert!(fault(swapped).contains("no longitude and latitude"));
    let one =
        "{\"type\":\"Polygon\",\"coordinates\":[[[-2.8,56.3],[-2.7997,56.3],[56.3002,-2.7997]]]}";
    assert!(fault(one).contains("wider than any green"));
    let walk = |text: &str| read_gpx("walk.gpx", text, 0.2).unwrap_err()[0].to_string();
    assert!(walk("<gpx></gpx>").contains("no track points"));
    assert!(walk("<gpx><trkpt lat='x' lon='1'/></gpx>").contains("track point 1"));
    assert!(walk("<gpx><trk></gpx>").contains("walk.gpx:1"));
}

/// A green astride the date line, and one across the edge of two map zones, are whole.
#[test]
fn map_edges_do_not_tear_a_green() {
    for lon in [180.0, 6.0] {
        let (w, e) = (
            lon - 0.0001,
            lon + 0.0001 - if lon > 179.0 { 360.0 } else { 0.0 },
        );
        let json = format!(
            "{{\"type\":\"Polygon\",\"coordinates\":[[[{w},52],[{e},52],[{e},52.0002],[{w},52.0002]]]}}"
        );
        let outline = read_geojson("o.geojson", &json).unwrap();
        assert!(
            (250.0..350.0).contains(&outline.area_m2()),
            "{}",
            outline.area_m2()
        );
    }
}

/// Offsets of 4 m and 6 m at 0, 10 and 20 m along a string: a court of 20 m by 10 m.
#[test]
fn tape_offsets_make_an_outline() {
    let text = "distance_m,left_m,right_m\n0,4,6\n10,4,6\n20,4,6\n";
    let outline = read_tape("tape.csv", text).unwrap();
    assert_eq!(outline.area_m2(), 200.0);
    let diamond = "distance_m,left_m,right_m\n0,0,0\n10,5,5\n20,0,0\n";
    assert_eq!(read_tape("tape.csv", diamond).unwrap().area_m2(), 100.0);
    let bad = "distance_m,left_m,right_m\n0,4,6\n0,-9,2\nx,1,1\n";
    let faults = read_tape("tape.csv", bad).unwrap_err();
    assert_eq!(faults.len(), 3);
    assert!(faults[1].place == "tape.csv:3:2" && faults[2].place == "tape.csv:4:1");
}
