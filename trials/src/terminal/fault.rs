//! What is said when the program itself fails.

use std::io::Write;
use std::panic::PanicHookInfo;

use crate::text::names::visible;

/// Replaces the usual message of a crash by one that says whose fault it is and what to report.
pub(super) fn explain_faults() {
    std::panic::set_hook(Box::new(|info| {
        anstream::stderr()
            .write_all(visible(&message(info)).as_bytes())
            .unwrap_or_default();
    }));
}

fn message(info: &PanicHookInfo<'_>) -> String {
    let place = info
        .location()
        .map_or_else(|| "an unknown place".to_owned(), ToString::to_string);
    let payload = info.payload();
    let text = payload.downcast_ref::<&str>().copied();
    let said = text.or(payload.downcast_ref::<String>().map(String::as_str));
    let said = said.unwrap_or("nothing more is known");
    format!(
        "halfgreen {} has a fault of its own; your data is not to blame and nothing was overwritten.\n\
         Please report the command you typed, the files it read, and these lines:\n  {place}\n  {said}\n",
        env!("CARGO_PKG_VERSION")
    )
}
