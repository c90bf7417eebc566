use super::data::{Points, Row};
use super::format::{Options, resistance};
use super::keyword::{Keyword, Order};
use super::model::Touchstone;
use crate::capture::ReadError;
use crate::capture::delimited::is_utf16;
use crate::capture::delimited::lines::{LineEnd, Lines};
use crate::capture::input::Input;
use crate::table::error::shown;
use crate::table::{TableError, TableWarning};
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// Returns the scattering parameters of a Touchstone file of one or two ports.
///
/// # Errors
/// When the file cannot be read or is not what Touchstone files are; each message says where.
pub fn read_touchstone(path: impl AsRef<Path>) -> Result<Touchstone, TableError> {
    let path = path.as_ref();
    let name = path.display().to_string();
    let file = File::open(path).map_err(|source| ReadError::Io {
        path: name.clone(),
        source,
    })?;
    read_touchstone_from(file, &name)
}

/// The same from anything that can be read; `name` is for messages, and its ending (`.s1p`, `.s2p`) is not needed.
///
/// # Errors
/// As for [`read_touchstone`].
///
/// ```
/// use coilwright_signal::table::read_touchstone_from;
/// let file = b"! coil 3\n# kHz S RI R 50\n100 0.5 0.5\n125 0.6 0.4\n";
/// let table = read_touchstone_from(&file[..], "coil.s1p")?;
/// assert_eq!(table.frequencies_hz, [100e3, 125e3]);
/// assert_eq!(table.element(1, 1).unwrap()[1].re, 0.6);
/// # Ok::<(), coilwright_signal::table::TableError>(())
/// ```
pub fn read_touchstone_from(reader: impl Read, name: &str) -> Result<Touchstone, TableError> {
    let mut lines = Lines::new(Input::new(reader, name), 0);
    let mut parser = Parser::new(name);
    while let Some(line) = lines.next()? {
        parser.lines = line.number;
        if line.number == 1 && is_utf16(line.bytes) {
            return Err(ReadError::TextEncoding {
                path: name.to_owned(),
            }
            .into());
        }
        let text = String::from_utf8_lossy(line.bytes);
        let content = text.split('!').next().unwrap_or_default().trim();
        if line.end == LineEnd::Text && !content.is_empty() && !parser.is_end(content) {
            parser
                .warnings
                .push(TableWarning::PartialLine { line: line.number });
            break;
        }
        if content.is_empty() || parser.stage == Stage::Done {
            continue;
        }
        parser.take(line.number, content)?;
    }
    parser.finish()
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stage {
    Header,
    Information,
    /// References may stand in the lines after their keyword.
    Reference,
    Data,
    Noise,
    Done,
}

struct Parser<'a> {
    name: &'a str,
    lines: u64,
    version: u8,
    stage: Stage,
    options: Option<Options>,
    ports: Option<usize>,
    order: Option<Order>,
    stated: Option<usize>,
    references: Vec<f64>,
    points: Option<Points>,
    /// Whether a point at 0 Hz was left out.
    zero: bool,
    warnings: Vec<TableWarning>,
}

impl<'a> Parser<'a> {
    fn new(name: &'a str) -> Self {
        Self {
            name,
            lines: 0,
            version: 1,
            stage: Stage::Header,
            options: None,
            ports: None,
            order: None,
            stated: None,
            references: Vec::new(),
            points: None,
            zero: false,
            warnings: Vec::new(),
        }
    }

    /// The closing keyword needs no line end.
    fn is_end(&self, content: &str) -> bool {
        self.version > 1 && Keyword::parse(content) == Some(Keyword::End)
    }

    fn take(&mut self, line: u64, content: &str) -> Result<(), TableError> {
        if content.starts_with('[') {
            return self.keyword(line, content);
        }
        match self.stage {
            Stage::Information | Stage::Noise | Stage::Done => Ok(()),
            _ if content.starts_with('#') => self.option_line(line, content),
            Stage::Reference => self.reference_words(line, content),
            Stage::Header if self.version > 1 => {
                Err(self.unexpected(line, content, "[Network Data] before the first point"))
            }
            Stage::Header | Stage::Data => self.data_line(line, content),
        }
    }

    /// The first option line counts; later ones are comments.
    fn option_line(&mut self, line: u64, content: &str) -> Result<(), TableError> {
        if self.options.is_some() {
            return Ok(());
        }
        let words = content.trim_start_matches('#').split_whitespace();
        let options = Options::parse(words).map_err(|found| TableError::OptionUnknown {
            path: self.name.to_owned(),
            line,
            found: shown(found),
        })?;
        self.options = Some(options);
        Ok(())
    }

    fn keyword(&mut self, line: u64, content: &str) -> Result<(), TableError> {
        let keyword = Keyword::parse(content);
        if self.stage == Stage::Information {
            if keyword == Some(Keyword::EndInformation) {
                self.stage = Stage::Header;
            }
            return Ok(());
        }
        if let Some(Keyword::Version(found)) = keyword {
            return self.version_line(line, found);
        }
        if self.version < 2 {
            return Err(self.unexpected(line, content, "[Version] 2.0 before any other keyword"));
        }
        self.stage = match keyword {
            Some(Keyword::Ports(found)) => {
                self.ports = Some(self.ports_of(line, found)?);
                Stage::Header
            }
            Some(Keyword::Order(found)) => {
                let order = Order::parse(found);
                self.order =
                    Some(order.ok_or_else(|| self.unexpected(line, content, "12_21 or 21_12"))?);
                Stage::Header
            }
            Some(Keyword::Frequencies(found)) => {
                let stated = found.parse().ok();
                self.stated =
                    Some(stated.ok_or_else(|| self.unexpected(line, content, "a whole number"))?);
                Stage::Header
            }
            Some(Keyword::Reference(found)) => {
                self.reference_words(line, found)?;
                Stage::Reference
            }
            Some(Keyword::MatrixFormat(found)) if found.eq_ignore_ascii_case("full") => {
                Stage::Header
            }
            Some(Keyword::BeginInformation) => Stage::Information,
            Some(Keyword::NetworkData) => {
                self.begin_data(line, content)?;
                Stage::Data
            }
            Some(Keyword::NoiseFrequencies) => self.stage,
            Some(Keyword::NoiseData) => {
                self.warnings.push(TableWarning::NoiseSkipped { line });
                Stage::Noise
            }
            Some(Keyword::End) => Stage::Done,
            _ => {
                return Err(self.unexpected(
                    line,
                    content,
                    "a keyword of a full matrix of one or two ports",
                ));
            }
        };
        Ok(())
    }

    fn version_line(&mut self, line: u64, found: &str) -> Result<(), TableError> {
        self.version = match found.split('.').next() {
            Some("1") => 1,
            Some("2") => 2,
            _ => {
                return Err(TableError::VersionUnknown {
                    path: self.name.to_owned(),
                    line,
                    found: shown(found),
                });
            }
        };
        Ok(())
    }

    fn ports_of(&self, line: u64, found: &str) -> Result<usize, TableError> {
        let found: usize = found
            .parse()
            .map_err(|_| self.unexpected(line, found, "a number of ports"))?;
        if matches!(found, 1 | 2) {
            return Ok(found);
        }
        Err(TableError::Ports {
            path: self.name.to_owned(),
            line,
            found,
        })
    }

    fn reference_words(&mut self, line: u64, content: &str) -> Result<(), TableError> {
        for word in content.split_whitespace() {
            let value = resistance(word)
                .filter(|_| self.references.len() < 2)
                .ok_or_else(|| {
                    self.unexpected(
                        line,
                        word,
                        "one positive reference resistance for each port",
                    )
                })?;
            self.references.push(value);
        }
        Ok(())
    }

    /// Starts the points once it is known what they mean.
    fn begin_data(&mut self, line: u64, content: &str) -> Result<(), TableError> {
        let options = self.options.ok_or_else(|| TableError::OptionLineMissing {
            path: self.name.to_owned(),
            line,
            found: shown(content),
        })?;
        let ports = self
            .ports
            .ok_or_else(|| self.unexpected(line, content, "[Number of Ports] before it"))?;
        if self.points.is_some() {
            return Err(self.unexpected(line, content, "one block of data"));
        }
        let order = match (self.version, ports, self.order) {
            (_, 1, _) => Order::ByRows,
            (1, ..) => Order::ByColumns,
            (_, _, Some(order)) => order,
            (_, _, None) => {
                return Err(self.unexpected(line, content, "[Two-Port Data Order] before it"));
            }
        };
        let mut references = std::mem::take(&mut self.references);
        if references.is_empty() {
            references = vec![options.reference_ohm; ports];
        }
        if references.len() != ports {
            return Err(self.unexpected(line, content, "one [Reference] for each port"));
        }
        self.points = Some(Points::new(ports, options, order, references, self.version));
        Ok(())
    }

    fn data_line(&mut self, line: u64, content: &str) -> Result<(), TableError> {
        let mut numbers = Vec::new();
        // A point of two ports has nine numbers; what is more is told by its count.
        for word in content.split_whitespace().take(16) {
            let number = word.parse().map_err(|_| TableError::NumberBroken {
                path: self.name.to_owned(),
                line,
                found: shown(word),
            })?;
            numbers.push(number);
        }
        if self.points.is_none() {
            self.ports = Some(match numbers.len() {
                3 => 1,
                9 => 2,
                found => {
                    return Err(TableError::ValueCount {
                        path: self.name.to_owned(),
                        line,
                        found,
                        expected: 3,
                    });
                }
            });
            self.begin_data(line, content)?;
            self.stage = Stage::Data;
        }
        let noise_may_follow = self.version == 1;
        let Some(points) = self.points.as_mut() else {
            return Ok(());
        };
        match points.add(self.name, line, &numbers, noise_may_follow)? {
            Row::Point => {}
            Row::Zero => {
                self.zero = true;
                self.warnings.push(TableWarning::ZeroFrequency { line });
            }
            Row::Noise => {
                self.warnings.push(TableWarning::NoiseSkipped { line });
                self.stage = Stage::Noise;
            }
        }
        Ok(())
    }

    fn unexpected(&self, line: u64, found: &str, expected: &'static str) -> TableError {
        TableError::Keyword {
            path: self.name.to_owned(),
            line,
            found: shown(found),
            expected,
        }
    }

    fn finish(mut self) -> Result<Touchstone, TableError> {
        if self.lines == 0 {
            return Err(TableError::Empty {
                path: self.name.to_owned(),
            });
        }
        let (points, options) = match (self.points, self.options) {
            (Some(points), Some(options)) if !points.frequencies_hz.is_empty() => (points, options),
            _ => {
                return Err(TableError::NoPoints {
                    path: self.name.to_owned(),
                    lines: self.lines,
                });
            }
        };
        let found = points.frequencies_hz.len() + usize::from(self.zero);
        match self.stated {
            Some(stated) if found < stated => self
                .warnings
                .push(TableWarning::FewerPoints { found, stated }),
            Some(stated) if found > stated => self
                .warnings
                .push(TableWarning::MorePoints { found, stated }),
            _ => {}
        }
        if self.version > 1 && self.stage != Stage::Done {
            self.warnings.push(TableWarning::EndMissing);
        }
        Ok(Touchstone {
            name: self.name.to_owned(),
            version: self.version,
            ports: points.ports,
            parameter: options.parameter,
            reference_ohm: points.reference_ohm().to_vec(),
            frequencies_hz: points.frequencies_hz,
            scattering: points.scattering,
            warnings: self.warnings,
        })
    }
}
