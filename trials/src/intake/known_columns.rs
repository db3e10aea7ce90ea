//! Columns of a trial's tables that are needed, and those that nobody knows.

use super::row::Sheet;
use crate::table::{Complaint, Problem, Rule};
use crate::text::spelling::nearest;

/// Missing and unknown columns; where there are several occasions, the occasion is needed too.
pub(super) fn columns(sheet: &Sheet<'_>, needed: &[&str], known: &[&str]) -> Vec<Problem> {
    let mut needed = needed.to_vec();
    if sheet.occasions.len() > 1 {
        needed.push("occasion");
    }
    let mut problems: Vec<Problem> = needed
        .iter()
        .filter_map(|n| sheet.table.required(n).err())
        .collect();
    problems.extend(unknown_columns(sheet, known));
    problems
}

/// Columns that are not known: refused where a known one was meant, for then something written would go unread.
pub(super) fn unknown_columns(sheet: &Sheet<'_>, known: &[&str]) -> Vec<Problem> {
    let mut problems = Vec::new();
    for heading in &sheet.table.header {
        let name = heading.text.to_lowercase();
        if !name.is_empty() && !known.contains(&name.as_str()) {
            let near = nearest(&name, known.iter().copied());
            let cure = match near {
                Some(near) => format!(
                    "If {near} was meant, rename it; if not, give it a name less like that one."
                ),
                None => format!("Columns read are {}.", known.join(", ")),
            };
            let unknown = Complaint::new(format!("column `{}` is not read", heading.text), cure);
            let problem = sheet.problem(heading, Rule::UnknownColumn, unknown);
            problems.push(if near.is_some() {
                problem.refused()
            } else {
                problem
            });
        }
    }
    problems
}
