//! A page printed by a browser: its text in, the bytes of a PDF out.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::Duration;

use crate::Error;

/// How often it is looked whether the browser is done.
const LOOK: Duration = Duration::from_millis(50);
/// Looks after which one that hangs is ended: two minutes. A page of a thousand plots prints in a few seconds.
const LOOKS: u32 = 2400;

/// Prints a page by a browser's own print style. `scratch` is a folder for files that are taken away again; `None` where
/// there is no such program.
///
/// The days and times that the browser writes into the file are set to the first of January 1970, so that the same page
/// gives the same bytes.
///
/// # Errors
/// A folder that cannot be written, and a browser that fails or does not come to an end.
pub fn print_page(browser: &str, html: &str, scratch: &Path) -> Result<Option<Vec<u8>>, Error> {
    let folder = own_folder(scratch)?;
    let printed = in_folder(browser, html, &folder);
    // Nothing of it is worth keeping, and what cannot be taken away does no harm.
    let _gone = fs::remove_dir_all(&folder);
    printed
}

#[expect(
    clippy::disallowed_methods,
    reason = "files of its own, which are taken away again"
)]
fn in_folder(browser: &str, html: &str, folder: &Path) -> Result<Option<Vec<u8>>, Error> {
    let (page, pdf) = (folder.join("page.html"), folder.join("page.pdf"));
    fs::write(&page, html).map_err(|e| fault(browser, &e.to_string()))?;
    // As root a browser runs only without its sandbox; the page holds no script and asks for nothing.
    for sandbox in [None, Some("--no-sandbox")] {
        let mut profile = std::ffi::OsString::from("--user-data-dir=");
        profile.push(folder.join("profile"));
        let mut target = std::ffi::OsString::from("--print-to-pdf=");
        target.push(&pdf);
        let started = Command::new(browser)
            .args([
                "--headless",
                "--disable-gpu",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
                "--no-first-run",
                "--no-pdf-header-footer",
            ])
            .args(sandbox)
            .arg(profile)
            .arg(target)
            .arg(&page)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn();
        let mut running = match started {
            Ok(running) => running,
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(None),
            Err(e) => return Err(fault(browser, &e.to_string())),
        };
        let mut looks = 0;
        while running
            .try_wait()
            .map_err(|e| fault(browser, &e.to_string()))?
            .is_none()
        {
            looks += 1;
            if looks > LOOKS {
                let _ended = running.kill();
                let _gone = running.wait();
                return Err(fault(
                    browser,
                    "it did not come to an end within two minutes",
                ));
            }
            sleep(LOOK);
        }
        if let Ok(bytes) = fs::read(&pdf)
            && bytes.starts_with(b"%PDF-")
        {
            return Ok(Some(without_time(bytes)));
        }
    }
    Err(fault(browser, "it ended without a PDF"))
}

/// A folder that nobody else uses.
fn own_folder(scratch: &Path) -> Result<PathBuf, Error> {
    let process = std::process::id();
    let mut last = String::new();
    for attempt in 0..100 {
        let folder = scratch.join(format!("halfgreen-print-{process}-{attempt}"));
        match fs::create_dir(&folder) {
            Ok(()) => return Ok(folder),
            Err(e) => last = e.to_string(),
        }
    }
    let cure = "Free some room there, or print report.html from a browser.";
    Err(Error::new(
        scratch.display().to_string(),
        format!("no folder can be made in it ({last})"),
        cure,
    ))
}

/// The same bytes with every time that a program writes into a PDF (ISO 32000-1, 7.9.4: `(D:YYYYMMDDHHmmSS…`) set to one.
fn without_time(mut pdf: Vec<u8>) -> Vec<u8> {
    const SIGN: &[u8] = b"Date (D:";
    const FIRST: &[u8] = b"19700101000000";
    let places: Vec<usize> = pdf
        .windows(SIGN.len())
        .enumerate()
        .filter(|(_, window)| *window == SIGN)
        .map(|(at, _)| at + SIGN.len())
        .collect();
    for at in places {
        if let Some(digits) = pdf.get_mut(at..at + FIRST.len())
            && digits.iter().all(u8::is_ascii_digit)
        {
            digits.copy_from_slice(FIRST);
        }
    }
    pdf
}

fn fault(browser: &str, what: &str) -> Error {
    Error::new(
        browser,
        format!("the page could not be printed with it: {what}"),
        "Open report.html in any browser and print it there: its print style is the same.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_taken_out_and_nothing_else() {
        let pdf = b"/CreationDate (D:20261130194400+00'00')\n/ModDate (D:20261130)".to_vec();
        let without = String::from_utf8(without_time(pdf)).unwrap();
        assert_eq!(
            without,
            "/CreationDate (D:19700101000000+00'00')\n/ModDate (D:20261130)"
        );
    }
}
