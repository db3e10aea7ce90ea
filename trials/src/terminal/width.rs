//! How many columns there are to write in.

/// Fewer columns than this hold no table and hardly a word.
const LEAST: usize = 20;

/// Columns of standard output: as the variable `COLUMNS` says, or those of the terminal; none where the text goes to a file or
/// another program, which lays it out by itself.
pub(super) fn of_output() -> Option<usize> {
    #[expect(
        clippy::disallowed_methods,
        reason = "the terminal is where the environment is asked"
    )]
    let asked = std::env::var("COLUMNS").ok();
    let asked = asked.and_then(|columns| columns.trim().parse().ok());
    let columns = asked.or_else(|| {
        let (width, _) = terminal_size::terminal_size_of(std::io::stdout())?;
        Some(usize::from(width.0))
    })?;
    Some(columns.max(LEAST))
}
