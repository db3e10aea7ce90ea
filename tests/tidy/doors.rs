//! Which room has which door to the world: only `store` meets the disk, only `terminal` people and the clock.

use super::{root, sources, text};

/// What only some rooms may say, and which rooms those are.
const DOORS: [(&[&str], &[&str]); 2] = [
    (
        &[
            "std::fs",
            "fs::",
            ".exists()",
            ".is_dir()",
            ".is_file()",
            "read_dir(",
            "canonicalize(",
            "symlink_metadata(",
        ],
        &["store"],
    ),
    (
        &[
            "clap",
            "anstream",
            "anstyle",
            "indicatif",
            "println!",
            "stdout()",
            "stderr()",
            "std::env",
            "now()",
        ],
        &["terminal"],
    ),
];

#[test]
fn only_store_meets_the_disk_and_only_terminal_people_and_the_clock() {
    let src = root().join("trials/src");
    let mut met = [0; DOORS.len()];
    let mut faults = Vec::new();
    for file in sources(&src) {
        let inside = file.strip_prefix(&src).unwrap();
        let room = inside.iter().next().unwrap().to_string_lossy();
        if room == "main.rs" {
            continue;
        }
        let text = text(&file);
        let code = text.lines().filter(|l| !l.trim_start().starts_with("//"));
        for line in code {
            for ((says, rooms), met) in DOORS.iter().zip(&mut met) {
                let Some(said) = says.iter().find(|said| line.contains(**said)) else {
                    continue;
                };
                *met += 1;
                if !rooms.contains(&room.as_ref()) {
                    faults.push(format!("{}: {said}", inside.display()));
                }
            }
        }
    }
    assert!(met.iter().all(|n| *n > 5), "{met:?}");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
