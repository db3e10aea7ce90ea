//! Numerical tools that the kept libraries lack, each with the accuracy it promises.

pub mod cholesky;
pub mod minimise;
pub(crate) mod projection;
pub mod quadrature;
pub mod roots;
pub mod special;
