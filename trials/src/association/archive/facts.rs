//! How much there is of a trial, and what is wrong with it.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{Row, Rows, TrialKey};

/// What is wrong on a line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fault {
    /// Line of the table.
    pub line: u64,
    /// Cell in the line, from 1.
    pub column: usize,
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub cure: String,
}

/// Lines of which nobody can tell the trial.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Lost {
    /// How many there are.
    pub lines: u64,
    /// The first one's fault.
    pub first: Option<Fault>,
}

impl Lost {
    pub(super) fn add(&mut self, fault: Fault) {
        self.lines += 1;
        self.first.get_or_insert(fault);
    }

    fn merge(&mut self, later: Self) {
        self.lines += later.lines;
        if self.first.is_none() {
            self.first = later.first;
        }
    }
}

/// What the rows of one trial come to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Facts {
    /// Rows with a count.
    pub counted: u64,
    /// Lines without one, which are left out and are not zeros.
    pub uncounted: u64,
    /// Animals.
    pub animals: u64,
    /// Its first line.
    pub first_line: u64,
    /// Occasions.
    pub occasions: BTreeSet<String>,
    /// Treatments.
    pub treatments: BTreeSet<String>,
    /// What else is known of it.
    pub moderators: BTreeMap<String, String>,
    /// First day of each occasion.
    pub days: BTreeMap<String, Date>,
    /// Faults on its lines.
    pub faults: u64,
    /// The first of them.
    pub fault: Option<Fault>,
    /// The same for the same rows in whatever order and from whatever file: by it a trial that comes twice is known.
    digest: [u64; 2],
}

impl Facts {
    /// The digest as text.
    #[must_use]
    pub fn digest(&self) -> String {
        format!("{:016x}{:016x}", self.digest[0], self.digest[1])
    }

    pub(super) fn fault(&mut self, fault: Fault) {
        self.faults += 1;
        self.fault.get_or_insert(fault);
    }

    pub(super) fn add_row(&mut self, row: [u64; 2]) {
        for (sum, one) in self.digest.iter_mut().zip(row) {
            *sum = sum.wrapping_add(one);
        }
    }

    /// What is known of a trial that is read as a whole, as a folder is.
    #[must_use]
    pub fn of_rows(rows: &Rows) -> Self {
        let mut facts = Self::default();
        for at in 0..rows.len() {
            let row = rows.row(at);
            facts.counted += 1;
            facts.animals += u64::from(row.count);
            facts.occasions.insert(row.occasion.to_owned());
            facts.treatments.insert(row.treatment.to_owned());
            facts.add_row(row_digest(&row, &name_digest));
        }
        facts
    }

    fn merge(&mut self, later: Self) {
        if self.first_line == 0 {
            self.first_line = later.first_line;
        }
        self.counted += later.counted;
        self.uncounted += later.uncounted;
        self.animals += later.animals;
        self.occasions.extend(later.occasions);
        self.treatments.extend(later.treatments);
        for (occasion, day) in later.days {
            let first = self.days.entry(occasion).or_insert(day);
            *first = day.min(*first);
        }
        self.faults += later.faults;
        if self.fault.is_none() {
            self.fault = later.fault;
        }
        for (name, value) in later.moderators {
            let known = self.moderators.get(&name);
            if let Some(other) = known.filter(|k| **k != value) {
                let what = format!("`{name}` is {value} from here on and {other} above");
                self.fault(Fault {
                    line: later.first_line,
                    column: 1,
                    what,
                    cure: "Write one value on all lines of a trial.".to_owned(),
                });
            } else {
                self.moderators.insert(name, value);
            }
        }
        self.add_row(later.digest);
    }
}

/// Facts of many trials, block after block.
#[derive(Debug, Clone, Default)]
pub struct AllFacts {
    /// By trial.
    pub trials: BTreeMap<TrialKey, Facts>,
    /// Lines of no trial.
    pub lost: Lost,
}

impl AllFacts {
    /// Takes in those of the next block.
    pub fn merge(&mut self, later: Self) {
        for (key, facts) in later.trials {
            self.trials.entry(key).or_default().merge(facts);
        }
        self.lost.merge(later.lost);
    }
}

/// A name as a number: FNV-1a of 64 bits (Fowler, Noll and Vo; the constants are those of RFC 9923).
pub(super) fn name_digest(name: &str) -> u64 {
    name.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// A row as two numbers, to be added up over a trial. They tell slips apart, not forgeries: source files have SHA-256 for that.
pub(super) fn row_digest(row: &Row<'_>, of: &impl Fn(&str) -> u64) -> [u64; 2] {
    let names = [row.occasion, row.treatment, row.block, row.plot].map(of);
    mixed(names, row.count, row.area_m2)
}

/// The same from the numbers of the names.
pub(super) fn mixed(names: [u64; 4], count: u32, area_m2: f64) -> [u64; 2] {
    let parts = names
        .into_iter()
        .chain([u64::from(count), area_m2.to_bits()]);
    let (mut one, mut two) = (0x9e37_79b9_7f4a_7c15_u64, 0x6a09_e667_f3bc_c909_u64);
    for part in parts {
        one = scrambled(one ^ part);
        two = scrambled(two.wrapping_add(part));
    }
    [one, two]
}

/// The finaliser of splitmix64 (Steele, Lea and Flood 2014, Fast splittable pseudorandom number generators).
fn scrambled(mut bits: u64) -> u64 {
    bits = bits.wrapping_add(0x9e37_79b9_7f4a_7c15);
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    bits ^ (bits >> 31)
}
