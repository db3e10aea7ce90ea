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
