//! Counts from occasion to occasion: every plot as a thin line, the mean of every treatment as a thick one.

use super::{Figure, treatment_colour, treatment_mark};
use crate::Error;
use crate::drawing::chart::{Axis, Chart, Curve, LETTERING, Layer, Stroke, Tick, sample};
use crate::drawing::key::Entry;
use crate::drawing::lettering::{Weight, wrap};
use crate::drawing::palette::{GREY, INK};
use crate::drawing::paper::Words;
use crate::drawing::{Cell, FigureData};
use crate::report::Findings;
use crate::report::main_part::capital;
use crate::text::rounding::figure as digits;
use crate::trial_data::{PlotCount, TrialData};

/// Plots beyond which lines of single plots cover each other and are left out.
const PLOTS: usize = 60;
/// Empty room beside the first and the last occasion, in steps between occasions.
const BESIDE: f64 = 0.35;
/// Radius of the marks at the ends of single plots' lines, pixels.
const END_MARK: f64 = 2.5;
/// Room for the name of an occasion, pixels.
const NAME: f64 = 100.0;

/// The plots on one occasion.
struct Visit<'d> {
    occasion: &'d str,
    plots: &'d [PlotCount],
}

/// Draws it; `None` where plots were counted once, or take turns.
pub(super) fn figure(findings: &Findings<'_>) -> Result<Option<Figure>, Error> {
    let visits = visits(findings.data);
    if visits.len() < 2 || findings.judgement.crossover.is_some() {
        return Ok(None);
    }
    let singly = findings.data.plots.len() <= PLOTS;
    let chart = chart(findings, &visits, singly);
    Ok(Some(Figure {
        name: "course".to_owned(),
        caption: format!(
            "{} from occasion to occasion. Thick lines are the means of the treatments{}.",
            capital(&findings.protocol.response.unit),
            if singly {
                ", thin ones single plots with the colour and mark of their treatment"
            } else {
                ""
            }
        ),
        svg: chart.draw()?,
        data: data(findings, &visits),
    }))
}

/// The occasions in their order.
fn visits(data: &TrialData) -> Vec<Visit<'_>> {
    let before = data.secondary.before.as_deref();
    let before = before.map(|v| Visit {
        occasion: &v.occasion,
        plots: &v.data.plots,
    });
    let main = Visit {
        occasion: data.main_occasion(),
        plots: &data.plots,
    };
    let later = data.secondary.follow_ups.iter().map(|v| Visit {
        occasion: &v.occasion,
        plots: &v.data.plots,
    });
    before.into_iter().chain([main]).chain(later).collect()
}

/// Mean for each core of a treatment's plots on an occasion; none where it has none.
fn mean(findings: &Findings<'_>, visit: &Visit<'_>, treatment: &str) -> Option<f64> {
    let of = visit.plots.iter().filter(|p| p.treatment == treatment);
    let (count, exposure) = of.fold((0.0, 0.0), |(c, e), p| (c + p.count as f64, e + p.exposure));
    (exposure > 0.0).then(|| findings.core_mean(count / exposure))
}

fn chart(findings: &Findings<'_>, visits: &[Visit<'_>], singly: bool) -> Chart {
    let treatments = &findings.data.treatments;
    let means: Vec<Vec<(f64, f64)>> = treatments
        .iter()
        .map(|t| {
            let each = visits.iter().enumerate();
            each.filter_map(|(at, v)| mean(findings, v, t).map(|m| (at as f64, m)))
                .collect()
        })
        .collect();
    let lines = if singly {
        single(findings, visits)
    } else {
        Vec::new()
    };
    let all = lines.iter().map(|(_, line)| line).chain(&means).flatten();
    let highest = all.fold(0.5_f64, |most, (_, value)| most.max(*value));
    let names = visits.iter().enumerate().map(|(at, v)| Tick {
        at: at as f64,
        name: wrap(v.occasion, NAME, LETTERING, Weight::Regular, 2),
    });
    let ends = (-BESIDE, visits.len() as f64 - 1.0 + BESIDE);
    let words = Words::new(
        "course",
        "Counts from occasion to occasion",
        &told(findings, visits),
        &[],
    );
    let up = Axis::numbers(
        &findings.protocol.response.unit,
        Axis::rounded_out((0.0, highest), 5),
        5,
    );
    let mut chart = Chart::new(words, Axis::with_ticks("", ends, names.collect()), up);
    chart.headed = false;
    let thin = |(treatment, line): (usize, Vec<(f64, f64)>)| {
        let colour = if treatment == 0 {
            GREY
        } else {
            treatment_colour(treatment)
        };
        let ends = [line.first(), line.last()];
        let ends = ends.into_iter().flatten().copied().collect();
        [
            Layer::Line(line, Stroke::full(colour, 1)),
            Layer::Marks(ends, treatment_mark(treatment), END_MARK),
        ]
    };
    chart.layers = lines.into_iter().flat_map(thin).collect();
    for (i, points) in means.into_iter().enumerate() {
        let colour = if i == 0 { INK } else { treatment_colour(i) };
        let name = findings.data.names[i].clone();
        let curve = Curve {
            name: String::new(),
            points,
            stroke: Stroke::full(colour, 3),
            mark: Some(treatment_mark(i)),
        };
        chart.key.push(Entry {
            sample: sample(&curve),
            letter: String::new(),
            name,
        });
        chart.layers.push(Layer::Curve(curve));
    }
    chart
}

/// The treatment and the line of every plot that was counted more than once.
fn single(findings: &Findings<'_>, visits: &[Visit<'_>]) -> Vec<(usize, Vec<(f64, f64)>)> {
    let line = |plot: &PlotCount| {
        let each = visits.iter().enumerate().filter_map(|(at, v)| {
            let found = v.plots.iter().find(|p| p.plot == plot.plot)?;
            Some((at as f64, findings.per_core(found)))
        });
        let mut treatments = findings.data.treatments.iter();
        let treatment = treatments.position(|t| *t == plot.treatment);
        (treatment.unwrap_or(0), each.collect::<Vec<_>>())
    };
    let lines = findings.data.plots.iter().map(line);
    lines.filter(|(_, line)| line.len() > 1).collect()
}

fn data(findings: &Findings<'_>, visits: &[Visit<'_>]) -> FigureData {
    let unit = findings.protocol.response.unit.as_str();
    let mut data = FigureData::new(&["treatment", "plot", "occasion", unit]);
    for visit in visits {
        for plot in visit.plots {
            data.rows.push(vec![
                findings.name(&plot.treatment).into(),
                plot.plot.as_str().into(),
                visit.occasion.into(),
                findings.per_core(plot).into(),
            ]);
        }
        for (treatment, name) in findings.data.treatments.iter().zip(&findings.data.names) {
            data.rows.push(vec![
                name.as_str().into(),
                "mean".into(),
                visit.occasion.into(),
                Cell::from(mean(findings, visit, treatment)),
            ]);
        }
    }
    data
}

/// The figure in words.
fn told(findings: &Findings<'_>, visits: &[Visit<'_>]) -> String {
    let each = findings.data.treatments.iter().zip(&findings.data.names);
    let all: Vec<String> = each
        .map(|(treatment, name)| {
            let means = visits.iter().map(|v| {
                let mean = mean(findings, v, treatment).map_or("none".to_owned(), digits);
                format!("{} {mean}", v.occasion)
            });
            format!("{name}: {}", means.collect::<Vec<_>>().join(", "))
        })
        .collect();
    format!(
        "Means in {}. {}.",
        findings.protocol.response.unit,
        all.join("; ")
    )
}
