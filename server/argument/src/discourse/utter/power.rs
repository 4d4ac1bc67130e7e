//! Powers that a sentence speaks of without writing them.

use super::*;
use crate::notation::walk;

impl Reader<'_> {
    /// "The base is smaller than 1 and the exponent tends to infinity, hence the power tends to 0":
    /// the last power that was written whose base and exponent both move.
    pub(super) fn power_spoken_of(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
    ) -> Option<Operand> {
        const FAR: usize = 12;
        let words: Vec<&str> = context.words_before(utterance.token).take(6).collect();
        let told = words.windows(2).any(|pair| {
            matches!(pair[0], "power" | "powers")
                && matches!(
                    pair[1],
                    "the" | "this" | "its" | "these" | "n-th" | "nth" | "th"
                )
        });
        if !told {
            return None;
        }
        let here = context.tokens[..utterance.token]
            .iter()
            .rev()
            .find(|token| matches!(token.word(), Some("power" | "powers")))
            .map(|token| token.span)?;
        let mut found = None;
        let before = self
            .formulas
            .iter()
            .filter(|formula| formula.span.end <= here.start)
            .rev()
            .take(FAR);
        for formula in before {
            for segment in &formula.parsed.segments {
                walk::segment_terms(segment, &mut |term| {
                    if let TermKind::Power(base, exponent) = &term.kind
                        && [base, exponent].iter().all(|part| self.moves(part))
                    {
                        found = Some(term.clone());
                    }
                });
            }
            if found.is_some() {
                break;
            }
        }
        let term = found?;
        Some(Operand {
            value: self.lexicon.term(&term),
            span: here,
            term,
        })
    }

    /// Whether an index occurs in a term.
    pub(in crate::discourse) fn moves(&self, term: &Term) -> bool {
        shape::names_in(term)
            .iter()
            .any(|name| self.lexicon.names.usage(name) == Use::Index)
    }
}
