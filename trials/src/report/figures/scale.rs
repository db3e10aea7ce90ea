//! From numbers to places on the sheet.

/// A straight scale between two ends.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale {
    /// Numbers at the two ends.
    pub(super) values: (f64, f64),
    /// Their places.
    pub(super) places: (i32, i32),
}

impl Scale {
    /// Place of a number; beyond the ends it stops there.
    pub(super) fn at(&self, value: f64) -> i32 {
        let (low, high) = self.values;
        let share = ((value - low) / (high - low)).clamp(0.0, 1.0);
        let (from, to) = (f64::from(self.places.0), f64::from(self.places.1));
        #[expect(
            clippy::cast_possible_truncation,
            reason = "between two places on the sheet"
        )]
        let place = (to - from).mul_add(share, from).round() as i32;
        place
    }
}

/// Round ticks from 0 to at or above `top`, about five of them; 1, 2 or 5 times a power of ten apart.
pub(super) fn ticks(top: f64) -> Vec<f64> {
    let rough = (top / 5.0).max(1e-3);
    let power = 10_f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|s| *s >= rough)
        .unwrap_or(10.0 * power);
    let mut all = vec![0.0];
    // A tick a step; the number of steps is at most ten, whatever the top.
    for i in 1..=10 {
        all.push(f64::from(i) * step);
        if f64::from(i) * step >= top {
            break;
        }
    }
    all
}

/// A name on at most two lines of about `width` letters; what does not fit is cut with a sign of it.
pub(super) fn two_lines(name: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    for word in name.split_whitespace() {
        let now = lines.len() - 1;
        let room = lines[now].chars().count() + 1 + word.chars().count() <= width;
        if lines[now].is_empty() {
            lines[now].push_str(word);
        } else if room {
            lines[now] = format!("{} {word}", lines[now]);
        } else {
            lines.push(word.to_owned());
        }
    }
    if lines.len() > 2 {
        lines.truncate(2);
        lines[1].push('…');
    }
    for line in &mut lines {
        if line.chars().count() > width {
            *line = line.chars().take(width.saturating_sub(1)).collect();
            line.push('…');
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_reach_the_top() {
        assert_eq!(ticks(4.3), [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]);
        assert_eq!(ticks(0.0).len(), 2);
        assert!(ticks(1234.0).last().is_some_and(|t| *t >= 1234.0));
    }

    #[test]
    fn names_are_broken_at_words() {
        assert_eq!(two_lines("covered overnight", 12), ["covered", "overnight"]);
        assert_eq!(two_lines("a b c", 12), ["a b c"]);
        assert_eq!(two_lines("one two three four", 5), ["one", "two…"]);
    }
}
