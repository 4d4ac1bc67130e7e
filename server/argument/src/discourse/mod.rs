//! Sentences: which role each formula plays, what it means, and what is in force there.

mod ahead;
mod argument;
mod assertion;
mod attribute;
mod beside;
mod building;
mod calculus;
mod clause;
mod compact;
mod doubt;
mod entry;
mod exchange;
mod existence;
mod formal;
mod general;
mod givens;
mod guard;
mod label;
mod lexicon;
mod manner;
mod minimal;
pub mod names;
pub mod naming;
mod negation;
pub mod outline;
pub mod phrase;
mod pieces;
mod proximity;
mod recursion;
mod resolve;
mod said_shape;
mod scope;
mod sentence;
mod series;
mod shape;
mod siblings;
mod solving;
mod supremum;
mod theorem;
mod token;
mod trend;
mod utter;
mod utterance;
mod words;
mod zone;

use crate::notation::convention::Convention;
use crate::notation::parse::parse;
use crate::notation::syntax::{StatementKind, TermKind};
use crate::notation::walk;
use lexicon::Lexicon;
use outline::{Argument, Content, Entry, Outline, Role, Zone};
use source::{BlockKind, Document, Span};
use token::DraftFormula;

/// Reads a document's arguments under a convention for ambiguous spellings. Total. `draft` is
/// the text that the document's spans point into.
#[must_use]
pub fn read(draft: &str, document: &Document, convention: &Convention) -> Outline {
    let mut formulas: Vec<DraftFormula> = Vec::new();
    let mut blocks = Vec::new();
    for (position, block) in document.blocks.iter().enumerate() {
        let mut tokens = token::tokens(block, &parse, &mut formulas);
        let struck = block.containers.iter().any(|container| {
            matches!(
                document
                    .containers
                    .get(*container)
                    .map(|container| &container.kind),
                Some(source::ContainerKind::Struck)
            )
        });
        for token in &mut tokens {
            token.style.struck |= struck;
        }
        let mut sentences = building::case_lines(draft, sentence::sentences(tokens, position));
        for sentence in &mut sentences {
            sentence.cell = block.kind == BlockKind::Cell;
        }
        blocks.push(sentences);
    }
    let frames = building::frames(draft, document, blocks);
    let mut lexicons: Vec<(usize, Lexicon)> = Vec::new();
    let mut read: Vec<(usize, Argument, naming::Local)> = Vec::new();
    for position in order_of_reading(&frames) {
        let frame = &frames[position];
        let inherited = frame
            .parent
            .and_then(|parent| lexicons.iter().find(|(own, _)| *own == parent))
            .map_or_else(|| Lexicon::new(convention), |(_, lexicon)| lexicon.clone());
        let mut inherited = siblings::with_limit(inherited, frame.parent, &frames, &lexicons);
        siblings::add_definitions(&mut inherited, position, &frames, &lexicons);
        if let Some(parent) = frame.parent
            && frame.title.as_deref().is_some_and(label::is_fact)
        {
            forget_examples(&mut inherited, &frames[parent]);
            forget_anew(&mut inherited, frame);
        }
        for (name, domain) in lexicons.iter().flat_map(|(_, lexicon)| &lexicon.standing) {
            inherited
                .domains
                .entry(name.clone())
                .or_insert_with(|| domain.clone());
        }
        if frame.parent.is_some() {
            let siblings = lexicons
                .iter()
                .filter(|(own, _)| frames[*own].parent == frame.parent);
            for (_, lexicon) in siblings {
                inherited
                    .limits_before
                    .extend(lexicon.limits_before.iter().cloned());
            }
        }
        inherited.family_inherited = frame.parent.is_some();
        inherited.part = frame.parent.is_some();
        let (argument, lexicon, local) = argument::read(draft, frame, &formulas, inherited);
        read.push((position, argument, local));
        lexicons.push((position, lexicon));
    }
    read.sort_by_key(|(position, ..)| *position);
    let (mut arguments, locals): (Vec<Argument>, Vec<naming::Local>) = read
        .into_iter()
        .map(|(_, argument, local)| (argument, local))
        .unzip();
    let (names, unread) = naming::namings(&frames, &arguments, locals, &formulas);
    for frame in &frames {
        // A task whose parts are arguments of their own is no aim by itself.
        let parts = frame.sentences.iter().any(|placed| placed.borrowed > 0);
        if let Some(head) = frame
            .parent
            .filter(|_| parts)
            .and_then(|parent| arguments.get_mut(parent))
        {
            head.aim = None;
        }
    }
    cover(&mut arguments, &formulas);
    beside::mark(draft, &mut arguments);
    arguments.retain(|argument| !argument.entries.is_empty());
    arguments.sort_by_key(|argument| argument.span.start);
    if arguments.len() == 1
        && document
            .blocks
            .iter()
            .all(|block| !matches!(block.kind, BlockKind::Heading(_)))
    {
        // A draft without markers is one argument without a title.
        let marked = frames.iter().filter(|frame| frame.title.is_some()).count();
        if marked == 0 {
            arguments[0].title = None;
        }
    }
    Outline {
        arguments,
        names,
        unread,
    }
}

/// A claim inside of an exercise speaks of what the exercise defines, not of what an example in the
/// solution before took the names for.
fn forget_examples(lexicon: &mut Lexicon, parent: &building::Frame) {
    let solved = |span: source::Span| {
        let mut sentences = parent.sentences.iter();
        sentences
            .any(|placed| placed.zone != Zone::Statement && placed.sentence.span().contains(span))
    };
    let examples: Vec<(kernel::Symbol, usize, usize)> = lexicon
        .definitions
        .iter()
        .filter(|definition| solved(definition.span))
        .map(|own| (own.name.clone(), own.subscripts, own.parameters.len()))
        .collect();
    forget_all(lexicon, examples);
}

/// "**Lemma.** Let f: [0, 1] → ℝ be continuous": any such function, whatever the exercise took the
/// name for.
fn forget_anew(lexicon: &mut Lexicon, fact: &building::Frame) {
    let mut taken: Vec<String> = Vec::new();
    for placed in &fact.sentences {
        let tokens = &placed.sentence.tokens;
        let supposes = tokens
            .first()
            .and_then(token::Token::word)
            .is_some_and(|word| matches!(word, "let" | "suppose" | "assume" | "if"));
        let same = tokens.iter().filter_map(token::Token::word).any(|word| {
            matches!(
                word,
                "above" | "before" | "defined" | "given" | "these" | "this"
            )
        });
        if !supposes || same {
            continue;
        }
        let statements = tokens.iter().filter_map(token::Token::statement);
        for statement in statements.map(|own| &own.statement) {
            let term = match &statement.kind {
                StatementKind::Mapping { name, .. } => name,
                StatementKind::Term(term) => term,
                _ => continue,
            };
            walk::terms(term, &mut |part| {
                if let TermKind::Name(name) = &part.kind {
                    taken.push(name.base.clone());
                }
            });
        }
    }
    let anew = lexicon
        .definitions
        .iter()
        .filter(|own| {
            !own.parameters.is_empty() && taken.iter().any(|name| name == own.name.as_str())
        })
        .map(|own| (own.name.clone(), own.subscripts, own.parameters.len()))
        .collect();
    forget_all(lexicon, anew);
}

fn forget_all(lexicon: &mut Lexicon, names: Vec<(kernel::Symbol, usize, usize)>) {
    for (name, subscripts, parameters) in names {
        lexicon.forget(&name, subscripts, parameters.saturating_sub(subscripts));
    }
}

/// What inherits comes behind what it inherits from; parts follow in the order of their proofs.
fn order_of_reading(frames: &[building::Frame]) -> Vec<usize> {
    let depth = |position: usize| {
        std::iter::successors(Some(position), |own| frames[*own].parent)
            .take(frames.len())
            .count()
    };
    let begins = |position: usize| {
        let sentences = &frames[position].sentences;
        let proof = sentences
            .iter()
            .find(|placed| placed.zone != Zone::Statement);
        proof
            .or(sentences.first())
            .map(|placed| placed.sentence.span().start)
    };
    let mut order: Vec<usize> = (0..frames.len()).collect();
    order.sort_by_key(|position| (depth(*position), begins(*position)));
    order
}

/// Gives every formula without an entry one: formulas of marks or words only.
fn cover(arguments: &mut [Argument], formulas: &[DraftFormula]) {
    for formula in formulas {
        let covered = arguments.iter().any(|argument| {
            argument
                .entries
                .iter()
                .any(|entry| touches(entry.span, formula.span))
        });
        if covered {
            continue;
        }
        let nearest = arguments
            .iter()
            .position(|argument| argument.span.contains(formula.span))
            .or_else(|| {
                arguments.iter().rposition(|argument| {
                    argument.span.start <= formula.span.start && !argument.span.is_empty()
                })
            })
            .unwrap_or(0);
        let entry = Entry {
            span: formula.span,
            sentence: formula.span,
            role: Some(Role::Mention),
            zone: Zone::Statement,
            content: Content::Mention,
            scope: Vec::new(),
            chain: None,
            reason_for: None,
            case: false,
            guard: None,
            names: Vec::new(),
            renames: None,
            perhaps: Vec::new(),
            drawn: false,
            for_all: Vec::new(),
            derivative: false,
            beside: false,
            scales: None,
        };
        if arguments.is_empty() {
            return;
        }
        let argument = &mut arguments[nearest];
        let at = argument
            .entries
            .iter()
            .position(|other| formula.span.start < other.span.start)
            .unwrap_or(argument.entries.len());
        for other in &mut argument.entries {
            for position in other.scope.iter_mut().chain(&mut other.reason_for) {
                if *position >= at {
                    *position += 1;
                }
            }
        }
        argument.entries.insert(at, entry);
        argument.span = if argument.span.is_empty() {
            formula.span
        } else {
            argument.span.to(formula.span)
        };
    }
}

fn touches(entry: Span, formula: Span) -> bool {
    entry.start < formula.end && formula.start < entry.end || entry == formula
}

#[cfg(test)]
mod tests;
