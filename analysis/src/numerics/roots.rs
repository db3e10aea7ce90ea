//! Bracketed root finding with a budget of steps.

/// A root and how well it is bracketed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Root {
    /// Where the function is nearest to zero.
    pub x: f64,
    /// The function there.
    pub value: f64,
    /// Function calls used.
    pub calls: usize,
}

/// Finds a root of `f` between `low` and `high`, where `f` must change sign; `None` if it does not
/// or is not a number at either end.
///
/// Brent's method (R. P. Brent, "Algorithms for Minimization without Derivatives", 1973, ch. 4);
/// it ends when the bracket is narrower than `tolerance` plus the rounding of x, or after 200 calls,
/// more than bisection of the widest double bracket to that tolerance would normally take.
pub fn brent(mut f: impl FnMut(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Option<Root> {
    let ends = [low, high].map(|x| (x, f(x)));
    brent_between(f, ends, tolerance)
}

/// As [`brent`], where the values at both ends are known already: (place, value) of each.
pub fn brent_between(
    mut f: impl FnMut(f64) -> f64,
    ends: [(f64, f64); 2],
    tolerance: f64,
) -> Option<Root> {
    let [(mut a, mut fa), (mut b, mut fb)] = ends;
    let mut calls = 2;
    if fa.is_nan() || fb.is_nan() || (fa > 0.0) == (fb > 0.0) && fa != 0.0 && fb != 0.0 {
        return None;
    }
    let (mut c, mut fc) = (a, fa);
    let mut step = b - a;
    let mut before_last = step;
    while calls < 200 {
        if (fb > 0.0) == (fc > 0.0) {
            (c, fc) = (a, fa);
            step = b - a;
            before_last = step;
        }
        if fc.abs() < fb.abs() {
            (a, b, c) = (b, c, b);
            (fa, fb, fc) = (fb, fc, fb);
        }
        let close = 2.0 * f64::EPSILON * b.abs() + 0.5 * tolerance;
        let half = 0.5 * (c - b);
        if half.abs() <= close || fb == 0.0 {
            break;
        }
        let interpolated = if before_last.abs() >= close && fa.abs() > fb.abs() {
            interpolate((a, fa), (b, fb), (c, fc), half)
        } else {
            None
        };
        match interpolated {
            Some(s) if 2.0 * s.abs() < (3.0 * half.abs() - close).min(before_last.abs()) => {
                before_last = step;
                step = s;
            }
            _ => {
                step = half;
                before_last = half;
            }
        }
        (a, fa) = (b, fb);
        b += if step.abs() > close {
            step
        } else {
            close.copysign(half)
        };
        fb = f(b);
        calls += 1;
        if fb.is_nan() {
            return None;
        }
    }
    Some(Root {
        x: b,
        value: fb,
        calls,
    })
}

/// First stride of [`outward`]; each further one is twice as long.
const STRIDE: f64 = 0.25;

/// Logs of ratios beyond this are as good as none, e^40 is 10^17; of an empty arm the search starts some
/// twenty below the answer.
const FARTHEST: f64 = 40.0;

/// Where `f`, a function of the log of a ratio, rises above zero, going down (`side` = -1) or up (+1)
/// from a place where its value is known: `from` is (place, value). Infinite where it never does; the place
/// itself where it already has.
///
/// Strides from a quarter up, each twice the last, then [`brent_between`] to `tolerance`. Where `f` rises
/// more than once within a stride, any of the places may be found.
pub fn outward(mut f: impl FnMut(f64) -> f64, from: (f64, f64), side: f64, tolerance: f64) -> f64 {
    if from.1 >= 0.0 {
        return from.0;
    }
    let mut near = from;
    let strides = std::iter::successors(Some(STRIDE), |reach| Some(2.0 * reach));
    for reach in strides.take_while(|reach| *reach <= FARTHEST + from.0.abs()) {
        let x = from.0 + side * reach;
        let far = (x, f(x));
        if far.1 > 0.0 {
            return brent_between(f, [near, far], tolerance).map_or(x, |root| root.x);
        }
        near = far;
    }
    side * f64::INFINITY
}

/// Step from `b` by the secant (two points) or inverse quadratic (three points), towards `half`.
fn interpolate(a: (f64, f64), b: (f64, f64), c: (f64, f64), half: f64) -> Option<f64> {
    let s = b.1 / a.1;
    let (p, q) = if a.0 == c.0 {
        (2.0 * half * s, 1.0 - s)
    } else {
        let (q, r) = (a.1 / c.1, b.1 / c.1);
        (
            s * (2.0 * half * q * (q - r) - (b.0 - a.0) * (r - 1.0)),
            (q - 1.0) * (r - 1.0) * (s - 1.0),
        )
    };
    let move_by = if p > 0.0 { p / -q } else { -p / q };
    (move_by.is_finite() && move_by * half > 0.0).then_some(move_by)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_known_roots() {
        let root = brent(|x| x * x - 2.0, 0.0, 2.0, 1e-14).unwrap();
        assert!((root.x - 2.0_f64.sqrt()).abs() < 1e-14);
        // Root of cos x = x, the Dottie number (OEIS A003957).
        let root = brent(|x| x.cos() - x, 0.0, 1.0, 1e-14).unwrap();
        assert!((root.x - 0.739_085_133_215_160_6).abs() < 1e-14);
        // A triple root is slow for interpolation; the budget must hold.
        let root = brent(|x: f64| x.powi(3), -1.0, 2.5, 1e-12).unwrap();
        assert!(root.x.abs() < 1e-10 && root.calls < 200);
    }

    #[test]
    fn a_search_outward_ends_at_the_first_rise_or_nowhere() {
        // x^2 rises above 2 at sqrt(2) on either side.
        let f = |x: f64| x * x - 2.0;
        for side in [-1.0, 1.0] {
            let found = outward(f, (0.1, f(0.1)), side, 1e-14);
            assert!((found - side * 2.0_f64.sqrt()).abs() < 1e-14, "{found}");
        }
        assert_eq!(outward(f, (1.5, f(1.5)), 1.0, 1e-14), 1.5);
        assert_eq!(outward(|_| -1.0, (3.0, -1.0), 1.0, 1e-14), f64::INFINITY);
    }

    #[test]
    fn refuses_a_bracket_without_sign_change() {
        assert_eq!(brent(|x| x * x + 1.0, -1.0, 1.0, 1e-10), None);
        assert_eq!(brent(|_| f64::NAN, -1.0, 1.0, 1e-10), None);
        assert_eq!(brent(|x| x, 0.0, 1.0, 1e-10).unwrap().x, 0.0);
    }
}
