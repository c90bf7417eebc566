//! Coupled-circuit simulator that makes pickup-coil captures with known truth.
