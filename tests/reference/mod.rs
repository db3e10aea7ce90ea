//! Answers from other software: committed rows and the data they were computed from.

mod counts;
mod mixed;

use std::path::PathBuf;

use halfgreen_analysis::counts::Factor;

/// A table of text cells with its header.
pub(crate) struct Table {
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// Reads a comma-separated file below the project's root.
    pub(crate) fn read(path: &str) -> Self {
        let full = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
            .join("..")
            .join(path);
        let mut reader = csv::Reader::from_path(&full)
            .unwrap_or_else(|e| panic!("{} must be readable: {e}", full.display()));
        let header = reader
            .headers()
            .unwrap()
            .iter()
            .map(str::to_owned)
            .collect();
        let rows = reader
            .records()
            .map(|r| r.unwrap().iter().map(str::to_owned).collect())
            .collect();
        Self { header, rows }
    }

    pub(crate) fn text(&self, column: &str) -> Vec<&str> {
        let at = self.header.iter().position(|h| h == column).unwrap();
        self.rows.iter().map(|r| r[at].as_str()).collect()
    }

    pub(crate) fn counts(&self, column: &str) -> Vec<u64> {
        self.text(column)
            .iter()
            .map(|c| c.parse().unwrap())
            .collect()
    }
}

/// The eelworm trial (Cochran & Cox 1950, Table 3.1): counts after, logs of the counts before (no plot
/// had none, so they are taken as they are), treatments with the control first, blocks.
pub(crate) fn eelworms() -> (Vec<u64>, Vec<f64>, Factor, Factor) {
    let table = Table::read("data-examples/published/cochran_eelworms.csv");
    let doses = table.text("dose");
    let fumigants = table.text("fumigant").into_iter().zip(doses);
    let labels: Vec<String> = fumigants
        .map(|(f, d)| {
            if f == "Con" {
                "Con".to_owned()
            } else {
                format!("{f}{d}")
            }
        })
        .collect();
    let before = table
        .counts("initial")
        .iter()
        .map(|&y| (y as f64).ln())
        .collect();
    let treatment = Factor::from_labels("treatment", &labels, Some("Con"));
    let block = Factor::from_labels("block", &table.text("block"), Some("B1"));
    (table.counts("final"), before, treatment, block)
}
