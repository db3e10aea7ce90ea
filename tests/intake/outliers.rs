//! Counts beyond what the other plots let expect: a slip of the pen is flagged, sound counts seldom are, and none is dropped.

use std::fmt::Write as _;

use halfgreen::design::{Layout, Protocol, read_layout, read_protocol};
use halfgreen::intake::{Check, check_counts};
use halfgreen::table::Rule;
use halfgreen_analysis::distributions::negative_binomial::draw;
use halfgreen_analysis::random::Generator;

use crate::scratch::PROTOCOL;

const PLOTS: usize = 16;
const CORES: usize = 4;

fn trial() -> (Protocol, Layout) {
    let text = PROTOCOL
        .replace("blocks = 2", "blocks = 8")
        .replace("cores_per_plot = 2", "cores_per_plot = 4");
    let mut layout =
        "plot,block,row,column,treatment,x_m,y_m,length_m,width_m,angle_deg\n".to_owned();
    for plot in 0..PLOTS {
        let (block, treatment) = (plot / 2, if plot % 2 == 0 { "U" } else { "C" });
        writeln!(
            layout,
            "{},{},,,{treatment},{},{},4,2,0",
            plot + 1,
            block + 1,
            block * 6,
            plot % 2 * 3
        )
        .unwrap();
    }
    let protocol = read_protocol("trial.toml", &text).unwrap().protocol;
    (protocol, read_layout("layout.csv", &layout, &[]).unwrap())
}

/// Counts of a trial: plots differ by themselves (a log-normal with a deviation of one half), counts within them are clumped.
fn counts(generator: &mut Generator, mean: f64, k: f64) -> Vec<u64> {
    let mut counts = Vec::new();
    for _ in 0..PLOTS {
        // Twelve uniform draws less six have the moments of a standard normal.
        let normal: f64 = (0..12).map(|_| generator.unit()).sum::<f64>() - 6.0;
        let of_plot = mean * (0.5 * normal - 0.125).exp();
        counts.extend((0..CORES).map(|_| draw(generator, of_plot, k).min(100)));
    }
    counts
}

fn checked(counts: &[u64], (protocol, layout): &(Protocol, Layout)) -> Check {
    let mut text = "plot,sample,occasion,count\n".to_owned();
    for (at, count) in counts.iter().enumerate() {
        writeln!(text, "{},{},main,{count}", at / CORES + 1, at % CORES + 1).unwrap();
    }
    check_counts("counts.csv", &text, protocol, layout)
}

fn flagged(check: &Check) -> Vec<u64> {
    let found = check
        .result
        .problems
        .iter()
        .filter(|p| p.rule == Rule::Outlier);
    found.map(|p| p.line).collect()
}

/// The level that the words state: of sound checks no more than one in twenty is flagged, whatever the clumping.
#[test]
fn sound_counts_are_flagged_no_oftener_than_is_said() {
    let trial = trial();
    for (mean, k) in [(1.0, 0.7), (5.0, 0.7), (5.0, 3.0)] {
        let trials: u32 = 200;
        let mut generator = Generator::new(5, 0);
        let of = (0..trials).filter(|_| {
            let sound = counts(&mut generator, mean, k);
            !flagged(&checked(&sound, &trial)).is_empty()
        });
        let often = f64::from(u32::try_from(of.count()).unwrap()) / f64::from(trials);
        // Three standard errors of 200 trials at one in twenty are 0.046.
        assert!(often < 0.05 + 0.046, "mean {mean}, k {k}: {often}");
    }
}

/// A nought too many is found in most trials, in its own line, and the counts stay usable and whole.
#[test]
fn a_slip_of_the_pen_is_flagged_and_kept() {
    let trial = trial();
    let mut generator = Generator::new(6, 0);
    let mut found = 0;
    for at in 0..50 {
        let mut slipped = counts(&mut generator, 5.0, 3.0);
        slipped[at] = 99;
        let check = checked(&slipped, &trial);
        let lines = flagged(&check);
        if lines.contains(&(at as u64 + 2)) {
            found += 1;
            let problems = &check.result.problems;
            let problem = problems.iter().find(|p| p.rule == Rule::Outlier).unwrap();
            let said = problem.complaint.to_string();
            assert!(
                said.contains("in 5 of 100 sound checks") && said.contains("all 64 samples"),
                "{said}"
            );
            assert_eq!((problem.column, problem.is_error()), (4, false));
        }
        let kept: u64 = check
            .counts
            .unwrap()
            .observations()
            .iter()
            .map(|o| o.count)
            .sum();
        assert_eq!(kept, slipped.iter().sum::<u64>());
    }
    assert!(found > 35, "{found} of 50");
}

/// Where the others are all empty nothing is known of their scatter, and where they are few too little.
#[test]
fn nothing_is_said_where_nothing_can_be_known() {
    let trial = trial();
    let mut lone = vec![0; PLOTS * CORES];
    lone[0] = 60;
    assert_eq!(flagged(&checked(&lone, &trial)), Vec::<u64>::new());
    let few = super::check(
        "plot,sample,occasion,count\n1,1,main,90\n1,2,main,1\n4,1,main,1\n4,2,main,2\n",
    );
    assert_eq!(flagged(&few), Vec::<u64>::new());
}

/// Stages of one core, and what came up later, are one sample: together they may be too many though no line is.
#[test]
fn lines_of_one_sample_are_added_before_they_are_held_against_others() {
    let (protocol, layout) = trial();
    let mut text = "plot,sample,occasion,stage,count\n".to_owned();
    for at in 0..PLOTS * CORES {
        writeln!(
            text,
            "{},{},main,larva,{}",
            at / CORES + 1,
            at % CORES + 1,
            2 + at % 3
        )
        .unwrap();
    }
    let plain = check_counts("counts.csv", &text, &protocol, &layout);
    assert_eq!(flagged(&plain), Vec::<u64>::new());
    for stage in ["pupa", "empty case", "adult"] {
        writeln!(text, "1,1,main,{stage},15").unwrap();
    }
    let found = check_counts("counts.csv", &text, &protocol, &layout);
    assert_eq!(flagged(&found), [PLOTS as u64 * CORES as u64 + 2]);
}
