use coilwright_signal::downlink::Message;
use serde::Serialize;

/// What the reader said to the key by short gaps in the field. It is listed and not interpreted.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Downlink {
    /// The messages; at most the first 64.
    pub messages: Vec<Message>,
    /// How many there are.
    pub message_count: u64,
    /// Short gaps of the field, those of messages and others.
    pub gap_count: u64,
}
