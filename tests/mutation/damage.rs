//! Ways in which a text is damaged.

use proptest::prelude::*;
use proptest::sample::Index;

/// Pieces that upset readers: numbers at the ends of their ranges, marks of every format, letters of other scripts.
const PIECES: [&str; 30] = [
    "1e308",
    "-1e308",
    "1e-308",
    "NaN",
    "inf",
    "-0",
    "0",
    "99999999999999999999",
    "1,5",
    "0x1F",
    "\"",
    "'",
    ",",
    ";",
    "\t",
    "\n",
    "\r\n",
    "\r",
    "\0",
    "\u{feff}",
    "\u{202e}",
    "é",
    "[",
    "]",
    "{}",
    "null",
    "<",
    "/>",
    "&",
    "zone wet",
];

/// One damage; places are shares of the text as it then is.
#[derive(Debug, Clone)]
pub(super) enum Damage {
    /// Starts over from another text.
    Seed(Index),
    /// A byte becomes another.
    Byte(Index, u8),
    /// A stretch is lost.
    Cut(Index, Index),
    /// All after a place is lost, as by a copy that broke off.
    Torn(Index),
    /// A stretch stands twice or more.
    Again(Index, Index, u8),
    /// A stretch moves elsewhere.
    Moved(Index, Index, Index),
    /// A piece is put in.
    Piece(Index, Index),
    /// A number becomes another piece.
    Number(Index, Index),
    /// What follows comes from another text.
    Spliced(Index, Index, Index),
}

/// One damage to eight, the first choosing the text.
pub(super) fn damages() -> impl Strategy<Value = Vec<Damage>> {
    let at = any::<Index>;
    let one = prop_oneof![
        (at(), any::<u8>()).prop_map(|(a, byte)| Damage::Byte(a, byte)),
        (at(), at()).prop_map(|(a, b)| Damage::Cut(a, b)),
        at().prop_map(Damage::Torn),
        (at(), at(), 1..8_u8).prop_map(|(a, b, times)| Damage::Again(a, b, times)),
        (at(), at(), at()).prop_map(|(a, b, c)| Damage::Moved(a, b, c)),
        (at(), at()).prop_map(|(a, b)| Damage::Piece(a, b)),
        (at(), at()).prop_map(|(a, b)| Damage::Number(a, b)),
        (at(), at(), at()).prop_map(|(a, b, c)| Damage::Spliced(a, b, c)),
    ];
    (at(), prop::collection::vec(one, 1..8)).prop_map(|(seed, mut all)| {
        all.insert(0, Damage::Seed(seed));
        all
    })
}

/// A text with the damages done in order.
pub(super) fn damaged(seeds: &[String], damages: &[Damage]) -> String {
    let mut text = Vec::new();
    for damage in damages {
        text = done(damage, text, seeds);
    }
    String::from_utf8_lossy(&text).into_owned()
}

fn done(damage: &Damage, mut text: Vec<u8>, seeds: &[String]) -> Vec<u8> {
    let place = |index: &Index| index.index(text.len() + 1);
    let span = |a: &Index, b: &Index| {
        let (a, b) = (place(a), place(b));
        a.min(b)..a.max(b)
    };
    match damage {
        Damage::Seed(which) => seeds[which.index(seeds.len())].clone().into_bytes(),
        Damage::Byte(at, byte) => {
            let at = place(at);
            if let Some(there) = text.get_mut(at) {
                *there = *byte;
            }
            text
        }
        Damage::Cut(a, b) => {
            let span = span(a, b);
            text.drain(span);
            text
        }
        Damage::Torn(at) => {
            let at = place(at);
            text.truncate(at);
            text
        }
        Damage::Again(a, b, times) => {
            let span = span(a, b);
            let stretch = text[span.clone()].repeat(usize::from(*times));
            text.splice(span.end..span.end, stretch);
            text
        }
        Damage::Moved(a, b, to) => {
            let span = span(a, b);
            let stretch: Vec<u8> = text.drain(span).collect();
            let to = to.index(text.len() + 1);
            text.splice(to..to, stretch);
            text
        }
        Damage::Piece(at, piece) => {
            let at = place(at);
            text.splice(at..at, PIECES[piece.index(PIECES.len())].bytes());
            text
        }
        Damage::Number(which, piece) => {
            let numbers = numbers(&text);
            if !numbers.is_empty() {
                let span = numbers[which.index(numbers.len())].clone();
                text.splice(span, PIECES[piece.index(PIECES.len())].bytes());
            }
            text
        }
        Damage::Spliced(at, seed, from) => {
            let at = place(at);
            let other = seeds[seed.index(seeds.len())].as_bytes();
            text.truncate(at);
            text.extend(&other[from.index(other.len() + 1)..]);
            text
        }
    }
}

/// Where numbers stand.
fn numbers(text: &[u8]) -> Vec<std::ops::Range<usize>> {
    let mut found: Vec<std::ops::Range<usize>> = Vec::new();
    for (i, byte) in text.iter().enumerate() {
        if byte.is_ascii_digit() || matches!(byte, b'.' | b'-') {
            match found.last_mut().filter(|span| span.end == i) {
                Some(span) => span.end = i + 1,
                None => found.push(i..i + 1),
            }
        }
    }
    found
}
