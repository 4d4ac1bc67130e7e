//! `outline building`: which sentences belong to which argument, and in which zone they stand.

mod cases;
mod container;
mod heading;
mod part;
mod steps;

pub(super) use cases::case_lines;

use super::label::{self, Label, LabelKind};
use super::outline::Zone;
use super::sentence::{Sentence, continues, join};
use super::token::{Mark, Token, TokenKind};
use super::zone::{
    argues, asserts, begins_proof, gives_values, is_headline, is_task, names_place, narrates, zones,
};
use source::{BlockKind, ContainerKind, Document};
use std::collections::{BTreeMap, BTreeSet};

/// An argument's frame: title, inheritance, sentences.
#[derive(Clone, Debug, Default)]
pub(super) struct Frame {
    /// As the draft titles it.
    pub(super) title: Option<String>,
    /// The argument from which it inherits (its exercise).
    pub(super) parent: Option<usize>,
    /// Its sentences in the order of the text.
    pub(super) sentences: Vec<Placed>,
}

/// A sentence in its place.
#[derive(Clone, Debug)]
pub(super) struct Placed {
    /// The sentence, labels taken off.
    pub(super) sentence: Sentence,
    /// Its zone.
    pub(super) zone: Zone,
    /// How many of its first tokens are repeated from the exercise's head, for the meaning only.
    pub(super) borrowed: usize,
    /// First sentence of a paragraph, item or cell.
    pub(super) opens_paragraph: bool,
    /// A line in bold or italics that announces what follows.
    pub(super) headline: bool,
}

/// A sentence of an argument before its zone is settled.
#[derive(Clone, Debug)]
pub(super) struct Unit {
    pub(super) argument: usize,
    pub(super) zone: Option<Zone>,
    pub(super) sentence: Sentence,
    borrowed: usize,
    /// The zone is that of the statement's own environment or heading.
    label_before: bool,
}

struct Builder<'a> {
    draft: &'a str,
    document: &'a Document,
    frames: Vec<Frame>,
    labelled: Vec<bool>,
    /// Which were opened by an environment that may hold its own solution.
    tasks: Vec<bool>,
    units: Vec<Unit>,
    current: usize,
    /// The exercise to which parts belong.
    exercise: usize,
    parts: BTreeMap<(usize, String), usize>,
    zone: Option<Zone>,
    /// Level of the heading that opened the current exercise.
    level: Option<u8>,
    /// Headings without a label around the current place, with what they opened.
    around: Vec<(u8, usize)>,
    environment: Option<usize>,
    environment_counts: BTreeMap<String, usize>,
    item: Option<usize>,
    /// The label of an item that begins and sets no task of its own.
    item_part: Option<String>,
    /// How many items of the list at hand were seen, and whether it has several.
    listed: usize,
    several: bool,
    /// The part at hand was entered in a list's item.
    listed_part: bool,
    /// The exercise at hand was opened by a numbered item.
    numbered: bool,
    label_before: bool,
    /// A block that states a theorem: all of it is statement.
    statement_block: Option<usize>,
    /// Numbers count the steps of a proof, and no exercises.
    counts_steps: bool,
    /// A block that lists the parts of an exercise, which are answered further on.
    part_list: Option<usize>,
    /// The last block that is labelled as a proof or a solution.
    last_solution: Option<usize>,
    /// The block of the first answer, for a block behind which part (a) begins anew before
    /// another exercise does.
    answered: BTreeSet<usize>,
}

/// Splits a document's sentences into arguments.
pub(super) fn frames(draft: &str, document: &Document, blocks: Vec<Vec<Sentence>>) -> Vec<Frame> {
    let mut builder = Builder {
        draft,
        document,
        frames: vec![Frame::default()],
        labelled: vec![false],
        tasks: vec![false],
        units: Vec::new(),
        current: 0,
        exercise: 0,
        parts: BTreeMap::new(),
        zone: None,
        level: None,
        around: Vec::new(),
        environment: None,
        environment_counts: BTreeMap::new(),
        item: None,
        item_part: None,
        listed: 0,
        several: false,
        listed_part: false,
        numbered: false,
        label_before: false,
        statement_block: None,
        counts_steps: steps::are_counted(&blocks),
        part_list: None,
        last_solution: blocks.iter().rposition(|sentences| {
            sentences
                .first()
                .and_then(|first| label::label(&first.tokens, false))
                .is_some_and(|label| matches!(label.kind, LabelKind::Zone(Zone::Proof)))
        }),
        answered: answered(document, &blocks),
    };
    for (position, sentences) in blocks.into_iter().enumerate() {
        builder.block(position, sentences);
    }
    builder.finish()
}

impl Builder<'_> {
    fn open(&mut self, title: Option<String>, parent: Option<usize>) -> usize {
        self.frames.push(Frame {
            title,
            parent,
            sentences: Vec::new(),
        });
        self.labelled.push(true);
        self.tasks
            .push(parent.is_some_and(|parent| self.tasks[parent]));
        self.current = self.frames.len() - 1;
        self.zone = None;
        self.label_before = true;
        self.current
    }

    fn states_something(&self) -> bool {
        self.units
            .iter()
            .any(|unit| unit.argument == self.exercise && unit.sentence.has_statement())
    }

    /// The exercise inside of which a claim or a fact stands: it goes on with what that defines.
    fn around_fact(&self) -> Option<usize> {
        let above = |frame: &usize| self.frames[*frame].parent;
        std::iter::successors(Some(self.exercise), above)
            .take(self.frames.len())
            .find(|frame| {
                let title = self.frames[*frame].title.as_deref();
                title.is_some_and(|title| !label::is_fact(title))
            })
    }

    fn open_exercise(&mut self, title: Option<String>, parent: Option<usize>) {
        self.numbered = false;
        self.exercise = self.open(title, parent);
    }

    fn block(&mut self, position: usize, sentences: Vec<Sentence>) {
        let block = &self.document.blocks[position];
        let heading = match block.kind {
            BlockKind::Heading(level) => Some(level),
            _ => None,
        };
        let containers = block.containers.clone();
        // A list ends before the proof behind it begins, and begins inside its environment.
        if self.item_of(position).is_none() {
            self.items(position, &sentences);
            self.environments(&containers);
        } else {
            self.environments(&containers);
            self.items(position, &sentences);
        }
        let answered = self.last_solution.is_some_and(|last| position < last)
            || self.answered.contains(&position);
        if self.zone.is_none() && answered && lists_parts(&sentences) {
            self.statement_block = Some(position);
            self.part_list = Some(position);
        }
        let mut first = true;
        for sentence in sentences {
            if let Some(level) = heading {
                self.heading(level, sentence, first);
            } else {
                self.sentence(sentence);
            }
            first = false;
        }
    }

    /// Whether exercises of this draft go by a number alone: "1. Show that …".
    fn has_numbered_exercises(&self) -> bool {
        self.frames
            .iter()
            .any(|frame| frame.title.as_deref().is_some_and(heading::is_number))
    }

    fn has_proof(&self, argument: usize) -> bool {
        self.units
            .iter()
            .any(|unit| unit.argument == argument && unit.zone == Some(Zone::Proof))
    }

    fn sentence(&mut self, mut sentence: Sentence) {
        // The head "Question" of a column is no exercise.
        if sentence.cell {
            self.add(sentence);
            return;
        }
        if sentence.opens_block
            && self.zone != Some(Zone::Proof)
            && let Some(head) = self.open_task(&sentence)
        {
            let borders = part_borders(&sentence.tokens);
            if begins_with_parts(&borders) {
                self.parts_of(&head, &sentence, &borders);
                return;
            }
            let single = match self.item_part.take() {
                Some(part) => Some((0, 0, part)),
                None => label::part_at(&sentence.tokens, 0)
                    .filter(|(_, length)| names_place(&sentence.tokens[*length..]))
                    .map(|(part, length)| (0, length, part)),
            };
            if let Some(single) = single {
                self.parts_of(&head, &sentence, &[single]);
                return;
            }
        }
        self.item_part = None;
        if sentence.opens_block && self.zone.is_none() && self.answered.contains(&sentence.block) {
            let borders = part_borders(&sentence.tokens);
            if begins_with_parts(&borders) {
                self.parts_of(&[], &sentence, &borders);
                return;
            }
        }
        let struck_label = !sentence.opens_block && !is_styled(&sentence);
        let found = if struck_label {
            label::label(&sentence.tokens, false).filter(|label| match &label.kind {
                LabelKind::Zone(_) => true,
                LabelKind::Exercise {
                    named: false,
                    number: None,
                    part: Some(part),
                    ..
                } => {
                    self.parts.contains_key(&(self.exercise, part.clone()))
                        || self.part_list == Some(sentence.block)
                        || self.zone != Some(Zone::Proof) && is_task(&sentence.tokens)
                }
                _ => false,
            })
        } else {
            label::label(&sentence.tokens, false)
        };
        if let Some(found) = found
            && self.apply(&found, &sentence)
        {
            sentence
                .tokens
                .drain(..found.length.min(sentence.tokens.len()));
            // A second label behind the first: "Exercise 1. (a) …", "(a) Solution. …".
            if let Some(second) = label::label(&sentence.tokens, false)
                && !matches!(second.kind, LabelKind::Neutral)
                && self.apply(&second, &sentence)
            {
                sentence
                    .tokens
                    .drain(..second.length.min(sentence.tokens.len()));
            }
        }
        if sentence.tokens.is_empty() {
            return;
        }
        self.parts_inside(sentence);
    }

    /// Carries out a label of the running text; false if it is none after all.
    fn apply(&mut self, found: &Label, sentence: &Sentence) -> bool {
        match &found.kind {
            LabelKind::Zone(zone) => {
                self.leave_parts();
                self.zone = Some(*zone);
                self.solved_part(&sentence.tokens[..found.length.min(sentence.tokens.len())]);
                true
            }
            LabelKind::Neutral => true,
            LabelKind::Exercise {
                named,
                fact,
                number,
                part,
            } => {
                let tokens = &sentence.tokens[..found.length.min(sentence.tokens.len())];
                if *fact && number.is_none() {
                    // "Claim." of an exercise that has no proof yet is its statement.
                    if self.has_proof(self.current)
                        && self.environment.is_none()
                        && is_styled(sentence)
                    {
                        let around = self.around_fact();
                        let title = self.text_of(tokens);
                        self.open_exercise(title, around);
                    }
                    if self.zone != Some(Zone::Proof) {
                        self.statement_block = Some(sentence.block);
                        self.zone = Some(Zone::Statement);
                        // Only this sentence: what follows finds its own zone.
                        self.label_before = true;
                    }
                    return *named
                        && self.zone == Some(Zone::Statement)
                        && tokens.len() > 1
                        && is_styled(sentence);
                }
                if self.counts_steps && !named && part.is_none() && !is_styled(sentence) {
                    self.begin_step();
                    return true;
                }
                if let (None, Some(part)) = (number, part) {
                    let known = self.parts.contains_key(&(self.exercise, part.clone()));
                    // "Part 1" of a proof is a step of it.
                    let step = sentence.tokens.first().and_then(Token::word) == Some("part")
                        && self.zone == Some(Zone::Proof);
                    if step && !known {
                        return true;
                    }
                    let inside = &sentence.tokens[found.length.min(sentence.tokens.len())..];
                    let states = is_task(&sentence.tokens) || gives_values(inside);
                    let listed = self.part_list == Some(sentence.block);
                    if known
                        || listed
                        || is_styled(sentence)
                        || states && self.zone != Some(Zone::Proof)
                    {
                        self.enter_part(part);
                    }
                    return true;
                }
                let inside = &sentence.tokens[found.length.min(sentence.tokens.len())..];
                let step = self.zone == Some(Zone::Proof)
                    && !is_styled(sentence)
                    && part.is_none()
                    && !is_task(inside)
                    && !gives_values(inside)
                    && !self.has_numbered_exercises();
                if !named && (self.environment.is_some() || step) {
                    return true;
                }
                let title = self.text_of(tokens);
                let known = self
                    .frames
                    .iter()
                    .position(|frame| frame.title.is_some() && frame.title == title);
                match known {
                    Some(known) => {
                        self.current = known;
                        self.exercise = self.frames[known].parent.unwrap_or(known);
                        self.zone = Some(Zone::Proof);
                    }
                    None => {
                        let section = self
                            .section(*fact)
                            .or_else(|| self.around_fact().filter(|_| *fact));
                        let before = self.frames.len();
                        let level = self.level.unwrap_or(6);
                        self.exercise_of(level, tokens, number.clone(), part.clone());
                        let opened = &mut self.frames[self.current];
                        if before <= self.current && opened.parent.is_none() {
                            opened.parent = section;
                        }
                    }
                }
                if *fact {
                    self.statement_block = Some(sentence.block);
                }
                true
            }
        }
    }

    fn add(&mut self, sentence: Sentence) {
        let stated =
            self.statement_block == Some(sentence.block) && !begins_proof(&sentence.tokens);
        let unit = Unit {
            argument: self.current,
            zone: self.zone.or(stated.then_some(Zone::Statement)),
            sentence,
            borrowed: 0,
            label_before: std::mem::take(&mut self.label_before),
        };
        // A claim's label holds for its own block only.
        self.units.push(unit);
        if self.zone == Some(Zone::Statement) && self.environment.is_none() {
            self.zone = None;
        }
    }

    fn finish(mut self) -> Vec<Frame> {
        let units = std::mem::take(&mut self.units);
        let mut by_argument: Vec<Vec<Unit>> = vec![Vec::new(); self.frames.len()];
        for unit in units {
            by_argument[unit.argument].push(unit);
        }
        for (argument, mut units) in by_argument.into_iter().enumerate() {
            if self.tasks[argument] {
                own_solution(&mut units);
            }
            let part = self.parts.values().any(|own| *own == argument);
            let zones = zones(&units, self.labelled[argument], part);
            let mut sentences: Vec<Placed> = Vec::new();
            for (unit, zone) in units.into_iter().zip(zones) {
                let opens_paragraph = unit.sentence.opens_block;
                let headline = opens_paragraph
                    && zone != Zone::Statement
                    && is_headline(&unit.sentence.tokens);
                if let Some(last) = sentences.last_mut()
                    && opens_paragraph
                    && unit.borrowed == 0
                    && !unit.sentence.cell
                    && !last.sentence.cell
                    && !unit.label_before
                    && last.zone == zone
                    && continues(&last.sentence, &unit.sentence)
                {
                    join(&mut last.sentence, unit.sentence);
                    continue;
                }
                sentences.push(Placed {
                    sentence: unit.sentence,
                    zone,
                    borrowed: unit.borrowed,
                    opens_paragraph,
                    headline,
                });
            }
            cases::name_cases(&mut sentences);
            self.frames[argument].sentences = sentences;
        }
        self.frames
    }
}

/// In a task's environment without a proof of its own, what argues behind the task is its proof.
fn own_solution(units: &mut [Unit]) {
    // A remark may stand behind the environment.
    let stated = units
        .iter()
        .take_while(|unit| unit.zone == Some(Zone::Statement))
        .count();
    let (units, behind) = units.split_at_mut(stated);
    if units.is_empty() || behind.iter().any(|unit| unit.zone.is_some()) {
        return;
    }
    let asked = units
        .iter()
        .position(|unit| is_task(&unit.sentence.tokens))
        .unwrap_or(0);
    let begins = units.iter().skip(asked + 1).position(|unit| {
        let tokens = &unit.sentence.tokens;
        begins_proof(tokens) || argues(tokens) || narrates(tokens) || asserts(tokens)
    });
    if let Some(begins) = begins {
        for unit in &mut units[asked + 1 + begins..] {
            unit.zone = Some(Zone::Proof);
        }
    }
}

/// The blocks that may list parts, since part (a) begins anew behind them before another exercise
/// does.
fn answered(document: &Document, blocks: &[Vec<Sentence>]) -> BTreeSet<usize> {
    let mut found = BTreeSet::new();
    let mut answer = false;
    for (position, sentences) in blocks.iter().enumerate().rev() {
        let Some(first) = sentences.first() else {
            continue;
        };
        let heading = matches!(document.blocks[position].kind, BlockKind::Heading(_));
        let states = |sentence: &Sentence| {
            is_task(&sentence.tokens) || begins_with_parts(&part_borders(&sentence.tokens))
        };
        if answer && sentences.iter().any(states) {
            found.insert(position);
        }
        match label::label(&first.tokens, heading).map(|label| label.kind) {
            Some(LabelKind::Exercise {
                named: false,
                number: None,
                part: Some(part),
                ..
            }) if part == "a" || part == "i" => answer = true,
            Some(LabelKind::Exercise { part: None, .. }) => answer = false,
            _ => {}
        }
    }
    found
}

/// Whether the sentences of a block are the parts of an exercise, each with its label: (a), (b).
fn lists_parts(sentences: &[Sentence]) -> bool {
    let labels = sentences
        .iter()
        .filter_map(|sentence| label::part_at(&sentence.tokens, 0))
        .map(|(part, _)| part);
    let first: Vec<String> = labels.take(2).collect();
    first == ["a", "b"] || first == ["i", "ii"]
}

/// Whether a sentence is a list of parts from its beginning on: "(a) pointwise, (b) not uniformly".
fn begins_with_parts(borders: &[(usize, usize, String)]) -> bool {
    borders.len() >= 2 && borders[0].0 == 0
}

/// Where the parts (a), (b), … of a sentence begin: token, length of the label, part.
fn part_borders(tokens: &[Token]) -> Vec<(usize, usize, String)> {
    let mut borders: Vec<(usize, usize, String)> = Vec::new();
    for at in 0..tokens.len() {
        if let Some((part, length)) = label::part_at(tokens, at) {
            let expected = char::from(b'a' + u8::try_from(borders.len() % 26).unwrap_or(0));
            if part == expected.to_string() {
                borders.push((at, length, part));
            }
        }
    }
    borders
}

fn is_styled(sentence: &Sentence) -> bool {
    sentence
        .tokens
        .first()
        .is_some_and(|token| token.style.strong || token.style.emphasis)
}

/// Whether the title ends with that number.
fn ends_with_number(title: &str, number: &str) -> bool {
    title
        .strip_suffix(number)
        .is_some_and(|rest| !rest.ends_with(|last: char| last.is_ascii_digit() || last == '.'))
}

/// Tokens that are words, for callers that look for a word anywhere.
pub(super) fn has_word(tokens: &[Token], wanted: &[&str]) -> bool {
    tokens
        .iter()
        .any(|token| matches!(&token.kind, TokenKind::Word { text, .. } if wanted.contains(&text.as_str())))
}
