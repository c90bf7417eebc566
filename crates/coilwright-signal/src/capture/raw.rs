//! Bare samples without a header, of a type and rate that the user states.

use super::convert::FrameLayout;
use super::input::Input;
use super::interleaved::{Interleaved, Plan, choice_warnings};
use super::{RawType, ReadError, ReadOptions, Unit};

/// Reads everything as samples of the given type.
pub(super) fn open(
    input: Input,
    file_bytes: Option<u64>,
    stored: RawType,
    options: &ReadOptions,
) -> Result<Interleaved, ReadError> {
    let channels = options.raw_channels.unwrap_or(1);
    let channel = options.channel_of(input.name(), channels)?;
    let plan = Plan {
        layout: FrameLayout {
            stored,
            channels,
            channel,
        },
        channel,
        channels,
        sample_rate_hz: options.rate(input.name(), None)?,
        unit: unit_of(stored),
        step: stored.step(),
        start_time: None,
        format: format!("bare samples, {}", stored.words()),
        declared_bytes: None,
        held_bytes: file_bytes,
    };
    Interleaved::new(input, plan, choice_warnings(options, channels, None))
}

/// Integers are fractions of full scale; a format that does not say so leaves the unit of floats open.
pub(super) fn unit_of(stored: RawType) -> Unit {
    if stored.number.is_float() {
        Unit::Unknown
    } else {
        Unit::FullScale
    }
}
