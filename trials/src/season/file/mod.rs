//! A season file: from its text to checked values.
//!
//! Every fault is found in one pass and told with `file:line:column` and a cure, by the same reader as `trial.toml`.
//!
//! | section | what it says | part |
//! |---|---|---|
//! | `[season]` | title, currency, the club's own threshold | here |
//! | `[effect]` | the judged trial, or a ratio with its interval; nights under the sheet for which it holds | `effect` |
//! | `[[method]]` | other methods: what they leave and cost | `effect` |
//! | `[counts]`, `[[green]]` | each green: its area, its counts, its hot spots | `greens` |
//! | `[sheet]`, `[nights]` or `[[night]]`, `[work]` | what there is to cover with, when, and how fast | `means` |
//! | `[cost]`, `[worth]` | prices; what it is worth to the user | `means` |

mod effect;
mod greens;
mod means;

use toml::de::DeTable;

use crate::Error;
use crate::design::reader::{Reading, TrialFile, complain_of_grammar, in_file_order};
use crate::ranges::season::THRESHOLD;

pub use effect::{EffectAsked, Leaves, MethodAsked};
pub use greens::{Counted, GreenAsked, Ground, HotSpots};
pub use means::{Night, Sheet, Work, Worth};

/// What is asked for a season.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonFile {
    /// Heading of the plan.
    pub title: String,
    /// Name of the currency; empty without one.
    pub currency: String,
    /// The club's own threshold, animals per square metre.
    pub threshold_per_m2: Option<f64>,
    /// What a sheet leaves.
    pub effect: EffectAsked,
    /// Nights under the sheet for which that holds.
    pub nights_each: usize,
    /// Other methods.
    pub methods: Vec<MethodAsked>,
    /// The greens, in file order.
    pub greens: Vec<GreenAsked>,
    /// Area of a core, square metres, where counts are of cores.
    pub core_area_m2: Option<f64>,
    /// The sheet there is.
    pub sheet: Sheet,
    /// The nights there are.
    pub nights: Vec<Night>,
    /// How fast people work.
    pub work: Work,
    /// Price of a person's hour.
    pub person_hour: Option<f64>,
    /// What it is worth to the user.
    pub worth: Worth,
}

/// Sections of a season file.
const SECTIONS: [&str; 11] = [
    "season", "effect", "method", "counts", "green", "sheet", "nights", "night", "work", "cost",
    "worth",
];

/// Reads and checks the text of a season file; `file` is its name in complaints.
///
/// # Errors
/// Every fault found, in the order of the file: grammar, unknown sections and keys, values of the wrong kind or out of
/// range, and parts that are missing or contradict one another.
pub fn read_season(file: &str, text: &str) -> Result<SeasonFile, Vec<Error>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reading = Reading {
        file,
        text,
        complaints: Vec::new(),
    };
    let (root, faults) = DeTable::parse_recoverable(text);
    if !faults.is_empty() {
        for fault in &faults {
            complain_of_grammar(fault, &mut reading);
        }
        return Err(in_file_order(reading));
    }
    let parts = TrialFile::with_sections(root.get_ref(), &SECTIONS, "a season file", &mut reading);
    match season(&parts, &mut reading).filter(|_| reading.complaints.is_empty()) {
        Some(season) => Ok(season),
        None => Err(in_file_order(reading)),
    }
}

/// Reads every part before giving up, so that all complaints are made at once.
fn season(parts: &TrialFile<'_>, reading: &mut Reading<'_>) -> Option<SeasonFile> {
    let head = parts.section("season", reading);
    head.only(&["title", "currency", "threshold_per_m2"], reading);
    let title = head.text("title", reading);
    if !head.has("title") {
        head.missing("title", "Write what the plan is for.", reading);
    }
    let currency = head.name("currency", reading).unwrap_or_default();
    let threshold_per_m2 = head.number("threshold_per_m2", &THRESHOLD, reading);
    let effect = effect::effect(parts, reading);
    let methods = effect::methods(parts, effect.as_ref().map(|e| &e.0), reading);
    let (core_area_m2, k) = greens::corer(parts, reading);
    let greens = greens::greens(parts, (core_area_m2, k), reading);
    let sheet = means::sheet(parts, reading);
    let nights = means::nights(parts, reading);
    let work = means::work(parts, reading);
    let person_hour = means::person_hour(parts, reading);
    let worth = means::worth(parts, reading);
    let (effect, nights_each) = effect?;
    enough_nights(parts, &nights, nights_each, reading);
    Some(SeasonFile {
        title: title?,
        currency,
        threshold_per_m2,
        effect,
        nights_each,
        methods,
        greens,
        core_area_m2,
        sheet: sheet?,
        nights,
        work: work?,
        person_hour,
        worth,
    })
}

/// Refuses an effect of more nights than there are.
fn enough_nights(parts: &TrialFile<'_>, nights: &[Night], each: usize, reading: &mut Reading<'_>) {
    if !nights.is_empty() && nights.len() < each {
        let section = parts.section("effect", reading);
        let what = format!(
            "the effect is that of {each} nights under the sheet, and there are {} in all",
            nights.len()
        );
        reading.refuse(
            section.offset("nights"),
            what,
            "Give more nights, or the effect of fewer.",
        );
    }
}
