//! Two runs at once: one draw is sealed, and none is lost.

use std::process::{Child, Command, Output, Stdio};

use crate::scratch::{PROTOCOL, Scratch, times};

fn started(scratch: &Scratch, arguments: &[&str]) -> Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_halfgreen"));
    command.args(arguments).current_dir(scratch.path(""));
    command.stdout(Stdio::piped()).stderr(Stdio::piped());
    command.spawn().unwrap()
}

/// Two runs of the program that begin at the same moment, as nearly as a machine can.
fn both(scratch: &Scratch, arguments: [&[&str]; 2]) -> [Output; 2] {
    let runs = arguments.map(|arguments| started(scratch, arguments));
    runs.map(|run| run.wait_with_output().unwrap())
}

fn is_as_sealed(scratch: &Scratch) {
    let verified = scratch.run(&["layout", ".", "--verify"]);
    assert_eq!(
        verified.code(),
        Some(0),
        "{}{}",
        verified.out(),
        verified.err()
    );
}

#[test]
fn of_two_draws_at_once_one_is_sealed_and_one_refused() {
    for _ in 0..times(10) {
        let scratch = Scratch::measured(PROTOCOL);
        let layout = |seed| ["layout", ".", "--seed", seed];
        let runs = both(&scratch, [&layout("1"), &layout("2")]);
        let done = runs.iter().filter(|run| run.status.success()).count();
        assert_eq!(done, 1, "{runs:?}");
        let refused = runs.iter().find(|run| !run.status.success()).unwrap();
        let said = String::from_utf8_lossy(&refused.stderr);
        assert!(said.contains("laid out and sealed already"), "{said}");
        is_as_sealed(&scratch);
        let names = [
            "layout.csv",
            "map.svg",
            "outline.csv",
            "seal.toml",
            "trial.toml",
        ];
        let names = names.into_iter().chain(["written-by-halfgreen.toml"]);
        assert_eq!(scratch.names(), names.collect::<Vec<_>>());
    }
}

#[test]
fn two_draws_that_replace_are_both_kept() {
    for _ in 0..times(10) {
        let scratch = Scratch::measured(PROTOCOL);
        assert_eq!(scratch.run(&["layout", ".", "--seed", "1"]).code(), Some(0));
        let mut draws = vec![scratch.read("seal.toml")];
        let layout = |seed| ["layout", ".", "--replace", "--seed", seed];
        let runs = both(&scratch, [&layout("2"), &layout("3")]);
        assert!(runs.iter().all(|run| run.status.success()), "{runs:?}");
        is_as_sealed(&scratch);
        let kept = ["seal-1.toml", "seal-2.toml", "seal.toml"].map(|name| scratch.read(name));
        assert_eq!(kept[0], draws.remove(0));
        for seed in ["seed = 2\n", "seed = 3\n"] {
            let of_seed = kept.iter().filter(|seal| seal.contains(seed)).count();
            assert_eq!(of_seed, 1, "{kept:?}");
        }
    }
}

#[test]
fn two_demonstrations_at_once_take_two_folders() {
    for _ in 0..times(2) {
        let scratch = Scratch::empty();
        let runs = both(&scratch, [&["demo"], &["demo"]]);
        assert!(runs.iter().all(|run| run.status.success()), "{runs:?}");
        assert_eq!(scratch.names(), ["halfgreen-demo", "halfgreen-demo-2"]);
        let files = scratch.files();
        let [first, second] = ["halfgreen-demo/", "halfgreen-demo-2/"].map(|folder| {
            files
                .iter()
                .filter(|(name, _)| name.starts_with(folder))
                .count()
        });
        assert_eq!(first, second);
    }
}

/// Where folders can be locked, a run that has to write waits for whoever holds the folder.
#[cfg(unix)]
#[test]
fn a_run_waits_for_another_that_holds_the_folder() {
    let scratch = Scratch::measured(PROTOCOL);
    #[expect(
        clippy::disallowed_types,
        reason = "a folder is locked through an opened file"
    )]
    let held = std::fs::File::open(scratch.path("")).unwrap();
    held.lock().unwrap();
    let mut run = started(&scratch, &["layout", "."]);
    std::thread::sleep(std::time::Duration::from_millis(300));
    assert!(!scratch.path("layout.csv").exists());
    assert!(run.try_wait().unwrap().is_none());
    held.unlock().unwrap();
    assert!(run.wait().unwrap().success());
    is_as_sealed(&scratch);
}
