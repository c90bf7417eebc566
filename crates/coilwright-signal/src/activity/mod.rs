//! When the field is on: edges and bursts.
