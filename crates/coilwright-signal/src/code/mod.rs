//! Line codes: bits to levels and back.
