//! What each form of an outline may hold: every feature is used or refused with its place, every number has a range.

use halfgreen::area::{Outline, read_csv, read_geojson, read_gpx, read_tape};

/// Closed ring of degrees about a green's corner, some metres to a ten-thousandth.
fn square(from: f64, to: f64) -> String {
    let (w, e, s, n) = (-2.8 + from, -2.8 + to, 56.3 + from, 56.3 + to);
    format!("[[{w},{s}],[{e},{s}],[{e},{n}],[{w},{n}],[{w},{s}]]")
}

fn polygon(from: f64, to: f64) -> String {
    format!(
        "{{\"type\":\"Polygon\",\"coordinates\":[{}]}}",
        square(from, to)
    )
}

fn feature(properties: &str, geometry: &str) -> String {
    format!("{{\"type\":\"Feature\",\"properties\":{properties},\"geometry\":{geometry}}}")
}

/// A green with one more feature.
fn with(properties: &str, geometry: &str) -> Result<Outline, String> {
    let green = feature("{}", &polygon(0.0, 0.0003));
    let other = feature(properties, geometry);
    let json = format!("{{\"type\":\"FeatureCollection\",\"features\":[{green},{other}]}}");
    read_geojson("o.geojson", &json).map_err(|faults| faults[0].to_string())
}

const HOLE: &str = "{\"part\":\"hole\",\"name\":\"bunker\"}";

/// Whatever form a hole has, its ground is no ground.
#[test]
fn holes_of_every_form_are_used() {
    let (a, b) = (square(0.00005, 0.0001), square(0.00015, 0.0002));
    let many = format!("{{\"type\":\"MultiPolygon\",\"coordinates\":[[{a}],[{b}]]}}");
    let both = [polygon(0.00005, 0.0001), polygon(0.00015, 0.0002)].join(",");
    let collection = format!("{{\"type\":\"GeometryCollection\",\"geometries\":[{both}]}}");
    let nested = format!("{{\"type\":\"GeometryCollection\",\"geometries\":[{many}]}}");
    let green = read_geojson("o.geojson", &polygon(0.0, 0.0003)).unwrap();
    let alone = with(HOLE, &polygon(0.00005, 0.0001)).unwrap();
    for geometry in [many, collection, nested] {
        let outline = with(HOLE, &geometry).unwrap();
        assert_eq!(outline.ground.interiors().len(), 2, "{geometry}");
        let taken = |o: &Outline| green.area_m2() - o.area_m2();
        assert!((taken(&outline) / taken(&alone) - 2.0).abs() < 1e-3);
    }
    for word in ["Hole", " hole ", "HOLE"] {
        let outline = with(
            &format!("{{\"part\":\"{word}\"}}"),
            &polygon(0.0001, 0.0002),
        )
        .unwrap();
        assert_eq!(outline.ground.interiors().len(), 1);
    }
}

/// Every feature that encloses no ground, or of no known part, is refused by its number.
#[test]
fn features_that_are_no_ground_are_refused_by_place() {
    let line = format!(
        "{{\"type\":\"LineString\",\"coordinates\":{}}}",
        square(0.0001, 0.0002)
    );
    let empty = "{\"type\":\"MultiPolygon\",\"coordinates\":[]}";
    let point = "{\"type\":\"Point\",\"coordinates\":[-2.8,56.3]}";
    let bare = "{\"type\":\"Polygon\",\"coordinates\":[]}";
    let inner = format!(
        "{{\"type\":\"Polygon\",\"coordinates\":[{},{}]}}",
        square(0.0001, 0.0002),
        square(0.00012, 0.00015)
    );
    let hole = polygon(0.0001, 0.0002);
    for (properties, geometry, what) in [
        (
            HOLE,
            line.as_str(),
            "the hole bunker is a LineString and encloses no ground",
        ),
        (HOLE, "null", "the hole bunker has no geometry"),
        (
            HOLE,
            empty,
            "the hole bunker is a MultiPolygon and encloses no ground",
        ),
        (HOLE, bare, "the hole bunker is a polygon without a ring"),
        (HOLE, inner.as_str(), "the hole bunker has a ring inside it"),
        ("{}", point, "the edge is a Point and encloses no ground"),
        ("null", "null", "the edge has no geometry"),
        (
            "{\"part\":\"bunker\"}",
            hole.as_str(),
            "`bunker` is no part of a green",
        ),
        ("{\"part\":\"zone\"}", hole.as_str(), "a zone has no name"),
        (
            "{\"part\":[\"hole\"]}",
            hole.as_str(),
            "the property `part` is no text",
        ),
    ] {
        let refused = with(properties, geometry).unwrap_err();
        assert!(
            refused.starts_with("o.geojson: feature 2: ") && refused.contains(what),
            "{refused}"
        );
    }
    let short = "{\"type\":\"Polygon\",\"coordinates\":[[[1],[2],[3],[1]]]}";
    assert!(
        with(HOLE, short)
            .unwrap_err()
            .contains("fewer than two numbers")
    );
}

/// Messages say what there is.
#[test]
fn the_green_is_counted_truly() {
    let refused = |json: &str| read_geojson("o.geojson", json).unwrap_err()[0].to_string();
    let many = format!(
        "{{\"type\":\"MultiPolygon\",\"coordinates\":[[{}],[{}]]}}",
        square(0.0, 0.0001),
        square(0.0002, 0.0003)
    );
    assert!(refused(&many).contains("2 polygons could be the green"));
    let one = format!(
        "{{\"type\":\"MultiPolygon\",\"coordinates\":[[{}]]}}",
        square(0.0, 0.0003)
    );
    assert!(read_geojson("o.geojson", &one).is_ok());
    let hole = feature(HOLE, &polygon(0.0, 0.0003));
    assert!(
        refused(&hole).contains("no polygon is the green: every one is marked as a hole or a zone")
    );
    let none = "{\"type\":\"FeatureCollection\",\"features\":[]}";
    assert!(refused(none).contains("there is no polygon"));
    // Too small to be ground, and in degrees already: nobody is told to save it as GeoJSON.
    let speck = refused(&polygon(0.0, 1e-9));
    assert!(
        speck.contains("encloses") && !speck.contains("GeoJSON"),
        "{speck}"
    );
}

/// A walk round an oval of 33 m by 22 m, a point every degree.
fn walk(degrees: std::ops::Range<usize>, close: &str) -> String {
    let points = lines(degrees, |t| {
        let t = (t as f64).to_radians();
        let (lat, lon) = (
            56.3 + 11.0 * t.sin() / 111_000.0,
            -2.8 + 16.5 * t.cos() / 62_000.0,
        );
        format!("<trkpt lat=\"{lat:.8}\" lon=\"{lon:.8}\"/>\n")
    });
    format!("<gpx version=\"1.1\"><trk><trkseg>{points}{close}")
}

const END: &str = "</trkseg></trk></gpx>";

fn walked(text: &str) -> Result<Outline, String> {
    read_gpx("walk.gpx", text, 0.05).map_err(|faults| faults[0].to_string())
}

/// A walk must come back to its start: within 10 m and a tenth of its length. What is missing is said in metres.
#[test]
fn a_walk_that_does_not_come_back_is_refused() {
    let whole = walked(&walk(0..360, END)).unwrap();
    assert!((whole.area_m2() / (std::f64::consts::PI * 16.5 * 11.0) - 1.0).abs() < 0.02);
    let refused = walked(&walk(0..216, END)).unwrap_err();
    assert!(
        refused.contains("the walk ends 30.6 m from its start and never comes back to it"),
        "{refused}"
    );
    assert!(
        refused.contains("a walk of 51 m may miss it by 5.1 m"),
        "{refused}"
    );
    let nearly = walked(&walk(0..340, END)).unwrap();
    let said = nearly
        .repairs
        .iter()
        .find(|r| r.code == "walk-closed")
        .unwrap();
    assert!(
        said.message.contains("ends 4.1 m from its start"),
        "{}",
        said.message
    );
    assert!(whole.repairs.iter().all(|r| r.code != "walk-closed"));
    assert!(walked(&walk(0..300, END)).is_err());
    // Only the corners of a court: its sides are its strides.
    let corners = "<gpx><trk><trkseg><trkpt lat='56.3' lon='-2.8'/><trkpt lat='56.3' lon='-2.7997'/>\
                   <trkpt lat='56.3002' lon='-2.7997'/><trkpt lat='56.3002' lon='-2.8'/></trkseg></trk></gpx>";
    let court = walked(corners).unwrap();
    assert!(court.repairs.iter().any(|r| r.code == "walk-closed"));
}

/// A file cut at the end of a point is still a file that breaks off.
#[test]
fn a_gpx_that_breaks_off_is_refused() {
    let cut = walked(&walk(0..340, "")).unwrap_err();
    assert!(
        cut.starts_with("walk.gpx:341:1: the file breaks off: 3 elements not closed"),
        "{cut}"
    );
    let whole = walk(0..360, END);
    for tail in ["</gpx>", "</trk></gpx>", END] {
        assert!(walked(whole.strip_suffix(tail).unwrap()).is_err());
    }
    let two = whole.replace(
        "</trkseg></trk>",
        "</trkseg></trk><trk><trkseg></trkseg></trk>",
    );
    assert!(walked(&two).unwrap_err().contains("there are 2 tracks"));
}

/// Numbers beyond their range are refused by place with the range and its reason.
#[test]
fn numbers_beyond_their_range_are_refused() {
    let csv = |x: &str| {
        read_csv("o.csv", &format!("x_m,y_m\n0,0\n{x},0\n20,20\n")).unwrap_err()[0].to_string()
    };
    for far in ["1e308", "-1e308", "1e9", "100000001"] {
        let refused = csv(far);
        assert!(
            refused.starts_with("o.csv:3:1: ") && refused.contains("no map grid goes further"),
            "{refused}"
        );
        assert!(refused.len() < 200, "{refused}");
    }
    let circle = |radius: &str| {
        let text = format!(
            "x_m,y_m,part,radius_m\n0,0,,\n20,0,,\n20,20,,\n0,20,,\n5,5,hole cup,{radius}\n"
        );
        read_csv("o.csv", &text)
    };
    assert!(circle("0.054").is_ok());
    for radius in ["-1", "0", "1e-300", "501"] {
        let refused = circle(radius).unwrap_err()[0].to_string();
        assert!(
            refused.starts_with("o.csv:6:4: ")
                && refused.contains("a radius is from 0.01 to 500 m"),
            "{refused}"
        );
    }
    let tape = "distance_m,left_m,right_m\n0,4,6\n10,1e308,6\n1e300,4,6\n";
    let refused = read_tape("t.csv", tape).unwrap_err();
    assert_eq!(refused.len(), 2, "{refused:?}");
    assert!(refused[0].place == "t.csv:3:2" && refused[1].place == "t.csv:4:1");
    for (lon, lat) in [
        ("-2.8", "1e308"),
        ("1e308", "56.3"),
        ("-2.8", "90"),
        ("-2.8", "-80.1"),
        ("361", "56.3"),
    ] {
        let json = format!(
            "{{\"type\":\"Polygon\",\"coordinates\":[[[{lon},{lat}],[-2.79,56.3],[-2.79,56.31]]]}}"
        );
        let refused = read_geojson("o.geojson", &json).unwrap_err()[0].to_string();
        assert!(
            refused.starts_with("o.geojson: ring 1, corner 1: "),
            "{refused}"
        );
        let gpx = walk(0..360, END).replacen(
            "<trkpt ",
            &format!("<trkpt lat='{lat}' lon='{lon}'/><trkpt "),
            1,
        );
        assert!(
            walked(&gpx)
                .unwrap_err()
                .starts_with("walk.gpx: track point 1: ")
        );
    }
    let hole = "{\"type\":\"Polygon\",\"coordinates\":[[[200,95],[200,96],[201,96]]]}";
    assert!(
        with(HOLE, hole)
            .unwrap_err()
            .contains("no longitude and latitude")
    );
}

/// A line for each number.
fn lines(numbers: std::ops::Range<usize>, line: impl Fn(usize) -> String) -> String {
    numbers.map(line).collect::<Vec<_>>().concat()
}

/// Beyond twenty of a kind, faults are counted.
#[test]
fn many_faults_are_counted() {
    let rows = lines(0..5000, |i| format!("{i},no\n"));
    let faults = read_csv("o.csv", &format!("x_m,y_m\n{rows}")).unwrap_err();
    assert_eq!(faults.len(), 21);
    assert!(
        faults[20]
            .to_string()
            .starts_with("o.csv: 4980 more faults like these 20")
    );
    let wide = lines(0..5000, |i| format!("{i},1,2,3\n"));
    // Lines that are all too long have one cause.
    let long = read_csv("o.csv", &format!("x_m,y_m\n{wide}")).unwrap_err();
    assert_eq!(long.len(), 1);
    let said = long[0].to_string();
    assert!(
        said.contains("likewise on 4999 more lines: 3, 4, 5") && said.contains("5001"),
        "{said}"
    );
    let points = lines(0..5000, |i| format!("[{i},{i}],"));
    let json = format!(
        "{{\"type\":\"Polygon\",\"coordinates\":[[{}]]}}",
        points.trim_end_matches(',')
    );
    assert_eq!(read_geojson("o.geojson", &json).unwrap_err().len(), 21);
}

/// Corners in no order are refused at once, whatever their number: by the length of the edge, the first
/// crossings and how many more there are.
#[test]
fn a_scribble_is_refused_at_once() {
    // Halton points in bases 2 and 3: spread evenly, in no walking order.
    let digits = |mut i: usize, base: usize| {
        let (mut value, mut place) = (0.0, 1.0);
        while i > 0 {
            place /= base as f64;
            value += place * (i % base) as f64;
            i /= base;
        }
        value
    };
    for corners in [500, 16_000] {
        let rows = lines(1..corners + 1, |i| {
            format!("{},{}\n", 30.0 * digits(i, 2), 20.0 * digits(i, 3))
        });
        let faults = read_csv("o.csv", &format!("x_m,y_m\n{rows}")).unwrap_err();
        assert!(faults.len() <= 22, "{} faults", faults.len());
        let said = |what: &str| faults.iter().any(|f| f.what.contains(what));
        assert!(said("crosses the edge") && said("crosses itself at least"));
        assert_eq!(
            said("the length of an edge is at most 10000 m"),
            corners > 1000
        );
    }
    let many = lines(0..252_000, |i| format!("{i},0\n"));
    let faults = read_csv("o.csv", &format!("x_m,y_m\n{many}")).unwrap_err();
    assert!(
        faults[0]
            .what
            .contains("the number of corners is from 3 to 250000"),
        "{}",
        faults[0]
    );
}
