//! Showing what came back: one JSON document for programs, text for people.

use std::io::{self, Write};
use std::process::ExitCode;

use serde::Serialize;
use serde_json::Value;

use super::commands::Context;
use super::flags::flagged;
use super::output::Output;
use super::typeset::{BAD, DOUBTFUL};
use crate::commands::Refusal;
use crate::{Error, Warning};

/// The JSON document that every command writes.
#[derive(Debug, Serialize)]
struct Envelope<'a> {
    halfgreen: &'static str,
    command: &'a str,
    seed: Option<u64>,
    warnings: &'a [Warning],
    result: &'a Value,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    errors: Vec<Fault<'a>>,
}

/// An error, for programs.
#[derive(Debug, Serialize)]
struct Fault<'a> {
    #[serde(rename = "where")]
    place: &'a str,
    what: &'a str,
    cure: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    field: Option<&'a str>,
}

/// Shows a result and gives the exit code.
pub(super) fn output(output: &Output, command: &str, context: &Context) -> ExitCode {
    if !context.quiet && !context.json {
        for warning in output.warnings.iter().filter(|w| w.for_people()) {
            let place = warning
                .place
                .as_ref()
                .map(|p| format!("{p}: "))
                .unwrap_or_default();
            say(&format!(
                "{DOUBTFUL}note{DOUBTFUL:#}: {place}{}\n",
                warning.message
            ));
        }
    }
    let written = if context.json {
        document(&Envelope {
            halfgreen: env!("CARGO_PKG_VERSION"),
            command,
            seed: output.seed,
            warnings: &output.warnings,
            result: &output.result,
            errors: Vec::new(),
        })
    } else {
        anstream::stdout().write_all(output.text.as_bytes())
    };
    finish(written, ExitCode::from(u8::from(!output.passed)))
}

/// Shows why an input is refused and gives the exit code.
pub(super) fn refusal(refusal: &Refusal, command: &str, context: &Context) -> ExitCode {
    let errors: Vec<Error> = refusal.errors.iter().map(|e| flagged(e, command)).collect();
    for e in &errors {
        say(&format!("{BAD}refused{BAD:#}: {e}\n"));
    }
    let errors = errors.iter().map(|e| Fault {
        place: &e.place,
        what: &e.what,
        cure: &e.cure,
        field: e.field.as_deref(),
    });
    let written = if context.json {
        document(&Envelope {
            halfgreen: env!("CARGO_PKG_VERSION"),
            command,
            seed: None,
            warnings: &[],
            result: &Value::Null,
            errors: errors.collect(),
        })
    } else {
        Ok(())
    };
    finish(written, ExitCode::FAILURE)
}

fn document(envelope: &Envelope<'_>) -> io::Result<()> {
    let mut out = io::BufWriter::new(io::stdout().lock());
    serde_json::to_writer_pretty(&mut out, envelope)?;
    out.write_all(b"\n")?;
    out.flush()
}

/// Writes to standard error; where that is closed there is nobody to tell.
fn say(text: &str) {
    anstream::stderr()
        .write_all(text.as_bytes())
        .unwrap_or_default();
}

/// A reader that stops reading has had enough; any other fault of standard output is told.
fn finish(written: io::Result<()>, code: ExitCode) -> ExitCode {
    match written {
        Err(e) if e.kind() != io::ErrorKind::BrokenPipe => {
            say(&format!(
                "{BAD}refused{BAD:#}: standard output: cannot be written ({e}). Check the disk.\n"
            ));
            ExitCode::FAILURE
        }
        _ => code,
    }
}
