//! Every kind of design laid out on a green: who stands where, and what each can show.

use std::collections::BTreeMap;

use halfgreen::area::{read_csv, rectangle};
use halfgreen::design::allocation::draw;
use halfgreen::design::kinds::{
    CompletelyRandomised, Crossover, Paired, RandomisedBlocks, SplitPlot,
};
use halfgreen::design::{
    Balance, BlockBy, LaidOut, Protocol, TreatmentKind, advise_on_sheets, lay_out, read_protocol,
    scheme_of, starter,
};
use halfgreen_analysis::random::Generator;

use super::trial::{KIDNEY, green, protocol};

fn laid(plan: &Protocol) -> LaidOut {
    lay_out(plan, &green(&rectangle(40.0, 30.0)), 5).unwrap()
}

/// How often each treatment stands in each block.
fn table(laid: &LaidOut) -> BTreeMap<(Option<String>, String), usize> {
    let mut table = BTreeMap::new();
    for p in &laid.layout.plots {
        *table
            .entry((p.block.clone(), p.treatment.clone()))
            .or_default() += 1;
    }
    table
}

#[test]
fn a_completely_randomised_design_has_no_blocks() {
    let mut plan = protocol(&CompletelyRandomised, &["open", "sheet", "air"], 4);
    let even = laid(&plan);
    assert_eq!(even.allocations, "34650");
    assert_eq!(even.residual_df, 9);
    assert!(even.layout.plots.iter().all(|p| p.block.is_none()));
    plan.design.arrangement.control_plots = Some(2);
    let more = laid(&plan);
    assert_eq!(table(&more)[&(None, "open".into())], 8);
    // 16! / (8! 4! 4!)
    assert_eq!(more.allocations, "900900");
}

#[test]
fn blocks_hold_every_treatment_and_more_of_the_control() {
    let mut plan = protocol(&RandomisedBlocks, &["open", "sheet", "air"], 5);
    plan.design.arrangement.control_plots = Some(2);
    let laid = laid(&plan);
    assert_eq!(laid.allocations, 12_u64.pow(5).to_string());
    for ((_, treatment), many) in table(&laid) {
        assert_eq!(many, if treatment == "open" { 2 } else { 1 });
    }
    // 20 plots, 5 blocks, 3 treatments.
    assert_eq!(laid.residual_df, 13);
}

#[test]
fn whole_plots_keep_together() {
    let mut plan = protocol(&SplitPlot, &["o", "oa", "s", "sa"], 3);
    plan.design.arrangement.whole_plots =
        vec![vec!["o".into(), "oa".into()], vec!["s".into(), "sa".into()]];
    let laid = laid(&plan);
    assert_eq!(laid.allocations, "512");
    for whole in laid.layout.plots.chunks(2) {
        assert_eq!(whole[0].row, whole[1].row);
        assert_eq!(
            whole[0].treatment.chars().next(),
            whole[1].treatment.chars().next()
        );
    }
    plan.design.arrangement.whole_plots.pop();
    assert!(lay_out(&plan, &green(&rectangle(40.0, 30.0)), 5).is_err());
}

#[test]
fn a_crossover_gives_every_plot_every_treatment() {
    let plan = protocol(&Crossover, &["open", "sheet", "air"], 2);
    let laid = laid(&plan);
    assert_eq!(laid.allocations, "144");
    assert_eq!(laid.layout.plots.len(), 18);
    for (i, nights) in laid.layout.plots.chunks(3).enumerate() {
        let mut got: Vec<&str> = nights.iter().map(|p| p.treatment.as_str()).collect();
        got.sort_unstable();
        assert_eq!(got, ["air", "open", "sheet"]);
        assert!(nights.iter().all(|p| p.plot == (i + 1).to_string()));
    }
    // On each night a block has each treatment once.
    for night in ["1", "2", "3"] {
        let on = |b: &str| {
            let plots = laid.layout.plots.iter();
            plots
                .filter(|p| p.row.as_deref() == Some(night) && p.block.as_deref() == Some(b))
                .map(|p| p.treatment.clone())
                .collect::<std::collections::BTreeSet<_>>()
                .len()
        };
        assert_eq!((on("1"), on("2")), (3, 3));
    }
}

/// Williams (1949): within a block every treatment follows every other equally often, and stands
/// equally often on each night.
#[test]
fn a_crossover_balanced_for_carry_over_is() {
    for (codes, allocations, df) in [
        (&["open", "sheet", "air", "both"][..], "144", 3),
        (&["open", "sheet", "air"][..], "720", 6),
    ] {
        let mut plan = protocol(&Crossover, codes, 1);
        plan.design.arrangement.balance = Some(Balance::CarryOver);
        let t = codes.len();
        let sequences = t * (1 + t % 2);
        let laid = laid(&plan);
        assert_eq!(laid.allocations, allocations);
        assert_eq!(laid.residual_df, df);
        assert_eq!(laid.layout.plots.len(), sequences * t);
        let drawn: Vec<&str> = laid
            .layout
            .plots
            .iter()
            .map(|p| p.treatment.as_str())
            .collect();
        for a in codes {
            for b in codes.iter().filter(|b| *b != a) {
                let follow = drawn
                    .chunks(t)
                    .flat_map(|s| s.windows(2))
                    .filter(|w| **w == [*a, *b]);
                assert_eq!(follow.count(), sequences / t);
            }
            let first = drawn.chunks(t).filter(|s| s[0] == *a);
            assert_eq!(first.count(), sequences / t);
        }
        let scheme = scheme_of(&plan, &laid.layout).unwrap();
        let again = draw(&scheme, &[], &mut Generator::new(5, 0)).unwrap();
        assert!(again.iter().map(|&x| codes[x]).eq(drawn));
    }
    let balanced = "\nkind = \"crossover\"\nbalance = \"carry-over\"";
    let asked = starter::TRIAL.replace("\nkind = \"paired\"", balanced);
    // Nights that are not named are numbered.
    let (before, rest) = asked.split_once("[[occasion]]").unwrap();
    let (_, after) = rest.split_once("[decision]").unwrap();
    let asked = format!("{before}[decision]{after}");
    let read = read_protocol("trial.toml", &asked).unwrap().protocol;
    assert_eq!(read.design.arrangement.balance, Some(Balance::CarryOver));
    let mut blocks = protocol(&RandomisedBlocks, &["open", "sheet"], 2);
    blocks.design.arrangement.balance = Some(Balance::CarryOver);
    let refused = lay_out(&blocks, &green(&rectangle(40.0, 30.0)), 5).unwrap_err();
    assert!(
        refused.to_string().contains("only a crossover"),
        "{refused}"
    );
}

/// Blocks by rank: every plot of block 1 ranks below every plot of block 2, and so on.
#[test]
fn blocks_by_rank_follow_distance_or_counts() {
    let outline = read_csv("outline.csv", KIDNEY).unwrap();
    let mut plan = protocol(&RandomisedBlocks, &["open", "sheet", "air"], 4);
    plan.design.arrangement.block_by = BlockBy::EdgeDistance;
    let ranked = lay_out(&plan, &outline, 2).unwrap();
    let spread = |laid: &LaidOut, value: &dyn Fn(usize) -> f64| {
        for block in 1..4 {
            let of = |b: usize| {
                let plots = laid.layout.plots.iter().enumerate();
                plots
                    .filter(move |(_, p)| p.block == Some(b.to_string()))
                    .map(|(i, _)| value(i))
                    .collect::<Vec<f64>>()
            };
            let most = of(block).into_iter().fold(f64::NEG_INFINITY, f64::max);
            let least = of(block + 1).into_iter().fold(f64::INFINITY, f64::min);
            assert!(most <= least + 1e-3);
        }
    };
    spread(&ranked, &|i| {
        let p = &ranked.layout.plots[i];
        outline.distance_to_edge_m(p.x_m, p.y_m)
    });
    let before: Vec<f64> = (0..12).map(|i| f64::from(i * 7 % 12)).collect();
    plan.design.arrangement.block_by = BlockBy::BeforeCounts;
    assert!(
        lay_out(&plan, &outline, 2)
            .unwrap_err()
            .what
            .contains("0 counts")
    );
    plan.design.arrangement.before.clone_from(&before);
    let ranked = lay_out(&plan, &outline, 2).unwrap();
    spread(&ranked, &|i| before[i]);
    assert_eq!(
        table(&ranked).values().copied().collect::<Vec<_>>(),
        [1; 12]
    );
}

#[test]
fn advice_is_given_where_it_is_due() {
    let codes =
        |plan: &Protocol| -> Vec<&str> { laid(plan).advice.iter().map(|a| a.code).collect() };
    let one = protocol(&Paired, &["open", "sheet"], 1);
    assert_eq!(
        codes(&one),
        [
            "one-pair",
            "smallest-p-above-alpha",
            "few-residual-df",
            "low-chance",
            "one-green"
        ]
    );
    let four = protocol(&Paired, &["open", "sheet"], 4);
    let laid_four = laid(&four);
    assert_eq!(laid_four.smallest_p, 0.125);
    assert!(
        laid_four.advice[0].message.contains("About 6 pairs"),
        "{:?}",
        laid_four.advice
    );
    // From 41 pairs the draw itself leads at 5 %.
    let eight = protocol(&Paired, &["open", "sheet"], 8);
    assert_eq!(
        codes(&eight),
        ["model-leads", "few-residual-df", "low-chance", "one-green"]
    );
    assert!(laid(&eight).advice[0].message.contains("0.0078"));
    let mut bare = protocol(&Paired, &["open", "sheet"], 13);
    assert_eq!(codes(&bare), ["model-leads", "low-chance", "one-green"]);
    let mut many = protocol(&Paired, &["open", "sheet"], 41);
    (many.plot.length_m, many.plot.width_m) = (2.0, 2.0);
    assert!(!codes(&many).contains(&"model-leads"));
    bare.decision.worthwhile_percent = 95.0;
    assert_eq!(codes(&bare), ["model-leads", "one-green"]);
    bare.plot.guard_m = 0.0;
    bare.response.cores_per_plot = 100;
    assert_eq!(
        codes(&bare),
        [
            "model-leads",
            "no-guard",
            "many-cores-for-plot",
            "one-green"
        ]
    );
}

/// The sheet's edge lies on the guard, so the guard must be as wide.
#[test]
fn a_guard_narrower_than_a_sheets_edge_is_named() {
    let mut plan = protocol(&Paired, &["open", "sheet"], 13);
    assert!(advise_on_sheets(&plan, 0.5).is_none());
    let said = advise_on_sheets(&plan, 0.75).unwrap();
    assert!(said.message.contains("guard_m = 0.75"));
    plan.treatments[1].kind = TreatmentKind::Aeration;
    assert!(advise_on_sheets(&plan, 0.75).is_none());
}

#[test]
fn the_same_seed_gives_the_same_layout() {
    let plan = protocol(&RandomisedBlocks, &["open", "sheet", "air"], 6);
    assert_eq!(laid(&plan), laid(&plan));
    let drawn: Vec<String> = laid(&plan)
        .layout
        .plots
        .into_iter()
        .map(|p| p.treatment)
        .collect();
    let other = lay_out(&plan, &green(&rectangle(40.0, 30.0)), 6).unwrap();
    assert!(
        drawn
            .iter()
            .ne(other.layout.plots.iter().map(|p| &p.treatment))
    );
}
