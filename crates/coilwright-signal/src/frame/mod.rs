//! Published frames: layout, checks, encoding for tests and decoding.
