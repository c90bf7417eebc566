use coilwright_coil::{Stimulus, StimulusPlan, highest_playable_hz, make_stimulus};
use coilwright_signal::capture::{Capture, WavSample, write_wav};

use super::Sheet;
use super::measure::unfitted;
use crate::coil_args::{StimulusArgs, StimulusKind};
use crate::draft::{Existing, place};
use crate::error::CommandError;

/// Chooses the noise; the same each time, so that recordings compare.
const SEED: u64 = 1;
/// Tones of a multi-sine.
const TONES: usize = 64;
/// Half of full scale: head room for the card's filter.
const PEAK: f64 = 0.5;

/// Cycles of the lowest frequency in the shortest stimulus.
const LEAST_CYCLES: f64 = 10.0;

/// Writes the stimulus and says what the card can make.
pub(crate) fn write(arguments: &StimulusArgs) -> Result<Sheet, CommandError> {
    let path = &arguments.out;
    let place = place(path, Existing::by_force(arguments.force))?;
    let needed_s = LEAST_CYCLES / arguments.low;
    if arguments.duration < needed_s {
        return Err(CommandError::StimulusShort {
            found_s: arguments.duration,
            needed_s,
        });
    }
    let samples = make_stimulus(&StimulusPlan {
        stimulus: match arguments.kind {
            StimulusKind::Chirp => Stimulus::Chirp,
            StimulusKind::Noise => Stimulus::Noise { seed: SEED },
            StimulusKind::Tones => Stimulus::MultiSine { tones: TONES },
        },
        low_hz: arguments.low,
        high_hz: arguments.high,
        sample_rate_hz: arguments.sample_rate,
        duration_s: arguments.duration,
        peak: PEAK,
    })
    .map_err(|source| unfitted(path, source))?;
    write_wav(
        place,
        &Capture::from_samples(samples, arguments.sample_rate),
        WavSample::Int24,
    )?;
    let method = "Play it into the coil through a resistor or a loop beside it; record it on the left channel and the pickup on the right.";
    let mut sheet = Sheet::new("stimulus", path.display().to_string(), method);
    sheet.plain("low_hz", "from", "Hz", arguments.low);
    sheet.plain("high_hz", "to", "Hz", arguments.high);
    sheet.plain(
        "highest_playable_hz",
        "most this card makes",
        "Hz",
        highest_playable_hz(arguments.sample_rate),
    );
    sheet.plain("duration_s", "length", "s", arguments.duration);
    sheet.cautions.push("A coil at resonance multiplies the voltage by its Q: keep off its terminals and begin at low level.".to_owned());
    Ok(sheet)
}
