//! Down-conversion, filters, windows and spectra.

mod decimating_fir;
mod down_converter;
pub(crate) mod fourier;
mod low_pass;
pub(crate) mod rotation;
mod running_sum;
mod tone_blocks;

pub use down_converter::DownConverter;
pub use low_pass::LowPass;
pub(crate) use running_sum::{ComplexSums, RunningSum};
pub(crate) use tone_blocks::{BLOCK_MULTIPLE, tone_blocks, tone_weights};
