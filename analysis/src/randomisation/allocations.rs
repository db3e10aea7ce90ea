//! Allocations one after another, in little room: ten thousand of a thousand plots are twenty megabytes.

use rayon::prelude::*;

use crate::Error;

/// A treatment's number, as allocations hold it.
pub(crate) type Label = u16;

/// Allocations of treatments to the same plots.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Allocations {
    plots: usize,
    labels: Vec<Label>,
}

impl Allocations {
    /// No allocation yet, of so many plots.
    #[must_use]
    pub const fn new(plots: usize) -> Self {
        Self {
            plots,
            labels: Vec::new(),
        }
    }

    /// Adds an allocation: the treatment of every plot.
    ///
    /// # Errors
    /// No plots, another number of plots than asked for, more than 65 536 treatments; nothing is then added.
    pub fn push(&mut self, allocation: impl IntoIterator<Item = usize>) -> Result<(), Error> {
        let before = self.labels.len();
        for label in allocation {
            let Ok(label) = Label::try_from(label) else {
                self.labels.truncate(before);
                return Err(Error::new(
                    "treatment labels",
                    format!("treatment number {label}"),
                    format!("they are numbered from 0 to {}", Label::MAX),
                    "number the treatments without gaps",
                ));
            };
            self.labels.push(label);
        }
        let found = self.labels.len() - before;
        if found != self.plots || found == 0 {
            self.labels.truncate(before);
            return Err(unlike(found, self.plots));
        }
        Ok(())
    }

    /// The allocations of these rows, each the treatment of so many plots.
    ///
    /// # Errors
    /// As [`push`](Self::push).
    pub fn from_rows<R: IntoIterator<Item = usize>>(
        plots: usize,
        rows: impl IntoIterator<Item = R>,
    ) -> Result<Self, Error> {
        let mut all = Self::new(plots);
        rows.into_iter().try_for_each(|row| all.push(row))?;
        Ok(all)
    }

    /// Those of several lists, one list after another; none of no list.
    ///
    /// # Errors
    /// Lists of different numbers of plots.
    pub fn concat(lists: &[Self]) -> Result<Self, Error> {
        let plots = lists.first().map_or(0, |list| list.plots);
        if let Some(other) = lists.iter().find(|list| list.plots != plots) {
            return Err(unlike(other.plots, plots));
        }
        let labels = lists.iter().map(|list| list.labels.as_slice());
        Ok(Self {
            plots,
            labels: labels.collect::<Vec<_>>().concat(),
        })
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.labels.len().checked_div(self.plots).unwrap_or(0)
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.labels.is_empty()
    }

    /// How many plots each has.
    #[must_use]
    pub fn plots(&self) -> usize {
        self.plots
    }

    /// One after another.
    pub(crate) fn iter(&self) -> impl Iterator<Item = &[Label]> {
        self.labels.chunks_exact(self.plots.max(1))
    }

    /// Shared out among threads.
    pub(crate) fn par_iter(&self) -> impl IndexedParallelIterator<Item = &[Label]> {
        self.labels.par_chunks_exact(self.plots.max(1))
    }

    /// Those of these numbers, with these plots alone.
    pub(crate) fn picked(&self, numbers: impl Iterator<Item = usize>, plots: &[usize]) -> Self {
        let mut labels = Vec::with_capacity(numbers.size_hint().0 * plots.len());
        for number in numbers {
            let row = &self.labels[number * self.plots..(number + 1) * self.plots];
            labels.extend(plots.iter().map(|&plot| row[plot]));
        }
        Self {
            plots: plots.len(),
            labels,
        }
    }

    /// The same with every treatment numbered anew.
    ///
    /// # Errors
    /// As [`push`](Self::push).
    pub(crate) fn renumbered(&self, anew: &[usize]) -> Result<Self, Error> {
        let row = |row: &[Label]| {
            row.iter()
                .map(|&t| anew[usize::from(t)])
                .collect::<Vec<_>>()
        };
        Self::from_rows(self.plots, self.iter().map(row))
    }
}

/// An allocation of another number of plots than wanted, or of none.
fn unlike(found: usize, wanted: usize) -> Error {
    Error::new(
        "allocations",
        format!("one of {found} plots"),
        format!("each needs a treatment for all {wanted} plots, and there must be some"),
        "list the allocations of the plots that were counted",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_that_does_not_fit_adds_nothing() {
        let mut all = Allocations::new(3);
        all.push([0, 1, 2]).unwrap();
        for wrong in [vec![0, 1], vec![0, 1, 2, 0], vec![], vec![0, 70_000, 1]] {
            assert!(all.push(wrong).is_err());
        }
        assert_eq!((all.len(), all.plots()), (1, 3));
        assert!(Allocations::new(0).push([]).is_err());
        assert_eq!(Allocations::new(0).len(), 0);
        let both = Allocations::concat(&[all.clone(), all.clone()]).unwrap();
        assert_eq!((both.len(), both.plots()), (2, 3));
        assert!(Allocations::concat(&[all, Allocations::new(4)]).is_err());
        assert!(Allocations::concat(&[]).unwrap().is_empty());
    }

    #[test]
    fn rows_are_picked_and_renumbered() {
        let all = Allocations::from_rows(3, [[0, 1, 2], [2, 1, 0], [1, 0, 2]]).unwrap();
        let rows = |a: &Allocations| a.iter().map(<[Label]>::to_vec).collect::<Vec<_>>();
        let picked = all.picked([2, 0, 2].into_iter(), &[0, 2]);
        assert_eq!(rows(&picked), [[1, 2], [0, 2], [1, 2]]);
        let anew = picked.renumbered(&[0, 1, 1]).unwrap();
        assert_eq!(rows(&anew), [[1, 1], [0, 1], [1, 1]]);
        assert_eq!(all.par_iter().map(<[Label]>::len).sum::<usize>(), 9);
    }
}
