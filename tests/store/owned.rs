//! What another command or a person wrote is never replaced: ours is what the same command wrote and nobody changed.

use halfgreen::store::{Disk, NewFile, WRITTEN, write_all};

use crate::scratch::{EDGE, PROTOCOL, Scratch};

/// A sample grid of so many points into the folder.
fn grid(scratch: &Scratch, points: &str, out: &str) -> crate::scratch::Run {
    scratch.run(&[
        "grid", "edge.csv", "--points", points, "--seed", "1", "--out", out,
    ])
}

#[test]
fn a_command_spares_what_another_command_wrote() {
    let scratch = Scratch::club();
    scratch.put("edge.csv", EDGE);
    let before = scratch.files();
    let run = grid(&scratch, "9", "club");
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err()
            .contains("club/map.svg: the file that is there is not as `halfgreen grid` wrote it"),
        "{}",
        run.err()
    );
    let figure = scratch.run(&[
        "describe",
        "club/counts.csv",
        "--count",
        "count",
        "--figure",
        "club/report/ratio.svg",
    ]);
    assert_eq!(figure.code(), Some(1), "{}", figure.err());
    assert_eq!(scratch.files(), before);
    assert_eq!(scratch.run(&["report", "club"]).code(), Some(0));
}

#[test]
fn a_file_that_a_person_edited_is_theirs() {
    let scratch = Scratch::empty();
    scratch.put("edge.csv", EDGE);
    assert_eq!(grid(&scratch, "9", "out").code(), Some(0));
    let points = scratch.read("out/points.csv");
    scratch.put("out/points.csv", points.clone() + "\n");
    assert_eq!(grid(&scratch, "8", "out").code(), Some(1));
    assert_eq!(scratch.read("out/points.csv"), points.clone() + "\n");
    // As it was written it is ours again.
    scratch.put("out/points.csv", points);
    assert_eq!(grid(&scratch, "8", "out").code(), Some(0));
    // A list that belongs to plots which wait to be counted, with something noted in it.
    let waiting = PROTOCOL.replace(
        "kind = \"paired\"",
        "kind = \"paired\"\nblock_by = \"before-counts\"",
    );
    scratch.put("trial/trial.toml", waiting);
    scratch.put("trial/outline.csv", EDGE);
    let layout = || scratch.run(&["layout", "trial"]);
    for _ in 0..2 {
        let placed = layout();
        assert_eq!(placed.code(), Some(0), "{}", placed.err());
    }
    let noted = scratch
        .read("trial/plots-to-count.csv")
        .replace('\n', ",wet\n");
    scratch.put("trial/plots-to-count.csv", &noted);
    assert_eq!(layout().code(), Some(1));
    assert_eq!(scratch.read("trial/plots-to-count.csv"), noted);
}

#[test]
fn what_is_ours_stays_ours_in_a_copy_and_is_the_users_without_the_list() {
    let scratch = Scratch::empty();
    scratch.put("edge.csv", EDGE);
    assert_eq!(grid(&scratch, "9", "out").code(), Some(0));
    for (name, content) in scratch.files() {
        scratch.put(&name.replacen("out/", "copied/", 1), content);
    }
    assert_eq!(grid(&scratch, "8", "copied").code(), Some(0));
    let list = format!("out/{WRITTEN}");
    assert!(scratch.read(&list).contains("name = \"points.csv\""));
    std::fs::remove_file(scratch.path(&list)).unwrap();
    // What would be written byte for byte the same is no loss.
    assert_eq!(grid(&scratch, "9", "out").code(), Some(0));
    std::fs::remove_file(scratch.path(&list)).unwrap();
    assert_eq!(grid(&scratch, "8", "out").code(), Some(1));
    // A list that is none is no licence, and is not written over.
    scratch.put(&list, "what I wrote on Monday");
    let run = grid(&scratch, "9", "out");
    assert_eq!(run.code(), Some(1));
    assert!(run.err().contains(WRITTEN), "{}", run.err());
    assert_eq!(scratch.read(&list), "what I wrote on Monday");
}

#[test]
fn names_that_differ_in_capitals_only_are_one_name() {
    let scratch = Scratch::empty();
    let file = |name: &str| NewFile::own("grid", scratch.path(""), name, "text".to_owned());
    let refused = write_all(&[file("map-A.svg"), file("map-a.svg")]).unwrap_err();
    assert!(refused.what.contains("capitals aside"), "{refused}");
    let refused = write_all(&[file(&"n".repeat(256))]).unwrap_err();
    assert!(
        refused
            .what
            .contains("no file of a command can have this name"),
        "{refused}"
    );
    let run = scratch.run(&["new", &"n".repeat(256)]);
    assert!(run.err().contains("nn: cannot be written"), "{}", run.err());
    assert_eq!(scratch.names(), Vec::<String>::new());
}

#[test]
fn a_file_that_the_command_saw_change_is_not_written_over() {
    use halfgreen::store::{Outcome, Sources};
    let scratch = Scratch::trial("plot,count\n1,2\n");
    let disk = Disk::default();
    disk.text(&scratch.path("counts.csv")).unwrap();
    let files = [NewFile::own(
        "judge",
        scratch.path(""),
        "results.json",
        "{}".to_owned(),
    )];
    scratch.put("counts.csv", "plot,count\n1,3\n");
    assert_eq!(disk.write(&files), Ok(Outcome::Changed));
    assert!(!scratch.path("results.json").exists());
    disk.look_again();
    disk.text(&scratch.path("counts.csv")).unwrap();
    assert_eq!(disk.write(&files), Ok(Outcome::Written));
}

#[cfg(unix)]
mod links {
    use std::os::unix::fs::{PermissionsExt, symlink};

    use super::grid;
    use crate::scratch::{EDGE, PROTOCOL, Scratch};

    #[test]
    fn a_link_that_leads_nowhere_is_there() {
        let scratch = Scratch::empty();
        scratch.put("edge.csv", EDGE);
        scratch.put("trial/trial.toml", PROTOCOL);
        scratch.put("trial/outline.csv", EDGE);
        std::fs::create_dir(scratch.path("out")).unwrap();
        let gone = "/nowhere/on/this/disk";
        for link in [
            "trial/layout.csv",
            "out/points.csv",
            "green",
            "new/outline.gpx",
            "demo",
        ] {
            let path = scratch.path(link);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            symlink(gone, path).unwrap();
        }
        symlink("map.svg", scratch.path("out/map.svg")).unwrap();
        for arguments in [
            &["layout", "trial"][..],
            &["layout", "trial", "--replace"],
            &["new", "green"],
            &["demo", "demo"],
        ] {
            assert_eq!(scratch.run(arguments).code(), Some(1), "{arguments:?}");
        }
        let run = grid(&scratch, "9", "out");
        assert_eq!(run.code(), Some(1));
        assert!(
            run.err().contains("a link is there that leads nowhere"),
            "{}",
            run.err()
        );
        assert_eq!(scratch.run(&["new", "new"]).code(), Some(0));
        assert!(!scratch.path("new/outline.csv").exists());
        for link in [
            "trial/layout.csv",
            "out/points.csv",
            "green",
            "new/outline.gpx",
            "demo",
        ] {
            assert!(scratch.path(link).is_symlink(), "{link}");
        }
    }

    #[test]
    fn a_file_that_is_protected_is_not_replaced() {
        let scratch = Scratch::empty();
        scratch.put("edge.csv", EDGE);
        assert_eq!(grid(&scratch, "9", "out").code(), Some(0));
        let map = scratch.path("out/map.svg");
        std::fs::set_permissions(&map, PermissionsExt::from_mode(0o440)).unwrap();
        let run = grid(&scratch, "8", "out");
        assert_eq!(run.code(), Some(1));
        assert!(run.err().contains("is protected"), "{}", run.err());
        // One that only its owner may read stays so.
        std::fs::set_permissions(&map, PermissionsExt::from_mode(0o600)).unwrap();
        assert_eq!(grid(&scratch, "8", "out").code(), Some(0));
        assert_eq!(map.metadata().unwrap().permissions().mode() & 0o777, 0o600);
    }

    #[test]
    fn what_is_no_file_is_neither_read_nor_replaced() {
        let scratch = Scratch::empty();
        scratch.put("y.csv", "y\n1\n0\n5\n");
        std::fs::create_dir(scratch.path("bars.svg")).unwrap();
        // A pipe that nobody reads would hold whoever opens it for ever.
        let pipe = std::process::Command::new("mkfifo")
            .arg(scratch.path("pipe"))
            .status();
        assert!(pipe.unwrap().success());
        for figure in ["bars.svg", "pipe", "/dev/stdout", "/dev/full"] {
            let run = scratch.run(&["describe", "y.csv", "--count", "y", "--figure", figure]);
            assert_eq!(run.code(), Some(1), "{figure}");
        }
        assert_eq!(scratch.names(), ["bars.svg", "pipe", "y.csv"]);
    }
}
