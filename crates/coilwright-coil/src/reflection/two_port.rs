use crate::Estimate;
use num_complex::Complex64;
use serde::{Deserialize, Serialize};

/// The scattering matrix of two ports at one frequency.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct TwoPort {
    /// Reflection at port 1.
    pub s11: Complex64,
    /// From port 1 to port 2.
    pub s21: Complex64,
    /// From port 2 to port 1.
    pub s12: Complex64,
    /// Reflection at port 2.
    pub s22: Complex64,
}

/// The resistances that the ports of a two-port are stated against, ohm; one number stands for both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PortReferences(pub(crate) [f64; 2]);

impl From<f64> for PortReferences {
    fn from(both_ohm: f64) -> Self {
        Self([both_ohm; 2])
    }
}

impl From<[f64; 2]> for PortReferences {
    fn from(each_ohm: [f64; 2]) -> Self {
        Self(each_ohm)
    }
}

impl PortReferences {
    /// By what the admittances `y11, y12, y22` are multiplied to be stated against the ports: `√(Z₀ᵢ Z₀ⱼ)`.
    pub(crate) fn scales(self) -> [f64; 3] {
        let [first, second] = self.0;
        [first, (first * second).sqrt(), second]
    }
}

impl TwoPort {
    /// The admittances `y11, (y12 + y21)/2, y22`, siemens: `Y = z (1 − S)(1 + S)⁻¹ z` with `z = diag(1/√Z₀)` (Kurokawa's power waves at
    /// real references). `None` where the ports are shorted.
    pub(crate) fn admittances(&self, references: PortReferences) -> Option<[Complex64; 3]> {
        let one = Complex64::new(1.0, 0.0);
        let (a, b, c, d) = (one + self.s11, self.s12, self.s21, one + self.s22);
        let determinant = a * d - b * c;
        if determinant.norm() < f64::EPSILON {
            return None;
        }
        let product = self.s12 * self.s21;
        let y11 = (one - self.s11) * d + product;
        let y22 = (one - self.s22) * a + product;
        let across = -(self.s12 + self.s21);
        let scales = references.scales();
        let each = [y11, across, y22].into_iter().zip(scales);
        let mut siemens = each.map(|(y, scale)| y / (determinant * scale));
        Some([siemens.next()?, siemens.next()?, siemens.next()?])
    }

    /// The scattering `s11, s21, s22` of a reciprocal two-port with these admittances, siemens: `S = (1 − y)(1 + y)⁻¹`.
    pub(crate) fn scattered(
        admittances: [Complex64; 3],
        references: PortReferences,
    ) -> [Complex64; 3] {
        let scales = references.scales();
        let one = Complex64::new(1.0, 0.0);
        let [y11, y21, y22] = [0, 1, 2].map(|k| admittances[k] * scales[k]);
        let square = y21 * y21;
        let divisor = (one + y11) * (one + y22) - square;
        [
            ((one - y11) * (one + y22) + square) / divisor,
            -2.0 * y21 / divisor,
            ((one + y11) * (one - y22) + square) / divisor,
        ]
    }
}

/// Two coils near each other, from a two-port measurement: what their self-capacitances add is taken out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CoupledCoils {
    /// Inductance at port 1, henry.
    pub primary_henry: Estimate,
    /// Inductance at port 2, henry.
    pub secondary_henry: Estimate,
    /// Mutual inductance, henry; its sign is that of the connections.
    pub mutual_henry: Estimate,
    /// Coupling coefficient `k = M/√(L₁L₂)`.
    pub coefficient: Estimate,
    /// Capacitance across port 1 and port 2, farad.
    pub capacitances_farad: [Estimate; 2],
    /// Points that were used.
    pub points: usize,
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
    use super::*;

    #[test]
    fn a_series_resistor_has_its_admittance() {
        // Series R between the ports: S11 = R/(R + 2Z₀), S21 = 2Z₀/(R + 2Z₀) (textbook); y11 = 1/R, y21 = −1/R.
        let (r, z) = (120.0, 50.0);
        let s11 = Complex64::new(r / (r + 2.0 * z), 0.0);
        let s21 = Complex64::new(2.0 * z / (r + 2.0 * z), 0.0);
        let port = TwoPort {
            s11,
            s21,
            s12: s21,
            s22: s11,
        };
        let [y11, y21, y22] = port.admittances(z.into()).unwrap();
        for (found, expected) in [(y11, 1.0 / r), (y21, -1.0 / r), (y22, 1.0 / r)] {
            assert!((found - expected).norm() < 1e-15, "{found}");
        }
        let again = TwoPort::scattered([y11, y21, y22], z.into());
        for (found, expected) in again.into_iter().zip([s11, s21, s11]) {
            assert!((found - expected).norm() < 1e-15, "{found}");
        }
    }

    #[test]
    fn references_differ() {
        // Series R between 50 Ω and 75 Ω: S11 = (R + Z₂ − Z₁)/(R + Z₁ + Z₂), S21 = 2√(Z₁Z₂)/(R + Z₁ + Z₂) (textbook).
        let (r, z1, z2) = (120.0, 50.0, 75.0);
        let sum = r + z1 + z2;
        let real = |v: f64| Complex64::new(v / sum, 0.0);
        let s21 = real(2.0 * (z1 * z2).sqrt());
        let port = TwoPort {
            s11: real(r + z2 - z1),
            s21,
            s12: s21,
            s22: real(r + z1 - z2),
        };
        let found = port.admittances([z1, z2].into()).unwrap();
        for (found, expected) in found.into_iter().zip([1.0 / r, -1.0 / r, 1.0 / r]) {
            assert!((found - expected).norm() < 1e-15, "{found}");
        }
        let again = TwoPort::scattered(found, [z1, z2].into());
        assert!((again[0] - port.s11).norm() < 1e-15 && (again[2] - port.s22).norm() < 1e-15);
    }
}
