//! What is carried over from past trials.

use halfgreen::next_season::carry::{from_past, read_results};

pub(super) const RESULTS: &str = r#"{"halfgreen":"0.1.0","command":"judge","result":{
 "model":{"k":2.5,"k_se":1.25,"coefficients":[
  {"term":"(intercept)","estimate":2.0,"se":0.3},
  {"term":"block[2]","estimate":0.5,"se":0.2},{"term":"block[3]","estimate":-0.7,"se":0.2},
  {"term":"block[4]","estimate":0.9,"se":0.2},{"term":"treatment[B]","estimate":-1.0,"se":0.3}]},
 "means":[{"treatment":"A","mean":6.0,"low":3.0,"high":12.0},{"treatment":"B","mean":2.0,"low":1.0,"high":4.0}],
 "contrasts":[{"treatment":"B","control":"A"}]}}"#;

#[test]
fn results_become_knowledge() {
    let past = read_results("results.json", RESULTS, None).unwrap();
    assert_eq!((past.mean, past.k.value, past.k.se), (6.0, 2.5, 1.25));
    // Levels 0, 0.5, -0.7, 0.9: variance 1.4275 / 3, less half the squared error, 0.02.
    let spread = past.block_sd.unwrap().value;
    assert!(
        (spread - (1.4275_f64 / 3.0 - 0.02).sqrt()).abs() < 1e-12,
        "{spread}"
    );
    let known = from_past(&[past], 0.0).unwrap();
    assert!(
        (known.centre().k_plot - 2.5).abs() < 1e-12 && (known.ln_k_plot.se - 0.5).abs() < 1e-12
    );
    let pooled = from_past(&[past, past], 0.0).unwrap();
    assert!(pooled.ln_k_plot.se < known.ln_k_plot.se);
}

#[test]
fn counts_at_the_poisson_limit_and_broken_files() {
    let poisson = RESULTS.replace("\"k\":2.5,\"k_se\":1.25", "\"k\":null,\"k_se\":null");
    let past = read_results("results.json", &poisson, None).unwrap();
    assert!(
        from_past(&[past], 0.0)
            .unwrap()
            .centre()
            .k_plot
            .is_infinite()
    );
    assert!(
        read_results("results.json", "{", None)
            .unwrap_err()
            .place
            .starts_with("results.json:1")
    );
    assert!(
        read_results("results.json", "{}", None)
            .unwrap_err()
            .what
            .contains('k')
    );
    assert!(from_past(&[], 0.0).is_err());
}

#[test]
fn means_per_square_metre_become_means_per_core() {
    let per = RESULTS.replace("\"model\":", "\"per\":\"m2\",\"dispersion\":{\"k\":2.0,\"block_sd\":[0.5]},\"units\":{\"blocks\":9},\"model\":");
    let past = read_results("results.json", &per, Some(0.01)).unwrap();
    assert!((past.mean - 0.06).abs() < 1e-12 && past.k.value == 2.0 && past.k.se == 1.0);
    // Nine blocks: the error of a standard deviation is a quarter of itself.
    assert!((past.block_sd.unwrap().se - 0.125).abs() < 1e-12);
    assert!(
        read_results("results.json", &per, None)
            .unwrap_err()
            .cure
            .contains("folder")
    );
}
