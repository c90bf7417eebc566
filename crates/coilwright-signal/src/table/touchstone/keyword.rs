/// A keyword of version 2, with what follows it in the line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Keyword<'a> {
    Version(&'a str),
    Ports(&'a str),
    Order(&'a str),
    Frequencies(&'a str),
    Reference(&'a str),
    MatrixFormat(&'a str),
    BeginInformation,
    EndInformation,
    NetworkData,
    NoiseFrequencies,
    NoiseData,
    End,
}

impl<'a> Keyword<'a> {
    /// Of a line that starts with a bracket; `None` if it is not known.
    pub(super) fn parse(line: &'a str) -> Option<Self> {
        let (name, rest) = line.strip_prefix('[')?.split_once(']')?;
        let rest = rest.trim();
        let name: String = name.trim().to_ascii_lowercase();
        let words: Vec<&str> = name.split_whitespace().collect();
        Some(match words.join(" ").as_str() {
            "version" => Self::Version(rest),
            "number of ports" => Self::Ports(rest),
            "two-port data order" | "two-port order" => Self::Order(rest),
            "number of frequencies" => Self::Frequencies(rest),
            "number of noise frequencies" => Self::NoiseFrequencies,
            "reference" => Self::Reference(rest),
            "matrix format" => Self::MatrixFormat(rest),
            "begin information" => Self::BeginInformation,
            "end information" => Self::EndInformation,
            "network data" => Self::NetworkData,
            "noise data" => Self::NoiseData,
            "end" => Self::End,
            _ => return None,
        })
    }
}

/// Order of a two-port matrix in a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Order {
    /// N11 N21 N12 N22, also that of version 1.
    ByColumns,
    /// N11 N12 N21 N22.
    ByRows,
}

impl Order {
    pub(super) fn parse(word: &str) -> Option<Self> {
        match word {
            "21_12" => Some(Self::ByColumns),
            "12_21" => Some(Self::ByRows),
            _ => None,
        }
    }
}
