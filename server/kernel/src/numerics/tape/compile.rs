//! Compilation of expressions and conditions; equal sub-expressions are computed once.

use super::{Operation, Register, Repeat, Tape};
use crate::calculus::differentiate;
use crate::expr::{Condition, Constant, Expr, Function, Node, Relation, Symbol};
use crate::goal::is_integer;
use dashu::rational::RBig;
use std::collections::HashMap;

/// Integer exponents up to this size are multiplied out.
const SMALL_EXPONENT: i32 = 12;

/// Where a relation finds its operands.
#[derive(Clone, Copy, Debug)]
pub struct Test {
    /// Left side.
    pub left: Register,
    /// Its sign.
    pub relation: Relation,
    /// Right side.
    pub right: Register,
    /// Size of the largest terms on both sides, the measure of rounding errors.
    pub magnitude: Register,
}

/// A compiled condition.
#[derive(Clone, Debug)]
pub enum Tree {
    /// A relation.
    Test(Test),
    /// All of them.
    And(Vec<Tree>),
    /// One of them.
    Or(Vec<Tree>),
    /// The opposite.
    Not(Box<Tree>),
    /// The value is an integer.
    Integer(Register),
}

/// Builds a tape.
pub struct Compiler<'a> {
    tape: Tape,
    /// Registers that are read from outside.
    kept: Vec<Register>,
    known: HashMap<Expr, Register>,
    magnitudes: HashMap<Expr, Register>,
    integer: &'a dyn Fn(&Symbol) -> bool,
}

impl<'a> Compiler<'a> {
    /// A compiler that knows which variables are integers.
    #[must_use]
    pub fn new(integer: &'a dyn Fn(&Symbol) -> bool) -> Self {
        Self {
            tape: Tape::default(),
            kept: Vec::new(),
            known: HashMap::new(),
            magnitudes: HashMap::new(),
            integer,
        }
    }

    /// The tape so far.
    #[must_use]
    pub fn finish(mut self) -> Tape {
        super::fuse::fuse(&mut self.tape.operations, &self.kept);
        self.tape
    }

    fn push(&mut self, operation: Operation) -> Register {
        let operation = match self.folded(&operation) {
            Some(value) => Operation::Constant(value),
            None => operation,
        };
        self.tape.operations.push(operation);
        self.tape.operations.len() - 1
    }

    /// The value of an operation on constants.
    fn folded(&self, operation: &Operation) -> Option<f64> {
        let value = |register: Register| match self.tape.operations[register] {
            Operation::Constant(value) => Some(value),
            _ => None,
        };
        Some(match *operation {
            Operation::Add(a, b) => value(a)? + value(b)?,
            Operation::Subtract(a, b) => value(a)? - value(b)?,
            Operation::Multiply(a, b) => value(a)? * value(b)?,
            Operation::Divide(a, b) => super::lanes::quotient(value(a)?, value(b)?),
            Operation::Negate(a) => -value(a)?,
            _ => return None,
        })
    }

    fn constant(&mut self, value: f64) -> Register {
        self.push(Operation::Constant(value))
    }

    fn input(&mut self, what: &Expr) -> Register {
        let position = self
            .tape
            .inputs
            .iter()
            .position(|input| input == what)
            .unwrap_or_else(|| {
                self.tape.inputs.push(what.clone());
                self.tape.inputs.len() - 1
            });
        self.push(Operation::Input(position))
    }

    /// Compiles an expression; gives the register of its value.
    pub fn expression(&mut self, expr: &Expr) -> Register {
        let register = self.value(expr);
        self.kept.push(register);
        register
    }

    fn value(&mut self, expr: &Expr) -> Register {
        if let Some(register) = self.known.get(expr) {
            return *register;
        }
        let register = self.compile(expr);
        self.known.insert(expr.clone(), register);
        register
    }

    fn compile(&mut self, expr: &Expr) -> Register {
        match expr.node() {
            Node::Number(value) => self.constant(value.to_f64().value()),
            Node::Constant(Constant::Pi) => self.constant(std::f64::consts::PI),
            Node::Constant(Constant::E) => self.constant(std::f64::consts::E),
            Node::Variable(_) | Node::Apply(..) => self.input(expr),
            Node::Add(items) => self.sum(items),
            Node::Mul(items) => self.chain(items, Operation::Multiply),
            Node::Min(items) => self.chain(items, Operation::Least),
            Node::Max(items) => self.chain(items, Operation::Greatest),
            Node::Neg(inner) => {
                let inner = self.value(inner);
                self.push(Operation::Negate(inner))
            }
            Node::Div(numerator, denominator) => {
                let over = self.value(numerator);
                let under = self.value(denominator);
                self.push(Operation::Divide(over, under))
            }
            Node::Pow(base, exponent) => self.power(base, exponent),
            Node::Root(degree, radicand) => {
                let inner = self.value(radicand);
                self.push(Operation::Root(*degree, inner))
            }
            Node::Call(function, argument) => self.call(*function, argument),
            Node::Sum {
                index,
                from,
                to,
                body,
            } => self.repeat(index, from, to.as_ref(), body, false),
            Node::Product {
                index,
                from,
                to,
                body,
            } => self.repeat(index, from, Some(to), body, true),
            Node::Derivative { variable, body } => {
                let inside = self.value(body);
                let value = match differentiate(body, variable) {
                    Some(formula) => self.value(&formula),
                    None => self.constant(f64::INFINITY),
                };
                self.push(Operation::Guard(value, inside))
            }
            Node::Piecewise(branches) => self.pieces(branches),
        }
    }

    fn sum(&mut self, items: &[Expr]) -> Register {
        if let Some((argument, operation)) = without_cancellation(items) {
            let argument = self.value(argument);
            return self.push(operation(argument));
        }
        let mut total: Option<Register> = None;
        for item in items {
            total = Some(match (total, item.node()) {
                (Some(before), Node::Neg(inner)) => {
                    let inner = self.value(inner);
                    self.push(Operation::Subtract(before, inner))
                }
                (Some(before), _) => {
                    let item = self.value(item);
                    self.push(Operation::Add(before, item))
                }
                (None, _) => self.value(item),
            });
        }
        total.unwrap_or_else(|| self.constant(0.0))
    }

    fn chain(
        &mut self,
        items: &[Expr],
        join: impl Fn(Register, Register) -> Operation,
    ) -> Register {
        let mut total: Option<Register> = None;
        for item in items {
            let item = self.value(item);
            total = Some(match total {
                Some(before) => self.push(join(before, item)),
                None => item,
            });
        }
        total.unwrap_or_else(|| self.constant(f64::NAN))
    }

    fn power(&mut self, base: &Expr, exponent: &Expr) -> Register {
        if matches!(base.node(), Node::Constant(Constant::E)) {
            let exponent = self.value(exponent);
            return self.push(Operation::Call(Function::Exp, exponent));
        }
        let u = self.value(base);
        let small = exponent
            .as_number()
            .filter(RBig::is_int)
            .and_then(|value| i32::try_from(value.numerator().clone()).ok())
            .filter(|k| k.abs() <= SMALL_EXPONENT);
        if let Some(k) = small {
            return self.push(Operation::Power(u, k));
        }
        let integer = is_integer(exponent, self.integer)
            || exponent.variables().iter().all(|name| (self.integer)(name));
        let v = self.value(exponent);
        self.push(Operation::GeneralPower(u, v, integer))
    }

    fn call(&mut self, function: Function, argument: &Expr) -> Register {
        if function == Function::Log
            && let Node::Add(items) = argument.node()
            && let Some(rest) = one_plus(items)
        {
            let rest = self.value(&rest);
            return self.push(Operation::LogOnePlus(rest));
        }
        let argument = self.value(argument);
        self.push(Operation::Call(function, argument))
    }

    fn pieces(&mut self, branches: &[(Condition, Expr)]) -> Register {
        let mut otherwise = self.constant(f64::NAN);
        for (condition, value) in branches.iter().rev() {
            let holds = self.truth(condition);
            let value = self.value(value);
            otherwise = self.push(Operation::Select(holds, value, otherwise));
        }
        otherwise
    }

    /// A condition as 1, 0 or NaN.
    fn truth(&mut self, condition: &Condition) -> Register {
        match condition {
            Condition::Holds(left, relation, right) => {
                let left = self.value(left);
                let right = self.value(right);
                self.push(Operation::Compare(left, *relation, right))
            }
            Condition::And(items) => self.truths(items, 1.0, Operation::Least),
            Condition::Or(items) => self.truths(items, 0.0, Operation::Greatest),
            Condition::Not(inner) => {
                let inner = self.truth(inner);
                self.push(Operation::Complement(inner))
            }
            Condition::Integer(value) => {
                let value = self.value(value);
                self.push(Operation::IsInteger(value))
            }
        }
    }

    fn truths(
        &mut self,
        items: &[Condition],
        empty: f64,
        join: impl Fn(Register, Register) -> Operation,
    ) -> Register {
        let mut total: Option<Register> = None;
        for item in items {
            let item = self.truth(item);
            total = Some(match total {
                Some(before) => self.push(join(before, item)),
                None => item,
            });
        }
        total.unwrap_or_else(|| self.constant(empty))
    }

    fn repeat(
        &mut self,
        index: &Symbol,
        from: &Expr,
        to: Option<&Expr>,
        body: &Expr,
        product: bool,
    ) -> Register {
        let integer = self.integer;
        let inside = |name: &Symbol| name == index || integer(name);
        let mut compiler = Compiler::new(&inside);
        let index = compiler.expression(&Expr::variable(index));
        let result = compiler.expression(body);
        let tape = compiler.finish();
        let Operation::Input(index) = tape.operations[index] else {
            return self.constant(f64::INFINITY);
        };
        let captured = tape
            .inputs
            .iter()
            .enumerate()
            .filter(|(position, _)| *position != index)
            .map(|(position, input)| (position, self.value(input)))
            .collect();
        let from = self.value(from);
        let to = to.map(|to| self.value(to));
        self.push(Operation::Repeat(Box::new(Repeat {
            body: tape,
            result,
            index,
            captured,
            from,
            to,
            product,
        })))
    }

    /// Compiles a condition for slack evaluation.
    pub fn condition(&mut self, condition: &Condition) -> Tree {
        match condition {
            Condition::Holds(left, relation, right) => {
                Tree::Test(self.relation(left, *relation, right))
            }
            Condition::And(items) => {
                Tree::And(items.iter().map(|item| self.condition(item)).collect())
            }
            Condition::Or(items) => {
                Tree::Or(items.iter().map(|item| self.condition(item)).collect())
            }
            Condition::Not(inner) => Tree::Not(Box::new(self.condition(inner))),
            Condition::Integer(value) => Tree::Integer(self.expression(value)),
        }
    }

    /// Compiles a relation.
    pub fn relation(&mut self, left: &Expr, relation: Relation, right: &Expr) -> Test {
        let (a, b) = (self.expression(left), self.expression(right));
        let (size_a, size_b) = (self.size(left), self.size(right));
        let magnitude = self.push(Operation::Add(size_a, size_b));
        self.kept.push(magnitude);
        Test {
            left: a,
            relation,
            right: b,
            magnitude,
        }
    }

    /// The size of the largest terms that are added up inside.
    pub fn magnitude(&mut self, expr: &Expr) -> Register {
        let register = self.size(expr);
        self.kept.push(register);
        register
    }

    fn size(&mut self, expr: &Expr) -> Register {
        if let Some(register) = self.magnitudes.get(expr) {
            return *register;
        }
        let register = match expr.node() {
            Node::Add(items) if without_cancellation(items).is_none() => {
                let sizes: Vec<Register> = items.iter().map(|item| self.size(item)).collect();
                self.fold(&sizes, Operation::Add)
            }
            Node::Mul(items) => {
                let sizes: Vec<Register> = items.iter().map(|item| self.size(item)).collect();
                self.fold(&sizes, Operation::Multiply)
            }
            Node::Min(items) | Node::Max(items) => {
                let sizes: Vec<Register> = items.iter().map(|item| self.size(item)).collect();
                self.fold(&sizes, Operation::Greatest)
            }
            Node::Neg(inner) | Node::Call(Function::Abs, inner) => self.size(inner),
            Node::Div(numerator, denominator) => {
                let over = self.size(numerator);
                let under = self.value(denominator);
                let under = self.push(Operation::Call(Function::Abs, under));
                self.push(Operation::Divide(over, under))
            }
            _ => {
                let value = self.value(expr);
                self.push(Operation::Call(Function::Abs, value))
            }
        };
        self.magnitudes.insert(expr.clone(), register);
        register
    }

    fn fold(
        &mut self,
        registers: &[Register],
        join: impl Fn(Register, Register) -> Operation,
    ) -> Register {
        let mut total: Option<Register> = None;
        for register in registers {
            total = Some(match total {
                Some(before) => self.push(join(before, *register)),
                None => *register,
            });
        }
        total.unwrap_or_else(|| self.constant(0.0))
    }
}

/// An operation on one register.
type Unary = fn(Register) -> Operation;

/// An argument and the operation on it that computes a sum without cancellation:
/// e^u − 1 (in either order) and 1 − cos u.
fn without_cancellation(items: &[Expr]) -> Option<(&Expr, Unary)> {
    let [first, second] = items else {
        return None;
    };
    let is = |expr: &Expr, value: RBig| expr.as_number().is_some_and(|number| number == value);
    for (exponential, constant) in [(first, second), (second, first)] {
        if is(constant, RBig::NEG_ONE)
            && let Some(argument) = exponent(exponential)
        {
            return Some((argument, Operation::ExpMinusOne));
        }
    }
    if is(first, RBig::ONE)
        && let Node::Neg(inner) = second.node()
        && let Node::Call(Function::Cos, argument) = inner.node()
    {
        return Some((argument, Operation::OneMinusCosine));
    }
    None
}

/// u, if the expression is e^u.
fn exponent(expr: &Expr) -> Option<&Expr> {
    match expr.node() {
        Node::Call(Function::Exp, argument) => Some(argument),
        Node::Pow(base, exponent) if matches!(base.node(), Node::Constant(Constant::E)) => {
            Some(exponent)
        }
        _ => None,
    }
}

/// The rest of a sum whose first term is the number 1.
fn one_plus(items: &[Expr]) -> Option<Expr> {
    let (first, rest) = items.split_first()?;
    first
        .as_number()
        .is_some_and(|value| value.is_one())
        .then(|| Expr::sum_of(rest.to_vec()))
}
