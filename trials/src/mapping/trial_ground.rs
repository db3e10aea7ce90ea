//! The ground of a trial: where larvae lay thick or thin, free of what the treatments did to them.
//!
//! *Question.* Which plots lay in a hot or a cold part of the green? *In.* Plots with places. *Out.* Moran's I of the whole
//! and Gi* of every plot, green by green. Counts before treatment are mapped where every plot has one, since nothing was
//! done to them; else each count over the mean of its treatment, as far as that mean is above 0.
//!
//! *Not for* the cover plan, which wants counts and an outline: `hotspots` makes it.

use halfgreen_analysis::random::Generator;
use halfgreen_analysis::spatial::SpatialWeights;
use halfgreen_analysis::spatial::autocorrelation::autocorrelation;
use halfgreen_analysis::spatial::hot_spots::{Class, hot_spots};
use serde::Serialize;

use super::findings::plain;
use crate::Error;
use crate::text::spelling::number;
use crate::trial_data::{PlotCount, TrialData};

/// Neighbours of a plot: the sides of a plot in a grid.
const NEAREST: usize = 4;
/// Arrangements drawn for a permutation p.
const PERMUTATIONS: usize = 999;
/// False discoveries accepted among the plots called; a chance below which the whole is told as clumped.
const LEVEL: f64 = 0.05;

/// What is mapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mapped {
    /// Counts before treatment.
    CountBefore,
    /// Counts of the main occasion over the mean of their treatment.
    CountOverTreatmentMean,
}

/// The ground of one green.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrialGround {
    /// Green, in a trial on several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub green: Option<String>,
    /// What is mapped.
    pub mapped: Mapped,
    /// Moran's I over each plot's nearest plots; null where all values are alike.
    pub moran_i: Option<f64>,
    /// Its two-sided permutation p.
    pub moran_p: Option<f64>,
    /// Every plot.
    pub plots: Vec<GroundPlot>,
    /// What it means.
    pub sentence: String,
}

/// A plot and the ground round it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroundPlot {
    /// The plot.
    pub plot: String,
    /// What is mapped of it.
    pub value: f64,
    /// Gi* as a z-score.
    pub gi_star: Option<f64>,
    /// Its conditional p, adjusted for the number of plots.
    pub q: Option<f64>,
    /// Hot, cold or neither at 5 % false discoveries.
    pub class: Class,
}

/// The ground of every green with enough plots whose places are known; each draws from a stream of its own.
///
/// # Errors
/// Values that are not finite.
pub fn trial_ground(data: &TrialData, seed: u64) -> Result<Vec<TrialGround>, Error> {
    let mut greens: Vec<Option<&str>> = Vec::new();
    for plot in &data.plots {
        let green = plot.green.as_deref();
        if !greens.contains(&green) {
            greens.push(green);
        }
    }
    let mapped = if data.plots.iter().all(|p| p.before.is_some()) {
        Mapped::CountBefore
    } else {
        Mapped::CountOverTreatmentMean
    };
    let each = greens.into_iter().zip(0_u64..);
    each.filter_map(|(green, at)| {
        let plots = places(data, green, mapped)?;
        let seed = Generator::new(seed, u64::MAX - 3000 - at).bits();
        Some(ground(green, mapped, &plots, seed))
    })
    .collect()
}

/// A plot as it is mapped.
struct Place<'d> {
    plot: &'d str,
    at: (f64, f64),
    value: f64,
}

/// The plots of a green; `None` where they are too few, lie nowhere, or lie where another lay before.
fn places<'d>(data: &'d TrialData, green: Option<&str>, mapped: Mapped) -> Option<Vec<Place<'d>>> {
    let of_green = || data.plots.iter().filter(|p| p.green.as_deref() == green);
    let mean_of = |treatment: &str| {
        let alike = data.plots.iter().filter(|p| p.treatment == treatment);
        let (count, exposure) = alike.fold((0.0, 0.0), |(c, e), p: &PlotCount| {
            (c + p.count as f64, e + p.exposure)
        });
        if exposure > 0.0 {
            count / exposure
        } else {
            0.0
        }
    };
    let mut found: Vec<Place<'d>> = Vec::new();
    for plot in of_green() {
        let value = match mapped {
            Mapped::CountBefore => plot.before?,
            Mapped::CountOverTreatmentMean => {
                let mean = mean_of(&plot.treatment);
                // An empty treatment tells nothing of the ground: its plots are as rich as all are on average.
                if mean > 0.0 {
                    plot.count as f64 / plot.exposure / mean
                } else {
                    1.0
                }
            }
        };
        let at = plot.place?;
        // Plots that take turns over nights stand where they stood the night before.
        if found.iter().any(|p| p.at == at) {
            return None;
        }
        found.push(Place {
            plot: &plot.plot,
            at,
            value,
        });
    }
    (found.len() > NEAREST).then_some(found)
}

fn ground(
    green: Option<&str>,
    mapped: Mapped,
    places: &[Place<'_>],
    seed: u64,
) -> Result<TrialGround, Error> {
    let at: Vec<(f64, f64)> = places.iter().map(|p| p.at).collect();
    let values: Vec<f64> = places.iter().map(|p| p.value).collect();
    let near = SpatialWeights::nearest(&at, NEAREST);
    let whole = autocorrelation(
        &values,
        &near.clone().row_standardised(),
        PERMUTATIONS,
        seed,
    )?;
    let spots = hot_spots(&values, &near, LEVEL, PERMUTATIONS, seed ^ 1)?;
    let plots: Vec<GroundPlot> = places
        .iter()
        .zip(spots)
        .map(|(place, spot)| GroundPlot {
            plot: place.plot.to_owned(),
            value: place.value,
            gi_star: spot.gi_star,
            q: spot.q,
            class: spot.class,
        })
        .collect();
    let (moran_i, moran_p) = (whole.moran.value, plain(whole.moran.p_permutation));
    Ok(TrialGround {
        green: green.map(str::to_owned),
        mapped,
        moran_i,
        moran_p,
        sentence: sentence(mapped, (moran_i, moran_p, whole.moran.expected), &plots),
        plots,
    })
}

fn sentence(
    mapped: Mapped,
    (i, p, expected): (Option<f64>, Option<f64>, f64),
    plots: &[GroundPlot],
) -> String {
    let what = match mapped {
        Mapped::CountBefore => "before treatment",
        Mapped::CountOverTreatmentMean => "each count set against the mean of its treatment",
    };
    let whole = match (i, p) {
        (Some(i), Some(p)) if p <= LEVEL && i > expected => {
            "neighbouring plots were alike: larvae lay in clumps wider than one plot"
        }
        (Some(_), Some(p)) if p <= LEVEL => {
            "neighbouring plots differed more than chance would have it"
        }
        (Some(_), Some(_)) => {
            "no clumps wider than one plot were shown, which does not prove that there are none"
        }
        _ => "the plots are too much alike to tell of clumps",
    };
    let named = |class: Class| {
        let of = plots.iter().filter(|p| p.class == class);
        let names: Vec<&str> = of.map(|p| p.plot.as_str()).collect();
        (names.len(), names.join(", "))
    };
    let spot = |(n, names): (usize, String), word: &str| match n {
        0 => format!("no plot lay in a {word} spot"),
        1..=8 => format!("{} lay in a {word} spot ({names})", number(n, "plot")),
        _ => format!("{} lay in a {word} spot", number(n, "plot")),
    };
    let (hot, cold) = (
        spot(named(Class::Hot), "hot"),
        spot(named(Class::Cold), "cold"),
    );
    format!("{what}, {whole}; {hot} and {cold}, allowing for the number of plots looked at")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_names_few_plots_and_counts_many() {
        let plot = |name: usize, class| GroundPlot {
            plot: name.to_string(),
            value: 1.0,
            gi_star: Some(2.0),
            q: Some(0.01),
            class,
        };
        let few = [plot(3, Class::Hot), plot(4, Class::NotSignificant)];
        let told = sentence(Mapped::CountBefore, (Some(0.4), Some(0.01), -0.1), &few);
        assert!(
            told.contains("clumps wider than one plot; 1 plot lay in a hot spot (3)"),
            "{told}"
        );
        assert!(told.contains("no plot lay in a cold spot"), "{told}");
        let many: Vec<GroundPlot> = (0..9).map(|i| plot(i, Class::Cold)).collect();
        let told = sentence(Mapped::CountOverTreatmentMean, (None, None, -0.1), &many);
        assert!(
            told.contains("9 plots lay in a cold spot, allowing"),
            "{told}"
        );
        assert!(told.contains("too much alike"), "{told}");
    }
}
