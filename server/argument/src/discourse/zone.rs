//! In which zone the sentences of an argument stand: statement, scratch work or proof.

use super::building::Unit;
use super::outline::Zone;
use super::phrase::{Family, phrase};
use super::token::{Mark, Token};

/// Whether every word of the sentence is set off in bold or italics, and it claims something.
pub(super) fn is_headline(tokens: &[Token]) -> bool {
    let styled = |token: &Token| token.style.strong || token.style.emphasis;
    let mut words = tokens
        .iter()
        .filter(|token| token.word().is_some())
        .peekable();
    // "**Fixed number:** ε₀ = 1": the label is set off, not what it labels.
    let labels = tokens
        .iter()
        .skip_while(|token| !token.is(Mark::Colon))
        .any(|token| token.statement().is_some() && !styled(token));
    words.peek().is_some() && words.all(styled) && !labels
}

/// The zone of every unit of one argument.
pub(super) fn zones(units: &[Unit], labelled: bool, part: bool) -> Vec<Zone> {
    // What a part states stands in its exercise: "(a) For n ≥ 2 we have …" argues.
    let argues_at = |position: usize, unit: &Unit| {
        let tokens = &unit.sentence.tokens;
        position > 0 && argues(tokens) || part && asserts(tokens)
    };
    let task = units
        .iter()
        .take_while(|unit| matches!(unit.zone, None | Some(Zone::Statement)))
        .position(|unit| is_task(&unit.sentence.tokens));
    let begins = units.iter().enumerate().position(|(position, unit)| {
        unit.zone.is_none() && (begins_proof(&unit.sentence.tokens) || argues_at(position, unit))
    });
    let task = task.filter(|task| begins.is_none_or(|begins| *task <= begins));
    let first_block = units.first().map(|unit| unit.sentence.block);
    let last_proof = units
        .iter()
        .rposition(|unit| unit.zone == Some(Zone::Proof));
    let mut zones = Vec::new();
    let mut latest: Option<Zone> = None;
    let mut stated = false;
    for (position, unit) in units.iter().enumerate() {
        let zone = match (unit.zone, latest) {
            (Some(Zone::Statement), _) => Zone::Statement,
            (Some(zone), _) => {
                latest = Some(zone);
                zone
            }
            (None, Some(zone)) => zone,
            (None, None) => {
                let in_statement = !stated
                    && match task {
                        Some(task) => {
                            position <= task
                                || unit.sentence.block == units[task].sentence.block
                                    && (is_task(&unit.sentence.tokens)
                                        || is_afterthought(&unit.sentence.tokens))
                        }
                        None => {
                            (labelled || last_proof.is_some())
                                && first_block == Some(unit.sentence.block)
                                && !begins_proof(&unit.sentence.tokens)
                                && begins.is_none_or(|begins| position < begins)
                                && (position == 0
                                    || last_proof.is_some_and(|proof| proof > position)
                                    || defines_something(&unit.sentence.tokens))
                        }
                    };
                if in_statement {
                    Zone::Statement
                } else {
                    stated = true;
                    if last_proof.is_some_and(|proof| proof > position) {
                        Zone::Scratch
                    } else {
                        Zone::Proof
                    }
                }
            }
        };
        zones.push(zone);
    }
    zones
}

/// Whether a sentence sets a task: something about convergence is to be shown or asked.
pub(super) fn is_task(tokens: &[Token]) -> bool {
    let label = super::label::part_at(tokens, 0).map_or(0, |(_, length)| length);
    let tokens = &tokens[label..];
    let mut about = false;
    let mut asks = false;
    let mut at = 0;
    let mut first = true;
    while at < tokens.len() {
        let token = &tokens[at];
        if let Some((family, length)) = phrase(&tokens[at..]) {
            asks |= match family {
                Family::Ask => {
                    first
                        || token.word() == Some("whether")
                        || tokens.iter().any(|token| token.is(Mark::Question))
                }
                Family::Aim => !token
                    .word()
                    .is_some_and(|word| ["need", "solve", "seek"].contains(&word)),
                _ => false,
            };
            about |= matches!(
                family,
                Family::Converge
                    | Family::Uniform
                    | Family::Pointwise
                    | Family::Tends
                    | Family::Diverge
                    | Family::LimitIs
            );
            at += length;
        } else {
            if let Some(statement) = token.statement() {
                about |= has_limit(&statement.statement);
            }
            about |= token.word().is_some_and(|word| {
                ["limit", "limits", "continuous", "inequality"].contains(&word)
            });
            asks |= token.is(Mark::Question);
            at += 1;
        }
        first = false;
    }
    let orders = tokens.first().and_then(Token::word).is_some_and(|word| {
        [
            "show",
            "prove",
            "verify",
            "determine",
            "disprove",
            "decide",
            "find",
            "establish",
        ]
        .contains(&word)
    });
    // "Give an N with |a_n − 2| < 1/100 for all n ≥ N."
    let wants = tokens.first().and_then(Token::word).is_some_and(|word| {
        [
            "give",
            "state",
            "examine",
            "investigate",
            "discuss",
            "exhibit",
        ]
        .contains(&word)
    });
    asks && (about || orders) || wants
}

pub(super) fn has_limit(statement: &crate::notation::syntax::Statement) -> bool {
    use crate::notation::syntax::{Operator, Sign, TermKind};
    let tends = super::shape::links(statement)
        .iter()
        .any(|link| matches!(link.sign, Sign::TendsTo | Sign::TendsUniformlyTo));
    let limit = super::shape::first_term(statement).is_some_and(|term| {
        matches!(
            &term.kind,
            TermKind::Over {
                operator: Operator::Limit,
                ..
            }
        )
    });
    tends || limit
}

/// Whether a sentence begins with a set, on which something is asked: "on [0, 1]", "[a, ∞) where
/// a > 0".
pub(super) fn names_place(tokens: &[Token]) -> bool {
    use crate::notation::syntax::StatementKind;
    let skipped = tokens
        .iter()
        .take(2)
        .take_while(|token| matches!(token.word(), Some("on" | "in" | "for" | "the" | "interval")))
        .count();
    tokens
        .get(skipped)
        .and_then(Token::statement)
        .is_some_and(|token| match &token.statement.kind {
            StatementKind::Term(term) => super::said_shape::is_domain(term),
            _ => skipped > 0 && super::said_shape::is_membership(&token.statement),
        })
}

/// Whether a sentence opens a proof: it introduces the tolerance, or announces the proof.
pub(super) fn begins_proof(tokens: &[Token]) -> bool {
    // "Suppose there were an L with …": what shall be led to a contradiction.
    let supposes = tokens
        .first()
        .and_then(Token::word)
        .is_some_and(|word| ["suppose", "assume"].contains(&word));
    let contrary = tokens
        .iter()
        .take_while(|token| token.statement().is_none())
        .filter_map(Token::word)
        .any(|word| ["were", "contrary", "contradiction"].contains(&word));
    if supposes && contrary {
        return true;
    }
    let Some((family, _)) = phrase(tokens) else {
        return false;
    };
    if !matches!(
        family,
        Family::Let | Family::Choose | Family::Assume | Family::ForAll
    ) {
        return false;
    }
    tokens
        .iter()
        .filter_map(Token::statement)
        .take(1)
        .any(|token| {
            super::shape::restriction(&token.statement).is_some_and(|restriction| {
                restriction
                    .names
                    .iter()
                    .any(|name| ["ε", "ϵ", "ɛ"].contains(&name.base.as_str()))
            })
        })
}

/// Whether a sentence argues: it opens with then, so, since, we have.
pub(super) fn argues(tokens: &[Token]) -> bool {
    matches!(
        phrase(tokens),
        Some((Family::Assert | Family::Therefore | Family::Reason, _))
    ) && !is_task(tokens)
}

/// Whether a sentence sets no task and says "we have", "it follows" of a formula.
pub(super) fn asserts(tokens: &[Token]) -> bool {
    let says = (0..tokens.len()).any(|at| {
        matches!(
            phrase(&tokens[at..]),
            Some((Family::Assert | Family::Therefore, _))
        )
    });
    says && tokens.iter().any(|token| token.statement().is_some()) && !is_task(tokens)
}

/// What writers do when they reason: "we obtain", "we look for", "we may divide".
const REASONING: [&str; 34] = [
    "obtain",
    "get",
    "have",
    "see",
    "read",
    "find",
    "look",
    "estimate",
    "compute",
    "calculate",
    "note",
    "observe",
    "use",
    "conclude",
    "bound",
    "choose",
    "take",
    "put",
    "apply",
    "divide",
    "multiply",
    "write",
    "know",
    "differentiate",
    "consider",
    "start",
    "begin",
    "deduce",
    "infer",
    "split",
    "distinguish",
    "rewrite",
    "simplify",
    "receive",
];

/// Whether a sentence tells what its writer does to prove something: "from … we read off …".
pub(super) fn narrates(tokens: &[Token]) -> bool {
    let words: Vec<&str> = tokens.iter().filter_map(Token::word).collect();
    let does = words.iter().enumerate().any(|(position, word)| {
        matches!(*word, "we" | "i" | "one")
            && words[position + 1..]
                .iter()
                .take(3)
                .any(|next| REASONING.contains(next))
    });
    does && !is_task(tokens) && !tokens.iter().any(|token| token.is(Mark::Question))
}

/// Whether a sentence names functions or says where they live.
pub(super) fn defines_something(tokens: &[Token]) -> bool {
    use crate::notation::syntax::{Sign, StatementKind};
    let introduces = matches!(
        phrase(tokens),
        Some((Family::Let | Family::Define | Family::Assume, _))
    );
    introduces
        || tokens
            .iter()
            .filter_map(Token::statement)
            .take(1)
            .any(|token| match &token.statement.kind {
                StatementKind::Mapping { .. } | StatementKind::MapsTo { .. } => true,
                StatementKind::Chain { links, .. } => {
                    links.first().is_some_and(|link| link.sign == Sign::Defines)
                }
                _ => false,
            })
}

/// Whether a sentence begins by giving a function or sequence its values: `f_n(x) = …`.
pub(super) fn gives_values(tokens: &[Token]) -> bool {
    use crate::notation::syntax::{Sign, StatementKind, TermKind};
    use kernel::Relation;
    let place = tokens.iter().position(|token| token.statement().is_some());
    let early = place.is_some_and(|place| {
        place <= 5 && tokens[..place].iter().all(|token| token.word().is_some())
    });
    let Some(token) = place
        .filter(|_| early)
        .and_then(|place| tokens[place].statement())
    else {
        return false;
    };
    match &token.statement.kind {
        StatementKind::Mapping { .. } => true,
        StatementKind::Chain {
            first: Some(first),
            links,
        } => {
            let equal = links.first().is_some_and(|link| {
                matches!(link.sign, Sign::Defines | Sign::Relation(Relation::Equal))
            });
            let sequence = matches!(&first.kind, TermKind::Name(name) if name.subscript.is_some());
            // f_n(0) = 0 gives no function.
            let function = super::shape::application(first).is_some_and(|(_, arguments)| {
                arguments
                    .iter()
                    .all(|argument| super::shape::bare_name(argument).is_some())
            });
            equal && (sequence || function)
        }
        _ => false,
    }
}

/// Hints and clauses that belong to the task before them: "Hint: …", "Here …", "Justify …".
pub(super) fn is_afterthought(tokens: &[Token]) -> bool {
    tokens.first().and_then(Token::word).is_some_and(|word| {
        [
            "hint",
            "here",
            "where",
            "justify",
            "give",
            "explain",
            "you",
            "recall",
            "state",
            "also",
            "prove",
            "show",
            "find",
            "determine",
            "is",
            "does",
            "do",
            "are",
            "use",
            "sketch",
        ]
        .contains(&word)
    })
}
