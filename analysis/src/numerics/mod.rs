//! Numerical tools that the kept libraries lack, each with the accuracy it promises.
//!
//! Log-gamma, digamma and trigamma come from `libm` and `special`, tail areas from `statrs`. What is our own was held against kept
//! crates on one machine: least of 400 repeats of 200 calls, release build, other work beside it, so that ratios count and not
//! nanoseconds; accuracy against values known in closed form.
//!
//! | tool | ours | kept crate | why ours stays |
//! |---|---|---|---|
//! | [`cholesky`], factor and solve, order 4 / 10 / 20 | 97 / 319 / 1 161 ns | `nalgebra` 0.35: 101 / 312 / 922 ns, same digits | names the row that depends on those before it, works in place on slices; trials seldom exceed order 10, and 24 crates would come with it |
//! | [`quadrature::hermite`], 25 nodes | 21 us, x^8 to 2e-16 | `gauss-quad` 0.3.2: 23 us, 8e-15 | more accurate, no slower; the crate brings `nalgebra` |
//! | [`quadrature::legendre`], 96 nodes | 160 us, exp to 3e-16 | `gauss-quad` 0.3.2: 0.5 us, 4e-16 | made once and kept, so that its time is never seen; the crate is as good and brings `nalgebra` for thirty lines |
//! | [`roots::brent`], x exp(x) = 1 / a steep step | 11 / 16 calls | `roots` 0.0.8: 18 / 28 calls, as exact | a call is a model fitted anew: a third fewer of them; tells its calls |
//! | [`minimise::brent`], x - ln x | 15 calls, 232 ns | `argmin` 0.11: 15 iterations, 902 ns, same minimum | 30 crates for fifty lines |
//! | `bordered` | | none found | the same for a matrix with a diagonal part, in time proportional to its order |
//! | `projection` | | none found | takes blocks out by their means in time proportional to the plots |

pub(crate) mod bordered;
pub mod cholesky;
pub mod minimise;
pub(crate) mod projection;
pub mod quadrature;
pub mod roots;
mod row_classes;
pub mod special;
