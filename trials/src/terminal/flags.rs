//! The flag in whose place a field of a request was typed.

use clap::{Arg, Command, CommandFactory};

use super::commands::Cli;
use crate::Error;

/// The error as one meets it who typed the command: by its flag if a field of the request is its
/// place.
pub(super) fn flagged(error: &Error, command: &str) -> Error {
    match &error.field {
        Some(field) if *field == error.place => Error {
            place: flag(command, field),
            ..error.clone()
        },
        _ => error.clone(),
    }
}

/// The flag of a field; a field inside another (`law.k`) or of a list (`group[1]`) has the flag of its own name.
fn flag(command: &str, field: &str) -> String {
    let last = field.rsplit('.').next().unwrap_or(field);
    let name = last.split('[').next().unwrap_or(last);
    let cli = Cli::command();
    let typed = cli.find_subcommand(command);
    match typed.and_then(|c| argument(c, name)) {
        Some(argument) if argument.is_positional() => name.to_uppercase(),
        _ => format!("--{}", name.replace('_', "-")),
    }
}

/// The argument of a command, or of one of the actions it has.
fn argument<'c>(command: &'c Command, name: &str) -> Option<&'c Arg> {
    let own = command.get_arguments().find(|a| a.get_id() == name);
    own.or_else(|| {
        command
            .get_subcommands()
            .find_map(|action| argument(action, name))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_become_flags() {
        assert_eq!(flag("describe", "file"), "FILE");
        assert_eq!(flag("describe", "group[1]"), "--group");
        assert_eq!(flag("next", "k_range"), "--k-range");
        assert_eq!(flag("grid", "law.k"), "--k");
    }
}
