//! Lifting against published guideline figures.

use halfgreen::night::handling::{ONE_PERSON_KG, SheetWeight, at_pace, strip, team};
use proptest::prelude::*;

/// Health and Safety Executive, INDG143: 25 kg (men) and 16 kg (women) at knuckle height; 30 % less at one or two lifts a minute, 50 %
/// less at five to eight, 80 % less above twelve.
#[test]
fn pace_takes_off_what_the_guideline_says() {
    assert_eq!(ONE_PERSON_KG, 16.0);
    for (pace, left) in [
        (0.5, 25.0),
        (1.0, 17.5),
        (2.0, 17.5),
        (5.0, 12.5),
        (8.0, 12.5),
        (13.0, 5.0),
    ] {
        assert!((at_pace(25.0, pace) - left).abs() < 1e-12, "{pace}");
    }
}

/// Network Rail's safety pages on lifting in teams: where one may lift 20 kg, two may lift 26.6 kg; three lift half of what they could
/// alone; more than four seldom succeed.
#[test]
fn teams_lift_less_than_the_sum() {
    assert!((team(2, 20.0) - 26.6).abs() < 0.1);
    assert!((team(3, 20.0) - 30.0).abs() < 1e-12);
    assert_eq!(team(9, 20.0), team(4, 20.0));
    assert_eq!(team(0, 20.0), 0.0);
}

/// A litre of water on a square metre is a millimetre deep and weighs a kilogram: 100 m2 of 200 g/m2 are 20 kg dry and 120 kg
/// with one millimetre of water.
#[test]
fn a_wet_strip_is_cut_so_that_the_people_there_can_lift_it() {
    let sheet = SheetWeight {
        grams_per_m2: 200.0,
        held_water_mm: 1.0,
    };
    let long = strip([25.0, 4.0], &sheet, Some(3), 16.0);
    assert!((long.dry_kg - 20.0).abs() < 1e-9 && (long.wet_kg - 120.0).abs() < 1e-9);
    // Three lift 24 kg together: five sections of 5 m.
    assert_eq!(
        (long.people, long.sections, long.section_m),
        (None, Some(5), Some(5.0))
    );
    let short = strip([5.0, 2.0], &sheet, Some(1), 16.0);
    assert_eq!((short.people, short.sections), (Some(1), Some(1)));
    assert_eq!(strip([5.0, 2.0], &sheet, None, 16.0).sections, None);
}

proptest! {
    /// No section is heavier than what the people there lift, and one section fewer would be.
    #[test]
    fn sections_are_light_enough_and_no_more_than_it_takes(
        length in 0.5..60.0_f64, width in 0.5..8.0_f64, water in 0.0..3.0_f64, people in 1..9_u64,
    ) {
        let sheet = SheetWeight { grams_per_m2: 180.0, held_water_mm: water };
        let load = strip([length, width], &sheet, Some(people), 16.0);
        let (n, most) = (load.sections.unwrap() as f64, team(people, 16.0));
        prop_assert!(load.wet_kg / n <= most * (1.0 + 1e-8));
        prop_assert!(n == 1.0 || load.wet_kg / (n - 1.0) > most);
        prop_assert!(load.people.is_none_or(|p| team(p, 16.0) >= load.wet_kg));
    }
}
