use super::{RawType, ReadError};

/// What the user says about a capture that the file does not say, or says wrongly.
///
/// ```
/// use coilwright_signal::capture::ReadOptions;
/// let options = ReadOptions { channel: Some(1), ..ReadOptions::default() };
/// assert_eq!(options.sample_rate_hz, None);
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReadOptions {
    /// The channel to read, from 0; for delimited text the voltage column, not counting the time column.
    /// `None` reads channel 0, with a warning where there are more.
    pub channel: Option<usize>,
    /// Samples per second and channel. Needed where the file holds no rate; otherwise it overrules the file, with a
    /// warning, and the time steps of delimited text are then not checked.
    pub sample_rate_hz: Option<f64>,
    /// Reads the file as bare samples of this type, whatever it looks like.
    pub raw_type: Option<RawType>,
    /// How many channels are interleaved in bare samples; 1 where `None`. Other formats say so themselves.
    pub raw_channels: Option<usize>,
}

impl ReadOptions {
    /// The rate to use, given the rate that the file states.
    pub(super) fn rate(&self, name: &str, stated_hz: Option<f64>) -> Result<f64, ReadError> {
        let rate_hz =
            self.sample_rate_hz
                .or(stated_hz)
                .ok_or_else(|| ReadError::SampleRateMissing {
                    path: name.to_owned(),
                })?;
        if rate_hz.is_finite() && rate_hz > 0.0 {
            Ok(rate_hz)
        } else {
            Err(ReadError::SampleRateInvalid {
                path: name.to_owned(),
                found_hz: rate_hz,
            })
        }
    }

    /// The channel to use of `channels`.
    pub(super) fn channel_of(&self, name: &str, channels: usize) -> Result<usize, ReadError> {
        if channels == 0 {
            return Err(ReadError::NoChannels {
                path: name.to_owned(),
            });
        }
        let channel = self.channel.unwrap_or(0);
        if channel < channels {
            Ok(channel)
        } else {
            Err(ReadError::ChannelMissing {
                path: name.to_owned(),
                channel,
                channels,
            })
        }
    }
}
