//! Real expressions: an immutable tree over a closed set of operations, shared and hashed once.
//!
//! An [`Expr`] is a value: cloning it is a reference count, equality compares the stored hash
//! before the structure, so that sub-trees that occur many times are stored and compared once.
//! Constructors do not simplify (a draft's `x + 0` stays `x + 0`, it will be shown to its
//! author); normal forms are the business of `proving`.

mod condition;
mod extent;
mod run;
mod shift;
pub mod text;

pub(crate) use run::Run;

use dashu::integer::IBig;
use dashu::rational::RBig;
use std::collections::BTreeSet;
use std::fmt;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::Arc;

/// The name of a variable, index, parameter or unknown function, as it is shown to the author
/// (`x`, `n`, `ε`, `N_1`).
#[derive(Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Symbol(Arc<str>);

impl Symbol {
    /// A symbol of that spelling.
    #[must_use]
    pub fn new(name: &str) -> Self {
        Self(Arc::from(name))
    }

    /// Its spelling.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Symbol {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Debug for Symbol {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A constant of analysis that is no rational.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Constant {
    /// π
    Pi,
    /// e, the base of the natural logarithm
    E,
}

/// A named real function of one variable.
///
/// Domains: `Log` on (0, ∞); `Asin`, `Acos` on [−1, 1]; `Tan` off its poles; all others on ℝ.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Function {
    /// e^u
    Exp,
    /// natural logarithm, u > 0
    Log,
    /// sine
    Sin,
    /// cosine
    Cos,
    /// tangent, undefined at π/2 + kπ
    Tan,
    /// arcus tangent
    Atan,
    /// arcus sine, −1 ≤ u ≤ 1
    Asin,
    /// arcus cosine, −1 ≤ u ≤ 1
    Acos,
    /// hyperbolic sine
    Sinh,
    /// hyperbolic cosine
    Cosh,
    /// hyperbolic tangent
    Tanh,
    /// absolute value
    Abs,
    /// greatest integer ≤ u
    Floor,
    /// least integer ≥ u
    Ceil,
    /// −1, 0 or 1
    Sign,
    /// u!, u an integer ≥ 0
    Factorial,
}

/// One operation and its operands.
#[derive(Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Node {
    /// An exact rational number.
    Number(RBig),
    /// π or e.
    Constant(Constant),
    /// A variable, index or parameter.
    Variable(Symbol),
    /// A sum of at least two terms.
    Add(Vec<Expr>),
    /// A product of at least two factors.
    Mul(Vec<Expr>),
    /// −u
    Neg(Expr),
    /// u / v, undefined at v = 0.
    Div(Expr, Expr),
    /// u^v. With an integer-valued exponent: repeated multiplication, 1 at exponent 0 (also at
    /// base 0), undefined for base 0 and a negative exponent. Else exp(v log u), u > 0, or u = 0
    /// and v > 0 with value 0.
    Pow(Expr, Expr),
    /// The k-th root of u, k ≥ 2: u ≥ 0 for even k, any u for odd k.
    Root(u32, Expr),
    /// A named function.
    Call(Function, Expr),
    /// The least of at least one term.
    Min(Vec<Expr>),
    /// The greatest of at least one term.
    Max(Vec<Expr>),
    /// Σ body for the integer `index` from `from` to `to` (`None`: to infinity).
    Sum {
        /// The bound index.
        index: Symbol,
        /// First value of the index.
        from: Expr,
        /// Last value of the index, `None` for a series.
        to: Option<Expr>,
        /// The term.
        body: Expr,
    },
    /// Π body for the integer `index` from `from` to `to`.
    Product {
        /// The bound index.
        index: Symbol,
        /// First value of the index.
        from: Expr,
        /// Last value of the index.
        to: Expr,
        /// The factor.
        body: Expr,
    },
    /// The derivative of `body` by `variable`, at `variable`.
    Derivative {
        /// The variable by which to differentiate.
        variable: Symbol,
        /// The function's term.
        body: Expr,
    },
    /// An unknown function or sequence of which only hypotheses are known: `a_n` is `a(n)`.
    Apply(Symbol, Vec<Expr>),
    /// The first branch whose condition holds; undefined where none does.
    Piecewise(Vec<(Condition, Expr)>),
}

/// A relation sign.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Relation {
    /// <
    Less,
    /// ≤
    LessEqual,
    /// =
    Equal,
    /// ≠
    NotEqual,
    /// ≥
    GreaterEqual,
    /// >
    Greater,
}

impl Relation {
    /// The relation read from the right: a R b iff b R' a.
    #[must_use]
    pub fn flipped(self) -> Self {
        match self {
            Self::Less => Self::Greater,
            Self::LessEqual => Self::GreaterEqual,
            Self::Greater => Self::Less,
            Self::GreaterEqual => Self::LessEqual,
            Self::Equal | Self::NotEqual => self,
        }
    }

    /// The relation that holds exactly where this one does not (both sides defined).
    #[must_use]
    pub fn negated(self) -> Self {
        match self {
            Self::Less => Self::GreaterEqual,
            Self::LessEqual => Self::Greater,
            Self::Greater => Self::LessEqual,
            Self::GreaterEqual => Self::Less,
            Self::Equal => Self::NotEqual,
            Self::NotEqual => Self::Equal,
        }
    }

    /// The relation with equality admitted: < becomes ≤, > becomes ≥, all others stay.
    #[must_use]
    pub fn weakened(self) -> Self {
        match self {
            Self::Less => Self::LessEqual,
            Self::Greater => Self::GreaterEqual,
            other => other,
        }
    }

    /// Whether `left R right`, given how left compares with right.
    #[must_use]
    pub fn admits(self, ordering: std::cmp::Ordering) -> bool {
        use std::cmp::Ordering::{Equal, Greater, Less};
        match self {
            Self::Less => ordering == Less,
            Self::LessEqual => ordering != Greater,
            Self::Equal => ordering == Equal,
            Self::NotEqual => ordering != Equal,
            Self::GreaterEqual => ordering != Less,
            Self::Greater => ordering == Greater,
        }
    }

    /// The sign as it is printed.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Self::Less => "<",
            Self::LessEqual => "≤",
            Self::Equal => "=",
            Self::NotEqual => "≠",
            Self::GreaterEqual => "≥",
            Self::Greater => ">",
        }
    }
}

/// A quantifier-free statement about reals. A relation holds at a point only where both its
/// sides are defined.
#[derive(Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Condition {
    /// left R right
    Holds(Expr, Relation, Expr),
    /// All of them (true if empty).
    And(Vec<Condition>),
    /// One of them (false if empty).
    Or(Vec<Condition>),
    /// The opposite, where the inner statement is defined.
    Not(Box<Condition>),
    /// The value is an integer.
    Integer(Expr),
}

/// A real expression. Cheap to clone.
#[derive(Clone)]
pub struct Expr(Arc<Hashed>);

struct Hashed {
    hash: u64,
    node: Node,
}

impl PartialEq for Expr {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
            || (self.0.hash == other.0.hash && self.0.node == other.0.node)
    }
}

impl Eq for Expr {}

impl Hash for Expr {
    fn hash<H: Hasher>(&self, state: &mut H) {
        state.write_u64(self.0.hash);
    }
}

impl PartialOrd for Expr {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Expr {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        if Arc::ptr_eq(&self.0, &other.0) {
            std::cmp::Ordering::Equal
        } else {
            self.0.node.cmp(&other.0.node)
        }
    }
}

impl fmt::Debug for Expr {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&crate::show::plain(self))
    }
}

impl From<Node> for Expr {
    fn from(node: Node) -> Self {
        let mut hasher = DefaultHasher::new();
        node.hash(&mut hasher);
        Self(Arc::new(Hashed {
            hash: hasher.finish(),
            node,
        }))
    }
}

impl Expr {
    /// The operation at the root.
    #[must_use]
    pub fn node(&self) -> &Node {
        &self.0.node
    }

    /// An integer.
    #[must_use]
    pub fn integer(value: i64) -> Self {
        Node::Number(RBig::from(value)).into()
    }

    /// The rational `numerator / denominator`.
    ///
    /// # Panics
    /// If the denominator is 0.
    #[must_use]
    pub fn ratio(numerator: i64, denominator: i64) -> Self {
        Node::Number(RBig::from(numerator) / RBig::from(denominator)).into()
    }

    /// An exact rational number.
    #[must_use]
    pub fn number(value: RBig) -> Self {
        Node::Number(value).into()
    }

    /// An exact integer of any size.
    #[must_use]
    pub fn big(value: IBig) -> Self {
        Node::Number(RBig::from(value)).into()
    }

    /// The variable of that name.
    #[must_use]
    pub fn variable(name: &Symbol) -> Self {
        Node::Variable(name.clone()).into()
    }

    /// The variable of that spelling.
    #[must_use]
    pub fn named(name: &str) -> Self {
        Node::Variable(Symbol::new(name)).into()
    }

    /// A sum; of one term that term, of none 0.
    #[must_use]
    pub fn sum_of(mut terms: Vec<Expr>) -> Self {
        match terms.len() {
            0 => Self::integer(0),
            1 => terms.remove(0),
            _ => Node::Add(terms).into(),
        }
    }

    /// A product; of one factor that factor, of none 1.
    #[must_use]
    pub fn product_of(mut factors: Vec<Expr>) -> Self {
        match factors.len() {
            0 => Self::integer(1),
            1 => factors.remove(0),
            _ => Node::Mul(factors).into(),
        }
    }

    /// self + other
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        Node::Add(vec![self.clone(), other.clone()]).into()
    }

    /// self − other
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        Node::Add(vec![self.clone(), other.negative()]).into()
    }

    /// self · other
    #[must_use]
    pub fn times(&self, other: &Self) -> Self {
        Node::Mul(vec![self.clone(), other.clone()]).into()
    }

    /// self / other
    #[must_use]
    pub fn over(&self, other: &Self) -> Self {
        Node::Div(self.clone(), other.clone()).into()
    }

    /// −self
    #[must_use]
    pub fn negative(&self) -> Self {
        Node::Neg(self.clone()).into()
    }

    /// self ^ exponent
    #[must_use]
    pub fn power(&self, exponent: &Self) -> Self {
        Node::Pow(self.clone(), exponent.clone()).into()
    }

    /// √self
    #[must_use]
    pub fn sqrt(&self) -> Self {
        Node::Root(2, self.clone()).into()
    }

    /// |self|
    #[must_use]
    pub fn abs(&self) -> Self {
        self.call(Function::Abs)
    }

    /// function(self)
    #[must_use]
    pub fn call(&self, function: Function) -> Self {
        Node::Call(function, self.clone()).into()
    }

    /// The rational number that this literally is (a numeral, or its negative).
    #[must_use]
    pub fn as_number(&self) -> Option<RBig> {
        match self.node() {
            Node::Number(value) => Some(value.clone()),
            Node::Neg(inner) => inner.as_number().map(|value| -value),
            _ => None,
        }
    }

    /// The variable that this literally is.
    #[must_use]
    pub fn as_variable(&self) -> Option<&Symbol> {
        match self.node() {
            Node::Variable(name) => Some(name),
            _ => None,
        }
    }

    /// The operands in order, conditions of pieces left out.
    #[must_use]
    pub fn children(&self) -> Vec<&Expr> {
        match self.node() {
            Node::Number(_) | Node::Constant(_) | Node::Variable(_) => Vec::new(),
            Node::Add(items) | Node::Mul(items) | Node::Min(items) | Node::Max(items) => {
                items.iter().collect()
            }
            Node::Apply(_, items) => items.iter().collect(),
            Node::Neg(a) | Node::Root(_, a) | Node::Call(_, a) => vec![a],
            Node::Div(a, b) | Node::Pow(a, b) => vec![a, b],
            Node::Sum { from, to, body, .. } => {
                let mut all = vec![from];
                all.extend(to.iter());
                all.push(body);
                all
            }
            Node::Product { from, to, body, .. } => vec![from, to, body],
            Node::Derivative { body, .. } => vec![body],
            Node::Piecewise(branches) => branches.iter().map(|(_, value)| value).collect(),
        }
    }

    /// The free variables, in the order of their names.
    #[must_use]
    pub fn variables(&self) -> BTreeSet<Symbol> {
        let mut found = BTreeSet::new();
        collect_variables(self, &mut Vec::new(), &mut found);
        found
    }

    /// The unknown functions that occur, in the order of their names.
    #[must_use]
    pub fn unknown_functions(&self) -> BTreeSet<Symbol> {
        let mut found = BTreeSet::new();
        self.visit(&mut |node| {
            if let Node::Apply(name, _) = node.node() {
                found.insert(name.clone());
            }
        });
        found
    }

    /// The expression with `value` wherever `part` stands.
    #[must_use]
    pub fn replace(&self, part: &Expr, value: &Expr) -> Expr {
        if self == part {
            return value.clone();
        }
        self.map_children(&mut |child| child.replace(part, value))
    }

    /// Calls `see` on every sub-expression, parents first, conditions of pieces included.
    pub fn visit(&self, see: &mut dyn FnMut(&Expr)) {
        see(self);
        for child in self.children() {
            child.visit(see);
        }
        if let Node::Piecewise(branches) = self.node() {
            for (condition, _) in branches {
                condition.visit(see);
            }
        }
    }

    /// The name that a sum, a product or a derivative binds.
    #[must_use]
    pub fn bound_name(&self) -> Option<&Symbol> {
        match self.node() {
            Node::Sum { index: name, .. }
            | Node::Product { index: name, .. }
            | Node::Derivative { variable: name, .. } => Some(name),
            _ => None,
        }
    }

    /// Whether `name` occurs free.
    #[must_use]
    pub fn mentions(&self, name: &Symbol) -> bool {
        self.variables().contains(name)
    }

    /// Replaces the free variable `name` by `value`. A bound index that would capture a variable
    /// of `value` is renamed first.
    #[must_use]
    pub fn substitute(&self, name: &Symbol, value: &Expr) -> Expr {
        if !self.mentions(name) {
            return self.clone();
        }
        if self.as_variable() == Some(name) {
            return value.clone();
        }
        match self.node() {
            Node::Sum {
                index,
                from,
                to,
                body,
            } => {
                let (index, body) = substitute_below(index, body, name, value);
                Node::Sum {
                    index,
                    from: from.substitute(name, value),
                    to: to.as_ref().map(|to| to.substitute(name, value)),
                    body,
                }
                .into()
            }
            Node::Product {
                index,
                from,
                to,
                body,
            } => {
                let (index, body) = substitute_below(index, body, name, value);
                Node::Product {
                    index,
                    from: from.substitute(name, value),
                    to: to.substitute(name, value),
                    body,
                }
                .into()
            }
            Node::Derivative { variable, body } if variable != name => Node::Derivative {
                variable: variable.clone(),
                body: body.substitute(name, value),
            }
            .into(),
            // The derivative at a point: differentiation comes before substitution, so the
            // caller must have carried it out (`calculus::differentiate`).
            Node::Derivative { .. } => self.clone(),
            _ => self.map_children(&mut |child| child.substitute(name, value)),
        }
    }

    /// The expression with all values put in at once; none if it differentiates, since values
    /// may be put in only afterwards.
    #[must_use]
    pub fn instantiated(&self, values: &[(Symbol, Expr)]) -> Option<Expr> {
        if !values.iter().any(|(name, _)| self.mentions(name)) {
            return Some(self.clone());
        }
        let (mut differentiates, mut taken) = (false, self.variables());
        self.visit(&mut |part| differentiates |= matches!(part.node(), Node::Derivative { .. }));
        if differentiates {
            return None;
        }
        // Stand-ins keep what is put in for one name from being replaced as another.
        taken.extend(values.iter().flat_map(|(_, value)| value.variables()));
        let mut mark = String::from("\u{1}");
        while taken.iter().any(|own| own.as_str().starts_with(&mark)) {
            mark.push('\u{1}');
        }
        let fresh = |place: usize| Symbol::new(&format!("{mark}{place}"));
        let mut result = self.clone();
        for (place, (name, _)) in values.iter().enumerate() {
            result = result.substitute(name, &Expr::variable(&fresh(place)));
        }
        for (place, (_, value)) in values.iter().enumerate() {
            result = result.substitute(&fresh(place), value);
        }
        Some(result)
    }

    /// The same operation over changed operands (conditions of pieces changed likewise).
    #[must_use]
    pub fn map_children(&self, change: &mut dyn FnMut(&Expr) -> Expr) -> Expr {
        let mut all = |items: &[Expr]| items.iter().map(&mut *change).collect::<Vec<_>>();
        match self.node() {
            Node::Number(_) | Node::Constant(_) | Node::Variable(_) => self.clone(),
            Node::Add(items) => Node::Add(all(items)).into(),
            Node::Mul(items) => Node::Mul(all(items)).into(),
            Node::Min(items) => Node::Min(all(items)).into(),
            Node::Max(items) => Node::Max(all(items)).into(),
            Node::Apply(name, items) => Node::Apply(name.clone(), all(items)).into(),
            Node::Neg(a) => Node::Neg(change(a)).into(),
            Node::Root(k, a) => Node::Root(*k, change(a)).into(),
            Node::Call(function, a) => Node::Call(*function, change(a)).into(),
            Node::Div(a, b) => Node::Div(change(a), change(b)).into(),
            Node::Pow(a, b) => Node::Pow(change(a), change(b)).into(),
            Node::Sum {
                index,
                from,
                to,
                body,
            } => Node::Sum {
                index: index.clone(),
                from: change(from),
                to: to.as_ref().map(&mut *change),
                body: change(body),
            }
            .into(),
            Node::Product {
                index,
                from,
                to,
                body,
            } => Node::Product {
                index: index.clone(),
                from: change(from),
                to: change(to),
                body: change(body),
            }
            .into(),
            Node::Derivative { variable, body } => Node::Derivative {
                variable: variable.clone(),
                body: change(body),
            }
            .into(),
            Node::Piecewise(branches) => Node::Piecewise(
                branches
                    .iter()
                    .map(|(condition, value)| (condition.map(&mut *change), change(value)))
                    .collect(),
            )
            .into(),
        }
    }
}

fn collect_variables(expr: &Expr, bound: &mut Vec<Symbol>, found: &mut BTreeSet<Symbol>) {
    match expr.node() {
        Node::Variable(name) => {
            if !bound.contains(name) {
                found.insert(name.clone());
            }
        }
        Node::Sum {
            index,
            from,
            to,
            body,
        } => {
            collect_variables(from, bound, found);
            if let Some(to) = to {
                collect_variables(to, bound, found);
            }
            bound.push(index.clone());
            collect_variables(body, bound, found);
            bound.pop();
        }
        Node::Product {
            index,
            from,
            to,
            body,
        } => {
            collect_variables(from, bound, found);
            collect_variables(to, bound, found);
            bound.push(index.clone());
            collect_variables(body, bound, found);
            bound.pop();
        }
        Node::Piecewise(branches) => {
            for (condition, value) in branches {
                found.extend(
                    condition
                        .variables()
                        .into_iter()
                        .filter(|name| !bound.contains(name)),
                );
                collect_variables(value, bound, found);
            }
        }
        _ => {
            for child in expr.children() {
                collect_variables(child, bound, found);
            }
        }
    }
}

/// Substitution below a binder: leaves a shadowed name alone, renames an index that would capture.
fn substitute_below(index: &Symbol, body: &Expr, name: &Symbol, value: &Expr) -> (Symbol, Expr) {
    if index == name {
        return (index.clone(), body.clone());
    }
    let taken = value.variables();
    if !taken.contains(index) {
        return (index.clone(), body.substitute(name, value));
    }
    let inside = body.variables();
    let mut fresh = format!("{index}′");
    while taken.contains(&Symbol::new(&fresh)) || inside.contains(&Symbol::new(&fresh)) {
        fresh.push('′');
    }
    let fresh = Symbol::new(&fresh);
    let renamed = body.substitute(index, &Expr::variable(&fresh));
    (fresh, renamed.substitute(name, value))
}
