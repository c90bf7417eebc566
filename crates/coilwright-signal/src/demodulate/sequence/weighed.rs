use super::echoes::Echoes;

/// Symbols behind the matched filter and how they reach into each other.
pub(in super::super) struct Weighed {
    /// The symbols as they came out of the filter.
    pub symbols: Vec<f32>,
    /// The size of a symbol.
    pub amplitude: f64,
    /// The variance of what neither a symbol nor its neighbours explain.
    pub variance: f64,
    echoes: Echoes,
}

impl Weighed {
    /// Measures amplitude and noise of symbols whose noise is at least `noise_variance`, and returns them with the symbols
    /// that have their neighbours weighed.
    pub(in super::super) fn of(
        symbols: Vec<f32>,
        echoes: Echoes,
        noise_variance: f64,
    ) -> (Self, Vec<f32>) {
        let count = symbols.len().max(1) as f64;
        let square = symbols.iter().map(|&m| f64::from(m).powi(2)).sum::<f64>() / count;
        let power = (square - noise_variance).max(0.1 * square) / echoes.mean_square();
        let mut weighed = Self {
            symbols,
            amplitude: power.sqrt(),
            variance: noise_variance,
            echoes,
        };
        let softened = weighed.soften();
        let rest = weighed
            .echoes
            .unexplained(&weighed.symbols, &softened, weighed.amplitude);
        weighed.variance = noise_variance.max(rest);
        (weighed, softened)
    }

    fn soften(&self) -> Vec<f32> {
        self.echoes
            .soften(&self.symbols, self.amplitude, self.variance)
    }
}
