//! Nonlinear least squares on small dense problems: damped Gauss–Newton steps, covariance, residual tests.

mod goodness;
mod propagate;
mod solve;

pub use goodness::ResidualTest;

pub(crate) use goodness::error_variance;
pub(crate) use propagate::{covariance, propagate};
pub(crate) use solve::{Problem, Solution, linear, solve};
