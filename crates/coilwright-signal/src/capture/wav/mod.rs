//! WAV: RIFF, RF64 and BW64 files with integer or float samples.
//!
//! Layout from *Multimedia Programming Interface and Data Specifications 1.0* (RIFF), the format tags and
//! `WAVEFORMATEXTENSIBLE` from Microsoft's *Multiple channel audio data and WAVE files*, RF64 from EBU Tech 3306 and
//! BW64 from ITU-R BS.2088. Recorders that lost power leave sizes of 0 or 0xFFFFFFFF or sizes longer than the file:
//! such files are read as far as they go, with a warning.

mod chunks;
mod format;

use super::input::Input;
use super::interleaved::{Interleaved, Plan, choice_warnings};
use super::{ReadError, ReadOptions, Unit};

pub(super) use chunks::is_wav;

/// Reads the chunks up to the samples and starts there.
pub(super) fn open(
    mut input: Input,
    file_bytes: Option<u64>,
    options: &ReadOptions,
) -> Result<Interleaved, ReadError> {
    let header = chunks::read_header(&mut input)?;
    let format = header.format;
    let stated_hz = f64::from(format.sample_rate_hz);
    let mut warnings = choice_warnings(options, format.channels, Some(stated_hz));
    warnings.extend(header.warnings);
    let channel = options.channel_of(input.name(), format.channels)?;
    let plan = Plan {
        layout: format.layout(channel),
        channel,
        channels: format.channels,
        sample_rate_hz: options.rate(input.name(), Some(stated_hz))?,
        unit: Unit::FullScale,
        step: format.step(),
        start_time: header.start_time,
        format: format!("{}, {}", header.container, format.words()),
        declared_bytes: header.data_bytes,
        held_bytes: file_bytes.map(|bytes| bytes.saturating_sub(input.offset())),
    };
    Interleaved::new(input, plan, warnings)
}
