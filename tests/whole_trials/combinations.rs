//! Every verdict, in every kind of trial, with all that is said of it on every page, kept to be read: fewer or more is
//! better, counts or readings, one or several greens, one or several methods.
//!
//! A snapshot that changes is read through before it is kept: no sentence may contradict another one of the same trial.
//! `INSTA_UPDATE=always` writes what is said now.

use super::sentences::{Pages, check, told_of};
use super::{GREEN, Told, Trial, Unit, agreement};

/// What a method does, set up so that the trial says so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Does {
    /// Beats the control by enough to matter.
    Beats,
    /// Beats it, perhaps by enough.
    Perhaps,
    /// Beats it by too little.
    TooLittle,
    Harms,
    /// Nothing that would be worth having.
    Nothing,
    /// Nobody can tell.
    Unclear,
}

use Does::{Beats, Harms, Nothing, Perhaps, TooLittle, Unclear};

impl Does {
    /// Call and relevance that must come out.
    fn call(self) -> [&'static str; 2] {
        match self {
            Beats => ["beat-the-control", "established"],
            Perhaps => ["beat-the-control", "undecided"],
            TooLittle => ["beat-the-control", "excluded"],
            Harms => ["did-worse", "excluded"],
            Nothing => ["too-small-to-matter", "excluded"],
            Unclear => ["cannot-tell", "undecided"],
        }
    }

    /// Mean count beside that of the control, where fewer is better and where more is.
    fn ratio(self, more: bool) -> f64 {
        match (self, more) {
            (Beats, false) | (Harms, true) => 0.1,
            (Beats, true) | (Harms, false) => 4.0,
            (Perhaps, false) => 0.5,
            (Perhaps, true) => 1.9,
            (TooLittle, false) => 0.7,
            (TooLittle, true) => 1.25,
            (Nothing, _) => 1.1,
            (Unclear, false) => 0.6,
            (Unclear, true) => 1.2,
        }
    }

    /// Difference from the control of a score.
    fn difference(self) -> f64 {
        match self {
            Beats | Perhaps => 2.0,
            Harms => -2.0,
            Nothing | TooLittle => 0.0,
            Unclear => 0.5,
        }
    }
}

/// A kind of trial.
#[derive(Debug, Clone, Copy)]
pub(super) struct Kind {
    pub(super) more: bool,
    pub(super) readings: bool,
    pub(super) greens: usize,
}

impl Kind {
    fn name(self) -> String {
        let direction = if self.more { "more" } else { "fewer" };
        let greens = match self.greens {
            1 => "one green".to_owned(),
            n => format!("{n} greens"),
        };
        format!("{direction} is better, {greens}")
    }

    /// The trial of methods that do this.
    pub(super) fn trial(self, methods: &[Does]) -> Trial<'static> {
        let does = methods.to_vec();
        let mut trial = Trial::paired(move |unit| self.counted(&does, unit));
        if methods.len() > 1 {
            let slit =
                "[[treatment]]\ncode = \"S\"\nname = \"slit\"\nkind = \"aeration\"\n\n[design]";
            trial = trial
                .with("\"paired\"", "\"randomised-blocks\"")
                .with("length_m = 3.0", "length_m = 2.0")
                .with("[design]", slit);
        }
        if self.greens > 1 {
            let each = 12 / self.greens;
            let green = |n: usize| {
                let name = ["ninth", "tenth", "last"][n];
                format!(
                    "[[green]]\nname = \"{name}\"\noutline = \"{name}.csv\"\nblocks = {each}\n\n"
                )
            };
            let all: String = (0..self.greens).map(green).collect();
            trial = trial.with("[plot]", &(all + "[plot]"));
            trial.files = vec![
                ("t/ninth.csv", GREEN),
                ("t/tenth.csv", GREEN),
                ("t/last.csv", GREEN),
            ];
        }
        trial = trial.with("blocks = 8", "blocks = 12");
        if self.readings {
            self.score(trial)
        } else if self.more {
            trial
                .with(
                    "name = \"larvae in cores\"",
                    "name = \"larvae on the surface\"\nbetter = \"more\"",
                )
                .with("core_diameter_mm = 108", "area_m2 = 0.25")
                .with(
                    "worthwhile_reduction_percent",
                    "worthwhile_increase_percent",
                )
        } else {
            trial
        }
    }

    fn score(self, trial: Trial<'static>) -> Trial<'static> {
        let better = if self.more { "more" } else { "fewer" };
        let mut trial = trial
            .with(
                "name = \"larvae in cores\"",
                &format!("name = \"colour\"\nkind = \"score\"\nbetter = \"{better}\""),
            )
            .with("core_diameter_mm = 108\n", "")
            .with(
                "worthwhile_reduction_percent = 50",
                "worthwhile_difference = 1",
            );
        trial.column = "reading";
        trial
    }

    /// What is counted or read in a plot: even ground, on which an unclear method swings from block to block, or from green
    /// to green where the verdict is about greens like these.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "counts are small and not negative"
    )]
    fn counted(self, methods: &[Does], unit: &Unit<'_>) -> u64 {
        let does = match unit.treatment {
            "C" => Some(methods[0]),
            "S" => Some(methods[1]),
            _ => None,
        };
        let block = (unit.plot - 1) / (1 + methods.len() as u64);
        let swing = match (does, self.greens) {
            (Some(Unclear), 3) => [1.0, -1.0, 0.0][(block / 4 % 3) as usize],
            (Some(Unclear), _) => [1.0, -1.0][(block % 2) as usize],
            _ => 0.0,
        };
        let scatter = [0.0, 0.2, -0.2, 0.1, -0.1][(unit.plot * 7 % 5) as usize];
        if self.readings {
            let by = does.map_or(0.0, Does::difference);
            let by = if self.more { by } else { -by };
            let sample = 0.4 * (unit.sample % 2) as f64;
            return (5.0 + by + 2.0 * swing + 2.0 * scatter + sample).round() as u64;
        }
        let wider = if methods.contains(&Perhaps) { 2.5 } else { 1.0 };
        let ratio = does.map_or(1.0, |d| d.ratio(self.more));
        (12.0 * ratio * f64::exp(wider * scatter + 0.95 * swing)).round() as u64 + unit.sample % 2
    }

    /// All that is said, held to the rules.
    fn told(self, methods: &[Does]) -> (String, Pages) {
        let told = self.trial(methods).carried_out();
        self.as_set_up(methods, &told);
        agreement::check(&told, None, &[]);
        let pages = Pages::of(&told);
        check(&pages);
        let does: Vec<String> = methods.iter().map(|d| format!("{d:?}")).collect();
        (format!("{}: {}", self.name(), does.join(" and ")), pages)
    }

    /// Holds the verdicts to what the counts were made for.
    fn as_set_up(self, methods: &[Does], told: &Told) {
        let result = &told.results["result"];
        for (at, does) in methods.iter().enumerate() {
            let [call, relevance] = does.call();
            if self.readings {
                assert_eq!(
                    result["effect"][at]["call"], call,
                    "{self:?} {methods:?}: {}",
                    result["effect"]
                );
            } else {
                let verdict = &result["verdicts"][at];
                assert_eq!(verdict["call"], call, "{self:?} {methods:?}: {verdict}");
                if call == "beat-the-control" {
                    assert_eq!(
                        verdict["relevance"], relevance,
                        "{self:?} {methods:?}: {verdict}"
                    );
                }
            }
        }
    }
}

fn kinds(readings: bool, more: bool) -> [Kind; 2] {
    [1, 2].map(|greens| Kind {
        more,
        readings,
        greens,
    })
}

fn one_method(readings: bool, more: bool) -> String {
    let calls: &[Does] = if readings {
        &[Beats, Harms, Nothing, Unclear]
    } else {
        &[Beats, Perhaps, TooLittle, Harms, Nothing, Unclear]
    };
    let kinds = kinds(readings, more);
    let all = kinds
        .iter()
        .flat_map(|kind| calls.iter().map(|does| kind.told(&[*does])));
    told_of(&all.collect::<Vec<_>>())
}

/// Every two of the four verdicts in one trial.
fn two_methods(readings: bool, more: bool) -> String {
    let calls = [Beats, Harms, Nothing, Unclear];
    let pairs = (0..4).flat_map(|a| (a..4).map(move |b| [calls[a], calls[b]]));
    let [one, several] = kinds(readings, more);
    // Half of them on one green, half on several.
    let told = |(at, pair): (usize, [Does; 2])| if at % 2 == 0 { one } else { several }.told(&pair);
    told_of(&pairs.enumerate().map(told).collect::<Vec<_>>())
}

macro_rules! kept {
    ($($name:ident: $told:expr;)*) => {
        $(
            #[test]
            fn $name() {
                insta::assert_snapshot!(stringify!($name), $told);
            }
        )*
    };
}

kept! {
    counts_of_which_fewer_is_better: one_method(false, false);
    counts_of_which_more_is_better: one_method(false, true);
    readings_of_which_less_is_better: one_method(true, false);
    readings_of_which_more_is_better: one_method(true, true);
    two_methods_and_counts_of_which_fewer_is_better: two_methods(false, false);
    two_methods_and_counts_of_which_more_is_better: two_methods(false, true);
    two_methods_and_readings_of_which_less_is_better: two_methods(true, false);
    two_methods_and_readings_of_which_more_is_better: two_methods(true, true);
}

/// From three greens on the verdict is about others like them.
#[test]
fn greens_like_these() {
    let kind = Kind {
        more: false,
        readings: false,
        greens: 3,
    };
    let all = [Beats, Harms, Nothing, Unclear].map(|does| kind.told(&[does]));
    insta::assert_snapshot!("greens_like_these", told_of(&all));
}
