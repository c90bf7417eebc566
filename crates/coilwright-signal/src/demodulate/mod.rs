//! From baseband to soft bits and frames.
