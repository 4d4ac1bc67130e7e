//! Theorems that are used or stated without a hypothesis of theirs, as far as words and formulas
//! of one argument tell: the limit comparison test, the limit of a composition.

use super::building::Frame;
use super::outline::Zone;
use super::shape;
use super::token::{StatementToken, Token};
use crate::notation::syntax::{Link, Name, Operator, Sign, Statement, Term, TermKind};
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

/// Words with which a supremum may be one of the numbers: then it is below what they are below.
const ATTAINING: [&str; 9] = [
    "max",
    "attain",
    "achiev",
    "compact",
    "weierstrass",
    "extreme",
    "finite",
    "continuous",
    "largest",
];

/// How many sentences before the conclusion tell what the numbers are below.
const NEARBY: usize = 4;

/// The sentence that draws q < 1 for the supremum q of numbers of which it is only known that each
/// of them is below 1.
pub(super) fn bounds_supremum_strictly(frame: &Frame, draft: &str) -> Option<Span> {
    let sentences: Vec<&super::sentence::Sentence> = frame
        .sentences
        .iter()
        .filter(|placed| placed.zone != Zone::Statement)
        .map(|placed| &placed.sentence)
        .collect();
    let (named, name) = sentences.iter().enumerate().find_map(|(at, sentence)| {
        named_supremum(sentence).map(|name| (at, shape::spelling(name)))
    })?;
    let (drawn, bound) = sentences
        .iter()
        .enumerate()
        .skip(named)
        .find_map(|(at, sentence)| bounded_strictly(sentence, &name).map(|bound| (at, bound)))?;
    let first = named.saturating_sub(2).max(drawn.saturating_sub(NEARBY));
    let near = &sentences[first..=drawn];
    let text = draft.get(near.first()?.span().to(near.last()?.span()).range())?;
    let text = text.to_lowercase();
    let attained = ATTAINING.iter().any(|word| text.contains(word));
    let sharper = near
        .iter()
        .any(|sentence| has_sharper_bound(sentence, &name, &bound));
    let each = near
        .iter()
        .any(|sentence| members_below(sentence, &name, &bound));
    (drawn <= named + NEARBY && each && !attained && !sharper).then(|| sentences[drawn].span())
}

/// The name that a sentence gives to a supremum: `q := \sup …`, "let q be the supremum of …".
fn named_supremum(sentence: &super::sentence::Sentence) -> Option<&Name> {
    let is_supremum = |term: &Term| {
        matches!(
            &term.kind,
            TermKind::Over {
                operator: Operator::Supremum,
                ..
            }
        )
    };
    let tokens = &sentence.tokens;
    tokens.iter().enumerate().find_map(|(at, token)| {
        let statement = &token.statement()?.statement;
        let name = shape::first_term(statement).and_then(shape::bare_name)?;
        let written = shape::links(statement).first().is_some_and(|link| {
            matches!(link.sign, Sign::Defines | Sign::Relation(Relation::Equal))
                && link.right.as_ref().is_some_and(is_supremum)
        });
        let told = shape::links(statement).is_empty()
            && tokens[at + 1..]
                .iter()
                .map_while(Token::word)
                .take(3)
                .any(|word| matches!(word, "supremum" | "sup"));
        (written || told).then_some(name)
    })
}

/// The number below which a sentence says that the name is: `0 ≤ q < 1`, `q := \sup … < 1`.
fn bounded_strictly(sentence: &super::sentence::Sentence, name: &str) -> Option<String> {
    let supposes = sentence
        .tokens
        .first()
        .and_then(Token::word)
        .is_some_and(|word| {
            matches!(
                word,
                "suppose" | "assume" | "if" | "let" | "since" | "because"
            )
        });
    if supposes {
        return None;
    }
    sentence
        .tokens
        .iter()
        .filter_map(Token::statement)
        .find_map(|token| {
            let statement = &token.statement;
            let mut of_name = shape::first_term(statement)
                .and_then(shape::bare_name)
                .is_some_and(|own| shape::spelling(own) == name);
            for link in shape::links(statement) {
                let right = link.right.as_ref()?;
                if of_name
                    && link.sign == Sign::Relation(Relation::Less)
                    && let TermKind::Number(bound) = &right.kind
                {
                    return Some(bound.clone());
                }
                of_name |= shape::bare_name(right).is_some_and(|own| shape::spelling(own) == name);
            }
            None
        })
}

/// Whether a sentence bounds something from above by a number other than `bound`, or by a name of
/// which more may be known: "a_n ≤ c for all n", "a_n ≤ c < 1".
fn has_sharper_bound(sentence: &super::sentence::Sentence, name: &str, bound: &str) -> bool {
    let statements = sentence.tokens.iter().filter_map(Token::statement);
    statements.into_iter().any(|token| {
        let mut left = shape::first_term(&token.statement);
        shape::links(&token.statement).iter().any(|link| {
            let (before, right) = (left, link.right.as_ref());
            left = right;
            let Some(right) = right else {
                return false;
            };
            let weak = link.sign == Sign::Relation(Relation::LessEqual);
            if !weak && link.sign != Sign::Relation(Relation::Less) {
                return false;
            }
            match &right.kind {
                TermKind::Number(own) => own != bound && own != "0",
                TermKind::Fraction(upper, lower) => [upper, lower]
                    .iter()
                    .all(|part| matches!(part.kind, TermKind::Number(_))),
                TermKind::Name(own) => {
                    // "0 ≤ q" bounds q from below.
                    let above =
                        before.is_some_and(|before| !matches!(before.kind, TermKind::Number(_)));
                    weak && above && own.subscript.is_none() && shape::spelling(own) != name
                }
                _ => false,
            }
        })
    })
}

/// Whether a sentence says of something else than the name that it is below the number: "φ(x) < 1",
/// "all quotients < 1", "every quotient is smaller than 1".
fn members_below(sentence: &super::sentence::Sentence, name: &str, bound: &str) -> bool {
    let is_bound = |term: &Term| matches!(&term.kind, TermKind::Number(own) if own == bound);
    let of_each = sentence
        .tokens
        .iter()
        .filter_map(Token::word)
        .any(|word| matches!(word, "all" | "every" | "each" | "always"));
    let tokens = &sentence.tokens;
    tokens.iter().enumerate().any(|(at, token)| {
        let Some(StatementToken { statement, .. }) = token.statement() else {
            return false;
        };
        let names = shape::names_of(statement);
        let other = names.iter().any(|own| shape::spelling(own) != name)
            || of_each && shape::opens_with_relation(statement);
        let signed = other
            && shape::links(statement).iter().any(|link| {
                link.sign == Sign::Relation(Relation::Less)
                    && link.right.as_ref().is_some_and(is_bound)
            });
        let told = of_each
            && shape::first_term(statement).is_some_and(is_bound)
            && tokens[..at]
                .iter()
                .rev()
                .map_while(Token::word)
                .take(2)
                .any(|word| matches!(word, "smaller" | "less" | "below"));
        signed || told
    })
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
