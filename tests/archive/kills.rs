//! Runs that are killed at any moment: nothing that was done is lost, no file is torn, and the end is the same.

use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use super::{COLUMNS, archived, effects, filled, table};
use crate::scratch::{Scratch, times};

/// Trials of the archive: enough that a run can be cut anywhere.
const TRIALS: usize = 12;

fn started(scratch: &Scratch, words: &str) -> Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_halfgreen"));
    command
        .arg("archive")
        .args(words.split_whitespace())
        .current_dir(scratch.path(""));
    command.stdout(Stdio::null()).stderr(Stdio::null());
    command.spawn().unwrap()
}

/// Kills a run after a time; says whether it had ended by itself.
fn killed_after(scratch: &Scratch, words: &str, time: Duration) -> bool {
    let mut run = started(scratch, words);
    std::thread::sleep(time);
    let ended = run.try_wait().unwrap().is_some();
    run.kill().unwrap_or_default();
    run.wait().unwrap();
    ended
}

/// Trials with a whole line in the lists of what is judged.
fn finished(scratch: &Scratch) -> usize {
    let lists = scratch.files();
    let lists = lists
        .iter()
        .filter(|(name, _)| name.starts_with("county/judged/"));
    lists
        .map(|(_, content)| content.split(|b| *b == b'\n').count() - 1)
        .sum()
}

#[test]
fn judging_that_is_killed_goes_on_where_it_was() {
    let whole = filled(TRIALS);
    let start = Instant::now();
    archived(&whole, "judge county --threads 1");
    let takes = start.elapsed();
    let wanted = effects(&whole, "county");
    let kills = times(50);
    let (mut cut, mut done) = (0, 0);
    while done < kills {
        let scratch = filled(TRIALS);
        // Each run is let go a little further than its own share, so that some are cut in every trial, and in writing the end.
        for step in 0..kills {
            let share = takes * (step % 9 + 1) / 10;
            let before = finished(&scratch);
            let ended = killed_after(&scratch, "judge county --threads 1", share);
            let now = finished(&scratch);
            assert!(
                now >= before,
                "{before} trials were done and {now} are left"
            );
            cut += u32::from(!ended);
            done += 1;
            if ended || done == kills {
                break;
            }
        }
        let before = finished(&scratch);
        let last = archived(&scratch, "judge county");
        // What had a whole line is not done again.
        assert_eq!(last["kept"].as_u64().unwrap(), before as u64);
        assert_eq!(last["judged"].as_u64().unwrap(), (TRIALS - before) as u64);
        assert_eq!(effects(&scratch, "county"), wanted);
        assert!(
            !scratch
                .files()
                .iter()
                .any(|(name, _)| name.contains(".part") && name.contains("effects"))
        );
    }
    assert!(
        cut > kills / 2,
        "only {cut} of {kills} runs were killed before they ended"
    );
}

#[test]
fn adding_that_is_killed_leaves_an_archive_that_can_be_filled() {
    let table = table(60);
    let add = format!("add county counts.csv {COLUMNS}");
    let fresh = || {
        let scratch = Scratch::empty();
        scratch.put("counts.csv", &table);
        scratch
    };
    let whole = fresh();
    let start = Instant::now();
    archived(&whole, &add);
    let takes = start.elapsed();
    let wanted = whole.files();
    let kills = times(25);
    let mut cut = 0;
    for step in 0..kills {
        let scratch = fresh();
        cut += u32::from(!killed_after(
            &scratch,
            &add,
            takes * (step + 1) / (kills + 1),
        ));
        let added = archived(&scratch, &add);
        assert_eq!(added["in_archive"], 60);
        assert_eq!(
            scratch.files(),
            wanted,
            "killed after {} of {kills} parts",
            step + 1
        );
    }
    assert!(
        cut > kills / 3,
        "only {cut} of {kills} runs were killed before they ended"
    );
}

/// A line that was cut in the middle, by whatever hand.
#[test]
fn a_torn_line_counts_for_nothing() {
    let scratch = filled(3);
    archived(&scratch, "judge county");
    let wanted = effects(&scratch, "county");
    let list = "county/judged/shard-0000001-of-0000001.jsonl";
    let content = scratch.bytes(list);
    for cut in [1, content.len() / 2, content.len() - 1] {
        scratch.put(list, &content[..cut]);
        archived(&scratch, "judge county");
        assert_eq!(effects(&scratch, "county"), wanted);
        assert_eq!(finished(&scratch), 3);
    }
    scratch.put(list, [b"no line of ours\n", &content[..]].concat());
    let run = scratch.run(&["archive", "judge", "county"]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err().contains("shard-0000001-of-0000001.jsonl:1"),
        "{}",
        run.err()
    );
}
