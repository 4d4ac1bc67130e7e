//! Which bracket closes which, decided before parsing, so that parsing never goes back.

use crate::notation::lex::{Tok, Token};

/// Marks a token that neither opens nor closes a group.
pub(super) const NO_PARTNER: usize = usize::MAX;

/// What is known of a formula's groups, by token.
pub(super) struct Shape {
    /// The other end of a matched group.
    pub(super) partner: Vec<usize>,
    /// How many bars of unknown side follow in the same group.
    pub(super) bars_after: Vec<u32>,
    /// The same for double bars.
    pub(super) norms_after: Vec<u32>,
    /// For an opening token: whether a relation, connective, quantifier or words stand directly
    /// inside.
    pub(super) holds_statement: Vec<bool>,
    /// For an opening token: whether a comma or semicolon stands directly inside.
    pub(super) holds_list: Vec<bool>,
}

/// Finds the groups of a formula.
pub(super) fn shape(tokens: &[Token]) -> Shape {
    let partner = Matcher::new(tokens).run();
    let mut shape = Shape {
        bars_after: vec![0; tokens.len()],
        norms_after: vec![0; tokens.len()],
        holds_statement: vec![false; tokens.len()],
        holds_list: vec![false; tokens.len()],
        partner,
    };
    let mut open: Vec<usize> = Vec::new();
    for (index, token) in tokens.iter().enumerate() {
        let partner = shape.partner[index];
        if partner != NO_PARTNER {
            if partner > index {
                open.push(index);
            } else {
                open.pop();
            }
            continue;
        }
        let Some(group) = open.last() else { continue };
        match token.kind {
            Tok::Sign(_)
            | Tok::Connective(_)
            | Tok::Quantifier(_)
            | Tok::Words(_)
            | Tok::MapsTo => shape.holds_statement[*group] = true,
            Tok::Comma | Tok::Semicolon => shape.holds_list[*group] = true,
            _ => {}
        }
    }
    count_bars(tokens, &mut shape);
    shape
}

/// Counts, from the right, the bars that follow in the same group.
fn count_bars(tokens: &[Token], shape: &mut Shape) {
    let mut levels: Vec<(u32, u32)> = vec![(0, 0)];
    for index in (0..tokens.len()).rev() {
        let partner = shape.partner[index];
        if partner != NO_PARTNER {
            if partner < index {
                levels.push((0, 0));
            } else {
                levels.pop();
            }
        }
        let Some((bars, norms)) = levels.last_mut() else {
            continue;
        };
        shape.bars_after[index] = *bars;
        shape.norms_after[index] = *norms;
        match tokens[index].kind {
            Tok::Bar | Tok::MidBar => *bars += 1,
            Tok::DoubleBar => *norms += 1,
            _ => {}
        }
    }
}

/// Classes of weak brackets: each closes only its own class.
const CLASSES: usize = 7;

fn class(c: char) -> usize {
    match c {
        '(' | ')' | '[' | ']' => 0,
        '{' | '}' => 1,
        '⌊' | '⌋' => 2,
        '⌈' | '⌉' => 3,
        '⟨' | '⟩' => 4,
        '|' => 5,
        _ => 6,
    }
}

/// An opened bracket; braces, `\left` and `\begin` are strong: nothing inside reaches out.
struct Opened {
    index: usize,
    strong: bool,
    class: usize,
    comma: bool,
}

struct Matcher<'t> {
    tokens: &'t [Token],
    partner: Vec<usize>,
    stack: Vec<Opened>,
    /// Open weak brackets by class, for each strong scope.
    weak: Vec<[usize; CLASSES]>,
    braces: usize,
    environments: usize,
    /// More `\left` than `\right`: a plain closing bracket may then close a `\left`.
    lefts_in_excess: bool,
}

impl<'t> Matcher<'t> {
    fn new(tokens: &'t [Token]) -> Self {
        let count =
            |wanted: fn(&Tok) -> bool| tokens.iter().filter(|token| wanted(&token.kind)).count();
        let lefts = count(|kind| matches!(kind, Tok::Left(_)));
        let rights = count(|kind| matches!(kind, Tok::Right(_)));
        Self {
            tokens,
            partner: vec![NO_PARTNER; tokens.len()],
            stack: Vec::new(),
            weak: vec![[0; CLASSES]],
            braces: 0,
            environments: 0,
            lefts_in_excess: lefts > rights,
        }
    }

    fn run(mut self) -> Vec<usize> {
        for index in 0..self.tokens.len() {
            match self.tokens[index].kind {
                Tok::Open('[') if self.closes_reversed(index) => self.close_weak(index, 0),
                Tok::Open(c) => self.open_weak(index, class(c)),
                Tok::Close(c) => self.close(index, c),
                Tok::BraceOpen => {
                    self.braces += 1;
                    self.open_strong(index);
                }
                Tok::Begin(_) => {
                    self.environments += 1;
                    self.open_strong(index);
                }
                Tok::Left(_) => self.open_strong(index),
                Tok::BraceClose if self.braces > 0 => {
                    self.close_strong(index, |kind| matches!(kind, Tok::BraceOpen));
                }
                Tok::End(_) if self.environments > 0 => {
                    self.close_strong(index, |kind| matches!(kind, Tok::Begin(_)));
                }
                Tok::Right(c) => self.right(index, c),
                Tok::Comma | Tok::Semicolon => {
                    if let Some(top) = self.stack.last_mut() {
                        top.comma = true;
                    }
                }
                _ => {}
            }
        }
        self.partner
    }

    fn open_weak(&mut self, index: usize, class: usize) {
        self.stack.push(Opened {
            index,
            strong: false,
            class,
            comma: false,
        });
        if let Some(counts) = self.weak.last_mut() {
            counts[class] += 1;
        }
    }

    fn open_strong(&mut self, index: usize) {
        self.stack.push(Opened {
            index,
            strong: true,
            class: 0,
            comma: false,
        });
        self.weak.push([0; CLASSES]);
    }

    fn join(&mut self, open: usize, close: usize) {
        self.partner[open] = close;
        self.partner[close] = open;
    }

    fn close(&mut self, index: usize, c: char) {
        let class = class(c);
        if self.weak.last().is_some_and(|counts| counts[class] > 0) {
            self.close_weak(index, class);
        } else if self.lefts_in_excess
            && let Some(top) = self.stack.last()
            && let Tok::Left(opened) = self.tokens[top.index].kind
            && matching_class(opened, c)
        {
            self.close_left(index);
        } else if c == ']' && self.opens_reversed(index) {
            self.open_weak(index, 0);
        }
    }

    fn close_weak(&mut self, index: usize, class: usize) {
        while let Some(top) = self.stack.last() {
            if top.strong {
                return;
            }
            let (open, found) = (top.index, top.class);
            self.stack.pop();
            if let Some(counts) = self.weak.last_mut() {
                counts[found] -= 1;
            }
            if found == class {
                self.join(open, index);
                return;
            }
        }
    }

    fn close_left(&mut self, index: usize) {
        if let Some(top) = self.stack.pop() {
            self.weak.pop();
            self.join(top.index, index);
        }
    }

    fn close_strong(&mut self, index: usize, wanted: fn(&Tok) -> bool) {
        while let Some(top) = self.stack.pop() {
            if !top.strong {
                if let Some(counts) = self.weak.last_mut() {
                    counts[top.class] -= 1;
                }
                continue;
            }
            self.weak.pop();
            let kind = &self.tokens[top.index].kind;
            match kind {
                Tok::BraceOpen => self.braces -= 1,
                Tok::Begin(_) => self.environments -= 1,
                _ => {}
            }
            if wanted(kind) {
                self.join(top.index, index);
                return;
            }
        }
    }

    /// `\right` closes the innermost `\left` of its brace scope; without one it closes a plain
    /// bracket.
    fn right(&mut self, index: usize, c: char) {
        let scope = self.stack.iter().rposition(|opened| opened.strong);
        let is_left =
            scope.is_some_and(|at| matches!(self.tokens[self.stack[at].index].kind, Tok::Left(_)));
        if !is_left {
            self.close(index, c);
            return;
        }
        self.close_strong(index, |kind| matches!(kind, Tok::Left(_)));
    }

    /// `]` that opens `]a, b[`: no operand stands before it.
    fn opens_reversed(&self, index: usize) -> bool {
        let before = index.checked_sub(1).map(|last| &self.tokens[last].kind);
        !before.is_some_and(ends_operand) && self.tokens.len() > index + 1
    }

    /// `[` that closes `]a, b[` or `[a, b[`: after an operand, with a comma inside, and nothing
    /// behind it that it could open.
    fn closes_reversed(&self, index: usize) -> bool {
        let Some(top) = self.stack.last() else {
            return false;
        };
        let after = self.tokens.get(index + 1).map(|token| &token.kind);
        !top.strong
            && top.class == 0
            && top.comma
            && index
                .checked_sub(1)
                .is_some_and(|last| ends_operand(&self.tokens[last].kind))
            && !after.is_some_and(starts_value)
    }
}

fn matching_class(open: char, close: char) -> bool {
    class(open) == class(close)
}

/// Whether an operand may end with this token.
pub(super) fn ends_operand(kind: &Tok) -> bool {
    matches!(
        kind,
        Tok::Number(_)
            | Tok::Letter(_)
            | Tok::Pi
            | Tok::Infinity
            | Tok::Dots
            | Tok::NumberSet(_)
            | Tok::EmptySet
            | Tok::Vulgar(..)
            | Tok::Close(_)
            | Tok::Right(_)
            | Tok::BraceClose
            | Tok::Prime(_)
            | Tok::Bang
            | Tok::Percent
            | Tok::Bar
            | Tok::DoubleBar
    )
}

/// Whether an operand may begin with this token, brackets and bars aside.
pub(super) fn starts_value(kind: &Tok) -> bool {
    matches!(
        kind,
        Tok::Number(_)
            | Tok::Letter(_)
            | Tok::Pi
            | Tok::Infinity
            | Tok::Dots
            | Tok::NumberSet(_)
            | Tok::EmptySet
            | Tok::Vulgar(..)
            | Tok::BraceOpen
            | Tok::Fraction
            | Tok::Binomial
            | Tok::Root(..)
            | Tok::Function(_)
            | Tok::Reciprocal(_)
            | Tok::Logarithm(_)
            | Tok::Operator(_)
            | Tok::Extremum(_)
            | Tok::Series(_)
            | Tok::Integral
            | Tok::Around(_)
            | Tok::Decoration(_)
            | Tok::Stack(_)
            | Tok::Struck
            | Tok::Begin(_)
            | Tok::Unknown(_)
            | Tok::Unreadable(_)
    )
}
