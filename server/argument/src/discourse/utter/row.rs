//! What stands beside the rows of a formula and leads to nothing: reasons, remarks, differentials.

use super::*;

impl Reader<'_> {
    /// "… < 4/2^n && (2 < L < 3)": a relation in brackets of its own supports its row, and no chain
    /// goes on from it.
    pub(super) fn is_bracketed(&self, context: &Context<'_>, utterance: &Utterance) -> bool {
        let Some(statement) = context.statement(utterance) else {
            return false;
        };
        let span = self.place(context, utterance, &statement.range);
        let before = self.draft.get(..span.start).unwrap_or_default();
        let behind = self.draft.get(span.end..).unwrap_or_default();
        let own = self.draft.get(span.range()).unwrap_or_default();
        if is_one_bracket(own) {
            return true;
        }
        let opened = |text: &str| text.ends_with('(') || text.ends_with("\\bigl(");
        opened(before.trim_end()) && behind.trim_start().starts_with([')', '\\'])
            || self.is_beside_row(context, utterance, span)
    }

    /// "& ≤ 19n/(9n²) && (17 ≤ 17n, n + 1 ≥ 0)": a whole relation in the column of the reasons, or
    /// within brackets that its row opened.
    fn is_beside_row(&self, context: &Context<'_>, utterance: &Utterance, span: Span) -> bool {
        let Some(token) = context.tokens[utterance.token].statement() else {
            return false;
        };
        let complete = shape::first_term(&token.statement).is_some();
        let Some(formula) = context.formula(utterance) else {
            return false;
        };
        let begins = self.formulas[formula].span.start;
        let row = self.draft.get(begins..span.start).unwrap_or_default();
        let row = row.rfind("\\\\").map_or(row, |at| &row[at..]);
        // `\[` opens the display.
        let depth: i32 = row
            .replace("\\[", "")
            .chars()
            .map(|sign| match sign {
                '(' | '[' => 1,
                ')' | ']' => -1,
                _ => 0,
            })
            .sum();
        token.display && complete && (row.contains("&&") || depth > 0)
    }

    /// "du = 2x dx" in typed text: what stands between the differentials.
    pub(super) fn continues_differential(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
    ) -> bool {
        let opens = context
            .statement(utterance)
            .is_some_and(shape::opens_with_relation);
        let mut before = context.words_before(utterance.token);
        opens
            && before.next().is_some_and(|word| {
                word.len() == 2
                    && word.starts_with('d')
                    && word.ends_with(|last: char| last.is_ascii_lowercase())
            })
    }
}

/// Whether a text is one pair of round brackets with what stands in it.
fn is_one_bracket(text: &str) -> bool {
    let mut depth = 0_i32;
    let closes = text.char_indices().find_map(|(at, sign)| {
        depth += match sign {
            '(' => 1,
            ')' => -1,
            _ => 0,
        };
        (depth == 0).then_some(at)
    });
    text.starts_with('(') && closes.is_some_and(|at| at + 1 == text.len())
}

/// "&& \text{factor out } x^{n-1} > 0": words and a relation of its own beside a row, from which
/// no later row goes on.
pub(super) fn remarks_on_its_row(context: &Context<'_>, utterance: &Utterance) -> bool {
    const GOING_ON: [&str; 9] = [
        "and",
        "so",
        "hence",
        "thus",
        "therefore",
        "then",
        "or",
        "that",
        "is",
    ];
    let token = &context.tokens[utterance.token];
    let Some(statement) = token.statement() else {
        return false;
    };
    let begins = shape::first_term(&statement.statement).is_some();
    let mut words = context.tokens[..utterance.token]
        .iter()
        .rev()
        .take_while(|before| before.inner == token.inner)
        .map_while(Token::word);
    let follows_words = words.next().is_some_and(|word| !GOING_ON.contains(&word));
    statement.display && !statement.opens_row && begins && token.inner.is_some() && follows_words
}
