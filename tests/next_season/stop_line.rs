//! Lines, card and pictures.

use halfgreen::scouting::card::{page, sentences};
use halfgreen::scouting::pictures::{
    average_sample_number, operating_characteristic, stop_line_chart, stop_line_data,
};
use halfgreen::scouting::stop_line::{Kind, StopLineRequest, stop_lines};
use halfgreen::scouting::survey_size::{Areas, survey_size};
use halfgreen_analysis::power::survey::{Precision, VarianceLaw};

use crate::drawing::lettering_is_inside;

fn request(kind: Kind) -> StopLineRequest {
    StopLineRequest {
        kind,
        low: 1.0,
        high: 2.0,
        law: VarianceLaw::NegativeBinomial { k: 1.5 },
        alpha: 0.1,
        beta: 0.1,
        precision: 0.25,
        most: 40,
        tally: None,
    }
}

#[test]
fn the_card_says_what_to_do() {
    let answer = stop_lines(request(Kind::Sprt)).unwrap();
    // Slope 1.415037, intercepts -+6.160300: after 6 cores 2.33 and 14.65.
    let said = sentences(&answer);
    assert!(
        said.contains(
            &"After 6 cores: 2 or fewer: stop, clean; 15 or more: stop, act; between, go on."
                .to_owned()
        ),
        "{said:?}"
    );
    assert!(
        said.last().unwrap().contains("56 or fewer counts as clean"),
        "{said:?}"
    );
    assert!(page(&answer).unwrap().contains("random order"));
    let one = StopLineRequest {
        most: 1,
        ..request(Kind::Sprt)
    };
    let last = sentences(&stop_lines(one).unwrap());
    assert!(last.concat().starts_with("After 1 core stop"), "{last:?}");
    let page = page(&answer).unwrap();
    assert!(page.contains("<table>") && page.contains("<svg"));
}

#[test]
fn means_shown_meet_both_levels_and_the_curve_falls() {
    let answer = stop_lines(request(Kind::Sprt)).unwrap();
    let at = |mean: f64| {
        answer
            .oc
            .iter()
            .find(|p| p.mean == mean)
            .unwrap()
            .probability
    };
    assert!(at(1.0) > 0.85 && at(2.0) < 0.15, "{:?}", answer.oc);
    assert!(
        answer
            .oc
            .windows(2)
            .all(|w| w[1].probability <= w[0].probability + 1e-9)
    );
    assert_eq!(answer.oc.len(), answer.asn.len());
}

#[test]
fn a_short_plan_owns_up() {
    let short = StopLineRequest {
        most: 8,
        ..request(Kind::Sprt)
    };
    let answer = stop_lines(short).unwrap();
    assert!(
        answer
            .cautions
            .iter()
            .any(|c| c.code == "error-rates-not-kept")
    );
}

#[test]
fn precision_plan_leaves_out_lines_that_do_not_exist() {
    let answer = stop_lines(request(Kind::Green)).unwrap();
    // beta - 1 = 1/1.5, over D^2 = 0.0625: none up to 10.
    assert!(answer.lines[9].upper.is_none() && answer.lines[10].upper.is_some());
    assert!(answer.cautions.iter().any(|c| c.code == "no-line-yet"));
    assert!(
        answer
            .oc
            .iter()
            .all(|p| (0.0..=1.0).contains(&p.probability))
    );
}

#[test]
fn every_kind_draws_with_words() {
    for kind in [Kind::Sprt, Kind::Iwao, Kind::Green] {
        let answer = stop_lines(request(kind)).unwrap();
        let data = stop_line_data(&answer);
        assert!(!data.rows.is_empty() && data.csv().unwrap().starts_with("cores counted,"));
        for svg in [
            stop_line_chart(&answer).unwrap(),
            operating_characteristic(&answer).unwrap(),
            average_sample_number(&answer).unwrap(),
        ] {
            assert!(svg.contains("<title id=") && svg.contains("<desc id="));
            assert!(svg.ends_with("</svg>\n"));
            lettering_is_inside("stop lines", &svg);
        }
    }
    let tally = StopLineRequest {
        tally: Some(1),
        ..request(Kind::Sprt)
    };
    let marked = stop_lines(tally).unwrap();
    assert!(page(&marked).unwrap().contains("more than 1"));
    let said = sentences(&marked);
    assert!(
        !said.iter().any(|s| s.starts_with("After 1 core:")),
        "{said:?}"
    );
}

#[test]
fn requests_that_no_line_meets_are_refused() {
    for bad in [
        StopLineRequest {
            low: 2.0,
            high: 1.0,
            ..request(Kind::Sprt)
        },
        StopLineRequest {
            alpha: 0.0,
            ..request(Kind::Iwao)
        },
        StopLineRequest {
            precision: 0.0,
            ..request(Kind::Green)
        },
        StopLineRequest {
            most: 0,
            ..request(Kind::Sprt)
        },
        StopLineRequest {
            law: VarianceLaw::NegativeBinomial { k: 0.0 },
            ..request(Kind::Sprt)
        },
    ] {
        assert!(stop_lines(bad).is_err(), "{bad:?}");
    }
}

#[test]
fn survey_of_a_small_green() {
    let law = VarianceLaw::NegativeBinomial { k: 1.5 };
    let size = survey_size(law, 1.0, Precision::StandardError(0.25), None).unwrap();
    assert_eq!(size.cores, 27);
    assert!(size.standard_error <= 0.25);
    let areas = Areas {
        green_m2: 0.5,
        core_m2: 0.01,
    };
    let small = survey_size(law, 1.0, Precision::StandardError(0.25), Some(areas)).unwrap();
    assert!(small.cores < 27);
}
