//! Takes out of a formula's tokens what carries no meaning: alignment, superfluous braces,
//! stacked labels, line breaks inside a term.

use super::brackets::{self, NO_PARTNER, ends_operand, starts_value};
use crate::notation::lex::{Arity, Environment, Tok, Token, negated};
use crate::notation::syntax::Sign;
use kernel::Relation;

/// The tokens that parsing sees.
pub(super) fn tidy(mut tokens: Vec<Token>, text: &str) -> Vec<Token> {
    if !text.contains('\\') {
        visible_braces(&mut tokens);
    }
    join_negations(&mut tokens);
    let tokens = with_single_digits(tokens);
    let shape = brackets::shape(&tokens);
    let mut tidying = Tidying {
        kept: vec![true; tokens.len()],
        argument: arguments(&tokens, &shape.partner),
        partner: shape.partner,
        tokens,
        text,
    };
    tidying.labels();
    tidying.braces();
    tidying.rows();
    let kept = tidying.kept;
    let mut tokens: Vec<Token> = tidying
        .tokens
        .into_iter()
        .zip(kept)
        .filter_map(|(token, keep)| keep.then_some(token))
        .collect();
    super::arrows::implications(&mut tokens);
    super::compose::compositions(tokens)
}

/// In plain text braces are seen: they are set braces where a set may stand, or where they hold
/// a list or a condition; not behind `^` and `_`.
fn visible_braces(tokens: &mut [Token]) {
    let shape = brackets::shape(tokens);
    for index in 0..tokens.len() {
        let close = shape.partner[index];
        if tokens[index].kind != Tok::BraceOpen || close == NO_PARTNER {
            continue;
        }
        let before = index.checked_sub(1).map(|last| tokens[last].kind.clone());
        if matches!(before, Some(Tok::Caret | Tok::Under)) {
            continue;
        }
        let wanted = matches!(
            before,
            Some(
                Tok::Sign(Sign::In | Sign::NotIn | Sign::Subset)
                    | Tok::SetOperation(_)
                    | Tok::Extremum(_)
                    | Tok::Operator(_)
            )
        );
        let sequence = tokens
            .get(close + 1)
            .is_some_and(|token| token.kind == Tok::Under);
        if wanted || sequence || shape.holds_list[index] || shape.holds_statement[index] {
            tokens[index].kind = Tok::Open('{');
            tokens[close].kind = Tok::Close('}');
        }
    }
}

/// `\not=` and its kin become one sign.
fn join_negations(tokens: &mut Vec<Token>) {
    let mut joined: Vec<Token> = Vec::with_capacity(tokens.len());
    for mut token in tokens.drain(..) {
        if let Some(last) = joined.last()
            && last.kind == Tok::Not
        {
            match negated(&token.kind) {
                Some(kind) => {
                    token.kind = kind;
                    token.range.start = last.range.start;
                    token.spaced = last.spaced;
                    joined.pop();
                }
                None => {
                    if let Some(last) = joined.last_mut() {
                        last.kind = Tok::Unreadable("a negation stroke without a sign");
                    }
                }
            }
        }
        joined.push(token);
    }
    if let Some(last) = joined.last_mut()
        && last.kind == Tok::Not
    {
        last.kind = Tok::Unreadable("a negation stroke without a sign");
    }
    *tokens = joined;
}

/// TeX takes one digit where a command takes an argument without braces: `\frac12` is one half.
fn with_single_digits(tokens: Vec<Token>) -> Vec<Token> {
    let partner = brackets::shape(&tokens).partner;
    let mut split = vec![0usize; tokens.len()];
    for index in 0..tokens.len() {
        let mut wanted = match tokens[index].kind {
            Tok::Fraction | Tok::Binomial => 2,
            Tok::Root(_, true) | Tok::Struck | Tok::Decoration(_) => 1,
            _ => continue,
        };
        let mut at = index + 1;
        if matches!(
            tokens.get(at).map(|token| &token.kind),
            Some(Tok::Open('['))
        ) && partner[at] != NO_PARTNER
        {
            at = partner[at] + 1;
        }
        while wanted > 0 && at < tokens.len() {
            if tokens[at].kind == Tok::BraceOpen && partner[at] != NO_PARTNER {
                at = partner[at] + 1;
                wanted -= 1;
                continue;
            }
            split[at] = split[at].max(wanted);
            wanted = wanted.saturating_sub(digits(&tokens[at]).max(1));
            at += 1;
        }
    }
    let mut single = Vec::with_capacity(tokens.len());
    for (token, count) in tokens.into_iter().zip(split) {
        let count = count.min(digits(&token).saturating_sub(1));
        let Tok::Number(text) = &token.kind else {
            single.push(token);
            continue;
        };
        let start = token.range.start;
        for at in 0..count {
            single.push(Token {
                kind: Tok::Number(text[at..=at].to_owned()),
                range: start + at..start + at + 1,
                spaced: token.spaced && at == 0,
            });
        }
        single.push(Token {
            kind: Tok::Number(text[count..].to_owned()),
            range: start + count..token.range.end,
            spaced: token.spaced && count == 0,
        });
    }
    single
}

/// How many digits a numeral has that was typed as nothing but digits.
fn digits(token: &Token) -> usize {
    match &token.kind {
        Tok::Number(text)
            if text.len() == token.range.len() && text.bytes().all(|c| c.is_ascii_digit()) =>
        {
            text.len()
        }
        _ => 0,
    }
}

/// Which braces enclose the argument of a command, a power or an index.
fn arguments(tokens: &[Token], partner: &[usize]) -> Vec<bool> {
    let mut found = vec![false; tokens.len()];
    for index in 0..tokens.len() {
        let count = match &tokens[index].kind {
            Tok::Fraction | Tok::Binomial | Tok::Stack(_) => 2,
            Tok::Caret
            | Tok::Under
            | Tok::Root(..)
            | Tok::Decoration(_)
            | Tok::LabelledArrow
            | Tok::Struck
            | Tok::Around(_)
            | Tok::Extremum(_)
            | Tok::Operator(_)
            | Tok::Function(_)
            | Tok::Unknown(_)
            | Tok::Logarithm(_)
            | Tok::Reciprocal(_) => 1,
            _ => continue,
        };
        let mut at = index + 1;
        if matches!(tokens[index].kind, Tok::Root(..) | Tok::LabelledArrow)
            && matches!(
                tokens.get(at).map(|token| &token.kind),
                Some(Tok::Open('['))
            )
            && partner[at] != NO_PARTNER
        {
            at = partner[at] + 1;
        }
        for _ in 0..count {
            match tokens.get(at).map(|token| &token.kind) {
                Some(Tok::BraceOpen) if partner[at] != NO_PARTNER => {
                    found[at] = true;
                    at = partner[at] + 1;
                }
                Some(_) => at += 1,
                None => break,
            }
        }
    }
    found
}

/// What encloses a line break.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Inside {
    Cases,
    Brace,
    Bracket,
}

struct Tidying<'t> {
    tokens: Vec<Token>,
    partner: Vec<usize>,
    argument: Vec<bool>,
    kept: Vec<bool>,
    text: &'t str,
}

impl Tidying<'_> {
    /// One past the argument that starts at `index`.
    fn behind(&self, index: usize) -> usize {
        match self.partner.get(index) {
            Some(partner) if *partner != NO_PARTNER && *partner > index => partner + 1,
            _ => (index + 1).min(self.tokens.len()),
        }
    }

    fn drop_range(&mut self, from: usize, to: usize) {
        for kept in &mut self.kept[from..to] {
            *kept = false;
        }
    }

    /// Stacked labels, braces under a term, boxes.
    fn labels(&mut self) {
        for index in 0..self.tokens.len() {
            if !self.kept[index] {
                continue;
            }
            match self.tokens[index].kind {
                Tok::Stack(arity) => self.stacked(index, arity),
                Tok::LabelledArrow => self.arrow(index),
                Tok::Transparent => self.kept[index] = false,
                Tok::Braced => {
                    self.kept[index] = false;
                    let mut next = self.behind(index + 1);
                    while matches!(
                        self.tokens.get(next).map(|token| &token.kind),
                        Some(Tok::Under | Tok::Caret)
                    ) {
                        let after = self.behind(next + 1);
                        self.drop_range(next, after);
                        next = after;
                    }
                }
                _ => {}
            }
        }
    }

    fn stacked(&mut self, index: usize, arity: Arity) {
        let label = index + 1;
        let body = self.behind(label);
        if body >= self.tokens.len() {
            self.tokens[index].kind = Tok::Unreadable("a stacked sign lacks its parts");
            return;
        }
        let inside = if self.tokens[body].kind == Tok::BraceOpen {
            body + 1
        } else {
            body
        };
        let base = self.tokens.get(inside).map(|token| token.kind.clone());
        match base {
            Some(Tok::Operator(_) | Tok::Extremum(_) | Tok::Series(_)) if arity == Arity::Below => {
            }
            // \underset{u}{\overset{v}{\to}}: the outer label goes, the inner stack stays.
            Some(Tok::Stack(_) | Tok::LabelledArrow) => self.drop_range(index, body),
            Some(sign @ (Tok::Sign(_) | Tok::Connective(_) | Tok::MapsTo)) => {
                let whole =
                    self.tokens[index].range.start..self.tokens[self.behind(body) - 1].range.end;
                let words = self.words(label, body);
                let kind = labelled(&sign, &words);
                let spaced = self.tokens[index].spaced;
                let end = self.behind(body);
                self.drop_range(index, end);
                self.kept[inside] = true;
                self.tokens[inside] = Token {
                    kind,
                    range: whole,
                    spaced,
                };
            }
            _ => {
                self.drop_range(index, body);
                self.argument[body] = false;
            }
        }
    }

    fn arrow(&mut self, index: usize) {
        let mut label = index + 1;
        if matches!(
            self.tokens.get(label).map(|token| &token.kind),
            Some(Tok::Open('['))
        ) {
            label = self.behind(label);
        }
        let end = self.behind(label);
        let words = self.words(index + 1, end);
        let kind = labelled(&Tok::Sign(Sign::TendsTo), &words);
        let range_end = self.tokens[end - 1].range.end;
        self.drop_range(index, end);
        self.kept[index] = true;
        self.tokens[index].kind = kind;
        self.tokens[index].range.end = range_end;
    }

    /// The text of the tokens `from..to`, letters only.
    fn words(&self, from: usize, to: usize) -> String {
        match (self.tokens.get(from), self.tokens.get(to.saturating_sub(1))) {
            (Some(first), Some(last)) if first.range.start <= last.range.end => self.text
                [first.range.start..last.range.end]
                .chars()
                .filter(|c| c.is_alphabetic())
                .collect(),
            _ => String::new(),
        }
    }

    /// Braces that only space a sign (`{=}`, `{,}`) or hold whole statements go.
    fn braces(&mut self) {
        let shape = brackets::shape(&self.tokens);
        for index in 0..self.tokens.len() {
            let free = self.kept[index]
                && self.tokens[index].kind == Tok::BraceOpen
                && !self.argument[index]
                && self.partner[index] != NO_PARTNER;
            if !free {
                continue;
            }
            let close = self.partner[index];
            let inside = (index + 1..close)
                .filter(|at| self.kept[*at])
                .take(2)
                .collect::<Vec<_>>();
            let spacing = match inside.as_slice() {
                [] => true,
                [only] => !starts_value(&self.tokens[*only].kind),
                _ => false,
            };
            let fraction_bar = (index + 1..close)
                .take(64)
                .any(|at| matches!(self.tokens[at].kind, Tok::Over | Tok::Choose));
            let statement = shape.holds_statement[index] || shape.holds_list[index];
            if spacing || statement && !fraction_bar {
                self.kept[index] = false;
                self.kept[close] = false;
            }
        }
    }

    /// Alignment and line breaks: those of cases stay, those inside brackets go, a row that
    /// continues the term above is joined to it.
    fn rows(&mut self) {
        let mut open: Vec<(usize, Inside)> = Vec::new();
        let aligned_from_the_start = self.first_row_starts_aligned();
        for index in 0..self.tokens.len() {
            if !self.kept[index] {
                continue;
            }
            let partner = self.partner[index];
            match &self.tokens[index].kind {
                Tok::Begin(Environment::Array) | Tok::End(Environment::Array) => {
                    self.array(index);
                    if self.kept[index] && partner != NO_PARTNER && partner > index {
                        open.push((partner, Inside::Cases));
                    }
                    continue;
                }
                Tok::Align | Tok::Row => {
                    while open.last().is_some_and(|(close, _)| *close < index) {
                        open.pop();
                    }
                    match open.last() {
                        Some((_, Inside::Cases)) => {}
                        Some((_, Inside::Brace)) if self.tokens[index].kind == Tok::Row => {
                            self.tokens[index].kind = Tok::Comma;
                        }
                        Some(_) => self.kept[index] = false,
                        None if self.tokens[index].kind == Tok::Align => self.align(index),
                        None => self.row(index, aligned_from_the_start),
                    }
                    continue;
                }
                _ => {}
            }
            while open.last().is_some_and(|(close, _)| *close <= index) {
                open.pop();
            }
            if partner != NO_PARTNER && partner > index {
                let inside = match self.tokens[index].kind {
                    Tok::Begin(_) => Inside::Cases,
                    Tok::Left('{') if self.tokens[partner].kind == Tok::Right('.') => Inside::Cases,
                    Tok::BraceOpen => Inside::Brace,
                    _ => Inside::Bracket,
                };
                open.push((partner, inside));
            }
        }
    }

    /// `\begin{array}` after an opening brace that nothing closes is a list of cases; else its
    /// rows are rows of the formula.
    fn array(&mut self, index: usize) {
        let partner = self.partner[index];
        if matches!(self.tokens[index].kind, Tok::End(_)) {
            let begun_as_cases = partner != NO_PARTNER
                && matches!(self.tokens[partner].kind, Tok::Begin(Environment::Cases));
            self.kept[index] = begun_as_cases;
            return;
        }
        let before = index.checked_sub(1);
        let brace = before.filter(|last| {
            self.partner[*last] == NO_PARTNER
                && matches!(self.tokens[*last].kind, Tok::Open('{') | Tok::Left('{'))
        });
        match brace {
            Some(brace) if partner != NO_PARTNER => {
                self.kept[brace] = false;
                self.tokens[index].kind = Tok::Begin(Environment::Cases);
            }
            _ => self.kept[index] = false,
        }
    }

    fn first_row_starts_aligned(&self) -> bool {
        self.tokens
            .first()
            .is_some_and(|token| token.kind == Tok::Align)
    }

    fn before(&self, index: usize) -> Option<usize> {
        (0..index)
            .rev()
            .take(8)
            .find(|at| self.kept[*at] && !matches!(self.tokens[*at].kind, Tok::Gap | Tok::Align))
    }

    /// `&`: a gap between two operands (`x > 0 & y > 0`), else nothing.
    fn align(&mut self, index: usize) {
        let after = self.tokens.get(index + 1).map(|token| &token.kind);
        let before = self.before(index).map(|last| &self.tokens[last].kind);
        let gap = after == Some(&Tok::Align)
            || before.is_some_and(ends_operand) && after.is_some_and(starts_value);
        if gap {
            self.tokens[index].kind = Tok::Gap;
        } else {
            self.kept[index] = false;
        }
    }

    fn row(&mut self, index: usize, aligned_from_the_start: bool) {
        let mut next = index + 1;
        let mut indented = false;
        while let Some(Tok::Align | Tok::Gap) = self.tokens.get(next).map(|token| &token.kind) {
            indented = true;
            next += 1;
        }
        let before = self
            .before(index)
            .map(|last| self.tokens[last].kind.clone());
        let after = self.tokens.get(next).map(|token| token.kind.clone());
        let joined = match (&before, &after) {
            (None, _) | (_, None) => false,
            (Some(Tok::Plus | Tok::Minus | Tok::Times | Tok::Slash | Tok::PlusMinus), Some(_)) => {
                true
            }
            (Some(Tok::Sign(_)), Some(kind)) => {
                starts_value(kind)
                    || matches!(kind, Tok::Open(_) | Tok::Left(_) | Tok::Bar | Tok::Minus)
            }
            (Some(last), Some(Tok::Plus | Tok::Times | Tok::Slash | Tok::PlusMinus)) => {
                ends_operand(last)
            }
            (Some(last), Some(Tok::Minus)) => {
                ends_operand(last)
                    && (indented && !aligned_from_the_start || !self.row_has_sign(next))
            }
            _ => false,
        };
        if joined {
            self.drop_range(index, next);
        }
    }

    /// Whether a relation stands between here and the next line break.
    fn row_has_sign(&self, from: usize) -> bool {
        let mut at = from;
        while let Some(token) = self.tokens.get(at) {
            match token.kind {
                Tok::Row => return false,
                Tok::Sign(_) | Tok::Connective(_) => return true,
                _ => at = self.behind(at),
            }
        }
        false
    }
}

/// A sign with a label above it.
fn labelled(sign: &Tok, words: &str) -> Tok {
    let lower = words.to_lowercase();
    match sign {
        Tok::Sign(Sign::TendsTo) => {
            let uniform =
                lower == "u" || lower.contains("unif") || lower.contains("glm") || lower == "ucv";
            Tok::Sign(if uniform {
                Sign::TendsUniformlyTo
            } else {
                Sign::TendsTo
            })
        }
        Tok::Sign(Sign::Relation(Relation::Equal)) if lower.contains("def") => {
            Tok::Sign(Sign::Defines)
        }
        other => other.clone(),
    }
}
