//! Showing what came back: one JSON document for programs, text for people.

use std::borrow::Cow;
use std::io::{self, Write};
use std::process::ExitCode;

use super::commands::Context;
use super::flags::flagged;
use super::typeset::{BAD, DOUBTFUL, typeset};
use super::width;
use crate::Error;
use crate::commands::{Answer, Refusal};
use crate::text::names::visible;

/// Shows an answer and gives the exit code.
pub(super) fn answer(answer: &Answer, command: &str, context: &Context) -> ExitCode {
    if !context.quiet && !context.json {
        for warning in answer.warnings.iter().filter(|w| w.for_people()) {
            let place = warning
                .place
                .as_ref()
                .map(|p| format!("{p}: "))
                .unwrap_or_default();
            say(&format!(
                "{DOUBTFUL}note{DOUBTFUL:#}: {}\n",
                visible(&format!("{place}{}", warning.message))
            ));
        }
    }
    let code = ExitCode::from(u8::from(!answer.passed));
    if context.json {
        return finish(answer.document(command), &mut io::stdout(), code);
    }
    // Colour goes to terminals only.
    finish(
        Ok(typeset(&answer.words, width::of_output())),
        &mut anstream::stdout(),
        code,
    )
}

/// Shows why an input is refused and gives the exit code.
pub(super) fn refusal(refusal: &Refusal, command: &str, context: &Context) -> ExitCode {
    let errors = refusal.errors.iter().map(|e| flagged(e, command));
    let refusal = Refusal {
        errors: errors.collect(),
    };
    for e in &refusal.errors {
        refused(e);
    }
    if !context.json {
        return ExitCode::FAILURE;
    }
    finish(
        refusal.document(command),
        &mut io::stdout(),
        ExitCode::FAILURE,
    )
}

/// Says on standard error what is refused.
fn refused(e: &Error) {
    let told = e.to_string();
    say(&format!("{BAD}refused{BAD:#}: {}\n", visible(&told)));
}

/// Shows help, the version, or what is wrong with the command line, in which the words that were typed stand.
pub(super) fn usage(message: &clap::Error) {
    let plain = message.render().to_string();
    match visible(&plain) {
        // A closed pipe is the reader's choice.
        Cow::Borrowed(_) => message.print().unwrap_or_default(),
        Cow::Owned(shown) => say(&shown),
    }
}

/// Writes to standard error; where that is closed there is nobody to tell.
fn say(text: &str) {
    anstream::stderr()
        .write_all(text.as_bytes())
        .unwrap_or_default();
}

/// Writes to standard output. A reader that stops reading has had enough; any other fault is told.
fn finish(text: Result<String, Error>, out: &mut dyn Write, code: ExitCode) -> ExitCode {
    let written =
        text.and_then(
            |text| match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
                Err(e) if e.kind() != io::ErrorKind::BrokenPipe => {
                    let what = format!("cannot be written ({e})");
                    Err(Error::new("standard output", what, "Check the disk."))
                }
                _ => Ok(()),
            },
        );
    match written {
        Ok(()) => code,
        Err(e) => {
            refused(&e);
            ExitCode::FAILURE
        }
    }
}
