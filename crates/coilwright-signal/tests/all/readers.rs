//! The capture readers, against files built byte by byte from the definition of each format.

mod broken;
mod bytes;
mod delimited;
mod messages;
mod npy;
mod raw;
mod sigmf;
mod wav;
