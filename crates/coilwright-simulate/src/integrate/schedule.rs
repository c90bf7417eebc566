use super::drive::{Edges, SAME_TIME_S};
use super::{Drive, Tone, Waveform};
use crate::SimulateError;
use crate::circuit::{Circuit, Configuration, DriverSwitch, KeySwitch};
use crate::error::require;

/// What a switch event changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// The modulator of the key with this index.
    Key(usize, KeySwitch),
    /// The joint in series with the ring closes.
    JointCloses,
    /// The joint in series with the ring breaks.
    JointBreaks,
}

/// A switch that changes at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SwitchEvent {
    /// When, in seconds.
    pub time_s: f64,
    /// What.
    pub change: Change,
}

/// What happens when: the drive and every other switch.
#[derive(Clone, Debug, PartialEq)]
pub struct Schedule {
    /// The driver's voltage.
    pub drive: Drive,
    /// Events in any order; keys start at level 0 and the joint starts closed.
    pub switches: Vec<SwitchEvent>,
    /// What keys send by themselves; the field is off then.
    pub tones: Vec<Tone>,
}

/// A run of time in one configuration.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Segment {
    pub(crate) start_s: f64,
    pub(crate) end_s: f64,
    pub(crate) configuration: Configuration,
    /// Where cycle 0 of the drive begins; `None` while the field is off.
    pub(crate) origin_s: Option<f64>,
    /// The tones that sound.
    pub(crate) tones: Vec<Tone>,
}

impl Schedule {
    /// Returns the segments from 0 to `end_s`.
    pub(crate) fn segments(
        &self,
        circuit: &Circuit,
        end_s: f64,
    ) -> Result<Vec<Segment>, SimulateError> {
        self.drive.validate()?;
        let mut events = self.events(circuit)?;
        events.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut current = Segment {
            start_s: 0.0,
            end_s: 0.0,
            configuration: Configuration::resting(circuit).with_driver(DriverSwitch::Off),
            origin_s: None,
            tones: Vec::new(),
        };
        let mut segments = Vec::new();
        for (time_s, event) in events {
            let time_s = time_s.min(end_s);
            if time_s - current.start_s > SAME_TIME_S {
                current.end_s = time_s;
                segments.push(current.clone());
                current.start_s = time_s;
            }
            current.apply(event);
        }
        if end_s > current.start_s {
            current.end_s = end_s;
            segments.push(current);
        }
        Ok(segments)
    }

    fn events(&self, circuit: &Circuit) -> Result<Vec<(f64, Event)>, SimulateError> {
        let mut events = Vec::with_capacity(self.switches.len() + 2 * self.drive.field_on_s.len());
        for &(start_s, end_s) in &self.drive.field_on_s {
            events.push((start_s, Event::FieldOn(self.drive.origin_s(start_s))));
            events.push((end_s, Event::FieldOff));
        }
        for event in &self.switches {
            require(
                event.time_s.is_finite(),
                "switches.time_s",
                event.time_s,
                "a finite time",
            )?;
            if let Change::Key(index, _) = event.change {
                let keys = circuit.keys.len();
                require(
                    index < keys,
                    "switches.key",
                    index as f64,
                    "the index of a key of the circuit",
                )?;
            }
            events.push((event.time_s, Event::Switch(event.change)));
        }
        for tone in &self.tones {
            tone.validate(circuit.keys.len())?;
            events.push((tone.end_s, Event::Falls(tone.key, tone.start_s)));
            events.push((tone.start_s, Event::Sounds(*tone)));
        }
        Ok(events)
    }
}

#[derive(Clone, Copy)]
enum Event {
    FieldOn(f64),
    FieldOff,
    Switch(Change),
    Sounds(Tone),
    /// The tone of that key that began then ends.
    Falls(usize, f64),
}

impl Segment {
    /// Returns the square drive's levels and the times from which they hold; a sine drive counts as 0 V.
    pub(crate) fn levels(&self, drive: &Drive) -> Vec<(f64, f64)> {
        let (
            Some(origin_s),
            Waveform::Square {
                high_volt,
                low_volt,
                duty,
            },
        ) = (self.origin_s, drive.waveform)
        else {
            return vec![(self.start_s, 0.0)];
        };
        let mut edges = Edges::new(
            (high_volt, low_volt, duty),
            drive.frequency_hz,
            origin_s,
            self.start_s,
        );
        let mut levels = vec![(self.start_s, edges.level_volt())];
        while edges.next_s() < self.end_s - SAME_TIME_S {
            let time_s = edges.next_s();
            edges.step_volt();
            levels.push((time_s, edges.level_volt()));
        }
        levels
    }

    fn apply(&mut self, event: Event) {
        match event {
            Event::FieldOn(origin_s) => {
                self.configuration.driver = DriverSwitch::On;
                self.origin_s = Some(origin_s);
            }
            Event::FieldOff => {
                self.configuration.driver = DriverSwitch::Off;
                self.origin_s = None;
            }
            Event::Switch(Change::Key(index, switch)) => self.configuration.keys[index] = switch,
            Event::Switch(Change::JointCloses) => self.configuration.joint_closed = true,
            Event::Switch(Change::JointBreaks) => self.configuration.joint_closed = false,
            Event::Sounds(tone) => self.tones.push(tone),
            Event::Falls(key, start_s) => self
                .tones
                .retain(|tone| tone.key != key || tone.start_s.to_bits() != start_s.to_bits()),
        }
    }
}
