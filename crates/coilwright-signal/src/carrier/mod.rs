//! Finding and measuring the carrier.
