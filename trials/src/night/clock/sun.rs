//! Where the sun stands in the sky at an instant.

use jiff::Timestamp;

/// The sun as seen from the middle of the earth.
#[derive(Debug, Clone, Copy)]
struct Sun {
    /// Degrees north of the equator, in radians.
    declination: f64,
    /// Apparent less mean solar time, minutes.
    equation_of_time_min: f64,
}

/// Days of the Julian calendar at the beginning of 1970, universal time.
const JULIAN_DAY_1970: f64 = 2_440_587.5;
/// The same at noon of 2000-01-01.
const JULIAN_DAY_2000: f64 = 2_451_545.0;

/// Meeus, chapters 25 (position) and 28 (equation of time); angles in degrees until they are turned. Universal time is taken
/// for dynamical time: the minute between them moves the sun by less than two seconds of arc.
fn sun(at: Timestamp) -> Sun {
    let day = at.as_second() as f64 / 86_400.0 + JULIAN_DAY_1970;
    let t = (day - JULIAN_DAY_2000) / 36_525.0;
    let mean_longitude = (280.46646 + t * (36_000.769_83 + 0.000_303_2 * t)).to_radians();
    let anomaly = (357.52911 + t * (35_999.050_29 - 0.000_153_7 * t)).to_radians();
    let eccentricity = 0.016_708_634 - t * (0.000_042_037 + 0.000_000_126_7 * t);
    let centre = anomaly.sin() * (1.914_602 - t * (0.004_817 + 0.000_014 * t))
        + (2.0 * anomaly).sin() * (0.019_993 - 0.000_101 * t)
        + (3.0 * anomaly).sin() * 0.000_289;
    let node = (125.04 - 1_934.136 * t).to_radians();
    let longitude = mean_longitude + (centre - 0.005_69 - 0.004_78 * node.sin()).to_radians();
    let seconds = 21.448 - t * (46.815 + t * (0.000_59 - 0.001_813 * t));
    let obliquity = (23.0 + (26.0 + seconds / 60.0) / 60.0 + 0.002_56 * node.cos()).to_radians();
    let y = (obliquity / 2.0).tan().powi(2);
    let equation = y * (2.0 * mean_longitude).sin() - 2.0 * eccentricity * anomaly.sin()
        + 4.0 * eccentricity * y * anomaly.sin() * (2.0 * mean_longitude).cos()
        - 0.5 * y * y * (4.0 * mean_longitude).sin()
        - 1.25 * eccentricity * eccentricity * (2.0 * anomaly).sin();
    Sun {
        declination: (obliquity.sin() * longitude.sin()).asin(),
        equation_of_time_min: 4.0 * equation.to_degrees(),
    }
}

/// Seconds since the sun passed the meridian of `longitude_deg` (east positive), from -43 200 to 43 200 of solar time.
pub(super) fn since_noon(at: Timestamp, longitude_deg: f64) -> f64 {
    let universal = at.as_second().rem_euclid(86_400) as f64;
    let solar = universal + 60.0 * sun(at).equation_of_time_min + 240.0 * longitude_deg;
    // Noon is half a day after the beginning of solar time, and half a day before the end of what is counted here.
    solar.rem_euclid(86_400.0) - 43_200.0
}

/// Height of the sun's centre above a level horizon without air, degrees.
pub(super) fn height_deg(at: Timestamp, [latitude_deg, longitude_deg]: [f64; 2]) -> f64 {
    let latitude = latitude_deg.to_radians();
    let declination = sun(at).declination;
    let hour_angle = (since_noon(at, longitude_deg) / 240.0).to_radians();
    let sine =
        latitude.sin() * declination.sin() + latitude.cos() * declination.cos() * hour_angle.cos();
    sine.clamp(-1.0, 1.0).asin().to_degrees()
}
