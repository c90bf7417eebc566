//! From measurements on a capture to a verdict on key, field and antenna ring.
