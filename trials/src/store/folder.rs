//! A trial folder: which file is called what.

use std::path::{Path, PathBuf};

use crate::Error;

use super::sources::{Entry, Sources};
use super::{NewFile, Replace};

/// The protocol.
pub const TRIAL: &str = "trial.toml";
/// The outline as metres.
pub const OUTLINE_CSV: &str = "outline.csv";
/// The outline as a map file.
pub const OUTLINE_GEOJSON: &str = "outline.geojson";
/// The outline as a walk round the edge.
pub const OUTLINE_GPX: &str = "outline.gpx";
/// The outline in any form; a folder holds one.
pub const OUTLINES: [&str; 3] = [OUTLINE_CSV, OUTLINE_GEOJSON, OUTLINE_GPX];
/// The plots and what they were drawn to get.
pub const LAYOUT: &str = "layout.csv";
/// The digest of protocol and layout.
pub const SEAL: &str = "seal.toml";
/// The counts.
pub const COUNTS: &str = "counts.csv";
/// The counts as a workbook, read where there is no other.
pub const COUNTS_XLSX: &str = "counts.xlsx";
/// The counts with those of other files, for a person to look at.
pub const COUNTS_MERGED: &str = "counts-merged.csv";
/// What happened to plots.
pub const EVENTS: &str = "events.csv";
/// What earlier nights under sheets took.
pub const NIGHTS: &str = "nights.csv";
/// The folder of what goes out to the green.
pub const PACK: &str = "pack";
/// The table of counts that is filled in.
pub const PACKED_COUNTS: &str = "pack/counts.csv";
/// The same as a workbook.
pub const PACKED_WORKBOOK: &str = "pack/counts.xlsx";
/// Folder of the order: what to buy, to cut, to lay.
pub const ORDER: &str = "order";
/// The folder of pages and figures.
pub const REPORT: &str = "report";
/// What `judge` found, for programs.
pub const RESULTS: &str = "report/results.json";

/// The command that writes layouts and seals.
const BY: &str = "layout";

/// A folder that holds a trial.
#[derive(Debug, Clone, Copy)]
pub struct TrialFolder<'a> {
    path: &'a Path,
    sources: &'a dyn Sources,
}

impl<'a> TrialFolder<'a> {
    /// A trial folder that is there.
    ///
    /// # Errors
    /// When there is no such folder, or no `trial.toml` in it.
    pub fn open(sources: &'a dyn Sources, path: &'a Path) -> Result<Self, Error> {
        let shown = path.display().to_string();
        match sources.entry(path) {
            Entry::File => {
                let cure = format!(
                    "Name the folder that it lies in; a table of its own goes in with `--counts {shown}`, to commands that have it."
                );
                let what = "this is a file, not the folder of a trial";
                return Err(Error::new(shown, what, cure));
            }
            Entry::Nothing => {
                let cure = match sources.meant(path) {
                    Some(near) => format!(
                        "Did you mean `{near}`? Or run `halfgreen new {shown}` to start a trial there."
                    ),
                    None => format!(
                        "Run `halfgreen new {shown}` to start a trial there, or check the name."
                    ),
                };
                return Err(Error::new(shown, "there is no such folder", cure));
            }
            Entry::EmptyFolder | Entry::Folder => {}
        }
        let folder = Self { path, sources };
        if !folder.has(TRIAL) {
            let cure = format!(
                "Run `halfgreen new {shown}` to start a trial there, or name the folder of a trial."
            );
            return Err(Error::new(
                shown,
                format!("there is no {TRIAL} in this folder"),
                cure,
            ));
        }
        Ok(folder)
    }

    /// Path of a file in the folder.
    #[must_use]
    pub fn join(&self, name: &str) -> PathBuf {
        self.path.join(name)
    }

    /// The folder as the user would type it.
    #[must_use]
    pub fn typed(&self) -> String {
        self.path.display().to_string()
    }

    /// A file of the folder that takes the place of an earlier one by the same command, and of nothing else.
    #[must_use]
    pub fn own_file(
        &self,
        by: &'static str,
        name: impl Into<PathBuf>,
        content: impl Into<Vec<u8>>,
    ) -> NewFile {
        NewFile::own(by, self.path, name, content)
    }

    /// A file of the folder that takes the place of none.
    #[must_use]
    pub fn first_file(
        &self,
        by: &'static str,
        name: impl Into<PathBuf>,
        content: impl Into<Vec<u8>>,
    ) -> NewFile {
        NewFile::first(by, self.path, name, content)
    }

    /// The name by which complaints call a file: its path as the user would type it.
    #[must_use]
    pub fn shown(&self, name: &str) -> String {
        let path = self.join(name);
        path.strip_prefix(".")
            .unwrap_or(&path)
            .display()
            .to_string()
    }

    /// A complaint about the trial file, by the path as the user would type it.
    #[must_use]
    pub fn placed(&self, fault: Error) -> Error {
        match fault.place.strip_prefix(TRIAL) {
            Some(rest) => Error {
                place: format!("{}{rest}", self.shown(TRIAL)),
                ..fault
            },
            None => fault,
        }
    }

    /// Whether a file is there.
    #[must_use]
    pub fn has(&self, name: &str) -> bool {
        self.sources.entry(&self.join(name)) != Entry::Nothing
    }

    /// Text of a file.
    ///
    /// # Errors
    /// As [`Sources::text`].
    pub fn text(&self, name: &str) -> Result<String, Error> {
        self.sources.text(&self.join(name))
    }

    /// Text of a file that may be absent.
    ///
    /// # Errors
    /// As [`Sources::text`], except that an absent file is `None`.
    pub fn optional_text(&self, name: &str) -> Result<Option<String>, Error> {
        if self.has(name) {
            self.text(name).map(Some)
        } else {
            Ok(None)
        }
    }

    /// Content of a file that may be absent.
    ///
    /// # Errors
    /// As [`Sources::bytes`], except that an absent file is `None`.
    pub fn optional_bytes(&self, name: &str) -> Result<Option<Vec<u8>>, Error> {
        if self.has(name) {
            self.sources.bytes(&self.join(name)).map(Some)
        } else {
            Ok(None)
        }
    }

    /// Name and text of the counts: `counts.csv`, or else the workbook `counts.xlsx`; none where neither is there.
    ///
    /// # Errors
    /// As [`Sources::table`].
    pub fn counts(&self) -> Result<Option<(&'static str, String)>, Error> {
        let name = self.counts_name();
        Ok(self.optional_table(name)?.map(|text| (name, text)))
    }

    /// Name of the file of counts: the workbook where it is there alone.
    #[must_use]
    pub fn counts_name(&self) -> &'static str {
        if !self.has(COUNTS) && self.has(COUNTS_XLSX) {
            COUNTS_XLSX
        } else {
            COUNTS
        }
    }

    /// Text of a table that may be absent.
    ///
    /// # Errors
    /// As [`Sources::table`], except that an absent file is `None`.
    pub fn optional_table(&self, name: &str) -> Result<Option<String>, Error> {
        if self.has(name) {
            self.sources.table(&self.join(name)).map(Some)
        } else {
            Ok(None)
        }
    }

    /// Name and text of the outline, whichever form it has.
    ///
    /// # Errors
    /// When there is none, or more than one.
    pub fn outline(&self) -> Result<(&'static str, String), Error> {
        let shown = self.path.display().to_string();
        let there: Vec<&str> = OUTLINES.into_iter().filter(|name| self.has(name)).collect();
        match there.as_slice() {
            [] => Err(Error::new(
                shown,
                format!(
                    "there is no outline in this folder: neither {OUTLINE_CSV} nor {OUTLINE_GEOJSON} nor {OUTLINE_GPX}"
                ),
                "Measure the green's edge and write its corners, in metres, into outline.csv (x_m,y_m).",
            )),
            [one] => Ok((one, self.text(one)?)),
            [first, second, ..] => Err(Error::new(
                shown,
                format!("there are two outlines, {first} and {second}"),
                "Keep the one that was measured and move the other away.",
            )),
        }
    }

    /// The files that put a new layout and seal in place. Those there already are kept as
    /// `layout-<n>.csv` and `seal-<n>.toml` with the first free number.
    ///
    /// # Errors
    /// When a layout or seal is there and `replace` is false.
    pub fn sealed_layout(
        &self,
        layout: String,
        seal: String,
        replace: bool,
    ) -> Result<Vec<NewFile>, Error> {
        let there = self.has(LAYOUT) || self.has(SEAL);
        if there && !replace {
            let what = match (self.has(LAYOUT), self.has(SEAL)) {
                (true, true) => "the trial is laid out and sealed already",
                (true, false) => "there is a layout already, and its seal is missing",
                _ => "there is a seal, and the layout it belongs to is missing",
            };
            return Err(Error::new(
                self.shown(if self.has(LAYOUT) { LAYOUT } else { SEAL }),
                what,
                "Restore what is missing from a copy, or use --replace to draw anew before anything is counted: what is there \
                 is kept beside the new draw, and the report will say so.",
            ));
        }
        let mut files = if there { self.kept()? } else { Vec::new() };
        for (name, text) in [(LAYOUT, layout), (SEAL, seal)] {
            files.push(NewFile {
                replace: Replace::Kept,
                ..self.own_file(BY, name, text)
            });
        }
        Ok(files)
    }

    /// Names of earlier draws that are kept beside the layout, in order.
    #[must_use]
    pub fn older_draws(&self) -> Vec<String> {
        let names = (1..).map(kept_names);
        // Each number is free for both or taken, so that the first free one ends the list.
        let taken = names.map(|both| both.into_iter().filter(|n| self.has(n)).collect::<Vec<_>>());
        taken
            .take_while(|both| !both.is_empty())
            .flatten()
            .collect()
    }

    /// Copies of the layout and seal that are there, under the first number that is free for both.
    fn kept(&self) -> Result<Vec<NewFile>, Error> {
        let free = (1..usize::MAX).find(|n| kept_names(*n).iter().all(|name| !self.has(name)));
        let mut files = Vec::new();
        for (old, new) in [LAYOUT, SEAL]
            .into_iter()
            .zip(kept_names(free.unwrap_or(1)))
        {
            if let Some(text) = self.optional_text(old)? {
                files.push(NewFile::first(BY, self.path, new, text));
            }
        }
        Ok(files)
    }
}

/// Names under which the layout and the seal of an earlier draw are kept.
fn kept_names(n: usize) -> [String; 2] {
    [format!("layout-{n}.csv"), format!("seal-{n}.toml")]
}
