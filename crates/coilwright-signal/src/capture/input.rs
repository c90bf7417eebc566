use std::io::{ErrorKind, Read};

use sha2::{Digest, Sha512};

use super::{ReadError, ReadWarning};

/// Bytes held at once, whatever the file says about itself.
pub(super) const BUFFER_BYTES: usize = 64 * 1024;

/// A byte stream with a bounded buffer, that knows where it is.
pub(crate) struct Input<R = Box<dyn Read + Send>> {
    reader: R,
    name: String,
    buffer: Vec<u8>,
    start: usize,
    end: usize,
    offset: u64,
    ended: bool,
    checksum: Option<Checksum>,
}

/// A hash over every byte that is read.
struct Checksum {
    hasher: Sha512,
    expected: String,
}

/// Digits of a hash that are shown.
const SHOWN_DIGITS: usize = 16;

impl<R: Read> Input<R> {
    pub(crate) fn new(reader: R, name: &str) -> Self {
        Self {
            reader,
            name: name.to_owned(),
            buffer: vec![0; BUFFER_BYTES],
            start: 0,
            end: 0,
            offset: 0,
            ended: false,
            checksum: None,
        }
    }

    /// Hashes every byte from here on, to be compared with `expected` in hexadecimal.
    pub(super) fn check_sha512(&mut self, expected: &str) {
        self.checksum = Some(Checksum {
            hasher: Sha512::new(),
            expected: expected.to_ascii_lowercase(),
        });
    }

    /// Reads to the end where a hash was asked for, and says whether it is another one.
    pub(super) fn checksum_warning(&mut self) -> Result<Option<ReadWarning>, ReadError> {
        if self.checksum.is_none() {
            return Ok(None);
        }
        self.skip(u64::MAX)?;
        let Some(Checksum { hasher, expected }) = self.checksum.take() else {
            return Ok(None);
        };
        let mut found = String::with_capacity(128);
        for byte in hasher.finalize() {
            for digit in [byte >> 4, byte & 15] {
                found.extend(char::from_digit(u32::from(digit), 16));
            }
        }
        let shown = |digits: &str| digits.chars().take(SHOWN_DIGITS).collect();
        Ok((found != expected).then(|| ReadWarning::HashMismatch {
            found: shown(&found),
            expected: shown(&expected),
        }))
    }

    /// The name that errors carry.
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// How many bytes were consumed.
    pub(super) fn offset(&self) -> u64 {
        self.offset
    }

    /// The bytes at hand, at least `wanted` of them (up to [`BUFFER_BYTES`]) unless the stream ends before.
    pub(super) fn fill(&mut self, wanted: usize) -> Result<&[u8], ReadError> {
        while self.end - self.start < wanted.min(BUFFER_BYTES) && !self.ended {
            if self.start > 0 {
                self.buffer.copy_within(self.start..self.end, 0);
                self.end -= self.start;
                self.start = 0;
            }
            self.read_more()?;
        }
        Ok(self.at_hand())
    }

    /// The bytes that were read and not consumed yet.
    pub(super) fn at_hand(&self) -> &[u8] {
        self.buffer.get(self.start..self.end).unwrap_or_default()
    }

    fn read_more(&mut self) -> Result<(), ReadError> {
        let free = self.buffer.get_mut(self.end..).unwrap_or_default();
        match self.reader.read(free) {
            Ok(0) => self.ended = true,
            Ok(count) => {
                if let Some((checksum, fresh)) = self.checksum.as_mut().zip(free.get(..count)) {
                    checksum.hasher.update(fresh);
                }
                self.end += count.min(free.len());
            }
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            Err(source) => {
                return Err(ReadError::Io {
                    path: self.name.clone(),
                    source,
                });
            }
        }
        Ok(())
    }

    /// Drops `count` of the bytes at hand.
    pub(super) fn consume(&mut self, count: usize) {
        let count = count.min(self.end - self.start);
        self.start += count;
        self.offset += count as u64;
    }

    /// Drops `count` bytes, reading as needed, and returns how many there were to drop.
    pub(super) fn skip(&mut self, count: u64) -> Result<u64, ReadError> {
        let mut left = count;
        while left > 0 {
            let at_hand = self.fill(1)?.len();
            if at_hand == 0 {
                break;
            }
            let step = left.min(at_hand as u64);
            self.consume(step as usize);
            left -= step;
        }
        Ok(count - left)
    }

    /// The next `N` bytes; `None`, with nothing consumed, where the stream ends before.
    pub(super) fn take<const N: usize>(&mut self) -> Result<Option<[u8; N]>, ReadError> {
        let taken = self.fill(N)?.first_chunk::<N>().copied();
        if taken.is_some() {
            self.consume(N);
        }
        Ok(taken)
    }

    /// The next `N` bytes, which are the `part` of a header.
    pub(super) fn header<const N: usize>(
        &mut self,
        part: &'static str,
    ) -> Result<[u8; N], ReadError> {
        self.take::<N>()?.ok_or_else(|| ReadError::HeaderCut {
            path: self.name.clone(),
            offset_bytes: self.offset,
            part,
            expected_bytes: N as u64,
            found_bytes: self.at_hand().len() as u64,
        })
    }
}
