//! What of a trial's files is read, and what is not.

use super::super::Refusal;
use crate::design::sha256;
use crate::intake::{TrialTable, headings};
use crate::report::WhatWasRead;
use crate::store::{EVENTS, LAYOUT, SEAL, TRIAL, TrialFolder};

/// Lists the settings and columns of the files, and the digest of each file that a report rests on; `counts` is what
/// `counts.csv` holds.
pub(in crate::commands) fn what_was_read(
    folder: &TrialFolder<'_>,
    outlines: &[String],
    settings: Vec<String>,
    counts: TrialTable,
) -> Result<Vec<WhatWasRead>, Refusal> {
    let mut all = vec![WhatWasRead {
        file: TRIAL.to_owned(),
        read: settings,
        unread: Vec::new(),
        digest: digest(folder, TRIAL)?,
    }];
    for (file, table) in [(folder.counts_name(), counts), (EVENTS, TrialTable::Events)] {
        if let Some(text) = folder.optional_table(file)? {
            let [read, unread] = headings(table, file, &text);
            if read.is_empty() && unread.is_empty() {
                // A sheet for events on which nothing was written.
                continue;
            }
            all.push(WhatWasRead {
                file: file.to_owned(),
                read,
                unread,
                digest: digest(folder, file)?,
            });
        }
    }
    let others = outlines.iter().map(String::as_str).chain([LAYOUT, SEAL]);
    for file in others.filter(|file| folder.has(file)) {
        all.push(WhatWasRead {
            file: file.to_owned(),
            read: Vec::new(),
            unread: Vec::new(),
            digest: digest(folder, file)?,
        });
    }
    Ok(all)
}

/// SHA-256 of a file as it lies there; empty where there is none.
fn digest(folder: &TrialFolder<'_>, file: &str) -> Result<String, Refusal> {
    Ok(folder
        .optional_bytes(file)?
        .map_or_else(String::new, sha256))
}
