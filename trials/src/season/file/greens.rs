//! The greens: how large, what was counted, where most of it sits.

use std::f64::consts::PI;
use std::path::PathBuf;

use halfgreen_analysis::efficacy::Bounded;

use super::effect::in_order;
use crate::design::reader::{Reading, Section, TrialFile};
use crate::ranges::season::{
    AREA, CORE_AREA, CORE_DIAMETER, CORES, DENSITY, GREENS, HOT_AREA, HOT_SHARE, K, LARVAE,
    PER_CORE, PRIORITY,
};

/// How large a green is.
#[derive(Debug, Clone, PartialEq)]
pub enum Ground {
    /// By its outline, a file beside the season file.
    Outline(PathBuf),
    /// Square metres.
    Area(f64),
}

/// What was counted on a green.
#[derive(Debug, Clone, PartialEq)]
pub enum Counted {
    /// Larvae in each core.
    Cores(Vec<u64>),
    /// Larvae in all cores together, with a k from elsewhere.
    Total {
        /// Larvae.
        larvae: u64,
        /// Cores.
        cores: u64,
        /// Clumping of cores.
        k: f64,
    },
    /// Larvae per square metre with the limits of a 95 % interval.
    PerM2(Bounded),
    /// A table with a line for each core.
    File {
        /// The table, beside the season file.
        path: PathBuf,
        /// Its column of counts.
        column: String,
    },
    /// The green of the trial: what its control holds.
    Trial,
}

/// Where most of a green's larvae sit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HotSpots {
    /// Their area, square metres.
    pub area_m2: f64,
    /// Share of the green's larvae that they hold.
    pub share: f64,
}

/// A green as the file has it.
#[derive(Debug, Clone, PartialEq)]
pub struct GreenAsked {
    /// Its name.
    pub name: String,
    /// Its size.
    pub ground: Ground,
    /// Its counts.
    pub counted: Counted,
    /// How much a larva on it counts.
    pub priority: f64,
    /// Its hot spots, where they are known.
    pub hot_spots: Option<HotSpots>,
    /// `file:line:column` of its heading, for complaints that are found later.
    pub place: String,
}

/// Area of a core and its k, where `[counts]` says them.
pub(super) fn corer(
    parts: &TrialFile<'_>,
    reading: &mut Reading<'_>,
) -> (Option<f64>, Option<f64>) {
    let section = parts.section("counts", reading);
    section.only(&["core_diameter_mm", "core_area_m2", "k"], reading);
    if section.has("core_diameter_mm") && section.has("core_area_m2") {
        let what = "`core_area_m2` stands beside `core_diameter_mm`";
        reading.refuse(
            section.offset("core_area_m2"),
            what,
            "Leave one of them out.",
        );
    }
    let diameter = section.number("core_diameter_mm", &CORE_DIAMETER, reading);
    let area = section.number("core_area_m2", &CORE_AREA, reading);
    let k = section.number("k", &K, reading);
    (
        diameter.map(|d| PI / 4.0 * (d / 1000.0).powi(2)).or(area),
        k,
    )
}

const GREEN: [&str; 15] = [
    "name",
    "outline",
    "area_m2",
    "per_core",
    "larvae",
    "cores",
    "k",
    "per_m2",
    "low",
    "high",
    "counts",
    "count",
    "of_trial",
    "priority",
    "hot_spot_m2",
];
const HOT: &str = "hot_spot_share_percent";

/// All greens.
pub(super) fn greens(
    parts: &TrialFile<'_>,
    corer: (Option<f64>, Option<f64>),
    reading: &mut Reading<'_>,
) -> Vec<GreenAsked> {
    let sections = parts.list("green", reading);
    if !GREENS.holds_whole(sections.len() as u64) {
        let what = format!("[[green]]: {}", GREENS.fault(&sections.len().to_string()));
        let at = sections.get(27).map_or(0, |s| s.at);
        reading.refuse(
            at,
            what,
            "Plan the course in parts, or add the first green.",
        );
    }
    let mut greens: Vec<GreenAsked> = Vec::new();
    for section in &sections {
        let Some(green) = green(section, corer, reading) else {
            continue;
        };
        if greens.iter().any(|g| g.name == green.name) {
            let what = format!("two greens are called {}", green.name);
            reading.refuse(section.offset("name"), what, "Give each a name of its own.");
        }
        greens.push(green);
    }
    greens
}

fn green(
    section: &Section<'_>,
    corer: (Option<f64>, Option<f64>),
    reading: &mut Reading<'_>,
) -> Option<GreenAsked> {
    section.only(&[&GREEN[..], &[HOT]].concat(), reading);
    let name = section.name("name", reading);
    if !section.has("name") {
        section.missing("name", "Say what it is called.", reading);
    }
    let ground = ground(section, reading);
    let counted = counted(section, corer, reading);
    let priority = section
        .number("priority", &PRIORITY, reading)
        .unwrap_or(1.0);
    let hot_spots = hot_spots(section, reading);
    if let (Some(Ground::Area(area)), Some(hot)) = (&ground, &hot_spots)
        && hot.area_m2 > *area
    {
        let what = format!(
            "hot spots of {} m2 are larger than their green of {area} m2",
            hot.area_m2
        );
        reading.refuse(
            section.offset("hot_spot_m2"),
            what,
            "Give the part of the green that they take.",
        );
    }
    Some(GreenAsked {
        name: name?,
        ground: ground?,
        counted: counted?,
        priority,
        hot_spots,
        place: reading.place(section.at),
    })
}

fn ground(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<Ground> {
    match (section.has("outline"), section.has("area_m2")) {
        (true, true) => {
            let what = "`area_m2` stands beside `outline`, which has its own";
            reading.refuse(section.offset("area_m2"), what, "Leave one of them out.");
            None
        }
        (true, false) => section
            .text("outline", reading)
            .map(|f| Ground::Outline(f.into())),
        (false, true) => section.number("area_m2", &AREA, reading).map(Ground::Area),
        (false, false) => {
            section.missing(
                "area_m2",
                "Write its area, or name the file of its outline.",
                reading,
            );
            None
        }
    }
}

fn hot_spots(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<HotSpots> {
    for (key, other) in [("hot_spot_m2", HOT), (HOT, "hot_spot_m2")] {
        if section.has(key) && !section.has(other) {
            section.missing(
                other,
                "Hot spots need both; `halfgreen hotspots` finds them.",
                reading,
            );
        }
    }
    Some(HotSpots {
        area_m2: section.number("hot_spot_m2", &HOT_AREA, reading)?,
        share: section.number(HOT, &HOT_SHARE, reading)? / 100.0,
    })
}

/// Keys of which a green has one, each with what goes with it.
const WAYS: [(&str, &[&str]); 5] = [
    ("per_core", &[]),
    ("larvae", &["cores", "k"]),
    ("per_m2", &["low", "high"]),
    ("counts", &["count"]),
    ("of_trial", &[]),
];

/// The counts, told in one of five ways.
fn counted(
    section: &Section<'_>,
    (core_area, common_k): (Option<f64>, Option<f64>),
    reading: &mut Reading<'_>,
) -> Option<Counted> {
    let ways: Vec<&str> = WAYS
        .iter()
        .map(|w| w.0)
        .filter(|key| section.has(key))
        .collect();
    let way = match ways.as_slice() {
        [way] => *way,
        [] => {
            let cure = "Write per_core = [...], or larvae and cores, or per_m2 with low and high, or counts = \"file\", or \
                        of_trial = true.";
            section.missing("per_core", cure, reading);
            return None;
        }
        [first, second, ..] => {
            let what = format!("`{second}` stands beside `{first}`: counts are told in one way");
            reading.refuse(
                section.offset(second),
                what,
                "Leave all but one of them out.",
            );
            return None;
        }
    };
    for (other, with) in WAYS.iter().filter(|w| w.0 != way) {
        for key in with.iter().filter(|key| section.has(key)) {
            let what = format!("`{key}` goes with `{other}`, not with `{way}`");
            reading.refuse(section.offset(key), what, "Leave it out.");
        }
    }
    if ["per_core", "larvae", "counts"].contains(&way) && core_area.is_none() {
        let what = "counts of cores need the size of a core";
        let cure = "Write core_diameter_mm or core_area_m2 under [counts].";
        reading.refuse(section.offset(way), what, cure);
    }
    match way {
        "per_core" => section
            .wholes("per_core", &PER_CORE, reading)
            .map(Counted::Cores),
        "larvae" => total(section, common_k, reading),
        "per_m2" => per_m2(section, reading),
        "counts" => {
            if !section.has("count") {
                section.missing("count", "Name the column of the counts.", reading);
            }
            let (path, column) = (
                section.text("counts", reading),
                section.name("count", reading),
            );
            Some(Counted::File {
                path: path?.into(),
                column: column?,
            })
        }
        _ => {
            let yes = section.flag("of_trial", reading)?;
            if !yes {
                let what = "`of_trial` is false, and nothing else tells what was counted";
                reading.refuse(
                    section.offset("of_trial"),
                    what,
                    "Write the counts instead.",
                );
            }
            yes.then_some(Counted::Trial)
        }
    }
}

fn total(
    section: &Section<'_>,
    common_k: Option<f64>,
    reading: &mut Reading<'_>,
) -> Option<Counted> {
    let larvae = section.whole("larvae", &LARVAE, reading);
    let cores = section.whole("cores", &CORES, reading);
    if !section.has("cores") {
        section.missing(
            "cores",
            "Write how many cores the larvae were found in.",
            reading,
        );
    }
    let k = section.number("k", &K, reading).or(common_k);
    if k.is_none() && !section.has("k") {
        let what = "a total of several cores does not tell how clumped they are";
        let cure = "Write the count of each core (per_core), or k under [counts]: `halfgreen describe` gives it from any survey.";
        reading.refuse(section.offset("larvae"), what, cure);
    }
    Some(Counted::Total {
        larvae: larvae?,
        cores: cores?,
        k: k?,
    })
}

fn per_m2(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<Counted> {
    for key in ["low", "high"] {
        if !section.has(key) {
            section.missing(
                key,
                "A mean per m2 needs both limits of its interval.",
                reading,
            );
        }
    }
    let number = |key: &str, reading: &mut Reading<'_>| section.number(key, &DENSITY, reading);
    let (estimate, low, high) = (
        number("per_m2", reading),
        number("low", reading),
        number("high", reading),
    );
    let density = Bounded {
        estimate: estimate?,
        low: low?,
        high: high?,
    };
    in_order(section, density, "per_m2", reading).then_some(Counted::PerM2(density))
}
