//! Where the lettering of a picture lies, read from the document itself.

use halfgreen::drawing::{Weight, width};
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

/// The ground that a line of lettering covers: left, top, right, bottom. A turned line covers that of its corners.
#[derive(Debug, Clone)]
pub(crate) struct Line {
    pub(crate) text: String,
    pub(crate) ground: [f64; 4],
    pub(crate) turned: bool,
}

/// A shift and a turn, as `translate(x y) rotate(a)` writes them.
#[derive(Debug, Clone, Copy, Default)]
struct Frame {
    shift: [f64; 2],
    degrees: f64,
}

fn value(tag: &BytesStart<'_>, name: &str) -> Option<String> {
    let attribute = tag
        .attributes()
        .flatten()
        .find(|a| a.key.as_ref() == name)?;
    Some(attribute.value.to_string())
}

fn number(tag: &BytesStart<'_>, name: &str) -> f64 {
    value(tag, name).map_or(0.0, |v| v.parse().unwrap())
}

fn frame(transform: &str) -> Frame {
    let numbers = |call: &str| -> Vec<f64> {
        let inside = transform.split(&format!("{call}(")).nth(1);
        let inside = inside.and_then(|rest| rest.split(')').next());
        let parts = inside.unwrap_or_default().split([' ', ',']);
        parts
            .filter(|p| !p.is_empty())
            .map(|p| p.parse().unwrap())
            .collect()
    };
    let shift = numbers("translate");
    Frame {
        shift: [0, 1].map(|i| shift.get(i).copied().unwrap_or(0.0)),
        degrees: numbers("rotate").first().copied().unwrap_or(0.0),
    }
}

/// Corners of a line, moved by the groups it stands in, the innermost first.
fn ground(tag: &BytesStart<'_>, text: &str, frames: &[Frame]) -> [f64; 4] {
    let size = number(tag, "font-size");
    let bold = value(tag, "font-weight").is_some_and(|w| w == "bold");
    let wide = width(
        text,
        size,
        if bold { Weight::Bold } else { Weight::Regular },
    );
    let (x, y) = (number(tag, "x"), number(tag, "y"));
    let left = match value(tag, "text-anchor").as_deref() {
        Some("middle") => x - wide / 2.0,
        Some("end") => x - wide,
        _ => x,
    };
    // Helvetica: figures and capitals reach 0.72 of the size above the line, g and p 0.21 below.
    let hangs = !text
        .chars()
        .all(|c| c.is_ascii_digit() || c.is_ascii_uppercase() && c != 'Q');
    let below = if hangs { 0.21 } else { 0.02 };
    let (top, bottom) = (y - 0.72 * size, y + below * size);
    let corners = [
        [left, top],
        [left + wide, top],
        [left, bottom],
        [left + wide, bottom],
    ];
    let moved = corners.map(|corner| {
        frames.iter().rev().fold(corner, |[x, y], f| {
            let (sin, cos) = f.degrees.to_radians().sin_cos();
            [
                f.shift[0] + x * cos - y * sin,
                f.shift[1] + x * sin + y * cos,
            ]
        })
    });
    let of = |axis: usize, pick: fn(f64, f64) -> f64| {
        moved.iter().map(|c| c[axis]).reduce(pick).unwrap()
    };
    [
        of(0, f64::min),
        of(1, f64::min),
        of(0, f64::max),
        of(1, f64::max),
    ]
}

/// Every line of lettering, and the paper's sides.
pub(crate) fn lines(svg: &str) -> (Vec<Line>, [f64; 2]) {
    let mut reader = Reader::from_str(svg);
    let (mut lines, mut paper) = (Vec::new(), [0.0; 2]);
    let mut frames: Vec<Frame> = Vec::new();
    let mut open: Option<(BytesStart<'_>, String)> = None;
    loop {
        match reader.read_event().unwrap() {
            Event::Eof => return (lines, paper),
            Event::Start(tag) if tag.local_name().as_ref() == "svg" => {
                let sides = value(&tag, "viewBox").unwrap();
                let sides: Vec<f64> = sides.split(' ').map(|n| n.parse().unwrap()).collect();
                paper = [sides[2], sides[3]];
            }
            Event::Start(tag) if tag.local_name().as_ref() == "g" => {
                frames.push(frame(&value(&tag, "transform").unwrap_or_default()));
            }
            Event::End(tag) if tag.local_name().as_ref() == "g" => {
                frames.pop();
            }
            Event::Start(tag) if tag.local_name().as_ref() == "text" => {
                open = Some((tag.into_owned(), String::new()));
            }
            Event::Text(text) => {
                if let Some((_, so_far)) = &mut open {
                    so_far.push_str(&text);
                }
            }
            Event::GeneralRef(sign) => {
                if let Some((_, so_far)) = &mut open {
                    so_far.push(match &*sign {
                        "amp" => '&',
                        "lt" => '<',
                        "gt" => '>',
                        "quot" => '"',
                        other => panic!("&{other};"),
                    });
                }
            }
            Event::End(tag) if tag.local_name().as_ref() == "text" => {
                let (tag, text) = open.take().unwrap();
                let turned = frames.iter().any(|f| f.degrees != 0.0);
                let ground = ground(&tag, &text, &frames);
                lines.push(Line {
                    text,
                    ground,
                    turned,
                });
            }
            _ => {}
        }
    }
}

/// Nothing is cut off at the paper's edge.
pub(crate) fn lettering_is_inside(name: &str, svg: &str) {
    // Places are written to a hundredth.
    const SLACK: f64 = 0.02;
    let (lines, paper) = lines(svg);
    assert!(!lines.is_empty(), "{name} has no lettering");
    for line in lines {
        let [left, top, right, bottom] = line.ground;
        assert!(
            left >= -SLACK
                && top >= -SLACK
                && right <= paper[0] + SLACK
                && bottom <= paper[1] + SLACK,
            "{name}: {line:?} on a paper of {paper:?}"
        );
    }
}

/// No line lies on another.
pub(crate) fn lettering_is_apart(name: &str, svg: &str) {
    const SLACK: f64 = 0.02;
    let (lines, _) = lines(svg);
    for (i, a) in lines.iter().enumerate() {
        for b in lines[..i].iter().filter(|b| !a.turned && !b.turned) {
            let ([al, at, ar, ab], [bl, bt, br, bb]) = (a.ground, b.ground);
            let meet = al + SLACK < br && bl + SLACK < ar && at + SLACK < bb && bt + SLACK < ab;
            assert!(!meet, "{name}: {a:?} and {b:?}");
        }
    }
}
