//! Random geometries, and how far two formulas differ over them.

use coilwright_coil::ModelError;
use coilwright_coil::inductance::{Conductor, LayerWinding, Section, Solenoid};
use rand::RngExt;
use rand_chacha::ChaCha8Rng;

pub(crate) type Outcome<T> = Result<T, ModelError>;

pub(crate) struct Sweep {
    pub(crate) random: ChaCha8Rng,
    pub(crate) trials: usize,
}

impl Sweep {
    /// A number between two others, even on a logarithmic scale.
    pub(crate) fn log(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.random.random::<f64>())
    }

    pub(crate) fn count(&mut self, low: usize, high: usize) -> usize {
        self.log(low as f64, high as f64 + 1.0) as usize
    }

    /// One row: the worst disagreement of one formula with another, and how often it exceeded what the formula states.
    pub(crate) fn row(
        &mut self,
        name: &str,
        range: &str,
        case: impl Fn(&mut Self) -> Outcome<(f64, f64, f64)>,
    ) -> Outcome<()> {
        let (mut worst, mut signed, mut beyond, mut used) = (0.0_f64, 0.0, 0, 0);
        while used < self.trials {
            let (found, expected, stated) = match case(self) {
                Ok(values) => values,
                Err(ModelError::OutsideValidity { .. } | ModelError::Touching { .. }) => continue,
                Err(other) => return Err(other),
            };
            used += 1;
            let off = found / expected - 1.0;
            if off.abs() > worst {
                (worst, signed) = (off.abs(), off);
            }
            beyond += usize::from(off.abs() > stated);
        }
        println!("| {name} | {range} | {signed:+.2e} | {beyond} of {used} |");
        Ok(())
    }

    pub(crate) fn winding(&mut self, layers: usize, turns_per_layer: usize) -> LayerWinding {
        let wire = self.log(0.08e-3, 0.5e-3);
        let pitch = wire * self.log(1.05, 1.5);
        LayerWinding {
            former_radius_m: self.log(5e-3, 60e-3),
            turns: layers * turns_per_layer,
            turns_per_layer,
            axial_pitch_m: pitch,
            layer_pitch_m: pitch,
            conductor: Conductor::round(wire),
        }
    }
}

pub(crate) fn solenoid(sweep: &mut Sweep) -> Solenoid {
    let diameter_m = sweep.log(5e-3, 0.3);
    Solenoid {
        diameter_m,
        length_m: diameter_m / sweep.log(0.05, 50.0),
        turns: sweep.log(1.0, 500.0),
    }
}

pub(crate) fn section(sweep: &mut Sweep) -> Section {
    let mean_radius_m = sweep.log(5e-3, 0.1);
    Section {
        mean_radius_m,
        axial_length_m: mean_radius_m * sweep.log(0.02, 4.0),
        radial_depth_m: mean_radius_m * sweep.log(0.02, 1.5),
    }
}
