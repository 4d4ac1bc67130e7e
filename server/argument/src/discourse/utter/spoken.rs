//! Relations told in words: "x is at most 1/n", "the power tends to 0".

use super::link::behind_of;
use super::*;

impl Reader<'_> {
    /// The right end of what an utterance writes.
    fn end_of(&mut self, context: &Context<'_>, utterance: usize) -> Option<Operand> {
        let other = context.reading.utterances.get(utterance)?;
        let statement = context.statement(other)?;
        let last = shape::links(statement)
            .last()
            .and_then(|link| link.right.as_ref());
        let left = last.or_else(|| shape::first_term(statement))?;
        Some(self.operand(context, other, left))
    }

    /// A relation told in words: `x` is at most `term`.
    pub(super) fn spoken(
        &mut self,
        context: &Context<'_>,
        position: usize,
        term: &Term,
        spoken: Spoken,
        left: Left,
        whole: Span,
    ) {
        if self.bound_told(context, position, term, spoken) {
            return;
        }
        let utterance = &context.reading.utterances[position];
        let sign = match spoken {
            Spoken::Relation(relation) => Sign::Relation(relation),
            Spoken::Tends => Sign::TendsTo,
        };
        if matches!(utterance.mode, Mode::Choose | Mode::Exists | Mode::Let)
            && let Left::Utterance(subject) = left
        {
            self.spoken_choice(context, position, term, sign, subject, whole);
            return;
        }
        let (operand, start) = match left {
            // "The numerator is at most 1, the denominator at least n": not what stands before.
            Left::Utterance(before)
                if self.of_a_part(context, before, utterance.token)
                    || counts_a_place(context, before)
                    || is_measured(context, before) =>
            {
                (None, whole)
            }
            Left::Utterance(before) => {
                let Some(operand) = self.end_of(context, before) else {
                    return;
                };
                let start = operand.span;
                (Some(operand), start)
            }
            Left::Carried => {
                // "… is independent of x and tends to 0": x is not what tends.
                let aside = self
                    .bare
                    .as_ref()
                    .is_some_and(|(_, before, _)| behind_of(context, *before));
                if aside {
                    self.bare = None;
                }
                (
                    self.carried(context, position).map(|carry| carry.operand),
                    whole,
                )
            }
            Left::Words if spoken == Spoken::Tends => {
                let power = self.power_spoken_of(context, utterance);
                let start = power.as_ref().map_or(whole, |power| power.span);
                (power, start)
            }
            Left::Words => (None, whole),
        };
        let role = self.claim_role(context, utterance);
        let Some(operand) = operand else {
            let lost = Lost::because(
                "what is compared here is said in words",
                elaborate::names(term),
            );
            self.push(context, Some(position), whole, None, lost.content());
            self.carry = None;
            return;
        };
        let right = self.operand(context, utterance, term);
        let meaning = link(self, context, utterance, &operand, sign, &right);
        let chain = self.chain_behind(left);
        let link = Link {
            sign,
            sign_range: 0..0,
            right: Some(term.clone()),
        };
        let role = self.role_of_link(context, role, &link, &operand, &right);
        let proto = self.said(
            context,
            position,
            start.to(whole),
            role,
            meaning,
            utterance.doubt,
        );
        self.protos[proto].entry.chain = Some(chain);
        self.carry = Some(Carry {
            operand: right,
            chain: (chain.0, chain.1 + 1),
        });
        self.carry_formula = context.formula(utterance);
    }

    /// The chain that goes on from the left side of a relation told in words, else a new one.
    fn chain_behind(&mut self, left: Left) -> (usize, usize) {
        match left {
            Left::Carried => self.carry.as_ref().map(|carry| carry.chain),
            _ => None,
        }
        .unwrap_or_else(|| {
            self.next_chain += 1;
            (self.next_chain - 1, 0)
        })
    }
}

/// "The block that starts after index N is at most …": the number tells a place.
fn counts_a_place(context: &Context<'_>, utterance: usize) -> bool {
    let token = context
        .reading
        .utterances
        .get(utterance)
        .map(|own| own.token);
    let words: Vec<&str> = context.tokens[..token.unwrap_or(0)]
        .iter()
        .rev()
        .map_while(Token::word)
        .take(2)
        .collect();
    matches!(
        words.as_slice(),
        [
            "index" | "term" | "number" | "step" | "place",
            "after" | "at" | "from" | "before" | "behind" | "beyond"
        ]
    )
}

/// "So sup over ℝ of |f_n − f| is greater than 2": of its supremum, not of the term.
fn is_measured(context: &Context<'_>, utterance: usize) -> bool {
    let Some(place) = context.reading.utterances.get(utterance) else {
        return false;
    };
    let mut before = context.tokens[..place.token].iter().rev();
    let word = before.next().and_then(Token::word);
    // "The distance of a_n from 5/2 is less than …"
    if word == Some("from") {
        return before
            .filter_map(Token::word)
            .take(8)
            .any(|word| matches!(word, "distance" | "difference" | "deviation"));
    }
    let of = word == Some("of");
    of && before.take(4).filter_map(Token::word).any(|word| {
        matches!(
            word,
            "sup"
                | "supremum"
                | "suprema"
                | "inf"
                | "infimum"
                | "max"
                | "maximum"
                | "min"
                | "minimum"
        )
    })
}
