//! What is known in one situation: signs of polynomials over atoms, and what they give at sight.
//!
//! Atoms stand for total functions: where an atom's expression is undefined its value is
//! arbitrary (an even root means the root of the absolute value; a power is never negative for a
//! nonnegative base and never 0 for a base that is not 0). Facts are true under every such choice, which is why each rule states its
//! conditions; that the goal is defined is checked apart.

use super::normal::Fraction;
use super::{Monomial, Poly, Range, Signed, bracket};
use crate::expr::{Constant, Expr, Function, Node, Relation, Symbol};
use crate::goal::{Kind, Variable};
use dashu::rational::RBig;
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::rc::Rc;

/// How a value compares with 0.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Sign {
    /// = 0
    Zero,
    /// ≥ 0
    NonNegative,
    /// > 0
    Positive,
    /// ≠ 0
    NonZero,
}

impl Sign {
    /// How a value of this sign relates to 0.
    #[must_use]
    pub fn relation(self) -> Relation {
        match self {
            Self::Zero => Relation::Equal,
            Self::NonNegative => Relation::GreaterEqual,
            Self::Positive => Relation::Greater,
            Self::NonZero => Relation::NotEqual,
        }
    }

    /// left R right as the sign of a difference of the sides.
    #[must_use]
    pub fn of_relation(left: &Expr, relation: Relation, right: &Expr) -> (Expr, Self) {
        let sign = match relation {
            Relation::Less | Relation::Greater => Self::Positive,
            Relation::LessEqual | Relation::GreaterEqual => Self::NonNegative,
            Relation::Equal => Self::Zero,
            Relation::NotEqual => Self::NonZero,
        };
        match relation {
            Relation::Less | Relation::LessEqual => (right.minus(left), sign),
            _ => (left.minus(right), sign),
        }
    }
}

/// What is known about one value.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Known {
    /// ≥ 0
    pub at_least: bool,
    /// ≤ 0
    pub at_most: bool,
    /// ≠ 0
    pub differs: bool,
}

impl Known {
    /// Whether that sign is known.
    #[must_use]
    pub fn has(self, sign: Sign) -> bool {
        match sign {
            Sign::Zero => self.at_least && self.at_most,
            Sign::NonNegative => self.at_least,
            Sign::Positive => self.at_least && self.differs,
            Sign::NonZero => self.differs,
        }
    }

    /// Whether the value relates so to 0.
    #[must_use]
    pub fn stands(self, relation: Relation) -> bool {
        match relation {
            Relation::Less => self.at_most && self.differs,
            Relation::LessEqual => self.at_most,
            Relation::Equal => self.has(Sign::Zero),
            Relation::NotEqual => self.differs,
            Relation::GreaterEqual => self.at_least,
            Relation::Greater => self.has(Sign::Positive),
        }
    }

    fn of(sign: Sign) -> Self {
        Self {
            at_least: sign != Sign::NonZero,
            at_most: sign == Sign::Zero,
            differs: matches!(sign, Sign::Positive | Sign::NonZero),
        }
    }

    fn with(self, other: Self) -> Self {
        Self {
            at_least: self.at_least || other.at_least,
            at_most: self.at_most || other.at_most,
            differs: self.differs || other.differs,
        }
    }

    /// What is known about the negative.
    #[must_use]
    pub fn flipped(self) -> Self {
        Self {
            at_least: self.at_most,
            at_most: self.at_least,
            differs: self.differs,
        }
    }

    fn times(self, other: Self) -> Self {
        let zero = self.has(Sign::Zero) || other.has(Sign::Zero);
        Self {
            at_least: zero || (self.at_least && other.at_least) || (self.at_most && other.at_most),
            at_most: zero || (self.at_least && other.at_most) || (self.at_most && other.at_least),
            differs: self.differs && other.differs,
        }
    }

    fn of_range(range: &Range) -> Self {
        let turned = range.negative();
        Self {
            at_least: range.is_nonnegative(),
            at_most: turned.is_nonnegative(),
            differs: range.is_positive() || turned.is_positive(),
        }
    }
}

/// Facts about the variables of one problem.
#[derive(Clone, Debug, Default)]
pub struct Context {
    variables: Vec<Variable>,
    /// Expressions that take integer values.
    pub(super) integers: Vec<Expr>,
    /// Series that converge.
    convergent: Vec<Expr>,
    facts: Vec<(Poly, Sign)>,
    known: BTreeMap<Poly, Known>,
    /// Ranges of primitive polynomials without constant term.
    bounds: BTreeMap<Poly, Range>,
    absurd: bool,
    memo: Memo,
}

/// Normal forms by expression.
type Forms = RefCell<Rc<HashMap<Expr, Option<Rc<Fraction>>>>>;

/// Results for the facts at hand. A copy of a context starts with those of its origin, which were
/// derived from facts that the copy has as well; what either adds later is its own.
#[derive(Clone, Debug, Default)]
struct Memo {
    /// Forms for which no open question was asked: a further fact changes nothing.
    fixed: Forms,
    /// Forms that a further fact may simplify; kept until it comes.
    normal: Forms,
    ranges: RefCell<Rc<HashMap<Expr, Range>>>,
    /// Counts the questions whose answer a further fact may change.
    open: Cell<u64>,
    /// Enclosures of constants hold always and are shared.
    constants: Rc<RefCell<HashMap<Expr, Range>>>,
}

impl Memo {
    fn ask(&self) {
        self.open.set(self.open.get() + 1);
    }
}

impl Context {
    /// The facts in the order in which they were derived.
    #[must_use]
    pub fn facts(&self) -> &[(Poly, Sign)] {
        &self.facts
    }

    /// Whether the facts contradict each other.
    #[must_use]
    pub fn is_absurd(&self) -> bool {
        self.absurd
    }

    /// Notes that what is assumed cannot be.
    pub(super) fn contradicted(&mut self) {
        self.absurd = true;
    }

    /// Whether `expr` takes integer values only.
    #[must_use]
    pub fn is_integer(&self, expr: &Expr) -> bool {
        let whole = self.integers.contains(expr)
            || crate::goal::is_integer(expr, &|name| {
                self.variables
                    .iter()
                    .any(|own| own.name == *name && own.kind == Kind::Integer)
            });
        if !whole {
            self.memo.ask();
        }
        whole
    }

    /// Whether all atoms are integers, powers of integers with integer exponents ≥ 0 among them.
    pub(crate) fn has_whole_atoms(&self, poly: &Poly) -> bool {
        let whole = |atom: &Expr| {
            self.is_integer(atom)
                || matches!(atom.node(), Node::Pow(base, exponent)
                    if self.is_integer(base)
                        && self.is_integer(exponent)
                        && self.sign_of_expr(exponent).at_least)
        };
        poly.atoms().iter().all(whole)
    }

    /// Whether a value is known to be an integer: as written, or as a polynomial with integer
    /// coefficients in such atoms.
    pub(crate) fn is_whole(&self, value: &Expr) -> bool {
        let polynomial = || {
            let form = self.normal(value)?;
            let poly = form.as_poly()?;
            let whole = |(_, coefficient): (&Monomial, &RBig)| coefficient.is_int();
            Some(poly.terms().all(whole) && self.has_whole_atoms(poly))
        };
        self.is_integer(value) || polynomial() == Some(true)
    }

    /// The variables of these names, if all are declared.
    pub(crate) fn declared(&self, names: &BTreeSet<Symbol>) -> Option<Vec<Variable>> {
        let find = |name: &Symbol| self.variables.iter().find(|own| own.name == *name).cloned();
        names.iter().map(find).collect()
    }

    /// Whether a variable of that name is declared or occurs in a fact.
    pub(crate) fn speaks_of(&self, name: &Symbol) -> bool {
        let within = |poly: &Poly| poly.atoms().iter().any(|atom| atom.mentions(name));
        self.variables.iter().any(|own| own.name == *name)
            || self.integers.iter().any(|value| value.mentions(name))
            || self.facts.iter().any(|(poly, _)| within(poly))
    }

    /// Adds a fact; gives its place.
    pub(crate) fn record(&mut self, poly: &Poly, sign: Sign) -> usize {
        let poly = self.reduced(poly);
        self.learn_sign(&poly, sign);
        self.facts.push((poly, sign));
        self.facts.len() - 1
    }

    /// Adds a variable.
    pub(crate) fn declare(&mut self, variable: Variable) {
        self.variables.push(variable);
    }

    /// Takes in that a series converges.
    pub(crate) fn converges(&mut self, series: &Expr) {
        self.convergent.push(series.clone());
    }

    /// Whether a series is known to converge.
    pub(crate) fn is_convergent(&self, series: &Expr) -> bool {
        self.convergent.contains(series)
    }

    fn learn_sign(&mut self, poly: &Poly, sign: Sign) {
        self.memo.normal.take();
        self.memo.ranges.take();
        let (content, primitive) = poly.primitive();
        if primitive.as_constant().is_some() {
            let value = Known::of_range(&Range::point(&content));
            let holds = value.has(sign);
            self.absurd |= !holds;
            return;
        }
        let mut news = Known::of(sign);
        if content.is_negative() {
            news = news.flipped();
        }
        let all = self
            .known
            .get(&primitive)
            .copied()
            .unwrap_or_default()
            .with(news);
        self.absurd |= all.at_least && all.at_most && all.differs;
        self.known.insert(primitive.clone(), all);
        if all.differs {
            self.learn_factors(&primitive);
        }
        self.learn_bound(&primitive, all);
    }

    /// A product that is not 0 has no factor that is 0.
    fn learn_factors(&mut self, primitive: &Poly) {
        let (_, monomial, rest) = primitive.split();
        if monomial.factors().is_empty() {
            return;
        }
        let atoms = monomial.factors().iter().map(|(atom, _)| atom);
        let parts: Vec<Poly> = atoms.cloned().map(Poly::atom).chain([rest]).collect();
        for part in parts.iter().filter(|part| part.as_constant().is_none()) {
            self.known.entry(part.clone()).or_default().differs = true;
        }
    }

    /// A bound of a polynomial without constant term: factor · q + rest compared with 0.
    fn learn_bound(&mut self, primitive: &Poly, known: Known) {
        let (factor, part, rest) = without_constant(primitive);
        if !known.at_least && !known.at_most {
            return;
        }
        let end = (-rest / &factor, known.differs);
        let (low, high) = if factor.is_negative() {
            (known.at_most, known.at_least)
        } else {
            (known.at_least, known.at_most)
        };
        let news = Range {
            low: low.then(|| end.clone()),
            high: high.then_some(end),
        };
        let own = self.bounds.entry(part).or_default();
        *own = own.meet(&news);
        self.absurd |= own.is_empty();
    }

    /// What is known about the sign of a polynomial by inspection: stored facts, signs of the
    /// factors, ranges of the atoms.
    #[must_use]
    pub fn sign_of(&self, poly: &Poly) -> Known {
        if let Some(value) = poly.as_constant() {
            return Known::of_range(&Range::point(&value));
        }
        let before = self.memo.open.get();
        let mut all = self
            .stored(poly)
            .with(Known::of_range(&self.range_of(poly)));
        let (content, monomial, rest) = poly.split();
        if !monomial.factors().is_empty() {
            let mut product = Known::of_range(&Range::point(&content));
            for (atom, power) in monomial.factors() {
                product = product.times(self.sign_of_power(atom, *power));
            }
            if rest.as_constant().is_none() {
                product = product.times(self.sign_of(&rest));
            }
            all = all.with(product);
        }
        // What is below, equal to or above 0 stays so.
        let decided = all.has(Sign::Zero) || all.differs && (all.at_least || all.at_most);
        self.memo.open.set(before + u64::from(!decided));
        all
    }

    fn stored(&self, poly: &Poly) -> Known {
        let (content, primitive) = poly.primitive();
        let own = self.known.get(&primitive).copied().unwrap_or_default();
        if content.is_negative() {
            own.flipped()
        } else {
            own
        }
    }

    fn sign_of_power(&self, atom: &Expr, power: u32) -> Known {
        let own = self
            .stored(&Poly::atom(atom.clone()))
            .with(Known::of_range(&self.range_of_atom(atom)));
        let own = match atom.node() {
            Node::Pow(base, _) if self.sign_of_expr(base).differs => Known {
                differs: true,
                ..own
            },
            _ => own,
        };
        if power % 2 == 1 {
            return own;
        }
        Known {
            at_least: true,
            at_most: own.has(Sign::Zero),
            differs: own.differs,
        }
    }

    /// The range of a polynomial over the ranges of its atoms.
    #[must_use]
    pub fn range_of(&self, poly: &Poly) -> Range {
        self.memo.ask();
        let mut sum = Range::point(&RBig::ZERO);
        for (monomial, value) in poly.terms() {
            let mut product = Range::point(value);
            for (atom, power) in monomial.factors() {
                let mut range = self.range_of_atom(atom).power(*power);
                if power % 2 == 0 && self.stored(&Poly::atom(atom.clone())).differs {
                    range = range.meet(&Range::above(RBig::ZERO, true));
                }
                product = product.times(&range);
            }
            sum = sum.plus(&product);
        }
        if poly.count() < 2 {
            return sum;
        }
        let (factor, part, rest) = without_constant(poly);
        match self.bounds.get(&part) {
            Some(own) => sum.meet(&own.times(&Range::point(&factor)).plus(&Range::point(&rest))),
            None => sum,
        }
    }

    /// The normal form, computed once for the facts at hand.
    pub(super) fn remembered(
        &self,
        expr: &Expr,
        compute: impl FnOnce() -> Option<Fraction>,
    ) -> Option<Fraction> {
        if let Some(known) = self.memo.fixed.borrow().get(expr) {
            return known.as_deref().cloned();
        }
        if let Some(known) = self.memo.normal.borrow().get(expr) {
            self.memo.ask();
            return known.as_deref().cloned();
        }
        let before = self.memo.open.get();
        let form = compute();
        if form.is_none() {
            self.memo.ask();
        }
        let fixed = self.memo.open.get() == before;
        let forms = if fixed {
            &self.memo.fixed
        } else {
            &self.memo.normal
        };
        Rc::make_mut(&mut forms.borrow_mut()).insert(expr.clone(), form.clone().map(Rc::new));
        form
    }

    /// The range of an atom: its bounds, and what its function gives.
    #[must_use]
    pub fn range_of_atom(&self, atom: &Expr) -> Range {
        self.memo.ask();
        if let Some(known) = self.memo.ranges.borrow().get(atom) {
            return known.clone();
        }
        let range = self.compute_range(atom);
        let mut known = self.memo.ranges.borrow_mut();
        Rc::make_mut(&mut known).insert(atom.clone(), range.clone());
        range
    }

    fn compute_range(&self, atom: &Expr) -> Range {
        let poly = Poly::atom(atom.clone());
        let mut range = self.bounds.get(&poly).cloned().unwrap_or_default();
        let own = self.stored(&poly);
        if own.at_least {
            range = range.meet(&Range::above(RBig::ZERO, own.differs));
        }
        if own.at_most {
            range = range.meet(&Range::above(RBig::ZERO, own.differs).negative());
        }
        range.meet(&self.function_range(atom))
    }

    fn function_range(&self, atom: &Expr) -> Range {
        if !matches!(atom.node(), Node::Variable(_) | Node::Apply(..))
            && atom.variables().is_empty()
        {
            if let Some(known) = self.memo.constants.borrow().get(atom) {
                return known.clone();
            }
            let range = bracket::enclose(atom).unwrap_or_default();
            self.memo
                .constants
                .borrow_mut()
                .insert(atom.clone(), range.clone());
            return range;
        }
        let above = |strict| Range::above(RBig::ZERO, strict);
        let one = RBig::ONE;
        match atom.node() {
            Node::Root(degree, inner) if degree % 2 == 0 => above(self.sign_of_expr(inner).differs),
            Node::Call(Function::Abs, inner) => above(self.sign_of_expr(inner).differs),
            Node::Root(_, inner) | Node::Pow(inner, _) => {
                let own = self.sign_of_expr(inner);
                if own.at_least {
                    above(own.differs)
                } else {
                    Range::default()
                }
            }
            Node::Constant(Constant::E | Constant::Pi) | Node::Call(Function::Exp, _) => {
                above(true)
            }
            Node::Call(Function::Sin | Function::Cos | Function::Sign, _) => {
                Range::between(-&one, one, false)
            }
            Node::Call(Function::Factorial, _) => Range::above(one, false),
            Node::Sum { .. } | Node::Product { .. } => self.range_of_terms(atom),
            _ => Range::default(),
        }
    }

    /// What is known about the sign of an expression by inspection.
    #[must_use]
    pub fn sign_of_expr(&self, expr: &Expr) -> Known {
        self.normal(expr)
            .map_or_else(Known::default, |fraction| self.sign_of_fraction(&fraction))
    }

    /// What is known about the sign of a fraction by inspection.
    #[must_use]
    pub fn sign_of_fraction(&self, fraction: &Fraction) -> Known {
        self.sign_of(&self.signed_numerator(fraction))
    }

    /// A polynomial of the same sign as the fraction: the numerator, turned by each factor of
    /// the denominator of known sign, and multiplied by the others that have an odd exponent.
    #[must_use]
    pub fn signed_numerator(&self, fraction: &Fraction) -> Poly {
        let mut poly = fraction.numerator().clone();
        for (factor, power) in fraction.denominator() {
            if power % 2 == 0 {
                continue;
            }
            let own = self.sign_of(factor);
            if own.at_most {
                poly = poly.negative();
            } else if !own.at_least {
                poly = poly.times(factor);
            }
        }
        self.reduced(&poly)
    }
}

/// Writes p = factor · q + rest with q primitive without constant term, rest a number.
fn without_constant(poly: &Poly) -> (RBig, Poly, RBig) {
    let rest = poly
        .terms()
        .next()
        .filter(|(monomial, _)| monomial.factors().is_empty())
        .map_or(RBig::ZERO, |(_, value)| value.clone());
    let (factor, part) = poly.minus(&Poly::constant(rest.clone())).primitive();
    (factor, part, rest)
}
