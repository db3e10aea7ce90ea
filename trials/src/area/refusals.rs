//! Faults as they are found: the first of each kind in full, the rest counted.

use crate::Error;
use crate::text::spelling::number;

/// Faults of one kind shown in full; the rest are the same slip again.
pub(super) const MOST: usize = 20;

/// Faults of one file. Two are of one kind if the same thing mends them.
#[derive(Debug)]
pub(super) struct Refusals {
    file: String,
    shown: Vec<Error>,
    kinds: Vec<(String, usize)>,
}

impl Refusals {
    pub(super) fn new(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            shown: Vec::new(),
            kinds: Vec::new(),
        }
    }

    pub(super) fn push(&mut self, fault: Error) {
        let at = self.kinds.iter().position(|(cure, _)| *cure == fault.cure);
        let at = at.unwrap_or_else(|| {
            self.kinds.push((fault.cure.clone(), 0));
            self.kinds.len() - 1
        });
        self.kinds[at].1 += 1;
        if self.kinds[at].1 <= MOST {
            self.shown.push(fault);
        }
    }

    pub(super) fn extend(&mut self, faults: impl IntoIterator<Item = Error>) {
        for fault in faults {
            self.push(fault);
        }
    }

    pub(super) fn file(&self) -> &str {
        &self.file
    }

    /// How many were found, shown or not.
    pub(super) fn number(&self) -> usize {
        self.kinds.iter().map(|(_, found)| found).sum()
    }

    pub(super) fn is_empty(&self) -> bool {
        self.shown.is_empty()
    }

    /// All that is shown, with a line for each kind of which there were more.
    pub(super) fn done(self) -> Vec<Error> {
        let Self {
            file,
            mut shown,
            kinds,
        } = self;
        for (cure, found) in kinds.into_iter().filter(|k| k.1 > MOST) {
            let what = format!("{} like these {MOST}", number(found - MOST, "more fault"));
            shown.push(Error::new(&file, what, cure));
        }
        shown
    }
}

/// The first of each kind of faults that were found elsewhere, the rest counted.
pub(super) fn capped(file: &str, faults: impl IntoIterator<Item = Error>) -> Vec<Error> {
    let mut all = Refusals::new(file);
    all.extend(faults);
    all.done()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faults_beyond_twenty_of_a_kind_are_counted() {
        let mut faults = Refusals::new("o.csv");
        faults.push(Error::new("o.csv:1", "no corner", "Write one."));
        faults.extend(
            (0..1000).map(|i| Error::new(format!("o.csv:{i}"), "no number", "Write a number.")),
        );
        let all = faults.done();
        assert_eq!(all.len(), 22);
        assert_eq!(
            all[21].to_string(),
            "o.csv: 980 more faults like these 20. Write a number."
        );
    }
}
