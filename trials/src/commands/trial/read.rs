//! What of a trial's files is read, and what is not.

use super::super::Refusal;
use crate::intake::{TrialTable, headings};
use crate::report::WhatWasRead;
use crate::store::{EVENTS, TRIAL, TrialFolder};

/// Lists the settings and columns of the files; `counts` is what `counts.csv` holds.
pub(in crate::commands) fn what_was_read(
    folder: &TrialFolder<'_>,
    settings: Vec<String>,
    counts: TrialTable,
) -> Result<Vec<WhatWasRead>, Refusal> {
    let mut all = vec![WhatWasRead {
        file: TRIAL,
        read: settings,
        unread: Vec::new(),
    }];
    for (file, table) in [(folder.counts_name(), counts), (EVENTS, TrialTable::Events)] {
        if let Some(text) = folder.optional_table(file)? {
            let [read, unread] = headings(table, file, &text);
            all.push(WhatWasRead { file, read, unread });
        }
    }
    Ok(all)
}
