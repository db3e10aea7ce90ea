//! What a command says of itself.

use crate::scratch::Scratch;

/// Names of all commands, as the help lists them.
fn commands(scratch: &Scratch) -> Vec<String> {
    let help = scratch.run(&["--help"]).out();
    let listed = help
        .lines()
        .skip_while(|l| !l.starts_with("Commands:"))
        .skip(1);
    let listed = listed.take_while(|l| !l.trim().is_empty());
    let names = listed.filter_map(|l| l.split_whitespace().next());
    names.filter(|n| *n != "help").map(str::to_owned).collect()
}

#[test]
fn each_command_shows_its_own_options_first_and_an_example_that_can_be_typed() {
    let scratch = Scratch::empty();
    let names = commands(&scratch);
    assert!(names.len() >= 14, "{names:?}");
    for name in names {
        let help = scratch.run(&[&name, "--help"]).out();
        let shared = help.find("Every command takes:");
        assert!(shared.is_some(), "{name}: {help}");
        assert!(help.find("--threads") > shared, "{name}: {help}");
        let example = help.lines().find_map(|l| l.strip_prefix("For example: "));
        let example = example.unwrap_or_else(|| panic!("{name}: {help}"));
        let typed: Vec<&str> = example.split_whitespace().collect();
        assert_eq!(typed[..2], ["halfgreen", name.as_str()], "{example}");
        // The files of the example are not here, but the command line is one that it takes.
        let run = Scratch::empty().run(&typed[1..]);
        assert_ne!(run.code(), Some(2), "{example}: {}", run.err());
    }
}

/// `-h` is for whoever knows the command: its options in a line each, and no more. `--help` is the long one.
#[test]
fn the_short_help_is_short() {
    let scratch = Scratch::empty();
    for name in commands(&scratch) {
        let short = scratch.run(&[&name, "-h"]).out();
        let long = scratch.run(&[&name, "--help"]).out();
        assert!(!short.contains("Every command takes"), "{name}: {short}");
        assert!(!short.contains("For example"), "{name}: {short}");
        let [short, long] = [short, long].map(|help| help.lines().count());
        assert!(short < long, "{name}: {short} lines and {long}");
    }
}

#[test]
fn a_shell_is_told_of_every_command() {
    let scratch = Scratch::empty();
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let run = scratch.run(&["completions", shell]);
        assert_eq!(run.code(), Some(0), "{}", run.err());
        for name in commands(&scratch) {
            assert!(run.out().contains(&name), "{shell}: {name}");
        }
    }
}

#[test]
fn the_manual_has_every_command_and_its_example() {
    let scratch = Scratch::empty();
    let whole = scratch.run(&["manual"]).out();
    assert!(whole.contains(".TH halfgreen 1"), "{whole}");
    for name in commands(&scratch) {
        assert!(
            whole.contains(&format!("\n.SH \"halfgreen {name}\"\n")),
            "{name}"
        );
        let own = scratch.run(&["manual", &name]).out();
        assert!(
            own.contains(&format!(".TH halfgreen\\-{name} 1"))
                || own.contains(&format!(".TH halfgreen-{name} 1")),
            "{own}"
        );
        assert!(own.contains("For example: halfgreen"), "{own}");
    }
    let unknown = scratch.run(&["manual", "juge"]);
    assert_eq!(unknown.code(), Some(1));
    assert!(
        unknown.err().contains("Did you mean `judge`?"),
        "{}",
        unknown.err()
    );
}

/// Nothing that is typed wrong is answered without the nearest that is known.
#[test]
fn what_is_misspelt_is_answered_with_the_nearest() {
    let scratch = Scratch::club();
    scratch.put(
        "t.csv",
        "plot,sheet,larvae\n1,none,4\n2,black,1\n3,none,6\n4,black,2\n",
    );
    let table = [
        "judge",
        "--counts",
        "t.csv",
        "--count",
        "larvae",
        "--treatment",
        "sheet",
        "--control",
    ];
    for (typed, near) in [
        (vec!["juge", "club"], "judge"),
        (vec!["judge", "clb"], "Did you mean `club`?"),
        (vec!["judge", "club", "--conut", "x"], "--count"),
        (
            vec!["describe", "tt.csv", "--count", "larvae"],
            "Did you mean `t.csv`?",
        ),
        (
            vec!["describe", "t.csv", "--count", "larve"],
            "Did you mean `larvae`?",
        ),
        ([&table[..], &["nome"]].concat(), "Did you mean `none`?"),
        (vec!["stopline", "--kind", "sprtt"], "sprt"),
    ] {
        let run = scratch.run(&typed);
        assert_ne!(run.code(), Some(0), "{typed:?}");
        assert!(run.err().contains(near), "{typed:?}: {}", run.err());
    }
}

/// Tables and sentences stay within the columns there are.
#[test]
fn what_is_printed_fits_the_terminal() {
    let scratch = Scratch::club();
    for columns in ["40", "80", "120"] {
        for typed in [
            &["judge", "club", "--quiet"][..],
            &[
                "describe",
                "club/counts.csv",
                "--count",
                "count",
                "--group",
                "plot",
                "--quiet",
            ],
            &[
                "next",
                "--k",
                "1",
                "--mean",
                "2",
                "--reduction",
                "50",
                "--cores",
                "2,4,8",
                "--blocks",
                "4,8",
                "--trials",
                "20",
                "--seed",
                "1",
                "--quiet",
            ],
        ] {
            let out = scratch.run_with(typed, &[("COLUMNS", columns)]).out();
            let room: usize = columns.parse().unwrap();
            assert!(out.lines().count() > 5, "{out}");
            for line in out
                .lines()
                .filter(|l| !l.contains("svg") && !l.contains('/'))
            {
                assert!(line.chars().count() <= room, "{columns}: {line}");
            }
        }
    }
}
