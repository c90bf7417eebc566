use crate::capture::convert::FrameLayout;
use crate::capture::input::Input;
use crate::capture::raw_type::{Number, RawType};
use crate::capture::{ReadError, ReadWarning};

const TAG_INTEGER: u16 = 1;
const TAG_FLOAT: u16 = 3;
const TAG_EXTENSIBLE: u16 = 0xFFFE;
/// Bytes of a `fmt ` chunk up to the bits, and with the extension.
const SHORT_BYTES: u32 = 16;
const EXTENSIBLE_BYTES: u32 = 40;

/// The `fmt ` chunk.
#[derive(Clone, Copy, Debug)]
pub(super) struct Format {
    pub(super) channels: usize,
    pub(super) sample_rate_hz: u32,
    stored: RawType,
    /// Bits that carry the value, at the upper end of the stored number.
    valid_bits: u16,
}

/// The fields of the chunk as they stand.
struct Fields {
    offset_bytes: u64,
    tag: u16,
    channels: u16,
    sample_rate_hz: u32,
    block_align: u16,
    bits: u16,
    valid_bits: u16,
}

impl Format {
    /// Reads the chunk of `size` bytes up to what is understood.
    pub(super) fn read(
        input: &mut Input,
        size: u32,
        warnings: &mut Vec<ReadWarning>,
    ) -> Result<Self, ReadError> {
        let fields = Fields::read(input, size)?;
        let name = input.name();
        let layout_error = || ReadError::WavLayout {
            path: name.to_owned(),
            offset_bytes: fields.offset_bytes,
            channels: fields.channels,
            bits: fields.bits,
            block_align: fields.block_align,
        };
        if fields.channels == 0 || fields.bits == 0 || fields.bits > 64 {
            return Err(layout_error());
        }
        let container_bytes = fields.container_bytes(warnings);
        let number = match (fields.tag, container_bytes) {
            (TAG_INTEGER, 1) => Number::Unsigned8,
            (TAG_INTEGER, bytes) => Number::of('i', 8 * bytes).ok_or_else(layout_error)?,
            (TAG_FLOAT, bytes) => Number::of('f', 8 * bytes).ok_or_else(layout_error)?,
            (tag, _) => {
                return Err(ReadError::WavEncoding {
                    path: name.to_owned(),
                    offset_bytes: fields.offset_bytes,
                    tag,
                });
            }
        };
        Ok(Self {
            channels: usize::from(fields.channels),
            sample_rate_hz: fields.sample_rate_hz,
            stored: RawType::real(number),
            valid_bits: fields.checked_valid_bits(container_bytes, warnings),
        })
    }

    /// Where the channel stands in each frame.
    pub(super) fn layout(self, channel: usize) -> FrameLayout {
        FrameLayout {
            stored: self.stored,
            channels: self.channels,
            channel,
        }
    }

    /// Smallest step once full scale is 1; `None` for floating point.
    pub(super) fn step(self) -> Option<f64> {
        (!self.stored.number.is_float()).then(|| (1.0 - f64::from(self.valid_bits)).exp2())
    }

    /// The encoding in words.
    pub(super) fn words(self) -> String {
        let container_bits = 8 * self.stored.number.bytes();
        if self.stored.number.is_float() || usize::from(self.valid_bits) == container_bits {
            self.stored.words()
        } else {
            format!("{}-bit integer in {container_bits} bits", self.valid_bits)
        }
    }
}

impl Fields {
    fn read(input: &mut Input, size: u32) -> Result<Self, ReadError> {
        let offset_bytes = input.offset();
        let too_short = |input: &Input, expected_bytes| ReadError::WavFormatShort {
            path: input.name().to_owned(),
            offset_bytes,
            found_bytes: size,
            expected_bytes,
        };
        if size < SHORT_BYTES {
            return Err(too_short(input, SHORT_BYTES));
        }
        let [t0, t1, c0, c1, r0, r1, r2, r3, _, _, _, _, a0, a1, b0, b1] =
            input.header::<16>("the fmt chunk")?;
        let mut fields = Self {
            offset_bytes,
            tag: u16::from_le_bytes([t0, t1]),
            channels: u16::from_le_bytes([c0, c1]),
            sample_rate_hz: u32::from_le_bytes([r0, r1, r2, r3]),
            block_align: u16::from_le_bytes([a0, a1]),
            bits: u16::from_le_bytes([b0, b1]),
            valid_bits: u16::from_le_bytes([b0, b1]),
        };
        if fields.tag == TAG_EXTENSIBLE {
            if size < EXTENSIBLE_BYTES {
                return Err(too_short(input, EXTENSIBLE_BYTES));
            }
            let [_, _, v0, v1, _, _, _, _, t0, t1] =
                input.header::<10>("the extension of the fmt chunk")?;
            fields.tag = u16::from_le_bytes([t0, t1]);
            fields.valid_bits = u16::from_le_bytes([v0, v1]);
        }
        Ok(fields)
    }

    /// Bytes of one stored number: from the frame size where that is possible, else from the bits.
    fn container_bytes(&self, warnings: &mut Vec<ReadWarning>) -> usize {
        let from_bits = self.bits.div_ceil(8);
        let per_channel = self.block_align / self.channels;
        let fits = self.block_align.is_multiple_of(self.channels)
            && (from_bits..=8).contains(&per_channel);
        if fits {
            return usize::from(per_channel);
        }
        warnings.push(ReadWarning::WavFormatRepaired {
            field: "bytes per frame",
            found: self.block_align,
            used: from_bits.saturating_mul(self.channels),
        });
        usize::from(from_bits)
    }

    fn checked_valid_bits(&self, container_bytes: usize, warnings: &mut Vec<ReadWarning>) -> u16 {
        let container_bits = 8 * container_bytes as u16;
        if (1..=container_bits).contains(&self.valid_bits) {
            return self.valid_bits;
        }
        warnings.push(ReadWarning::WavFormatRepaired {
            field: "valid bits",
            found: self.valid_bits,
            used: container_bits,
        });
        container_bits
    }
}
