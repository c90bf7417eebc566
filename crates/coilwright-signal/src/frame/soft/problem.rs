use super::Coding;
use super::fold::Closing;
use super::logarithm::log_sigmoid;
use crate::frame::layout::{Form, rank};

/// A cycle or run of values in which a frame of one form is looked for.
#[derive(Clone, Copy)]
pub(super) struct Window<'a> {
    pub ratios: &'a [f32],
    pub coding: Coding,
    pub ends: Ends,
}

/// How a window ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ends {
    /// It goes on with its own start.
    Closed(Closing),
    /// It ends.
    Open,
}

/// Where the frame begins in the window, and whether its bits are inverted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Alignment {
    pub start: usize,
    pub inverted: bool,
}

impl Window<'_> {
    /// Every place where a frame of `length` bits may begin.
    pub(super) fn starts(&self, length: usize) -> usize {
        match (self.ends, self.coding) {
            (Ends::Closed(_), _) => self.ratios.len(),
            (Ends::Open, Coding::Direct) => (self.ratios.len() + 1).saturating_sub(length),
            (Ends::Open, Coding::Differential) => self.ratios.len().saturating_sub(length),
        }
    }

    /// Whether the value after the last of a closed window is the first one (0) or its inverse (1).
    fn turn(&self, alignment: Alignment, length: usize) -> Option<u8> {
        match self.ends {
            Ends::Open => None,
            Ends::Closed(closing) => Some(
                u8::from(closing == Closing::Inverted)
                    ^ u8::from(alignment.inverted && length % 2 == 1),
            ),
        }
    }

    /// Value `k` of an aligned frame. Inverted bits are inverted values, or with differential coding every other value.
    pub(super) fn value(&self, alignment: Alignment, k: usize) -> f64 {
        let place = alignment.start + k;
        let length = self.ratios.len().max(1);
        let mut negative = match self.ends {
            Ends::Closed(Closing::Inverted) => (place / length) % 2 == 1,
            _ => false,
        };
        negative ^= alignment.inverted && (self.coding == Coding::Direct || k % 2 == 1);
        let value = self.ratios.get(place % length).copied().unwrap_or_default();
        f64::from(if negative { -value } else { value })
    }
}

impl Window<'_> {
    /// Log-likelihood ratio of bit `k` of an aligned frame on its own, positive for 1; that of two differing values is
    /// taken as the weaker of them.
    pub(super) fn bit(&self, alignment: Alignment, k: usize) -> f64 {
        let value = self.value(alignment, k);
        match self.coding {
            Coding::Direct => value,
            Coding::Differential => -differential(value, self.value(alignment, k + 1)),
        }
    }
}

fn differential(before: f64, after: f64) -> f64 {
    before.abs().min(after.abs()) * before.signum() * after.signum()
}

/// Which variable each value of a differential window is, and whether inverted.
struct Ties {
    variable: Vec<usize>,
    flip: Vec<u8>,
    count: usize,
}

impl Ties {
    /// `turn` says whether the value after the last bit is the first one (0) or its inverse (1); `None` if it is a value
    /// of its own.
    fn of(form: &Form, turn: Option<u8>) -> Self {
        let (mut variable, mut flip) = (vec![0], vec![0]);
        let (mut last, mut last_flip) = (0, 0);
        for known in &form.known {
            if let Some(bit) = known {
                last_flip ^= bit;
            } else {
                last += 1;
                last_flip = 0;
            }
            variable.push(last);
            flip.push(last_flip);
        }
        let mut count = last + 1;
        if let Some(turn) = turn.filter(|_| last > 0) {
            for (variable, flip) in variable.iter_mut().zip(&mut flip) {
                if *variable == last {
                    *variable = 0;
                    *flip ^= last_flip ^ turn;
                }
            }
            count -= 1;
        }
        Self {
            variable,
            flip,
            count,
        }
    }
}

/// Natural logarithms of the likelihood of a value if it is 0 and if it is 1: ln σ(−x) and ln σ(x).
fn weights(ratio: f64) -> [f64; 2] {
    [log_sigmoid(-ratio), log_sigmoid(ratio)]
}

/// Soft decoding brought to its core: variables of two values each, of which the sum of some columns is given.
pub(super) struct Problem {
    pub variables: Vec<Variable>,
    /// The sum (modulo 2) of the columns of the variables that are 1.
    pub target: u32,
    /// ln P of the values that no variable moves.
    pub constant: f64,
    /// How many values went in.
    pub values: usize,
    rules: Vec<Rule>,
}

/// Values that the known bits tie together.
#[derive(Clone, Copy, Default)]
pub(super) struct Variable {
    /// ln P of its values if it is 0, and if it is 1.
    pub weights: [f64; 2],
    pub column: u32,
}

impl Variable {
    /// Log-likelihood ratio, positive for 1.
    pub(super) fn ratio(&self) -> f64 {
        self.weights[1] - self.weights[0]
    }
}

/// How a bit of the frame follows from the variables: the sum of some, plus a constant.
#[derive(Clone, Copy)]
struct Rule {
    variables: [Option<usize>; 2],
    constant: u8,
}

impl Problem {
    pub(super) fn new(form: &Form, window: &Window<'_>, alignment: Alignment) -> Self {
        match window.coding {
            Coding::Direct => Self::direct(form, window, alignment),
            Coding::Differential => Self::differential(form, window, alignment),
        }
    }

    /// Every unknown bit is a variable.
    fn direct(form: &Form, window: &Window<'_>, alignment: Alignment) -> Self {
        let mut problem = Self::empty(form);
        for (k, (&known, &column)) in form.known.iter().zip(&form.syndromes).enumerate() {
            let weights = weights(window.value(alignment, k));
            problem.values += 1;
            let rule = if let Some(bit) = known {
                problem.constant += weights[usize::from(bit)];
                if bit == 1 {
                    problem.target ^= column;
                }
                Rule {
                    variables: [None; 2],
                    constant: bit,
                }
            } else {
                problem.variables.push(Variable { weights, column });
                Rule {
                    variables: [Some(problem.variables.len() - 1), None],
                    constant: 0,
                }
            };
            problem.rules.push(rule);
        }
        problem
    }

    /// Every run of values that known bits tie together is a variable; in a closed window the runs at both ends are one.
    fn differential(form: &Form, window: &Window<'_>, alignment: Alignment) -> Self {
        let mut problem = Self::empty(form);
        let length = form.known.len();
        let ties = Ties::of(form, window.turn(alignment, length));
        problem.variables = vec![Variable::default(); ties.count];
        let own = match window.ends {
            Ends::Closed(_) => length,
            Ends::Open => length + 1,
        };
        problem.values = own;
        for k in 0..own {
            let [zero, one] = weights(window.value(alignment, k));
            let (variable, flip) = (ties.variable[k], ties.flip[k]);
            let sums = &mut problem.variables[variable].weights;
            sums[usize::from(flip)] += zero;
            sums[usize::from(1 ^ flip)] += one;
        }
        for (k, &column) in form.syndromes.iter().enumerate() {
            let (before, after) = (ties.variable[k], ties.variable[k + 1]);
            let constant = ties.flip[k] ^ ties.flip[k + 1];
            problem.variables[before].column ^= column;
            problem.variables[after].column ^= column;
            if constant == 1 {
                problem.target ^= column;
            }
            problem.rules.push(Rule {
                variables: [Some(before), Some(after)],
                constant,
            });
        }
        problem
    }

    fn empty(form: &Form) -> Self {
        Self {
            variables: Vec::new(),
            target: form.target,
            constant: 0.0,
            values: 0,
            rules: Vec::with_capacity(form.known.len()),
        }
    }

    /// The bits of the frame for values of the variables.
    pub(super) fn bits(&self, word: &[u8]) -> Vec<u8> {
        let value = |variable: &Option<usize>| variable.map_or(0, |index| word[index]);
        self.rules
            .iter()
            .map(|rule| {
                rule.variables
                    .iter()
                    .map(value)
                    .fold(rule.constant, |a, b| a ^ b)
            })
            .collect()
    }

    /// ln P of what was received given any word is no more than this: that of the hard decisions, whatever the checks.
    pub(super) fn log_likelihood_at_most(&self) -> f64 {
        let most = |variable: &Variable| variable.weights[0].max(variable.weights[1]);
        self.constant + self.variables.iter().map(most).sum::<f64>()
    }

    /// Binary logarithm of the number of words that meet the target.
    pub(super) fn free_bits(&self) -> usize {
        let columns = self.variables.iter().map(|variable| variable.column);
        self.variables.len() - rank(columns)
    }
}
