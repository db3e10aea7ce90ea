//! A run that is killed, or that meets a full disk: the next one finishes by itself, and nothing foreign is touched.

use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use sha2::{Digest, Sha256};

use crate::scratch::{PROTOCOL, Scratch, times};

/// What lies beside a trial and must still be there in the end.
const FOREIGN: [(&str, &str); 3] = [
    ("notes.txt", "the wet end floods"),
    ("report/photograph.jpg", "no photograph"),
    (
        ".halfgreen-mine.part",
        "a name that is nearly one of a text on its way",
    ),
];

fn started(scratch: &Scratch, arguments: &[&str]) -> Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_halfgreen"));
    command.args(arguments).current_dir(scratch.path(""));
    command.stdout(Stdio::null()).stderr(Stdio::null());
    command.spawn().unwrap()
}

/// Whether a text on its way lies somewhere below.
fn is_writing(scratch: &Scratch) -> bool {
    let parts = |folder: &str| {
        let entries = scratch
            .path(folder)
            .read_dir()
            .into_iter()
            .flatten()
            .flatten();
        let mut names = entries.map(|e| e.file_name().to_string_lossy().into_owned());
        names.any(|name| name.len() == 32 && name.starts_with(".halfgreen-"))
    };
    ["", "club", "report", "club/report"].into_iter().any(parts)
}

/// Starts a run and kills it: the n-th of `of` after its share of the time it takes, or, every other time, a little
/// after its first text is on its way. It may be done before; what must hold then holds as well.
fn kill(scratch: &Scratch, arguments: &[&str], n: u32, of: u32, takes: Duration) {
    let mut run = started(scratch, arguments);
    if n.is_multiple_of(2) {
        std::thread::sleep(takes * n / of);
    } else {
        while !is_writing(scratch) && run.try_wait().unwrap().is_none() {}
        std::thread::sleep(Duration::from_micros(u64::from(n) * 8000 / u64::from(of)));
    }
    // It may have ended by itself.
    run.kill().unwrap_or_default();
    run.wait().unwrap();
}

/// How long a run takes that nobody kills.
fn takes(scratch: &Scratch, arguments: &[&str]) -> Duration {
    let start = Instant::now();
    assert!(
        started(scratch, arguments).wait().unwrap().success(),
        "{arguments:?}"
    );
    start.elapsed()
}

/// The trial before its layout, with foreign files beside it.
fn trial() -> Scratch {
    let scratch = Scratch::measured(PROTOCOL);
    for (name, text) in FOREIGN {
        scratch.put(name, text);
    }
    scratch
}

fn foreign_is_untouched(scratch: &Scratch, below: &str) {
    for (name, text) in FOREIGN {
        assert_eq!(scratch.read(&format!("{below}{name}")), text);
    }
    assert!(!is_writing(scratch), "{:?}", scratch.names());
}

#[test]
fn a_layout_that_was_killed_is_there_as_a_whole_or_not_at_all() {
    let takes = takes(&trial(), &["layout", "."]);
    let (kills, mut whole) = (times(20), 0);
    for n in 0..kills {
        let scratch = trial();
        kill(&scratch, &["layout", "."], n, kills, takes);
        let next = scratch.run(&["layout", "."]);
        if next.code() != Some(0) {
            assert!(
                next.err().contains("laid out and sealed already"),
                "{}",
                next.err()
            );
            whole += 1;
        }
        assert!(scratch.path("map.svg").exists());
        let verified = scratch.run(&["layout", ".", "--verify"]);
        assert_eq!(
            verified.code(),
            Some(0),
            "{}{}",
            verified.out(),
            verified.err()
        );
        foreign_is_untouched(&scratch, "");
    }
    assert!(whole < kills, "no layout was killed before it was done");
}

fn sha256(text: String) -> String {
    let bytes = Sha256::digest(text);
    let pairs: Vec<String> = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    pairs.concat()
}

/// A run that is cut short after all was decided: its list is in place, and its texts wait under their other names.
#[test]
fn whoever_finishes_the_work_of_a_killed_run_says_so() {
    for command in [&["layout", "."][..], &["layout", ".", "--verify"]] {
        let scratch = trial();
        assert_eq!(scratch.run(&["layout", "."]).code(), Some(0));
        for name in ["layout.csv", "seal.toml", "map.svg"] {
            let last = sha256(scratch.read(name));
            let both = sha256(format!("{name}\0{last}"));
            let part = format!(".halfgreen-{}.part", &both[..16]);
            std::fs::rename(scratch.path(name), scratch.path(&part)).unwrap();
        }
        let next = scratch.run(command);
        let said = next.err();
        assert!(said.contains("cut short"), "{said}");
        for name in ["layout.csv", "seal.toml", "map.svg"] {
            assert!(said.contains(name), "{said}");
        }
        assert_eq!(next.code() == Some(0), command.len() == 3, "{said}");
        foreign_is_untouched(&scratch, "");
        let again = scratch.run(command);
        assert!(!again.err().contains("cut short"), "{}", again.err());
    }
}

#[test]
fn a_report_that_was_killed_is_made_by_the_next() {
    let club = Scratch::club();
    let whole = club.files();
    let takes = takes(&club, &["report", "club"]);
    let kills = times(8);
    for n in 0..kills {
        let scratch = Scratch::empty();
        // Every other time there is an earlier report, of other counts.
        for (name, content) in &whole {
            if n % 4 < 2 || !name.starts_with("club/report") {
                scratch.put(name, content);
            }
        }
        if n % 4 < 2 {
            let counts = scratch.read("club/counts.csv");
            scratch.put("club/counts.csv", counts.replacen(",main,3", ",main,4", 1));
            assert_eq!(scratch.run(&["report", "club"]).code(), Some(0));
            scratch.put("club/counts.csv", counts);
        }
        for (name, text) in FOREIGN {
            scratch.put(&format!("club/{name}"), text);
        }
        kill(&scratch, &["report", "club"], n, kills, takes);
        let next = scratch.run(&["report", "club"]);
        assert_eq!(next.code(), Some(0), "{}", next.err());
        foreign_is_untouched(&scratch, "club/");
        for (name, content) in &whole {
            if !name.ends_with("written-by-halfgreen.toml") {
                assert_eq!(scratch.bytes(name), *content, "{name}");
            }
        }
    }
}

#[test]
fn a_demonstration_that_was_killed_goes_on() {
    let whole = Scratch::club().files();
    let scratch = Scratch::empty();
    let takes = takes(&scratch, &["demo", "club"]);
    let kills = times(8);
    for n in 0..kills {
        let scratch = Scratch::empty();
        scratch.put("notes.txt", "the wet end floods");
        kill(&scratch, &["demo", "club"], n, kills, takes);
        let next = scratch.run(&["demo", "club"]);
        assert_eq!(next.code(), Some(0), "{}", next.err());
        // One that was done but for putting it in place is a demonstration of its own.
        let mut shown = scratch.names();
        shown.retain(|name| name != "notes.txt");
        assert!(
            shown == ["club"] || shown == ["club", "club-2"],
            "{shown:?}"
        );
        for (name, content) in &whole {
            for folder in &shown {
                let name = name.replacen("club", folder, 1);
                let found = scratch.bytes(&name);
                let same = match String::from_utf8(found) {
                    Ok(text) => text.replace("club-2", "club").into_bytes(),
                    Err(workbook) => workbook.into_bytes(),
                };
                assert_eq!(same, *content, "{name}");
            }
        }
        assert!(!is_writing(&scratch));
        assert_eq!(scratch.read("notes.txt"), "the wet end floods");
    }
}

/// A disk that takes no file beyond so many bytes, which a shell's limit gives without one.
#[cfg(unix)]
#[test]
fn a_disk_that_is_full_leaves_nothing_half_made() {
    let program = env!("CARGO_BIN_EXE_halfgreen");
    let full = |scratch: &Scratch, blocks: usize, arguments: &str| {
        let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec {program} {arguments}");
        let mut shell = Command::new("sh");
        shell.args(["-c", &script]).current_dir(scratch.path(""));
        shell.output().unwrap()
    };
    // Of 512 bytes or, in some shells, 1024: between the smallest file of each command and its largest.
    for blocks in [0, 2, 8, 24] {
        let scratch = Scratch::empty();
        let run = full(&scratch, blocks, "demo club");
        let said = String::from_utf8_lossy(&run.stderr);
        assert_eq!(run.status.code(), Some(1), "{said}");
        assert!(said.contains("disk is not full"), "{said}");
        assert_eq!(scratch.names(), Vec::<String>::new());
        let scratch = trial();
        let before = scratch.files();
        let run = full(&scratch, blocks, "layout .");
        if run.status.code() != Some(0) {
            assert_eq!(scratch.files(), before);
        }
    }
    let scratch = Scratch::club();
    let before = scratch.files();
    let judged = full(&scratch, 0, "judge club --seed 77 >judged.txt");
    drop(judged);
    std::fs::remove_file(scratch.path("judged.txt")).unwrap();
    assert_eq!(scratch.files(), before);
}

/// Where results cannot be kept, the verdict is told all the same.
#[cfg(unix)]
#[test]
fn judge_tells_its_verdict_on_a_folder_that_may_not_be_written() {
    use std::os::unix::fs::PermissionsExt;
    let scratch = Scratch::club();
    let told = scratch.run(&["judge", "club"]);
    let before = scratch.files();
    let protect = |mode| {
        for folder in ["club/report", "club"] {
            let path = scratch.path(folder);
            std::fs::set_permissions(path, PermissionsExt::from_mode(mode)).unwrap();
        }
    };
    // A file in the place of the folder stands in where the tests run as somebody who may write anywhere.
    let results = before
        .iter()
        .filter(|(name, _)| !name.starts_with("club/report"));
    let blocked = Scratch::empty();
    for (name, content) in results {
        blocked.put(name, content);
    }
    blocked.put("club/report", "no folder");
    for scratch in [&scratch, &blocked] {
        protect(0o555);
        let run = scratch.run(&["judge", "club", "--seed", "7"]);
        protect(0o755);
        assert_eq!(run.code(), Some(0), "{}", run.err());
        let verdict = told.out();
        let verdict = verdict.lines().next().unwrap();
        assert!(run.out().starts_with(verdict), "{}", run.out());
    }
    let run = blocked.run(&["judge", "club", "--json"]);
    let warnings = run.json()["warnings"].to_string();
    assert!(warnings.contains("not-kept"), "{warnings}");
}
