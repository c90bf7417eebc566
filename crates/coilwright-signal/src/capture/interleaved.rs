use super::convert::{FrameLayout, convert};
use super::input::{BUFFER_BYTES, Input};
use super::{BlockSource, CaptureInfo, ReadError, ReadOptions, ReadWarning, Source, Storage, Unit};

/// What a binary format says about its samples once its header is read.
pub(super) struct Plan {
    /// What stands in one frame; of one channel where the channels stand one after the other.
    pub(super) layout: FrameLayout,
    pub(super) channel: usize,
    pub(super) channels: usize,
    pub(super) sample_rate_hz: f64,
    pub(super) unit: Unit,
    /// Smallest step once full scale is 1, where the format has one.
    pub(super) step: Option<f64>,
    pub(super) start_time: Option<String>,
    /// The format in words.
    pub(super) format: String,
    /// Bytes of samples that the header promises; `None` reads to the end.
    pub(super) declared_bytes: Option<u64>,
    /// Bytes of samples that the file can hold, where its length is known.
    pub(super) held_bytes: Option<u64>,
}

/// Samples of one channel out of interleaved frames: the data part of every binary format.
pub(super) struct Interleaved {
    input: Input,
    layout: FrameLayout,
    info: CaptureInfo,
    declared_bytes: Option<u64>,
    left_bytes: Option<u64>,
    samples: u64,
    non_finite: Option<usize>,
    finished: bool,
    warnings: Vec<ReadWarning>,
}

impl Interleaved {
    /// Starts at the first frame; `warnings` are those of the header.
    pub(super) fn new(
        input: Input,
        plan: Plan,
        warnings: Vec<ReadWarning>,
    ) -> Result<Self, ReadError> {
        let layout = plan.layout;
        if layout.frame_bytes() == 0 || layout.frame_bytes() > BUFFER_BYTES {
            return Err(ReadError::FrameSize {
                path: input.name().to_owned(),
                channels: layout.channels,
                found_bytes: layout.frame_bytes(),
                limit_bytes: BUFFER_BYTES,
            });
        }
        let length = plan.held_bytes.map(|held| {
            plan.declared_bytes.unwrap_or(held).min(held) / layout.frame_bytes() as u64
        });
        let info = CaptureInfo {
            sample_rate_hz: plan.sample_rate_hz,
            kind: layout.stored.kind,
            unit: plan.unit,
            channel: plan.channel,
            channels: plan.channels,
            full_scale: plan.step.map(|_| 1.0),
            step: plan.step,
            length,
            start_time: plan.start_time,
            source: Source {
                name: input.name().to_owned(),
                format: plan.format,
            },
            storage: (layout.channels == plan.channels).then(|| Storage {
                raw_type: layout.stored,
                header_bytes: input.offset(),
            }),
        };
        Ok(Self {
            input,
            layout,
            info,
            declared_bytes: plan.declared_bytes,
            left_bytes: plan.declared_bytes,
            samples: 0,
            non_finite: None,
            finished: false,
            warnings,
        })
    }

    /// The name to show, where it is not that of the file with the samples.
    pub(super) fn set_name(&mut self, name: String) {
        self.info.source.name = name;
    }

    /// Converts the frames at hand into the block and returns how many values were written.
    fn advance(&mut self, block: &mut [f32]) -> Result<usize, ReadError> {
        let frame_bytes = self.layout.frame_bytes();
        let width = self.info.kind.width();
        let at_hand = self.input.fill(frame_bytes)?;
        let usable = self.left_bytes.map_or(at_hand.len(), |left| {
            at_hand
                .len()
                .min(usize::try_from(left).unwrap_or(usize::MAX))
        });
        let frames = (usable / frame_bytes).min(block.len() / width);
        let (bytes, values) = (frames * frame_bytes, frames * width);
        let Some((stored, fresh)) = at_hand.get(..bytes).zip(block.get_mut(..values)) else {
            return Ok(0);
        };
        convert(self.layout, stored, fresh);
        if self.layout.stored.number.is_float() {
            note_non_finite(
                fresh,
                self.samples,
                width,
                &mut self.non_finite,
                &mut self.warnings,
            );
        }
        self.input.consume(bytes);
        self.left_bytes = self.left_bytes.map(|left| left - bytes as u64);
        self.samples += frames as u64;
        Ok(values)
    }

    /// Says once what was missing at the end.
    fn finish(&mut self) -> Result<(), ReadError> {
        if std::mem::replace(&mut self.finished, true) {
            return Ok(());
        }
        let at_hand = self.input.at_hand().len() as u64;
        let partial = self.left_bytes.map_or(at_hand, |left| left.min(at_hand));
        let frame_bytes = self.layout.frame_bytes() as u64;
        if let (Some(declared_bytes), Some(left)) = (self.declared_bytes, self.left_bytes)
            && left > at_hand
        {
            self.warnings.push(ReadWarning::DataCut {
                offset_bytes: self.input.offset() + partial,
                declared_bytes,
                found_bytes: self.samples * frame_bytes + partial,
            });
        }
        if partial > 0 {
            self.warnings.push(ReadWarning::PartialSample {
                offset_bytes: self.input.offset(),
                found_bytes: partial,
                expected_bytes: frame_bytes,
            });
        }
        if self.samples == 0 {
            self.warnings.push(ReadWarning::NoSamples);
        }
        self.warnings.extend(self.input.checksum_warning()?);
        Ok(())
    }
}

impl BlockSource for Interleaved {
    fn info(&self) -> &CaptureInfo {
        &self.info
    }

    fn read_block(&mut self, block: &mut [f32]) -> Result<usize, ReadError> {
        let limit = block.len() - block.len() % self.info.kind.width();
        let mut written = 0;
        while written < limit {
            let room = block.get_mut(written..limit).unwrap_or_default();
            let fresh = self.advance(room)?;
            if fresh == 0 {
                self.finish()?;
                break;
            }
            written += fresh;
        }
        Ok(written)
    }

    fn warnings(&self) -> &[ReadWarning] {
        &self.warnings
    }
}

/// Sets values that are no number or infinite to zero and keeps one warning that counts them.
pub(super) fn note_non_finite(
    values: &mut [f32],
    first_sample: u64,
    width: usize,
    entry: &mut Option<usize>,
    warnings: &mut Vec<ReadWarning>,
) {
    let fresh = values.iter().filter(|value| !value.is_finite()).count() as u64;
    if fresh == 0 {
        return;
    }
    let position = values
        .iter()
        .position(|value| !value.is_finite())
        .unwrap_or(0);
    for value in values.iter_mut().filter(|value| !value.is_finite()) {
        *value = 0.0;
    }
    let index = *entry.get_or_insert_with(|| {
        warnings.push(ReadWarning::NonFinite {
            count: 0,
            first_sample: first_sample + (position / width) as u64,
        });
        warnings.len() - 1
    });
    if let Some(ReadWarning::NonFinite { count, .. }) = warnings.get_mut(index) {
        *count += fresh;
    }
}

/// The warnings that the choices of the user call for.
pub(super) fn choice_warnings(
    options: &ReadOptions,
    channels: usize,
    stated_hz: Option<f64>,
) -> Vec<ReadWarning> {
    let mut warnings = Vec::new();
    if channels > 1 && options.channel.is_none() {
        warnings.push(ReadWarning::ChannelAssumed { channels });
    }
    if let (Some(used_hz), Some(stated_hz)) = (options.sample_rate_hz, stated_hz)
        && (used_hz - stated_hz).abs() > f64::EPSILON * used_hz.abs()
    {
        warnings.push(ReadWarning::RateOverruled { stated_hz, used_hz });
    }
    warnings
}
