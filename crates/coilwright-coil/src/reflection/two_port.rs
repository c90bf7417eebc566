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

impl TwoPort {
    /// The admittances `y11, (y12 + y21)/2, y22`, siemens, both ports against the same resistance:
    /// `Y = (1 − S)(1 + S)⁻¹ / Z₀`. `None` where the ports are shorted.
    pub(crate) fn admittances(&self, reference_ohm: f64) -> Option<[Complex64; 3]> {
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
        let scale = (determinant * reference_ohm).inv();
        Some([y11 * scale, across * scale, y22 * scale])
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
        let [y11, y21, y22] = port.admittances(z).unwrap();
        for (found, expected) in [(y11, 1.0 / r), (y21, -1.0 / r), (y22, 1.0 / r)] {
            assert!((found - expected).norm() < 1e-15, "{found}");
        }
    }
}
