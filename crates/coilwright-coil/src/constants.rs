/// Magnetic constant, henry per metre: 4π·10⁻⁷, exact before 2019 and within 1.4·10⁻¹⁰ of the measured value since (CODATA 2018).
/// The handbooks and published tables that the models are held against use it.
pub const MAGNETIC_CONSTANT: f64 = 4.0e-7 * std::f64::consts::PI;

/// Electric constant, farad per metre (CODATA 2018).
pub const ELECTRIC_CONSTANT: f64 = 8.854_187_812_8e-12;
