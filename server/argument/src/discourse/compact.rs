//! Theorems about compact sets, used on an interval that lacks an end: what the words of a proof
//! draw from continuity there.

use super::entry::{Context, Reader};
use super::outline::{Lacking, Zone};
use super::shape;
use super::token::{Mark, Token};
use crate::notation::syntax::{Name, Sign, Statement, Term, TermKind};
use crate::notation::walk;
use source::Span;
use std::collections::BTreeSet;

/// What is known of the sets that an argument names.
#[derive(Clone, Debug, Default)]
pub(super) struct Sets {
    /// Letters that stand for a bounded interval that need not hold its ends.
    open: BTreeSet<String>,
    /// Letters of sets that are known to be compact, or of which too little is known.
    other: BTreeSet<String>,
    /// Whether the last set that the paragraph named lacks an end.
    last: Option<bool>,
    /// The sentence before, in the same paragraph, says that something is continuous.
    continuous: bool,
    /// What was found.
    pub(super) lacking: Vec<(Span, Lacking)>,
}

/// Words under which a sentence draws nothing, or may rest on more than continuity.
const OPEN: [&str; 37] = [
    "not",
    "no",
    "cannot",
    "can't",
    "need",
    "needs",
    "if",
    "would",
    "unless",
    "without",
    "fails",
    "whether",
    "were",
    "might",
    "could",
    "otherwise",
    "closed",
    "compact",
    "derivative",
    "limit",
    "limits",
    "vanishes",
    "increases",
    "decreases",
    "increasing",
    "decreasing",
    "monotone",
    "extends",
    "extended",
    "closure",
    "endpoints",
    "ends",
    "uniformly",
    "supremum",
    "sup",
    "never",
    "nor",
];

impl Reader<'_> {
    /// Learns which letters stand for a bounded interval, with or without its ends.
    pub(super) fn survey_sets<'t>(&mut self, sentences: impl Iterator<Item = &'t [Token]>) {
        for tokens in sentences {
            for (at, token) in tokens.iter().enumerate() {
                let Some(statement) = token.statement() else {
                    continue;
                };
                let statement = &statement.statement;
                // I = (0, 1]
                if let [link] = shape::links(statement)
                    && matches!(
                        link.sign,
                        Sign::Defines | Sign::Relation(kernel::Relation::Equal)
                    )
                    && let Some(name) = shape::first_term(statement).and_then(shape::bare_name)
                    && let Some(lacks) = link.right.as_ref().and_then(lacks_an_end)
                {
                    self.learn_set(name, lacks);
                }
                // "a bounded interval I", "I ⊂ ℝ be a bounded interval"
                let before: Vec<&str> = words_around(tokens[..at].iter().rev());
                let behind: Vec<&str> = words_around(tokens[at + 1..].iter());
                let name = shape::first_term(statement).and_then(shape::bare_name);
                if let Some(name) = name
                    && (before.starts_with(&["interval", "bounded"])
                        || behind.starts_with(&["be", "a", "bounded", "interval"])
                        || behind.starts_with(&["is", "a", "bounded", "interval"]))
                {
                    self.learn_set(name, true);
                }
                if let Some(name) = name
                    && before
                        .iter()
                        .chain(&behind)
                        .take(8)
                        .any(|word| matches!(*word, "compact" | "closed"))
                {
                    self.sets.other.insert(name.base.clone());
                }
            }
        }
    }

    fn learn_set(&mut self, name: &Name, lacks: bool) {
        let sets = &mut self.sets;
        if lacks {
            sets.open.insert(name.base.clone());
        } else {
            sets.other.insert(name.base.clone());
        }
    }

    /// Notes what a sentence of the proof draws from continuity on a set without one of its ends.
    pub(super) fn note_compactness(&mut self, context: &Context<'_>, opens_paragraph: bool) {
        if opens_paragraph {
            self.sets.last = None;
            self.sets.continuous = false;
        }
        let named: Vec<bool> = context
            .tokens
            .iter()
            .filter_map(Token::statement)
            .flat_map(|token| self.named_in(&token.statement))
            .collect();
        if !named.is_empty() {
            self.sets.last = Some(named.iter().all(|lacks| *lacks));
        }
        let words: Vec<&str> = context.tokens.iter().filter_map(Token::word).collect();
        let continuous = words.contains(&"continuous");
        let grounded = continuous || self.sets.continuous;
        let open = words.iter().any(|word| OPEN.contains(word))
            || context.tokens.iter().any(|token| token.is(Mark::Question));
        if context.zone == Zone::Proof && !open && self.sets.last == Some(true) {
            let found = if grounded && takes_extreme(&words) {
                Some(Lacking::Extreme)
            } else if continuous && concludes_bounded(&words) {
                Some(Lacking::Bounded)
            } else if words.contains(&"dini's") || words.contains(&"dini") {
                Some(Lacking::Dini)
            } else {
                self.keeps_limit(context).then_some(Lacking::Point)
            };
            if let Some(found) = found {
                self.sets.lacking.push((context.span, found));
            }
        }
        self.sets.continuous = continuous;
    }

    /// The sets of a statement: whether each lacks an end. Sets of which too little is known count
    /// as complete.
    fn named_in(&self, statement: &Statement) -> Vec<bool> {
        let mut found = Vec::new();
        walk::statement_terms(statement, &mut |term| {
            if let Some(lacks) = lacks_an_end(term) {
                found.push(lacks);
            } else if let TermKind::Name(name) = &term.kind
                && name.subscript.is_none()
            {
                let sets = &self.sets;
                if sets.other.contains(&name.base) {
                    found.push(false);
                } else if sets.open.contains(&name.base) {
                    found.push(true);
                }
            }
        });
        found
    }

    /// "x_{n_k} → c for some c ∈ (0, 1]": the limit of points of the set is taken from the set.
    fn keeps_limit(&self, context: &Context<'_>) -> bool {
        let statements = || {
            context
                .tokens
                .iter()
                .filter_map(Token::statement)
                .map(|token| &token.statement)
        };
        let selects = self
            .lexicon
            .words
            .iter()
            .any(|word| word.starts_with("subseq") || word.starts_with("bolzano"));
        let limits: Vec<&Name> = statements()
            .flat_map(shape::links)
            .filter(|link| link.sign == Sign::TendsTo)
            .filter_map(|link| link.right.as_ref().and_then(shape::bare_name))
            .collect();
        selects
            && statements().any(|statement| {
                let kept = shape::first_term(statement)
                    .and_then(shape::bare_name)
                    .is_some_and(|name| {
                        name.subscript.is_none()
                            && limits.iter().any(|limit| limit.base == name.base)
                    });
                matches!(shape::links(statement), [link] if link.sign == Sign::In)
                    && kept
                    && self.named_in(statement) == [true]
            })
    }
}

/// Whether a term is a bounded interval without one of its ends; `None` for what is no interval
/// with numbers or letters as ends.
fn lacks_an_end(term: &Term) -> Option<bool> {
    match &super::lexicon::as_set(term).kind {
        TermKind::Interval {
            low,
            low_closed,
            high,
            high_closed,
        } => {
            let endless = |end: &Term| {
                let mut found = false;
                walk::terms(end, &mut |part| {
                    found |= matches!(part.kind, TermKind::Infinity);
                });
                found
            };
            (!endless(low) && !endless(high)).then_some(!(*low_closed && *high_closed))
        }
        _ => None,
    }
}

/// The words next to a place, up to a formula or a mark.
fn words_around<'t>(tokens: impl Iterator<Item = &'t Token>) -> Vec<&'t str> {
    tokens.map_while(Token::word).take(6).collect()
}

/// "takes its minimum", "attains a greatest value"
fn takes_extreme(words: &[&str]) -> bool {
    words.windows(4).any(|four| {
        matches!(
            four[0],
            "takes" | "attains" | "assumes" | "attain" | "take" | "assume" | "has"
        ) && four[1..].iter().any(|word| {
            matches!(
                *word,
                "minimum" | "maximum" | "least" | "greatest" | "smallest" | "largest"
            )
        })
    })
}

/// "Being continuous on …, it is bounded there", not "a bounded interval".
fn concludes_bounded(words: &[&str]) -> bool {
    let Some(ground) = words.iter().position(|word| *word == "continuous") else {
        return false;
    };
    words[ground..].iter().enumerate().any(|(at, word)| {
        let before = words.get((ground + at).wrapping_sub(1)).copied();
        let behind = words.get(ground + at + 1).copied();
        *word == "bounded"
            && matches!(
                before,
                Some("is" | "are" | "both" | "therefore" | "thus" | "hence")
            )
            && !matches!(behind, Some("interval" | "set" | "below" | "above" | "by"))
    })
}
