//! A trial folder kept as it was, so that it is judged by its own protocol, layout and seal wherever the archive goes.

use std::collections::BTreeMap;
use std::io::{Cursor, Read, Write};
use std::path::Path;

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::found::TrialFiles;
use super::{Archive, partition};
use crate::Error;
use crate::association::archive::TrialKey;
use crate::design::sha256;
use crate::ranges::tables::FILE_SIZE;
use crate::store::read::bytes;

impl TrialFiles {
    /// The files as one, the same each time.
    ///
    /// # Errors
    /// None that is known: names and contents can always be packed.
    pub fn packed(&self) -> Result<Vec<u8>, Error> {
        let failed = |e: &dyn std::fmt::Display| {
            let place = self.folder.display().to_string();
            Error::new(
                place,
                format!("its files cannot be packed ({e})"),
                "Report this as a fault.",
            )
        };
        let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
        let mut out = ZipWriter::new(Cursor::new(Vec::new()));
        for (name, content) in &self.files {
            out.start_file(name.as_str(), options)
                .map_err(|e| failed(&e))?;
            out.write_all(content).map_err(|e| failed(&e))?;
        }
        Ok(out.finish().map_err(|e| failed(&e))?.into_inner())
    }
}

impl Archive {
    /// Keeps a packed folder; gives its path in the archive.
    ///
    /// # Errors
    /// A disk that is full.
    pub fn keep(&self, key: &TrialKey, packed: &[u8]) -> Result<String, Error> {
        let folder = partition::folder(partition::TRIALS, key.season, &key.club);
        let name = format!("{folder}/{}", partition::kept_file(&sha256(packed)));
        self.place(&name, packed)?;
        Ok(name)
    }

    /// The files of a folder that was kept, which bore the name `source`.
    ///
    /// # Errors
    /// A file that is damaged or not as it was kept.
    pub fn kept(&self, name: &str, sha: &str, source: &Path) -> Result<TrialFiles, Error> {
        let path = self.path(name);
        let damaged = |what: &str| {
            let cure = "Restore it from a copy, or add the trial's folder again with --replace.";
            Error::new(path.display().to_string(), what, cure)
        };
        let packed = bytes(&path, &FILE_SIZE)?;
        if sha256(&packed) != sha {
            return Err(damaged("the file is not as it was kept"));
        }
        let mut read =
            ZipArchive::new(Cursor::new(packed)).map_err(|_| damaged("the file is damaged"))?;
        let mut files = BTreeMap::new();
        for at in 0..read.len() {
            let mut file = read
                .by_index(at)
                .map_err(|_| damaged("the file is damaged"))?;
            let mut content = Vec::new();
            file.read_to_end(&mut content)
                .map_err(|_| damaged("the file is damaged"))?;
            let name = file.name().map_err(|_| damaged("the file is damaged"))?;
            files.insert(name.into_owned(), content);
        }
        Ok(TrialFiles {
            folder: source.to_path_buf(),
            files,
        })
    }
}
