//! What words say of a name beside it: "for even n", "let x be positive", "if m is odd".

use super::entry::Context;
use super::outline::Content;
use super::shape;
use super::token::Token;
use super::utterance::{Mode, Utterance};
use crate::notation::syntax::Sign;
use kernel::{Condition, Expr, Relation, Symbol};

/// What the words beside a bare name say of it.
#[derive(Debug, Default)]
pub(super) struct Attributes {
    /// What of it is understood.
    pub(super) conditions: Vec<Condition>,
    /// A word that restricts the name in a way that is not understood.
    pub(super) unread: Option<String>,
}

impl Attributes {
    /// Adds what else is said.
    pub(super) fn join(&mut self, more: Attributes) {
        self.conditions.extend(more.conditions);
        self.unread = self.unread.take().or(more.unread);
    }

    fn see(&mut self, word: &str, names: &[Symbol]) {
        for name in names {
            match known(word, name) {
                Some(condition) => self.conditions.push(condition),
                None => {
                    self.unread.get_or_insert_with(|| word.to_owned());
                }
            }
        }
    }
}

/// Words that restrict nothing.
const NEUTRAL: [&str; 102] = [
    "one",
    "two",
    "three",
    "whatever",
    "a",
    "an",
    "the",
    "any",
    "all",
    "every",
    "each",
    "some",
    "fixed",
    "arbitrary",
    "arbitrarily",
    "given",
    "real",
    "reals",
    "number",
    "numbers",
    "point",
    "points",
    "integer",
    "integers",
    "natural",
    "naturals",
    "whole",
    "index",
    "indices",
    "value",
    "values",
    "be",
    "is",
    "are",
    "now",
    "again",
    "such",
    "this",
    "that",
    "these",
    "those",
    "our",
    "my",
    "same",
    "both",
    "enough",
    "sufficiently",
    "particular",
    "specific",
    "single",
    "individual",
    "chosen",
    "constant",
    "constants",
    "parameter",
    "variable",
    "element",
    "elements",
    "first",
    "hence",
    "only",
    "just",
    "also",
    "let",
    "us",
    "denote",
    "another",
    "certain",
    "generic",
    "general",
    "possible",
    "respective",
    "corresponding",
    "separately",
    "individually",
    "further",
    "held",
    "kept",
    "going",
    "tending",
    "running",
    "varying",
    "free",
    "considered",
    "taken",
    "known",
    "allowed",
    "satisfies",
    "satisfying",
    "satisfy",
    "fulfils",
    "fulfilling",
    "obeys",
    "stays",
    "stay",
    "remains",
    "remain",
    "keeps",
    "addition",
    "additionally",
    "moreover",
    "furthermore",
];

/// Words before which a description ends.
const BORDERS: [&str; 85] = [
    "for",
    "if",
    "when",
    "whenever",
    "let",
    "fix",
    "and",
    "or",
    "with",
    "where",
    "on",
    "in",
    "of",
    "from",
    "consider",
    "take",
    "choose",
    "pick",
    "suppose",
    "assume",
    "since",
    "as",
    "because",
    "we",
    "then",
    "have",
    "get",
    "obtain",
    "it",
    "so",
    "which",
    "one",
    "there",
    "by",
    "to",
    "has",
    "holds",
    "hold",
    "implies",
    "gives",
    "yields",
    "say",
    "note",
    "while",
    "but",
    "put",
    "set",
    "at",
    "once",
    "provided",
    "providing",
    "case",
    "here",
    "long",
    "soon",
    "exceeds",
    "exceed",
    "starting",
    "beginning",
    "over",
    "under",
    "within",
    "inside",
    "throughout",
    "across",
    "through",
    "among",
    "into",
    "upon",
    "toward",
    "towards",
    "about",
    "after",
    "until",
    "using",
    "via",
    "maximum",
    "minimum",
    "supremum",
    "infimum",
    "sup",
    "inf",
    "max",
    "min",
    "sum",
];

/// Words that restrict a name right behind it.
const RESTRICTING: [&str; 22] = [
    "even",
    "odd",
    "positive",
    "negative",
    "nonnegative",
    "non-negative",
    "nonpositive",
    "nonzero",
    "non-zero",
    "rational",
    "irrational",
    "prime",
    "bounded",
    "outside",
    "away",
    "close",
    "near",
    "between",
    "different",
    "other",
    "except",
    "not",
];

/// Words that tell the sign of a number.
const SIGNS: [&str; 8] = [
    "positive",
    "negative",
    "nonnegative",
    "non-negative",
    "nonpositive",
    "non-positive",
    "nonzero",
    "non-zero",
];

/// Words of comparisons, whose other side is a formula.
const COMPARING: [&str; 16] = [
    "less", "greater", "smaller", "larger", "bigger", "least", "most", "than", "exceeds", "exceed",
    "above", "below", "equal", "equals", "beyond", "belongs",
];

/// What the words around a bare name of an utterance say of it.
pub(super) fn attributes(
    context: &Context<'_>,
    utterance: &Utterance,
    names: &[Symbol],
) -> Attributes {
    let mut found = Attributes::default();
    let at = utterance.token.min(context.tokens.len());
    let before = context
        .words_before(at)
        .take_while(|word| !BORDERS.contains(word));
    let quantified = matches!(utterance.mode, Mode::Range | Mode::Condition);
    for word in before.filter(|_| quantified) {
        if !NEUTRAL.contains(&word) {
            found.see(word, names);
        }
    }
    let picked = matches!(utterance.mode, Mode::Choose | Mode::Exists);
    if picked || utterance.mode == Mode::Let {
        // "Choose a positive x": of other words before it nothing is known.
        let before = context
            .words_before(at)
            .take_while(|word| !BORDERS.contains(word));
        for word in before.filter(|word| SIGNS.contains(word)) {
            found.see(word, names);
        }
    }
    let behind = |at: usize| -> Vec<&str> {
        let tokens = context.tokens.get(at + 1..).unwrap_or_default();
        tokens.iter().map_while(Token::word).collect()
    };
    let last = context.last_of_list(utterance).token;
    let spreads = match utterance.mode {
        // "x and n is even": of n alone.
        Mode::Let | Mode::Condition | Mode::Where => !behind(last)
            .first()
            .is_some_and(|word| matches!(*word, "is" | "stays" | "remains" | "keeps")),
        // "for x and n even": of n alone; "for x and y positive": of both.
        Mode::Range | Mode::Choose | Mode::Exists => behind(last)
            .first()
            .is_some_and(|word| SIGNS.contains(word)),
        _ => false,
    };
    let at = if spreads { last } else { at };
    let words = behind(at);
    // "if x is less than 1" compares with what stands behind.
    if words.iter().any(|word| COMPARING.contains(word)) {
        return found;
    }
    // "is small and positive": one description; "… and we have" ends it.
    let joins = |place: usize| {
        utterance.mode != Mode::Range
            && words[place] == "and"
            && words
                .get(place + 1)
                .is_some_and(|next| RESTRICTING.contains(next))
    };
    let mut behind = (0..words.len())
        .take_while(|place| joins(*place) || !BORDERS.contains(&words[*place]))
        .filter(|place| !joins(*place))
        .map(|place| words[place])
        .peekable();
    let described = match utterance.mode {
        // "for n even" describes; "for all n the sum …" goes on.
        Mode::Range => behind.peek().is_some_and(|word| RESTRICTING.contains(word)),
        Mode::Choose | Mode::Exists => behind.peek().is_some_and(|word| SIGNS.contains(word)),
        Mode::Condition | Mode::Let | Mode::Where => {
            matches!(
                behind.peek(),
                Some(&("be" | "is" | "are" | "stays" | "stay" | "remains" | "remain" | "keeps"))
            )
        }
        _ => false,
    };
    // "For x = 0 even f(x) = 0", "for x ≥ 1 even f(x) ≤ 1": not of x, or not surely.
    let links = context.statement(utterance).map_or(&[][..], shape::links);
    let equal = links
        .iter()
        .any(|link| link.sign == Sign::Relation(Relation::Equal));
    let goes_on = context
        .tokens
        .get(at + 2)
        .is_some_and(|next| next.statement().is_some());
    for word in behind.filter(|_| described) {
        if word == "even" && equal {
            break;
        }
        if word == "even" && goes_on && !links.is_empty() {
            found.unread = Some(word.to_owned());
            break;
        }
        if !NEUTRAL.contains(&word) {
            found.see(word, names);
            if found.unread.is_some() {
                break;
            }
        }
    }
    found
}

/// Whether a word restricts a name right behind it.
pub(super) fn is_restricting(word: &str) -> bool {
    RESTRICTING.contains(&word)
}

/// A name of which a word says something that is not understood.
pub(super) fn unread_attribute(word: &str, names: Vec<Symbol>) -> Content {
    Content::Unread {
        reason: format!("what “{word}” says of it is not read"),
        names,
    }
}

fn known(word: &str, name: &Symbol) -> Option<Condition> {
    let own = Expr::variable(name);
    let zero = Expr::integer(0);
    let two = Expr::integer(2);
    Some(match word {
        "even" => Condition::Integer(own.over(&two)),
        "odd" => Condition::Integer(own.plus(&Expr::integer(1)).over(&two)),
        "positive" => Condition::Holds(own, Relation::Greater, zero),
        "negative" => Condition::Holds(own, Relation::Less, zero),
        "nonnegative" | "non-negative" => Condition::Holds(own, Relation::GreaterEqual, zero),
        "nonpositive" | "non-positive" => Condition::Holds(own, Relation::LessEqual, zero),
        "nonzero" | "non-zero" => Condition::Holds(own, Relation::NotEqual, zero),
        _ => return None,
    })
}
