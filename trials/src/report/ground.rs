//! Where larvae lay thick or thin on the ground of the trial.

use halfgreen_analysis::spatial::hot_spots::Class;

use super::Findings;
use super::document::{Section, Text};
use super::main_part::sentence;
use super::page::Column::{Figures, Words};
use crate::mapping::{GroundPlot, Mapped, TrialGround};
use crate::text::rounding::{figure, maybe, maybe_chance};

/// Plots up to which all are listed, hot, cold or neither.
const PLOTS: usize = 200;

/// The section; nothing where places are not known or are too few.
pub(super) fn section(findings: &Findings<'_>) -> Option<Section> {
    if findings.ground.is_empty() {
        return None;
    }
    let section = Section::new("hot-spots", "Hot spots").paragraph(
        "This is about the ground, not about the methods: what a method did to its plots is taken out, or not yet done.",
    );
    let told = findings.ground.iter().map(|ground| {
        let on = ground.green.as_ref().map(|green| format!("on {green}, "));
        sentence(&(on.unwrap_or_default() + &ground.sentence))
    });
    let section = section.paragraphs(told).paragraph(
        Text::default()
            .code("halfgreen hotspots .")
            .words(
                " in the trial's folder draws the maps, and lays out which strips of sheet would reach most. The figures stand under ",
            )
            .link("hot-spot-figures", "Hot spots, plot by plot")
            .words("."),
    );
    Some(section)
}

/// Every plot, for the appendix.
pub(super) fn figures(findings: &Findings<'_>) -> Option<Section> {
    let mut section = Section::new("hot-spot-figures", "Hot spots, plot by plot");
    for ground in findings.ground {
        section = table(ground, section);
    }
    (!findings.ground.is_empty()).then(|| {
        section.paragraph(
            "Moran's I (Moran 1950) over each plot's four nearest plots, 999 permutations. Gi* with the plot itself included (Ord & \
             Getis 1995), as a z-score; q: its conditional p, adjusted for the number of plots (false discovery rate).",
        )
    })
}

fn table(ground: &TrialGround, section: Section) -> Section {
    let mapped = match ground.mapped {
        Mapped::CountBefore => "count before",
        Mapped::CountOverTreatmentMean => "count over mean of its treatment",
    };
    let columns = [
        Words("plot"),
        Figures(mapped),
        Figures("Gi*"),
        Figures("q"),
        Words("spot"),
    ];
    let row = |p: &GroundPlot| {
        let class = match p.class {
            Class::Hot => "hot",
            Class::Cold => "cold",
            Class::NotSignificant => "neither",
        };
        vec![
            p.plot.clone(),
            figure(p.value),
            maybe(p.gi_star),
            maybe_chance(p.q),
            class.to_owned(),
        ]
    };
    let on = ground.green.as_ref();
    let caption = format!(
        "Hot spots{}: Moran's I {}, p {}",
        on.map_or(String::new(), |green| format!(" on {green}")),
        maybe(ground.moran_i),
        maybe_chance(ground.moran_p)
    );
    let few = ground.plots.len() <= PLOTS;
    let told = ground.plots.iter();
    let told = told.filter(|p| few || p.class != Class::NotSignificant);
    let section = section.table(&caption, &columns, told.map(row).collect());
    if few {
        section
    } else {
        section.paragraph(
            "Plots that are neither hot nor cold are left out here; results.json has all.",
        )
    }
}
