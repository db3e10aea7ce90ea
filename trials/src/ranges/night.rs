//! Numbers of `nights.csv`.

use super::Limit::Itself;
use super::ranges;

ranges! {
    NIGHT_SHEET: "nights.csv" "sheet_m2", "sheet that was laid", "m2", Itself(0.1), Itself(1e6), 140.0,
        "less is none, and no green is larger";
    NIGHT_STRIPS: "nights.csv" "strips", "strips that were laid", "", Itself(1.0), Itself(10_000.0), 8.0,
        "without one there was no night, and no roll gives more";
    NIGHT_PEOPLE: "nights.csv" "people", "people at work", "", Itself(1.0), Itself(1000.0), 3.0,
        "sheets do not lay themselves, and no club has more";
    NIGHT_MINUTES: "nights.csv" "lay_min, weigh_min, lift_min, count_min, clear_min, dry_min", "minutes of the clock that a task took", "min", Itself(0.0), Itself(1440.0), 40.0,
        "a day has no more";
}
