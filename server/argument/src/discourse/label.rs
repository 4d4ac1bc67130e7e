//! Labels at the head of a sentence: `Exercise 2(b).`, `(a)`, `1)`, `Proof.`, `Scratch work:`.

use super::outline::Zone;
use super::token::{Mark, Token, TokenKind};

/// A label and how many tokens it takes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Label {
    /// What it opens.
    pub(super) kind: LabelKind,
    /// Tokens that belong to it.
    pub(super) length: usize,
}

/// What a label opens.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum LabelKind {
    /// `Exercise 3`, `Theorem`, `2(b)`, `1.`
    Exercise {
        /// Its kind is named: "exercise", "theorem".
        named: bool,
        /// It is a statement of a fact (claim, theorem …), which may belong to an exercise.
        fact: bool,
        /// Its number, if it has one.
        number: Option<String>,
        /// Its part, if it has one: `b`.
        part: Option<String>,
    },
    /// `Proof`, `Solution`, `Scratch work`
    Zone(Zone),
    /// `Remark.`, `Step 2:`: nothing changes.
    Neutral,
}

const EXERCISES: [&str; 15] = [
    "exercise",
    "exer",
    "ex",
    "problem",
    "prob",
    "question",
    "q",
    "task",
    "example",
    "aufgabe",
    "nr",
    "assignment",
    "beispiel",
    "exo",
    "worksheet",
];
const FACTS: [&str; 14] = [
    "aim",
    "goal",
    "want",
    "theorem",
    "thm",
    "lemma",
    "lem",
    "proposition",
    "prop",
    "corollary",
    "cor",
    "claim",
    "fact",
    "satz",
];
const PROOFS: [&str; 9] = [
    "proof",
    "solution",
    "answer",
    "beweis",
    "soln",
    "sol",
    "pf",
    "lösung",
    "solutions",
];
const SCRATCH: [&str; 12] = [
    "scratch",
    "scratchwork",
    "rough",
    "sidework",
    "preliminary",
    "preliminaries",
    "idea",
    "exploration",
    "thoughts",
    "discussion",
    "brainstorm",
    "sketch",
];
const QUALIFIERS: [&str; 16] = [
    "correct",
    "my",
    "full",
    "formal",
    "actual",
    "detailed",
    "direct",
    "short",
    "complete",
    "clean",
    "model",
    "alternative",
    "second",
    "first",
    "written",
    "final",
];
const NEUTRAL: [&str; 12] = [
    "remark",
    "note",
    "step",
    "hint",
    "definition",
    "notation",
    "conclusion",
    "observation",
    "recall",
    "remarks",
    "statement",
    "given",
];

/// Whether a title is that of a claim, a lemma, a theorem.
pub(super) fn is_fact(title: &str) -> bool {
    FACTS.contains(&first_word(title).as_str())
}

/// Whether a title is that of an exercise, a problem, an example.
pub(super) fn is_task(title: &str) -> bool {
    EXERCISES.contains(&first_word(title).as_str())
}

fn first_word(title: &str) -> String {
    let letters = title.chars().take_while(|letter| letter.is_alphabetic());
    letters.collect::<String>().to_lowercase()
}

/// Whether words of a heading name an exercise or a fact: "A second example".
pub(super) fn names_task(tokens: &[Token]) -> bool {
    tokens
        .iter()
        .filter_map(Token::word)
        .any(|word| EXERCISES.contains(&word) || FACTS.contains(&word))
}

/// The label that `tokens` begin with. `heading`: the tokens are a heading of their own, which
/// needs no mark behind a label.
pub(super) fn label(tokens: &[Token], heading: bool) -> Option<Label> {
    if tokens.first().is_none_or(|first| first.inner.is_some()) {
        return None;
    }
    zone_label(tokens, heading)
        .or_else(|| part_label(tokens, heading))
        .or_else(|| exercise_label(tokens, heading))
}

/// `Part 2.`, `Part B:` in bold or as a heading.
fn part_label(tokens: &[Token], heading: bool) -> Option<Label> {
    let first = tokens.first()?;
    let styled = heading || first.style.strong || first.style.emphasis;
    if first.word() != Some("part") || !styled {
        return None;
    }
    let (part, length) = part_at(tokens, 1).or_else(|| {
        let word = tokens.get(1)?.word()?;
        let short = word.chars().all(|letter| letter.is_ascii_digit())
            || word.chars().count() == 1
            || ["ii", "iii", "iv"].contains(&word);
        short.then(|| (word.to_owned(), 1))
    })?;
    let marks = tokens[1 + length..]
        .iter()
        .take_while(|token| token.is(Mark::Period) || token.is(Mark::Colon) || token.is(Mark::Dash))
        .count();
    Some(Label {
        kind: LabelKind::Exercise {
            named: false,
            fact: false,
            number: None,
            part: Some(part),
        },
        length: 1 + length + marks,
    })
}

/// What an environment opens.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Opened {
    /// A proof, a solution, scratch work.
    Zone(Zone),
    /// A theorem, a lemma: its whole text is statement.
    Fact,
    /// An exercise, an example: its text may go on into its own solution.
    Task,
}

/// What an environment's name opens.
pub(super) fn environment(name: &str) -> Option<Opened> {
    let stem: String = name
        .to_lowercase()
        .chars()
        .filter(|letter| letter.is_alphabetic())
        .collect();
    let has = |stems: &[&str]| stems.iter().any(|known| stem.contains(known));
    if has(&[
        "proof",
        "solution",
        "soln",
        "answer",
        "beweis",
        "loesung",
        "respuesta",
        "losung",
    ]) || ["sol", "pf", "ans", "bew"].contains(&stem.as_str())
    {
        return Some(Opened::Zone(Zone::Proof));
    }
    if has(&["scratch", "rough", "sidework"]) {
        return Some(Opened::Zone(Zone::Scratch));
    }
    if has(&[
        "theorem",
        "lemma",
        "proposition",
        "corollary",
        "claim",
        "satz",
    ]) || ["thm", "lem", "prop", "cor", "fact"].contains(&stem.as_str())
    {
        return Some(Opened::Fact);
    }
    if has(&[
        "exer", "problem", "question", "example", "task", "aufgabe", "beispiel", "uebung",
    ]) || ["ex", "exo", "prob", "pb", "q", "quest", "eg"].contains(&stem.as_str())
    {
        return Some(Opened::Task);
    }
    None
}

fn zone_label(tokens: &[Token], heading: bool) -> Option<Label> {
    let first = tokens.first()?;
    let mut word = first.word()?;
    // "Correct proof:", "My solution."
    if QUALIFIERS.contains(&word)
        && let Some(next) = tokens.get(1).and_then(Token::word)
        && (PROOFS.contains(&next) || SCRATCH.contains(&next))
    {
        word = next;
    }
    let zone = if PROOFS.contains(&word) {
        LabelKind::Zone(Zone::Proof)
    } else if SCRATCH.contains(&word) {
        LabelKind::Zone(Zone::Scratch)
    } else if NEUTRAL.contains(&word) {
        LabelKind::Neutral
    } else {
        return None;
    };
    let styled = first.style.strong || first.style.emphasis || heading;
    // The label runs to its colon or full stop; a formula or a long stretch of words ends it.
    let mut depth = 0_usize;
    for (position, token) in tokens.iter().enumerate().skip(1) {
        match &token.kind {
            TokenKind::Mark(Mark::Open) => depth += 1,
            TokenKind::Mark(Mark::Close) => depth = depth.saturating_sub(1),
            TokenKind::Mark(Mark::Period | Mark::Colon | Mark::Dash) if depth == 0 => {
                let short = position <= 3 || styled && position <= 14;
                return short.then_some(Label {
                    kind: zone,
                    length: position + 1,
                });
            }
            TokenKind::Word { .. } if depth == 0 && styled => {
                let same = token.style == first.style || heading;
                if !same {
                    return Some(Label {
                        kind: zone,
                        length: position,
                    });
                }
                if token.word() == Some("that") {
                    return Some(Label {
                        kind: zone,
                        length: 1,
                    });
                }
            }
            TokenKind::Word { .. } => {}
            _ if depth == 0 && !styled => return None,
            TokenKind::Statement(_) if depth == 0 => {
                let length = if position <= 2 { position } else { 1 };
                return Some(Label { kind: zone, length });
            }
            _ => {}
        }
    }
    (styled || tokens.len() <= 3).then_some(Label {
        kind: zone,
        length: tokens.len(),
    })
}

fn exercise_label(tokens: &[Token], heading: bool) -> Option<Label> {
    let mut at = 0;
    let word = tokens.first().and_then(Token::word);
    let fact = word.is_some_and(|word| FACTS.contains(&word));
    let named = fact || word.is_some_and(|word| EXERCISES.contains(&word));
    let styled = heading
        || tokens
            .first()
            .is_some_and(|first| first.style.strong || first.style.emphasis);
    if named {
        at += 1;
        if is_mark(tokens, at, Mark::Period) && number_at(tokens, at + 1).is_some() {
            at += 1;
        }
    }
    let mut number = None;
    let mut part = None;
    if let Some((found, letter)) = number_at(tokens, at) {
        number = Some(found);
        part = letter;
        at += 1;
    }
    if part.is_none()
        && let Some((letter, length)) =
            part_at(tokens, at).or_else(|| capital_at(tokens, at).filter(|_| !named && styled))
    {
        part = Some(letter);
        at += length;
    }
    if !named && number.is_none() && part.is_none() {
        // "(1)" is a number in brackets.
        let (inside, _) = number_at(tokens, 1)?;
        if !is_mark(tokens, 0, Mark::Open) || !is_mark(tokens, 2, Mark::Close) {
            return None;
        }
        number = Some(inside);
        at = 3;
        // "(2)(b)"; in "(14) (T) ⇒ …" a line uses another.
        let close = |at: usize| {
            let ends = tokens.get(at - 1).map(|token| token.span.end);
            ends == tokens.get(at).map(|token| token.span.start)
        };
        if let Some((letter, length)) = part_at(tokens, at).filter(|_| close(at)) {
            part = Some(letter);
            at += length;
        }
    }
    let mut ended =
        at >= tokens.len() || part.is_some() && number.is_none() || tokens[at - 1].is(Mark::Close);
    while let Some(token) = tokens.get(at) {
        match token.kind {
            TokenKind::Mark(Mark::Period | Mark::Colon | Mark::Close | Mark::Dash) => {
                ended = true;
                at += 1;
            }
            _ => break,
        }
    }
    // A title in brackets behind the number: "Exercise 3 (Dini)." stays with the sentence.
    let border = tokens
        .get(at)
        .is_none_or(|next| next.style != tokens[0].style);
    let sentence = tokens
        .get(at)
        .is_some_and(|next| next.opens_sentence() || next.statement().is_some());
    if ended
        || heading
        || named && number.is_some() && sentence
        || border && (styled || named && number.is_some())
    {
        return Some(Label {
            kind: LabelKind::Exercise {
                named,
                fact,
                number,
                part,
            },
            length: at,
        });
    }
    None
}

fn is_mark(tokens: &[Token], at: usize, mark: Mark) -> bool {
    tokens.get(at).is_some_and(|token| token.is(mark))
}

/// A number with an optional letter: `3`, `3.1`, `2b`, `e1`.
fn number_at(tokens: &[Token], at: usize) -> Option<(String, Option<String>)> {
    let word = tokens.get(at)?.word()?;
    let digits: String = word
        .strip_prefix(['e', 'q', 'p'])
        .filter(|rest| rest.starts_with(|first: char| first.is_ascii_digit()))
        .unwrap_or(word)
        .to_owned();
    let end = digits
        .find(|letter: char| !letter.is_ascii_digit() && letter != '.')
        .unwrap_or(digits.len());
    let rest = &digits[end..];
    if end == 0 || end > 8 || rest.chars().count() > 1 {
        return None;
    }
    let part = (!rest.is_empty()).then(|| rest.to_owned());
    Some((digits[..end].to_owned(), part))
}

/// A letter set off as a heading of its own: `**A.**`
fn capital_at(tokens: &[Token], at: usize) -> Option<(String, usize)> {
    let (first, end) = (tokens.get(at)?, tokens.get(at + 1)?);
    let word = first.word()?;
    let alone = word.chars().count() == 1
        && word.chars().all(|letter| letter.is_ascii_lowercase())
        && first.inner.is_none();
    (alone && end.is(Mark::Period) && end.style == first.style).then(|| (word.to_owned(), 2))
}

/// A part's letter or roman numeral: `(b)`, `b)`, `(ii)`.
pub(super) fn part_at(tokens: &[Token], at: usize) -> Option<(String, usize)> {
    let opened = usize::from(is_mark(tokens, at, Mark::Open));
    if tokens.get(at).is_none_or(|first| first.inner.is_some()) {
        return None;
    }
    let word = tokens.get(at + opened)?.word()?;
    let is_part = word.chars().count() == 1
        && word.chars().all(|letter| letter.is_ascii_lowercase())
        || ["ii", "iii", "iv", "vi", "vii"].contains(&word);
    (is_part && is_mark(tokens, at + opened + 1, Mark::Close))
        .then(|| (word.to_owned(), opened + 2))
}
