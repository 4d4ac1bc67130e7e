//! Theorems that are used or stated without a hypothesis of theirs, as far as words and formulas
//! of one argument tell: the limit comparison test, the limit of a composition.

use super::building::Frame;
use super::outline::Zone;
use super::shape;
use super::token::Token;
use crate::notation::syntax::{Link, Operator, Sign, Statement, Term, TermKind};
use crate::notation::walk;
use kernel::Relation;
use source::Span;

/// Words under which a sentence uses no limit comparison test, or one of positive terms.
const NO_COMPARISON: [&str; 10] = [
    "cannot",
    "if",
    "would",
    "absolute",
    "absolutely",
    "positive",
    "moduli",
    "nonnegative",
    "non-negative",
    "fails",
];

/// How far behind a term's name its changing sign stands, in bytes of the draft.
const SIGN: usize = 48;

/// The sentence that uses the limit comparison test for terms of changing sign: it names
/// them, and the argument says what they are.
pub(super) fn compares_alternating(frame: &Frame, draft: &str) -> Option<Span> {
    let (first, last) = (frame.sentences.first()?, frame.sentences.last()?);
    let whole = first.sentence.span().to(last.sentence.span());
    let text = draft.get(whole.range())?;
    frame
        .sentences
        .iter()
        .filter(|placed| placed.zone == Zone::Proof)
        .map(|placed| &placed.sentence)
        .find(|sentence| {
            let words: Vec<&str> = sentence.tokens.iter().filter_map(Token::word).collect();
            let statements = || sentence.tokens.iter().filter_map(Token::statement);
            let sized = || {
                let mut found = false;
                for token in statements() {
                    walk::statement_terms(&token.statement, &mut |term| {
                        found |= matches!(term.kind, TermKind::Bars(_));
                    });
                }
                found
            };
            let alternating = || {
                statements()
                    .flat_map(|token| shape::names_of(&token.statement))
                    .filter(|name| name.subscript.is_some())
                    .any(|name| gives_changing_sign(text, &shape::spelling(name)))
            };
            words.windows(2).any(|pair| pair == ["limit", "comparison"])
                && words.iter().any(|word| matches!(*word, "by" | "test" | "applies"))
                && !words.iter().any(|word| NO_COMPARISON.contains(word))
                // "… which is finite and not 0" denies nothing.
                && !words.windows(2).any(|pair| {
                    pair[0] == "not"
                        && ["appl", "allow", "avail", "work", "use"]
                            .iter()
                            .any(|stem| pair[1].starts_with(stem))
                })
                && !sized()
                && alternating()
        })
        .map(super::sentence::Sentence::span)
}

/// Whether a piece of a draft holds a power of −1.
fn changes_sign(text: &str) -> bool {
    ["(-1)^", "(−1)^", "(−1)ᵏ", "(−1)ⁿ", "(−1)ʲ"]
        .iter()
        .any(|sign| text.contains(sign))
}

/// Whether the text gives the named terms a changing sign: "u_j = (−1)^j/√j".
fn gives_changing_sign(text: &str, name: &str) -> bool {
    text.match_indices(name).any(|(at, _)| {
        let mut end = (at + name.len() + SIGN).min(text.len());
        while !text.is_char_boundary(end) {
            end -= 1;
        }
        let behind = &text[at + name.len()..end];
        behind
            .split_once('=')
            .is_some_and(|(before, value)| before.trim().is_empty() && changes_sign(value))
    })
}

/// Words of an argument that gives what the limit of a composition needs, or denies it.
const COMPOSING: [&str; 12] = [
    "continuous",
    "continuity",
    "counterexample",
    "false",
    "wrong",
    "fails",
    "unless",
    "injective",
    "monotone",
    "different",
    "careful",
    "exclude",
];

/// The sentence that states that lim ψ(φ(t)) = lim ψ where only the limits of φ and ψ are
/// supposed: ψ may have another value at the limit of φ.
pub(super) fn composes_limits(frame: &Frame) -> Option<Span> {
    let words = |word: &&str| COMPOSING.contains(word);
    let sentences = || frame.sentences.iter();
    let warned = sentences().any(|placed| {
        placed
            .sentence
            .tokens
            .iter()
            .filter_map(Token::word)
            .any(|word| words(&word))
    });
    let statements = || {
        sentences()
            .filter(|placed| placed.zone == Zone::Statement)
            .flat_map(|placed| {
                let span = placed.sentence.span();
                placed
                    .sentence
                    .tokens
                    .iter()
                    .filter_map(Token::statement)
                    .map(move |token| (&token.statement, span))
            })
    };
    let distinguishes = sentences()
        .flat_map(|placed| &placed.sentence.tokens)
        .filter_map(Token::statement)
        .flat_map(|token| shape::links(&token.statement))
        .any(|link| link.sign == Sign::Relation(Relation::NotEqual));
    if warned || distinguishes {
        return None;
    }
    let limits: Vec<(LimitSaid, Span)> = statements()
        .filter_map(|(statement, span)| Some((LimitSaid::of(statement)?, span)))
        .collect();
    limits.iter().find_map(|(composed, span)| {
        let inner = composed.inner.as_ref()?;
        let known = |function: &str, plain: bool| {
            limits
                .iter()
                .find(|(said, _)| said.function == function && said.inner.is_none() == plain)
        };
        let (of_inner, _) = known(inner, true)?;
        let (of_outer, _) = known(&composed.function, true)?;
        // The outer limit is taken where the inner one lies.
        (of_outer.place == of_inner.value).then_some(*span)
    })
}

/// `\lim_{t → a} ψ(φ(t)) = c`, as names.
struct LimitSaid {
    function: String,
    /// The inner function of a composition.
    inner: Option<String>,
    place: String,
    value: String,
}

impl LimitSaid {
    fn of(statement: &Statement) -> Option<Self> {
        let [Link { sign, right, .. }] = shape::links(statement) else {
            return None;
        };
        if *sign != Sign::Relation(Relation::Equal) {
            return None;
        }
        let TermKind::Over {
            operator: Operator::Limit,
            below,
            body: Some(body),
        } = &shape::first_term(statement)?.kind
        else {
            return None;
        };
        let name = |term: &Term| shape::bare_name(term).map(shape::spelling);
        let place = below
            .first()
            .and_then(|below| shape::links(below).first())
            .and_then(|link| link.right.as_ref())
            .and_then(name)?;
        let (function, arguments) = shape::application(body)?;
        let [argument] = arguments.as_slice() else {
            return None;
        };
        let inner = match shape::application(argument) {
            Some((inner, _)) => Some(shape::spelling(inner)),
            None => {
                shape::bare_name(argument)?;
                None
            }
        };
        Some(Self {
            function: shape::spelling(function),
            inner,
            place,
            value: right.as_ref().and_then(name)?,
        })
    }
}
