//! What the parts of one exercise take over from the parts before them.

use super::building::Frame;
use super::lexicon::Lexicon;
use super::outline::Zone;
use super::token::{StatementToken, Token};
use super::{label, shape};
use crate::notation::syntax::{Sign, Statement};
use kernel::Relation;

/// Parts of one exercise share the limit that an earlier part named or found.
pub(super) fn with_limit(
    mut lexicon: Lexicon,
    parent: Option<usize>,
    frames: &[Frame],
    lexicons: &[(usize, Lexicon)],
) -> Lexicon {
    let (Some(_), None, Some(family)) = (parent, &lexicon.limit, lexicon.family.clone()) else {
        return lexicon;
    };
    let known = lexicons.iter().rev().find_map(|(position, sibling)| {
        let fits = frames[*position].parent == parent
            && sibling.family.as_ref().map(|own| &own.name) == Some(&family.name);
        fits.then(|| (sibling, sibling.current_error(false)))
            .and_then(|(sibling, error)| Some((sibling, error?.limit)))
    });
    let Some((sibling, limit)) = known else {
        return lexicon;
    };
    if let Some(own) = sibling.definition(&family.name, 0)
        && !lexicon.defines(&own.name, 0)
    {
        lexicon.define(
            own.name.clone(),
            own.parameters.clone(),
            0,
            own.value.clone(),
            own.span,
        );
    }
    lexicon.limit = Some(limit);
    lexicon
}

/// Words of a sentence that takes names for an example of its own.
const EXEMPLARY: [&str; 9] = [
    "take",
    "consider",
    "example",
    "counterexample",
    "choose",
    "try",
    "instead",
    "suppose",
    "let",
];

/// A part goes on with what earlier parts of its exercise called by a name, where neither the
/// exercise nor the part itself speaks of that name otherwise: "(a) … s_n(x) = 1 − 1/(1 + nx²)",
/// "(c) … |s(x) − s_n(x)|".
pub(super) fn add_definitions(
    lexicon: &mut Lexicon,
    place: usize,
    frames: &[Frame],
    lexicons: &[(usize, Lexicon)],
) {
    let frame = &frames[place];
    let Some(parent) = frame.parent else {
        return;
    };
    if frame.title.as_deref().is_some_and(label::is_fact) {
        return;
    }
    let common = mentioned(&frames[parent], |_| true);
    let stated = mentioned(frame, |zone| zone == Zone::Statement);
    for (position, sibling) in lexicons {
        let other = &frames[*position];
        if *position > place
            || other.parent != Some(parent)
            || other.title.as_deref().is_some_and(label::is_fact)
        {
            continue;
        }
        for own in &sibling.definitions {
            let sentence = other
                .sentences
                .iter()
                .find(|placed| placed.sentence.span().contains(own.span));
            let exemplary = sentence.is_none_or(|placed| {
                let mut words = placed.sentence.tokens.iter().filter_map(Token::word);
                words.any(|word| EXEMPLARY.contains(&word))
            });
            let name = own.name.as_str().to_owned();
            let free = !lexicon.defines(&own.name, own.subscripts)
                && !lexicon.is_recursive(&own.name)
                && !common.contains(&name)
                && !stated.contains(&name)
                && !takes_anew(frame, &name);
            if free && !exemplary && !own.parameters.is_empty() {
                lexicon.define(
                    own.name.clone(),
                    own.parameters.clone(),
                    own.subscripts,
                    own.value.clone(),
                    own.span,
                );
            }
        }
    }
}

/// Whether a part gives a name a value of its own, or supposes something of it.
fn takes_anew(frame: &Frame, name: &str) -> bool {
    frame.sentences.iter().any(|placed| {
        let tokens = &placed.sentence.tokens;
        let supposes = tokens.iter().filter_map(Token::word).any(|word| {
            matches!(
                word,
                "let" | "suppose" | "assume" | "if" | "given" | "where"
            )
        });
        tokens.iter().filter_map(Token::statement).any(|token| {
            let statement = &token.statement;
            let valued = shape::first_term(statement)
                .and_then(shape::head_name)
                .is_some_and(|own| own.base == name)
                && shape::links(statement).first().is_some_and(|link| {
                    matches!(link.sign, Sign::Defines | Sign::Relation(Relation::Equal))
                });
            valued || supposes && names(statement).iter().any(|own| own == name)
        })
    })
}

/// The names of the formulas in certain zones of an argument.
fn mentioned(frame: &Frame, within: impl Fn(Zone) -> bool) -> Vec<String> {
    let mut found = Vec::new();
    for placed in frame.sentences.iter().filter(|placed| within(placed.zone)) {
        for StatementToken { statement, .. } in
            placed.sentence.tokens.iter().filter_map(Token::statement)
        {
            found.extend(names(statement));
        }
    }
    found
}

fn names(statement: &Statement) -> Vec<String> {
    shape::names_of(statement)
        .into_iter()
        .map(|name| name.base.clone())
        .collect()
}
