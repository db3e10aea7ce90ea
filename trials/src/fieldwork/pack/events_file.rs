//! `events.csv` as it starts: its header, and an example that is no event.

/// The header of `events.csv`, and below it a line that begins with `#`, which readers pass over.
#[must_use]
pub fn events_csv() -> String {
    "plot,date,event,covered_fraction,note\n\
     # such as: 7,2026-09-24,blown off,0.25,wind at four; a quarter still lay at dawn (a line that begins with # is not read)\n"
        .to_owned()
}
