//! The batch evaluator: an expression compiled to a list of operations on lanes of doubles.
//!
//! Values carry no guarantee; they only say where it is worth looking. NaN stands for undefined,
//! ±∞ for a value that overflowed or was too long to compute, of which nothing may be concluded.

mod compile;
mod fuse;
mod lanes;
#[cfg(test)]
pub(crate) mod tests;

pub use compile::{Compiler, Test, Tree};
pub use lanes::Batch;

use crate::expr::{Expr, Function, Relation};

/// Points that are evaluated together.
pub const LANES: usize = 128;

/// One value for every point of a batch.
pub type Lane = [f64; LANES];

/// A position in the tape; the operation there writes the register of the same number.
pub type Register = usize;

/// One operation; operands are earlier registers.
#[derive(Clone, Debug)]
pub(super) enum Operation {
    Constant(f64),
    Input(usize),
    Add(Register, Register),
    Subtract(Register, Register),
    Multiply(Register, Register),
    Divide(Register, Register),
    Negate(Register),
    /// A power with a small integer exponent.
    Power(Register, i32),
    /// base, exponent, whether the exponent is an integer by its form.
    GeneralPower(Register, Register, bool),
    Root(u32, Register),
    Call(Function, Register),
    /// log(1 + u)
    LogOnePlus(Register),
    /// e^u − 1
    ExpMinusOne(Register),
    /// 1 − cos u
    OneMinusCosine(Register),
    Least(Register, Register),
    Greatest(Register, Register),
    /// 1, 0 or NaN.
    Compare(Register, Relation, Register),
    /// 1 − u
    Complement(Register),
    /// 1 or 0 for an integer or other value.
    IsInteger(Register),
    /// condition, then, otherwise.
    Select(Register, Register, Register),
    /// The first where the second is defined.
    Guard(Register, Register),
    /// Σ or Π.
    Repeat(Box<Repeat>),
    /// (a ∘ b) ∘ c in one pass over the lanes.
    Fused(First, Second, [Register; 3]),
    /// Nothing: its work was fused with that of a later operation.
    Done,
}

/// The inner one of two fused operations.
#[derive(Clone, Copy, Debug)]
pub(super) enum First {
    /// a + b
    Add,
    /// a − b
    Subtract,
    /// a b
    Multiply,
}

/// The outer one of two fused operations, t being the value of the inner one.
#[derive(Clone, Copy, Debug)]
pub(super) enum Second {
    /// t + c
    Add,
    /// t − c
    Minus,
    /// c − t
    From,
    /// t c
    Multiply,
    /// t / c
    Over,
    /// c / t
    Under,
}

/// A sum or product over an index.
#[derive(Clone, Debug)]
pub(super) struct Repeat {
    pub(super) body: Tape,
    pub(super) result: Register,
    /// The input of `body` that is the index.
    pub(super) index: usize,
    /// Inputs of `body` and the registers of the outer tape they take their values from.
    pub(super) captured: Vec<(usize, Register)>,
    pub(super) from: Register,
    /// `None` for a series.
    pub(super) to: Option<Register>,
    pub(super) product: bool,
}

/// A compiled list of operations.
#[derive(Clone, Debug, Default)]
pub struct Tape {
    pub(super) operations: Vec<Operation>,
    pub(super) inputs: Vec<Expr>,
}

impl Tape {
    /// The variables and applications of unknown functions that the tape reads, in input order.
    #[must_use]
    pub fn inputs(&self) -> &[Expr] {
        &self.inputs
    }

    /// Registers needed by a batch.
    #[must_use]
    pub fn len(&self) -> usize {
        self.operations.len()
    }

    /// Operations that one evaluation may take, sums at their full length.
    #[must_use]
    pub fn weight(&self) -> usize {
        self.operations.iter().fold(0, |total, operation| {
            total.saturating_add(match operation {
                Operation::Repeat(repeat) => repeat.body.weight().saturating_mul(lanes::TERMS),
                _ => 1,
            })
        })
    }

    /// Whether there is nothing to compute.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.operations.is_empty()
    }
}
