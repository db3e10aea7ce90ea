//! The key: what each mark or fill stands for, in as many columns as its names allow.

use maud::{Markup, html};

use super::label::{LEADING, Label};
use super::lettering::{Weight, lines_needed, width, wrap};
use super::paper::mm;

/// Most lines that a name may take.
const MOST_LINES: usize = 4;

/// One line of the key.
#[derive(Debug, Clone)]
pub(crate) struct Entry {
    /// What is explained, drawn from its left end at the middle of the line.
    pub(crate) sample: Markup,
    /// Short name set bold before the long one; may be empty.
    pub(crate) letter: String,
    pub(crate) name: String,
}

/// A key set out for a width.
#[derive(Debug, Clone)]
pub(crate) struct Key {
    entries: Vec<(Entry, Vec<String>)>,
    columns: usize,
    column: f64,
    size: f64,
    /// From the left end of a sample to the letter, and to the name.
    indents: [f64; 2],
    /// Height of each row.
    rows: Vec<f64>,
    /// From the top of a row to the base line of its first name.
    base: f64,
}

impl Key {
    /// Sets entries out in columns that share `room`, in lettering of `size`; samples are `sample`
    /// wide and high.
    pub(crate) fn new(entries: Vec<Entry>, room: f64, size: f64, sample: [f64; 2]) -> Self {
        let column = Column::of(&entries, size, sample);
        let fits = |columns: &usize| {
            let name_room = column.name_room(room, *columns);
            let lines = |e: &Entry| lines_needed(&e.name, name_room, size, Weight::Regular);
            let allowed = if *columns == 2 { 2 } else { 1 };
            entries
                .iter()
                .map(lines)
                .all(|(n, whole)| whole && n <= allowed)
        };
        let columns = [4, 3, 2]
            .into_iter()
            .filter(|c| *c <= entries.len())
            .find(fits)
            .unwrap_or(1);
        column.set(entries, room, columns, MOST_LINES)
    }

    /// The same, but where it would stand higher than `tallest` with two names in a row, each cut to a line.
    pub(crate) fn no_higher_than(
        tallest: f64,
        entries: Vec<Entry>,
        room: f64,
        size: f64,
        sample: [f64; 2],
    ) -> Self {
        let whole = Self::new(entries.clone(), room, size, sample);
        if whole.height() <= tallest {
            return whole;
        }
        Column::of(&entries, size, sample).set(entries, room, 2, 1)
    }

    /// How high it stands.
    pub(crate) fn height(&self) -> f64 {
        self.rows.iter().sum()
    }

    /// The key below and to the right of a corner.
    pub(crate) fn drawn(&self, [left, top]: [f64; 2]) -> Markup {
        let mut base = top + self.base;
        let mut all = Vec::new();
        for (row, height) in self.entries.chunks(self.columns).zip(&self.rows) {
            for (i, (entry, lines)) in row.iter().enumerate() {
                all.push(self.entry(entry, lines, [left + self.column * i as f64, base]));
            }
            base += height;
        }
        html! { @for entry in &all { (entry) } }
    }

    fn entry(&self, entry: &Entry, lines: &[String], [x, base]: [f64; 2]) -> Markup {
        let size = self.size;
        let names = super::label::lines(lines, [x + self.indents[1], base], size);
        html! {
            g transform={ "translate(" (mm(x)) " " (mm(base - 0.36 * size)) ")" } { (entry.sample) }
            @if !entry.letter.is_empty() {
                (Label::new(entry.letter.clone(), [x + self.indents[0], base], size).bold().drawn())
            }
            @for name in &names { (name.drawn()) }
        }
    }
}

/// What every column of a key has in common.
struct Column {
    size: f64,
    sample: [f64; 2],
    indents: [f64; 2],
}

impl Column {
    fn of(entries: &[Entry], size: f64, sample: [f64; 2]) -> Self {
        let letters = entries.iter().map(|e| width(&e.letter, size, Weight::Bold));
        let letter = letters.fold(0.0, f64::max);
        let gap = if letter > 0.0 { 0.4 * size } else { 0.0 };
        let to_letter = sample[0] + 0.5 * size;
        Self {
            size,
            sample,
            indents: [to_letter, to_letter + letter + gap],
        }
    }

    /// Room for a name where so many columns share the room.
    fn name_room(&self, room: f64, columns: usize) -> f64 {
        room / columns as f64 - self.indents[1] - 0.6 * self.size
    }

    fn set(self, entries: Vec<Entry>, room: f64, columns: usize, lines: usize) -> Key {
        let Self {
            size,
            sample,
            indents,
        } = self;
        let name_room = self.name_room(room, columns);
        let set = |e: Entry| {
            let lines = wrap(&e.name, name_room, size, Weight::Regular, lines);
            (e, lines)
        };
        let entries: Vec<(Entry, Vec<String>)> = entries.into_iter().map(set).collect();
        let height = |row: &[(Entry, Vec<String>)]| {
            let most = row.iter().map(|e| e.1.len()).max().unwrap_or(1);
            (size * (0.45 + LEADING * most as f64)).max(sample[1] + 0.3 * size)
        };
        Key {
            rows: entries.chunks(columns).map(height).collect(),
            entries,
            columns,
            column: room / columns as f64,
            size,
            indents,
            base: (0.95 * size).max(sample[1] / 2.0 + 0.36 * size),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entries(names: &[&str]) -> Vec<Entry> {
        let entry = |name: &&str| Entry {
            sample: html! {},
            letter: "A".to_owned(),
            name: (*name).to_owned(),
        };
        names.iter().map(entry).collect()
    }

    #[test]
    fn long_names_take_more_lines_in_fewer_columns() {
        let short = Key::new(
            entries(&["one", "two", "three", "four"]),
            160.0,
            4.0,
            [9.0, 5.0],
        );
        assert_eq!((short.columns, short.rows.len()), (4, 1));
        let long =
            "covered overnight with woven black sheeting weighted with bags of sand at every metre";
        let key = Key::new(entries(&["one", long]), 100.0, 4.0, [9.0, 5.0]);
        assert_eq!((key.columns, key.rows.len()), (1, 2));
        assert!(key.height() > short.height());
        let cut = Key::no_higher_than(8.0, entries(&[long, long]), 100.0, 4.0, [9.0, 5.0]);
        assert!(cut.height() < key.height() && cut.entries[1].1[0].ends_with('\u{2026}'));
        let whole = Key::no_higher_than(80.0, entries(&[long, long]), 100.0, 4.0, [9.0, 5.0]);
        assert!(whole.entries[1].1.concat().ends_with("metre"));
        for (_, lines) in &key.entries {
            for line in lines {
                assert!(width(line, 4.0, Weight::Regular) + key.indents[1] <= 100.0);
            }
        }
    }
}
