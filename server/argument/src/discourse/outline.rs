//! What reading a draft gives: arguments, and in each every formula with its role, meaning and scope.

use super::naming::Naming;
use crate::notation::convention::Pattern;
pub use crate::notation::syntax::Quantifier;
use kernel::{Condition, Expr, Kind, Relation, Symbol};
use source::Span;
use std::collections::BTreeSet;

/// A draft's arguments in order. Every formula of the draft belongs to exactly one.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Outline {
    /// The arguments.
    pub arguments: Vec<Argument>,
    /// The names of its formulas, each with all places of one binding.
    pub names: Vec<Naming>,
    /// Parts of its formulas that were not understood: names may stand there that are not listed.
    pub unread: Vec<Span>,
}

/// One exercise or statement (or part of it with its own aim) with its scratch work and proof.
#[derive(Clone, PartialEq, Debug)]
pub struct Argument {
    /// As the draft titles it: `Exercise 2(b)`; `None` without markers.
    pub title: Option<String>,
    /// Where it stands.
    pub span: Span,
    /// What is to be shown, if it was recognised.
    pub aim: Option<Aim>,
    /// The error term of the aim, if the argument is about a convergence: what e_n(x) is.
    pub error: Option<ErrorTerm>,
    /// Functions and sequences that the argument defines or inherits.
    pub definitions: Vec<Definition>,
    /// Sequences that it defines by first members and an equation between neighbours.
    pub recursions: Vec<Recursion>,
    /// Names that stand for limits: "converges to some L".
    pub limits: Vec<Symbol>,
    /// Names that need no words in the proof: from the exercise text, or by convention.
    pub givens: Vec<Given>,
    /// Every formula and every claim in words, in the order of the text. Inherited entries of an
    /// exercise's head stand in the part that they belong to by position, not here.
    pub entries: Vec<Entry>,
    /// The words of its prose and of what it inherits from, in lower case, each once;
    /// "uniformly" also together with the word behind it, and where that is said "not cauchy",
    /// "said monotone", "limit supposed" (under a condition, or said to exist).
    pub words: BTreeSet<String>,
    /// Sentences of the proof that exchange a limit and an integral, and whether they say by what.
    pub exchanges: Vec<(Span, bool)>,
    /// Whether one of its integrals runs to infinity.
    pub endless_integral: bool,
    /// Whether it claims or wants uniform continuity, and nowhere denies or asks it.
    pub uniform_continuity: bool,
    /// Definitions that it spells out by their quantifiers.
    pub formals: Vec<Formal>,
    /// Statements that it spells out by their quantifiers, and what it calls their negations.
    pub spelled: Vec<Spelled>,
    /// The sentence that uses the limit comparison test for terms of changing sign.
    pub alternating_comparison: Option<Span>,
    /// The sentence that states the limit of a composition of two functions of which only the
    /// limits are supposed.
    pub composed_limit: Option<Span>,
    /// The sentence that bounds a supremum strictly, as each of the numbers is.
    pub supremum_below: Option<Span>,
    /// What its sentences draw from continuity on an interval that lacks an end.
    pub lacking: Vec<(Span, Lacking)>,
    /// Stretches that run from what is to be shown to a condition on the threshold.
    pub runs: Vec<Run>,
    /// Ambiguous spellings that occur in its formulas, with the first place of each.
    pub patterns: Vec<(Pattern, Span)>,
    /// Patterns that occur, as a set.
    pub pattern_set: BTreeSet<Pattern>,
}

impl Argument {
    /// Whether one of its words begins with one of the stems.
    #[must_use]
    pub fn says(&self, stems: &[&str]) -> bool {
        self.words
            .iter()
            .any(|word| stems.iter().any(|stem| word.starts_with(stem)))
    }
}

/// What is to be shown.
#[derive(Clone, PartialEq, Debug)]
pub struct Aim {
    /// In one line, in words and Unicode mathematics.
    pub text: String,
    /// Where it is stated.
    pub span: Span,
    /// Its meaning, `None` if it was recognised as an aim but not understood, or is a question
    /// ("Is the convergence uniform?") not yet answered.
    pub assertion: Option<Assertion>,
}

/// e_n(x) = |f_n(x) − f(x)| of a convergence.
#[derive(Clone, PartialEq, Debug)]
pub struct ErrorTerm {
    /// |f_n(x) − f(x)|, or |a_n − L|, unfolded.
    pub error: Expr,
    /// f_n(x), or a_n.
    pub term: Expr,
    /// f(x), or L.
    pub limit: Expr,
    /// The index n.
    pub index: Symbol,
    /// The points x (empty for number sequences).
    pub points: Vec<Symbol>,
    /// Conditions on points, index and parameters (the domain).
    pub conditions: Vec<Condition>,
    /// Whether the convergence is asserted uniform in the points.
    pub uniform: bool,
    /// Whether it is said of the points in force where it stands (f_n(x) → f(x)), not of the
    /// functions (f_n → f).
    pub pointed: bool,
}

/// A stretch of a proof that supposes the aim and solves it: "|a_n| < ε, so n > 1/ε".
#[derive(Clone, PartialEq, Debug)]
pub struct Run {
    /// The entry that supposes the aim, or the implication that begins with it.
    pub from: usize,
    /// The entry that gives the condition on the index, or on the distance to the place.
    pub to: usize,
    /// The aim.
    pub aim: Condition,
    /// What was drawn from it.
    pub condition: Condition,
}

/// A definition that a sentence spells out: "for every ε > 0 there is N such that for all n ≥ N …".
#[derive(Clone, PartialEq, Debug)]
pub struct Formal {
    /// The sentence.
    pub span: Span,
    /// Its quantified names in their order.
    pub quantified: Vec<Quantified>,
    /// The notion that the sentence names, if it names one.
    pub notion: Option<Notion>,
}

/// What holds on compact sets, and is drawn on an interval that lacks an end.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Lacking {
    /// A continuous function takes a least or greatest value.
    Extreme,
    /// A continuous function is bounded.
    Bounded,
    /// A limit of points of the set lies in the set.
    Point,
    /// A monotone sequence of continuous functions converges uniformly.
    Dini,
}

/// A sentence that is nothing but quantifiers and a comparison: "∃K > 0 ∃N ∀n ≥ N: a_n ≤ K".
#[derive(Clone, PartialEq, Debug)]
pub struct Spelled {
    /// The sentence.
    pub span: Span,
    /// Its quantified names in their order.
    pub quantified: Vec<Quantified>,
    /// What is promised, as typed without white space: one comparison, or one from which another
    /// follows.
    pub promised: Vec<(String, Relation, String)>,
    /// The last comparison is said to follow from those before it.
    pub implies: bool,
    /// It is called the negation of something.
    pub denies: bool,
}

/// A quantified name of a spelled-out definition.
#[derive(Clone, PartialEq, Debug)]
pub struct Quantified {
    /// The name.
    pub name: Symbol,
    /// Its quantifier.
    pub quantifier: Quantifier,
    /// Whether it is a threshold or δ.
    pub chosen: bool,
    /// Whether it is a tolerance.
    pub tolerance: bool,
}

/// Notions that quantifiers spell out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Notion {
    /// Uniform convergence or uniform continuity.
    Uniform,
    /// Pointwise convergence.
    Pointwise,
    /// The Cauchy condition.
    Cauchy,
}

/// A named function or sequence.
#[derive(Clone, PartialEq, Debug)]
pub struct Definition {
    /// Its name without marks: `f` of f_n(x).
    pub name: Symbol,
    /// Index names and argument names in order: n, x.
    pub parameters: Vec<Symbol>,
    /// How many of the parameters are written as subscripts (or superscripts).
    pub subscripts: usize,
    /// Its value, unfolded.
    pub value: Expr,
    /// Where it is defined.
    pub span: Span,
}

/// A sequence that is defined by its first members and an equation between neighbours:
/// `a_1 = 2, a_{n+1} = √(2 + a_n)`.
#[derive(Clone, PartialEq, Debug)]
pub struct Recursion {
    /// Its name: `a`.
    pub name: Symbol,
    /// The index of its equation: `n`.
    pub index: Symbol,
    /// Where its members begin; the equation holds for every index from here on.
    pub first: i64,
    /// Values of first members, by their index.
    pub starts: Vec<(i64, Expr)>,
    /// What is said of first members without a value: `a_1 > 0`.
    pub conditions: Vec<Condition>,
    /// How many members the equation leads back to: 1 from a_n to a_{n+1}.
    pub order: usize,
    /// The value of a(n + order), in members from a(n) on and n.
    pub next: Expr,
    /// Where the equation stands.
    pub span: Span,
}

/// A name that the exercise text or a convention introduces.
#[derive(Clone, PartialEq, Debug)]
pub struct Given {
    /// The name.
    pub name: Symbol,
    /// What it runs through.
    pub kind: Kind,
    /// What is known: its domain.
    pub conditions: Vec<Condition>,
    /// Where it is written, `None` if by convention (n ≥ 1).
    pub span: Option<Span>,
    /// A domain in words or symbols that goals cannot express ("a compact set K"): forbids
    /// refutations that depend on the name.
    pub unread: Option<String>,
}

/// A formula, or a claim in words.
#[derive(Clone, PartialEq, Debug)]
pub struct Entry {
    /// Its claim's span (DESIGN 9): a link runs from its left side to its right side, or from
    /// the sign where the left side stands elsewhere; a choice is the formula that fixes the
    /// threshold; a conclusion is its sentence.
    pub span: Span,
    /// The sentence in which it stands.
    pub sentence: Span,
    /// Its role, `None` only if unread and unknown.
    pub role: Option<Role>,
    /// Where in the argument it stands.
    pub zone: Zone,
    /// What it says.
    pub content: Content,
    /// The entries in force there, in order of the text (positions in the same argument's
    /// `entries`): bindings, choices, assumptions, ranges, also those that follow in the same
    /// sentence ("… for all n > N").
    pub scope: Vec<usize>,
    /// Ties the links of one chain together: (chain number in the argument, position of the
    /// link). Links of a chain that is split over formulas share the number.
    pub chain: Option<(usize, usize)>,
    /// The claim for which this entry is the reason ("since …"), as a position.
    pub reason_for: Option<usize>,
    /// Restricts a case only: said with "if", or of a case distinction.
    pub case: bool,
    /// Why a claim must not be called false though it was read: what the words around it leave
    /// open.
    pub guard: Option<&'static str>,
    /// The letters of the names in its formula.
    pub names: Vec<Symbol>,
    /// The name to which it may give another meaning: an equation with a known name alone on its
    /// left that is not said to follow from anything.
    pub renames: Option<Symbol>,
    /// Restrictions of its points that the words around it leave open: each must leave it false
    /// before it is called false.
    pub perhaps: Vec<Perhaps>,
    /// Said to follow from what stands before it: so, hence, ⇒, "gives".
    pub drawn: bool,
    /// An assumption's names for all values of which its sentence makes it: n of "|b_n| ≤ M for
    /// all n".
    pub for_all: Vec<Symbol>,
    /// Its left side is written as a derivative.
    pub derivative: bool,
    /// It stands beside the argument: in a remark, a warning, a check by numbers.
    pub beside: bool,
    /// What both sides of a relation beside it are multiplied or divided by: "dividing by a_n".
    pub scales: Option<Expr>,
}

/// A restriction that the words may or may not mean.
#[derive(Clone, PartialEq, Debug)]
pub enum Perhaps {
    /// These conditions hold.
    Within(Vec<Condition>),
    /// It could not be read.
    Unread,
}

/// The role of a formula occurrence.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Role {
    /// A link of the reasoning, asserted.
    Step,
    /// Asserted in support of another claim (since, because, as).
    Reason,
    /// A threshold, δ, witness or bound that the writer picks.
    Choice,
    /// What the argument says it has shown.
    Conclusion,
    /// Names a function, sequence or quantity.
    Definition,
    /// Introduces an arbitrary object: let, fix, given, for all (as a binding of its own).
    Let,
    /// Supposed: assume, suppose, if … then with force until further notice.
    Assumption,
    /// Restricts where a sentence's claims hold: for all n > N and x ∈ D.
    Range,
    /// To be shown.
    Aim,
    /// A condition inside a sentence (if, whenever, when).
    Condition,
    /// Deliberately false, quoted, negated, crossed out.
    Rejected,
    /// Named without a statement about it.
    Mention,
}

impl Role {
    /// Every role; the one of what is only mentioned comes last.
    pub const ALL: [Self; 12] = [
        Self::Step,
        Self::Reason,
        Self::Choice,
        Self::Conclusion,
        Self::Definition,
        Self::Let,
        Self::Assumption,
        Self::Range,
        Self::Aim,
        Self::Condition,
        Self::Rejected,
        Self::Mention,
    ];

    /// The word of the JSON contract.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Step => "step",
            Self::Reason => "reason",
            Self::Choice => "choice",
            Self::Conclusion => "conclusion",
            Self::Definition => "definition",
            Self::Let => "let",
            Self::Assumption => "assumption",
            Self::Range => "range",
            Self::Aim => "aim",
            Self::Condition => "condition",
            Self::Rejected => "rejected",
            Self::Mention => "mention",
        }
    }

    /// Whether entries of that role assert something that is judged.
    #[must_use]
    pub fn is_claim(self) -> bool {
        matches!(
            self,
            Self::Step | Self::Reason | Self::Choice | Self::Conclusion
        )
    }
}

/// Where in an argument an entry stands.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Zone {
    /// The exercise or theorem text: definitions, domain, aim; never checked.
    Statement,
    /// Rough work before the proof: only ⇐ toward the aim is asked.
    Scratch,
    /// The proof or solution.
    Proof,
}

/// What an entry says.
#[derive(Clone, PartialEq, Debug)]
pub enum Content {
    /// Something true or false.
    Assertion(Assertion),
    /// Introduces or restricts names.
    Binding(Binding),
    /// A definition: a position in the argument's `definitions`.
    Definition(usize),
    /// Named only.
    Mention,
    /// Where a name goes, said of what stands near it: "(x → ∞)", "as n → ∞".
    Motion {
        /// What moves.
        variable: Symbol,
        /// Whereto.
        toward: Toward,
    },
    /// Not understood: the reason in words that help the author, and the names that it speaks
    /// of (empty: could not be found out), which it protects from refutation.
    Unread {
        /// "no domain is given for x", "the macro \foo is not defined here", …
        reason: String,
        /// Names that occur in it.
        names: Vec<Symbol>,
    },
}

/// A statement with a truth value, for all values of its free names under the scope.
#[derive(Clone, PartialEq, Debug)]
pub enum Assertion {
    /// left R right.
    Relation {
        /// Left side, unfolded.
        left: Expr,
        /// The relation.
        relation: Relation,
        /// Right side, unfolded.
        right: Expr,
    },
    /// Several relations at once (x ∈ [0, 1] as a claim, a ± b = …).
    All(Vec<Condition>),
    /// f_n → f on the domain of `conditions`, uniformly in its points or (no points, or
    /// `uniform` false) pointwise.
    Convergence {
        /// The error term with its domain.
        error: ErrorTerm,
        /// Stated as "does not converge uniformly", "is not uniform".
        negated: bool,
    },
    /// The series of the terms converges, uniformly in its points if `terms` says so.
    Series {
        /// |f_k(x)|, with the index of the series and limit 0.
        terms: ErrorTerm,
        /// Stated as "diverges", "does not converge (uniformly)", "= ∞".
        diverges: bool,
    },
    /// lim of a term at a place.
    Limit {
        /// The term.
        term: Expr,
        /// The index or variable that moves.
        variable: Symbol,
        /// Whereto.
        toward: Toward,
        /// The limit.
        value: LimitValue,
        /// What restricts the variable on its way, beyond what is in force.
        conditions: Vec<Condition>,
        /// Stated as "does not tend to", "diverges", "has no limit".
        negated: bool,
    },
    /// If all of `from` then all of `to` (⇔ with `both`).
    Implication {
        /// Antecedents.
        from: Vec<Condition>,
        /// Consequents.
        to: Vec<Condition>,
        /// Claimed in both directions.
        both: bool,
    },
    /// sup (or max, inf, min) over points of a term compares with a value free of the points:
    /// `sup_x |f_n(x) − f(x)| ≤ 1/n`.
    Extremum {
        /// Supremum or maximum (else infimum or minimum).
        greatest: bool,
        /// The term under the operator.
        term: Expr,
        /// The points over which it runs.
        points: Vec<Symbol>,
        /// Conditions on the points.
        conditions: Vec<Condition>,
        /// The relation of the extremum to `value`.
        relation: Relation,
        /// The value.
        value: Expr,
    },
    /// What is said of a derivative, or of a greatest or least value with its place.
    Calculus(Calculus),
}

/// A claim of scratch work by calculus.
#[derive(Clone, PartialEq, Debug)]
pub struct Calculus {
    /// The function, unfolded; several where the text does not name it: one of them is meant.
    pub subjects: Vec<Subject>,
    /// The variable.
    pub point: Symbol,
    /// Conditions on the point: the domain of which the claim speaks.
    pub conditions: Vec<Condition>,
    /// What is said.
    pub slope: Slope,
}

/// A function of which something is said.
#[derive(Clone, PartialEq, Debug)]
pub struct Subject {
    /// Its value.
    pub function: Expr,
    /// Its variable.
    pub point: Symbol,
    /// It might be meant, but what is true of it alone proves nothing.
    pub spare: bool,
}

/// What is said of a function by calculus.
#[derive(Clone, PartialEq, Debug)]
pub enum Slope {
    /// Its derivative is `value`.
    Derivative {
        /// What the text gives.
        value: Expr,
    },
    /// Its derivative vanishes at `places`, as far as they lie in the domain.
    Zeros {
        /// The places, free of the variable.
        places: Vec<Expr>,
        /// And nowhere else inside of the domain.
        only: bool,
    },
    /// Its derivative has a sign: strictly, or (≤, ≥) it falls or rises.
    Sign {
        /// The relation to 0.
        relation: Relation,
        /// The stretch.
        within: Vec<Condition>,
        /// Said of the derivative rather than of the function.
        of_derivative: bool,
    },
    /// It has a greatest or least value.
    Extremum {
        /// Greatest (else least).
        greatest: bool,
        /// Only near the place.
        local: bool,
        /// Where; empty where no place is told.
        places: Vec<Expr>,
        /// Which, if it is told.
        value: Option<Expr>,
    },
}

impl Slope {
    /// Places and values that must be free of the variable.
    #[must_use]
    pub fn values(&self) -> Vec<&Expr> {
        match self {
            Self::Derivative { .. } | Self::Sign { .. } => Vec::new(),
            Self::Zeros { places, .. } => places.iter().collect(),
            Self::Extremum { places, value, .. } => places.iter().chain(value).collect(),
        }
    }

    /// The conditions of a stretch.
    #[must_use]
    pub fn within(&self) -> &[Condition] {
        match self {
            Self::Sign { within, .. } => within,
            _ => &[],
        }
    }

    /// Every expression and condition in it, changed.
    pub fn change(&mut self, change: &mut dyn FnMut(&Expr) -> Expr) {
        match self {
            Self::Derivative { value } => *value = change(value),
            Self::Sign { within, .. } => {
                for condition in within {
                    *condition = condition.map(change);
                }
            }
            Self::Zeros { places, .. } => {
                for place in places {
                    *place = change(place);
                }
            }
            Self::Extremum { places, value, .. } => {
                for part in places.iter_mut().chain(value) {
                    *part = change(part);
                }
            }
        }
    }
}

impl Calculus {
    /// Names of which it speaks, its variable among them.
    #[must_use]
    pub fn names(&self) -> BTreeSet<Symbol> {
        let mut found: BTreeSet<Symbol> = self
            .subjects
            .iter()
            .flat_map(|subject| subject.function.variables())
            .collect();
        match &self.slope {
            Slope::Derivative { value } => found.extend(value.variables()),
            Slope::Sign { within, .. } => {
                found.extend(within.iter().flat_map(Condition::variables));
            }
            slope => found.extend(slope.values().into_iter().flat_map(Expr::variables)),
        }
        found.extend(self.conditions.iter().flat_map(Condition::variables));
        found
    }
}

/// What a limit is said to be.
#[derive(Clone, PartialEq, Debug)]
pub enum LimitValue {
    /// A number.
    Number(Expr),
    /// ∞
    Infinity,
    /// −∞
    MinusInfinity,
    /// Some number that is not told: "converges".
    Exists,
}

impl LimitValue {
    /// The number.
    #[must_use]
    pub fn number(&self) -> Option<&Expr> {
        match self {
            Self::Number(value) => Some(value),
            _ => None,
        }
    }

    /// The number, to be changed.
    pub fn number_mut(&mut self) -> Option<&mut Expr> {
        match self {
            Self::Number(value) => Some(value),
            _ => None,
        }
    }
}

/// Whereto a limit's variable moves.
#[derive(Clone, PartialEq, Debug)]
pub enum Toward {
    /// n → ∞
    Infinity,
    /// x → −∞
    MinusInfinity,
    /// x → c
    Point(Expr),
    /// x → c from above: x ↓ c, x → c⁺
    Above(Expr),
    /// x → c from below: x ↑ c, x → c⁻
    Below(Expr),
}

/// Introduces or restricts names.
#[derive(Clone, PartialEq, Debug)]
pub struct Binding {
    /// The names that it introduces anew (a range that only restricts known names has none).
    pub bound: Vec<Bound>,
    /// What it says about them and about known names.
    pub conditions: Vec<Condition>,
}

/// A name that is introduced.
#[derive(Clone, PartialEq, Debug)]
pub struct Bound {
    /// The name.
    pub name: Symbol,
    /// What it runs through; for thresholds integers unless the draft says real.
    pub kind: Kind,
    /// How it is introduced.
    pub introduction: Introduction,
    /// Names that its sentence quantifies behind it: x of "there is N such that for all x …".
    pub inner: Vec<Symbol>,
}

/// How a name comes into an argument.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Introduction {
    /// let, given, fix, for all: any value that satisfies the conditions.
    Arbitrary,
    /// choose, take, set: the writer picks values by the stated conditions.
    Chosen,
    /// there exists, we can find: picked by existence; conditions are what it has.
    Existing,
}
