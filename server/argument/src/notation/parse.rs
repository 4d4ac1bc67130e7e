//! Formula text into syntax: total, with recovery part by part, linear in the text.

mod arrows;
mod brackets;
mod chain;
mod compose;
mod factor;
mod function;
mod group;
mod meant;
mod operator;
mod quantified;
mod set;
mod statement;
mod system;
mod term;
mod tidy;

use super::lex::{self, Tok, Token};
use super::syntax::{Formula, Term, TermKind};
use brackets::NO_PARTNER;
use std::ops::Range;

/// Reads the TeX or Unicode mathematics between a formula's delimiters, macros expanded.
///
/// Total: a part that cannot be read is an `Unread` term, statement or segment with its reason,
/// and what stands around it is read all the same. Every range is a range of bytes of `text` on
/// character borders, inside the range of the node above it.
#[must_use]
pub fn parse(text: &str) -> Formula {
    let tokens = tidy::tidy(lex::lex(text), text);
    let shape = brackets::shape(&tokens);
    let end = tokens.len();
    let mut parser = Parser {
        text_length: text.len(),
        tokens,
        shape,
        position: 0,
        end,
        depth: 0,
        open_bars: 0,
        open_norms: 0,
        in_integral: false,
        in_bound: false,
        in_set: false,
    };
    let mut segments = Vec::new();
    parser.segments(&mut segments);
    Formula {
        segments: system::apart(segments),
    }
}

/// A cursor over the tokens of one formula; `end` is where the innermost open group ends.
struct Parser {
    text_length: usize,
    tokens: Vec<Token>,
    shape: brackets::Shape,
    position: usize,
    end: usize,
    depth: usize,
    /// Absolute values open at this level.
    open_bars: usize,
    /// Norms open at this level.
    open_norms: usize,
    /// `d` before a letter ends the integrand.
    in_integral: bool,
    /// Behind a quantifier, where a bar begins the statement's body.
    in_bound: bool,
    /// Directly inside set braces, where a bar may say "such that".
    in_set: bool,
}

impl Parser {
    fn peek(&self) -> Option<&Tok> {
        self.at(self.position)
    }

    fn at(&self, index: usize) -> Option<&Tok> {
        (index < self.end).then(|| &self.tokens[index].kind)
    }

    fn spaced(&self) -> bool {
        self.position < self.end && self.tokens[self.position].spaced
    }

    /// Where the group that opens at `index` closes, if it opens one and is closed.
    fn closing(&self, index: usize) -> Option<usize> {
        let partner = self.shape.partner.get(index).copied()?;
        (partner != NO_PARTNER && partner > index && partner < self.end).then_some(partner)
    }

    /// The byte where the token at the cursor starts; at the end of a group the end of what was
    /// read last.
    fn start(&self) -> usize {
        if self.position < self.end {
            self.tokens[self.position].range.start
        } else {
            self.last_end()
        }
    }

    /// The byte where the token before the cursor ends.
    fn last_end(&self) -> usize {
        self.position
            .checked_sub(1)
            .and_then(|last| self.tokens.get(last))
            .map_or(0, |token| token.range.end)
            .min(self.text_length)
    }

    /// From `start` to the end of what was read last; empty there if nothing was read since, so that
    /// it lies inside of what holds it.
    fn since(&self, start: usize) -> Range<usize> {
        let end = self.last_end();
        start.min(end)..end
    }

    /// Something that should stand behind what was read last.
    fn missing(&self, reason: &str) -> Term {
        let at = self.last_end();
        unread(reason, at..at)
    }

    fn take(&mut self, wanted: &Tok) -> bool {
        let found = self.peek() == Some(wanted);
        if found {
            self.position += 1;
        }
        found
    }

    /// Reads the inside of the group that opens at the cursor and closes at `close` with `read`,
    /// and moves behind it. What `read` leaves over is reported by the second value.
    fn inside<T>(&mut self, close: usize, read: impl FnOnce(&mut Self) -> T) -> (T, bool) {
        let outer = (
            self.end,
            self.open_bars,
            self.open_norms,
            self.in_integral,
            self.in_bound,
            self.in_set,
        );
        self.position += 1;
        self.end = close;
        self.open_bars = 0;
        self.open_norms = 0;
        self.in_integral = false;
        self.in_bound = false;
        self.in_set = false;
        let found = read(self);
        let complete = self.position == close;
        (
            self.end,
            self.open_bars,
            self.open_norms,
            self.in_integral,
            self.in_bound,
            self.in_set,
        ) = outer;
        self.position = close + 1;
        (found, complete)
    }
}

fn unread(reason: impl Into<String>, range: Range<usize>) -> Term {
    Term {
        kind: TermKind::Unread(reason.into()),
        range,
    }
}

#[cfg(test)]
mod tests;
