//! Proofs as data: what the search proposes and the checker judges.

pub use crate::algebra::Sign;
use crate::expr::{Condition, Expr, Relation, Symbol};
use crate::goal::Problem;
use dashu::rational::RBig;

/// A proof of one problem.
#[derive(Clone, PartialEq, Debug)]
pub enum Proof {
    /// Facts derived one after the other from the hypotheses, until the goal is among them or
    /// they contradict each other.
    Direct(Vec<Step>),
    /// Cases by how two expressions compare, which are shown to be defined first.
    Cases {
        /// The left side.
        on: Expr,
        /// The right side.
        against: Expr,
        /// That their sum is defined.
        defined: Box<Proof>,
        /// The proof under each relation; together the relations cover all signs.
        branches: Vec<(Relation, Proof)>,
    },
    /// Cases by a hypothesis that is a disjunction.
    Either {
        /// Its place among the hypotheses.
        hypothesis: usize,
        /// The proof under each member.
        branches: Vec<Proof>,
    },
    /// A hypothesis `variable = expression` carried out.
    Replace {
        /// The place of the equation among the hypotheses.
        hypothesis: usize,
        /// The variable that disappears.
        variable: Symbol,
        /// The proof of what is left.
        rest: Box<Proof>,
    },
    /// A hypothesis `part = value` used in the goal: `value` wherever `part` stands.
    Rewrite {
        /// The place of the equation among the hypotheses.
        hypothesis: usize,
        /// The proof of the goal so written.
        rest: Box<Proof>,
    },
    /// An intermediate statement, proved first and used afterwards.
    Through {
        /// The statement.
        claim: Condition,
        /// Its proof.
        first: Box<Proof>,
        /// The proof that uses it.
        rest: Box<Proof>,
    },
    /// The values `from`, `from + 1`, … of an integer one by one, and all later ones at once.
    Values {
        /// The integer variable; a hypothesis bounds it below by `from`.
        variable: Symbol,
        /// The first value.
        from: i64,
        /// A proof for each single value.
        single: Vec<Proof>,
        /// The proof for all later values.
        tail: Box<Proof>,
    },
    /// An integer is even or odd: it is `2 m` or `2 m + 1`.
    Parity {
        /// The integer variable.
        variable: Symbol,
        /// A fresh name for the half.
        half: Symbol,
        /// The proof with the variable replaced by `2 half`.
        even: Box<Proof>,
        /// The proof with the variable replaced by `2 half + 1`.
        odd: Box<Proof>,
    },
    /// Mathematical induction over an integer.
    Induction {
        /// The integer variable; a hypothesis bounds it below by `from`.
        variable: Symbol,
        /// The first value.
        from: i64,
        /// The goal at the first value.
        base: Box<Proof>,
        /// The goal at `variable + 1` from the goal at `variable`.
        step: Box<Proof>,
    },
    /// A difference that is monotone in one real variable, from its value at an end point.
    Monotone {
        /// The variable.
        variable: Symbol,
        /// Whether left − right of the goal `left ≥ right` rises; else it falls.
        rising: bool,
        /// The end point: the lower bound if rising, else the upper bound.
        end: Expr,
        /// That both sides are defined up to the end point.
        defined: Box<Proof>,
        /// That the derivative exists inside.
        smooth: Box<Proof>,
        /// The sign of the derivative inside.
        slope: Box<Proof>,
        /// Whether that sign is strict.
        strict_slope: bool,
        /// The goal at the end point.
        start: Box<Proof>,
    },
    /// A concave difference that is not negative at both ends.
    Concave {
        /// The variable.
        variable: Symbol,
        /// The lower bound.
        left: Expr,
        /// The upper bound.
        right: Expr,
        /// That both sides are defined up to both ends.
        defined: Box<Proof>,
        /// That the second derivative exists inside.
        smooth: Box<Proof>,
        /// The sign of the second derivative inside.
        bend: Box<Proof>,
        /// Whether that sign is strict.
        strict_bend: bool,
        /// The goal at both ends.
        ends: Box<(Proof, Proof)>,
    },
    /// A majorant of a term that tends to 0.
    Majorant(Box<Majorant>),
}

/// |term| ≤ coefficient · shape for all values of the index from `start` on.
#[derive(Clone, PartialEq, Debug)]
pub struct Majorant {
    /// Free of the index and of the points.
    pub coefficient: Expr,
    /// The shape of the null sequence.
    pub shape: Shape,
    /// The first index from which the bound holds.
    pub start: i64,
    /// The bound.
    pub bound: Box<Proof>,
    /// That the coefficient is defined; for a geometric shape also 0 ≤ q and q < 1.
    pub conditions: Vec<Proof>,
}

/// A certified distance from 0: |term| ≥ bound > 0 along a subsequence, at points that may move
/// with the index.
#[derive(Clone, PartialEq, Debug)]
pub struct Witness {
    /// A value for every other variable, which shows that the hypotheses about them can be met.
    pub parameters: Vec<(Symbol, Expr)>,
    /// A value for each point variable, in the index and parameters.
    pub values: Vec<(Symbol, Expr)>,
    /// Free of the index and of the points.
    pub bound: Expr,
    /// The index runs through stride · m + offset.
    pub stride: i64,
    /// See `stride`.
    pub offset: i64,
    /// The first m.
    pub start: i64,
    /// Proofs of the bound, of its sign, and of every hypothesis at the witness.
    pub proofs: Vec<Proof>,
}

/// A null sequence in the index n.
#[derive(Clone, PartialEq, Debug)]
pub enum Shape {
    /// 0 itself.
    Zero,
    /// n^(−p), p > 0.
    Power(RBig),
    /// n^k q^n with 0 ≤ q < 1.
    Geometric(u32, Expr),
    /// (log n)^(−p), p > 0, for n ≥ 2.
    Logarithm(RBig),
}

/// One summand of a combination: coefficient · facts · squares.
#[derive(Clone, PartialEq, Debug)]
pub struct Term {
    /// A positive number.
    pub coefficient: RBig,
    /// Places of facts with a sign, in the order in which they were derived.
    pub facts: Vec<usize>,
    /// Expressions whose squares are factors.
    pub squares: Vec<Expr>,
}

/// One derivation inside a [`Proof::Direct`].
#[derive(Clone, PartialEq, Debug)]
pub enum Step {
    /// Makes what is known about an expression by inspection a fact of its own.
    Known(Expr, Sign),
    /// A sum of products of facts with positive coefficients, and multiples of equations.
    Combine(Vec<Term>, Vec<(usize, Expr)>),
    /// A fact divided by a factor of known sign.
    Divide(usize, Expr),
    /// a ≥ 0 and a^k ≥ b^k, k even, give a ≥ |b|; for odd k no sign of a is needed: a ≥ b.
    Compare {
        /// a
        larger: Expr,
        /// b
        smaller: Expr,
        /// k ≥ 2
        power: u32,
    },
    /// An integer that is > 0 is ≥ 1.
    Whole(usize),
    /// An instance of a known inequality.
    Lemma(super::lemma::Lemma, Vec<Expr>),
    /// The sign of a polynomial in one atom over an interval, by counting its roots.
    Roots {
        /// The polynomial.
        value: Expr,
        /// The atom.
        atom: Expr,
        /// The lower end, and whether it is excluded.
        low: Option<(RBig, bool)>,
        /// The upper end, and whether it is excluded.
        high: Option<(RBig, bool)>,
        /// `Positive` or `NonNegative`.
        sign: Sign,
    },
    /// low < constant < high, by an interval.
    Bracket(Expr, RBig, RBig),
    /// A statement proved on its own, for certain values of its variables.
    Instance(Box<Problem>, Box<Proof>, Vec<(Symbol, Expr)>),
    /// A statement proved in the same situation by contradiction: its opposite and these steps
    /// contradict each other.
    Refute(Expr, Sign, Vec<Step>),
    /// A primitive G of a sum's term t: G(k) − G(k + 1) R t(k), or of a product's factor:
    /// G(k + 1) R t(k) G(k); shown by the steps for a fresh index in the range.
    Telescope {
        /// The sum.
        sum: Expr,
        /// G, in the index of the sum.
        primitive: Expr,
        /// All but ≠.
        relation: Relation,
        /// The steps.
        steps: Vec<Step>,
    },
    /// The value of a series by a primitive G of its term that tends to 0: G(k) − G(k + 1) = t(k)
    /// gives G(from); ≤ or < in place of = gives a lower bound of a series known to converge.
    Exhaust {
        /// The series.
        sum: Expr,
        /// G, in the index of the sum and parameters.
        primitive: Expr,
        /// =, ≤ or <
        relation: Relation,
        /// The steps that show the relation for a fresh index in the range.
        steps: Vec<Step>,
        /// That G tends to 0.
        vanishing: Box<Proof>,
    },
    /// Two sums between the same limits, of which the terms compare one by one; two series if both
    /// converge, or the right one does and its terms bound the size of the left ones.
    Termwise {
        /// The left sum.
        sum: Expr,
        /// The right sum.
        other: Expr,
        /// All but ≠.
        relation: Relation,
        /// The steps that show the relation for a fresh index in the range.
        steps: Vec<Step>,
    },
    /// The first term of a finite sum or product with at least one, or of a series of which the
    /// rest converges, split off.
    Peel(Expr),
    /// A finite sum or product (first) split behind a value of its index.
    Split(Expr, Expr),
    /// A series between two primitives that tend to 0: H(k) − H(k + 1) ≤ t(k) ≤ G(k) − G(k + 1).
    Squeeze {
        /// The series.
        sum: Expr,
        /// H, in the index of the sum and parameters.
        lower: Expr,
        /// G
        upper: Expr,
        /// The steps that show both relations for a fresh index in the range.
        steps: Vec<Step>,
        /// That H, and that G, tend to 0.
        vanishing: Vec<Proof>,
    },
    /// The closed form of a geometric sum with this ratio.
    Geometric(Expr, Expr),
}
