//! Which lines of layout, outline and counts are not as they were sealed: what was there, and what is there now.
//!
//! Both sides are texts as they are digested, so that a seal needs to keep nothing but those.

use std::collections::BTreeMap;

use super::changes::ChangedLine;

/// What stands where a side has no such line.
const NOT_THERE: &str = "not there";

/// Lines of two tables by what names them, and what they say.
struct Named<'t> {
    /// In the order of the text.
    order: Vec<String>,
    says: BTreeMap<String, &'t str>,
}

impl<'t> Named<'t> {
    fn of(lines: impl Iterator<Item = (String, &'t str)>) -> Self {
        let mut named = Self {
            order: Vec::new(),
            says: BTreeMap::new(),
        };
        for (name, says) in lines {
            named.order.push(name.clone());
            named.says.insert(name, says);
        }
        named
    }

    fn says(&self, name: &str) -> &'t str {
        self.says.get(name).copied().unwrap_or(NOT_THERE)
    }

    /// Where both differ: the lines of the first in their order, then what the second has more.
    fn unlike(&self, now: &Self) -> Vec<ChangedLine> {
        let added = now.order.iter();
        let added = added.filter(|name| !self.says.contains_key(*name));
        let all = self.order.iter().chain(added);
        let changed = all.filter(|name| self.says(name) != now.says(name));
        let line = |name: &String| ChangedLine {
            line: name.clone(),
            sealed: self.says(name).to_owned(),
            now: now.says(name).to_owned(),
        };
        changed.map(line).collect()
    }
}

/// Plots whose line of `layout.csv` is not the one sealed. A plot that is given several treatments, one a night, is told
/// turn by turn.
pub(super) fn layout_lines(sealed: &str, now: &str) -> Vec<ChangedLine> {
    let heading = sealed.lines().next().unwrap_or_default();
    let mut found = plots(sealed).unlike(&plots(now));
    if now.lines().next() != Some(heading) {
        found.insert(
            0,
            ChangedLine {
                line: "layout.csv heading".to_owned(),
                sealed: heading.to_owned(),
                now: now.lines().next().unwrap_or(NOT_THERE).to_owned(),
            },
        );
    }
    found
}

fn plots(text: &str) -> Named<'_> {
    let mut turns: BTreeMap<&str, usize> = BTreeMap::new();
    Named::of(text.lines().skip(1).map(|line| {
        let plot = line.split(',').next().unwrap_or_default();
        let turn = turns.entry(plot).or_insert(0);
        *turn += 1;
        let name = match *turn {
            1 => format!("layout.csv plot {plot}"),
            turn => format!("layout.csv plot {plot}, turn {turn}"),
        };
        (name, line)
    }))
}

/// Corners that are not those sealed, in metres.
pub(super) fn corner_lines(sealed: &str, now: &str) -> Vec<ChangedLine> {
    corners(sealed).unlike(&corners(now))
}

/// Corners by their ring and their place in it. A ring is headed by its name; a corner is two numbers.
fn corners(text: &str) -> Named<'_> {
    let (mut green, mut ring, mut at) = (String::new(), String::new(), 0_usize);
    let mut met: BTreeMap<String, usize> = BTreeMap::new();
    Named::of(text.lines().filter_map(|line| {
        let mut numbers = line.split(' ').map(str::parse::<f64>);
        let corner = matches!(
            (numbers.next(), numbers.next(), numbers.next()),
            (Some(Ok(_)), Some(Ok(_)), None)
        );
        if corner {
            at += 1;
            return Some((format!("outline{green}, {ring}, corner {at}"), line));
        }
        at = 0;
        if let Some(name) = line.strip_prefix("green ") {
            green = format!(" of {name}");
            met.clear();
        } else {
            let times = met.entry(line.to_owned()).or_insert(0);
            *times += 1;
            ring = match *times {
                1 => line.to_owned(),
                times => format!("{line} {times}"),
            };
        }
        None
    }))
}

/// Plots whose count before treatment is not the one sealed.
pub(super) fn count_lines(sealed: &str, now: &str) -> Vec<ChangedLine> {
    counts(sealed).unlike(&counts(now))
}

fn counts(text: &str) -> Named<'_> {
    Named::of(text.lines().filter_map(|line| {
        let (plot, count) = line.split_once(' ')?;
        Some((format!("counts before treatment, plot {plot}"), count))
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(lines: &[ChangedLine]) -> Vec<String> {
        let line = |l: &ChangedLine| format!("{}: {} -> {}", l.line, l.sealed, l.now);
        lines.iter().map(line).collect()
    }

    #[test]
    fn a_swapped_plot_and_a_lost_one_are_named() {
        let sealed = "plot,block,treatment\n1,1,U\n2,1,C\n3,2,U\n";
        let now = "plot,block,treatment\n1,1,C\n2,1,C\n4,2,U\n";
        assert_eq!(
            told(&layout_lines(sealed, now)),
            [
                "layout.csv plot 1: 1,1,U -> 1,1,C",
                "layout.csv plot 3: 3,2,U -> not there",
                "layout.csv plot 4: not there -> 4,2,U"
            ]
        );
        assert!(layout_lines(sealed, sealed).is_empty());
    }

    #[test]
    fn corners_are_named_by_their_ring() {
        let sealed = "green A\nedge\n0.000 0.000\n9.000 0.000\nhole\n1.000 1.000\n";
        let now = "green A\nedge\n0.000 0.000\n8.500 0.000\nhole\n1.000 1.000\n";
        assert_eq!(
            told(&corner_lines(sealed, now)),
            ["outline of A, edge, corner 2: 9.000 0.000 -> 8.500 0.000"]
        );
    }

    #[test]
    fn counts_are_named_by_their_plot() {
        assert_eq!(
            told(&count_lines("1 4\n2 0\n", "1 4\n2 1\n")),
            ["counts before treatment, plot 2: 0 -> 1"]
        );
    }
}
