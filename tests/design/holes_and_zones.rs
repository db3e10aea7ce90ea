//! The ground is the outline less all its holes together; zones lie on it and share none of it.

use geo::{Area, BooleanOps, Contains};
use halfgreen::area::{Outline, Part, checked, circle, read_csv, rectangle};
use halfgreen::design::kinds::Paired;
use halfgreen::design::plots::{Request, Shape, place};
use halfgreen::design::{BlockBy, lay_out};
use halfgreen::{Error, Warning};

use super::trial::{protocol, ring};

const COURT: [f64; 2] = [25.0, 23.0];

/// A court of 25 m by 23 m with these holes and zones.
fn court(parts: &[(Part, Vec<[f64; 2]>)]) -> Result<Outline, Vec<Error>> {
    let mut rings = vec![ring(Part::Edge, &rectangle(COURT[0], COURT[1]))];
    rings.extend(
        parts
            .iter()
            .map(|(part, corners)| ring(part.clone(), corners)),
    );
    checked("green", rings, None, Vec::new())
}

fn hole(name: &str, corners: Vec<[f64; 2]>) -> (Part, Vec<[f64; 2]>) {
    (Part::Hole(name.into()), corners)
}

fn zone(name: &str, corners: Vec<[f64; 2]>) -> (Part, Vec<[f64; 2]>) {
    (Part::Zone(name.into()), corners)
}

/// Corners of a rectangle, anticlockwise.
fn block(west: f64, south: f64, east: f64, north: f64) -> Vec<[f64; 2]> {
    vec![[west, south], [east, south], [east, north], [west, north]]
}

fn codes(outline: &Outline) -> Vec<&str> {
    outline.repairs.iter().map(|r| r.code).collect()
}

/// Holes by hand: every case as a list of holes, the ground that is left, and what is said.
#[test]
fn the_ground_is_the_edge_less_the_union_of_its_holes() {
    let bunker = || block(2.0, 2.0, 6.0, 6.0);
    let whole = COURT[0] * COURT[1];
    let cases = [
        (vec![hole("a", bunker())], whole - 16.0, vec![]),
        // The same hole twice, even by other first corners, is one hole.
        (
            vec![hole("a", bunker()), hole("b", bunker())],
            whole - 16.0,
            vec!["hole-given-twice"],
        ),
        (
            vec![
                hole("", bunker()),
                hole("", {
                    let mut b = bunker();
                    b.rotate_left(1);
                    b
                }),
            ],
            whole - 16.0,
            vec!["hole-given-twice"],
        ),
        // A hole in a hole is no ground.
        (
            vec![hole("a", bunker()), hole("b", block(3.0, 3.0, 4.0, 4.0))],
            whole - 16.0,
            vec!["holes-overlap"],
        ),
        (
            vec![hole("b", block(3.0, 3.0, 4.0, 4.0)), hole("a", bunker())],
            whole - 16.0,
            vec!["holes-overlap"],
        ),
        // Ground that two holes share is taken once.
        (
            vec![hole("a", bunker()), hole("b", block(4.0, 4.0, 8.0, 8.0))],
            whole - 28.0,
            vec!["holes-overlap"],
        ),
        // Holes that only touch overlap nowhere.
        (
            vec![hole("a", bunker()), hole("b", block(6.0, 2.0, 8.0, 6.0))],
            whole - 24.0,
            vec![],
        ),
        // What lies beyond the edge is not taken, and is no ground either.
        (
            vec![hole("a", block(-2.0, 2.0, 2.0, 6.0))],
            whole - 8.0,
            vec!["hole-beyond-edge"],
        ),
    ];
    for (holes, left, said) in cases {
        let outline = court(&holes).unwrap();
        assert!(
            (outline.area_m2() - left).abs() < 1e-4,
            "{holes:?}: {}",
            outline.area_m2()
        );
        assert_eq!(codes(&outline), said, "{holes:?}");
        // The same ground by clipping, which knows nothing of how rings are filled.
        let mut clipped = geo::Polygon::new(rectangle(COURT[0], COURT[1]).into(), Vec::new());
        for (_, corners) in &holes {
            let less = clipped.difference(&geo::Polygon::new(corners.clone().into(), Vec::new()));
            clipped = less.into_iter().next().unwrap();
        }
        assert!((clipped.unsigned_area() - left).abs() < 1e-4);
        for (i, j) in (0..70).flat_map(|i| (0..70).map(move |j| (i, j))) {
            let [x, y] = [i, j].map(|k| 0.45_f64.mul_add(f64::from(k), -3.1));
            assert_eq!(
                outline.contains(x, y),
                clipped.contains(&geo::Point::new(x, y))
            );
        }
    }
}

#[test]
fn holes_that_leave_no_green_are_refused() {
    let refused = |holes: &[(Part, Vec<[f64; 2]>)]| court(holes).unwrap_err()[0].to_string();
    let round = hole("frame", block(-1.0, -1.0, 30.0, 30.0));
    assert!(refused(&[round]).contains("the hole frame covers the whole green"));
    let same = hole("same", rectangle(COURT[0], COURT[1]));
    assert!(refused(&[same]).contains("the hole same covers the whole green"));
    let away = hole("away", block(50.0, 0.0, 60.0, 9.0));
    assert!(refused(&[away]).contains("the hole away lies wholly off the green"));
    let beside = hole("beside", block(25.0, 0.0, 30.0, 23.0));
    assert!(refused(&[beside]).contains("lies wholly off the green"));
    let path = hole("path", block(10.0, -1.0, 12.0, 24.0));
    assert!(refused(&[path]).contains("cut the green into 2 pieces"));
    let halves = [
        hole("w", block(-1.0, -1.0, 13.0, 24.0)),
        hole("e", block(12.0, -1.0, 26.0, 24.0)),
    ];
    assert!(refused(&halves).contains("the holes leave nothing of the green"));
}

/// A bunker that reaches over the edge holds no plot, on the green or beyond it.
#[test]
fn no_plot_lies_in_a_hole_that_reaches_beyond_the_edge() {
    let outline = court(&[hole("bunker", block(-8.0, -8.0, 9.0, 9.0))]).unwrap();
    let plan = protocol(&Paired, &["open", "sheet"], 6);
    for plot in lay_out(&plan, &outline, 1).unwrap().layout.plots {
        assert!(plot.x_m > 10.5 || plot.y_m > 10.5, "{plot:?}");
        assert!(plot.x_m > 1.9 && plot.y_m > 1.9);
    }
}

/// Zones by hand: the green itself, halves that share its corners, a strip across, a frame round it.
#[test]
fn zones_are_clipped_to_the_ground() {
    let [east, north] = COURT;
    for zones in [
        vec![zone("all", rectangle(east, north))],
        vec![
            zone("west", block(0.0, 0.0, 12.5, north)),
            zone("east", block(12.5, 0.0, east, north)),
        ],
        vec![zone("strip", block(-5.0, 5.0, 30.0, 18.0))],
        vec![zone("frame", block(-5.0, -5.0, 30.0, 30.0))],
    ] {
        let outline = court(&zones).unwrap();
        assert!(codes(&outline).is_empty(), "{zones:?}");
        let mut plan = protocol(&Paired, &["open", "sheet"], 4);
        plan.design.arrangement.block_by = BlockBy::Zones;
        let laid = lay_out(&plan, &outline, 1).unwrap();
        for plot in &laid.layout.plots {
            assert!(
                outline.contains(plot.x_m, plot.y_m)
                    && outline.zone_of(plot.x_m, plot.y_m).is_some()
            );
        }
    }
    let off = court(&[zone("off", block(25.0, 0.0, 30.0, 23.0))]).unwrap_err();
    assert!(
        off[0]
            .what
            .contains("the zone off lies wholly off the green")
    );
    let bunker = [
        hole("bunker", block(2.0, 2.0, 8.0, 8.0)),
        zone("sand", block(3.0, 3.0, 7.0, 7.0)),
    ];
    assert!(
        court(&bunker).unwrap_err()[0]
            .what
            .contains("the zone sand lies wholly off the green")
    );
}

/// Ground that two zones claim belongs to the first, and no two plots lie on it.
#[test]
fn zones_that_overlap_do_not_share_plots() {
    let outline = court(&[
        zone("wet", block(0.0, 0.0, 16.0, 23.0)),
        zone("dry", block(9.0, 0.0, 25.0, 23.0)),
    ])
    .unwrap();
    assert_eq!(codes(&outline), ["zones-overlap"]);
    assert!(
        outline.repairs[0].message.contains("161.00 m2"),
        "{:?}",
        outline.repairs
    );
    let ask = Request {
        length_m: 3.0,
        width_m: 3.0,
        guard_m: 0.5,
        angle_deg: None,
        blocks: 8,
        shape: Shape::Compact(1),
        advise: true,
    };
    let dry = place(&outline, Some(&outline.zones[1]), &ask).unwrap();
    assert!(dry.sites.iter().all(|s| s.x_m >= 18.0 - 1e-6), "{dry:?}");
    let mut plan = protocol(&Paired, &["open", "sheet"], 8);
    plan.design.arrangement.block_by = BlockBy::Zones;
    let plots = lay_out(&plan, &outline, 1).unwrap().layout.plots;
    for (i, a) in plots.iter().enumerate() {
        for b in &plots[..i] {
            assert!(
                (a.x_m - b.x_m).abs() > 3.9 || (a.y_m - b.y_m).abs() > 3.9,
                "{a:?} {b:?}"
            );
        }
    }
}

/// What was put right is said by the command too.
#[test]
fn nested_holes_are_said() {
    let outline = court(&[
        hole("bunker", block(2.0, 2.0, 8.0, 8.0)),
        hole("rake", circle(5.0, 5.0, 0.5)),
    ])
    .unwrap();
    let said: Warning = outline.repairs[0].clone().into();
    assert!(
        format!("{said:?}").contains("The hole rake lies within the hole bunker"),
        "{said:?}"
    );
}
/// Holes without a name end where another line stands; each circle is a hole of its own.
#[test]
fn holes_without_a_name_are_told_apart() {
    let text = "x_m,y_m,part,radius_m\n0,0,,\n25,0,,\n25,23,,\n0,23,,\n\
                2,2,hole,\n4,2,hole,\n4,4,hole,\n2,4,hole,\n10,10,hole,0.5\n20,10,hole,0.5\n\
                14,2,hole,\n16,2,hole,\n16,4,hole,\n14,4,hole,\n5,15,hole cup,0.1\n";
    let outline = read_csv("outline.csv", text).unwrap();
    assert_eq!(outline.ground.interiors().len(), 5);
    assert!(
        !outline.contains(3.0, 3.0) && !outline.contains(15.0, 3.0) && outline.contains(9.0, 3.0)
    );
    assert!(!outline.contains(20.0, 10.0));
}
