//! Sample grids: inside by the margin, evenly spread, walked shortly, fast.

use halfgreen::area::{LocalFrame, Outline, ellipse, read_csv, rectangle};
use halfgreen::scouting::grid::{
    Density, GridPlan, Pattern, grid, points_csv, points_geojson, route_length, short_route,
    tape_lines, tape_text,
};
use halfgreen_analysis::random::Generator;

use super::trial::{KIDNEY, green};

const PATTERNS: [Pattern; 5] = [
    Pattern::Square,
    Pattern::Triangular,
    Pattern::Random,
    Pattern::Stratified,
    Pattern::Zigzag,
];

fn plan(pattern: Pattern, density: Density) -> GridPlan {
    GridPlan {
        pattern,
        density,
        margin_m: 1.0,
        seed: 3,
    }
}

#[test]
fn points_lie_inside_by_the_margin() {
    let outline = read_csv("outline.csv", KIDNEY).unwrap();
    for pattern in PATTERNS {
        let laid = grid(&outline, &plan(pattern, Density::Points(40))).unwrap();
        let number = laid.points.len();
        assert!(number.abs_diff(40) <= 3, "{pattern:?} gave {number}");
        for (i, p) in laid.points.iter().enumerate() {
            assert_eq!(p.id, i + 1);
            assert!(outline.contains(p.x_m, p.y_m));
            assert!(outline.distance_to_edge_m(p.x_m, p.y_m) >= 1.0 - 1e-9);
        }
    }
}

/// Whole cells of a stratified grid hold exactly one point: on a court without margin every cell of
/// the net that lies inside does.
#[test]
fn stratified_cells_hold_one_each() {
    let outline = green(&rectangle(30.0, 20.0));
    let side = 2.5;
    let mut ask = plan(Pattern::Stratified, Density::Spacing(side));
    ask.margin_m = 0.0;
    let laid = grid(&outline, &ask).unwrap();
    let mut chance = Generator::new(3, 1);
    let start = [(chance.unit() - 1.0) * side, (chance.unit() - 1.0) * side];
    for column in 1..11 {
        for row in 1..7 {
            let low = [
                f64::from(column).mul_add(side, start[0]),
                f64::from(row).mul_add(side, start[1]),
            ];
            let held = laid.points.iter().filter(|p| {
                (low[0]..low[0] + side).contains(&p.x_m) && (low[1]..low[1] + side).contains(&p.y_m)
            });
            assert_eq!(held.count(), 1);
        }
    }
}

/// Random starts make every place equally likely: over many seeds, quarters of a court get equal
/// shares (chi-squared on 3 degrees of freedom, upper 0.1 % point 16.27; net points are spread more
/// evenly than chance, so the bound is safe).
#[test]
fn every_place_is_equally_likely() {
    let outline = green(&rectangle(20.0, 20.0));
    for pattern in [Pattern::Square, Pattern::Stratified, Pattern::Random] {
        let mut shares = [0.0; 4];
        for seed in 0..400 {
            let ask = GridPlan {
                pattern,
                density: Density::Spacing(3.7),
                margin_m: 0.0,
                seed,
            };
            for p in grid(&outline, &ask).unwrap().points {
                shares[usize::from(p.x_m > 10.0) + 2 * usize::from(p.y_m > 10.0)] += 1.0;
            }
        }
        let expected = shares.iter().sum::<f64>() / 4.0;
        let chi2: f64 = shares
            .iter()
            .map(|s| (s - expected).powi(2) / expected)
            .sum();
        assert!(chi2 < 16.27, "{pattern:?}: {shares:?}");
    }
}

/// Shortest walk through all points with free ends, by dynamic programming over subsets (Held and
/// Karp 1962, *J. SIAM* 10, 196-210).
fn shortest(points: &[[f64; 2]]) -> f64 {
    let n = points.len();
    let apart = |a: usize, b: usize| -> f64 {
        (points[a][0] - points[b][0]).hypot(points[a][1] - points[b][1])
    };
    let mut best = vec![vec![f64::INFINITY; n]; 1 << n];
    for i in 0..n {
        best[1 << i][i] = 0.0;
    }
    for set in 1_usize..1 << n {
        for last in (0..n).filter(|l| set >> l & 1 == 1) {
            for next in (0..n).filter(|l| set >> l & 1 == 0) {
                let gone = best[set][last] + apart(last, next);
                let with = set | 1 << next;
                best[with][next] = best[with][next].min(gone);
            }
        }
    }
    best[(1 << n) - 1]
        .iter()
        .copied()
        .fold(f64::INFINITY, f64::min)
}

#[test]
fn walks_are_near_the_shortest_on_small_cases() {
    let mut chance = Generator::new(11, 0);
    let (mut total, mut worst) = (0.0, 1.0_f64);
    let cases = 100;
    for _ in 0..cases {
        let points: Vec<[f64; 2]> = (0..9).map(|_| [chance.unit(), chance.unit()]).collect();
        let order = short_route(&points);
        let mut sorted = order.clone();
        sorted.sort_unstable();
        assert!(sorted.into_iter().eq(0..9));
        let walked: Vec<[f64; 2]> = order.iter().map(|&i| points[i]).collect();
        let ratio = route_length(&walked) / shortest(&points);
        assert!(ratio > 1.0 - 1e-12);
        total += ratio;
        worst = worst.max(ratio);
    }
    let mean = total / f64::from(cases);
    assert!(mean < 1.03 && worst < 1.30, "mean {mean}, worst {worst}");
}

#[test]
fn slips_are_refused() {
    let outline = green(&rectangle(20.0, 20.0));
    let refuse = |pattern, density, margin_m| {
        let ask = GridPlan {
            pattern,
            density,
            margin_m,
            seed: 1,
        };
        grid(&outline, &ask).unwrap_err().to_string()
    };
    assert!(refuse(Pattern::Square, Density::Spacing(0.0), 0.0).contains("no spacing"));
    assert!(refuse(Pattern::Square, Density::Points(0), 0.0).contains("no grid"));
    assert!(refuse(Pattern::Square, Density::Spacing(0.01), 0.0).contains("4000000 points"));
    assert!(refuse(Pattern::Random, Density::Points(5), 10.5).contains("next to nothing"));
    assert!(refuse(Pattern::Square, Density::Points(5), 10.5).contains("next to nothing"));
    assert!(refuse(Pattern::Zigzag, Density::Spacing(500.0), 8.0).contains("no point lies"));
    assert!(refuse(Pattern::Square, Density::Points(5), -1.0).contains("no margin"));
}

/// Ground of 300 m by 0.4 m has no place 2 m from its edge: that is known before points are laid.
#[test]
fn a_margin_that_leaves_nothing_is_refused_before_the_work() {
    let sliver = green(&[[0.0, 0.0], [300.0, 0.0], [300.0, 0.4]]);
    let ask = GridPlan {
        margin_m: 2.0,
        ..plan(Pattern::Square, Density::Points(20))
    };
    let began = std::time::Instant::now();
    let refused = grid(&sliver, &ask).unwrap_err();
    assert!(
        refused.what.contains("leaves next to nothing of 60 m2"),
        "{refused}"
    );
    // It took seven seconds and more, optimised; a tenth of one now.
    assert!(began.elapsed().as_secs_f64() < 3.0);
}

#[test]
fn points_are_written_in_metres_and_degrees() {
    let mut outline: Outline = green(&ellipse(30.0, 20.0, 60));
    let bare = grid(&outline, &plan(Pattern::Square, Density::Points(12))).unwrap();
    assert!(points_geojson(&bare).is_none());
    assert!(points_csv(&bare).starts_with("id,x_m,y_m\n1,"));
    let tape = tape_lines(&outline, &bare.points);
    assert!(tape_text(&outline, &tape).contains("m along the string"));
    assert!(tape.iter().all(|t| t.along_m >= 0.0 && t.offset_m >= 0.0));
    outline.frame = Some(LocalFrame {
        lon: -2.8,
        lat: 56.3,
    });
    let known = grid(&outline, &plan(Pattern::Square, Density::Points(12))).unwrap();
    let text = points_geojson(&known).unwrap();
    assert!(text.contains("\"FeatureCollection\"") && text.contains("-2.79"));
    assert!(points_csv(&known).starts_with("id,x_m,y_m,lon,lat\n"));
}

/// 10 000 points on an outline of 200 000 corners: all patterns together within a generous bound even
/// unoptimised; under a second each in a release build.
#[test]
fn large_grids_are_quick() {
    let outline = green(&ellipse(60.0, 40.0, 200_000));
    for pattern in PATTERNS {
        let began = std::time::Instant::now();
        let laid = grid(&outline, &plan(pattern, Density::Points(10_000))).unwrap();
        assert!(laid.points.len().abs_diff(10_000) < 20);
        let took = began.elapsed().as_secs_f64();
        assert!(took < 20.0, "{pattern:?} took {took} s");
    }
}

/// The W of a zigzag passes under a lobe: it says so, and names the zone without a point; other patterns come
/// everywhere.
#[test]
fn a_zigzag_says_which_ground_it_leaves_out() {
    let lobed = "x_m,y_m,part\n0,0,\n40,0,\n40,8,\n24,8,\n24,28,\n16,28,\n16,8,\n0,8,\n\
                 17,20,zone hollow\n23,20,zone hollow\n23,27,zone hollow\n17,27,zone hollow\n";
    let outline = read_csv("outline.csv", lobed).unwrap();
    let laid = grid(&outline, &plan(Pattern::Zigzag, Density::Points(20))).unwrap();
    let out = laid.left_out.unwrap();
    assert!((0.2..0.6).contains(&out.share), "{out:?}");
    let far = out.furthest.unwrap();
    assert!(far.y_m > 20.0 && (16.0..24.0).contains(&far.x_m), "{out:?}");
    let nearest = laid
        .points
        .iter()
        .map(|p| (p.x_m - far.x_m).hypot(p.y_m - far.y_m));
    assert!((nearest.fold(f64::INFINITY, f64::min) - far.distance_m).abs() < 1e-12);
    assert_eq!(out.zones, ["hollow"]);
    let said = out.sentence().unwrap();
    assert!(said.contains("No point lies in hollow."), "{said}");
    for pattern in &PATTERNS[..4] {
        let laid = grid(&outline, &plan(*pattern, Density::Points(20))).unwrap();
        assert_eq!(laid.left_out, None);
    }
}
