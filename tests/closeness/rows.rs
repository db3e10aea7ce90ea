//! Rows of `tests/reference/<name>.tsv`: what other software answered, how closely it must be met, and why not more closely.

use std::path::PathBuf;

use super::close_above;

/// One answer of other software.
#[derive(Debug)]
pub(crate) struct Row {
    pub(crate) case: String,
    pub(crate) quantity: String,
    pub(crate) value: f64,
    /// Allowed difference relative to the value; `None` where the row is not compared.
    tolerance: Option<f64>,
    /// Why no closer, or why not at all.
    reason: String,
}

impl Row {
    fn read(line: &str) -> Self {
        let cells: Vec<&str> = line.split('\t').collect();
        let [case, quantity, value, tolerance, reason] = cells[..] else {
            panic!("not five cells: {line}");
        };
        assert!(reason.len() > 10, "no reason: {line}");
        Self {
            case: case.to_owned(),
            quantity: quantity.to_owned(),
            value: value.parse().unwrap(),
            tolerance: (tolerance != "-").then(|| tolerance.parse().unwrap()),
            reason: reason.to_owned(),
        }
    }

    /// Fails unless our answer is as close as the row asks.
    #[track_caller]
    pub(crate) fn meet(&self, ours: f64) {
        self.meet_above(1e-3, ours);
    }

    /// The same where values smaller than `floor` are compared as if they were `floor`.
    #[track_caller]
    pub(crate) fn meet_above(&self, floor: f64, ours: f64) {
        self.allow(ours, self.value, floor);
    }

    /// The same between the logarithms of two p-values, which may be smaller than any tolerance.
    #[track_caller]
    pub(crate) fn meet_in_logs(&self, ours: f64) {
        self.allow(ours.ln(), self.value.ln(), 1e-3);
    }

    #[track_caller]
    fn allow(&self, ours: f64, theirs: f64, floor: f64) {
        let what = format!("{} {} ({})", self.case, self.quantity, self.reason);
        let tolerance = self
            .tolerance
            .unwrap_or_else(|| panic!("{what} is not compared"));
        close_above(floor, &what, ours, theirs, tolerance);
    }
}

/// All rows of a file.
#[derive(Debug)]
pub(crate) struct Rows(Vec<Row>);

impl Rows {
    /// Reads `tests/reference/<name>.tsv`.
    pub(crate) fn read(name: &str) -> Self {
        let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
            .join(format!("../tests/reference/{name}.tsv"));
        let text = std::fs::read_to_string(&path).unwrap();
        let mut lines = text.lines();
        assert_eq!(
            lines.next(),
            Some("case\tquantity\tvalue\ttolerance\treason")
        );
        let rows: Vec<Row> = lines.map(Row::read).collect();
        assert!(!rows.is_empty(), "{} holds no row", path.display());
        Self(rows)
    }

    /// The row of a quantity of a case.
    pub(crate) fn row(&self, case: &str, quantity: &str) -> &Row {
        let found = self
            .0
            .iter()
            .find(|r| r.case == case && r.quantity == quantity);
        found.unwrap_or_else(|| panic!("there is no row {case} {quantity}"))
    }

    /// All rows of a case.
    pub(crate) fn of(&self, case: &str) -> Vec<&Row> {
        self.0.iter().filter(|r| r.case == case).collect()
    }

    /// Rows of a case that are to be compared and whose quantity starts with `family.`, with the rest of its name.
    pub(crate) fn compared(&self, case: &str, family: &str) -> Vec<(&str, &Row)> {
        let start = format!("{family}.");
        let of_case = self.of(case).into_iter().filter(|r| r.tolerance.is_some());
        of_case
            .filter_map(|r| Some((r.quantity.strip_prefix(&start)?, r)))
            .collect()
    }
}
