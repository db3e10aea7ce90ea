//! The protocol: the one question, its treatments, its design, and what would matter.

use halfgreen_analysis::comparison::Better;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::arrangement::Arrangement;
use super::factor::Factor;
use super::kinds::{Asked, DesignKind};
use super::treatment::Treatment;
use super::verdict_about::VerdictAbout;

/// A checked protocol. Made only by reading and checking `trial.toml`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Protocol {
    /// What the trial is called and asks.
    pub trial: Trial,
    /// The methods compared, in file order; exactly one is the control.
    pub treatments: Vec<Treatment>,
    /// The factors whose levels the treatments combine; empty unless the trial was written by factors. Left out of the digest of
    /// the protocol, which holds the treatments made of them; the seal names the family of the headline test instead.
    #[serde(skip)]
    pub factors: Vec<Factor>,
    /// How plots are grouped and treatments drawn.
    pub design: Design,
    /// Size of a plot and its guard.
    pub plot: PlotSize,
    /// What is counted in every plot.
    pub response: Response,
    /// When it is counted; exactly one occasion is the main one. In a crossover all are, one a night, in
    /// order: as many as treatments.
    pub occasions: Vec<Occasion>,
    /// What counts as proof and what would be worth having.
    pub decision: Decision,
}

impl Protocol {
    /// What its kind of design needs to know of it.
    #[must_use]
    pub fn asked(&self) -> Asked<'_> {
        Asked {
            treatments: &self.treatments,
            blocks: self.design.blocks,
            arrangement: &self.design.arrangement,
        }
    }

    /// Ratio of a method to the control that would just be worth having.
    #[must_use]
    pub fn worthwhile_ratio(&self) -> f64 {
        let share = self.decision.worthwhile_percent / 100.0;
        self.response.better.ratio_by(share)
    }
}

/// Title and question.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Trial {
    /// Short title.
    pub title: String,
    /// The question, in a sentence.
    pub question: String,
    /// Club and green.
    pub site: Option<String>,
    /// Day the trial was laid out.
    pub date: Option<Date>,
}

/// How plots are grouped and treatments drawn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Design {
    /// Kind of design.
    pub kind: DesignKind,
    /// How many blocks, or what the kind has instead: pairs, squares, plots of each treatment.
    pub blocks: usize,
    /// Seed of the draw; absent until `layout` has chosen one.
    pub seed: Option<u64>,
    /// Direction, blocking, unequal replication and rules, where the default does not serve.
    pub arrangement: Arrangement,
}

/// Size of a plot in metres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PlotSize {
    /// Along the plot.
    pub length_m: f64,
    /// Across the plot.
    pub width_m: f64,
    /// Untouched strip kept round each plot.
    pub guard_m: f64,
}

/// What is counted, the same way in every plot.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Response {
    /// What is counted.
    pub name: String,
    /// Unit of one count ("larvae per core").
    pub unit: String,
    /// What a number in the file is.
    #[serde(skip_serializing_if = "ResponseKind::is_count")]
    pub kind: ResponseKind,
    /// Which direction is good.
    pub better: Better,
    /// Cores, quadrats or readings taken in each plot.
    pub cores_per_plot: usize,
    /// Area of one core in square metres; 0 where readings are taken instead of counts.
    pub core_area_m2: f64,
    /// Most animals to the square metre that a count may come to, where the protocol says it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub most_per_m2: Option<f64>,
    /// Stages that are told apart, where the protocol lists them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub stages: Vec<String>,
    /// What one sample is. Follows from how its size is written, so that it is no part of what is sealed.
    #[serde(skip)]
    pub sample: Sample,
}

/// What is counted at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sample {
    /// Turf cut out with a corer.
    #[default]
    Core,
    /// A marked area that is looked at and stays as it is.
    Quadrat,
    /// A place where a reading is taken.
    Reading,
}

impl Sample {
    /// One of them, and several.
    #[must_use]
    pub fn words(self) -> [&'static str; 2] {
        match self {
            Self::Core => ["core", "cores"],
            Self::Quadrat => ["quadrat", "quadrats"],
            Self::Reading => ["reading", "readings"],
        }
    }

    /// A number of them for people who did not count: "4 cores of turf", "4 marked squares".
    #[must_use]
    pub fn plain(self, n: usize) -> String {
        let [one, several] = match self {
            Self::Core => ["core of turf", "cores of turf"],
            Self::Quadrat => ["marked square", "marked squares"],
            Self::Reading => ["reading", "readings"],
        };
        format!("{n} {}", if n == 1 { one } else { several })
    }

    /// A number of them: "1 core", "4 quadrats".
    #[must_use]
    pub fn number(self, n: usize) -> String {
        format!("{n} {}", self.words()[usize::from(n != 1)])
    }
}

/// What a number in the file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ResponseKind {
    /// Animals counted.
    Count,
    /// Visual score, 1 to 9.
    Score,
    /// Cover, per cent.
    Cover,
    /// Root depth or length, or any continuous reading.
    Length,
    /// Colour or vigour inside less outside the plot's edge.
    Edge,
}

impl ResponseKind {
    /// Whether animals are counted.
    #[must_use]
    pub fn is_count(&self) -> bool {
        *self == Self::Count
    }
}

/// A time of counting.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Occasion {
    /// Name used in the counts file.
    pub name: String,
    /// What the count is for.
    pub role: Role,
    /// Planned day.
    pub date: Option<Date>,
}

/// What a count is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Before treatment: a covariate.
    Before,
    /// The count the verdict rests on; in a crossover that of a night.
    Main,
    /// Later counts: did it last?
    FollowUp,
}

/// What counts as proof and what would be worth having.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Decision {
    /// Error rate of the headline test.
    pub alpha: f64,
    /// Smallest change worth having, in per cent: a reduction where fewer is better, an increase
    /// where more is better; 0 where readings are taken instead of counts.
    pub worthwhile_percent: f64,
    /// Smallest difference worth having, in the unit of the reading, where readings are taken and it was stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worthwhile_difference: Option<f64>,
    /// Density at which the club would act, per square metre, if it has a figure of its own.
    pub threshold_per_m2: Option<f64>,
    /// A method that the others need only come close to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reference: Option<ReferenceMethod>,
    /// What the verdict is about, where it was written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub verdict_about: Option<VerdictAbout>,
}

/// A method that the others need only come close to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReferenceMethod {
    /// Its code.
    pub code: String,
    /// How much worse, per cent of its mean, would still do.
    pub margin_percent: f64,
}
