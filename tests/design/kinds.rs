//! Every kind of design that is listed is complete: from the text of a protocol to a judged trial and back.

use std::collections::BTreeSet;
use std::fmt::Write;

use halfgreen::area::rectangle;
use halfgreen::design::allocation::{Sampler, allocations};
use halfgreen::design::kinds::{DesignKind, KINDS};
use halfgreen::design::{
    LaidOut, Protocol, lay_out, read_layout, read_protocol, scheme_of, seal, verify, write_layout,
};
use halfgreen::intake::check_counts;
use halfgreen::judgement::judge;
use halfgreen::trial_data::data_from_trial;
use halfgreen_analysis::random::Generator;

use super::trial::green;

const CODES: [&str; 4] = ["o", "oa", "s", "sa"];
const SEED: u64 = 5;

/// The text of a protocol of the kind, with as many of four treatments as it takes and two blocks.
fn text(kind: DesignKind) -> String {
    let facts = kind.facts();
    let many = (2..=CODES.len()).rev().find(|&n| kind.takes(n).is_ok());
    let mut text =
        "[trial]\ntitle = \"Every kind\"\nquestion = \"Does it come back?\"\n".to_owned();
    for code in &CODES[..many.unwrap()] {
        let control = *code == CODES[0];
        write!(
            text,
            "[[treatment]]\ncode = \"{code}\"\nname = \"{code}\"\ncontrol = {control}\n"
        )
        .unwrap();
    }
    write!(
        text,
        "[design]\nkind = \"{}\"\nblocks = 2\n{}[plot]\nlength_m = 2.0\nwidth_m = 2.0\n[response]\nname = \"larvae\"\n\
         cores_per_plot = 1\narea_m2 = 0.01\n[decision]\nworthwhile_reduction_percent = 50\n",
        facts.key,
        if facts.factor_on_whole_plots {
            "whole_plots = [[\"o\", \"oa\"], [\"s\", \"sa\"]]\n"
        } else {
            ""
        }
    )
    .unwrap();
    text
}

fn laid_out(kind: DesignKind) -> (Protocol, LaidOut) {
    let plan = read_protocol("trial.toml", &text(kind)).unwrap().protocol;
    assert!(plan.design.kind == kind, "{kind:?}");
    let laid = lay_out(&plan, &green(&rectangle(40.0, 30.0)), SEED).unwrap();
    (plan, laid)
}

/// Protocol, layout, seal, `layout.csv`, and back to the draw as it was made.
#[test]
fn every_kind_comes_back_from_its_files() {
    let outline = green(&rectangle(40.0, 30.0));
    for &kind in KINDS {
        let (plan, laid) = laid_out(kind);
        let sealed = seal(&plan, &outline, &laid, "2026-09-01T10:00:00Z", None).unwrap();
        let filed = read_layout("layout.csv", &write_layout(&laid.layout).unwrap(), &[]).unwrap();
        assert_eq!(filed, laid.layout, "{kind:?}");
        let differs = verify(&sealed, &plan, &outline, &filed).unwrap();
        assert_eq!(differs, Vec::new(), "{kind:?}");
        let scheme = scheme_of(&plan, &filed).unwrap();
        let units: usize = scheme.blocks.iter().map(Vec::len).sum();
        assert_eq!(units, filed.plots.len(), "{kind:?}");
        let counted = allocations(&scheme, &[]).unwrap();
        assert_eq!(counted.to_string(), laid.allocations, "{kind:?}");
        let again = Sampler::new(&scheme, &[])
            .unwrap()
            .draw(&mut Generator::new(SEED, 0))
            .unwrap();
        let drawn: Vec<&str> = again
            .iter()
            .map(|&x| plan.treatments[x].code.as_str())
            .collect();
        let plots = filed.plots.iter();
        assert!(
            plots.map(|p| p.treatment.as_str()).eq(drawn),
            "{kind:?}: another draw"
        );
        let mut short = filed;
        short.plots.pop();
        assert!(scheme_of(&plan, &short).is_err(), "{kind:?}");
    }
}

/// Counts on the layout are judged within what the kind says, against the draws it had.
#[test]
fn every_kind_is_judged_as_it_was_drawn() {
    for &kind in KINDS {
        let (plan, laid) = laid_out(kind);
        let nights: Vec<&str> = plan.occasions.iter().map(|o| o.name.as_str()).collect();
        let mut counts = "plot,sample,occasion,count\n".to_owned();
        for (line, p) in laid.layout.plots.iter().enumerate() {
            let night = nights[line % nights.len()];
            let count = (line * 5) % 7 + if p.treatment == CODES[0] { 9 } else { 1 };
            writeln!(counts, "{},1,{night},{count}", p.plot).unwrap();
        }
        let checked = check_counts("counts.csv", &counts, &plan, &laid.layout);
        assert_eq!(checked.result.problems, Vec::new(), "{kind:?}");
        let data = data_from_trial(&plan, &laid.layout, &checked.counts.unwrap(), SEED).unwrap();
        assert_eq!(data.plots.len(), laid.layout.plots.len(), "{kind:?}");
        assert_eq!(data.blocking, kind.facts().structure, "{kind:?}");
        let counted = data
            .reference_set
            .as_ref()
            .map(|r| r.allocations.to_string());
        assert_eq!(counted.as_ref(), Some(&laid.allocations));
        let (judged, _) = judge(&data, SEED).unwrap();
        assert_eq!(judged.verdicts.len(), plan.treatments.len() - 1, "{kind:?}");
    }
}

/// What people and files call a kind tells it from the others; its number of blocks reads as English.
#[test]
fn every_kind_has_words_of_its_own() {
    let mut keys = BTreeSet::new();
    let mut names = BTreeSet::new();
    for &kind in KINDS {
        let facts = kind.facts();
        assert!(
            keys.insert(facts.key) && names.insert(facts.name),
            "{kind:?}"
        );
        let plan = serde_json::to_value(laid_out(kind).0).unwrap();
        assert_eq!(plan["design"]["kind"], facts.key);
        assert!(facts.counted(1).starts_with("1 ") && facts.counted(2).starts_with("2 "));
        assert_ne!(facts.counted(1)[2..], facts.counted(2)[2..], "{kind:?}");
    }
}
