//! `SigMF` metadata to add annotations to, after the *Signal Metadata Format* specification, schema 1.2.6.

use serde_json::{Map, Value, json};

use crate::capture::{CaptureInfo, SampleKind, Storage};

/// The version of the specification that the metadata follow.
const VERSION: &str = "1.2.6";

/// The file that the samples stand in, as far as metadata can point at it: one in the same folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DataFile {
    /// Its name without the folder.
    pub name: String,
    /// Its length.
    pub length_bytes: u64,
}

/// Metadata for a recording that has none.
///
/// Where `SigMF` can say how the samples lie in their file, the metadata point at it (`core:dataset`, a "non-conforming
/// dataset"); where it cannot, as for text, they stand alone (`core:metadata_only`) and sample positions count the
/// samples in order.
#[must_use]
pub fn sigmf_metadata_for(info: &CaptureInfo, data: Option<&DataFile>) -> Value {
    let mut global = Map::new();
    let mut first = Map::from_iter([("core:sample_start".to_owned(), json!(0))]);
    global.insert("core:version".to_owned(), json!(VERSION));
    global.insert("core:sample_rate".to_owned(), json!(info.sample_rate_hz));
    let stored = info
        .storage
        .and_then(|storage| Some((storage, storage.raw_type.sigmf_name()?)));
    if let Some(((storage, datatype), data)) = stored.zip(data) {
        global.insert("core:datatype".to_owned(), json!(datatype));
        global.insert("core:num_channels".to_owned(), json!(info.channels));
        global.insert("core:dataset".to_owned(), json!(data.name));
        if storage.header_bytes > 0 {
            first.insert("core:header_bytes".to_owned(), json!(storage.header_bytes));
        }
        if let Some(bytes) = trailing_bytes(info, storage, data).filter(|&bytes| bytes > 0) {
            global.insert("core:trailing_bytes".to_owned(), json!(bytes));
        }
    } else {
        let datatype = match info.kind {
            SampleKind::Real => "rf32_le",
            SampleKind::Complex => "cf32_le",
        };
        global.insert("core:datatype".to_owned(), json!(datatype));
        global.insert("core:metadata_only".to_owned(), json!(true));
        let description = format!("Samples of {} ({})", info.source.name, info.source.format);
        global.insert("core:description".to_owned(), json!(description));
    }
    // The specification wants UTC, marked by a Z.
    if let Some(time) = info.start_time.as_ref().filter(|time| time.ends_with('Z')) {
        first.insert("core:datetime".to_owned(), json!(time));
    }
    json!({"global": global, "captures": [first], "annotations": []})
}

/// The metadata of a recording for a copy that stands under another name: `dataset` is the name of the data file in the
/// folder of the copy, or `None` where it lies elsewhere.
#[must_use]
pub fn sigmf_metadata_copy(mut original: Value, dataset: Option<&str>) -> Value {
    if let Some(global) = original.get_mut("global").and_then(Value::as_object_mut) {
        if let Some(name) = dataset {
            global.insert("core:dataset".to_owned(), json!(name));
        } else {
            global.remove("core:dataset");
            global.insert("core:metadata_only".to_owned(), json!(true));
        }
    }
    original
}

fn trailing_bytes(info: &CaptureInfo, storage: Storage, data: &DataFile) -> Option<u64> {
    let frame_bytes = (info.channels * storage.raw_type.bytes()) as u64;
    let samples_end = info
        .length?
        .checked_mul(frame_bytes)?
        .checked_add(storage.header_bytes)?;
    data.length_bytes.checked_sub(samples_end)
}
