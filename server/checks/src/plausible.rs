//! What makes it implausible that a false relation is claimed: then it is not called a mistake.
//!
//! A mistake is made in a step between things that have to do with each other. A relation that
//! compares what nothing ties, that is solved by some numbers only, or that anybody sees to be
//! false is rather a condition, a part of something else, or was read wrongly.

use crate::VerdictWord;
use crate::engine::{Engine, Judgement};
use crate::established::is_null_majorant;
use crate::judge::{is_proved, leads_up, relation_of};
use crate::recursion;
use crate::relation::is_index_governed;
use crate::scope::{Setting, is_tolerance_name};
use argument::{Assertion, Content, Entry, ErrorTerm};
use kernel::{Condition, Expr, Function, Kind, Node, Origin, Relation, Symbol};
use std::collections::BTreeSet;

/// A relation: left side, sign, right side.
type Link<'a> = (&'a Expr, Relation, &'a Expr);

/// Why a false link may be no claim about all values that are in force, if there is a reason.
pub(crate) fn doubt(
    engine: &Engine<'_>,
    draft: &str,
    position: usize,
    setting: &Setting,
    link: Link<'_>,
) -> Option<&'static str> {
    let entry = &engine.argument.entries[position];
    if is_rounded(engine, setting, link) {
        return Some("equal up to rounding");
    }
    if restricts(setting, link) && !recursion::decides(engine, entry) {
        return Some("false for some values, but it may say which values are meant");
    }
    if lists_thresholds(engine, position, setting, link) {
        return Some("false for some indices, and it may say which are meant");
    }
    if !is_index_governed(engine, draft, entry) && says_how_large(engine, setting, link) {
        return Some("false for small indices, and it may say how large they must be");
    }
    if recursion::may_be_candidate(engine, draft, position) {
        return Some("it may only be a candidate for the limit");
    }
    if between_numerals(link) && !is_written_whole(draft, entry) {
        return Some("false at sight, and it may belong to something else");
    }
    if is_solved(setting, link) && !recursion::decides(engine, entry) {
        return Some("an equation that only some numbers solve, and it may say which are meant");
    }
    if is_untied(setting, link) || has_loose_function(engine, setting, link) {
        return Some("it compares what nothing here ties to each other");
    }
    None
}

/// Takes back what was called false of a convergence where the text itself says the opposite of
/// the same sequence and is right, or shows it: nobody claims both, one was read wrongly.
pub(crate) fn spare_opposites(engine: &Engine<'_>, judgements: &mut [Option<Judgement>]) {
    let entries = &engine.argument.entries;
    let refuted: Vec<usize> = (0..judgements.len())
        .filter(|position| {
            judgements[*position]
                .as_ref()
                .is_some_and(Judgement::is_refuted)
        })
        .collect();
    for position in refuted {
        let Some((error, negated)) = convergence_of(&entries[position]) else {
            continue;
        };
        let opposite = (0..entries.len()).any(|other| {
            convergence_of(&entries[other]).is_some_and(|(own, denied)| {
                denied != negated
                    && own.error == error.error
                    && own.uniform == error.uniform
                    && own.conditions == error.conditions
                    && is_proved(judgements, other)
            })
        });
        let shown = || negated && is_bounded(engine, judgements, error);
        if (opposite || shown())
            && let Some(judgement) = judgements[position].take()
        {
            judgements[position] = Some(Judgement::unsettled(
                "the text says the opposite in another place, and something else may be meant here",
                judgement.reading,
            ));
        }
    }
}

fn convergence_of(entry: &Entry) -> Option<(&ErrorTerm, bool)> {
    match &entry.content {
        Content::Assertion(Assertion::Convergence { error, negated }) => Some((error, *negated)),
        _ => None,
    }
}

/// Whether a proved line bounds an error term by something free of its points that tends to 0.
fn is_bounded(engine: &Engine<'_>, judgements: &[Option<Judgement>], error: &ErrorTerm) -> bool {
    engine
        .argument
        .entries
        .iter()
        .enumerate()
        .filter(|(position, _)| is_proved(judgements, *position))
        .filter_map(|(_, entry)| relation_of(entry))
        .any(|(left, sign, right)| {
            *left == error.error
                && leads_up(sign)
                && is_null_majorant(engine, right, &error.index, &error.points)
        })
}

/// "0 = 1": two numbers that stand there as they are. A wrong calculation shows how it was done.
fn between_numerals((left, _, right): Link<'_>) -> bool {
    let numeral = |side: &Expr| match side.node() {
        Node::Neg(inner) => inner.as_number().is_some(),
        _ => side.as_number().is_some(),
    };
    numeral(left) && numeral(right)
}

/// "We have 2 ≤ 1": the numerals themselves are written, and the relation begins with one.
fn is_written_whole(draft: &str, entry: &Entry) -> bool {
    let text = draft.get(entry.span.range()).unwrap_or_default();
    let mut letters = false;
    let mut command = false;
    for sign in text.chars() {
        command = sign == '\\' || command && sign.is_alphabetic();
        letters |= sign.is_alphabetic() && !command;
    }
    let begins = text.starts_with(|first: char| first.is_ascii_digit() || "−-".contains(first));
    begins && !letters && entry.chain.is_none_or(|(_, step)| step == 0)
}

/// Whether an equation determines a real number that may be any as far as the text said: it
/// stands on one side only, or is one of the sides ("x = 1 + sin x"; "x⁴ = 1/(9k²)").
fn is_solved(setting: &Setting, (left, sign, right): Link<'_>) -> bool {
    if sign != Relation::Equal {
        return false;
    }
    let any = |name: &Symbol| {
        setting.knows(name)
            && setting.kind(name) == Kind::Real
            && !setting.chosen.contains_key(name)
    };
    // "Put δ = 2ε²; then √δ = ε": what the text says equal already is not solved for.
    let tied = |name: &Symbol, other: &Expr| {
        let others = other.variables();
        setting.hypotheses.iter().any(|(hypothesis, _)| {
            let names = hypothesis.condition.variables();
            matches!(
                &hypothesis.condition,
                Condition::Holds(_, Relation::Equal, _)
            ) && names.contains(name)
                && !names.is_disjoint(&others)
        })
    };
    // "It converges to some x. Then x = 1 + sin x": chosen, and nothing says which number it is.
    let open = |name: &Symbol| {
        let pinned = setting.hypotheses.iter().any(|(hypothesis, _)| {
            matches!(&hypothesis.condition, Condition::Holds(one, Relation::Equal, other)
                if one.as_variable() == Some(name) || other.as_variable() == Some(name))
        });
        setting.knows(name) && !pinned
    };
    [(left, right), (right, left)]
        .into_iter()
        .any(|(side, other)| {
            side.as_variable()
                .is_some_and(|name| open(name) && !tied(name, other))
                || side
                    .variables()
                    .difference(&other.variables())
                    .any(|name| any(name) && !tied(name, other))
        })
}

/// Whether one side is an unknown function that the other lacks, and of which nothing in force
/// tells anything: "|a_n − c| = e_n", where what e_n is was not read.
fn has_loose_function(engine: &Engine<'_>, setting: &Setting, (left, _, right): Link<'_>) -> bool {
    let told = |function: &Symbol| {
        let mut found = engine
            .argument
            .recursions
            .iter()
            .any(|own| own.name == *function);
        for (hypothesis, _) in &setting.hypotheses {
            hypothesis.condition.visit(&mut |part| {
                found |= matches!(part.node(), Node::Apply(own, _) if own == function);
            });
        }
        found
    };
    [(left, right), (right, left)]
        .into_iter()
        .any(|(side, other)| {
            matches!(side.node(), Node::Apply(function, _)
                if !other.unknown_functions().contains(function) && !told(function))
        })
}

/// Whether one side has a tolerance, or a number that the text chose, which the other side lacks
/// and which nothing in force ties to it: "4/n ≤ ε" where no choice that tells of ε is in force.
pub(crate) fn is_untied(setting: &Setting, (left, _, right): Link<'_>) -> bool {
    [(left, right), (right, left)]
        .into_iter()
        .any(|(side, other)| {
            let names = other.variables();
            side.variables().difference(&names).any(|name| {
                let tolerance = is_tolerance_name(name);
                let open = setting.knows(name)
                    && (tolerance || setting.chosen.contains_key(name) && !names.is_empty());
                open && setting
                    .closure(&BTreeSet::from([name.clone()]))
                    .is_disjoint(&names)
            })
        })
}

/// "This n is even and n ≥ N₁, n ≥ N₂": one of several comparisons of an index with thresholds in
/// its sentence, of which another was read as the range.
fn lists_thresholds(
    engine: &Engine<'_>,
    position: usize,
    setting: &Setting,
    (left, _, right): Link<'_>,
) -> bool {
    let entries = &engine.argument.entries;
    let of_threshold = |left: &Expr, right: &Expr| {
        let index = left.as_variable()?;
        let threshold = right.as_variable()?;
        setting
            .chosen
            .contains_key(threshold)
            .then(|| (index.clone(), threshold.clone()))
    };
    let Some((index, threshold)) = of_threshold(left, right) else {
        return false;
    };
    entries.iter().any(|other| {
        other.sentence == entries[position].sentence
            && other.role == Some(argument::Role::Range)
            && matches!(&other.content, Content::Binding(binding)
            if binding.conditions.iter().any(|condition| {
                matches!(condition, Condition::Holds(left, _, right)
                    if of_threshold(left, right).is_some_and(|(own, bound)| {
                        own == index && bound != threshold
                    }))
            }))
    })
}

/// From which index on a condition on the index alone certainly holds, if it says how large the
/// index must be.
const LARGE: i64 = 1_000_000;

/// "So j − 1 ≥ 19 is enough": a comparison of the index alone with a number, true of all large
/// indices.
fn says_how_large(engine: &Engine<'_>, setting: &Setting, (left, sign, right): Link<'_>) -> bool {
    let names = left.variables();
    let others = right.variables();
    let (Some(index), true) = (
        names.union(&others).next(),
        names.union(&others).count() == 1,
    ) else {
        return false;
    };
    if !(names.is_empty() || others.is_empty())
        || setting.kind(index) != Kind::Integer
        || setting.chosen.contains_key(index)
        || matches!(sign, Relation::Equal | Relation::NotEqual)
    {
        return false;
    }
    let large = Condition::Holds(
        Expr::variable(index),
        Relation::GreaterEqual,
        Expr::integer(LARGE),
    );
    let there = setting.clone().and(large, Origin::Range);
    engine
        .quickly(|| engine.relation(&there, left, sign, right, true))
        .is_proved()
}

/// Whether a false relation rather says which values are meant: it sets a number that may be any
/// equal to something ("x = n"), or compares it while nothing else ties it ("k ≥ n + 1").
fn restricts(setting: &Setting, (left, sign, right): Link<'_>) -> bool {
    let any = |side: &Expr| {
        side.as_variable()
            .is_some_and(|name| setting.knows(name) && !setting.chosen.contains_key(name))
    };
    // "m < n by symmetry": which of two numbers is the smaller one.
    if any(left) && any(right) {
        return true;
    }
    // "For x, y ≤ b, |x − y| < δ, …": how near two points are.
    let near = |side: &Expr| match side.node() {
        Node::Call(Function::Abs, inner) => match inner.node() {
            Node::Add(terms) => {
                terms.len() == 2
                    && terms.iter().all(|term| match term.node() {
                        Node::Neg(inner) => any(inner) || inner.variables().is_empty(),
                        _ => any(term) || term.variables().is_empty(),
                    })
            }
            _ => any(inner),
        },
        _ => false,
    };
    if near(left)
        && matches!(sign, Relation::Less | Relation::LessEqual)
        && right.as_variable().is_some_and(|name| !left.mentions(name))
    {
        return true;
    }
    [(left, right), (right, left)]
        .into_iter()
        .any(|(side, other)| {
            let Some(name) = side.as_variable() else {
                return false;
            };
            let known = setting.knows(name);
            let arbitrary = known && !setting.chosen.contains_key(name);
            let tied = setting.hypotheses.iter().any(|(hypothesis, _)| {
                let names = hypothesis.condition.variables();
                names.len() > 1 && names.contains(name)
            });
            !other.mentions(name)
                && !is_tolerance_name(name)
                && (known && sign == Relation::Equal || arbitrary && !tied)
        })
}

/// Whether an equation with a decimal fraction of at least two places holds up to a unit in the
/// last place: "√2 = 1.41" (common practice in numerical remarks).
fn is_rounded(engine: &Engine<'_>, setting: &Setting, (left, sign, right): Link<'_>) -> bool {
    sign == Relation::Equal
        && [(left, right), (right, left)]
            .into_iter()
            .any(|(exact, decimal)| {
                last_place(decimal).is_some_and(|unit| {
                    let distance = exact.minus(decimal).abs();
                    let near =
                        engine.relation(setting, &distance, Relation::LessEqual, &unit, true);
                    near.verdict == VerdictWord::Proved
                })
            })
}

/// A unit in the last of at least two decimal places of a number that is no integer.
fn last_place(decimal: &Expr) -> Option<Expr> {
    let Node::Number(value) = decimal.node() else {
        return None;
    };
    if value.denominator().is_one() {
        return None;
    }
    (2..=12)
        .map(|places| Expr::integer(10_i64.pow(places)))
        .find(|scale| {
            scale
                .as_number()
                .is_some_and(|scale| (value.clone() * scale).denominator().is_one())
        })
        .map(|scale| Expr::integer(1).over(&scale))
}
