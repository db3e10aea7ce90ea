//! Counts as bars, with what two laws would have given.

use maud::{Markup, html};

use crate::description::Bar;

/// Size of the picture and its margins, in its own units.
const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 420.0;
const LEFT: f64 = 64.0;
const RIGHT: f64 = 16.0;
const TOP: f64 = 64.0;
const FOOT: f64 = 60.0;
/// Okabe and Ito's blue and vermilion (Okabe & Ito 2008, "Color Universal Design"); shape and dash differ too.
const CLUMPED: &str = "#0072B2";
const CHANCE: &str = "#D55E00";
const LETTERING: &str = "Arial, Helvetica, 'Liberation Sans', sans-serif";

/// Draws the bars as one SVG document; `animals` and `units` name the axes.
#[must_use]
pub fn frequencies(bars: &[Bar], animals: &str, units: &str) -> String {
    let frame = Frame::of(bars);
    let chance: Vec<f64> = bars.iter().map(|b| b.poisson).collect();
    let clumped: Option<Vec<f64>> = bars.iter().map(|b| b.negative_binomial).collect();
    let clumped = clumped.filter(|all| !all.is_empty());
    html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img"
            aria-labelledby="frequencies-title frequencies-desc" font-family=(LETTERING) font-size="13" {
            title id="frequencies-title" { "Counts found, and expected by two laws" }
            desc id="frequencies-desc" { (told(bars)) }
            rect width=(WIDTH) height=(HEIGHT) fill="white" {}
            (frame.axes(bars, animals, units))
            @for (at, bar) in bars.iter().enumerate() {
                rect x=(short(frame.x(at) - 0.4 * frame.step)) y=(short(frame.y(bar.observed as f64)))
                    width=(short(0.8 * frame.step))
                    height=(short(HEIGHT - FOOT - frame.y(bar.observed as f64)))
                    fill="#E3E3E3" stroke="#444444" {}
            }
            (frame.line(&chance, CHANCE, Some("6 4"), false))
            @if let Some(clumped) = &clumped { (frame.line(clumped, CLUMPED, None, true)) }
            (key(clumped.is_some()))
        }
    }
    .into_string()
}

/// Where things lie.
struct Frame {
    step: f64,
    most: f64,
    tick: f64,
}

impl Frame {
    fn of(bars: &[Bar]) -> Self {
        let most = bars.iter().fold(1.0_f64, |most, b| {
            most.max(b.observed as f64)
                .max(b.poisson)
                .max(b.negative_binomial.unwrap_or(0.0))
        });
        // About five round steps: 1, 2 or 5 times a power of ten, never less than a unit.
        let rough = most / 5.0;
        let power = 10_f64.powf(rough.log10().floor());
        let tick = [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|m| m * power)
            .find(|t| *t >= rough)
            .unwrap_or(power)
            .max(1.0);
        Self {
            step: (WIDTH - LEFT - RIGHT) / bars.len().max(1) as f64,
            most: (most / tick).ceil() * tick,
            tick,
        }
    }

    fn x(&self, at: usize) -> f64 {
        LEFT + (at as f64 + 0.5) * self.step
    }

    fn y(&self, units: f64) -> f64 {
        HEIGHT - FOOT - units / self.most * (HEIGHT - FOOT - TOP)
    }

    fn axes(&self, bars: &[Bar], animals: &str, units: &str) -> Markup {
        let ticks = (0_u32..=10)
            .map(|i| f64::from(i) * self.tick)
            .take_while(|t| *t <= self.most);
        // A name under every bar, or under as many as fit.
        let name = |b: &Bar| {
            if b.from == b.to {
                b.from.to_string()
            } else {
                format!("{}\u{2013}{}", b.from, b.to)
            }
        };
        let widest = bars
            .iter()
            .map(|b| name(b).chars().count())
            .max()
            .unwrap_or(1);
        let wanted = (8.0 * (widest as f64 + 1.0) / self.step).ceil();
        let every = (1..=bars.len()).find(|n| *n as f64 >= wanted).unwrap_or(1);
        html! {
            @for t in ticks {
                line x1=(LEFT) x2=(WIDTH - RIGHT) y1=(short(self.y(t))) y2=(short(self.y(t))) stroke="#CCCCCC" {}
                text x=(LEFT - 8.0) y=(short(self.y(t) + 4.5)) text-anchor="end" { (t) }
            }
            line x1=(LEFT) x2=(WIDTH - RIGHT) y1=(HEIGHT - FOOT) y2=(HEIGHT - FOOT) stroke="black" {}
            @for (at, bar) in bars.iter().enumerate().step_by(every) {
                text x=(short(self.x(at))) y=(HEIGHT - FOOT + 18.0) text-anchor="middle" { (name(bar)) }
            }
            text x=(short(f64::midpoint(LEFT, WIDTH - RIGHT))) y=(HEIGHT - 14.0) text-anchor="middle" { (animals) }
            text x="18" y=(short(f64::midpoint(TOP, HEIGHT - FOOT))) text-anchor="middle"
                transform={ "rotate(-90 18 " (short(f64::midpoint(TOP, HEIGHT - FOOT))) ")" } { (units) }
        }
    }

    /// Expected units: a line with a mark at each bar, round or square-on-edge.
    fn line(&self, expected: &[f64], ink: &str, dash: Option<&str>, diamond: bool) -> Markup {
        let places: Vec<(f64, f64)> = expected
            .iter()
            .enumerate()
            .map(|(at, e)| (self.x(at), self.y(*e)))
            .collect();
        let points: Vec<String> = places
            .iter()
            .map(|(x, y)| format!("{},{}", short(*x), short(*y)))
            .collect();
        html! {
            polyline points=(points.join(" ")) fill="none" stroke=(ink) stroke-width="2" stroke-dasharray=[dash] {}
            @for (x, y) in places { (mark(x, y, ink, diamond)) }
        }
    }
}

fn mark(x: f64, y: f64, ink: &str, diamond: bool) -> Markup {
    html! {
        @if diamond {
            path d={ "M" (short(x)) " " (short(y - 5.5)) "l5.5 5.5l-5.5 5.5l-5.5 -5.5Z" } fill=(ink) {}
        } @else {
            circle cx=(short(x)) cy=(short(y)) r="4" fill="white" stroke=(ink) stroke-width="2" {}
        }
    }
}

/// What bars, circles and diamonds stand for.
fn key(clumped: bool) -> Markup {
    html! {
        rect x=(LEFT) y="18" width="14" height="14" fill="#E3E3E3" stroke="#444444" {}
        text x=(LEFT + 22.0) y="30" { "found" }
        line x1=(LEFT + 92.0) x2=(LEFT + 122.0) y1="25" y2="25" stroke=(CHANCE) stroke-width="2" stroke-dasharray="6 4" {}
        (mark(LEFT + 107.0, 25.0, CHANCE, false))
        text x=(LEFT + 130.0) y="30" { "by chance alone (Poisson)" }
        @if clumped {
            line x1=(LEFT + 322.0) x2=(LEFT + 352.0) y1="25" y2="25" stroke=(CLUMPED) stroke-width="2" {}
            (mark(LEFT + 337.0, 25.0, CLUMPED, true))
            text x=(LEFT + 360.0) y="30" { "in clumps (negative binomial)" }
        }
    }
}

/// The same numbers in words.
fn told(bars: &[Bar]) -> String {
    let entries: Vec<String> = bars
        .iter()
        .map(|b| {
            let clumped = b
                .negative_binomial
                .map_or(String::new(), |e| format!(", in clumps {e:.1}"));
            format!(
                "{} to {}: found {}, by chance {:.1}{clumped}",
                b.from, b.to, b.observed, b.poisson
            )
        })
        .collect();
    entries.join("; ")
}

/// A place to a hundredth.
fn short(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}
