//! Every name in and round the axes, each where it covers least.

use maud::{Markup, html};

use super::layer::Note;
use super::layout::{BELOW, CLEAR, LINE, Layout, OFF, PAD, beside_marks, end_names};
use super::obstacles::obstacles;
use super::paint::MARK;
use super::{Chart, LETTERING};
use crate::drawing::label::{Anchor, Bounds, CAPITAL, Label, freest, lines};
use crate::drawing::lettering::{Weight, cut};
use crate::drawing::mark::Mark;
use crate::drawing::paper::FIGURE_PX;

/// From the middle of a line of lettering to its base line.
const HALF: f64 = CAPITAL * LETTERING / 2.0;

/// All of them.
pub(super) fn names(chart: &Chart, layout: &Layout) -> Vec<Label> {
    let mut labels = ticks(chart, layout);
    labels.extend(axis_names(chart, layout));
    labels.extend(ends(chart, layout).into_iter().map(|end| end.label));
    labels.extend(uprights(layout));
    labels.extend(lines(&layout.foot.1, [PAD, layout.foot.0], LETTERING));
    notes(chart, layout, &mut labels);
    labels
}

fn ticks(chart: &Chart, layout: &Layout) -> Vec<Label> {
    let mut labels: Vec<Label> = Vec::new();
    let foot = layout.up.places.0 + BELOW + CAPITAL * LETTERING;
    for tick in &layout.ticks {
        let x = layout.across.at(tick.at);
        let name = lines(&tick.name, [x, foot], LETTERING).into_iter();
        labels.extend(
            name.filter(|l| !l.text.is_empty())
                .map(|l| l.middle().kept_between(PAD / 2.0, FIGURE_PX - PAD / 2.0)),
        );
    }
    let x = layout.across.places.0 - OFF;
    for tick in &chart.up.ticks {
        let y = layout.up.at(tick.at) + HALF;
        let name = tick
            .name
            .iter()
            .map(|n| Label::new(n.clone(), [x, y], LETTERING));
        labels.extend(name.map(|l| l.anchored(Anchor::End)));
    }
    labels
}

fn axis_names(chart: &Chart, layout: &Layout) -> Vec<Label> {
    let (left, right) = layout.across.places;
    let middle = f64::midpoint(left, right);
    let across = lines(
        &layout.across_name.1,
        [middle, layout.across_name.0],
        LETTERING,
    );
    let mut labels: Vec<Label> = across
        .into_iter()
        .map(|l| l.middle().kept_between(PAD, FIGURE_PX - PAD))
        .collect();
    let up = cut(
        &chart.up.name,
        FIGURE_PX - 2.0 * PAD,
        LETTERING,
        Weight::Regular,
    );
    labels.push(Label::new(up, [PAD, layout.up_name], LETTERING));
    labels.retain(|l| !l.text.is_empty());
    labels
}

/// The mark of each curve that is named at its end, before its name: a name may have been moved off its curve.
pub(super) fn end_marks(chart: &Chart, layout: &Layout) -> Markup {
    let x = layout.across.places.1 + CLEAR + MARK;
    let ends = ends(chart, layout);
    html! {
        @for End { mark, middle, .. } in &ends {
            @if let Some(mark) = mark { (mark.drawn([x, *middle], MARK)) }
        }
    }
}

/// A name beyond the right end of a curve or a level.
struct End {
    mark: Option<Mark>,
    /// Height of the middle of its line.
    middle: f64,
    label: Label,
}

/// Names beyond the right ends of curves and levels, moved apart where they would meet.
fn ends(chart: &Chart, layout: &Layout) -> Vec<End> {
    if end_names(chart).is_empty() {
        return Vec::new();
    }
    let curves = chart.curves().filter(|_| chart.key.is_empty());
    let curves = curves.filter_map(|c| Some((layout.up.at(c.points.last()?.1), &c.name, c.mark)));
    let levels = chart.notes.iter().filter_map(|note| match note {
        Note::Level(y, name) => Some((layout.up.at(*y), name, None)),
        Note::Upright(..) | Note::Ring(..) | Note::Words(..) | Note::Line(..) => None,
    });
    let mut all: Vec<(f64, &String, Option<Mark>)> =
        curves.chain(levels).filter(|n| !n.1.is_empty()).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    // Very many names are set smaller, so that all find room beside the axis.
    let (foot, top) = layout.up.places;
    let line = (0.95 * LINE).min((foot - top) / all.len() as f64);
    let size = LETTERING.min(line);
    let mut heights: Vec<f64> = all.iter().map(|n| n.0).collect();
    apart(&mut heights, line, (top, foot));
    let x = layout.across.places.1 + CLEAR + beside_marks(chart);
    let room = FIGURE_PX - PAD / 2.0 - x;
    heights
        .iter()
        .zip(&all)
        .map(|(&middle, (_, name, mark))| {
            let name = cut(name, room, size, Weight::Regular);
            End {
                mark: *mark,
                middle,
                label: Label::new(name, [x, middle + CAPITAL * size / 2.0], size),
            }
        })
        .collect()
}

/// Heights in order, moved as little as keeps them a line apart and between two places.
fn apart(heights: &mut [f64], line: f64, (top, foot): (f64, f64)) {
    let mut least = top;
    for y in heights.iter_mut() {
        *y = y.max(least);
        least = *y + line;
    }
    let mut most = foot;
    for y in heights.iter_mut().rev() {
        *y = y.min(most);
        most = *y - line;
    }
}

fn uprights(layout: &Layout) -> Vec<Label> {
    let top = layout.up.places.1;
    let place = |(x, row, text): &(f64, usize, String)| {
        let y = top - 0.65 * LETTERING - LINE * *row as f64;
        Label::new(text.clone(), [*x, y], LETTERING)
            .middle()
            .haloed()
    };
    layout.uprights.iter().map(place).collect()
}

/// Words between the axes.
fn notes(chart: &Chart, layout: &Layout, labels: &mut Vec<Label>) {
    let drawn = obstacles(chart, layout);
    let frame = Bounds {
        left: layout.across.places.0,
        top: layout.up.places.1,
        right: FIGURE_PX - PAD / 2.0,
        bottom: layout.up.places.0,
    };
    for note in &chart.notes {
        let places: Vec<Label> = match note {
            Note::Words(points, words) => {
                let at = |p: &(f64, f64)| [layout.across.at(p.0), layout.up.at(p.1) + HALF];
                let place = |p| {
                    Label::new(words.clone(), at(p), LETTERING)
                        .middle()
                        .haloed()
                };
                points.iter().map(place).collect()
            }
            Note::Line((x, y), words) => {
                let at = [layout.across.at(*x), layout.up.at(*y)];
                let room = FIGURE_PX - PAD / 2.0 - at[0];
                let words = cut(words, room, LETTERING, Weight::Regular);
                labels.push(Label::new(words, at, LETTERING).haloed());
                continue;
            }
            Note::Level(..) | Note::Upright(..) | Note::Ring(..) => continue,
        };
        let taken: Vec<Bounds> = labels.iter().map(Label::bounds).collect();
        let keep = |place: Label| {
            place
                .no_wider_than(frame.right - frame.left)
                .kept_between(frame.left, frame.right)
        };
        let places = places.into_iter().map(keep).collect();
        labels.extend(freest(places, &frame, &taken, &drawn));
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::{Axis, Curve, Layer, UPRIGHT};
    use super::*;
    use crate::drawing::paper::Words;

    fn text() -> impl Strategy<Value = String> {
        prop_oneof![
            "[a-z]{1,8}",
            "([a-zA-Z]{1,9} ){0,12}[a-z]{1,9}",
            "[W]{1,90}"
        ]
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// Whatever the names, the numbers and how many there are: each name lies on the paper and on no other.
        #[test]
        fn names_stay_on_paper_and_apart(
            axes in [text(), text()],
            curves in proptest::collection::vec((text(), -2.0..5.0_f64), 1..30),
            levels in proptest::collection::vec((text(), 0.0..1.0_f64), 0..4),
            uprights in proptest::collection::vec((text(), 0.0..9.0_f64), 0..4),
            foot in proptest::collection::vec(text(), 0..3),
            ring in (text(), 0.0..9.0_f64, 0.0..1.0_f64),
            top in prop_oneof![Just(1.0), Just(12_345.0), Just(0.002)],
        ) {
            let [across, up] = axes;
            let mut chart = Chart::new(
                Words::new("test", &across, &up, &[]),
                Axis::numbers(across, (0.0, 9.0), 8),
                Axis::numbers(up, (0.0, top), 8),
            );
            let curve = |(i, (name, end)): (usize, (String, f64))| {
                Layer::Curve(Curve::series(i, name, vec![(0.0, 0.5 * top), (9.0, end * top)]))
            };
            chart.layers = curves.into_iter().enumerate().map(curve).collect();
            let level = |(name, y): (String, f64)| Note::Level(y * top, name);
            let upright = |(name, x): (String, f64)| Note::Upright(x, name, UPRIGHT);
            chart.notes = levels.into_iter().map(level).collect();
            chart.notes.extend(uprights.into_iter().map(upright));
            chart.notes.push(Note::Ring((ring.1, ring.2 * top), ring.0));
            chart.foot = foot;
            let layout = Layout::of(&chart);
            let all = names(&chart, &layout);
            let paper = Bounds { left: 0.0, top: 0.0, right: FIGURE_PX, bottom: layout.bottom };
            for label in &all {
                prop_assert!(label.bounds().within(&paper), "{label:?}");
            }
            for (i, a) in all.iter().enumerate() {
                for b in &all[..i] {
                    prop_assert!(!a.bounds().meets(&b.bounds()), "{a:?} and {b:?}");
                }
            }
        }
    }

    #[test]
    fn names_are_moved_apart_and_stay_between_the_ends() {
        let mut heights = [10.0, 12.0, 50.0, 99.0, 100.0];
        apart(&mut heights, 15.0, (0.0, 100.0));
        assert_eq!(heights, [10.0, 25.0, 50.0, 85.0, 100.0]);
        let mut low = [100.0; 3];
        apart(&mut low, 15.0, (0.0, 100.0));
        assert_eq!(low, [70.0, 85.0, 100.0]);
    }
}
