//! Outlines as `x_m,y_m` tables.

use super::Outline;
use super::checked::checked;
use super::file::table_fits;
use super::refusals::{Refusals, capped};
use super::rings::{Part, Ring};
use super::shapes::circle;
use crate::Error;
use crate::ranges::Range;
use crate::ranges::outline::{COORDINATE, HOLES, RADIUS, ZONES};
use crate::table::{Cell, RawTable, errors};

/// Reads an outline from CSV text with the columns `x_m,y_m`, one corner a line in order round the
/// edge.
///
/// An optional column `part` marks corners that belong to something else: `hole` or `hole NAME` for
/// ground no plot may touch, `zone NAME` for like ground; blank or `edge` is the green's edge. Lines of a hole without
/// a name are one hole as long as they follow one another. A line with a number in the optional column `radius_m`
/// is a circle of its own.
///
/// # Errors
/// Every fault found, each with `file:line:column` or the corner's line.
pub fn read_csv(file: &str, text: &str) -> Result<Outline, Vec<Error>> {
    table_fits(file, text)?;
    let table = RawTable::read(file, text).map_err(|problems| capped(file, errors(problems)))?;
    let (x, y) = match (table.required("x_m"), table.required("y_m")) {
        (Ok(x), Ok(y)) => (x, y),
        (x, y) => return Err(errors([x.err(), y.err()].into_iter().flatten())),
    };
    let columns = Columns {
        x,
        y,
        part: table.position("part"),
        radius: table.position("radius_m"),
    };
    let mut faults = Refusals::new(file);
    let mut rings = Rings::default();
    let most = HOLES.end() + ZONES.end() + 1.0;
    for row in &table.rows {
        let Some(corner) = corner(&table, row, columns, &mut faults) else {
            continue;
        };
        rings.take(corner);
        if rings.all.len() as f64 > most {
            let found = format!(
                "there are more than {} holes and zones",
                rings.all.len() - 2
            );
            let cure = "Give corners that belong together the same name.";
            return Err(vec![HOLES.refuse(table.place(&row[x]), &found, cure)]);
        }
    }
    if faults.is_empty() {
        checked(file, rings.all, None, Vec::new())
    } else {
        Err(faults.done())
    }
}

/// Where the columns stand.
#[derive(Debug, Clone, Copy)]
struct Columns {
    x: usize,
    y: usize,
    part: Option<usize>,
    radius: Option<usize>,
}

/// A line as read.
struct Corner {
    part: Part,
    at: [f64; 2],
    radius_m: Option<f64>,
    place: String,
}

/// The corner on a line, or its faults.
fn corner(
    table: &RawTable,
    row: &[Cell],
    columns: Columns,
    faults: &mut Refusals,
) -> Option<Corner> {
    let part = columns
        .part
        .map_or(Ok(Part::Edge), |c| Part::read(table, &row[c]));
    let part = part.map_err(|fault| faults.push(fault));
    let mut number = |c: usize, range: Range| {
        let value = table.number_within(&row[c], &range);
        value.map_err(|fault| faults.push(fault))
    };
    let at = (number(columns.x, COORDINATE), number(columns.y, COORDINATE));
    let written = columns.radius.filter(|&c| !row[c].text.is_empty());
    let radius_m = written.map(|c| number(c, RADIUS)).transpose();
    Some(Corner {
        part: part.ok()?,
        at: [at.0.ok()?, at.1.ok()?],
        radius_m: radius_m.ok()?,
        place: table.place(&row[columns.x]),
    })
}

/// Rings in the making.
#[derive(Default)]
struct Rings {
    all: Vec<Ring>,
    /// Those made of lines, not circles.
    of_lines: Vec<usize>,
    /// Ring of the line before, unless that was a circle.
    last: Option<usize>,
}

impl Rings {
    fn take(&mut self, corner: Corner) {
        let [x_m, y_m] = corner.at;
        if let Some(radius_m) = corner.radius_m {
            let at = self.new_ring(corner.part);
            for point in circle(x_m, y_m, radius_m) {
                self.all[at].push(point, corner.place.clone());
            }
            self.last = None;
            return;
        }
        let at = self.known(&corner.part).unwrap_or_else(|| {
            let at = self.new_ring(corner.part);
            self.of_lines.push(at);
            at
        });
        self.all[at].push(corner.at, corner.place);
        self.last = Some(at);
    }

    fn new_ring(&mut self, part: Part) -> usize {
        self.all.push(Ring::new(part));
        self.all.len() - 1
    }

    /// The ring that a line of this part goes on with.
    fn known(&self, part: &Part) -> Option<usize> {
        let same = |at: &usize| self.all[*at].part == *part;
        let nameless = matches!(part, Part::Hole(name) if name.is_empty());
        let earlier = || self.of_lines.iter().copied().find(same);
        self.last
            .filter(same)
            .or_else(|| earlier().filter(|_| !nameless))
    }
}
