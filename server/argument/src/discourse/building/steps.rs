//! Numbers that count the steps of a proof: `(1) …`, `(2) … ⇒ …`, one line after the other.

use super::super::phrase::{Family, phrase};
use super::*;
use crate::notation::syntax::StatementKind;

/// So many numbered lines make a proof that counts its steps.
const FEWEST: usize = 4;

impl Builder<'_> {
    /// A numbered step of the proof begins; what stood before the first one was the statement.
    pub(super) fn begin_step(&mut self) {
        self.label_before = true;
        if self.zone.is_some() || !self.states_something() {
            return;
        }
        self.zone = Some(Zone::Proof);
        let exercise = self.exercise;
        let begun = self
            .units
            .iter()
            .any(|unit| unit.argument == exercise && unit.zone == Some(Zone::Proof));
        if begun {
            return;
        }
        for unit in &mut self.units {
            if unit.argument == exercise && unit.zone.is_none() {
                unit.zone = Some(Zone::Statement);
            }
        }
    }
}

/// Whether unnamed numbers at the heads of blocks count steps: they go on one by one through the
/// whole draft, few set a task, and some of them argue from others.
pub(super) fn are_counted(blocks: &[Vec<Sentence>]) -> bool {
    let mut last = 0_usize;
    let (mut lines, mut arguing, mut tasks) = (0_usize, 0_usize, 0_usize);
    for sentences in blocks {
        let Some(first) = sentences.first() else {
            continue;
        };
        let Some((number, length)) = number_of(first) else {
            continue;
        };
        if number != last + 1 {
            return false;
        }
        last = number;
        lines += 1;
        // "⇒ not enough for ⇉, so estimate the sup!" sets one to oneself.
        tasks += usize::from(sentences.iter().any(|own| is_task(&own.tokens)));
        arguing += usize::from(draws(&first.tokens[length.min(first.tokens.len())..]));
    }
    lines >= FEWEST && 4 * arguing >= lines && 4 * tasks <= lines
}

/// The number alone that heads a sentence, not set off, and the length of its label.
fn number_of(sentence: &Sentence) -> Option<(usize, usize)> {
    if is_styled(sentence) {
        return None;
    }
    let found = label::label(&sentence.tokens, false)?;
    match found.kind {
        LabelKind::Exercise {
            named: false,
            number: Some(number),
            part: None,
            ..
        } => Some((number.parse().ok()?, found.length)),
        _ => None,
    }
}

/// Whether a line draws a conclusion: by an arrow, or by "so", "hence", "we have".
fn draws(tokens: &[Token]) -> bool {
    let arrow = |token: &Token| match &token.kind {
        TokenKind::Arrow(_) => true,
        TokenKind::Statement(token) => {
            matches!(token.statement.kind, StatementKind::Connected { .. })
        }
        _ => false,
    };
    tokens.iter().any(arrow)
        || (0..tokens.len()).any(|at| {
            matches!(
                phrase(&tokens[at..]),
                Some((Family::Therefore | Family::Assert, _))
            )
        })
}
