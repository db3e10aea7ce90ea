//! The sorts of roll that `trial.toml` names, with what must be asked about them.

use super::warning;
use crate::design::{Roll, Supplies};
use crate::night::order::Sort;
use crate::night::takeoff::RollSize;
use crate::{Error, Warning};

/// Lap where none is told, metres: as in the starter's file.
const LAP_M: f64 = 0.2;
/// Sheet beyond the edge where nothing is told, metres: as in the starter's file.
const EDGE_M: f64 = 0.3;

/// The sorts that are ordered from, and warnings. `file` is the name of the trial file.
pub(super) fn sorts(
    file: &str,
    supplies: &Supplies,
) -> Result<(Vec<Sort>, Vec<Warning>), Vec<Error>> {
    if supplies.rolls.is_empty() {
        let what = "no sheet is told of: there is neither [sheet] nor [[roll]]";
        let cure = "Write the rolls on sale: roll_length_m, roll_width_m, lap_m, edge_m, opaque, price_per_roll.";
        return Err(vec![Error::new(file, what, cure)]);
    }
    let (mut sorts, mut faults, mut warnings) = (Vec::new(), Vec::new(), Vec::new());
    // Where some sheet lets no light through, nothing else is ordered.
    let any_opaque = supplies.rolls.iter().any(|r| r.opaque == Some(true));
    for (at, roll) in supplies.rolls.iter().enumerate() {
        let name = called(roll, at, supplies.rolls.len());
        warnings.extend(light(file, roll, &name, any_opaque));
        if roll.opaque == Some(false) && any_opaque {
            continue;
        }
        match sort(file, roll, name, &supplies.rolls) {
            Ok((sort, told)) => {
                sorts.push(sort);
                warnings.extend(told);
            }
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() {
        warnings.extend(prices(file, &sorts));
        Ok((sorts, warnings))
    } else {
        Err(faults)
    }
}

fn called(roll: &Roll, at: usize, of: usize) -> String {
    match &roll.name {
        Some(name) => name.clone(),
        None if of == 1 => "sheet".to_owned(),
        None => format!("sheet {}", at + 1),
    }
}

/// What is to be said of a sheet that lets light through, or may.
fn light(file: &str, roll: &Roll, name: &str, any_opaque: bool) -> Option<Warning> {
    const PRACTICE: &str =
        "black sheet worked and coloured tarpaulin did not (common practice, no source)";
    let (code, message) = match roll.opaque {
        Some(true) => return None,
        Some(false) if any_opaque => (
            "translucent-left-out",
            format!("{name} lets light through and is left out: {PRACTICE}"),
        ),
        Some(false) => (
            "translucent",
            format!("{name} lets light through: {PRACTICE}. Ask the merchant for an opaque one"),
        ),
        None => (
            "opaque-not-told",
            format!(
                "whether {name} lets light through is not told (`opaque`): {PRACTICE}. Hold it against a lamp and write it down"
            ),
        ),
    };
    Some(warning(code, message, file))
}

fn sort(
    file: &str,
    roll: &Roll,
    name: String,
    all: &[Roll],
) -> Result<(Sort, Vec<Warning>), Error> {
    let needed = |side: Option<f64>, key: &str| {
        side.ok_or_else(|| {
            let what = format!("{name} has no `{key}`, and without it no strip can be cut");
            Error::new(format!("{file} [sheet] {key}"), what, "Write it in metres.")
        })
    };
    let size = [
        needed(roll.roll_length_m, "roll_length_m")?,
        needed(roll.roll_width_m, "roll_width_m")?,
    ];
    let mut warnings = Vec::new();
    // What is told once holds for all sorts: strips of unlike laps do not lie side by side.
    let mut told = |own: Option<f64>, of: &dyn Fn(&Roll) -> Option<f64>, key: &str, usual: f64| {
        own.or_else(|| all.iter().find_map(of)).unwrap_or_else(|| {
            let message = format!("`{key}` is not told for {name}: {usual} m are reckoned with");
            warnings.push(warning("assumed", message, file));
            usual
        })
    };
    let lap_m = told(roll.lap_m, &|r| r.lap_m, "lap_m", LAP_M);
    let edge_m = told(roll.edge_m, &|r| r.edge_m, "edge_m", EDGE_M);
    let size = RollSize::new(&format!("{file} [sheet] lap_m"), size, lap_m, edge_m)?;
    let in_stock_m2 = roll.in_stock_m2.unwrap_or(0.0);
    if in_stock_m2 > 0.0 {
        let message = format!(
            "the {in_stock_m2} m2 of {name} in the shed are taken for whole rolls and one rest: measure the pieces before you \
             drive to the merchant"
        );
        warnings.push(warning("stock-as-rolls", message, file));
    }
    let sort = Sort {
        name,
        size,
        price: roll.price_per_roll,
        in_stock_m2,
    };
    Ok((sort, warnings))
}

/// That prices do not tell which rolls are cheapest.
fn prices(file: &str, sorts: &[Sort]) -> Option<Warning> {
    let without: Vec<&str> = sorts
        .iter()
        .filter(|s| s.price.is_none())
        .map(|s| s.name.as_str())
        .collect();
    let message = format!(
        "no price is told for {}: the least sheet is bought, and what it costs is not known",
        without.join(", ")
    );
    (!without.is_empty()).then(|| warning("no-price", message, file))
}
