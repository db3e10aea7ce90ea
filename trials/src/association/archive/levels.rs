//! Names as small numbers: many rows hold few different ones.

use std::hash::Hash;

use indexmap::{Equivalent, IndexSet};
use rustc_hash::FxBuildHasher;

/// Different values in the order in which they were first met, each known by its position.
#[derive(Debug, Clone)]
pub struct Levels<T = Box<str>> {
    met: IndexSet<T, FxBuildHasher>,
    /// The position that was asked for last: rows of one plot mostly follow one another.
    latest: u32,
}

impl<T: Hash + Eq> Default for Levels<T> {
    fn default() -> Self {
        Self {
            met: IndexSet::default(),
            latest: 0,
        }
    }
}

impl<T: Hash + Eq> Levels<T> {
    /// Position of a value, and whether it was not met before.
    pub fn meet<Q>(&mut self, value: &Q) -> (u32, bool)
    where
        Q: Hash + Equivalent<T> + ?Sized,
        for<'q> &'q Q: Into<T>,
    {
        if let Some(latest) = self.met.get_index(self.latest as usize)
            && value.equivalent(latest)
        {
            return (self.latest, false);
        }
        let known = self.met.get_index_of(value);
        let (at, new) = match known {
            Some(at) => (at, false),
            None => (self.met.insert_full(value.into()).0, true),
        };
        // Four thousand million names take more memory than any machine has.
        self.latest = u32::try_from(at).unwrap_or(u32::MAX);
        (self.latest, new)
    }

    /// The value at a position.
    #[must_use]
    pub fn get(&self, code: u32) -> Option<&T> {
        self.met.get_index(code as usize)
    }

    /// All values, in the order of their positions.
    pub fn iter(&self) -> impl Iterator<Item = &T> {
        self.met.iter()
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.met.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.met.is_empty()
    }
}

impl Levels {
    /// The name at a position; an empty one where there is none.
    #[must_use]
    pub fn name(&self, code: u32) -> &str {
        self.get(code).map_or("", |name| name)
    }
}
