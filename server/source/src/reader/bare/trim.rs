//! What stands at the ends of a run without words and does not belong to its formula.

use super::tokens::{Kind, Token};
use std::ops::Range;

/// Takes off what does not belong to a formula at its ends.
pub(super) fn trim(text: &str, tokens: &[Token], range: Range<usize>) -> Range<usize> {
    let mut range = range;
    loop {
        let before = range.clone();
        range = trim_start(text, tokens, range);
        range = trim_end(text, tokens, range);
        range = trim_parentheses(tokens, range);
        if range == before {
            return range;
        }
    }
}

fn trim_start(text: &str, tokens: &[Token], mut range: Range<usize>) -> Range<usize> {
    while range.start < range.end {
        let token = tokens[range.start];
        let after = tokens[range.start + 1..range.end]
            .iter()
            .find(|token| !token.is_space())
            .copied();
        let spaced = tokens
            .get(range.start + 1)
            .is_some_and(|next| next.is_space());
        let written = token.text(text);
        let drops = match token.kind {
            Kind::Space | Kind::Comma | Kind::Colon | Kind::Factorial => true,
            Kind::Operator => !matches!(written, "-" | "+") || spaced || range.len() == 1,
            // The article, not the letter.
            Kind::Letter if matches!(written, "a" | "A" | "I") => {
                let operated = after.is_some_and(|after| {
                    matches!(after.kind, Kind::Relation | Kind::Operator | Kind::Comma)
                        || !spaced
                        || "−×·∈".contains(after.text(text))
                });
                !operated
            }
            Kind::Open => {
                // A label: `(a) n > N`.
                let label = tokens
                    .get(range.start + 2)
                    .is_some_and(|close| close.kind == Kind::Close)
                    && matches!(tokens[range.start + 1].kind, Kind::Letter | Kind::Number);
                let behind = &tokens[(range.start + 3).min(range.end)..range.end];
                let next = behind.first();
                // A number of a line, or of those that it uses: `(3) ⇒ n > N`, `(1), (4) ⇒ …`.
                let counts = label
                    && tokens[range.start + 1].kind == Kind::Number
                    && next.is_none_or(|next| next.is_space() || next.kind == Kind::Comma)
                    && behind
                        .iter()
                        .find(|token| !token.is_space())
                        .is_none_or(|next| {
                            "⇒⟹⇔⟺∴".contains(next.text(text))
                                || !matches!(next.kind, Kind::Operator | Kind::Relation)
                        });
                if counts {
                    range.start = (range.start + 3).min(range.end);
                    continue;
                }
                if label && next.is_some_and(|next| next.is_space()) {
                    let operand = tokens[range.start + 3..range.end]
                        .iter()
                        .find(|token| !token.is_space());
                    if operand
                        .is_some_and(|operand| operand.is_operand() || operand.kind == Kind::Bar)
                    {
                        range.start += 3;
                        continue;
                    }
                }
                false
            }
            _ => false,
        };
        if !drops {
            break;
        }
        range.start += 1;
    }
    range
}

fn trim_end(text: &str, tokens: &[Token], mut range: Range<usize>) -> Range<usize> {
    while range.start < range.end {
        let last = range.end - 1;
        let token = tokens[last];
        let before = tokens[range.start..last]
            .iter()
            .rev()
            .find(|token| !token.is_space())
            .copied();
        let spaced = range.start < last && tokens[last - 1].is_space();
        let drops = match token.kind {
            Kind::Space | Kind::Comma | Kind::Colon => true,
            // `1 / (1 + (… )²)` torn at a bracket: what is left is no formula by itself.
            Kind::Operator => {
                let torn = tokens[range.end..]
                    .iter()
                    .find(|token| !token.is_space())
                    .is_some_and(|next| next.kind == Kind::Open);
                !(torn && before.is_some() && matches!(token.text(text), "/" | "*" | "·" | "^"))
            }
            Kind::Letter if matches!(token.text(text), "a" | "A" | "I") => {
                let operated = before.is_some_and(|before| {
                    matches!(
                        before.kind,
                        Kind::Relation | Kind::Operator | Kind::Sign | Kind::Comma
                    )
                });
                !operated && (spaced || range.len() == 1)
            }
            // A number of a formula: `… = 0 (1)`.
            Kind::Close if range.start + 4 < range.end => {
                let tag = tokens[last - 1].kind == Kind::Number
                    && tokens[last - 2].text(text) == "("
                    && tokens[last - 3].is_space();
                if tag {
                    range.end -= 3;
                    continue;
                }
                false
            }
            _ => false,
        };
        if !drops {
            break;
        }
        range.end -= 1;
    }
    range
}

/// Parentheses of the sentence around a relation: `(n > N)`.
fn trim_parentheses(tokens: &[Token], range: Range<usize>) -> Range<usize> {
    if range.len() < 3 || tokens[range.start].kind != Kind::Open {
        return range;
    }
    let mut depth = 0_usize;
    let mut relation = false;
    let mut comma = false;
    for at in range.clone() {
        match tokens[at].kind {
            Kind::Open => depth += 1,
            Kind::Close => {
                depth = depth.saturating_sub(1);
                if depth == 0 && at + 1 < range.end {
                    return range;
                }
            }
            Kind::Relation if depth == 1 => relation = true,
            Kind::Comma if depth == 1 => comma = true,
            _ => {}
        }
    }
    if relation && !comma && tokens[range.end - 1].kind == Kind::Close {
        range.start + 1..range.end - 1
    } else {
        range
    }
}
