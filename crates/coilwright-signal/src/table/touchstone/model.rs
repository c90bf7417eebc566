use crate::table::TableWarning;
use num_complex::Complex64;

/// Which network parameter a file holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Parameter {
    /// Scattering.
    #[default]
    Scattering,
    /// Admittance.
    Admittance,
    /// Impedance.
    Impedance,
}

/// A network-analyser file.
#[derive(Clone, Debug, PartialEq)]
pub struct Touchstone {
    /// The file as the user named it.
    pub name: String,
    /// Whole number of the version: 1 or 2.
    pub version: u8,
    /// Number of ports: 1 or 2.
    pub ports: usize,
    /// What the file holds.
    pub parameter: Parameter,
    /// Reference resistance of each port, ohm.
    pub reference_ohm: Vec<f64>,
    /// Rising frequencies, hertz.
    pub frequencies_hz: Vec<f64>,
    /// For each frequency the scattering matrix against the references, by rows: S11, or S11 S12 S21 S22.
    pub scattering: Vec<Complex64>,
    /// What was doubtful.
    pub warnings: Vec<TableWarning>,
}

impl Touchstone {
    /// One element of the scattering matrix over frequency, ports from 1; `None` for a port that is not there.
    #[must_use]
    pub fn element(&self, to: usize, from: usize) -> Option<Vec<Complex64>> {
        let ports = 1..=self.ports;
        if !(ports.contains(&to) && ports.contains(&from)) {
            return None;
        }
        let index = (to - 1) * self.ports + from - 1;
        let matrices = self.scattering.chunks_exact(self.ports * self.ports);
        Some(matrices.filter_map(|m| m.get(index).copied()).collect())
    }
}

/// Turns one matrix of the file, in ohm, siemens or scattering, into scattering against the references.
///
/// `S = (z − 1)(z + 1)⁻¹` with `z = Z/√(RᵢRⱼ)`, and the same with `y⁻¹`: `S = (1 − y)(1 + y)⁻¹`. Textbook.
pub(super) fn scattering(
    parameter: Parameter,
    matrix: &[Complex64],
    reference_ohm: &[f64],
) -> Option<Vec<Complex64>> {
    let ports = reference_ohm.len();
    let root = |index: usize| {
        let of = |port: usize| reference_ohm.get(port).copied().unwrap_or(1.0);
        (of(index / ports) * of(index % ports)).sqrt()
    };
    let (sign, scaled): (f64, Vec<Complex64>) = match parameter {
        Parameter::Scattering => return Some(matrix.to_vec()),
        Parameter::Impedance => (
            1.0,
            matrix
                .iter()
                .enumerate()
                .map(|(i, z)| z / root(i))
                .collect(),
        ),
        Parameter::Admittance => (
            -1.0,
            matrix
                .iter()
                .enumerate()
                .map(|(i, y)| y * root(i))
                .collect(),
        ),
    };
    // (m − 1)(m + 1)⁻¹ and (1 − m)(1 + m)⁻¹ differ in sign alone.
    let transformed = match scaled.as_slice() {
        [m] => vec![(m - 1.0) / (m + 1.0)],
        [a, b, c, d] => {
            let determinant = (a + 1.0) * (d + 1.0) - b * c;
            let product = b * c;
            vec![
                ((a - 1.0) * (d + 1.0) - product) / determinant,
                2.0 * b / determinant,
                2.0 * c / determinant,
                ((a + 1.0) * (d - 1.0) - product) / determinant,
            ]
        }
        _ => return None,
    };
    let finite = transformed.iter().all(|v| v.is_finite());
    finite.then(|| transformed.iter().map(|v| v * sign).collect())
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
    use super::*;

    #[test]
    fn a_series_resistor_of_two_ports() {
        // y = [[g, −g], [−g, g]] with g = 50/120: S11 = R/(R + 2Z₀), S21 = 2Z₀/(R + 2Z₀).
        let g = Complex64::new(1.0 / 120.0, 0.0);
        let s = scattering(Parameter::Admittance, &[g, -g, -g, g], &[50.0, 50.0]).unwrap();
        for (found, expected) in s.iter().zip([120.0, 100.0, 100.0, 120.0]) {
            assert!((found - expected / 220.0).norm() < 1e-15, "{s:?}");
        }
    }

    #[test]
    fn an_impedance_and_its_admittance_agree() {
        let z = Complex64::new(30.0, 785.0);
        let one = scattering(Parameter::Impedance, &[z], &[75.0]).unwrap();
        let other = scattering(Parameter::Admittance, &[z.inv()], &[75.0]).unwrap();
        assert!((one[0] - other[0]).norm() < 1e-15);
        assert!((one[0] - (z - 75.0) / (z + 75.0)).norm() < 1e-15);
    }
}
