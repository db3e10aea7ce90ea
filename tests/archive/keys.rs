//! Every key of the results stands on the page of results.

use super::{COLUMNS, archived, filled, table};
use crate::commands::result_keys::compared;

#[test]
fn every_key_of_archive_is_told() {
    let scratch = filled(4);
    let judged = archived(&scratch, "judge county");
    let described = archived(&scratch, "describe county");
    // One trial again as it was, one with another count, one with a word in place of a count, a line of no trial.
    let text = table(5);
    let line = text.lines().find(|l| l.starts_with("t1,")).unwrap();
    let (start, count) = line.rsplit_once(',').unwrap();
    let other = format!("{start},{}", count.parse::<u32>().unwrap() + 1);
    let broken = format!("{start},twleve").replacen("t1", "t9", 1);
    scratch.put(
        "more.csv",
        format!("{}{broken}\n", text.replacen(line, &other, 1)),
    );
    let added = archived(&scratch, &format!("add county more.csv {COLUMNS}"));
    let again = archived(&scratch, "judge county");
    compared("archive add", &[added]);
    compared("archive judge and archive gather", &[judged, again]);
    compared("archive describe", &[described]);
}
