/// Symbols on each side whose echo is weighed; 2 to this power states.
const MEMORY: usize = 3;
/// Echoes below this change nothing.
const LEAST: f64 = 2e-3;

/// What neighbouring symbols add to each other behind the matched filter.
///
/// With symbols c = ±1, amplitude a and echoes ρ, the filter gives v(k) = a (c(k) + Σ ρ(l) (c(k−l) + c(k+l))) + noise,
/// the noise with the covariance σ² ρ(l). Its log-likelihood is, but for a constant,
/// a/σ² Σ c(k) (v(k) − a Σ ρ(l) c(k−l)): a sum over a trellis whose state is the last symbols (Ungerboeck, IEEE Trans.
/// Commun. 22, 624, 1974, for the sequence; Colavolpe and Barbieri, IEEE Commun. Lett. 9, 1095, 2005, for each symbol;
/// both from memory). [`Echoes::soften`] gives each symbol's log-likelihood ratio L as that of a symbol without echoes:
/// L σ²/2a.
#[derive(Clone, Debug, Default, PartialEq)]
pub(in super::super) struct Echoes {
    shares: Vec<f64>,
}

impl Echoes {
    pub(super) fn new(shares: Vec<f64>) -> Self {
        let needed = shares.iter().rposition(|share| share.abs() > LEAST);
        let mut shares = shares;
        shares.truncate(needed.map_or(0, |last| last + 1).min(MEMORY));
        Self { shares }
    }

    /// By how much the echoes of random symbols raise the mean square.
    pub(super) fn mean_square(&self) -> f64 {
        1.0 + 2.0 * self.shares.iter().map(|share| share * share).sum::<f64>()
    }

    /// The mean square of what is left of `symbols` when those with the signs of `decided` are taken out.
    pub(super) fn unexplained(&self, symbols: &[f32], decided: &[f32], amplitude: f64) -> f64 {
        let sign = |k: Option<usize>| match k.and_then(|k| decided.get(k)) {
            Some(value) => f64::from(value.signum()),
            None => 0.0,
        };
        let rest = |k: usize| {
            let echoes = (1..)
                .zip(&self.shares)
                .map(|(lag, share)| share * (sign(k.checked_sub(lag)) + sign(Some(k + lag))));
            sign(Some(k)) + echoes.sum::<f64>()
        };
        let squares = symbols
            .iter()
            .enumerate()
            .map(|(k, &symbol)| (f64::from(symbol) - amplitude * rest(k)).powi(2));
        squares.sum::<f64>() / symbols.len().max(1) as f64
    }

    /// The symbols with the echoes of their neighbours weighed, given the amplitude and the variance of the noise.
    pub(super) fn soften(&self, symbols: &[f32], amplitude: f64, variance: f64) -> Vec<f32> {
        if self.shares.is_empty() || amplitude <= 0.0 {
            return symbols.to_vec();
        }
        Trellis::new(&self.shares, amplitude, variance).soften(symbols)
    }
}

/// The forward-backward recursion in the logarithm, with the largest term for the sum: a bit's value is what the best
/// sequence with it as 1 has over the best with it as 0.
struct Trellis {
    /// a Σ ρ(l) c(k−l) for each state; bit l − 1 of a state is symbol k − l.
    expected: Vec<f32>,
    /// The amplitude over the variance.
    scale: f32,
    memory: usize,
}

impl Trellis {
    fn new(shares: &[f64], amplitude: f64, variance: f64) -> Self {
        let memory = shares.len();
        let symbol = |state: usize, lag: usize| if state >> lag & 1 == 1 { 1.0 } else { -1.0 };
        let expected = (0..1_usize << memory)
            .map(|state| {
                let echoes = shares.iter().enumerate();
                let sum: f64 = echoes.map(|(lag, share)| share * symbol(state, lag)).sum();
                (amplitude * sum) as f32
            })
            .collect();
        Self {
            expected,
            scale: (amplitude / variance.max(1e-30)) as f32,
            memory,
        }
    }

    fn next(&self, state: usize, bit: usize) -> usize {
        (state << 1 | bit) & ((1 << self.memory) - 1)
    }

    /// What a symbol adds when it is 1; when it is −1 it adds as much with the other sign.
    fn gain(&self, state: usize, symbol: f32) -> f32 {
        self.scale * (symbol - self.expected[state])
    }

    fn soften(&self, symbols: &[f32]) -> Vec<f32> {
        let states = self.expected.len();
        let mut forward = vec![0.0_f32; states * (symbols.len() + 1)];
        for (k, &symbol) in symbols.iter().enumerate() {
            let (done, rest) = forward.split_at_mut((k + 1) * states);
            let (before, after) = (&done[k * states..], &mut rest[..states]);
            after.fill(f32::NEG_INFINITY);
            for state in 0..states {
                let gain = self.gain(state, symbol);
                for (bit, gain) in [(0, -gain), (1, gain)] {
                    let target = &mut after[self.next(state, bit)];
                    *target = target.max(before[state] + gain);
                }
            }
            settle(after);
        }
        let mut backward = vec![0.0_f32; states];
        let mut softened = vec![0.0; symbols.len()];
        for (k, &symbol) in symbols.iter().enumerate().rev() {
            let before = &forward[k * states..(k + 1) * states];
            let mut best = [f32::NEG_INFINITY; 2];
            let mut earlier = vec![f32::NEG_INFINITY; states];
            for state in 0..states {
                let gain = self.gain(state, symbol);
                for (bit, gain) in [(0, -gain), (1, gain)] {
                    let onwards = gain + backward[self.next(state, bit)];
                    best[bit] = best[bit].max(before[state] + onwards);
                    earlier[state] = earlier[state].max(onwards);
                }
            }
            softened[k] = (best[1] - best[0]) / (2.0 * self.scale);
            settle(&mut earlier);
            backward = earlier;
        }
        softened
    }
}

/// Keeps the largest value at 0, so that long sequences do not lose precision.
fn settle(values: &mut [f32]) {
    let most = values.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    for value in values {
        *value -= most;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every sequence weighed against every other, with as many free symbols before the first as echoes reach back.
    fn by_trying_all(echoes: &[f64], symbols: &[f32], amplitude: f64, variance: f64) -> Vec<f64> {
        let (count, free) = (symbols.len(), echoes.len());
        let mut best = vec![[f64::NEG_INFINITY; 2]; count];
        for word in 0..1_usize << (count + free) {
            let c = |place: usize| if word >> place & 1 == 1 { 1.0 } else { -1.0 };
            let value: f64 = (0..count)
                .map(|k| {
                    let echo: f64 = (1..=free)
                        .map(|lag| echoes[lag - 1] * c(k + free - lag))
                        .sum();
                    c(k + free) * (f64::from(symbols[k]) - amplitude * echo)
                })
                .sum();
            for (k, best) in best.iter_mut().enumerate() {
                let bit = word >> (k + free) & 1;
                best[bit] = best[bit].max(amplitude / variance * value);
            }
        }
        best.iter()
            .map(|best| (best[1] - best[0]) * variance / (2.0 * amplitude))
            .collect()
    }

    #[test]
    fn the_trellis_finds_what_trying_every_sequence_finds() {
        let shares = [-0.3, 0.12, 0.05];
        let symbols = [0.4, -1.1, 0.2, 0.9, -0.1, -0.7, 1.3, 0.05, -0.6];
        let softened = Echoes::new(shares.to_vec()).soften(&symbols, 0.8, 0.3);
        let wanted = by_trying_all(&shares, &symbols, 0.8, 0.3);
        for (softened, wanted) in softened.iter().zip(wanted) {
            assert!(
                (f64::from(*softened) - wanted).abs() < 1e-5,
                "{softened}, {wanted}"
            );
        }
    }

    #[test]
    fn without_echoes_symbols_stay_as_they_are() {
        let symbols = [0.3, -0.2, 0.9];
        assert_eq!(Echoes::default().soften(&symbols, 1.0, 0.1), symbols);
        assert_eq!(Echoes::new(vec![1e-4]).soften(&symbols, 1.0, 0.1), symbols);
    }
}
