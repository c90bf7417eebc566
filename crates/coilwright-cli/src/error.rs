/// Why the command refused, where no library says so itself.
#[derive(Debug, thiserror::Error)]
pub(crate) enum CommandError {
    /// Standard input is named more than once.
    #[error(
        "-: found standard input named {count} times, expected once at most; name a file for the others"
    )]
    StandardInputRepeats {
        /// How often it is named.
        count: usize,
    },
    /// The result could not be written.
    #[error("standard output: cannot be written: {0}; check the disk or the program that reads it")]
    Output(#[source] std::io::Error),
    /// A folder or a truth file could not be written.
    #[error("{}: cannot be written: {source}; check the folder, its permissions and the space left", path.display())]
    Write {
        /// The file or folder.
        path: std::path::PathBuf,
        /// What the system said.
        #[source]
        source: std::io::Error,
    },
    /// A capture could not be written.
    #[error(transparent)]
    Capture(#[from] coilwright_signal::capture::WriteError),
    /// The simulated lock makes no sense.
    #[error(transparent)]
    Simulate(#[from] coilwright_simulate::SimulateError),
    /// The extension names no format of an export.
    #[error(
        "{}: found no format that is known for this name, expected one that ends in .jsonl, .csv, .vcd or .sigmf-meta; rename the export", path.display()
    )]
    ExportKind {
        /// Where it should be written.
        path: std::path::PathBuf,
    },
    /// The extension names no kind of picture.
    #[error("{}: found no kind of picture that is drawn, expected a name that ends in .svg or .png; rename the plot", path.display())]
    PlotKind {
        /// Where it should be written.
        path: std::path::PathBuf,
    },
    /// A picture could not be turned into pixels.
    #[error("{}: the picture cannot be turned into pixels; give the plot a name that ends in .svg", path.display())]
    NoPixels {
        /// Where it should be written.
        path: std::path::PathBuf,
    },
    /// The place of an output is taken.
    #[error("{}: is there already; choose another name, or give --force to replace it", path.display())]
    Exists {
        /// The file.
        path: std::path::PathBuf,
    },
    /// The place of an output is a device, a pipe, a folder or a link to nothing.
    #[error("{}: is no regular file, expected one or a free name; choose another name", path.display())]
    NoRegularFile {
        /// The place.
        path: std::path::PathBuf,
    },
    /// An output would replace the capture.
    #[error("{}: is the capture itself; choose another name for the output", path.display())]
    OverInput {
        /// The file.
        path: std::path::PathBuf,
    },
    /// Outputs are asked for of several captures.
    #[error("--export and --plot: found {count} captures, expected one; decode them one by one")]
    SeveralCaptures {
        /// How many captures are named.
        count: usize,
    },
    /// A picture is asked for of several measurements.
    #[error("--plot: found {count} files, expected one; draw them one by one")]
    SeveralFitted {
        /// How many files are named.
        count: usize,
    },
    /// Nothing was fitted that could be drawn.
    #[error("{}: nothing to draw: found no fitted curve, expected one; see the notes of the same command without --plot", path.display())]
    NoCurve {
        /// Where it should be written.
        path: std::path::PathBuf,
    },
    /// A design has no inductance.
    #[error(
        "--nominal: found no inductance_henry, expected one with its tolerance; add --nominal inductance_henry=VALUE:TOLERANCE"
    )]
    DesignWithoutInductance,
    /// A number follows from a design and is no part of it.
    #[error(
        "--nominal: found {found}, expected inductance_henry, capacitance_farad, resistance_ohm or direct_ohm; use --limit for {found}"
    )]
    NoPartOfADesign {
        /// The number.
        found: &'static str,
    },
    /// A stimulus is too short to hold its band.
    #[error(
        "--duration: found {found_s} s, expected at least {needed_s:.2e} s, ten cycles of the lowest frequency; a second or more is usual"
    )]
    StimulusShort {
        /// What was asked for, seconds.
        found_s: f64,
        /// Least duration, seconds.
        needed_s: f64,
    },
    /// No winding meets an aim.
    #[error("{source}; there {missed}")]
    NoDesign {
        /// What came nearest.
        #[source]
        source: coilwright_coil::ModelError,
        /// What it misses and by how much.
        missed: String,
    },
    /// A model does not hold for what the options say.
    #[error("{options}: {}; {remedy}", Limits(source))]
    Geometry {
        /// The options that it depends on.
        options: &'static str,
        /// Why.
        source: coilwright_coil::ModelError,
        /// What to do.
        remedy: &'static str,
    },
    /// A shape needs its wire.
    #[error("--wire or --gauge: found none, expected one; give the diameter of the bare wire")]
    WireMissing,
    /// Turns do not fill the layers that are asked for.
    #[error(
        "--layers: found {layers} for {turns} turns, but {per_layer} turns in a layer fill {filled}; change --layers or --turns"
    )]
    LayersUnfilled {
        /// Layers asked for.
        layers: usize,
        /// Turns in all.
        turns: usize,
        /// Turns of a full layer.
        per_layer: usize,
        /// Layers that they fill.
        filled: usize,
    },
    /// The inner edge of a spiral lies outside its outer one.
    #[error(
        "--inner and --outer: found {inner_m} m inside {outer_m} m, expected the inner diameter to be the smaller; exchange them"
    )]
    SpiralInsideOut {
        /// Inner diameter, metres.
        inner_m: f64,
        /// Outer diameter, metres.
        outer_m: f64,
    },
    /// A spiral of wire that is not round or has part of a turn.
    #[error(
        "--wire or --gauge: found a spiral that is not round or has part of a turn, expected a round one of whole turns; leave out the wire, or change --outline or --turns"
    )]
    SpiralOfWire,
    /// The turns of a spiral do not fit between its edges.
    #[error(
        "--inner, --outer and --turns: found {found_m:.6} m between the edges, expected at least {needed_m:.6} m for the wire; take fewer turns or thinner wire"
    )]
    SpiralTight {
        /// From edge to edge, metres.
        found_m: f64,
        /// What the wire takes, metres.
        needed_m: f64,
    },
    /// An option needs the coil's resistance, for which there is no formula.
    #[error(
        "{option}: found no resistance of the coil, expected one: {reason}; give the measured one with --coil-ohm"
    )]
    NoResistance {
        /// The option.
        option: &'static str,
        /// Why there is none.
        reason: &'static str,
    },
    /// An option is for round coils.
    #[error(
        "{option}: found a coil that is not round, expected a round one; no formula is given here for other outlines"
    )]
    RoundOnly {
        /// The option.
        option: &'static str,
    },
    /// A parallel tank without a resistance before it.
    #[error(
        "--tank parallel: found no resistance between driver and tank, expected one; add --series-ohm"
    )]
    ParallelWithoutSeries,
    /// A part has two tolerances.
    #[error("--tolerance: found two of {name}, expected one of each part; leave one out")]
    ToleranceTwice {
        /// The part.
        name: &'static str,
    },
    /// A tolerance of a resistance that is not there.
    #[error("--tolerance series: found no resistance in series, expected one; add --series-ohm")]
    ToleranceOfNothing,
    /// A design could not be sought, or a coil not be computed.
    #[error(transparent)]
    Model(#[from] coilwright_coil::ModelError),
    /// An ohmmeter's reading stands beside a file and nothing to hold both against.
    #[error(
        "--ohms: found a file and no standard, expected one to judge both by; add --good-ohms, --against, --limit or --nominal, or leave out the file"
    )]
    OhmsWithoutStandard,
    /// The sound coil shows no winding.
    #[error(
        "--good-ohms: found {found_ohm} Ω, which such a meter cannot tell from its leads, expected the resistance of a sound winding; measure it with four wires and use --limit direct_ohm=LOW..HIGH"
    )]
    GoodOhmsTooSmall {
        /// The reading.
        found_ohm: f64,
    },
    /// No stretch was heard.
    #[error(
        "{}: nothing to draw: found no stretch with a field on, expected at least 10 ms of one; see what the decode says of the carrier", path.display()
    )]
    NothingToDraw {
        /// Where it should be written.
        path: std::path::PathBuf,
    },
    /// The capture could not be measured.
    #[error(transparent)]
    Check(#[from] coilwright_diagnose::CheckError),
    /// A table over frequency could not be read.
    #[error(transparent)]
    Table(#[from] coilwright_signal::table::TableError),
    /// A measurement is held against one of another kind.
    #[error(
        "{}: found a measurement of kind {found}, expected {expected} as in the good one; measure both alike{hint}", path.display()
    )]
    KindsDiffer {
        /// The file.
        path: std::path::PathBuf,
        /// Its kind.
        found: &'static str,
        /// The good one's.
        expected: &'static str,
        /// What else may help.
        hint: &'static str,
    },
    /// A recording of two channels is no stimulus with its pickup.
    #[error(
        "{}: taken for a recording of two channels, stimulus and pickup; {source}; {hint}", path.display()
    )]
    NoInjection {
        /// The file.
        path: std::path::PathBuf,
        /// Why.
        #[source]
        source: Box<coilwright_coil::FitError>,
        /// What the file may be instead.
        hint: String,
    },
    /// Stimulus and pickup come from a stream, which is read only once.
    #[error(
        "{}: found two channels in a stream, expected one; name one of them with --channel, or read stimulus and pickup from a file", path.display()
    )]
    TwoChannelsStreamed {
        /// The stream.
        path: std::path::PathBuf,
    },
    /// One or two frequencies show no scatter.
    #[error(
        "{}: found too few frequencies ({found}), expected three or more, which show by their scatter how sure they are; measure at more, or say what the meter may be off, as its data sheet does, such as --accuracy 0.3%", path.display()
    )]
    FewFrequencies {
        /// The file.
        path: std::path::PathBuf,
        /// How many there are.
        found: usize,
    },
    /// A table from a stream has no end in sight.
    #[error(
        "{}: found more than {limit} MB of a table in a stream, expected less; write the stream to a file, and take fewer frequencies", path.display()
    )]
    TableStreamTooLong {
        /// The stream.
        path: std::path::PathBuf,
        /// Megabytes that are read.
        limit: u64,
    },
    /// Nothing of a sound coil was measured.
    #[error(
        "{}: found no number of a coil, expected a sound one to compare with; {said}", path.display()
    )]
    NothingSound {
        /// The file.
        path: std::path::PathBuf,
        /// What the measurement says.
        said: String,
    },
    /// A measurement holds no coil that could be fitted, or a stimulus cannot be made.
    #[error("{}: {source}", path.display())]
    Fit {
        /// The file.
        path: std::path::PathBuf,
        /// Why.
        #[source]
        source: Box<coilwright_coil::FitError>,
    },
}

/// A model's refusal as limits of the found number, where it is one.
struct Limits<'a>(&'a coilwright_coil::ModelError);

impl std::fmt::Display for Limits<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        use crate::output::number::quantity;
        let coilwright_coil::ModelError::OutsideValidity {
            formula,
            quantity: name,
            found,
            low,
            high,
        } = self.0
        else {
            return self.0.fmt(f);
        };
        let (found, low) = (quantity(*found, ""), quantity(*low, ""));
        write!(f, "found {found} as {name}, expected from {low}")?;
        if *high < f64::MAX {
            write!(f, " to {}", quantity(*high, ""))?;
        }
        write!(f, " ({formula})")
    }
}
