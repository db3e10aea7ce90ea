//! How the question is put to the green: design, plots, response.

use std::f64::consts::PI;

use super::arrangement::arrangement;
use super::file::TrialFile;
use super::section::{Reading, Section};
use super::stages::stages;
use crate::Warning;
use crate::design::kinds::KINDS;
use crate::design::{
    Better, Design, DesignKind, PlotSize, Protocol, Response, ResponseKind, Sample, Treatment,
    TreatmentKind,
};
use crate::ranges::protocol::{
    BLOCKS, CORE_AREA, CORE_DIAMETER, CORES, GUARD, MOST_PER_M2, PLOT_LENGTH, PLOT_WIDTH, SEED,
};
use crate::text::rounding::figure;

const DIRECTIONS: [(&str, Better); 2] = [("fewer", Better::Fewer), ("more", Better::More)];

const RESPONSES: [(&str, ResponseKind); 5] = [
    ("count", ResponseKind::Count),
    ("score", ResponseKind::Score),
    ("cover", ResponseKind::Cover),
    ("length", ResponseKind::Length),
    ("edge", ResponseKind::Edge),
];

const DESIGN_KEYS: [&str; 10] = [
    "kind",
    "blocks",
    "seed",
    "angle_deg",
    "balance",
    "block_by",
    "control_plots",
    "gradient_deg",
    "rules",
    "whole_plots",
];

pub(super) fn design(
    file: &TrialFile<'_>,
    treatments: &[Treatment],
    reading: &mut Reading<'_>,
) -> Option<Design> {
    let section = file.section("design", reading);
    section.only(&DESIGN_KEYS, reading);
    if !section.has("kind") {
        section.missing(
            "kind",
            "Write for example kind = \"randomised-blocks\".",
            reading,
        );
    }
    let kinds: Vec<(&str, DesignKind)> = KINDS.iter().map(|k| (k.facts().key, *k)).collect();
    let kind = section.choice("kind", &kinds, reading);
    let usual_blocks = kind.and_then(|k| k.facts().usual_blocks);
    let blocks = if section.has("blocks") {
        section
            .whole("blocks", &BLOCKS, reading)
            .and_then(|b| usize::try_from(b).ok())
    } else if usual_blocks.is_some() {
        usual_blocks
    } else {
        let cure = "Write how many blocks (or pairs, or plots of each treatment) there are, for example blocks = 6.";
        section.missing("blocks", cure, reading);
        None
    };
    if let Some(Err(refused)) = kind.map(|k| k.takes(treatments.len())) {
        reading.refuse(section.offset("kind"), refused.what, refused.cure);
    }
    let seed = section.whole("seed", &SEED, reading);
    let arrangement = arrangement(&section, treatments, reading);
    Some(Design {
        kind: kind?,
        blocks: blocks?,
        seed,
        arrangement,
    })
}

pub(super) fn plot_size(file: &TrialFile<'_>, reading: &mut Reading<'_>) -> Option<PlotSize> {
    let section = file.section("plot", reading);
    section.only(&["length_m", "width_m", "guard_m"], reading);
    for key in ["length_m", "width_m"] {
        if !section.has(key) {
            section.missing(key, "Give the plot's size in metres.", reading);
        }
    }
    let length_m = section.number("length_m", &PLOT_LENGTH, reading);
    let width_m = section.number("width_m", &PLOT_WIDTH, reading);
    let guard_m = if section.has("guard_m") {
        section.number("guard_m", &GUARD, reading)
    } else {
        Some(0.0)
    };
    Some(PlotSize {
        length_m: length_m?,
        width_m: width_m?,
        guard_m: guard_m?,
    })
}

pub(super) fn response(file: &TrialFile<'_>, reading: &mut Reading<'_>) -> Option<Response> {
    let section = file.section("response", reading);
    let keys = [
        "name",
        "kind",
        "unit",
        "better",
        "cores_per_plot",
        "core_diameter_mm",
        "area_m2",
        "most_per_m2",
        "stages",
    ];
    section.only(&keys, reading);
    let kind = if section.has("kind") {
        section.choice("kind", &RESPONSES, reading)
    } else {
        Some(ResponseKind::Count)
    };
    let counted = kind.is_none_or(|k| k.is_count());
    if !section.has("name") {
        let cure = "Say what is counted, for example name = \"larvae in cores\".";
        section.missing("name", cure, reading);
    }
    if counted && !section.has("cores_per_plot") {
        let cure = "Say how many cores (or quadrats) are counted in each plot.";
        section.missing("cores_per_plot", cure, reading);
    }
    let name = section.name("name", reading);
    let written = section.text("unit", reading);
    let sample = sample(&section, counted, [&name, &written]);
    let unit = written.unwrap_or_else(|| if counted { "per core" } else { "as read" }.to_owned());
    let better = if section.has("better") {
        section.choice("better", &DIRECTIONS, reading)
    } else {
        // Fewer larvae, but a higher score, more cover, longer roots.
        Some(if counted { Better::Fewer } else { Better::More })
    };
    let cores = if counted || section.has("cores_per_plot") {
        section
            .whole("cores_per_plot", &CORES, reading)
            .and_then(|c| usize::try_from(c).ok())
    } else {
        Some(1)
    };
    let core_area_m2 = if counted {
        core_area(&section, reading)
    } else {
        no_core(&section, reading);
        Some(0.0)
    };
    if !counted && section.has("most_per_m2") {
        let what = "`most_per_m2` is for counts, but kind says that readings are taken";
        reading.refuse(section.offset("most_per_m2"), what, "Leave the line out.");
    }
    let stages = stages(&section, counted, reading);
    Some(Response {
        name: name?,
        most_per_m2: section.number("most_per_m2", &MOST_PER_M2, reading),
        stages,
        sample,
        unit,
        kind: kind?,
        better: better?,
        cores_per_plot: cores?,
        core_area_m2: core_area_m2?,
    })
}

/// Refuses samples that would cover more ground than a plot has.
pub(super) fn samples_within_plots(
    file: &TrialFile<'_>,
    plot: PlotSize,
    response: &Response,
    reading: &mut Reading<'_>,
) {
    let taken = response.core_area_m2 * response.cores_per_plot as f64;
    let has = plot.length_m * plot.width_m;
    if taken <= has * (1.0 + 1e-9) {
        return;
    }
    let section = file.section("response", reading);
    let size = ["core_diameter_mm", "area_m2"]
        .into_iter()
        .find(|k| section.has(k));
    let what = format!(
        "{} of {} m2 each are more than a plot has: {} m2",
        response.sample.number(response.cores_per_plot),
        figure(response.core_area_m2),
        figure(has)
    );
    let cure = "Correct the size (core_diameter_mm in millimetres, area_m2 in square metres), or take fewer.";
    reading.refuse(section.offset(size.unwrap_or("cores_per_plot")), what, cure);
}

/// A corer cuts cores; what has an area instead is a quadrat, unless it is called a core.
fn sample(section: &Section<'_>, counted: bool, told: [&Option<String>; 2]) -> Sample {
    let mut told = told.into_iter().flatten();
    if !counted {
        Sample::Reading
    } else if section.has("area_m2") && !told.any(|t| t.to_lowercase().contains("core")) {
        Sample::Quadrat
    } else {
        Sample::Core
    }
}

/// A reading has no core.
fn no_core(section: &Section<'_>, reading: &mut Reading<'_>) {
    let named = ["core_diameter_mm", "area_m2"];
    for key in named.into_iter().filter(|k| section.has(k)) {
        let what = format!("`{key}` is the size of a core, but kind says that readings are taken");
        let cure = "Leave the line out, or write kind = \"count\" if animals are counted.";
        reading.refuse(section.offset(key), what, cure);
    }
}

/// Area of one core from its diameter or given outright; exactly one of the two must be there.
fn core_area(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<f64> {
    match (section.has("core_diameter_mm"), section.has("area_m2")) {
        (true, true) => {
            let what = "both `core_diameter_mm` and `area_m2` are given";
            let cure = "Keep one: the diameter of a round corer, or the area of a quadrat.";
            reading.refuse(section.offset("area_m2"), what, cure);
            None
        }
        (false, false) => {
            let cure = "Give the corer's inner diameter, for example core_diameter_mm = 108, or area_m2 for a quadrat.";
            section.missing("core_diameter_mm", cure, reading);
            None
        }
        (true, false) => {
            let radius_m = section.number("core_diameter_mm", &CORE_DIAMETER, reading)? / 2000.0;
            Some(PI * radius_m * radius_m)
        }
        (false, true) => section.number("area_m2", &CORE_AREA, reading),
    }
}

/// What to think about in a protocol that can be used: like must be compared with like.
pub(super) fn cautions(
    protocol: &Protocol,
    file: &TrialFile<'_>,
    reading: &mut Reading<'_>,
) -> Vec<Warning> {
    let counted = format!("{} {}", protocol.response.name, protocol.response.unit).to_lowercase();
    let catch = [
        "under the sheet",
        "under sheet",
        "under-sheet",
        "beneath the sheet",
        "under the cover",
        "sheet catch",
        "catch",
    ];
    let covered = protocol
        .treatments
        .iter()
        .any(|t| t.kind == TreatmentKind::Covering);
    if !covered || !catch.iter().any(|c| counted.contains(c)) {
        return Vec::new();
    }
    let message = "what lies under a sheet cannot be counted in a plot without one, so the plots would not be \
                   compared like with like; count larvae in cores, or on the surface of every plot at the same \
                   moment, and write the sheet's own catch in the notes"
        .to_owned();
    let section = file.section("response", reading);
    vec![Warning::at(
        "catch-is-not-a-response",
        message,
        reading.place(section.offset("name")),
    )]
}
