//! What a closed loop or a conducting body near a coil does to its resonance.

use crate::ModelError;
use crate::model_error::{finite, positive};
use std::f64::consts::TAU;

/// A tuned coil by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TunedCoil {
    /// Inductance, henry.
    pub inductance_henry: f64,
    /// Series resistance in all, ohm.
    pub resistance_ohm: f64,
    /// Tuning capacitance in all, farad.
    pub capacitance_farad: f64,
}

/// Resonance of a tuned coil, undamped and loaded.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct TunedState {
    /// Undamped resonance, hertz.
    pub resonance_hz: f64,
    /// Q at the resonance.
    pub q: f64,
    /// Inductance at the resonance, henry.
    pub inductance_henry: f64,
    /// Series resistance at the resonance, ohm.
    pub resistance_ohm: f64,
}

/// A closed loop near the coil: a metal ring, shorted turns, a shorted key coil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClosedLoop {
    /// Its inductance, henry.
    pub inductance_henry: f64,
    /// Its resistance, ohm.
    pub resistance_ohm: f64,
    /// Its mutual inductance with the coil, henry.
    pub mutual_henry: f64,
}

impl TunedCoil {
    /// Resonance and Q of the coil by itself: f₀ = 1/(2π√(LC)), Q = ω₀L/R.
    ///
    /// # Errors
    ///
    /// If a value is not positive.
    ///
    /// ```
    /// use coilwright_coil::coupling::TunedCoil;
    /// // the 20.8 mH and 78 pF of a chip's data sheet are stated for 125 kHz
    /// let key = TunedCoil { inductance_henry: 20.8e-3, resistance_ohm: 400.0, capacitance_farad: 78e-12 };
    /// assert!((key.alone()?.resonance_hz - 124_951.0).abs() < 1.0);
    /// # Ok::<(), coilwright_coil::ModelError>(())
    /// ```
    pub fn alone(&self) -> Result<TunedState, ModelError> {
        self.with_change(|_| Ok((0.0, 0.0)))
    }

    /// Resonance and Q with a closed loop beside it.
    ///
    /// The loop reflects ΔZ = ω²M²/(R₂ + jωL₂), that is ΔR = ω²M²R₂/|Z₂|² and ΔL = −ω²M²L₂/|Z₂|² (Terman 1943, Radio Engineers'
    /// Handbook, p. 149, from memory), taken at the new resonance.
    ///
    /// # Errors
    ///
    /// If a value is not positive, the mutual inductance is not finite or exceeds √(L₁L₂).
    ///
    /// ```
    /// use coilwright_coil::coupling::{ClosedLoop, TunedCoil};
    /// let coil = TunedCoil { inductance_henry: 1e-3, resistance_ohm: 40.0, capacitance_farad: 1.62e-9 };
    /// let collar = ClosedLoop { inductance_henry: 50e-9, resistance_ohm: 1e-3, mutual_henry: 2e-6 };
    /// let near = coil.beside_loop(&collar)?;
    /// assert!(near.resonance_hz > coil.alone()?.resonance_hz && near.q < coil.alone()?.q);
    /// # Ok::<(), coilwright_coil::ModelError>(())
    /// ```
    pub fn beside_loop(&self, other: &ClosedLoop) -> Result<TunedState, ModelError> {
        let l2 = positive("inductance of the loop", other.inductance_henry, "H")?;
        let r2 = positive("resistance of the loop", other.resistance_ohm, "Ω")?;
        let m = finite("mutual inductance", other.mutual_henry, "H")?;
        let l1 = positive("inductance of the coil", self.inductance_henry, "H")?;
        crate::model_error::within(
            "coupled circuits",
            "coupling coefficient",
            m / (l1 * l2).sqrt(),
            -1.0,
            1.0,
        )?;
        self.with_change(|omega| {
            let reflected = omega * omega * m * m / (r2 * r2 + (omega * l2).powi(2));
            Ok((-reflected * l2, reflected * r2))
        })
    }

    /// Resonance where inductance and resistance change by amounts that depend on the angular frequency, found by iteration.
    pub(super) fn with_change(
        &self,
        change: impl Fn(f64) -> Result<(f64, f64), ModelError>,
    ) -> Result<TunedState, ModelError> {
        let l = positive("inductance of the coil", self.inductance_henry, "H")?;
        let r = positive("resistance of the coil", self.resistance_ohm, "Ω")?;
        let c = positive("capacitance", self.capacitance_farad, "F")?;
        let mut omega = (l * c).sqrt().recip();
        let mut reached = f64::INFINITY;
        for _ in 0..60 {
            let (dl, dr) = change(omega)?;
            let near = positive("inductance with the body near", l + dl, "H")?;
            let next = (near * c).sqrt().recip();
            reached = (next / omega - 1.0).abs();
            omega = next;
            if reached < 1e-12 {
                return Ok(TunedState {
                    resonance_hz: omega / TAU,
                    q: omega * near / (r + dr),
                    inductance_henry: near,
                    resistance_ohm: r + dr,
                });
            }
        }
        Err(ModelError::NotSettled {
            quantity: "resonance with the body near",
            reached,
            needed: 1e-12,
        })
    }
}
