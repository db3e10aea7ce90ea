//! Fits and tests of counts: plain maximum likelihood, random blocks, randomisation tests.
//!
//! Data sets as in `tests/reference/data`, so that other software can be timed on the same rows.
#![expect(clippy::expect_used, reason = "a bench without its data should stop")]

use divan::Bencher;
use halfgreen_analysis::counts::{Factor, Family, ModelMatrix, fit};
use halfgreen_analysis::mixed::block::{POINTS, RandomBlock};
use halfgreen_analysis::mixed::laplace::RandomEffects;
use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme, max_t};

fn main() {
    divan::main();
}

struct Data {
    counts: Vec<u64>,
    treatment: Factor,
    block: Factor,
}

fn data(file: &str) -> Data {
    let path = format!(
        "{}/../tests/reference/data/{file}",
        env!("CARGO_MANIFEST_DIR")
    );
    let mut reader = csv::Reader::from_path(path).expect("the data set is in the repository");
    let at = |header: &csv::StringRecord, name: &str| header.iter().position(|h| h == name);
    let header = reader.headers().expect("a header").clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    let column = |name: &str| -> Vec<String> {
        let at = at(&header, name).expect("the column");
        rows.iter().map(|r| r[at].to_owned()).collect()
    };
    Data {
        counts: column("y")
            .iter()
            .map(|y| y.parse().expect("a count"))
            .collect(),
        treatment: Factor::from_labels("treatment", &column("trt"), Some("1")),
        block: Factor::from_labels("block", &column("block"), None),
    }
}

#[divan::bench(args = ["nb_glm_n24.csv", "nb_glm_n240.csv", "nb_glm_n2400.csv"])]
fn negative_binomial(bencher: Bencher<'_, '_>, file: &str) {
    let data = data(file);
    let rows = data.counts.len();
    let matrix = ModelMatrix::with_intercept(rows)
        .factor(&data.block)
        .factor(&data.treatment)
        .build()
        .expect("full rank");
    let offset = vec![0.0; rows];
    bencher.bench(|| fit(&data.counts, &offset, &matrix, Family::NegativeBinomial));
}

#[divan::bench(args = ["nb_glmm_n24.csv", "nb_glmm_n240.csv"])]
fn random_block_by_quadrature(bencher: Bencher<'_, '_>, file: &str) {
    let data = data(file);
    let rows = data.counts.len();
    let matrix = ModelMatrix::with_intercept(rows)
        .factor(&data.treatment)
        .build()
        .expect("rank");
    let offset = vec![0.0; rows];
    bencher.bench(|| {
        RandomBlock::<POINTS>::new(&data.counts, &offset, &matrix, &data.block.codes)
            .map(|model| model.fit(None, None, false))
    });
}

#[divan::bench(args = ["nb_glmm_n24.csv", "nb_glmm_n240.csv"])]
fn random_block_by_laplace(bencher: Bencher<'_, '_>, file: &str) {
    let data = data(file);
    let rows = data.counts.len();
    let matrix = ModelMatrix::with_intercept(rows)
        .factor(&data.treatment)
        .build()
        .expect("rank");
    let offset = vec![0.0; rows];
    let terms = [data.block.codes.clone()];
    bencher.bench(|| {
        RandomEffects::new(&data.counts, &offset, &matrix, &terms)
            .map(|model| model.fit(None, None, false))
    });
}

fn blocks_of_three() -> (Vec<f64>, Vec<usize>, Scheme) {
    let counts = [
        9, 5, 5, 4, 13, 7, 3, 11, 1, 2, 0, 4, 2, 2, 3, 5, 3, 8, 5, 0, 7, 13, 7, 5,
    ];
    let labels = (0..24).map(|i| i % 3).collect();
    let block: Vec<usize> = (0..24).map(|i| i / 3).collect();
    (
        counts.map(f64::from).to_vec(),
        labels,
        Scheme::blocks(&block),
    )
}

#[divan::bench]
fn hundred_thousand_allocations(bencher: Bencher<'_, '_>) {
    let (scores, labels, scheme) = blocks_of_three();
    let settings = RandomisationSettings {
        limit: 0,
        draws: 100_000,
        seed: 1,
    };
    bencher.bench(|| max_t(&scores, &labels, &[1, 2], &scheme, &settings));
}

#[divan::bench]
fn all_1679616_allocations(bencher: Bencher<'_, '_>) {
    let (scores, labels, scheme) = blocks_of_three();
    let settings = RandomisationSettings {
        limit: 2_000_000,
        draws: 0,
        seed: 1,
    };
    bencher.bench(|| max_t(&scores, &labels, &[1, 2], &scheme, &settings));
}
