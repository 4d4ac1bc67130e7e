//! What the kernel is asked: variables, hypotheses in force, and a goal of a closed set of kinds.

use crate::expr::{Condition, Expr, Relation, Symbol};

/// Which numbers a variable runs through.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Kind {
    /// All integers (bounds are hypotheses).
    Integer,
    /// All reals (bounds are hypotheses).
    Real,
}

/// A universally quantified variable of a problem.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Variable {
    /// Its name.
    pub name: Symbol,
    /// Which numbers it runs through.
    pub kind: Kind,
}

/// Where a hypothesis comes from; decides nothing, but words and sampling use it.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Origin {
    /// The domain of a variable (`n ≥ 1`, `0 ≤ x ≤ 1`, `ε > 0`).
    Domain,
    /// The range that governs the sentence (`n > N`).
    Range,
    /// A choice of the author (`N > 1/ε`, `δ = min{1, ε/5}`).
    Choice,
    /// An assumption of the author.
    Assumption,
    /// An earlier claim that was proved.
    Earlier,
}

/// A statement that may be used.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Hypothesis {
    /// What holds.
    pub condition: Condition,
    /// Where it comes from.
    pub origin: Origin,
}

/// What is to be decided, for all values of the problem's variables that satisfy its hypotheses.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum Goal {
    /// left R right, both sides defined.
    Holds(Expr, Relation, Expr),
    /// The expression is defined.
    Defined(Expr),
    /// sup of |term| over `points` tends to 0 as `index` → ∞, for each fixed value of all other
    /// variables. With no points: term → 0. The index runs through integers or reals. Hypotheses
    /// may bound it below, keep it to a subsequence, or tie it to points: "x ≥ n" makes it the
    /// limit x → ∞. Where they leave no points, the supremum counts as 0: whoever asks has to
    /// know that some are left for arbitrarily large indices. Other limits are this one: x → c
    /// from above is x = c + 1/t with t → ∞, and a → ∞ exactly if 1/max(a, 1) → 0.
    TendsToZero {
        /// The error term.
        term: Expr,
        /// The index that grows.
        index: Symbol,
        /// The variables over which the supremum is taken.
        points: Vec<Symbol>,
    },
}

/// A question to the kernel.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Problem {
    /// Every free variable of hypotheses and goal, in the order in which the draft binds them.
    pub variables: Vec<Variable>,
    /// The hypotheses in force, domains included.
    pub hypotheses: Vec<Hypothesis>,
    /// What is to be decided.
    pub goal: Goal,
}

impl Problem {
    /// The variable of that name.
    #[must_use]
    pub fn variable(&self, name: &Symbol) -> Option<&Variable> {
        self.variables
            .iter()
            .find(|variable| variable.name == *name)
    }

    /// The same question with another goal.
    #[must_use]
    pub fn with_goal(&self, goal: Goal) -> Self {
        Self {
            goal,
            ..self.clone()
        }
    }

    /// The same question with one hypothesis more.
    #[must_use]
    pub fn assuming(&self, condition: Condition, origin: Origin) -> Self {
        let mut problem = self.clone();
        problem.hypotheses.push(Hypothesis { condition, origin });
        problem
    }

    /// Whether `expr` takes integer values only: integer variables and numerals under sums,
    /// products, negation, powers with a numeral exponent ≥ 0, floor, ceiling, factorial,
    /// absolute value, minimum and maximum.
    #[must_use]
    pub fn is_integer(&self, expr: &Expr) -> bool {
        is_integer(expr, &|name| {
            self.variable(name)
                .is_some_and(|variable| variable.kind == Kind::Integer)
        })
    }
}

/// Whether `expr` takes integer values only, given which variables do.
#[must_use]
pub fn is_integer(expr: &Expr, integer_variable: &dyn Fn(&Symbol) -> bool) -> bool {
    use crate::expr::{Function, Node};
    match expr.node() {
        Node::Number(value) => value.is_int(),
        Node::Variable(name) => integer_variable(name),
        Node::Add(items) | Node::Mul(items) | Node::Min(items) | Node::Max(items) => {
            items.iter().all(|item| is_integer(item, integer_variable))
        }
        Node::Neg(inner) => is_integer(inner, integer_variable),
        Node::Pow(base, exponent) => {
            is_integer(base, integer_variable)
                && exponent
                    .as_number()
                    .is_some_and(|k| k.is_int() && k >= dashu::rational::RBig::ZERO)
        }
        Node::Call(Function::Floor | Function::Ceil | Function::Factorial | Function::Sign, _) => {
            true
        }
        Node::Call(Function::Abs, inner) => is_integer(inner, integer_variable),
        _ => false,
    }
}
