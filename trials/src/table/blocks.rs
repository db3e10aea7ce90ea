//! Delimited text in blocks of whole lines, each of which can be read by itself: for tables larger than memory.
//!
//! The same lines come out as from a [`RawTable`](super::RawTable), without a cell of its own for each: same separators, same
//! quotation marks, same blanks.

use memchr::{memchr, memchr_iter};

use super::reading::separator;
use crate::text::table_cells::read as written_as;

/// The separator of a table that begins with this text.
pub(crate) fn separator_of(head: &str) -> u8 {
    separator(head)
}

#[cfg(feature = "archive")]
/// Where a block of bytes may be cut so that no line and no quoted cell is torn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Halves {
    separator: u8,
}

#[cfg(feature = "archive")]
impl Halves {
    /// Cuts text that is parted by this byte.
    pub(crate) fn of(separator: u8) -> Self {
        Self { separator }
    }

    /// Length of the whole lines at the beginning of a block that starts with a line; 0 where no line ends in it.
    pub(crate) fn whole_lines(self, block: &[u8]) -> usize {
        if memchr(b'"', block).is_some() {
            self.whole_quoted_lines(block)
        } else {
            let last = block.iter().rposition(|b| *b == b'\n');
            last.map_or(0, |at| at + 1)
        }
    }

    /// The same where a line break may stand inside quotation marks (RFC 4180), which open a cell only at its beginning.
    fn whole_quoted_lines(self, block: &[u8]) -> usize {
        let (mut begins, mut quoted, mut whole) = (true, false, 0);
        let mut bytes = block.iter().enumerate().peekable();
        while let Some((at, &byte)) = bytes.next() {
            if quoted {
                if byte == b'"' && bytes.next_if(|(_, next)| **next == b'"').is_none() {
                    quoted = false;
                }
                continue;
            }
            quoted = begins && byte == b'"';
            begins = byte == self.separator || byte == b'\n';
            if byte == b'\n' {
                whole = at + 1;
            }
        }
        whole
    }
}

/// The cells of a line; blanks round them are taken off when one is asked for.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LineCells<'l> {
    text: &'l str,
    /// Where the first cell begins.
    begins: usize,
    /// Where each cell ends.
    ends: &'l [usize],
    /// Bytes between two cells.
    between: usize,
}

impl<'l> LineCells<'l> {
    /// A cell as it was meant; an empty one where the line has none.
    #[inline]
    pub(crate) fn at(self, column: usize) -> &'l str {
        let Some(&ends) = self.ends.get(column) else {
            return "";
        };
        let begins = match column.checked_sub(1) {
            None => self.begins,
            Some(before) => self.ends[before] + self.between,
        };
        self.text.get(begins..ends).map_or("", plain)
    }

    /// How many cells there are.
    pub(crate) fn len(self) -> usize {
        self.ends.len()
    }

    /// Whether a cell from this column on holds anything.
    #[inline]
    pub(crate) fn any_from(self, column: usize) -> bool {
        (column..self.len()).any(|at| !self.at(at).is_empty())
    }
}

/// Hands each line of a block that is not blank to `take`, with its number and its cells. `first` is the number of the block's
/// first line.
pub(crate) fn each_line(
    block: &str,
    separator: u8,
    first: u64,
    take: impl FnMut(u64, LineCells<'_>),
) {
    if memchr(b'"', block.as_bytes()).is_some() {
        each_quoted_line(block, separator, first, take);
    } else {
        each_plain_line(block, separator, first, take);
    }
}

/// The same where no cell is quoted: every separator parts two cells, every line feed two lines.
fn each_plain_line(
    block: &str,
    separator: u8,
    first: u64,
    mut take: impl FnMut(u64, LineCells<'_>),
) {
    let bytes = block.as_bytes();
    let mut ends = Vec::new();
    let (mut line, mut begins) = (first, 0);
    let mut told = |line: u64, begins: usize, ends: &[usize]| {
        let cells = LineCells {
            text: block,
            begins,
            ends,
            between: 1,
        };
        if cells.any_from(0) {
            take(line, cells);
        }
    };
    each_of(bytes, [separator, b'\n'], |at| {
        ends.push(at);
        if bytes[at] == b'\n' {
            told(line, begins, &ends);
            ends.clear();
            begins = at + 1;
            line += 1;
        }
    });
    ends.push(bytes.len());
    told(line, begins, &ends);
}

/// Bytes that are looked at together, a bit for each.
const WORD: usize = 64;

/// Hands the place of every byte that is one of two to `take`. Where every tenth is one, finding them one by one takes longer than
/// all else about a line.
fn each_of(bytes: &[u8], two: [u8; 2], mut take: impl FnMut(usize)) {
    let mut each = |from: usize, mut found: u64| {
        while found != 0 {
            take(from + found.trailing_zeros() as usize);
            found &= found - 1;
        }
    };
    let (words, rest) = bytes.as_chunks::<WORD>();
    for (at, word) in words.iter().enumerate() {
        each(at * WORD, marked(word, two));
    }
    let mut last = [0; WORD];
    last[..rest.len()].copy_from_slice(rest);
    let real = (1_u64 << rest.len()) - 1;
    each(words.len() * WORD, marked(&last, two) & real);
}

/// A bit for every byte that is one of two, the first byte's the lowest.
#[inline]
fn marked(word: &[u8; WORD], two: [u8; 2]) -> u64 {
    let mut ones = [0; WORD];
    // A loop: `map` of an array is a call for each byte where units are not optimised together.
    for (one, byte) in ones.iter_mut().zip(word) {
        *one = u8::from(*byte == two[0] || *byte == two[1]);
    }
    let (eights, _) = ones.as_chunks::<8>();
    // Eight bytes of 0 or 1 times this have in their highest byte the bits of all eight, the first byte's the lowest.
    let bits = |eight: &[u8; 8]| {
        u64::from_le_bytes(*eight).wrapping_mul(0x0102_0408_1020_4080) >> (64 - 8)
    };
    let placed = eights.iter().enumerate();
    placed.fold(0, |all, (at, eight)| all | bits(eight) << (8 * at))
}

fn each_quoted_line(
    block: &str,
    separator: u8,
    first: u64,
    mut take: impl FnMut(u64, LineCells<'_>),
) {
    let bytes = block.as_bytes();
    let breaks = |part: &[u8]| memchr_iter(b'\n', part).count() as u64;
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .from_reader(bytes);
    let mut record = csv::StringRecord::new();
    let mut ends = Vec::new();
    let (mut counted_to, mut line) = (0, first);
    // A record that cannot be read does not occur: the text is UTF-8, and lines may differ in length.
    while let Ok(true) = reader.read_record(&mut record) {
        let at = record.position().map_or(0, csv::Position::byte);
        let start = usize::try_from(at).unwrap_or(0).min(bytes.len());
        // The reader places a record before any blank lines it skipped.
        let blank = bytes[start..].iter();
        let begins = start + blank.take_while(|b| matches!(b, b'\r' | b'\n')).count();
        line += breaks(&bytes[counted_to..begins]);
        counted_to = begins;
        ends.clear();
        ends.extend((0..record.len()).filter_map(|at| Some(record.range(at)?.end)));
        let cells = LineCells {
            text: record.as_slice(),
            begins: 0,
            ends: &ends,
            between: 0,
        };
        if cells.any_from(0) {
            take(line, cells);
        }
    }
}

/// A cell without the blanks round it, and as it was meant.
#[inline]
fn plain(cell: &str) -> &str {
    let bare = match cell.as_bytes() {
        [] => return cell,
        [one] if one.is_ascii_graphic() => cell,
        [first, .., last] if first.is_ascii_graphic() && last.is_ascii_graphic() => cell,
        _ => cell.trim(),
    };
    written_as(bare)
}

#[cfg(all(test, feature = "archive"))]
mod tests {
    use super::*;
    use crate::table::RawTable;

    const TABLE: &str = "a,b,c\n1,\"x\ny\",3\n\n 4 ,6\" deep,'=5\r\n\"\"\"q\"\"\",, \n7,8,9";

    /// Cut at any byte, the lines and cells are those of the table read whole.
    #[test]
    fn blocks_give_the_cells_of_the_whole() {
        let whole = RawTable::read("t.csv", TABLE).unwrap();
        let wanted: Vec<(u64, Vec<String>)> = std::iter::once(&whole.header)
            .chain(&whole.rows)
            .map(|row| (row[0].line, row.iter().map(|c| c.text.clone()).collect()))
            .collect();
        for cut in 0..=TABLE.len() {
            let ready = Halves::of(b',').whole_lines(&TABLE.as_bytes()[..cut]);
            let mut found = Vec::new();
            let mut take = |line: u64, cells: LineCells<'_>| {
                let cells = (0..3).map(|at| cells.at(at).to_owned()).collect();
                found.push((line, cells));
            };
            each_line(&TABLE[..ready], b',', 1, &mut take);
            let next = 1 + TABLE[..ready].matches('\n').count() as u64;
            each_line(&TABLE[ready..], b',', next, &mut take);
            assert_eq!(found, wanted, "cut after {cut} bytes");
        }
    }
}
