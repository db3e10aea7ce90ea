//! Measures of clumping against published samples.

mod mean_interval;

use std::collections::BTreeMap;

use halfgreen_analysis::dispersion::{
    FrequencyTable, Pooling, common_k, crowding, goodness, index_of_dispersion, iwao,
    k_of_bliss_and_owen, morisita, negative_binomial_k, taylor,
};
use halfgreen_analysis::distributions::negative_binomial::draw;
use halfgreen_analysis::random::Generator;

fn frequencies(list: &[u64]) -> FrequencyTable {
    FrequencyTable::of_frequencies(list.iter().enumerate().map(|(x, &f)| (x as u64, f))).unwrap()
}

/// European red mites on apple leaves (Bliss & Fisher 1953, Biometrics 9, 176-200, table 1).
fn mites() -> FrequencyTable {
    frequencies(&[70, 38, 17, 10, 9, 3, 2, 1, 0])
}

fn close(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "{got} is not {want}");
}

/// Rows of a published table as text.
fn rows(path: &str) -> Vec<csv::StringRecord> {
    let path = format!("{}/../{path}", env!("CARGO_MANIFEST_DIR"));
    csv::Reader::from_path(path)
        .unwrap()
        .records()
        .map(Result::unwrap)
        .collect()
}

/// Counts gathered by a key, in the order of the keys.
fn places(counts: impl Iterator<Item = (String, u64)>) -> Vec<FrequencyTable> {
    let mut groups: BTreeMap<String, Vec<u64>> = BTreeMap::new();
    for (key, count) in counts {
        groups.entry(key).or_default().push(count);
    }
    groups
        .values()
        .map(|counts| FrequencyTable::of(counts).unwrap())
        .collect()
}

/// Published mean and k; the other digits recomputed with R's MASS and vegan.
#[test]
fn red_mites_by_every_measure() {
    let mites = mites();
    close(mites.mean, 1.146_667, 5e-7);
    close(mites.variance.unwrap(), 2.273_646_5, 5e-8);
    close(
        negative_binomial_k::by_moments(&mites).unwrap(),
        1.166_697_37,
        5e-9,
    );
    let fit = negative_binomial_k::by_likelihood(std::slice::from_ref(&mites), 0.95).unwrap();
    // Published: 1.02459.
    close(fit.k.unwrap(), 1.024_592_39, 5e-9);
    close(fit.se.unwrap(), 0.275_907, 5e-7);
    close(2.0 * fit.ln_likelihood, -444.874_307, 5e-7);
    assert!(fit.interval.low < 1.0246 && fit.interval.low > 0.5 && fit.interval.high < 2.2);
    let index = index_of_dispersion(&mites).unwrap();
    close(index.value, 295.441_860, 5e-7);
    close(index.p / 1.020_566e-11, 1.0, 1e-4);
    close(index.variance_to_mean, 1.982_831, 5e-7);
    close(index.green.unwrap(), 0.005_747_551_3, 5e-11);
    let lloyd = crowding(&mites).unwrap();
    close(lloyd.crowding, 2.129_498, 5e-7);
    close(lloyd.crowding_census, 2.116_279, 5e-7);
    close(lloyd.patchiness, 1.857_120, 5e-7);
    let pairs = morisita(&mites).unwrap();
    close(pairs.index, 1.856_385, 5e-7);
    close(pairs.chi2, index.value, 1e-9);
    close(pairs.standardised, 0.502_176_5, 5e-8);
}

#[test]
fn red_mites_fit_by_the_negative_binomial() {
    let mites = mites();
    let expected = [
        69.487_98, 37.599_87, 20.101_09, 10.702_63, 5.686_93, 3.018_11, 1.600_43, 0.848_17,
        0.954_79,
    ];
    let all = goodness(&mites, 1.024_592_39, 2, Pooling::From(8)).unwrap();
    for (class, want) in all.classes.iter().zip(expected) {
        close(class.expected, want, 1e-5);
    }
    for (from, chi2, df, p) in [
        (5, 2.490_356, 3, 0.477_037),
        (6, 2.510_611, 4, 0.642_737),
        (7, 2.920_164, 5, 0.712_293),
    ] {
        let fit = goodness(&mites, 1.024_592_39, 2, Pooling::From(from)).unwrap();
        close(fit.chi2, chi2, 1e-6);
        assert_eq!(fit.df, df);
        close(fit.p.unwrap(), p, 1e-6);
    }
    // By expectation: 4 leaves at 5.69, then 6.42 at 5 and more.
    let fit = goodness(&mites, 1.024_592_39, 2, Pooling::Expected(5.0)).unwrap();
    close(fit.chi2, 2.490_356, 1e-6);
}

/// Yeast cells ("Student" 1907, Biometrika 5, 351-360) and deaths by horse-kick (von Bortkiewicz 1898).
#[test]
fn counts_that_are_poisson() {
    let yeast = frequencies(&[103, 143, 98, 42, 8, 4, 2]);
    for (from, chi2, df, p) in [(5, 3.164_666, 4, 0.530_657), (6, 3.850_614, 5, 0.571_118)] {
        let fit = goodness(&yeast, f64::INFINITY, 1, Pooling::From(from)).unwrap();
        close(fit.chi2, chi2, 1e-6);
        assert_eq!(fit.df, df);
        close(fit.p.unwrap(), p, 1e-6);
    }
    let none = negative_binomial_k::by_likelihood(&[yeast], 0.95).unwrap();
    assert_eq!(
        (none.k, none.se, none.interval.high),
        (None, None, f64::INFINITY)
    );
    assert_eq!(none.cautions[0].code, "k-at-poisson-limit");
    let kicks = frequencies(&[109, 65, 22, 3, 1]);
    close(index_of_dispersion(&kicks).unwrap().value, 199.311_5, 5e-5);
    let fit = goodness(&kicks, f64::INFINITY, 1, Pooling::From(3)).unwrap();
    close(fit.chi2, 0.323_524, 1e-6);
    close(fit.p.unwrap(), 0.850_644, 1e-6);
    let grid = FrequencyTable::of_frequencies(
        rows("tests/published/student_yeast.csv")
            .iter()
            .filter(|r| &r[0] == "D")
            .map(|r| (r[1].parse().unwrap(), r[2].parse().unwrap())),
    )
    .unwrap();
    assert_eq!((grid.n, grid.total), (400, 1872));
    close(index_of_dispersion(&grid).unwrap().value, 380.991_5, 5e-5);
}

/// Corn borers, 120 hills a treatment (Beall 1940, Ecology 21, 460-474; Bliss & Fisher 1953, table 3).
#[test]
fn corn_borers() {
    let mut groups: BTreeMap<String, Vec<(u64, u64)>> = BTreeMap::new();
    for row in rows("tests/published/bliss_borers.csv") {
        groups
            .entry(row[1].to_string())
            .or_default()
            .push((row[0].parse().unwrap(), row[2].parse().unwrap()));
    }
    let groups: Vec<FrequencyTable> = groups
        .into_values()
        .map(|g| FrequencyTable::of_frequencies(g).unwrap())
        .collect();
    // (mean, k as published, k and its standard error by R's MASS).
    let want = [
        (4.033_333, 1.532, 1.502_889, 0.285_799),
        (3.166_667, 1.764, 1.760_488, 0.402_364),
        (1.483_333, 1.333, 1.333_131, 0.373_339),
        (1.508_333, 1.190, 1.153_522, 0.311_152),
    ];
    for (group, (mean, published, k, se)) in groups.iter().zip(want) {
        close(group.mean, mean, 5e-7);
        let fit = negative_binomial_k::by_likelihood(std::slice::from_ref(group), 0.95).unwrap();
        close(fit.k.unwrap(), k, 1e-5);
        close(fit.se.unwrap(), se, 1e-5);
        close(fit.k.unwrap() / published, 1.0, 0.04);
    }
    close(k_of_bliss_and_owen(&groups).unwrap(), 1.449_772, 5e-7);
    let common = common_k(&groups, 0.95).unwrap();
    close(common.k.unwrap(), 1.471_449_7, 1e-6);
    close(common.se.unwrap(), 0.173_768, 1e-6);
    close(2.0 * common.ln_likelihood, -1948.453, 5e-4);
}

/// Beet webworms, 52 plots of 25 units (Beall 1940, table 6), and insects after sprays (Beall 1942,
/// Biometrika 32, 243-262); ordinary least squares in R.
#[test]
fn variance_and_mean_over_places() {
    let plots = places(
        rows("tests/published/beall_webworms.csv")
            .iter()
            .map(|r| (format!("{}{}", &r[3], &r[4]), r[2].parse().unwrap())),
    );
    assert_eq!(plots.len(), 52);
    let power = taylor(&plots).unwrap();
    close(power.intercept, 0.102_228_2, 5e-8);
    close(power.slope, 1.129_167, 5e-7);
    close(power.slope_se.unwrap(), 0.045_679, 5e-7);
    close(power.r2.unwrap(), 0.924_363, 5e-7);
    let patchiness = iwao(&plots).unwrap();
    close(patchiness.intercept, 0.046_462_6, 5e-8);
    close(patchiness.slope, 1.234_974, 5e-7);
    close(patchiness.slope_se.unwrap(), 0.079_253, 5e-7);
    close(patchiness.r2.unwrap(), 0.829_247, 5e-7);
    close(k_of_bliss_and_owen(&plots).unwrap(), 3.439_559, 5e-7);
    let sprays = places(
        rows("data-examples/published/insect_sprays_beall1942.csv")
            .iter()
            .map(|r| (r[1].to_string(), r[0].parse().unwrap())),
    );
    let power = taylor(&sprays).unwrap();
    close(10_f64.powf(power.intercept), 1.178_544, 5e-7);
    close(power.slope, 1.099_422, 5e-7);
    close(power.slope_se.unwrap(), 0.191_185, 5e-7);
    assert!(power.cautions.iter().any(|c| c.code == "few-units-a-place"));
    let patchiness = iwao(&sprays).unwrap();
    close(patchiness.intercept, 0.236_545, 5e-7);
    close(patchiness.slope, 1.028_544, 5e-7);
}

#[test]
fn extremes_are_defined() {
    assert!(FrequencyTable::of(&[]).is_err());
    assert!(FrequencyTable::of(&[u64::MAX]).is_err());
    let zeros = FrequencyTable::of(&[0; 30]).unwrap();
    assert!(index_of_dispersion(&zeros).is_none() && crowding(&zeros).is_none());
    assert!(morisita(&zeros).is_none());
    assert!(goodness(&zeros, 1.0, 2, Pooling::Expected(5.0)).is_none());
    assert!(negative_binomial_k::by_likelihood(std::slice::from_ref(&zeros), 0.95).is_none());
    let single = FrequencyTable::of(&[7]).unwrap();
    assert_eq!(single.variance, None);
    assert!(index_of_dispersion(&single).is_none());
    assert_eq!(
        negative_binomial_k::by_likelihood(&[single], 0.95)
            .unwrap()
            .k,
        None
    );
    assert!(taylor(&[zeros.clone(), zeros]).is_none());
    // All the same: less variable than chance.
    let even = FrequencyTable::of(&[4; 20]).unwrap();
    assert_eq!(index_of_dispersion(&even).unwrap().p_regular, 0.0);
    let pairs = morisita(&even).unwrap();
    assert!(pairs.standardised < 0.0 && pairs.standardised >= -1.0);
    // One unit holds everything, a million of them.
    let mut heap = vec![0; 99];
    heap.push(1_000_000);
    let heap = FrequencyTable::of(&heap).unwrap();
    assert_eq!(morisita(&heap).unwrap().index, 100.0);
    close(morisita(&heap).unwrap().standardised, 1.0, 1e-12);
    let fit = negative_binomial_k::by_likelihood(std::slice::from_ref(&heap), 0.95).unwrap();
    let k = fit.k.unwrap();
    assert!(
        k > 1e-4 && k < 0.01 && fit.interval.low < k && fit.interval.high > k,
        "{fit:?}"
    );
    assert!(
        goodness(&heap, k, 2, Pooling::Expected(5.0))
            .unwrap()
            .chi2
            .is_finite()
    );
}

#[test]
fn k_is_found_again_over_its_whole_range() {
    for (mean, k) in [
        (5.0, 1e-2),
        (20.0, 0.3),
        (2.0, 3.0),
        (1e5, 8.0),
        (50.0, 100.0),
    ] {
        let mut g = Generator::new(5, 0);
        let counts: Vec<u64> = (0..4000).map(|_| draw(&mut g, mean, k)).collect();
        let fit =
            negative_binomial_k::by_likelihood(&[FrequencyTable::of(&counts).unwrap()], 0.999)
                .unwrap();
        assert!(fit.interval.contains(k), "{mean} {k}: {fit:?}");
        // The interval and the standard error tell the same story for a large sample.
        let width = (fit.interval.high - fit.interval.low) / (2.0 * 3.2905 * fit.se.unwrap());
        assert!((width - 1.0).abs() < 0.1, "{mean} {k}: {width}");
    }
}
