//! Tests of the public interface.

mod activity;
