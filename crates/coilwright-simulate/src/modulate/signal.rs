use super::{Content, Keying, LineCode};
use crate::SimulateError;
use crate::circuit::KeySwitch;
use crate::error::require;
use crate::integrate::{Change, Drive, SwitchEvent, Tone};

/// What a key sends: frame after frame without a pause while it has field, or once after it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeySignal {
    /// The frame.
    pub content: Content,
    /// The line code.
    pub line_code: LineCode,
    /// How the levels of the code reach the field.
    pub keying: Keying,
    /// Carrier cycles a bit: 64, 40, 32 or 16 are usual; even for codes with half-bits. A key with tones of its own
    /// counts its own cycles instead, 16 a bit.
    pub clocks_per_bit: u32,
    /// Carrier cycles from the start of the field until the first bit: the key's power-up.
    pub power_up_clocks: u32,
    /// Whether levels are exchanged: the heavy load then is level 0 of the code.
    pub inverted: bool,
}

impl KeySignal {
    /// Returns the first `count` levels of the line code, one or two a bit; the frame is sent over and over.
    #[must_use]
    pub fn levels(&self, count: usize) -> Vec<u8> {
        let per_bit = self.line_code.levels_per_bit() as usize;
        let frame = self.content.bits();
        let bits: Vec<u8> = frame
            .iter()
            .copied()
            .cycle()
            .take(count.div_ceil(per_bit))
            .collect();
        let mut levels = self.line_code.levels(&bits);
        levels.truncate(count);
        for level in &mut levels {
            *level ^= u8::from(self.inverted);
        }
        levels
    }

    /// Returns the switching of key `index` under a drive: in step with the carrier, from power-up until the field
    /// ends, and back to level 0 there. A key with tones of its own closes its switch while it sends.
    ///
    /// # Errors
    /// [`SimulateError::InvalidValue`] when the clocks a bit are odd or 0, or a value of the keying makes no sense.
    pub fn events(&self, index: usize, drive: &Drive) -> Result<Vec<SwitchEvent>, SimulateError> {
        self.validate()?;
        let mut events = Vec::new();
        if let Keying::OwnTones(_) = self.keying {
            for tones in self.replies(index, drive) {
                if let (Some(first), Some(last)) = (tones.first(), tones.last()) {
                    events.push(event(index, first.start_s, KeySwitch::Closed));
                    events.push(event(index, last.end_s, KeySwitch::Open));
                }
            }
            return Ok(events);
        }
        let level_clocks =
            f64::from(self.clocks_per_bit) / f64::from(self.line_code.levels_per_bit());
        for &(start_s, end_s) in &drive.field_on_s {
            let first_s = start_s + f64::from(self.power_up_clocks) / drive.frequency_hz;
            let count = ((end_s - first_s) * drive.frequency_hz / level_clocks).ceil();
            let levels = self.levels(count.max(0.0) as usize);
            let mut before = KeySwitch::Open;
            let mut push = |time_s, switch| {
                if switch != before {
                    events.push(event(index, time_s, switch));
                    before = switch;
                }
            };
            for (clock, level) in self.keying.loads(&levels, level_clocks) {
                let time_s = first_s + clock / drive.frequency_hz;
                if time_s < end_s {
                    push(time_s, KeySwitch::from_level(level));
                }
            }
            push(end_s, KeySwitch::Open);
        }
        Ok(events)
    }

    /// Returns the tones of key `index` in the pauses of the field; none for a key that switches its load.
    ///
    /// A reply that would not end before the field comes on again is cut after its last whole bit.
    ///
    /// # Errors
    /// [`SimulateError::InvalidValue`] when a value of the keying makes no sense.
    pub fn tones(&self, index: usize, drive: &Drive) -> Result<Vec<Tone>, SimulateError> {
        self.validate()?;
        Ok(self.replies(index, drive).concat())
    }

    fn replies(&self, index: usize, drive: &Drive) -> Vec<Vec<Tone>> {
        let Keying::OwnTones(own) = self.keying else {
            return Vec::new();
        };
        let mut bits = self.content.bits();
        for bit in &mut bits {
            *bit ^= u8::from(self.inverted);
        }
        let ends = drive.field_on_s.iter().map(|burst| burst.1);
        let next = drive.field_on_s.iter().skip(1).map(|burst| burst.0);
        ends.zip(next.chain([f64::INFINITY]))
            .map(|pause_s| own.tones(index, &bits, pause_s))
            .collect()
    }

    fn validate(&self) -> Result<(), SimulateError> {
        let clocks = self.clocks_per_bit;
        require(
            clocks >= 2 && clocks.is_multiple_of(self.line_code.levels_per_bit()),
            "keys.clocks_per_bit",
            f64::from(clocks),
            "2 or more, and even unless the line code is NRZ",
        )?;
        self.keying.validate()
    }
}

fn event(index: usize, time_s: f64, switch: KeySwitch) -> SwitchEvent {
    SwitchEvent {
        time_s,
        change: Change::Key(index, switch),
    }
}
