//! What must hold of every reader, whatever the bytes.

use std::io::Cursor;

use coilwright_signal::capture::{
    BlockSource, Capture, ReadError, ReadOptions, ReadWarning, open_reader, open_stream, read_all,
};

/// What a reader made of some bytes.
type Outcome = Result<(Capture, Vec<ReadWarning>), ReadError>;

/// Reads bytes as a file and, where streams of this kind are read, as a stream.
pub fn check(bytes: &[u8], options: &ReadOptions) {
    let outcome =
        open_reader(Box::new(Cursor::new(bytes.to_vec())), "file", options).and_then(read);
    check_outcome(&outcome, bytes.len());
    let streamed =
        open_stream(Box::new(Cursor::new(bytes.to_vec())), "stream", options).and_then(read);
    check_outcome(&streamed, bytes.len());
    if let (Ok((one, warnings)), Ok((other, other_warnings))) = (&outcome, &streamed) {
        assert_eq!(
            one.samples, other.samples,
            "a stream holds what a file holds"
        );
        assert_eq!(
            warnings, other_warnings,
            "a stream has the warnings of a file"
        );
    }
    check_blocks(bytes, options, &outcome);
}

/// Reads the rest of a source.
pub fn read(mut source: Box<dyn BlockSource>) -> Outcome {
    let promised = source.info().length;
    let outcome = read_all(&mut *source);
    if let (Some(promised), Ok((capture, _))) = (promised, &outcome) {
        assert_eq!(
            Some(promised),
            capture.info.length,
            "the length known before reading is the length"
        );
    }
    outcome
}

/// Samples are finite numbers, no more than there can be, and every failure has a message.
pub fn check_outcome(outcome: &Outcome, bytes: usize) {
    match outcome {
        Ok((capture, warnings)) => {
            assert!(capture.info.sample_rate_hz.is_finite() && capture.info.sample_rate_hz > 0.0);
            assert!(capture.samples.iter().all(|sample| sample.is_finite()));
            assert_eq!(capture.samples.len() % capture.info.kind.width(), 0);
            assert!(capture.samples.len() <= bytes);
            assert!(capture.info.channel < capture.info.channels);
            assert!(
                warnings
                    .iter()
                    .all(|warning| !warning.to_string().is_empty())
            );
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
}

/// Blocks of a few samples give the same.
fn check_blocks(bytes: &[u8], options: &ReadOptions, outcome: &Outcome) {
    let Ok((capture, warnings)) = outcome else {
        return;
    };
    let Ok(mut source) = open_reader(Box::new(Cursor::new(bytes.to_vec())), "file", options) else {
        panic!("what opened once opens again");
    };
    let mut block = [0.0; 6];
    let mut samples = Vec::new();
    loop {
        match source.read_block(&mut block) {
            Ok(0) => break,
            Ok(count) => samples.extend_from_slice(&block[..count]),
            Err(error) => panic!("what was read once is read again: {error}"),
        }
    }
    assert_eq!(samples, capture.samples);
    assert_eq!(source.warnings(), warnings);
}

/// The user's choices, from the first two bytes; the rest is the file.
pub fn choices(bytes: &[u8]) -> Option<(ReadOptions, &[u8])> {
    let ([channel, rate], rest) = bytes.split_first_chunk::<2>()?;
    let options = ReadOptions {
        channel: channel.checked_sub(1).map(usize::from),
        sample_rate_hz: match rate {
            0 => None,
            1 => Some(f64::NAN),
            rate => Some(f64::from(*rate) * 1e4),
        },
        ..ReadOptions::default()
    };
    Some((options, rest))
}
