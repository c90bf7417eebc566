use pulp::{Arch, Simd, WithSimd};

use super::raw_type::{ByteOrder, Number, RawType};

/// Where the chosen channel stands in each frame (one sample of every channel).
#[derive(Clone, Copy, Debug)]
pub(super) struct FrameLayout {
    pub(super) stored: RawType,
    pub(super) channels: usize,
    pub(super) channel: usize,
}

impl FrameLayout {
    pub(super) const fn frame_bytes(self) -> usize {
        self.channels.saturating_mul(self.stored.bytes())
    }
}

/// Converts whole frames to samples of the chosen channel; integers are scaled so that full scale is 1.
///
/// Fills as many samples as both slices have room for.
pub(super) fn convert(layout: FrameLayout, frames: &[u8], samples: &mut [f32]) {
    use ByteOrder::{Big, Little};
    let RawType { number, order, .. } = layout.stored;
    match (number, order) {
        (Number::Signed8, _) => spread(layout, frames, samples, |b| scaled_8(i8::from_le_bytes(b))),
        (Number::Unsigned8, _) => spread(layout, frames, samples, |[b]| {
            scaled_8((b ^ 0x80).cast_signed())
        }),
        (Number::Signed16, Little) => spread(layout, frames, samples, |b| {
            scaled_16(i16::from_le_bytes(b))
        }),
        (Number::Signed16, Big) => spread(layout, frames, samples, |b| {
            scaled_16(i16::from_be_bytes(b))
        }),
        (Number::Unsigned16, Little) => spread(layout, frames, samples, |b| {
            scaled_16(offset_16(u16::from_le_bytes(b)))
        }),
        (Number::Unsigned16, Big) => spread(layout, frames, samples, |b| {
            scaled_16(offset_16(u16::from_be_bytes(b)))
        }),
        (Number::Signed24, Little) => spread(layout, frames, samples, |b| scaled_32(left_24(b))),
        (Number::Signed24, Big) => spread(layout, frames, samples, |[a, b, c]| {
            scaled_32(left_24([c, b, a]))
        }),
        (Number::Unsigned24, Little) => spread(layout, frames, samples, |b| {
            scaled_32(left_24(b) ^ i32::MIN)
        }),
        (Number::Unsigned24, Big) => spread(layout, frames, samples, |[a, b, c]| {
            scaled_32(left_24([c, b, a]) ^ i32::MIN)
        }),
        (Number::Signed32, Little) => spread(layout, frames, samples, |b| {
            scaled_32(i32::from_le_bytes(b))
        }),
        (Number::Signed32, Big) => spread(layout, frames, samples, |b| {
            scaled_32(i32::from_be_bytes(b))
        }),
        (Number::Unsigned32, Little) => spread(layout, frames, samples, |b| {
            scaled_32(i32::from_le_bytes(b) ^ i32::MIN)
        }),
        (Number::Unsigned32, Big) => spread(layout, frames, samples, |b| {
            scaled_32(i32::from_be_bytes(b) ^ i32::MIN)
        }),
        (Number::Signed64, Little) => spread(layout, frames, samples, |b| {
            scaled_64(i64::from_le_bytes(b))
        }),
        (Number::Signed64, Big) => spread(layout, frames, samples, |b| {
            scaled_64(i64::from_be_bytes(b))
        }),
        (Number::Unsigned64, Little) => spread(layout, frames, samples, |b| {
            scaled_64(i64::from_le_bytes(b) ^ i64::MIN)
        }),
        (Number::Unsigned64, Big) => spread(layout, frames, samples, |b| {
            scaled_64(i64::from_be_bytes(b) ^ i64::MIN)
        }),
        (Number::Float32, Little) => spread(layout, frames, samples, f32::from_le_bytes),
        (Number::Float32, Big) => spread(layout, frames, samples, f32::from_be_bytes),
        (Number::Float64, Little) => {
            spread(layout, frames, samples, |b| f64::from_le_bytes(b) as f32);
        }
        (Number::Float64, Big) => spread(layout, frames, samples, |b| f64::from_be_bytes(b) as f32),
    }
}

#[inline]
fn scaled_8(value: i8) -> f32 {
    f32::from(value) / 128.0
}

#[inline]
fn scaled_16(value: i16) -> f32 {
    f32::from(value) / 32_768.0
}

#[inline]
fn scaled_32(value: i32) -> f32 {
    value as f32 / 2_147_483_648.0
}

#[inline]
fn scaled_64(value: i64) -> f32 {
    value as f32 / 9_223_372_036_854_775_808.0
}

/// Offset binary as two's complement.
#[inline]
fn offset_16(value: u16) -> i16 {
    (value ^ 0x8000).cast_signed()
}

/// 24 bits, least significant byte first, in the upper bytes of 32.
#[inline]
fn left_24([low, middle, high]: [u8; 3]) -> i32 {
    i32::from_le_bytes([0, low, middle, high])
}

fn spread<const N: usize>(
    layout: FrameLayout,
    frames: &[u8],
    samples: &mut [f32],
    decode: impl Fn([u8; N]) -> f32,
) {
    if layout.channels == 1 {
        Arch::new().dispatch(Fill {
            stored: frames,
            samples,
            decode,
        });
        return;
    }
    let sample_bytes = layout.stored.bytes();
    let first = layout.channel * sample_bytes;
    let width = layout.stored.kind.width();
    for (sample, frame) in samples
        .chunks_exact_mut(width)
        .zip(frames.chunks_exact(layout.frame_bytes()))
    {
        fill(
            frame.get(first..first + sample_bytes).unwrap_or_default(),
            sample,
            &decode,
        );
    }
}

#[expect(
    clippy::inline_always,
    reason = "it must be compiled for the features that were found at run time"
)]
#[inline(always)]
fn fill<const N: usize>(stored: &[u8], samples: &mut [f32], decode: impl Fn([u8; N]) -> f32) {
    for (sample, bytes) in samples.iter_mut().zip(stored.as_chunks::<N>().0) {
        *sample = decode(*bytes);
    }
}

/// [`fill`], compiled once more for each set of vector instructions.
struct Fill<'a, const N: usize, D> {
    stored: &'a [u8],
    samples: &'a mut [f32],
    decode: D,
}

impl<const N: usize, D: Fn([u8; N]) -> f32> WithSimd for Fill<'_, N, D> {
    type Output = ();

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        fill(self.stored, self.samples, self.decode);
    }
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "powers of two are exact")]
mod tests {
    use super::*;
    use crate::capture::SampleKind;

    fn one(stored: &str, bytes: &[u8]) -> f32 {
        let layout = FrameLayout {
            stored: stored.parse().unwrap_or(RawType::real(Number::Float64)),
            channels: 1,
            channel: 0,
        };
        let mut sample = [f32::NAN];
        convert(layout, bytes, &mut sample);
        sample[0]
    }

    /// Bytes and values from the definition of each type: full scale down is -1, one half up is 0.5, zero is 0.
    #[test]
    fn every_type_is_scaled_to_full_scale_one() {
        type Row = (&'static str, &'static [u8], &'static [u8], &'static [u8]);
        let table: &[Row] = &[
            ("i8", &[0x80], &[0x40], &[0]),
            ("u8", &[0], &[0xC0], &[0x80]),
            ("i16le", &[0, 0x80], &[0, 0x40], &[0, 0]),
            ("i16be", &[0x80, 0], &[0x40, 0], &[0, 0]),
            ("u16le", &[0, 0], &[0, 0xC0], &[0, 0x80]),
            ("u16be", &[0, 0], &[0xC0, 0], &[0x80, 0]),
            ("i24le", &[0, 0, 0x80], &[0, 0, 0x40], &[0, 0, 0]),
            ("i24be", &[0x80, 0, 0], &[0x40, 0, 0], &[0, 0, 0]),
            ("u24le", &[0, 0, 0], &[0, 0, 0xC0], &[0, 0, 0x80]),
            ("u24be", &[0, 0, 0], &[0xC0, 0, 0], &[0x80, 0, 0]),
            ("i32le", &[0, 0, 0, 0x80], &[0, 0, 0, 0x40], &[0; 4]),
            ("i32be", &[0x80, 0, 0, 0], &[0x40, 0, 0, 0], &[0; 4]),
            ("u32le", &[0; 4], &[0, 0, 0, 0xC0], &[0, 0, 0, 0x80]),
            ("u32be", &[0; 4], &[0xC0, 0, 0, 0], &[0x80, 0, 0, 0]),
            (
                "i64le",
                &[0, 0, 0, 0, 0, 0, 0, 0x80],
                &[0, 0, 0, 0, 0, 0, 0, 0x40],
                &[0; 8],
            ),
            (
                "i64be",
                &[0x80, 0, 0, 0, 0, 0, 0, 0],
                &[0x40, 0, 0, 0, 0, 0, 0, 0],
                &[0; 8],
            ),
            (
                "u64le",
                &[0; 8],
                &[0, 0, 0, 0, 0, 0, 0, 0xC0],
                &[0, 0, 0, 0, 0, 0, 0, 0x80],
            ),
            (
                "u64be",
                &[0; 8],
                &[0xC0, 0, 0, 0, 0, 0, 0, 0],
                &[0x80, 0, 0, 0, 0, 0, 0, 0],
            ),
            ("f32le", &[0, 0, 0x80, 0xBF], &[0, 0, 0, 0x3F], &[0; 4]),
            ("f32be", &[0xBF, 0x80, 0, 0], &[0x3F, 0, 0, 0], &[0; 4]),
            (
                "f64le",
                &[0, 0, 0, 0, 0, 0, 0xF0, 0xBF],
                &[0, 0, 0, 0, 0, 0, 0xE0, 0x3F],
                &[0; 8],
            ),
            (
                "f64be",
                &[0xBF, 0xF0, 0, 0, 0, 0, 0, 0],
                &[0x3F, 0xE0, 0, 0, 0, 0, 0, 0],
                &[0; 8],
            ),
        ];
        for (stored, minus_one, half, zero) in table {
            let values = [one(stored, minus_one), one(stored, half), one(stored, zero)];
            assert_eq!(values, [-1.0, 0.5, 0.0], "{stored}");
        }
    }

    #[test]
    fn the_chosen_channel_of_complex_frames_is_taken() {
        let layout = FrameLayout {
            stored: RawType {
                kind: SampleKind::Complex,
                number: Number::Signed8,
                order: ByteOrder::Little,
            },
            channels: 2,
            channel: 1,
        };
        let mut samples = [0.0; 4];
        convert(layout, &[1, 2, 64, 32, 3, 4, 0x80, 16], &mut samples);
        assert_eq!(samples, [0.5, 0.25, -1.0, 0.125]);
    }
}
