//! Sentences: stretches of tokens between full stops, which may run through displays and blocks.

use super::token::{Mark, Token, TokenKind};
use source::Span;

/// A sentence, not empty.
#[derive(Clone, Debug)]
pub(super) struct Sentence {
    /// Its tokens, the closing mark included.
    pub(super) tokens: Vec<Token>,
    /// Position of the block in which it begins.
    pub(super) block: usize,
    /// First of its block.
    pub(super) opens_block: bool,
    /// In a table's cell.
    pub(super) cell: bool,
}

impl Sentence {
    /// Where it stands.
    pub(super) fn span(&self) -> Span {
        let mut tokens = self.tokens.iter().map(|token| token.span);
        let first = tokens.next().unwrap_or_default();
        tokens.fold(first, Span::to)
    }

    /// Whether it holds a formula.
    pub(super) fn has_statement(&self) -> bool {
        self.tokens.iter().any(|token| token.statement().is_some())
    }

    /// Whether its last mark closes it.
    pub(super) fn is_closed(&self) -> bool {
        let meaningful = self.tokens.iter().rev().find(|token| {
            !token.is(Mark::DisplayEnd) && !token.is(Mark::Gap) && !token.is(Mark::Close)
        });
        meaningful.is_some_and(|token| {
            matches!(
                token.kind,
                TokenKind::Mark(
                    Mark::Period
                        | Mark::InnerPeriod
                        | Mark::Question
                        | Mark::Exclamation
                        | Mark::Tombstone
                )
            )
        })
    }
}

/// How many letters the number of a case may have: 3, iii, b.
pub(super) const LONGEST_NUMBER: usize = 3;

/// Words with a capital that begin a sentence even without a full stop before them.
const OPENERS: [&str; 34] = [
    "then",
    "so",
    "hence",
    "thus",
    "therefore",
    "let",
    "choose",
    "since",
    "for",
    "we",
    "now",
    "if",
    "given",
    "take",
    "note",
    "this",
    "suppose",
    "assume",
    "fix",
    "set",
    "put",
    "pick",
    "because",
    "consequently",
    "proof",
    "solution",
    "claim",
    "moreover",
    "finally",
    "as",
    "with",
    "consider",
    "it",
    "show",
];

/// The sentences of one block.
pub(super) fn sentences(tokens: Vec<Token>, block: usize) -> Vec<Sentence> {
    let mut found = Vec::new();
    let mut current: Vec<Token> = Vec::new();
    let mut depth = 0_usize;
    let parts: Vec<bool> = (0..=tokens.len())
        .map(|at| begins_part(&tokens[at..]))
        .collect();
    let mut rest = tokens.into_iter().enumerate().peekable();
    while let Some((position, token)) = rest.next() {
        let next = rest.peek().map(|(_, next)| next);
        depth = match token.kind {
            TokenKind::Mark(Mark::Open) => depth + 1,
            TokenKind::Mark(Mark::Close) => depth.saturating_sub(1),
            _ => depth,
        };
        let border = match token.kind {
            TokenKind::Mark(Mark::Period | Mark::Question | Mark::Exclamation) => {
                // A closing bracket belongs to the sentence that it closes.
                let closes = depth == 0 || next.is_none_or(|next| !next.is(Mark::Close));
                closes
                    && !is_title_abbreviation(current.last(), next)
                    && !is_case_number(&current, next)
            }
            TokenKind::Mark(Mark::InnerPeriod) => next.is_none_or(|next| {
                next.opens_sentence()
                    || next
                        .statement()
                        .is_some_and(|statement| !statement.opens_row)
            }),
            TokenKind::Mark(Mark::DisplayEnd) => {
                next.is_none_or(Token::opens_sentence)
                    || parts.get(position + 1).copied().unwrap_or(false)
            }
            TokenKind::Mark(Mark::Tombstone) => true,
            TokenKind::Statement(_) => next.is_some_and(|next| {
                next.opens_sentence() && next.word().is_some_and(|word| OPENERS.contains(&word))
            }),
            _ => false,
        };
        // A formula is never torn apart, whatever stands inside.
        let torn = token.inner.is_some() && next.is_some_and(|next| next.inner == token.inner);
        let border = border && !torn;
        current.push(token);
        if border {
            depth = 0;
            close(&mut current, &mut found, block);
        }
    }
    close(&mut current, &mut found, block);
    found
}

/// "(a) Find …": a part's label before a capital.
fn begins_part(tokens: &[Token]) -> bool {
    super::label::part_at(tokens, 0)
        .is_some_and(|(_, length)| tokens.get(length).is_some_and(Token::opens_sentence))
}

/// "Ex. 3": the point ends no sentence.
fn is_title_abbreviation(before: Option<&Token>, after: Option<&Token>) -> bool {
    let titles = [
        "ex", "exer", "prob", "q", "nr", "no", "thm", "prop", "lem", "cor", "eq", "sec", "ch",
        "cand", "def", "fig", "p",
    ];
    before
        .and_then(Token::word)
        .is_some_and(|word| titles.contains(&word))
        && after
            .and_then(Token::word)
            .is_some_and(|word| word.starts_with(|first: char| first.is_ascii_digit()))
}

/// "Case 1. x ≤ 1.": the point behind the number ends nothing.
fn is_case_number(before: &[Token], after: Option<&Token>) -> bool {
    let [case, number] = before else {
        return false;
    };
    let short = number
        .word()
        .is_some_and(|number| number.chars().count() <= LONGEST_NUMBER);
    case.word() == Some("case") && short && after.is_some_and(|next| next.statement().is_some())
}

fn close(current: &mut Vec<Token>, found: &mut Vec<Sentence>, block: usize) {
    let tokens = std::mem::take(current);
    if tokens.is_empty() {
        return;
    }
    // Marks alone (a tombstone, the end of a display) belong to the sentence before.
    let marks_only = tokens
        .iter()
        .all(|token| matches!(token.kind, TokenKind::Mark(_)));
    match found.last_mut() {
        Some(last) if marks_only => last.tokens.extend(tokens),
        _ => found.push(Sentence {
            tokens,
            block,
            opens_block: found.is_empty(),
            cell: false,
        }),
    }
}

/// Whether a sentence that was not closed goes on in the next block's first sentence.
pub(super) fn continues(before: &Sentence, after: &Sentence) -> bool {
    if before.is_closed() {
        return false;
    }
    let Some(first) = after.tokens.first() else {
        return false;
    };
    let announced = before.tokens.last().is_some_and(|token| {
        token.is(Mark::Colon) || token.is(Mark::Comma) || token.word().is_some()
    });
    match &first.kind {
        TokenKind::Statement(_) | TokenKind::Arrow(_) => announced || before.has_statement(),
        TokenKind::Word { capital, .. } => !capital && before.has_statement(),
        TokenKind::Mark(mark) => matches!(mark, Mark::Comma | Mark::InnerPeriod),
    }
}

/// The first sentence with the second behind a border.
pub(super) fn join(before: &mut Sentence, after: Sentence) {
    let at = before.span().end;
    before.tokens.push(Token {
        kind: TokenKind::Mark(Mark::Border),
        span: Span::new(at, at),
        style: source::Style::default(),
        inner: None,
    });
    before.tokens.extend(after.tokens);
}
