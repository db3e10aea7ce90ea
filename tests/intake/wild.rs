//! Whatever is in a file, reading it ends in values or complaints, never in a crash.

use halfgreen::area::read_csv;
use halfgreen::design::{read_layout, read_protocol};
use halfgreen::intake::{Columns, read_columns, read_events};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

use super::{check, layout, protocol};
use crate::scratch::{LAYOUT, PROTOCOL, example};

/// Cases of each kind; the seed is fixed so that a failure can be repeated.
const CASES: u32 = 400;

pub(super) fn runner() -> TestRunner {
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]);
    let config = Config {
        cases: CASES,
        failure_persistence: None,
        ..Config::default()
    };
    TestRunner::new_with_rng(config, rng)
}

fn read_everything(text: &str) {
    let columns = Columns {
        count: "count".to_owned(),
        treatment: "plot".to_owned(),
        control: "1".to_owned(),
        area: Some("area_m2".to_owned()),
        ..Columns::default()
    };
    drop(check(text));
    drop(read_protocol("trial.toml", text));
    drop(read_csv("outline.csv", text));
    drop(read_layout("layout.csv", text, &[]));
    drop(read_events("events.csv", text, &protocol(), &layout()));
    drop(read_columns("table.csv", text, &columns));
}

#[test]
fn arbitrary_bytes_never_crash_a_reader() {
    let bytes = prop::collection::vec(any::<u8>(), 0..400);
    let run = runner().run(&bytes, |b| {
        read_everything(&String::from_utf8_lossy(&b));
        Ok(())
    });
    assert!(run.is_ok(), "{run:?}");
}

#[test]
fn good_files_with_a_few_changed_characters_never_crash_a_reader() {
    let files = [
        PROTOCOL.to_owned(),
        LAYOUT.to_owned(),
        example("untidy-counts/tidy.csv"),
        "x_m,y_m\n0,0\n25,0\n25,23\n0,23\n".to_owned(),
    ];
    let change = (
        any::<prop::sample::Index>(),
        "[\"'\\[\\]=,;.\\-+eE0-9\r\n\t \u{feff}é#]{0,3}",
    );
    let changes = (0..files.len(), prop::collection::vec(change, 1..4));
    let run = runner().run(&changes, |(file, changes)| {
        let mut letters: Vec<String> = files[file].chars().map(String::from).collect();
        for (at, text) in changes {
            *at.get_mut(&mut letters) = text;
        }
        read_everything(&letters.concat());
        Ok(())
    });
    assert!(run.is_ok(), "{run:?}");
}
