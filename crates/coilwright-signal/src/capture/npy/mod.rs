//! NPY: one array of `NumPy`, versions 1 to 3.
//!
//! Layout from `NumPy`'s *NPY format* specification (`numpy.lib.format`). One axis is one channel. Of two axes the
//! longer is time (the first where they are equal), the other one the channels. Integers are scaled so that full
//! scale is 1; the rate must be stated, since an array has none.

mod header;

use super::convert::FrameLayout;
use super::input::Input;
use super::interleaved::{Interleaved, Plan, choice_warnings};
use super::raw::unit_of;
use super::{ReadError, ReadOptions};
use header::Shape;

/// The first bytes of an NPY file.
const MAGIC: &[u8; 6] = b"\x93NUMPY";

/// Whether these are the first bytes of an NPY file.
pub(super) fn is_npy(head: &[u8]) -> bool {
    head.starts_with(MAGIC)
}

/// Reads the header and starts at the chosen channel's first sample.
pub(super) fn open(
    mut input: Input,
    file_bytes: Option<u64>,
    options: &ReadOptions,
) -> Result<Interleaved, ReadError> {
    let header = header::read(&mut input)?;
    let axes = Axes::of(header.shape);
    let channel = options.channel_of(input.name(), axes.channels)?;
    let channel_bytes = axes.length.saturating_mul(header.stored.bytes() as u64);
    let side_by_side = if axes.interleaved { axes.channels } else { 1 };
    if !axes.interleaved {
        input.skip(channel_bytes.saturating_mul(channel as u64))?;
    }
    let plan = Plan {
        layout: FrameLayout {
            stored: header.stored,
            channels: side_by_side,
            channel: channel % side_by_side,
        },
        channel,
        channels: axes.channels,
        sample_rate_hz: options.rate(input.name(), None)?,
        unit: unit_of(header.stored),
        step: header.stored.step(),
        start_time: None,
        format: format!("NPY, {}", header.stored.words()),
        declared_bytes: Some(channel_bytes.saturating_mul(side_by_side as u64)),
        held_bytes: file_bytes.map(|bytes| bytes.saturating_sub(input.offset())),
    };
    Interleaved::new(input, plan, choice_warnings(options, axes.channels, None))
}

/// Which axis is time.
struct Axes {
    length: u64,
    channels: usize,
    /// Whether the channels of one sample stand side by side.
    interleaved: bool,
}

impl Axes {
    fn of(shape: Shape) -> Self {
        let Some(columns) = shape.columns else {
            return Self {
                length: shape.rows,
                channels: 1,
                interleaved: true,
            };
        };
        let time_first = shape.rows >= columns;
        let (length, channels) = if time_first {
            (shape.rows, columns)
        } else {
            (columns, shape.rows)
        };
        Self {
            length,
            channels: usize::try_from(channels).unwrap_or(usize::MAX),
            interleaved: time_first != shape.column_by_column,
        }
    }
}
