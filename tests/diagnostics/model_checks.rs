//! Residuals, checks by simulation, zero inflation, leverage, plots left out.

use halfgreen_analysis::comparison::{
    Better, Call, PlotTable, PreparedTest, PrimaryTest, Question, Settings, compare,
};
use halfgreen_analysis::counts::{Factor, Family, ModelMatrix, fit, score_test};
use halfgreen_analysis::diagnostics::{
    deletion_candidates, leave_one_out, leverage, normality, quantile_limits, quantile_residuals,
    simulated_checks, zero_inflation,
};
use halfgreen_analysis::random::Generator;

use crate::closeness::close;
use crate::closeness::rows::Rows;
use crate::comparison::pairs;
use crate::reference::Table;

/// Fails unless our answer is as close to the one of other software as its row asks.
#[track_caller]
fn meet(case: &str, quantity: &str, ours: f64) {
    Rows::read("doubt").row(case, quantity).meet(ours);
}

fn sprays() -> (Vec<u64>, ModelMatrix) {
    let table = Table::read("data-examples/published/insect_sprays_beall1942.csv");
    let spray = Factor::from_labels("treatment", &table.text("spray"), Some("C"));
    let counts = table.counts("count");
    let matrix = ModelMatrix::with_intercept(counts.len()).factor(&spray);
    (counts, matrix.build().unwrap())
}

#[test]
fn chances_about_a_count() {
    let rows = Rows::read("doubt");
    let limits = rows.of("limits");
    for row in &limits {
        let parts: Vec<&str> = row.quantity.split('|').collect();
        let number = |i: usize| parts[i].parse::<f64>().unwrap();
        let (low, high) = quantile_limits(parts[0].parse().unwrap(), number(1), 1.0 / number(2));
        row.meet_above(1.0, if parts[3] == "below" { low } else { high });
    }
    assert_eq!(limits.len(), 120);
}

#[test]
fn residuals_lie_between_their_limits() {
    let (counts, matrix) = sprays();
    let found = fit(&counts, &vec![0.0; 72], &matrix, Family::NegativeBinomial).unwrap();
    let residuals = quantile_residuals(
        &counts,
        &found.means,
        found.inverse_k(),
        &mut Generator::new(3, 0),
    );
    for ((&y, &m), r) in counts.iter().zip(&found.means).zip(&residuals) {
        let (low, high) = quantile_limits(y, m, found.inverse_k());
        let place = 1.0 - halfgreen_analysis::distributions::normal_sf(*r);
        assert!(low - 1e-12 <= place && place <= high + 1e-12);
    }
}

#[test]
fn straightness_of_known_heights() {
    let heights: Vec<f64> = Table::read("data-examples/published/darwin_maize.csv")
        .text("height")
        .iter()
        .map(|h| h.parse().unwrap())
        .collect();
    let found = normality(&heights).unwrap();
    meet("darwin_maize", "n", heights.len() as f64);
    meet("darwin_maize", "w", found.w);
    meet("darwin_maize", "p", found.p.unwrap());
    assert_eq!(normality(&[1.0, 2.0]), None);
    assert_eq!(normality(&[4.0; 9]), None);
}

#[test]
fn leverages_of_the_sprays() {
    let (counts, matrix) = sprays();
    let found = fit(&counts, &vec![0.0; 72], &matrix, Family::NegativeBinomial).unwrap();
    let all = leverage(&matrix, &found);
    for i in [1, 20, 30, 72] {
        let name = format!("leverage.{i}");
        meet("insect_sprays", &name, all[i - 1]);
    }
    close("sum", all.iter().sum(), 6.0, 1e-9);
}

#[test]
fn zeros_of_another_kind() {
    let (counts, matrix) = sprays();
    let offset = vec![0.0; counts.len()];
    let plain = fit(&counts, &offset, &matrix, Family::NegativeBinomial).unwrap();
    let found = zero_inflation(&counts, &offset, &matrix, &plain).unwrap();
    let case = "zero_insect_sprays";
    meet(case, "nb.log_likelihood", plain.log_likelihood);
    meet(case, "zinb.log_likelihood", found.log_likelihood);
    meet(case, "zinb.k", found.k.unwrap());

    let mut made = vec![0; 30];
    made.extend([
        9, 12, 7, 15, 11, 8, 10, 14, 6, 13, 9, 12, 5, 18, 10, 11, 7, 16, 8, 12,
    ]);
    let matrix = ModelMatrix::with_intercept(50).build().unwrap();
    let offset = vec![0.0; 50];
    let plain = fit(&made, &offset, &matrix, Family::NegativeBinomial).unwrap();
    let found = zero_inflation(&made, &offset, &matrix, &plain).unwrap();
    meet("zero_made", "nb.log_likelihood", plain.log_likelihood);
    meet("zero_made", "zinb.log_likelihood", found.log_likelihood);
    meet("zero_made", "zinb.share", found.share);
    assert!(found.p < 1e-6, "{found:?}");
}

#[test]
fn a_model_passes_its_own_checks_and_fails_those_of_another() {
    let mut random = Generator::new(11, 0);
    let clumped: Vec<u64> = (0..60)
        .map(|i| {
            let mean = if i % 2 == 0 { 8.0 } else { 3.0 };
            halfgreen_analysis::distributions::negative_binomial::draw(&mut random, mean, 0.7)
        })
        .collect();
    let labels: Vec<&str> = (0..60).map(|i| ["C", "S"][i % 2]).collect();
    let treatment = Factor::from_labels("treatment", &labels, Some("C"));
    let matrix = ModelMatrix::with_intercept(60)
        .factor(&treatment)
        .build()
        .unwrap();
    let offset = vec![0.0; 60];
    let check = |family| {
        let found = fit(&clumped, &offset, &matrix, family).unwrap();
        simulated_checks(&clumped, &offset, &matrix, &found, 199, 5).unwrap()
    };
    let own = check(Family::NegativeBinomial);
    assert!(
        own.dispersion.p.value > 0.05 && own.zeros.p.value > 0.05,
        "{own:?}"
    );
    let other = check(Family::Poisson);
    assert_eq!(other.dispersion.p.value, 0.01);
    assert_eq!(other.zeros.p.value, 0.01);
    assert_eq!(
        own,
        check(Family::NegativeBinomial),
        "the seed fixes every figure"
    );
}

#[test]
fn nothing_found_and_nothing_left_over() {
    let zeros = vec![0; 8];
    let offset = vec![0.0; 8];
    let matrix = ModelMatrix::with_intercept(8).build().unwrap();
    let found = fit(&zeros, &offset, &matrix, Family::NegativeBinomial).unwrap();
    let checks = simulated_checks(&zeros, &offset, &matrix, &found, 99, 1).unwrap();
    assert_eq!((checks.zeros.observed, checks.zeros.p.value), (8.0, 1.0));
    assert_eq!(
        zero_inflation(&zeros, &offset, &matrix, &found)
            .unwrap()
            .gain,
        0.0
    );
    assert_eq!(leverage(&matrix, &found), vec![0.0; 8]);
    let labels = ["C", "S"];
    let pair = ModelMatrix::with_intercept(2)
        .factor(&Factor::from_labels("treatment", &labels, None))
        .build()
        .unwrap();
    let found = fit(&[4, 1], &[0.0; 2], &pair, Family::NegativeBinomial).unwrap();
    assert!(simulated_checks(&[4, 1], &[0.0; 2], &pair, &found, 99, 1).is_err());
}

/// Pairs of (control, treated) counts, whatever their number judged by the model.
fn modelled(counts: &[(u64, u64)]) -> (PlotTable, Settings) {
    let (table, settings) = pairs(counts);
    let primary_test = Some(PrimaryTest::Model);
    let settings = Settings {
        primary_test,
        ..settings
    };
    (table, settings)
}

const HALF: Question = Question {
    alpha: 0.05,
    better: Better::Fewer,
    worthwhile_ratio: 0.5,
};

fn every(table: &PlotTable) -> Vec<usize> {
    (0..table.counts.len()).collect()
}

/// Of a large table the few plots that could carry a verdict are left out, among them the one that lies far off.
#[test]
fn the_farthest_plots_of_a_large_table_are_left_out() {
    let mut counts: Vec<u64> = (0..3_000).map(|i| 5 + i * i % 4).collect();
    counts[1_234] = 400;
    let matrix = ModelMatrix::with_intercept(3_000).build().unwrap();
    let plain = fit(
        &counts,
        &vec![0.0; 3_000],
        &matrix,
        Family::NegativeBinomial,
    )
    .unwrap();
    let out = deletion_candidates(&counts, &plain, 1);
    assert_eq!(out.len(), 6);
    assert!(out.contains(&1_234));
    // However many treatments there are, some plots are.
    assert_eq!(deletion_candidates(&counts, &plain, 40).len(), 5);
    // Small tables lose every plot once.
    let (few, matrix) = sprays();
    let plain = fit(&few, &[0.0; 72], &matrix, Family::NegativeBinomial).unwrap();
    assert_eq!(
        deletion_candidates(&few, &plain, 5),
        (0..72).collect::<Vec<_>>()
    );
}

/// Leaving a plot of a pair out must give what the trial without that pair gives.
#[test]
fn a_plot_takes_its_partner_along() {
    let counts = [(20, 9), (14, 8), (31, 12), (9, 6), (17, 40)];
    let (table, settings) = modelled(&counts);
    let all = leave_one_out(&table, &[], &HALF, &settings, &every(&table)).unwrap();
    assert_eq!(all.len(), 10);
    assert_eq!(all[8].without, vec![8, 9]);
    let (rest, rest_settings) = modelled(&counts[..4]);
    let direct = compare(&rest, &HALF, &rest_settings).unwrap();
    let without = all[9].contrasts.as_ref().unwrap();
    close(
        "ratio",
        without[0].ratio.unwrap(),
        direct.contrasts[0].ratio.unwrap(),
        1e-6,
    );
    close("p", without[0].p, direct.contrasts[0].p_model, 1e-6);
    assert_eq!(without[0].call, Call::BeatTheControl);
    let whole = compare(&table, &HALF, &settings).unwrap();
    assert_eq!(whole.contrasts[0].call, Call::CannotTell);
    let (one, settings) = modelled(&[(3, 1)]);
    assert!(
        leave_one_out(&one, &[], &HALF, &settings, &every(&one))
            .unwrap()
            .iter()
            .all(|l| l.contrasts.is_none())
    );
}

/// The calls without intervals must be those with them.
#[test]
fn calls_alone_are_those_of_the_comparison() {
    let mut random = Generator::new(8, 0);
    let mut seen = [0; 4];
    for trial in 0..120_u32 {
        let ratio = [1.0, 0.5, 0.2, 2.5][(trial % 4) as usize];
        let mean = [3.0, 15.0, 60.0][(trial % 3) as usize];
        let mut draw =
            |m| halfgreen_analysis::distributions::negative_binomial::draw(&mut random, m, 4.0);
        let counts: Vec<(u64, u64)> = (0..4 + trial % 5)
            .map(|_| (draw(mean), draw(mean * ratio)))
            .collect();
        let (table, mut settings) = modelled(&counts);
        if trial % 2 == 0 && counts.len() > 6 {
            settings.primary_test = Some(PrimaryTest::Randomisation);
        }
        let whole = compare(&table, &HALF, &settings)
            .unwrap()
            .contrasts
            .remove(0);
        let screen = PreparedTest::new(table.clone(), HALF, settings).unwrap();
        let alone = screen.evaluate().unwrap().remove(0);
        assert_eq!(
            (alone.ratio, alone.call),
            (whole.ratio, whole.call),
            "{counts:?}"
        );
        assert_eq!(screen.call(&table.counts).unwrap().calls, [alone.call]);
        seen[alone.call as usize] += 1;
    }
    assert!(seen.iter().all(|&n| n > 0), "{seen:?}");
}

/// Rao's test against R's `anova(..., test = "Rao")`, k that of the smaller model.
#[test]
fn score_tests_of_the_sprays() {
    let (counts, matrix) = sprays();
    let offset = vec![0.0; 72];
    let base = ModelMatrix::with_intercept(72).build().unwrap();
    for (family, name) in [
        (Family::Poisson, "poisson"),
        (Family::NegativeBinomial, "nb"),
    ] {
        let null = fit(&counts, &offset, &base, family).unwrap();
        let found = score_test(&counts, &matrix, &null).unwrap();
        let quantity = format!("{name}.score");
        meet("insect_sprays", &quantity, found.statistic);
        assert_eq!(found.df, 5);
    }
}
