//! Where a formula is spelled in a way that careful writers read differently.

use super::application::is_function_letter;
use super::vocabulary::{Vocabulary, symbol};
use crate::notation::convention::Pattern;
use crate::notation::syntax::{Formula, Name, Term, TermKind};
use crate::notation::walk;
use kernel::{Function, Symbol};
use std::ops::Range;

/// The ambiguous spellings of a formula with their places, in the order of the text, where
/// nothing is known of its names.
#[must_use]
pub fn patterns(formula: &Formula) -> Vec<(Pattern, Range<usize>)> {
    patterns_in(formula, &Vocabulary::new())
}

/// The ambiguous spellings of a formula with their places, in the order of the text: declared
/// names before parentheses are settled by the vocabulary.
#[must_use]
pub fn patterns_in(formula: &Formula, vocabulary: &Vocabulary) -> Vec<(Pattern, Range<usize>)> {
    let mut found = Vec::new();
    for segment in &formula.segments {
        walk::segment_terms(segment, &mut |term| note(term, vocabulary, &mut found));
    }
    found.sort_by_key(|(pattern, range)| (range.start, range.end, *pattern));
    found.dedup();
    found
}

fn note(term: &Term, vocabulary: &Vocabulary, found: &mut Vec<(Pattern, Range<usize>)>) {
    match &term.kind {
        TermKind::Slash {
            denominator,
            trailing,
            ..
        } => {
            let mut items = vec![denominator.as_ref()];
            items.extend(trailing.iter());
            if factor_count(&items, vocabulary) > 1 {
                found.push((Pattern::SlashProduct, term.range.clone()));
            }
            note_parentheses(&items, vocabulary, found);
        }
        TermKind::Juxtaposed(items) => {
            note_parentheses(&items.iter().collect::<Vec<_>>(), vocabulary, found);
        }
        TermKind::Power(base, _)
            if matches!(
                base.kind,
                TermKind::Call {
                    delimited: true,
                    ..
                }
            ) =>
        {
            found.push((Pattern::FunctionPower, term.range.clone()));
        }
        TermKind::Call {
            function,
            argument,
            delimited: false,
            ..
        } => match &argument.kind {
            TermKind::Slash { numerator, .. } => {
                found.push((Pattern::FunctionSlash, term.range.clone()));
                if let TermKind::Juxtaposed(items) = &numerator.kind
                    && is_loose_product(*function, items)
                {
                    found.push((Pattern::FunctionProduct, term.range.clone()));
                }
            }
            TermKind::Juxtaposed(items) if is_loose_product(*function, items) => {
                found.push((Pattern::FunctionProduct, term.range.clone()));
            }
            _ => {}
        },
        _ => {}
    }
}

/// How many factors stand behind a slash, a name with its argument counted once.
fn factor_count(items: &[&Term], vocabulary: &Vocabulary) -> usize {
    let mut count = 0;
    let mut at = 0;
    while at < items.len() {
        count += 1;
        let applied = items.get(at + 1).is_some_and(|next| is_bracket(next))
            && name_of(items[at]).is_some_and(|name| is_applied(name, vocabulary));
        at += if applied { 2 } else { 1 };
    }
    count
}

/// A name before a bracket whose nature nobody tells.
fn note_parentheses(
    items: &[&Term],
    vocabulary: &Vocabulary,
    found: &mut Vec<(Pattern, Range<usize>)>,
) {
    for pair in items.windows(2) {
        let Some(name) = name_of(pair[0]) else {
            continue;
        };
        let bracket = match &pair[1].kind {
            TermKind::Group(inner) => inner,
            _ => pair[1],
        };
        let settled = super::application::dependence(name, bracket).is_some()
            || matches!(bracket.kind, TermKind::Name(_));
        if is_bracket(pair[1]) && !settled && is_unsettled(name, vocabulary) {
            found.push((
                Pattern::NameParenthesis,
                pair[0].range.start..pair[1].range.end,
            ));
        }
    }
}

fn name_of(term: &Term) -> Option<&Name> {
    match &term.kind {
        TermKind::Name(name) => Some(name),
        TermKind::Power(base, _) => name_of(base),
        _ => None,
    }
}

fn is_bracket(term: &Term) -> bool {
    match &term.kind {
        TermKind::Group(_) => true,
        TermKind::Power(base, _) => matches!(base.kind, TermKind::Group(_)),
        _ => false,
    }
}

fn is_declared(name: &Name, vocabulary: &Vocabulary) -> bool {
    vocabulary.is_declared(&symbol(name)) || vocabulary.is_declared(&Symbol::new(&name.base))
}

fn is_applied(name: &Name, vocabulary: &Vocabulary) -> bool {
    let convention = crate::notation::convention::Convention::default();
    super::Elaborator::new(vocabulary, &convention).applies(name)
}

/// Letters that are hardly ever functions, or hardly ever anything else, are settled without a
/// declaration.
fn is_unsettled(name: &Name, vocabulary: &Vocabulary) -> bool {
    if is_declared(name, vocabulary) || name.primes > 0 {
        return false;
    }
    let base = name.base.as_str();
    let surely_function = matches!(base, "f" | "g" | "h" | "F" | "G" | "φ" | "ψ");
    let surely_number = matches!(
        base,
        "x" | "y" | "z" | "t" | "n" | "m" | "k" | "j" | "i" | "N" | "ε" | "δ" | "e" | "η" | "λ"
    );
    let letter = base.chars().count() == 1;
    letter && !surely_number && !(surely_function && is_function_letter(base))
}

/// Whether the factors of an argument without parentheses leave open where it ends: `\sin x y`,
/// `\log n x`, `\sin n(x+1)`; `\sin nx`, `\cos 2\pi nx` do not.
pub(super) fn is_loose_product(function: Function, items: &[Term]) -> bool {
    let mut rest = items;
    while let Some((first, more)) = rest.split_first() {
        if more.is_empty() || !is_coefficient(first, function) {
            break;
        }
        rest = more;
    }
    match rest {
        [] | [_] => rest
            .first()
            .is_some_and(|last| is_bracket(last) && items.len() > 1 && !applied_last(items)),
        [name, bracket] if is_bracket(bracket) => {
            !name_of(name).is_some_and(|name| is_function_letter(&name.base))
        }
        _ => true,
    }
}

/// `\sin f(x)`: the bracket belongs to the name before it.
fn applied_last(items: &[Term]) -> bool {
    let before = items.len().checked_sub(2).and_then(|at| items.get(at));
    before
        .and_then(name_of)
        .is_some_and(|name| is_function_letter(&name.base))
}

/// Numerals, π, and before trigonometric functions the letters of frequencies and indices.
fn is_coefficient(term: &Term, function: Function) -> bool {
    match &term.kind {
        TermKind::Number(_) | TermKind::Pi => true,
        TermKind::Fraction(..) | TermKind::Root(..) => function != Function::Log,
        TermKind::Power(base, _) => is_coefficient(base, function),
        TermKind::Name(name) => {
            function != Function::Log
                && matches!(
                    name.base.as_str(),
                    "n" | "m" | "k" | "j" | "N" | "a" | "b" | "c" | "ω" | "λ" | "α"
                )
        }
        _ => false,
    }
}
