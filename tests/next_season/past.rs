//! What is carried over from past trials.

use halfgreen::intake::{Columns, read_columns};
use halfgreen::judgement::{Judgement, judge};
use halfgreen::next_season::after_trial::outcomes;
use halfgreen::next_season::parameter_uncertainty::from_past;
use halfgreen::next_season::past_results::read_results;
use halfgreen::next_season::past_trial::PastTrial;
use halfgreen::trial_data::{TableQuestion, data_from_table};
use halfgreen_analysis::comparison::{Better, Question};

pub(super) const RESULTS: &str = r#"{"halfgreen":"0.1.0","command":"judge","result":{
 "model":{"k":2.5,"k_se":1.25,"coefficients":[
  {"term":"(intercept)","estimate":2.0,"se":0.3},
  {"term":"block[2]","estimate":0.5,"se":0.2},{"term":"block[3]","estimate":-0.7,"se":0.2},
  {"term":"block[4]","estimate":0.9,"se":0.2},{"term":"treatment[B]","estimate":-1.0,"se":0.3}]},
 "means":[{"treatment":"A","mean":6.0,"low":3.0,"high":12.0},{"treatment":"B","mean":2.0,"low":1.0,"high":4.0}],
 "contrasts":[{"treatment":"B","control":"A"}]}}"#;

#[test]
fn results_become_knowledge() {
    let (kept, lacking) = read_results("results.json", RESULTS, None).unwrap();
    let past = kept.trial;
    // They hold neither an error rate nor a model with random blocks, and that is said.
    assert_eq!(lacking.len(), 2);
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
    let past = read_results("results.json", &poisson, None)
        .unwrap()
        .0
        .trial;
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
    for alpha in ["-0.5", "1.5", "5e300"] {
        let wild = RESULTS.replace("\"result\":{", &format!("\"result\":{{\"alpha\":{alpha},"));
        let refused = read_results("results.json", &wild, None).unwrap_err();
        assert!(refused.what.contains("their error rate"), "{refused}");
    }
    assert!(from_past(&[], 0.0).is_err());
}

#[test]
fn means_per_square_metre_become_means_per_core() {
    let per = RESULTS.replace("\"model\":", "\"per\":\"m2\",\"dispersion\":{\"k\":2.0,\"block_sd\":[0.5]},\"units\":{\"blocks\":9},\"model\":");
    let past = read_results("results.json", &per, Some(0.01))
        .unwrap()
        .0
        .trial;
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

/// Six blocks of clumped counts, judged at an error rate.
fn judged(alpha: f64) -> Judgement {
    let rows = "block,treatment,count\n1,bare,9\n1,sheet,3\n2,bare,44\n2,sheet,2\n3,bare,4\n3,sheet,9\n\
                4,bare,61\n4,sheet,6\n5,bare,2\n5,sheet,0\n6,bare,1\n6,sheet,17\n";
    let columns = Columns {
        count: "count".to_owned(),
        treatment: "treatment".to_owned(),
        control: "bare".to_owned(),
        block: Some("block".to_owned()),
        row: None,
        column: None,
        plot: None,
        before: None,
        area: None,
    };
    let table = read_columns("six.csv", rows, &columns).unwrap();
    let asked = TableQuestion {
        question: Question {
            alpha,
            better: Better::Fewer,
            worthwhile_ratio: 0.5,
        },
        randomised: true,
        verdict_about: None,
        seed: 1,
    };
    judge(&data_from_table(&table, &asked).unwrap(), 1)
        .unwrap()
        .0
}

#[test]
fn a_judgement_at_hand_teaches_what_its_file_teaches() {
    for alpha in [0.05, 0.1] {
        let judgement = judged(alpha);
        let at_hand = PastTrial::of(&judgement, 0.01).unwrap();
        let text = serde_json::to_string(&judgement).unwrap();
        let (kept, lacking) = read_results("results.json", &text, Some(0.01)).unwrap();
        assert!(lacking.is_empty(), "{lacking:?}");
        assert_eq!(kept.outcomes, outcomes(&judgement));
        let kept = kept.trial;
        // A number that went through text may end one digit in the sixteenth place off.
        let near = |a: f64, b: f64| a.is_finite() && (a - b).abs() <= 1e-14 * a.abs();
        assert!(near(at_hand.mean, kept.mean) && near(at_hand.k.value, kept.k.value));
        assert!(near(at_hand.k.se, kept.k.se));
        assert!(near(at_hand.mean_se.unwrap(), kept.mean_se.unwrap()));
        let (a, b) = (at_hand.block_sd.unwrap(), kept.block_sd.unwrap());
        assert!(near(a.value, b.value) && near(a.se, b.se));
    }
}

#[test]
fn the_error_of_a_mean_follows_from_the_level_of_its_interval() {
    // Normal quantiles of 0.975 and 0.95: NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.1.
    for (alpha, critical) in [(0.05, 1.959_964), (0.1, 1.644_854)] {
        let judgement = judged(alpha);
        let past = PastTrial::of(&judgement, 1.0).unwrap();
        let bare = &judgement.means[0];
        let log_se = (bare.high.unwrap() / bare.low.unwrap()).ln() / (2.0 * critical);
        let found = past.mean_se.unwrap() / past.mean;
        assert!(
            (found / log_se - 1.0).abs() < 1e-6,
            "{alpha}: {found} {log_se}"
        );
    }
}
