//! Functions and quadrature that the models need: complete elliptic integrals, Bessel ratios, Gauss–Legendre nodes.

mod bessel;
mod elliptic;
mod quadrature;

pub use bessel::bessel_ratio;
pub use elliptic::{Elliptic, elliptic};
pub(crate) use quadrature::{GaussLegendre, periodic_mean};
