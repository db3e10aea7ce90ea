//! Sums by club and treatment straight from the lines of a table.

use super::cells::count;
use super::{Levels, Sums, SumsBy};
use crate::table::{Problem, RawTable, each_line, separator_of};

/// Where a table has its clubs, treatments and counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClubHead {
    separator: u8,
    club: usize,
    treatment: usize,
    count: usize,
}

impl ClubHead {
    /// Finds the columns of clubs, treatments and counts in the first lines of a table.
    ///
    /// # Errors
    /// A text that is no table, and every column that is not there.
    pub fn of(file: &str, first_lines: &str, columns: &[String; 3]) -> Result<Self, Vec<Problem>> {
        let table = RawTable::read_head(file, first_lines)?;
        let found = columns.each_ref().map(|name| table.required(name));
        match found {
            [Ok(club), Ok(treatment), Ok(count)] => Ok(Self {
                separator: separator_of(first_lines),
                club,
                treatment,
                count,
            }),
            missing => Err(missing.into_iter().filter_map(Result::err).collect()),
        }
    }

    /// Sums of a block of whole lines, and how many of its lines hold no count. The header is line 1.
    #[must_use]
    pub fn sums(&self, block: &str, first: u64) -> (SumsBy, u64) {
        let (mut clubs, mut treatments) = (<Levels>::default(), <Levels>::default());
        let mut sums: Vec<Vec<Sums>> = Vec::new();
        let mut uncounted = 0;
        each_line(block, self.separator, first, |line, cells| {
            if line == 1 {
                return;
            }
            let cell = |at: usize| cells.at(at);
            let Ok(Some(count)) = count(cell(self.count)) else {
                uncounted += 1;
                return;
            };
            let (club, treatment) = (
                clubs.meet(cell(self.club)).0,
                treatments.meet(cell(self.treatment)).0,
            );
            let (club, treatment) = (club as usize, treatment as usize);
            if sums.len() <= club {
                sums.resize_with(club + 1, Vec::new);
            }
            let club = &mut sums[club];
            if club.len() <= treatment {
                club.resize(treatment + 1, Sums::default());
            }
            club[treatment].add(count);
        });
        let mut by = SumsBy::default();
        for (club, sums) in clubs.iter().zip(&sums) {
            for (treatment, sums) in treatments.iter().zip(sums).filter(|(_, s)| s.n > 0) {
                by.add(club, treatment, sums);
            }
        }
        (by, uncounted)
    }
}
