//! Headings: titles of exercises, proofs, scratch work.

use super::*;
use crate::discourse::sentence::LONGEST_NUMBER;
use crate::discourse::{lexicon, shape};
use crate::notation::syntax::StatementKind;

/// The level at which lines in bold come as headings.
const SMALLEST_TITLE: u8 = 4;

/// "Case 1: c ≤ 1.", whatever its size, goes on with the argument that it divides; "Case study" does
/// not.
fn heads_case(tokens: &[Token]) -> bool {
    let numbered = tokens.get(1).is_some_and(|token| {
        token
            .word()
            .is_none_or(|word| word.chars().count() <= LONGEST_NUMBER)
    });
    numbered && tokens.first().and_then(Token::word) == Some("case")
}

/// "[0, a] with 0 < a < 1: uniform" tells what happens on that set.
fn say_on(title: &mut Vec<Token>) {
    let on = title.first().filter(|first| {
        first.statement().is_some_and(|first| {
            matches!(&first.statement.kind, StatementKind::Term(set)
                if shape::is_set(&lexicon::as_set(set)))
        })
    });
    if let Some(on) = on.map(|first| first.behind_word("on")) {
        title.insert(0, on);
    }
}

impl Builder<'_> {
    pub(super) fn heading(&mut self, level: u8, mut sentence: Sentence, first: bool) {
        if !first {
            // The rest of a heading belongs to what its first sentence opened.
            if sentence.has_statement() {
                self.add_stated(sentence);
            }
            return;
        }
        if heads_case(&sentence.tokens) {
            self.add(sentence);
            return;
        }
        let found = label::label(&sentence.tokens, true);
        match found.as_ref().map(|label| &label.kind) {
            Some(LabelKind::Zone(zone)) => {
                // "Solution to Exercise 2" opens that exercise.
                let inner = sentence
                    .tokens
                    .iter()
                    .skip(1)
                    .enumerate()
                    .find_map(|(at, token)| {
                        token.word()?;
                        match label::label(&sentence.tokens[at + 1..], true)?.kind {
                            LabelKind::Exercise {
                                named: true,
                                number,
                                part,
                                ..
                            } if number.is_some() || part.is_some() => Some((at + 1, number, part)),
                            _ => None,
                        }
                    });
                let zone = *zone;
                if let Some((at, number, part)) = inner {
                    self.exercise_of(level, &sentence.tokens[at..], number, part);
                } else {
                    self.leave_part_for_heading(level);
                }
                self.zone = Some(zone);
            }
            Some(LabelKind::Exercise {
                named,
                fact,
                number,
                part,
            }) => {
                let (named, fact) = (*named, *fact);
                let (number, part) = (number.clone(), part.clone());
                let length = found.as_ref().map_or(0, |label| label.length);
                if fact
                    && number.is_none()
                    && !self.has_proof(self.current)
                    && self.labelled[self.current]
                {
                    self.zone = Some(Zone::Statement);
                } else if number.is_none() && part.is_some() && !named {
                    self.enter_part(&part.unwrap_or_default());
                } else {
                    // "Example A", "Example B, repaired": no number tells them apart.
                    let length = match (&number, &part) {
                        (None, None) => sentence.tokens.len(),
                        _ => length,
                    };
                    self.exercise_of(level, &sentence.tokens[..length], number, part);
                    if !sentence.has_statement() {
                        self.whole_title(&sentence);
                    }
                }
            }
            Some(LabelKind::Neutral) => self.zone = None,
            // "**The points approach each other:**" announces what follows.
            None if sentence
                .tokens
                .last()
                .is_some_and(|last| last.is(Mark::Colon)) =>
            {
                self.add(sentence);
                return;
            }
            // "Exercise", "Pointwise limit", "Maximum": the sections of one solution.
            None if self.level == Some(level)
                && self.in_task()
                && !self.heading_is_task(&sentence)
                && !label::names_task(&sentence.tokens) =>
            {
                self.leave_parts();
                self.zone = Some(Zone::Proof);
            }
            // A line in bold inside an exercise is a step of it.
            None if !self.labelled[self.current]
                || self.level.is_none_or(|open| level <= open)
                    && (level < SMALLEST_TITLE || self.heading_is_task(&sentence)) =>
            {
                self.open_section(level, &sentence);
            }
            None => self.zone = self.zone.filter(|zone| *zone != Zone::Scratch),
        }
        let length = found.map_or(0, |label| label.length.min(sentence.tokens.len()));
        sentence.tokens.drain(..length);
        say_on(&mut sentence.tokens);
        if sentence.has_statement() {
            self.add_stated(sentence);
        }
    }

    /// Adds a sentence of a heading: it states, whatever zone follows.
    fn add_stated(&mut self, sentence: Sentence) {
        let zone = self.zone;
        self.zone = Some(Zone::Statement);
        self.add(sentence);
        self.zone = zone;
    }

    /// A heading without a label opens an argument of its own.
    fn open_section(&mut self, level: u8, sentence: &Sentence) {
        self.level = Some(level);
        let title = self.text_of(&sentence.tokens);
        // A deeper heading goes on with what the text under the one above it defines.
        self.around.retain(|(above, _)| *above < level);
        let above = self.around.last().map_or(0, |(_, frame)| *frame);
        let parent = self.frame_states(above).then_some(above);
        self.numbered = false;
        self.exercise = self.open(title, parent);
        self.around.push((level, self.exercise));
        // A title without a number is no task by itself.
        self.labelled[self.current] = self.heading_is_task(sentence);
    }

    /// Whether the exercise at hand is titled as one ("Exercise 2"), and states something.
    fn in_task(&self) -> bool {
        let title = self.frames[self.exercise].title.as_deref();
        title.is_some_and(label::is_task) && self.states_something()
    }

    pub(super) fn heading_is_task(&self, sentence: &Sentence) -> bool {
        is_task(&sentence.tokens)
    }

    pub(super) fn leave_part_for_heading(&mut self, level: u8) {
        if self.level.is_some_and(|open| level <= open)
            && self.frames[self.current].parent.is_none()
        {
            self.level = Some(level);
        }
    }

    pub(super) fn exercise_of(
        &mut self,
        level: u8,
        tokens: &[Token],
        number: Option<String>,
        part: Option<String>,
    ) {
        let title = self.text_of(tokens);
        let known = self
            .frames
            .iter()
            .position(|frame| frame.title.is_some() && frame.title == title);
        self.level = Some(level);
        if let Some(known) = known {
            self.current = known;
            self.exercise = self.frames[known].parent.unwrap_or(known);
            return;
        }
        // "2(b)" belongs to the exercise 2 if that stands before it.
        if let (Some(number), Some(part)) = (&number, &part) {
            let head = self.frames.iter().rposition(|frame| {
                frame.parent.is_none()
                    && frame
                        .title
                        .as_deref()
                        .is_some_and(|title| ends_with_number(title, number))
            });
            if let Some(head) = head {
                self.exercise = head;
                let argument = self.open(title, Some(head));
                self.parts.insert((head, part.clone()), argument);
                return;
            }
        }
        let parent = title
            .as_deref()
            .filter(|title| is_number(title))
            .and_then(|title| self.introduction(title));
        self.numbered = false;
        self.exercise = self.open(title, parent);
    }

    /// The text before numbered steps or tasks, if it states something that they share.
    fn introduction(&self, number: &str) -> Option<usize> {
        let titled = |frame: usize| self.frames[frame].title.as_deref();
        // "Task 3. … 1) Pointwise. … 2) Uniform. …"
        let open = &self.frames[self.exercise];
        // "1) Pointwise", then "2) Claim": both go on with what stands before them.
        let counted = open
            .title
            .as_deref()
            .is_some_and(|title| title.starts_with(|first: char| first.is_ascii_digit()));
        if counted && open.parent.is_some() {
            return open.parent;
        }
        if open.title.as_deref().is_some_and(is_number) {
            if open.parent.is_some() {
                return open.parent;
            }
        } else if open.title.is_some()
            && number.trim_matches(|mark: char| !mark.is_alphanumeric()) == "1"
            && self.frame_states(self.exercise)
        {
            return Some(self.exercise);
        }
        let frame = self.around.last().map_or(0, |(_, frame)| *frame);
        (self.frame_states(frame) && !titled(frame).is_some_and(is_number)).then_some(frame)
    }

    /// What a section says before its first proposition or example, if it states something.
    pub(super) fn section(&self, fact: bool) -> Option<usize> {
        let untitled = self
            .around
            .last()
            .map(|(_, frame)| *frame)
            .filter(|frame| !self.labelled[*frame] && self.frame_states(*frame));
        // "### 9.4 … Consider u_n … **Proposition 9.7.** …": a number of the section, no task.
        let numbered = || {
            let asks = self.units.iter().any(|unit| {
                unit.argument == self.exercise
                    && (unit.zone == Some(Zone::Proof) || is_task(&unit.sentence.tokens))
            });
            let whole = self.current == self.exercise && self.frame_states(self.exercise);
            (fact && whole && !asks).then_some(self.exercise)
        };
        untitled.or_else(numbered)
    }

    fn frame_states(&self, frame: usize) -> bool {
        self.units
            .iter()
            .any(|unit| unit.argument == frame && unit.sentence.has_statement())
    }

    /// The whole heading as the title where it holds no formula: `3.1 An arctangent`.
    pub(super) fn whole_title(&mut self, sentence: &Sentence) {
        let words = sentence.tokens.len();
        let label_only = self.frames[self.current].title.clone();
        if words <= 12
            && label_only
                .as_deref()
                .is_some_and(|title| title.starts_with(|c: char| c.is_ascii_digit()))
        {
            self.frames[self.current].title = self.text_of(&sentence.tokens).or(label_only);
        }
    }

    pub(super) fn text_of(&self, tokens: &[Token]) -> Option<String> {
        let end = tokens.iter().rposition(|token| {
            token.word().is_some() || token.statement().is_some() || token.is(Mark::Close)
        })?;
        let tokens = &tokens[..=end];
        let span = tokens.first()?.span.to(tokens.last()?.span);
        let text = self.draft.get(span.range())?;
        let mut text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        // "1)" and "(1)" are titled 1.
        if text.ends_with(')') && text.matches('(').count() < text.matches(')').count() {
            text.pop();
        }
        let inside = text
            .strip_prefix('(')
            .and_then(|rest| rest.strip_suffix(')'));
        let text = inside.map_or(text.clone(), str::to_owned);
        (!text.is_empty()).then_some(text)
    }
}

/// Whether a title is a number alone: `1`, `(2)`, `3.`
pub(super) fn is_number(title: &str) -> bool {
    let inside = title.trim_matches(|mark: char| !mark.is_alphanumeric());
    !inside.is_empty() && inside.chars().all(|letter| letter.is_ascii_digit())
}
