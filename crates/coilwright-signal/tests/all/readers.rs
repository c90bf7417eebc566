//! The capture readers, against files built byte by byte from the definition of each format.

mod bytes;
mod wav;
