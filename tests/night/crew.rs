//! Hours and people by hand, and against another program.

use halfgreen::night::crew::{
    Basis, Hours, Limits, NightRecord, Rates, Task, Work, hours, manned, read_nights,
};

const WORK: Work = Work {
    sheet_m2: 350.0,
    strips: 10,
    weights: Some(40),
    plots: 8,
};

const RATES: Rates = Rates {
    lay_per_100_m2: Some(20.0),
    weigh_per_weight: Some(1.5),
    lift_per_100_m2: Some(30.0),
    count_per_plot: Some(6.0),
    clear_per_100_m2: Some(15.0),
    dry_per_100_m2: Some(40.0),
};

const NIGHTS: &str = "date,sheet_m2,strips,people,lay_min,weigh_min,lift_min,count_min,clear_min,dry_min,note\n\
    2026-09-01,140,8,2,26,20,15,30,10,25,\n2026-09-02,575,7,3,43.666666666667,40,30,30,25,60,wet\n2026-09-03,300,6,4,20,,20,30,15,30,\n\
    2026-09-04,210,12,1,83,30,40,60,30,50,\n2026-09-05,420,9,2,59,35,40,30,30,70,\n";

fn lay(found: &Hours) -> halfgreen::night::crew::TaskMinutes {
    found.tasks[0]
}

#[test]
fn hours_at_the_clubs_own_rates_by_hand() {
    let found = hours(&WORK, &RATES, &[]);
    // 70 to lay, 60 to weigh, 105 to lift, 48 to count, 52.5 to clear, 140 to dry.
    assert_eq!(found.person_minutes, Some(475.5));
    assert_eq!((found.low, found.unknown()), (None, vec![]));
    assert_eq!(lay(&found).basis, Some(Basis::Rate));
    let nothing = hours(&WORK, &Rates::default(), &[]);
    assert_eq!(
        (nothing.person_minutes, nothing.unknown()),
        (None, Task::ALL.to_vec())
    );
}

/// numpy 2 and scipy: least squares of the person-minutes of laying (52, 131, 80, 83, 118) on square metres and strips without an
/// intercept, and the interval of a new night of 350 m2 and 10 strips.
#[test]
fn five_nights_are_fitted_on_square_metres_and_strips() {
    let nights = read_nights("nights.csv", NIGHTS).unwrap();
    let found = lay(&hours(&WORK, &Rates::default(), &nights));
    assert_eq!(found.basis, Some(Basis::Regression { nights: 5, df: 3 }));
    let close = |got: Option<f64>, want: f64| (got.unwrap() - want).abs() < 1e-6;
    assert!(close(found.person_minutes, 102.713_290_981_4), "{found:?}");
    assert!(
        close(found.low, 86.843_633_249_8) && close(found.high, 118.582_948_713),
        "{found:?}"
    );
    // On the square metres alone, where strips cannot be told apart from them.
    let alike: Vec<NightRecord> = nights
        .iter()
        .map(|n| NightRecord {
            strips: n.sheet_m2 / 50.0,
            ..n.clone()
        })
        .collect();
    let alone = lay(&hours(&WORK, &Rates::default(), &alike));
    assert_eq!(alone.basis, Some(Basis::Regression { nights: 5, df: 4 }));
    assert!(close(alone.person_minutes, 91.956_941_238_8), "{alone:?}");
    assert!(close(alone.low, 34.033_516_867_4) && close(alone.high, 149.880_365_610_3));
    // A night on which weighing was not written down is none that took no time; and on square metres and strips together, more of
    // one would save time, so that it is fitted on square metres alone.
    let all = hours(&WORK, &Rates::default(), &nights);
    assert_eq!(
        all.tasks[1].basis,
        Some(Basis::Regression { nights: 4, df: 3 })
    );
    assert!(all.low < all.person_minutes && all.person_minutes < all.high);
    // A rate of the club counts before its records.
    let rate = Rates {
        lay_per_100_m2: Some(10.0),
        ..Rates::default()
    };
    assert_eq!(
        lay(&hours(&WORK, &rate, &nights)).person_minutes,
        Some(35.0)
    );
}

#[test]
fn one_night_or_two_are_a_mean() {
    let nights = read_nights("nights.csv", NIGHTS).unwrap();
    let found = lay(&hours(&WORK, &Rates::default(), &nights[..2]));
    assert_eq!(
        (found.basis, found.low),
        (Some(Basis::Mean { nights: 2 }), None)
    );
    assert!((found.person_minutes.unwrap() - (52.0 + 131.0) / 715.0 * 350.0).abs() < 1e-6);
}

#[test]
fn too_few_people_are_told_how_many_and_how_much() {
    let found = hours(&WORK, &RATES, &[]);
    let limits = Limits {
        lay_within_min: None,
        lift_within_min: Some(35.0),
        for_one_piece: Some(2),
    };
    let two = manned(&found, Some(2), &limits, WORK.sheet_m2);
    // 105 person-minutes in 35 minutes are three people; two manage two thirds, over two nights.
    assert_eq!((two.people_needed, two.nights), (Some(3), Some(2)));
    assert!((two.sheet_that_fits_m2.unwrap() - 350.0 * 2.0 / 3.0).abs() < 1e-9);
    assert_eq!((two.lay_min, two.lift_min), (Some(65.0), Some(52.5)));
    let four = manned(&found, Some(4), &limits, WORK.sheet_m2);
    assert_eq!(
        (four.sheet_that_fits_m2, four.nights),
        (Some(350.0), Some(1))
    );
    let unknown = manned(
        &hours(&WORK, &Rates::default(), &[]),
        Some(4),
        &limits,
        WORK.sheet_m2,
    );
    assert_eq!((unknown.people_needed, unknown.nights), (None, None));
    // A piece that takes four people takes them however much time there is.
    let heavy = Limits {
        for_one_piece: Some(4),
        ..limits
    };
    assert_eq!(
        manned(&found, Some(2), &heavy, WORK.sheet_m2).people_needed,
        Some(4)
    );
}

#[test]
fn records_that_cannot_be_are_refused_in_their_place() {
    let cases = [
        ("date,sheet_m2,strips\n,140,8\n", "people", 1),
        (
            "sheet_m2,strips,people,lay_mins\n140,8,2,20\n",
            "lay_min",
            1,
        ),
        (
            "sheet_m2,strips,people\n140,8,2\n140,8,1.5\n",
            "part of one",
            3,
        ),
        ("sheet_m2,strips,people\n140,8,0\n", "people", 2),
        ("sheet_m2,strips,people,lay_min\n140,8,2,-5\n", "lay_min", 2),
        ("sheet_m2,strips,people\n,8,2\n", "blank", 2),
        (
            "sheet_m2,strips,people,lay_min\n140,8,2,soon\n",
            "no number",
            2,
        ),
        ("date,sheet_m2,strips,people\n31/09/26,140,8,2\n", "date", 2),
    ];
    for (text, word, line) in cases {
        let problems = read_nights("nights.csv", text).unwrap_err();
        let first = &problems[0];
        assert!(
            first.complaint.to_string().contains(word),
            "{text}: {first:?}"
        );
        assert_eq!(first.line, line, "{text}: {first:?}");
    }
}
