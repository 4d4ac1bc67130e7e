//! Mathematics typed straight into running text: `Choose N ≥ 1/ε; then |fₙ(x)| ≤ 1/n < ε.`
//!
//! Runs of tokens that words and punctuation leave between them are formulas if something in
//! them can only be mathematics. In doubt a run stays prose.

mod evidence;
mod tokens;
mod trim;

use evidence::is_mathematics;
use std::collections::BTreeSet;
use std::ops::Range;
use tokens::{Kind, Token, tokens};
use trim::trim;

/// Running text, cut into tokens, with its formulas.
pub(crate) struct Scan<'text> {
    text: &'text str,
    tokens: Vec<Token>,
    /// Formulas as ranges of tokens.
    formulas: Vec<Range<usize>>,
}

/// Finds the formulas of `text`.
pub(crate) fn scan(text: &str) -> Scan<'_> {
    let tokens = tokens(text);
    let mut formulas = Vec::new();
    let mut start = 0;
    // Braces open in the run: a colon in a set belongs to it.
    let mut braces = 0_usize;
    // Brackets open in the run: a formula goes on there over the end of a line.
    let mut depth = 0_usize;
    for at in 0..=tokens.len() {
        match tokens.get(at).map(|token| token.text(text).as_bytes()) {
            Some([b'{', ..]) => braces += 1,
            Some([b'}', ..]) => braces = braces.saturating_sub(1),
            _ => {}
        }
        match tokens.get(at).map(|token| token.kind) {
            Some(Kind::Open) => depth += 1,
            Some(Kind::Close) => depth = depth.saturating_sub(1),
            _ => {}
        }
        let breaks = match tokens.get(at) {
            None => true,
            Some(token) => match token.kind {
                Kind::Space => depth == 0 && parts_formulas(text, &tokens, at),
                Kind::Word | Kind::Break => true,
                Kind::Colon => braces == 0 && !is_signature(text, &tokens, at),
                Kind::Factorial => !is_factorial(text, &tokens, at),
                _ => false,
            },
        };
        if breaks {
            if start < at {
                run(text, &tokens, start..at, &mut formulas);
            }
            start = at + 1;
            braces = 0;
            depth = 0;
        }
    }
    Scan {
        text,
        tokens,
        formulas,
    }
}

/// Whether a gap lies between two formulas: the end of a line, or the gap between columns, where
/// one value ends and another begins.
fn parts_formulas(text: &str, tokens: &[Token], at: usize) -> bool {
    /// Wider gaps lie between columns.
    const WIDEST: usize = 2;
    let gap = tokens[at].text(text);
    let wide = gap.contains('\n') || gap.contains('\t') || WIDEST < gap.len();
    let ends = at.checked_sub(1).is_some_and(|before| {
        let before = tokens[before];
        before.is_operand() && before.kind != Kind::Function
            || before.kind == Kind::Close
            || matches!(before.text(text), "…" | "..." | "⋯")
    });
    let begins = tokens.get(at + 1).is_some_and(|after| {
        matches!(
            after.kind,
            Kind::Letter | Kind::Product | Kind::Number | Kind::Function | Kind::Open
        )
    });
    wide && ends && begins && !ends_in_prefix(text, tokens, at)
}

/// Whether the last solid token before `at` is a sign that waits for its operand: `√`, `∀`.
fn ends_in_prefix(text: &str, tokens: &[Token], at: usize) -> bool {
    tokens[..at].last().is_some_and(|token| {
        token.kind == Kind::Sign && !token.text(text).starts_with(['∞', '∅', '′', '″', 'ⁿ'])
    })
}

impl Scan<'_> {
    /// The formulas as ranges of bytes, in order.
    pub(crate) fn ranges(&self) -> Vec<Range<usize>> {
        self.formulas
            .iter()
            .map(|formula| self.tokens[formula.start].start..self.tokens[formula.end - 1].end)
            .collect()
    }

    /// Adds the letters that occur in the formulas to `letters`.
    pub(crate) fn collect_letters(&self, letters: &mut BTreeSet<String>) {
        for formula in &self.formulas {
            for token in &self.tokens[formula.clone()] {
                if token.kind == Kind::Letter {
                    letters.insert(token.text(self.text).to_owned());
                }
            }
        }
    }

    /// Makes formulas of the letters that stand alone between words and are names elsewhere.
    pub(crate) fn add_lone_letters(&mut self, letters: &BTreeSet<String>) {
        let mut lone = Vec::new();
        let mut formulas = self.formulas.iter().peekable();
        for at in 0..self.tokens.len() {
            while formulas.peek().is_some_and(|formula| formula.end <= at) {
                formulas.next();
            }
            let taken = formulas.peek().is_some_and(|formula| formula.start <= at);
            if !taken && self.is_lone_name(at, letters) {
                lone.push(at..at + 1);
            }
        }
        self.formulas.extend(lone);
        self.formulas.sort_by_key(|formula| formula.start);
    }

    fn is_lone_name(&self, at: usize, letters: &BTreeSet<String>) -> bool {
        let token = self.tokens[at];
        let name = token.text(self.text);
        if token.kind != Kind::Letter || !letters.contains(name) || matches!(name, "a" | "A" | "I")
        {
            return false;
        }
        let spaced = |side: Option<&Token>| {
            side.is_none_or(|side| {
                let punctuation = matches!(side.text(self.text), "." | "," | ";" | ":" | "?");
                side.is_space() || punctuation
            })
        };
        let before = at.checked_sub(1).and_then(|at| self.tokens.get(at));
        if !spaced(before) || !spaced(self.tokens.get(at + 1)) {
            return false;
        }
        let word = self.tokens[..at]
            .iter()
            .rev()
            .find(|token| !token.is_space())
            .filter(|token| token.kind == Kind::Word)
            .map(|token| last_word(token.text(self.text)).to_lowercase());
        !word.is_some_and(|word| is_label_word(&word))
    }
}

/// The last of the words in a token.
fn last_word(words: &str) -> &str {
    words
        .rsplit(|c: char| !c.is_alphabetic())
        .next()
        .unwrap_or_default()
}

/// Words before a letter that is a label, no name.
fn is_label_word(word: &str) -> bool {
    matches!(
        word,
        "part"
            | "parts"
            | "case"
            | "step"
            | "exercise"
            | "problem"
            | "question"
            | "section"
            | "figure"
            | "theorem"
            | "lemma"
            | "group"
            | "class"
            | "option"
            | "item"
            | "teil"
            | "aufgabe"
            | "point"
    )
}

/// `f : A → ℝ`: a colon that belongs to a formula, between a name that starts it and two sets.
fn is_signature(text: &str, tokens: &[Token], at: usize) -> bool {
    /// Domains are short.
    const LONGEST: usize = 24;
    let mut before = tokens[..at].iter().rev().filter(|token| !token.is_space());
    let named = before
        .next()
        .is_some_and(|name| name.kind == Kind::Letter && may_name_function(text, *name));
    let first = before.next().is_none_or(|before| {
        matches!(
            before.kind,
            Kind::Word | Kind::Break | Kind::Comma | Kind::Open
        )
    });
    let after = &tokens[at + 1..];
    let arrow = after
        .iter()
        .take(LONGEST)
        .position(|token| token.kind == Kind::Relation);
    let Some(arrow) = arrow.filter(|&arrow| matches!(after[arrow].text(text), "→" | "->" | "\\to"))
    else {
        return false;
    };
    let set = |tokens: &[Token]| {
        let mut solid = tokens.iter().filter(|token| !token.is_space());
        solid.next().is_some_and(|token| {
            token.kind == Kind::Open
                || matches!(token.kind, Kind::Letter | Kind::Sign)
                    && !token
                        .text(text)
                        .starts_with(|c: char| c.is_ascii_lowercase())
        })
    };
    let plain = after[..arrow]
        .iter()
        .all(|token| !matches!(token.kind, Kind::Word | Kind::Break | Kind::Colon));
    named && first && plain && set(&after[..arrow]) && set(&after[arrow + 1..])
}

/// Whether a letter may name a function: everything but an article.
fn may_name_function(text: &str, token: Token) -> bool {
    !matches!(token.text(text), "a" | "I")
}

/// `n!` against `… for all n!`
fn is_factorial(text: &str, tokens: &[Token], at: usize) -> bool {
    let before = at.checked_sub(1).map(|at| tokens[at]);
    let operand = before.is_some_and(|before| {
        matches!(
            before.kind,
            Kind::Letter | Kind::Number | Kind::Close | Kind::Product
        )
    });
    let rest = text[tokens[at].end..].trim_start();
    let ends = rest.is_empty()
        || rest.starts_with(|c: char| c.is_uppercase())
            && tokens.get(at + 1).is_some_and(|next| next.is_space());
    operand && !ends
}

/// Splits a run without words at unmatched brackets and at commas between formulas, and keeps
/// what is mathematics.
fn run(text: &str, tokens: &[Token], range: Range<usize>, formulas: &mut Vec<Range<usize>>) {
    let mut cuts = unmatched_brackets(tokens, range.clone());
    cuts.extend(parenthetical_brackets(text, tokens, range.clone()));
    cuts.sort_unstable();
    cuts.dedup();
    let mut start = range.start;
    for cut in cuts.into_iter().chain([range.end]) {
        if start < cut {
            for part in comma_parts(text, tokens, start..cut) {
                let part = trim(text, tokens, part);
                if !part.is_empty()
                    && (is_mathematics(text, tokens, part.clone())
                        || is_quoted_sign(text, tokens, part.clone()))
                {
                    formulas.push(part);
                }
            }
        }
        start = cut + 1;
    }
}

/// `with "=" only for x = 1`: a relation that is named.
fn is_quoted_sign(text: &str, tokens: &[Token], range: Range<usize>) -> bool {
    let [sign] = &tokens[range] else {
        return false;
    };
    let quotes = ['"', '“', '”', '„', '«', '»', '‘', '’', '\''];
    sign.kind == Kind::Relation
        && text[..sign.start].ends_with(quotes)
        && text[sign.end..].starts_with(quotes)
}

/// Brackets of the range that have no partner in it. Round and square ones may pair, as half-open
/// intervals do.
fn unmatched_brackets(tokens: &[Token], range: Range<usize>) -> Vec<usize> {
    let mut open = Vec::new();
    let mut unmatched = Vec::new();
    for at in range {
        match tokens[at].kind {
            Kind::Open => open.push(at),
            Kind::Close if open.pop().is_none() => unmatched.push(at),
            _ => {}
        }
    }
    unmatched.extend(open);
    unmatched.sort_unstable();
    unmatched
}

/// Outer parentheses that stand apart behind a formula and hold a relation: they are the
/// sentence's, as in `xⁿ → 0 (n → ∞)`.
fn parenthetical_brackets(text: &str, tokens: &[Token], range: Range<usize>) -> Vec<usize> {
    let mut open: Vec<usize> = Vec::new();
    let mut relation = false;
    let mut found = Vec::new();
    for at in range.clone() {
        match tokens[at].kind {
            Kind::Open => {
                relation &= !open.is_empty();
                open.push(at);
            }
            Kind::Relation => relation |= open.len() == 1,
            Kind::Close => {
                let Some(start) = open.pop() else {
                    continue;
                };
                let apart = range.start < start && tokens[start - 1].is_space();
                let behind = apart
                    && tokens[range.start..start]
                        .iter()
                        .rev()
                        .find(|token| !token.is_space())
                        .is_some_and(|token| token.is_operand() || token.kind == Kind::Close);
                let round = tokens[start].text(text) == "(" && tokens[at].text(text) == ")";
                if open.is_empty() && relation && behind && round {
                    found.extend([start, at]);
                }
            }
            _ => {}
        }
    }
    found
}

fn comma_parts(text: &str, tokens: &[Token], range: Range<usize>) -> Vec<Range<usize>> {
    let mut parts: Vec<Range<usize>> = Vec::new();
    let mut depth = 0_usize;
    let mut start = range.start;
    for at in range.clone() {
        match tokens[at].kind {
            Kind::Open => depth += 1,
            Kind::Close => depth = depth.saturating_sub(1),
            Kind::Comma if depth == 0 => {
                parts.push(start..at);
                start = at + 1;
            }
            _ => {}
        }
    }
    parts.push(start..range.end);
    let mut joined: Vec<Range<usize>> = Vec::new();
    for part in parts.into_iter().rev() {
        match joined.last_mut() {
            Some(right) if joins(text, tokens, part.clone(), right.clone()) => {
                right.start = part.start;
            }
            _ => joined.push(part),
        }
    }
    joined.reverse();
    joined
}

/// Whether a comma belongs to a formula: `x, y ∈ A`, `n = 1, 2, …`
fn joins(text: &str, tokens: &[Token], left: Range<usize>, right: Range<usize>) -> bool {
    let solid = |range: Range<usize>| {
        tokens[range]
            .iter()
            .filter(|token| !token.is_space())
            .copied()
            .collect::<Vec<_>>()
    };
    // Lists are short; a long run is no list.
    if 24 < left.len() || 400 < right.len() {
        return false;
    }
    let (left, right) = (solid(left), solid(right));
    // "∃A, B > 0": the names that a quantifier binds.
    let bound = matches!(left.as_slice(), [.., sign, name]
        if name.kind == Kind::Letter && matches!(sign.text(text), "∃" | "∀"));
    let single = bound
        || left.len() == 1
            && left[0].kind == Kind::Letter
            && !matches!(left[0].text(text), "a" | "I");
    let opens_relation = |tokens: &[Token]| {
        tokens.len() > 2 && tokens[0].kind == Kind::Letter && {
            let next = tokens
                .iter()
                .find(|token| !matches!(token.kind, Kind::Letter | Kind::Comma));
            next.is_some_and(|next| next.kind == Kind::Relation)
        }
    };
    if single && opens_relation(&right) && right[0].text(text) != left[0].text(text) {
        return true;
    }
    let simple = right.iter().all(|token| {
        matches!(
            token.kind,
            Kind::Number | Kind::Dots | Kind::Comma | Kind::Letter
        )
    });
    let dots = right.iter().any(|token| token.kind == Kind::Dots);
    let left_ends = left
        .last()
        .is_some_and(|last| last.is_operand() || last.kind == Kind::Dots);
    simple && dots && left_ends
}
