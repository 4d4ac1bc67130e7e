//! What the clause grammar says of every statement of a sentence, before names have values.

use super::phrase::Family;
use crate::notation::syntax::Connective;
use kernel::Relation;

/// In which way a statement is said.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Mode {
    /// Asserted.
    Claim,
    /// Introduced: let, given, fix.
    Let,
    /// Picked by the writer.
    Choose,
    /// Picked by existence.
    Exists,
    /// For all …
    Range,
    /// If …
    Condition,
    /// Since …
    Reason,
    /// To be shown.
    Aim,
    /// Supposed.
    Assume,
    /// Supposed, to be contradicted.
    Contradiction,
    /// Said to be false.
    Reject,
    /// Named.
    Define,
    /// "where …", "with …": its shape decides.
    Where,
    /// A set after "on".
    Domain,
    /// n → ∞ after "as".
    Motion,
}

/// A relation told in words.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Spoken {
    /// is at most, is greater than …
    Relation(Relation),
    /// tends to
    Tends,
}

/// Where the left side of a relation in words stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Left {
    /// In that utterance of the sentence.
    Utterance(usize),
    /// In the chain before ("which is at most …").
    Carried,
    /// Said in words ("the numerator is at most …").
    Words,
}

/// A statement of a sentence, and how it is said.
#[derive(Clone, Debug)]
pub(super) struct Utterance {
    /// Position of its token in the sentence.
    pub(super) token: usize,
    /// In which way it is said.
    pub(super) mode: Mode,
    /// How its clause is said, ranges and conditions on top left aside.
    pub(super) base: Mode,
    /// The verb under which it stands (choose, there is, suffices).
    pub(super) verb: Option<Family>,
    /// The clause to which it belongs.
    pub(super) group: usize,
    /// The stretch that a range behind a claim governs.
    pub(super) reach: usize,
    /// A range that stands behind what it governs.
    pub(super) backward: bool,
    /// What implies it: sign and utterance.
    pub(super) link: Option<(Connective, usize)>,
    /// It is the right side of a relation told in words.
    pub(super) spoken: Option<(Spoken, Left)>,
    /// "is positive" behind it.
    pub(super) zero: Option<Relation>,
    /// Said to be an integer (`true`) or a real number.
    pub(super) integer: Option<bool>,
    /// "for n large enough"
    pub(super) large: bool,
    /// Why it may not be taken as asserted.
    pub(super) doubt: Option<&'static str>,
    /// Introduced by so, hence, ⇒.
    pub(super) therefore: bool,
    /// Names that were announced for picking in the same clause, as utterances.
    pub(super) subjects: Vec<usize>,
    /// A case of a case distinction.
    pub(super) case: bool,
    /// "the limit is …"
    pub(super) limit_is: bool,
    /// "for these n", "for this N": a range over what was bound before.
    pub(super) same: bool,
    /// Said of a place: the maximum is attained at …
    pub(super) place: bool,
    /// Stands in brackets of the prose.
    pub(super) aside: bool,
}

impl Utterance {
    /// Whether it names the limit: "the limit is …", "… converges to …".
    pub(super) fn names_limit(&self) -> bool {
        self.limit_is || matches!(self.spoken, Some((Spoken::Tends, _)))
    }
}

/// A clause: what its words say about convergence.
#[derive(Clone, Debug, Default)]
pub(super) struct Group {
    /// Its tokens, as a range in the sentence.
    pub(super) tokens: (usize, usize),
    /// "uniformly"
    pub(super) uniform: Option<usize>,
    /// … as an adverb, which belongs to the arrow beside it
    pub(super) adverb: bool,
    /// "pointwise"
    pub(super) pointwise: bool,
    /// "converges", "the convergence"
    pub(super) converges: Option<usize>,
    /// "diverges", "does not converge"
    pub(super) diverges: Option<usize>,
    /// "tends to", "converges to", →
    pub(super) tends: bool,
    /// "not"
    pub(super) negated: bool,
    /// "increasing" (`true`), "decreasing".
    pub(super) monotone: Option<(bool, usize)>,
    /// How its words are said.
    pub(super) mode: Option<Mode>,
    /// "Yes", "No" as answers.
    pub(super) answer: Option<bool>,
    /// Words whose claim was not understood: would, might …
    pub(super) doubt: Option<&'static str>,
    /// Behind so, hence.
    pub(super) therefore: bool,
}

/// A sentence, read.
#[derive(Clone, Debug, Default)]
pub(super) struct Reading {
    /// Its statements in order.
    pub(super) utterances: Vec<Utterance>,
    /// Its clauses in order.
    pub(super) groups: Vec<Group>,
    /// A contradiction is reached in it.
    pub(super) discharges: bool,
    /// It ends a case distinction.
    pub(super) cases_done: bool,
    /// It begins with a connective that carries on the sentence before (so, hence, then).
    pub(super) carries_on: bool,
}
