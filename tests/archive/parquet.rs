//! Tables kept as Parquet give the answers of the same table as CSV.
#![expect(
    clippy::disallowed_types,
    reason = "the Parquet file is made here, by the library that reads it"
)]

use polars::prelude::{CsvReader, ParquetWriter, SerReader};

use crate::scratch::Scratch;

#[test]
fn parquet_and_csv_are_judged_alike() {
    let scratch = Scratch::empty();
    let csv = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../data-examples/published/cochran_wireworms.csv"
    );
    let mut table = CsvReader::new(std::fs::File::open(csv).unwrap())
        .finish()
        .unwrap();
    let kept = scratch.path("worms.parquet");
    ParquetWriter::new(std::fs::File::create(&kept).unwrap())
        .finish(&mut table)
        .unwrap();
    let judged = |file: &str| {
        let columns = ["--count", "worms", "--treatment", "trt", "--control", "O"];
        let mut words = vec![
            "judge", "--json", "--counts", file, "--row", "row", "--column", "col",
        ];
        words.extend(columns);
        let run = scratch.run(&words);
        assert_eq!(run.code(), Some(0), "{}", run.err());
        run.out()
    };
    assert_eq!(judged("worms.parquet"), judged(csv));
}

#[test]
fn a_damaged_parquet_file_is_refused() {
    let scratch = Scratch::empty();
    scratch.put("bad.parquet", "this is no table");
    let run = scratch.run(&["describe", "bad.parquet", "--count", "y"]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err().contains("cannot be read as a Parquet table"),
        "{}",
        run.err()
    );
}
