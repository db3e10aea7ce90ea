//! Every command as a function: a request in, an answer out; no terminal, no disk, no clock.
//!
//! A command is one file here and one line in the list below. The file holds
//!
//! - `Request`, a plain struct: what is asked. It is read from and written to JSON; what is left out is as in its
//!   `Default`, the one home of defaults. Numbers with a range are checked against [`ranges`](crate::ranges::request);
//! - `run(&Request, &Surroundings) -> Result<Answer<…>, Refusal>`, which reads named texts through
//!   [`Surroundings::sources`], hands them to the rooms before this one, and gives back values: the result for
//!   programs, [`Words`] for people, files to write, warnings, the seed.
//!
//! A command never prints and never writes: the terminal, or a page, shows the answer, and `store` writes its
//! files, all or none. An error names the field of the request that is at fault; the terminal makes a flag of it.
//!
//! What several commands read from a trial folder is in `trial`. A command may use another's work by calling
//! a function of that command's file, never by reading its words or its JSON.

mod answer;
pub mod archive;
pub mod check;
mod columns;
pub mod demo;
pub mod describe;
pub mod grid;
pub mod hotspots;
pub mod judge;
pub mod law;
pub mod layout;
pub mod new;
pub mod next;
pub mod order;
pub mod pack;
pub mod pool;
mod refusal;
pub mod report;
mod request;
pub mod season;
pub mod stopline;
mod surroundings;
mod trial;
mod words;

use serde_json::Value;

use crate::Error;

pub use answer::Answer;
pub use refusal::Refusal;
pub use request::read_request;
pub use surroundings::{NO_PRINTER, Printer, Surroundings};
pub use words::{Column, Line, Part, Side, Span, Status, Table, Words};

/// The list of commands: one name a line.
macro_rules! commands {
    ($($name:ident,)*) => {
        /// Names of all commands.
        pub const NAMES: &[&str] = &[$(stringify!($name),)*];

        /// Runs the command of a name on a request in JSON.
        ///
        /// # Errors
        /// A name that no command has, a request it cannot read, and whatever the command refuses.
        pub fn run(name: &str, request: Value, at: &Surroundings<'_>) -> Result<Answer, Refusal> {
            match name {
                $(stringify!($name) => $name::run(&read_request(request)?, at)?.as_json(),)*
                _ => Err(Error::new(
                    name,
                    "there is no such command",
                    format!("The commands are {}.", NAMES.join(", ")),
                )
                .into()),
            }
        }
    };
}

commands! {
    demo,
    new,
    grid,
    layout,
    pack,
    order,
    check,
    judge,
    describe,
    report,
    hotspots,
    next,
    stopline,
    season,
    pool,
    archive,
}
