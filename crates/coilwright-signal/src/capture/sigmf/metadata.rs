use serde::Deserialize;

use crate::capture::{RawType, ReadError};

/// What a `SigMF` metadata file says about a recording.
///
/// Fields of the core namespace of `SigMF` 1.x that matter for reading and for judging a recording; others are ignored.
///
/// ```
/// use coilwright_signal::capture::SigmfMetadata;
/// let json = r#"{
///     "global": {"core:datatype": "ci16_le", "core:sample_rate": 1e6, "core:version": "1.0.0"},
///     "captures": [{"core:sample_start": 0, "core:frequency": 125000}],
///     "annotations": [{"core:sample_start": 100, "core:sample_count": 50, "core:label": "burst"}]
/// }"#;
/// let metadata = SigmfMetadata::from_json(json.as_bytes(), "dunlin.sigmf-meta")?;
/// assert_eq!(metadata.sample_rate_hz, Some(1e6));
/// assert_eq!(metadata.segments[0].frequency_hz, Some(125e3));
/// assert_eq!(metadata.annotations[0].label.as_deref(), Some("burst"));
/// # Ok::<(), coilwright_signal::capture::ReadError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct SigmfMetadata {
    /// How a sample is stored (`core:datatype`).
    pub stored: RawType,
    /// Samples per second and channel (`core:sample_rate`).
    pub sample_rate_hz: Option<f64>,
    /// Interleaved channels (`core:num_channels`), 1 where absent.
    pub channels: usize,
    /// Hash of the data file in hexadecimal (`core:sha512`).
    pub sha512: Option<String>,
    /// Name of the data file beside the metadata (`core:dataset`), where it is not the usual one.
    pub dataset: Option<String>,
    /// Bytes behind the samples that are none (`core:trailing_bytes`).
    pub trailing_bytes: u64,
    /// Stretches recorded without a break (`captures`), in the order of the file.
    pub segments: Vec<SigmfSegment>,
    /// Remarks on stretches of samples (`annotations`), in the order of the file.
    pub annotations: Vec<SigmfAnnotation>,
}

/// A stretch recorded without a break: one of the `captures` of a `SigMF` file.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
pub struct SigmfSegment {
    /// Index of its first sample, from 0.
    #[serde(rename = "core:sample_start", default)]
    pub first_sample: u64,
    /// When its first sample was taken, as the file states it (ISO 8601).
    #[serde(rename = "core:datetime", default)]
    pub start_time: Option<String>,
    /// The frequency that stands at zero in complex samples.
    #[serde(rename = "core:frequency", default)]
    pub frequency_hz: Option<f64>,
    /// Bytes before the first sample that are none.
    #[serde(rename = "core:header_bytes", default)]
    pub header_bytes: u64,
}

/// A remark on a stretch of samples in a `SigMF` file.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
pub struct SigmfAnnotation {
    /// Index of its first sample, from 0.
    #[serde(rename = "core:sample_start", default)]
    pub first_sample: u64,
    /// How many samples; `None` reaches to the next segment or the end.
    #[serde(rename = "core:sample_count", default)]
    pub samples: Option<u64>,
    /// A short name.
    #[serde(rename = "core:label", default)]
    pub label: Option<String>,
    /// A longer remark.
    #[serde(rename = "core:comment", default)]
    pub comment: Option<String>,
}

#[derive(Deserialize)]
struct File {
    global: Global,
    #[serde(default)]
    captures: Vec<SigmfSegment>,
    #[serde(default)]
    annotations: Vec<SigmfAnnotation>,
}

#[derive(Deserialize)]
struct Global {
    #[serde(rename = "core:datatype")]
    datatype: String,
    #[serde(rename = "core:sample_rate", default)]
    sample_rate_hz: Option<f64>,
    #[serde(rename = "core:num_channels", default)]
    channels: Option<usize>,
    #[serde(rename = "core:sha512", default)]
    sha512: Option<String>,
    #[serde(rename = "core:dataset", default)]
    dataset: Option<String>,
    #[serde(rename = "core:trailing_bytes", default)]
    trailing_bytes: u64,
}

impl SigmfMetadata {
    /// The content of a metadata file; `name` is for messages.
    ///
    /// # Errors
    /// When it is no JSON, lacks the data type, or has a field of the wrong kind.
    pub fn from_json(json: &[u8], name: &str) -> Result<Self, ReadError> {
        let file: File =
            serde_json::from_slice(json).map_err(|source| ReadError::SigmfMetadata {
                path: name.to_owned(),
                source,
            })?;
        let global = file.global;
        let stored = global
            .datatype
            .starts_with(['r', 'c'])
            .then(|| global.datatype.parse().ok())
            .flatten()
            .ok_or_else(|| ReadError::SigmfType {
                path: name.to_owned(),
                found: global.datatype.chars().take(40).collect(),
            })?;
        Ok(Self {
            stored,
            sample_rate_hz: global.sample_rate_hz,
            channels: global.channels.unwrap_or(1),
            sha512: global.sha512,
            dataset: global.dataset,
            trailing_bytes: global.trailing_bytes,
            segments: file.captures,
            annotations: file.annotations,
        })
    }
}
