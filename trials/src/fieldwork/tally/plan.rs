//! What the page for counting must know of a trial.

use serde::Serialize;
use serde_json::Value;

use crate::count_rules;
use crate::design::{Layout, Occasion, Plot, Protocol, Role, Sample, Seal, TreatmentKind};
use crate::fieldwork::pegging::corner_places;
use crate::text::shortened::shortened;

/// Characters of the site for which a telephone has room.
const SITE: usize = 160;

/// Minutes after the lift at which those that came up late are counted (common practice, no source).
const MOMENTS: [u32; 3] = [0, 15, 30];

/// A trial as the page for counting knows it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TallyPlan {
    /// Short title.
    pub title: String,
    /// Club and green.
    pub site: Option<String>,
    /// Digest of the seal: counts of another draw are not taken for this one's.
    pub seal: String,
    /// Name under which the phone keeps the counts.
    pub store: String,
    /// When it is counted, in order.
    pub occasions: Vec<TallyOccasion>,
    /// Stages that are told apart; the first is the one that is mostly met.
    pub stages: Vec<String>,
    /// Whether the protocol lists the stages itself, so that no other is taken.
    pub stages_listed: bool,
    /// One sample, and several: core, cores.
    pub sample: [&'static str; 2],
    /// Samples in each plot.
    pub samples: usize,
    /// Area of one sample, square metres.
    pub sample_area_m2: f64,
    /// More animals to the square metre than this are a slip.
    pub most_per_m2: f64,
    /// Minutes after the lift at which it is counted.
    pub moments: Vec<u32>,
    /// Whether these minutes are on the counting screen from the start: where sheets are lifted from marked squares.
    pub late_shown: bool,
    /// The plots in walking order.
    pub plots: Vec<TallyPlot>,
    /// What a row of counts must obey.
    pub rules: Value,
}

/// A time of counting.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TallyOccasion {
    /// Name used in the counts.
    pub name: String,
    /// Planned day, ISO 8601.
    pub date: Option<String>,
}

/// A plot.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TallyPlot {
    /// As painted on the peg.
    pub name: String,
    /// Green, in a trial on several.
    pub green: Option<String>,
    /// What it gets: one name, or one for each occasion; absent where the counter must not know.
    pub treatments: Option<Vec<String>>,
    /// Corners in metres on the outline's axes, anticlockwise.
    pub corners: [[f64; 2]; 4],
    /// Area, square metres.
    pub area_m2: f64,
}

impl TallyPlan {
    /// The plan of a sealed layout, its plots in the order of the layout; `hidden` leaves the treatments out. `None` where
    /// readings are taken instead of counts: nothing is tallied then.
    #[must_use]
    pub fn of(protocol: &Protocol, layout: &Layout, seal: &Seal, hidden: bool) -> Option<Self> {
        let response = &protocol.response;
        if !response.kind.is_count() {
            return None;
        }
        let rules = count_rules::rules();
        let listed = !response.stages.is_empty();
        let usual = || rules.stages.iter().map(|s| s.name.clone()).collect();
        let covers = protocol
            .treatments
            .iter()
            .any(|t| t.kind == TreatmentKind::Covering);
        let mut met = std::collections::BTreeSet::new();
        let plots = layout.plots.iter().filter(|p| met.insert(p.plot.as_str()));
        Some(Self {
            title: protocol.trial.title.clone(),
            site: (protocol.trial.site.as_deref()).map(|site| shortened(site, SITE).into_owned()),
            seal: seal.digest.clone(),
            store: format!(
                "halfgreen-tally-{}",
                seal.digest.get(..16).unwrap_or(&seal.digest)
            ),
            occasions: protocol.occasions.iter().map(TallyOccasion::of).collect(),
            stages: if listed {
                response.stages.clone()
            } else {
                usual()
            },
            stages_listed: listed,
            sample: response.sample.words(),
            samples: response.cores_per_plot,
            sample_area_m2: response.core_area_m2,
            most_per_m2: response.most_per_m2.unwrap_or(rules.most_per_m2),
            moments: MOMENTS[..if covers { MOMENTS.len() } else { 1 }].to_vec(),
            late_shown: covers && response.sample == Sample::Quadrat,
            plots: plots
                .map(|p| TallyPlot::of(p, protocol, layout, hidden))
                .collect(),
            rules: serde_json::from_str(count_rules::JSON).unwrap_or_default(),
        })
    }
}

impl TallyOccasion {
    fn of(occasion: &Occasion) -> Self {
        Self {
            name: occasion.name.clone(),
            date: occasion.date.map(|d| d.to_string()),
        }
    }
}

impl TallyPlot {
    fn of(plot: &Plot, protocol: &Protocol, layout: &Layout, hidden: bool) -> Self {
        Self {
            name: plot.plot.clone(),
            green: plot.green.clone(),
            treatments: (!hidden).then(|| treatments(plot, protocol, layout)),
            corners: corner_places(plot),
            area_m2: plot.length_m * plot.width_m,
        }
    }
}

/// What a plot gets, by code and name: one, or, over nights, one for each occasion, empty where it gets none.
fn treatments(plot: &Plot, protocol: &Protocol, layout: &Layout) -> Vec<String> {
    let name = |code: &str| {
        let mut all = protocol.treatments.iter();
        let found = all.find(|t| t.code == code);
        // The code is on the peg, and still tells treatments apart where long names are cut.
        found.map_or_else(|| code.to_owned(), |t| format!("{} {}", t.code, t.name))
    };
    if !protocol.design.kind.facts().over_nights() {
        return vec![name(&plot.treatment)];
    }
    let mut nights = 0;
    let got = protocol.occasions.iter().map(|occasion| {
        if occasion.role != Role::Main {
            return String::new();
        }
        nights += 1;
        let mut lines = layout.plots.iter().filter(|p| p.plot == plot.plot);
        let night = lines.find(|p| p.row.as_deref() == Some(nights.to_string().as_str()));
        night.map_or_else(String::new, |p| name(&p.treatment))
    });
    got.collect()
}
