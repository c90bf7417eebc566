use super::clock;
use super::model::Detection;
use super::rate::{RateScore, explained_power, score};
use super::signal::Signal;
use crate::carrier::Carrier;
use crate::dsp::ComplexSums;

/// A bit length is a rival of the best one from this share of its statistic.
const RIVAL: f64 = 0.4;
/// Two bit lengths are hard to tell apart when the second explains this share of the power of the first.
const CLOSE: f64 = 0.85;

/// A bit length and how well it fits.
#[derive(Clone, Copy)]
pub(super) struct Found {
    pub clocks: u32,
    /// Frequency that the bit clock is divided from.
    pub clock_hz: f64,
    pub score: RateScore,
}

impl Found {
    pub(super) fn detection(&self) -> Detection {
        Detection {
            modulated: self.score.is_modulated(),
            statistic: self.score.statistic(),
            threshold: self.score.threshold(),
            clocks_per_bit: Some(self.clocks),
        }
    }
}

/// The search for the bit length.
pub(super) struct Search<'a> {
    signal: &'a Signal,
    sums: ComplexSums,
    /// The clock, where the carrier gives it.
    clock_hz: Option<f64>,
}

impl<'a> Search<'a> {
    pub(super) fn of(signal: &'a Signal, carrier: &Carrier, true_hz: f64) -> Self {
        Self {
            signal,
            sums: ComplexSums::of(&signal.values),
            clock_hz: carrier.has_exact_clock().then_some(true_hz),
        }
    }

    /// The search in a signal whose clock is known.
    pub(super) fn on_clock(signal: &'a Signal, clock_hz: f64) -> Self {
        Self {
            signal,
            sums: ComplexSums::of(&signal.values),
            clock_hz: Some(clock_hz),
        }
    }

    /// The running sums of the signal.
    pub(super) const fn sums(&self) -> &ComplexSums {
        &self.sums
    }

    /// The given bit length, if the signal is modulated with it.
    pub(super) fn modulated(&self, clocks: u32) -> Option<Found> {
        self.found(clocks)
            .filter(|found| found.score.is_modulated())
    }

    /// The bit length that explains most, then those that are hard to tell from it; if none reaches its threshold,
    /// the one with the largest statistic alone.
    pub(super) fn ranked(&self, clocks_per_bit: &[u32]) -> Vec<Found> {
        let mut all: Vec<Found> = clocks_per_bit
            .iter()
            .filter_map(|&clocks| self.found(clocks))
            .collect();
        all.sort_by(|a, b| b.score.statistic().total_cmp(&a.score.statistic()));
        let most = all.first().map_or(0.0, |best| best.score.statistic());
        let mut rivals: Vec<(f64, Found)> = all
            .iter()
            .filter(|found| found.score.is_modulated() && found.score.statistic() >= RIVAL * most)
            .map(|found| (self.explained(found), *found))
            .collect();
        rivals.sort_by(|a, b| b.0.total_cmp(&a.0));
        match rivals.first() {
            Some(&(best, _)) => rivals
                .into_iter()
                .filter(|(power, _)| *power >= CLOSE * best)
                .map(|(_, found)| found)
                .collect(),
            None => all.into_iter().take(1).collect(),
        }
    }

    fn found(&self, clocks: u32) -> Option<Found> {
        let rate_hz = self.signal.grid.rate_hz;
        let clock_hz = match self.clock_hz {
            Some(clock_hz) => clock_hz,
            None => rate_hz / clock::carrier_period(&self.signal.values, clocks, rate_hz)?,
        };
        let score = score(
            &self.sums,
            f64::from(clocks) * rate_hz / clock_hz,
            self.noise_power(),
        )?;
        Some(Found {
            clocks,
            clock_hz,
            score,
        })
    }

    /// The power that a bit length explains, relative to the carrier's.
    pub(super) fn explained(&self, found: &Found) -> f64 {
        let period = f64::from(found.clocks) * self.signal.grid.rate_hz / found.clock_hz;
        explained_power(&self.sums, period, self.noise_power(), &found.score)
    }

    fn noise_power(&self) -> f64 {
        self.signal.noise_per_hz * self.signal.grid.rate_hz
    }
}
