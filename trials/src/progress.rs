//! How far long work has come, told to whoever waits, and whether they still want it.

use std::ops::ControlFlow;

use crate::Error;

/// Told how many steps of how many are done; says whether to go on.
pub type Progress<'a> = &'a (dyn Fn(usize, usize) -> ControlFlow<()> + Sync);

/// For work that nobody waits for.
pub const UNHEARD: Progress<'static> = &|_, _| ControlFlow::Continue(());

/// Tells how far the work has come.
///
/// # Errors
/// Whoever waits wants it no longer.
pub(crate) fn tell(progress: Progress<'_>, done: usize, of: usize) -> Result<(), Error> {
    match progress(done, of) {
        ControlFlow::Continue(()) => Ok(()),
        ControlFlow::Break(()) => Err(Error::new(
            "the work",
            format!("it was stopped after {done} of {of} steps"),
            "Ask again to have it done.",
        )),
    }
}
