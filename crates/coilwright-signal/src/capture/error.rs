/// Why a capture could not be read. Filled by the readers.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReadError {
    /// The operating system refused.
    #[error("{path}: cannot be read: {source}")]
    Io {
        /// The file as the user named it.
        path: String,
        /// What the system said.
        source: std::io::Error,
    },
}

/// What a reader repaired or doubted. Filled by the readers.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum ReadWarning {}
