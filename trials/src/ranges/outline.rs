//! Every number that a file of an outline may hold.

use super::Limit::Itself;
use super::ranges;

ranges! {
    // Map grids that write the zone before the easting reach some 60 million metres.
    COORDINATE: "outline" "a coordinate", "east or north of the origin", "m", Itself(-1e8), Itself(1e8), 400000.0,
        "no map grid goes further";
    LONGITUDE: "outline" "a longitude", "longitude; some software counts eastwards right round", "degrees", Itself(-360.0), Itself(360.0), -2.8,
        "the earth is round";
    // No source for where turf ends; the plane is tested up to this latitude.
    LATITUDE: "outline" "a latitude", "latitude", "degrees", Itself(-80.0), Itself(80.0), 56.3,
        "no green lies nearer to a pole";
    TAPE: "outline" "a distance by tape", "along the string or off it, and so within the width of the ground", "m", Itself(-1000.0), Itself(1000.0), 12.5,
        "no green is wider";
    RADIUS: "outline" "a radius", "radius of a round hole or zone", "m", Itself(0.01), Itself(500.0), 2.0,
        "a sprinkler's head is wider and no green reaches further";
    // The largest greens are some 60 m across; a kilometre allows a whole fairway and still catches degrees, feet and
    // mixed map zones.
    WIDTH: "outline" "the width of the ground", "box round a ring, either way", "m", Itself(0.0), Itself(1000.0), 30.0,
        "beyond that it is wider than any green";
    EDGE: "outline" "the length of an edge", "length of a ring", "m", Itself(0.0), Itself(10_000.0), 90.0,
        "it is two and a half times round the widest ground: the corners do not follow one another";
    AREA: "outline" "the area of a green", "ground inside the edge", "m2", Itself(0.01), Itself(1e6), 500.0,
        "one core takes as much";
    SHARE: "outline" "the share of its box that a green fills", "share of its box that a green fills; searches for plots and sample points go over the whole box", "%", Itself(1.0), Itself(100.0), 70.0,
        "ground as thin as that is a line";
    CORNERS: "outline" "the number of corners", "corners of all rings together, and points of a walk", "", Itself(3.0), Itself(250_000.0), 40.0,
        "a walk at one point a second takes three days to write more";
    HOLES: "outline" "the number of holes", "holes of a green", "", Itself(0.0), Itself(50.0), 1.0,
        "with a cup and every sprinkler head a green has a few dozen";
    ZONES: "outline" "the number of zones", "zones of a green", "", Itself(0.0), Itself(20.0), 2.0,
        "a zone takes a block or more, and trials have fewer blocks";
    TEXT: "outline" "the size of an outline's file", "text of the file", "MB", Itself(0.0), Itself(64.0), 1.0,
        "the most corners with all that a recorder writes beside them take less";
    COLUMNS: "outline" "the number of columns of an outline", "headings of a table of corners", "", Itself(2.0), Itself(30.0), 3.0,
        "an outline has four, and a spreadsheet adds a few of its own";
    // Nineteen of twenty positions of a phone are within 10 m (quoted in Al-Azizi and Shafri 2017, *Int. J. Navigation
    // and Observation*, 6750346).
    GAP: "outline" "the gap between a walk's start and its end", "how far the end of a walk may lie from its start", "m", Itself(0.0), Itself(10.0), 2.0,
        "a phone errs by no more than 10 m nineteen times in twenty";
}
