//! Builders of files, by hand from the definition of each format.

use std::io::Cursor;

use coilwright_signal::capture::{
    BlockSource, Capture, ReadError, ReadOptions, ReadWarning, open_reader, open_stream, read_all,
};

/// What a reader made of a file.
pub(super) type Outcome = Result<(Capture, Vec<ReadWarning>), ReadError>;

/// Reads bytes as a file of this name.
pub(super) fn read_file(bytes: &[u8], name: &str, options: &ReadOptions) -> Outcome {
    read_all(&mut *open_reader(
        Box::new(Cursor::new(bytes.to_vec())),
        name,
        options,
    )?)
}

/// Reads bytes as a stream that arrives in small uneven pieces.
pub(super) fn read_stream(bytes: &[u8], name: &str, options: &ReadOptions) -> Outcome {
    let reader = Pieces {
        bytes: bytes.to_vec(),
        position: 0,
    };
    read_all(&mut *open_stream(Box::new(reader), name, options)?)
}

/// All samples, read with blocks of this many values.
pub(super) fn read_in_blocks(mut source: Box<dyn BlockSource>, values: usize) -> Vec<f32> {
    let mut block = vec![0.0; values];
    let mut all = Vec::new();
    loop {
        let count = source.read_block(&mut block).unwrap();
        if count == 0 {
            return all;
        }
        all.extend_from_slice(&block[..count]);
    }
}

struct Pieces {
    bytes: Vec<u8>,
    position: usize,
}

impl std::io::Read for Pieces {
    fn read(&mut self, target: &mut [u8]) -> std::io::Result<usize> {
        let piece = 1 + self.position % 7;
        let count = piece
            .min(target.len())
            .min(self.bytes.len() - self.position);
        target[..count].copy_from_slice(&self.bytes[self.position..self.position + count]);
        self.position += count;
        Ok(count)
    }
}

/// A WAV file under construction; every field can be set to what a sloppy recorder writes.
#[derive(Clone)]
pub(super) struct Wav {
    pub(super) container: [u8; 4],
    pub(super) format: Vec<u8>,
    pub(super) before: Vec<u8>,
    pub(super) data_size: Option<u32>,
    pub(super) data: Vec<u8>,
    pub(super) after: Vec<u8>,
}

impl Wav {
    /// A plain file: tag 1 is integer, 3 is float.
    pub(super) fn new(tag: u16, channels: u16, rate: u32, bits: u16, data: Vec<u8>) -> Self {
        Self {
            container: *b"RIFF",
            format: format_fields(tag, channels, rate, bits),
            before: Vec::new(),
            data_size: None,
            data,
            after: Vec::new(),
        }
    }

    /// With a `fmt ` chunk of 40 bytes that holds valid bits and the tag in its subformat.
    pub(super) fn extensible(mut self, valid_bits: u16) -> Self {
        let tag = [self.format[0], self.format[1]];
        self.format[..2].copy_from_slice(&0xFFFE_u16.to_le_bytes());
        self.format.extend(22_u16.to_le_bytes());
        self.format.extend(valid_bits.to_le_bytes());
        self.format.extend(0_u32.to_le_bytes());
        self.format.extend(tag);
        self.format
            .extend([0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71]);
        self
    }

    /// The file.
    pub(super) fn build(&self) -> Vec<u8> {
        let mut body = self.before.clone();
        body.extend(chunk(*b"fmt ", &self.format));
        body.extend(b"data");
        body.extend(
            self.data_size
                .unwrap_or(self.data.len() as u32)
                .to_le_bytes(),
        );
        body.extend(&self.data);
        body.extend(&self.after);
        let mut file = self.container.to_vec();
        file.extend((body.len() as u32 + 4).to_le_bytes());
        file.extend(b"WAVE");
        file.extend(body);
        file
    }
}

/// The first 16 bytes of a `fmt ` chunk.
pub(super) fn format_fields(tag: u16, channels: u16, rate: u32, bits: u16) -> Vec<u8> {
    let frame = channels.wrapping_mul(bits.div_ceil(8));
    let mut fields = Vec::new();
    fields.extend(tag.to_le_bytes());
    fields.extend(channels.to_le_bytes());
    fields.extend(rate.to_le_bytes());
    fields.extend((rate * u32::from(frame)).to_le_bytes());
    fields.extend(frame.to_le_bytes());
    fields.extend(bits.to_le_bytes());
    fields
}

/// A chunk with its padding.
pub(super) fn chunk(id: [u8; 4], content: &[u8]) -> Vec<u8> {
    let mut chunk = id.to_vec();
    chunk.extend((content.len() as u32).to_le_bytes());
    chunk.extend(content);
    if content.len() % 2 == 1 {
        chunk.push(0);
    }
    chunk
}

/// An NPY file with its header written as `NumPy` writes it.
pub(super) fn npy(
    version: u8,
    descr: &str,
    fortran_order: &str,
    shape: &str,
    data: &[u8],
) -> Vec<u8> {
    let mut header =
        format!("{{'descr': {descr}, 'fortran_order': {fortran_order}, 'shape': {shape}, }}");
    let length_bytes = if version == 1 { 2 } else { 4 };
    while (8 + length_bytes + header.len() + 1) % 64 != 0 {
        header.push(' ');
    }
    header.push('\n');
    let mut file = b"\x93NUMPY".to_vec();
    file.extend([version, 0]);
    file.extend(&(header.len() as u32).to_le_bytes()[..length_bytes]);
    file.extend(header.as_bytes());
    file.extend(data);
    file
}
