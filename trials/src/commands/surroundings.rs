//! What a command meets beside its request: the texts it may read, the time, the throw of a seed, who waits.

use crate::Error;
use crate::progress::{Progress, UNHEARD};
use crate::store::Sources;

/// Makes a PDF of a page.
pub type Printer<'a> = &'a dyn Fn(&str) -> Result<Vec<u8>, Error>;

/// Surroundings in which nothing prints.
pub const NO_PRINTER: Printer<'static> = &|_| {
    let what = "a PDF is printed by a browser, and there is none here";
    let cure = "Open report.html in a browser and print it.";
    Err(Error::in_field("format", what, cure))
};

/// What a command meets beside its request. All of it is handed over, so that the same request in the same
/// surroundings gives the same answer.
#[derive(Clone, Copy)]
pub struct Surroundings<'a> {
    /// Where named texts lie.
    pub sources: &'a dyn Sources,
    /// The time, as ISO 8601 to the second in universal time.
    pub now: &'a str,
    /// The seed of a draw for which none is asked.
    pub fresh_seed: u64,
    /// Told how far long work has come; may stop it.
    pub progress: Progress<'a>,
    /// Prints pages.
    pub printer: Printer<'a>,
}

impl<'a> Surroundings<'a> {
    /// Surroundings at a given time with a given fresh seed, in which nobody waits.
    pub fn new(sources: &'a dyn Sources, now: &'a str, fresh_seed: u64) -> Self {
        Self {
            sources,
            now,
            fresh_seed,
            progress: UNHEARD,
            printer: NO_PRINTER,
        }
    }
}

impl std::fmt::Debug for Surroundings<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Surroundings")
            .field("sources", &self.sources)
            .field("now", &self.now)
            .field("fresh_seed", &self.fresh_seed)
            .finish_non_exhaustive()
    }
}
