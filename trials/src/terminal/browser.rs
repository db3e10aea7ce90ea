//! Which browser prints pages: the one that is named, else the first of the usual ones that is there.

use std::env;

use crate::Error;
use crate::store::print_page;

/// Names the browser that prints.
const NAMED_BY: &str = "HALFGREEN_BROWSER";

/// Browsers that print without a window, by the names under which they are installed.
const USUAL: [&str; 10] = [
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "microsoft-edge",
    "msedge",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe",
    "C:\\Program Files (x86)\\Microsoft\\Edge\\Application\\msedge.exe",
];

/// A page as a PDF.
#[expect(
    clippy::disallowed_methods,
    reason = "the terminal reads the environment"
)]
pub(super) fn printed(html: &str) -> Result<Vec<u8>, Error> {
    let named = env::var(NAMED_BY).ok().filter(|name| !name.is_empty());
    let browsers: Vec<&str> = match &named {
        Some(name) => vec![name],
        None => USUAL.to_vec(),
    };
    for browser in browsers {
        if let Some(pdf) = print_page(browser, html, &env::temp_dir())? {
            return Ok(pdf);
        }
    }
    let what = match &named {
        Some(name) => format!("{NAMED_BY} names {name}, and there is no such program"),
        None => "a PDF is printed by a browser, and neither Chromium nor Chrome nor Edge was found"
            .to_owned(),
    };
    let cure = format!(
        "Open report.html in any browser and print it (its print style is the same), or name a browser's program in {NAMED_BY}."
    );
    Err(Error::in_field("format", what, cure))
}
