//! Bounded minimisation in one dimension.

/// A minimum and what it cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Minimum {
    /// Where the function is smallest.
    pub x: f64,
    /// The function there.
    pub value: f64,
    /// Function calls used.
    pub calls: usize,
}

/// Finds a local minimum of `f` on `[low, high]` (the global one if `f` has a single valley).
///
/// Golden sections with parabolic steps (R. P. Brent, "Algorithms for Minimization without
/// Derivatives", 1973, ch. 5), ending when x is known to about `tolerance` or after 200 calls.
/// A tolerance below 1e-8 of |x| is wasted: a minimum is flat over that width in double precision.
pub fn brent(mut f: impl FnMut(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Minimum {
    // 1 - 1/golden ratio.
    const GOLD: f64 = 0.381_966_011_250_105_1;
    let (mut a, mut b) = (low, high);
    let mut x = a + GOLD * (b - a);
    let (mut w, mut v) = (x, x);
    let mut fx = f(x);
    let (mut fw, mut fv) = (fx, fx);
    let (mut step, mut before_last) = (0.0_f64, 0.0_f64);
    let mut calls = 1;
    while calls < 200 {
        let middle = 0.5 * (a + b);
        let close = f64::EPSILON.sqrt() * x.abs() + tolerance / 3.0;
        if (x - middle).abs() <= 2.0 * close - 0.5 * (b - a) {
            break;
        }
        let (mut p, mut q) = (0.0, 0.0);
        if before_last.abs() > close {
            let r = (x - w) * (fx - fv);
            let t = (x - v) * (fx - fw);
            p = (x - v) * t - (x - w) * r;
            q = 2.0 * (t - r);
            if q > 0.0 {
                p = -p;
            } else {
                q = -q;
            }
        }
        if p.abs() < (0.5 * q * before_last).abs() && p > q * (a - x) && p < q * (b - x) {
            before_last = step;
            step = p / q;
            let u = x + step;
            if u - a < 2.0 * close || b - u < 2.0 * close {
                step = close.copysign(middle - x);
            }
        } else {
            before_last = if x < middle { b - x } else { a - x };
            step = GOLD * before_last;
        }
        let u = x + if step.abs() >= close {
            step
        } else {
            close.copysign(step)
        };
        let fu = f(u);
        calls += 1;
        if fu <= fx {
            if u < x {
                b = x;
            } else {
                a = x;
            }
            (v, fv, w, fw, x, fx) = (w, fw, x, fx, u, fu);
        } else {
            if u < x {
                a = u;
            } else {
                b = u;
            }
            if fu <= fw || w == x {
                (v, fv, w, fw) = (w, fw, u, fu);
            } else if fu <= fv || v == x || v == w {
                (v, fv) = (u, fu);
            }
        }
    }
    Minimum {
        x,
        value: fx,
        calls,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_known_minima() {
        let m = brent(|x| (x - 0.3).powi(2), -1.0, 2.0, 1e-9);
        assert!((m.x - 0.3).abs() < 1e-8, "{m:?}");
        // Gamma has its minimum on the positive axis at 1.461632... (OEIS A030169).
        let m = brent(libm::lgamma, 0.5, 4.0, 1e-9);
        assert!((m.x - 1.461_632_144_968_362).abs() < 1e-7, "{m:?}");
    }

    #[test]
    fn a_minimum_at_the_end_is_approached() {
        let m = brent(|x| x, 0.0, 1.0, 1e-9);
        assert!(m.x < 1e-7 && m.calls < 200);
    }
}
