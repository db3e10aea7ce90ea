//! `plan.csv`: a line for each piece of ground on each night.

use super::result::SeasonPlan;
use crate::Error;
use crate::text::table_cells::written;

const HEAD: [&str; 9] = [
    "night",
    "date",
    "people",
    "green",
    "piece",
    "of_pieces",
    "area_m2",
    "sheet_m2",
    "person_hours",
];

/// The plan as a table.
///
/// # Errors
/// Only where memory ends.
pub fn plan_csv(plan: &SeasonPlan) -> Result<String, Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let unwritable = |e: csv::Error| Error::new("plan.csv", e.to_string(), "Try again.");
    writer.write_record(HEAD).map_err(unwritable)?;
    for night in &plan.nights {
        for piece in &night.covers {
            let row = [
                night.night.to_string(),
                night.date.clone().unwrap_or_default(),
                night.people.to_string(),
                written(&piece.green).into_owned(),
                piece.piece.to_string(),
                piece.of.to_string(),
                format!("{:.0}", piece.area_m2),
                format!("{:.0}", piece.sheet_m2.ceil()),
                format!("{:.2}", piece.hours),
            ];
            writer.write_record(row).map_err(unwritable)?;
        }
    }
    let bytes = writer
        .into_inner()
        .map_err(|e| Error::new("plan.csv", e.to_string(), "Try again."))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
