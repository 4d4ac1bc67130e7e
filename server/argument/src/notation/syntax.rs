//! The syntax of a formula: what was written, before names are known. All ranges are bytes of
//! the formula's text (`MathPiece::content`), mapped into the draft by its `Mapped`.

use kernel::{Function, Relation};
use std::ops::Range;

/// A formula, parsed. Total: what could not be parsed is an `Unread` node or segment.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Formula {
    /// Statements, words and separators in the order of the text.
    pub segments: Vec<Segment>,
}

/// A part of a formula.
#[derive(Clone, PartialEq, Debug)]
pub enum Segment {
    /// A statement or a bare term.
    Statement(Statement),
    /// Words inside the formula: `\text{for all }`, `\mbox{…}`, `\quad\text{since }`; also
    /// unbraced words of the trade that people write in formulas (`for all`, `if`, `whenever`).
    Words {
        /// The words, white space collapsed.
        text: String,
        /// Where they stand.
        range: Range<usize>,
    },
    /// A separator between statements.
    Separator {
        /// Which.
        kind: Separator,
        /// Where it stands.
        range: Range<usize>,
    },
}

/// Separators between statements of one formula.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Separator {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// `:` or a lone bar or `\ni`, `\st` in the sense of "such that"
    Colon,
    /// `.`
    Period,
    /// `\quad`, `\qquad`
    Gap,
    /// `\\`: a new row
    Row,
}

/// A statement.
#[derive(Clone, PartialEq, Debug)]
pub struct Statement {
    /// What it says.
    pub kind: StatementKind,
    /// Where it stands.
    pub range: Range<usize>,
}

/// The kinds of statement.
#[derive(Clone, PartialEq, Debug)]
pub enum StatementKind {
    /// A term alone: `f_n(x)`, or the operand of a chain that goes on elsewhere.
    Term(Term),
    /// `a = b ≤ c < d`. A chain may begin with a relation (`first` is `None`) and may end with
    /// one (the last link's `right` is `None`).
    Chain {
        /// The leftmost operand.
        first: Option<Term>,
        /// Relation and right operand, in order; at least one.
        links: Vec<Link>,
    },
    /// `∀ε>0`, `∃N ∈ ℕ`, with or without what follows.
    Quantified {
        /// Which quantifier.
        quantifier: Quantifier,
        /// What is bound: names, chains such as `ε > 0`, `x, y ∈ D`, `n ≥ N`.
        bound: Vec<Statement>,
        /// What is said about it, in the same formula (further quantifiers nest here).
        body: Option<Box<Statement>>,
    },
    /// Statements joined by a connective; either side may stand elsewhere.
    Connected {
        /// Left side.
        left: Option<Box<Statement>>,
        /// Which connective.
        connective: Connective,
        /// Where the connective stands.
        connective_range: Range<usize>,
        /// Right side.
        right: Option<Box<Statement>>,
    },
    /// `f: A → B`, `f_n : [0,1] → ℝ` with the name and both sets.
    Mapping {
        /// The function's name.
        name: Term,
        /// Its domain.
        from: Term,
        /// Where its values lie.
        to: Term,
    },
    /// `x ↦ x^n` (with `name` in `f : x ↦ x^n`).
    MapsTo {
        /// The function's name, if written.
        name: Option<Term>,
        /// The argument.
        argument: Term,
        /// The value.
        value: Term,
    },
    /// Not understood, with the reason in words for the author.
    Unread(String),
}

/// Relation and right operand.
#[derive(Clone, PartialEq, Debug)]
pub struct Link {
    /// The sign.
    pub sign: Sign,
    /// Where the sign stands.
    pub sign_range: Range<usize>,
    /// The right operand, `None` if the chain goes on elsewhere.
    pub right: Option<Term>,
}

/// A sign between two terms.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sign {
    /// <, ≤, =, ≠, ≥, > in all spellings (≤ also as \leqslant, \le, =<; ≡ counts as =).
    Relation(Relation),
    /// :=, ≔, \coloneqq, "=:" (sides as written)
    Defines,
    /// →, \to, \rightarrow, \longrightarrow, \xrightarrow, ⟶ as "tends to"
    TendsTo,
    /// ↓, ↘: the parser leaves →, and a side behind it where a bare name moves
    TendsDownTo,
    /// ↑, ↗: the same from below
    TendsUpTo,
    /// ⇉, \rightrightarrows, \overset{u}{\to}: converges uniformly
    TendsUniformlyTo,
    /// ∈
    In,
    /// ∉
    NotIn,
    /// ⊂, ⊆
    Subset,
    /// ≈, \approx, \sim, ≪, ≫: said, but no claim that can be decided
    About,
}

/// Quantifiers.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Quantifier {
    /// ∀
    ForAll,
    /// ∃, ∃!
    Exists,
}

/// Connectives between statements.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Connective {
    /// ⇒, \implies, \Rightarrow, \Longrightarrow
    Implies,
    /// ⇐
    ImpliedBy,
    /// ⇔, \iff
    Equivalent,
    /// ∧, "and"
    And,
    /// ∨, "or"
    Or,
    /// ∴
    Therefore,
    /// ∵
    Because,
}

/// A term.
#[derive(Clone, PartialEq, Debug)]
pub struct Term {
    /// What it is.
    pub kind: TermKind,
    /// Where it stands.
    pub range: Range<usize>,
}

/// A name with its marks: `x`, `ε`, `N_1`, `f_n`, `f_n'`, `\tilde f`, `f^{(n)}`.
#[derive(Clone, PartialEq, Debug)]
pub struct Name {
    /// Letters, Greek in Unicode (`\varepsilon`, `\epsilon`, `ε`, `ϵ` all give `ε`; `\phi`,
    /// `\varphi` give `φ`), several letters only for `\operatorname{…}`/`\mathrm{…}` names;
    /// a decoration is part of it (`x̃`, `x̄`, `x*`).
    pub base: String,
    /// Subscript (`n` in `f_n`, `1` in `N_1`, `n, k` as a list).
    pub subscript: Option<Box<Term>>,
    /// A superscript in parentheses: `f^{(n)}`, index or derivative.
    pub superscript: Option<Box<Term>>,
    /// Number of primes.
    pub primes: u32,
}

/// The kinds of term. Precedence is settled where it is unambiguous; the four spellings of
/// `convention::Pattern` are kept as written (`Slash` over a `Product`, and so on).
#[derive(Clone, PartialEq, Debug)]
pub enum TermKind {
    /// A numeral as written, decimal point `.` (`2`, `0.5`).
    Number(String),
    /// A name.
    Name(Name),
    /// π, e where it is surely the constant is not known here: `e` stays a name, π is `Pi`.
    Pi,
    /// ∞ with sign by `Negative`.
    Infinity,
    /// `…`, `\dots`, `\cdots`
    Dots,
    /// Sum of signed terms, at least two; `true` means subtracted.
    Sum(Vec<(bool, Term)>),
    /// −a
    Negative(Box<Term>),
    /// a ± b, a ∓ b (a left out: `±b`)
    PlusMinus(Option<Box<Term>>, Box<Term>),
    /// Factors side by side without a sign, at least two, as written: `2nx`, `f(x)`, `a(x+1)`,
    /// `f_n(x)`. Whether a name before a `Group` is applied is settled later.
    Juxtaposed(Vec<Term>),
    /// Factors joined by an explicit sign (`·`, `\cdot`, `\times`, `*`), at least two.
    Product(Vec<Term>),
    /// a / b, a ÷ b, `\over`-free inline slash: both sides as parsed left to right; the right
    /// side is one factor, and factors that follow it without a sign stand in `trailing`
    /// (`1/2n`: numerator 1, denominator 2, trailing [n]).
    Slash {
        /// Left of the slash.
        numerator: Box<Term>,
        /// The one factor right of it.
        denominator: Box<Term>,
        /// Factors that follow without a sign.
        trailing: Vec<Term>,
    },
    /// `\frac{a}{b}`, `{a \over b}`
    Fraction(Box<Term>, Box<Term>),
    /// a^b
    Power(Box<Term>, Box<Term>),
    /// `\sqrt[k]{a}`, √a
    Root(Option<Box<Term>>, Box<Term>),
    /// |a| in all spellings
    Bars(Box<Term>),
    /// ‖a‖ with its subscript
    Norm(Box<Term>, Option<Box<Term>>),
    /// ⌊a⌋
    Floor(Box<Term>),
    /// ⌈a⌉
    Ceil(Box<Term>),
    /// (a), [a], {a} as grouping; a `List` inside for `f(x, y)`.
    Group(Box<Term>),
    /// a, b, c
    List(Vec<Term>),
    /// a!
    Factorial(Box<Term>),
    /// `\binom{n}{k}`
    Binomial(Box<Term>, Box<Term>),
    /// A named function: `\sin^2 x`, `\ln(1+x)`, `\log_2 n`, `\exp(-nx)`, `\arctan nx`.
    Call {
        /// Which function (`\log`, `\ln`, `\lg` with their base).
        function: Function,
        /// Base of a logarithm.
        base: Option<Box<Term>>,
        /// A power between name and argument: `\sin^2 x`.
        power: Option<Box<Term>>,
        /// The argument; without parentheses the factors that follow (`\sin nx`), and
        /// `\sin x/2` keeps the slash inside the argument.
        argument: Box<Term>,
        /// Whether the argument stands in parentheses or braces.
        delimited: bool,
    },
    /// `\min\{a, b\}`, `\max(a, b)` of listed values.
    Extremum {
        /// Greatest (else least).
        greatest: bool,
        /// The values.
        items: Vec<Term>,
    },
    /// `\sup_{x∈D} body`, `\max_{…}`, `\inf_{…}`, `\sup\{body : x ∈ D\}`, `\lim_{n→∞} body`,
    /// `\limsup`, `\liminf`.
    Over {
        /// Which operator.
        operator: Operator,
        /// What stands below it, or after the "such that" in braces.
        below: Vec<Statement>,
        /// The body; `None` if it stands elsewhere (bare `lim`).
        body: Option<Box<Term>>,
    },
    /// `\sum_{k=1}^{n} body`, `\prod`.
    Series {
        /// A product (else a sum).
        product: bool,
        /// `k=1`, or `k` , or `k≥1`; what stands below.
        below: Option<Box<Statement>>,
        /// What stands above.
        above: Option<Box<Term>>,
        /// The body.
        body: Box<Term>,
    },
    /// `\int_a^b body \,dx`
    Integral {
        /// Lower end.
        from: Option<Box<Term>>,
        /// Upper end.
        to: Option<Box<Term>>,
        /// The integrand.
        body: Box<Term>,
        /// The variable of integration.
        variable: String,
    },
    /// `\frac{d}{dx} body`, `\frac{df}{dx}`, `\frac{d^2}{dx^2}`.
    Derivative {
        /// The variable.
        variable: String,
        /// The order.
        order: u32,
        /// The function; `None` if nothing follows.
        body: Option<Box<Term>>,
    },
    /// A prime on a parenthesis: `(x^2)'`.
    Primed(Box<Term>, u32),
    /// An interval with its ends; ±∞ as `Infinity`, `Negative(Infinity)`.
    Interval {
        /// Left end.
        low: Box<Term>,
        /// Whether the left end belongs to it.
        low_closed: bool,
        /// Right end.
        high: Box<Term>,
        /// Whether the right end belongs to it.
        high_closed: bool,
    },
    /// ℝ, ℕ, ℤ, ℚ, ℂ as `R`, `N`, `Z`, `Q`, `C` with a restriction as written: `ℝ_{>0}`,
    /// `ℝ^+`, `ℕ_0`, `ℕ^*`.
    NumberSet {
        /// `R`, `N`, `Z`, `Q` or `C`.
        letter: char,
        /// The mark: `+`, `-`, `*`, `0`, `>0`, `>=0`, or as written.
        mark: Option<String>,
    },
    /// `{1, 2, 3}`, `{1, 2, …}`
    SetOf(Vec<Term>),
    /// `{x ∈ D : condition}`
    SetBuilder {
        /// The element.
        element: Box<Term>,
        /// Conditions.
        conditions: Vec<Statement>,
    },
    /// a ∪ b, a ∩ b, a ∖ b
    SetOperation {
        /// `∪`, `∩` or `∖`.
        operator: char,
        /// Left.
        left: Box<Term>,
        /// Right.
        right: Box<Term>,
    },
    /// `(f_n)`, `(f_n)_{n≥1}`, `\{f_n\}_{n=1}^∞`: a sequence as a whole.
    Sequence {
        /// Its general term.
        term: Box<Term>,
        /// The index as written below.
        index: Option<Box<Statement>>,
    },
    /// `\begin{cases} value & condition \\ … \end{cases}`: each row's value and what stands
    /// after the `&` (statements and words; `otherwise` gives no statement).
    Cases(Vec<(Term, Vec<Segment>)>),
    /// `a|_{x=b}`, `\left. a \right|_{x=b}`
    EvaluatedAt(Box<Term>, Box<Statement>),
    /// Crossed out: `\cancel{a}`
    Struck(Box<Term>),
    /// c⁺ (`true`) or c⁻: a place that is approached from above or from below.
    OneSided(Box<Term>, bool),
    /// A sign or command that has no meaning here: `\bowtie`, `\foo{x}`.
    Foreign(String),
    /// Not understood, with the reason in words.
    Unread(String),
}

/// Operators with a condition below.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Operator {
    /// sup, max over a set
    Supremum,
    /// inf, min over a set
    Infimum,
    /// lim
    Limit,
    /// lim sup
    LimitSuperior,
    /// lim inf
    LimitInferior,
}
