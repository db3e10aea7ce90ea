//! Effects on scores, cover and lengths, against a published test and against counting by hand.

use halfgreen_analysis::random::{Generator, shuffle};
use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};
use halfgreen_analysis::responses::{Trial, cover, edge_step, length, length_ratio, score};

fn close(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "{got} is not {want}");
}

fn trial<'a>(labels: &'a [usize], scheme: &'a Scheme) -> Trial<'a> {
    Trial {
        labels,
        scheme,
        settings: RandomisationSettings::default(),
        level: 0.95,
    }
}

/// Differences in height of Darwin's 15 pairs of maize plants, crossed less selfed, in inches.
fn maize() -> (Vec<f64>, Vec<usize>, Scheme) {
    let path = format!(
        "{}/../data-examples/published/darwin_maize.csv",
        env!("CARGO_MANIFEST_DIR")
    );
    let rows: Vec<csv::StringRecord> = csv::Reader::from_path(path)
        .unwrap()
        .records()
        .map(Result::unwrap)
        .collect();
    let heights = rows.iter().map(|r| r[3].parse().unwrap()).collect();
    let labels = rows.iter().map(|r| usize::from(&r[2] == "cross")).collect();
    let blocks: Vec<usize> = (0..rows.len()).map(|i| i / 2).collect();
    (heights, labels, Scheme::blocks(&blocks))
}

/// Share of the 2^15 changes of sign with a sum at least as far from 0.
fn by_hand(differences: &[f64], shift: f64) -> f64 {
    let moved: Vec<f64> = differences.iter().map(|d| d - shift).collect();
    let observed = moved.iter().sum::<f64>().abs() * (1.0 - 1e-12);
    let beyond = (0_u32..1 << moved.len())
        .filter(|signs| {
            let sum: f64 = moved
                .iter()
                .enumerate()
                .map(|(i, d)| if signs >> i & 1 == 1 { *d } else { -d })
                .sum();
            sum.abs() >= observed
        })
        .count();
    beyond as f64 / f64::from(1 << moved.len())
}

/// Fisher, "The Design of Experiments", 1935, section 21: 863 of 32 768 arrangements on one side.
#[test]
fn darwins_maize() {
    let (heights, labels, scheme) = maize();
    let effect = &length(&heights, &trial(&labels, &scheme)).unwrap()[0];
    close(effect.p.value, 1726.0 / 32_768.0, 1e-12);
    close(effect.estimate, 2.616_667, 5e-7);
    close(effect.smallest_attainable_p, 2.0 / 32_768.0, 1e-12);
    close(effect.superiority, 13.0 / 15.0, 1e-12);
    let differences: Vec<f64> = heights
        .chunks(2)
        .zip(labels.chunks(2))
        .map(|(h, l)| if l[0] == 1 { h[0] - h[1] } else { h[1] - h[0] })
        .collect();
    let limits = effect.interval.unwrap();
    // Just beyond each limit the shift is rejected by counting every sign, just inside it is not.
    for (outside, inside) in [
        (limits.low - 1e-4, limits.low + 1e-4),
        (limits.high + 1e-4, limits.high - 1e-4),
    ] {
        assert!(by_hand(&differences, outside) <= 0.05);
        assert!(by_hand(&differences, inside) > 0.05);
    }
    // p is a little above 5 %, so the interval just holds 0.
    assert!(limits.low < 0.0 && limits.contains(effect.hodges_lehmann));
}

#[test]
fn a_known_addition_is_found_in_every_kind() {
    // Eight blocks of ground, three treatments: nothing, +2, -3.
    let mut labels = Vec::new();
    let mut values = Vec::new();
    let mut blocks = Vec::new();
    let mut g = Generator::new(4, 0);
    for block in 0..8_usize {
        let mut order = [0, 1, 2];
        shuffle(&mut g, &mut order);
        for label in order {
            labels.push(label);
            blocks.push(block);
            values.push(40.0 + 5.0 * block as f64 + g.unit() + [0.0, 2.0, -3.0][label]);
        }
    }
    let scheme = Scheme::blocks(&blocks);
    let trial = trial(&labels, &scheme);
    let effects = length(&values, &trial).unwrap();
    for (effect, want) in effects.iter().zip([2.0, -3.0]) {
        assert!(effect.interval.unwrap().contains(want), "{effect:?}");
        close(effect.estimate, want, 0.5);
        close(effect.hodges_lehmann, want, 0.5);
        close(effect.p.value, 2.0 / 256.0, 1e-12);
        assert!(effect.p_adjusted >= effect.p.value && effect.p_adjusted < 0.05);
    }
    assert_eq!((effects[0].superiority, effects[1].superiority), (1.0, 0.0));
    // The same answer for cover; and with the ground on both sides, for the step at the edge.
    let covered = cover(&values, &trial).unwrap();
    assert_eq!(covered[0].interval, effects[0].interval);
    let outside: Vec<f64> = blocks.iter().map(|&b| 5.0 * b as f64).collect();
    let step = edge_step(&values, &outside, &trial).unwrap();
    close(step[0].estimate, effects[0].estimate, 1e-9);
    // Ratios: what multiplies is found as a factor.
    let grown: Vec<f64> = values
        .iter()
        .zip(&labels)
        .map(|(v, &l)| v * [1.0, 1.5, 0.5][l])
        .collect();
    let ratio = &length_ratio(&grown, &trial).unwrap()[0];
    assert!(ratio.estimate > 1.5 && ratio.interval.unwrap().contains(ratio.estimate));
}

#[test]
fn coverage_is_exact_for_an_additive_effect() {
    // Six pairs: the 95 % interval leaves out 2 of 64 allocations, and holds the truth in the rest.
    let blocks: Vec<usize> = (0..12).map(|i| i / 2).collect();
    let scheme = Scheme::blocks(&blocks);
    let trials = 400;
    let covered = (0..trials)
        .filter(|&stream| {
            let mut g = Generator::new(8, stream);
            let mut labels = Vec::new();
            let mut values = Vec::new();
            for _ in 0..6 {
                let first = usize::try_from(g.below(2)).unwrap();
                let ground = 10.0 * g.unit();
                for label in [first, 1 - first] {
                    labels.push(label);
                    values.push(ground - 3.0 * g.unit().ln() + 4.0 * label as f64);
                }
            }
            let effect = &length(&values, &trial(&labels, &scheme)).unwrap()[0];
            effect.interval.unwrap().contains(4.0)
        })
        .count();
    let share = covered as f64 / trials as f64;
    // 62/64 = 0.969, four standard errors either way.
    assert!((share - 0.969).abs() < 4.0 * 0.0087, "{share}");
}

#[test]
fn extremes_are_defined() {
    let blocks: Vec<usize> = (0..8).map(|i| i / 2).collect();
    let scheme = Scheme::blocks(&blocks);
    let labels = [0, 1, 1, 0, 0, 1, 1, 0];
    // Four pairs reach p = 0.125 at best: no interval.
    let scores = [5.0, 7.0, 6.5, 5.0, 4.0, 8.0, 6.0, 6.0];
    let effect = &score(&scores, &trial(&labels, &scheme)).unwrap()[0];
    assert_eq!(effect.interval, None);
    assert!(
        effect
            .cautions
            .iter()
            .any(|c| c.code == "too-few-allocations")
    );
    assert_eq!((effect.p.value, effect.superiority), (0.25, 0.875));
    // All alike.
    let effect = &score(
        &[5.0; 8],
        &Trial {
            level: 0.8,
            ..trial(&labels, &scheme)
        },
    )
    .unwrap()[0];
    assert_eq!(
        (effect.p.value, effect.estimate, effect.superiority),
        (1.0, 0.0, 0.5)
    );
    assert!(effect.cautions.iter().any(|c| c.code == "no-variation"));
    // Without blocks.
    let open = Scheme::completely_randomised(8);
    let effect = &length(&scores, &trial(&labels, &open)).unwrap()[0];
    assert!(effect.interval.unwrap().contains(effect.hodges_lehmann));
    // Near the end of the scale.
    let high = [99.0, 40.0, 45.0, 98.0, 97.0, 99.5, 100.0, 95.0];
    let effect = &cover(&high, &trial(&labels, &open)).unwrap()[0];
    assert!(
        effect
            .interval
            .is_none_or(|i| i.low >= -100.0 && i.high <= 100.0)
    );
    assert!(score(&[0.0; 8], &trial(&labels, &scheme)).is_err());
    assert!(cover(&[101.0; 8], &trial(&labels, &scheme)).is_err());
    assert!(length(&[f64::NAN; 8], &trial(&labels, &scheme)).is_err());
    assert!(length_ratio(&[0.0; 8], &trial(&labels, &scheme)).is_err());
    assert!(edge_step(&[1.0], &[1.0, 2.0], &trial(&labels, &scheme)).is_err());
}
