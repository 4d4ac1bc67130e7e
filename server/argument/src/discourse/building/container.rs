//! Environments and list items that open exercises, parts and proofs.

use super::label::Opened;
use super::*;

/// How many letters the label of a part may have: `viii`.
const LONGEST_PART: usize = 4;

impl Builder<'_> {
    /// Environments that opened or closed since the block before.
    pub(super) fn environments(&mut self, containers: &[usize]) {
        let innermost = containers.iter().rev().copied().find_map(|index| {
            let container = self.document.containers.get(index)?;
            let ContainerKind::Environment { name, title } = &container.kind else {
                return None;
            };
            label::environment(name).map(|opened| (index, opened, name.clone(), title.clone()))
        });
        match innermost {
            None => {
                if self.environment.take().is_some() {
                    self.zone = None;
                }
            }
            Some((index, _, _, _)) if self.environment == Some(index) => {}
            Some((index, opened, name, title)) => {
                self.environment = Some(index);
                if let Opened::Zone(zone) = opened {
                    self.leave_parts();
                    self.zone = Some(zone);
                    // "Solution of (a)"
                    let part = title.as_deref().and_then(part_in_title);
                    if let Some(part) = part
                        && self.parts.contains_key(&(self.exercise, part.clone()))
                    {
                        self.enter_part(&part);
                    }
                } else {
                    let title = self.environment_title(&name, title);
                    self.level = None;
                    self.open_exercise(Some(title), None);
                    self.tasks[self.exercise] = opened == Opened::Task;
                    self.zone = Some(Zone::Statement);
                }
            }
        }
    }

    pub(super) fn environment_title(&mut self, name: &str, title: Option<String>) -> String {
        let letters = name.trim_end_matches(|letter: char| letter.is_ascii_digit());
        let mut word = String::new();
        for (position, letter) in letters.chars().enumerate() {
            if position == 0 {
                word.extend(letter.to_uppercase());
            } else {
                word.push(letter);
            }
        }
        let digits = &name[letters.len()..];
        if let Some(title) = title {
            if title
                .chars()
                .next()
                .is_some_and(|first| first.is_ascii_digit())
                && title.chars().count() <= 4
            {
                return format!("{word} {title}");
            }
            // A declared heading ("Exercise 1") is the title itself.
            let own = title.to_lowercase().starts_with(&letters.to_lowercase());
            let numbered = title.chars().any(|letter| letter.is_ascii_digit());
            return if own && numbered {
                title
            } else if own {
                let count = self.environment_counts.entry(name.to_owned()).or_insert(0);
                *count += 1;
                format!("{title} {count}")
            } else {
                format!("{word} ({title})")
            };
        }
        if !digits.is_empty() {
            return format!("{word} {digits}");
        }
        let count = self.environment_counts.entry(name.to_owned()).or_insert(0);
        *count += 1;
        format!("{word} {count}")
    }

    /// The list item in which a block stands.
    pub(super) fn item_of(&self, position: usize) -> Option<usize> {
        let block = &self.document.blocks[position];
        block.containers.iter().rev().copied().find(|index| {
            matches!(
                self.document
                    .containers
                    .get(*index)
                    .map(|container| &container.kind),
                Some(ContainerKind::Item { .. })
            )
        })
    }

    /// An enumerated item that begins with this block.
    pub(super) fn items(&mut self, position: usize, sentences: &[Sentence]) {
        let item = self.item_of(position);
        if item == self.item {
            return;
        }
        let before = self.item;
        self.item = item;
        self.listed = match (before, item) {
            (Some(_), Some(_)) => self.listed + 1,
            _ => usize::from(item.is_some()),
        };
        let Some(index) = item else {
            // Behind a list of parts the exercise itself goes on; behind a single item its text.
            let several = std::mem::take(&mut self.several);
            if several
                && before.is_some()
                && self.listed_part
                && self.frames[self.current].parent == Some(self.exercise)
            {
                self.current = self.exercise;
                self.zone = None;
            }
            return;
        };
        self.several = self.listed > 1;
        let Some(container) = self.document.containers.get(index) else {
            return;
        };
        let ContainerKind::Item { label, depth } = &container.kind else {
            return;
        };
        let bare: String = label
            .chars()
            .filter(|letter| letter.is_alphanumeric() || *letter == '.')
            .collect::<String>()
            .trim_end_matches('.')
            .to_lowercase();
        if bare.is_empty() {
            return;
        }
        // "7. ⇒ …" is a step of its own, and does not go on with the one before.
        let steps = sentences
            .first()
            .and_then(|sentence| sentence.tokens.first());
        let steps = steps.is_some_and(|first| {
            matches!(first.kind, TokenKind::Arrow(_) | TokenKind::Statement(_))
        });
        if self.listed > 1 && self.zone == Some(Zone::Proof) && steps {
            self.label_before = true;
        }
        let within: Vec<&Sentence> = sentences.iter().collect();
        let gives = within.iter().any(|sentence| gives_values(&sentence.tokens));
        let states = gives || within.iter().any(|sentence| is_task(&sentence.tokens));
        let numeric = bare.starts_with(|first: char| first.is_ascii_digit());
        if self.parts.contains_key(&(self.exercise, bare.clone())) {
            self.enter_part(&bare);
        } else if self.zone == Some(Zone::Proof) || !states {
            // Steps of a proof, a list of facts, or parts of the task before the list.
            self.item_part = Some(bare);
        } else if numeric && *depth == 1 && (gives || self.numbered || !self.states_something()) {
            self.open_exercise(Some(bare), None);
            self.numbered = true;
            self.label_before = true;
        } else {
            self.enter_part(&bare);
        }
    }

    /// When all parts were stated and none was proved, what follows belongs to the exercise.
    pub(super) fn leave_parts(&mut self) {
        let parts: Vec<usize> = self
            .parts
            .iter()
            .filter(|((exercise, _), _)| *exercise == self.exercise)
            .map(|(_, argument)| *argument)
            .collect();
        if parts.len() >= 2 && !parts.iter().any(|part| self.has_proof(*part)) {
            self.current = self.exercise;
        }
    }

    pub(super) fn enter_part(&mut self, part: &str) {
        self.listed_part = self.item.is_some();
        let key = (self.exercise, part.to_owned());
        if let Some(known) = self.parts.get(&key) {
            let zone = self.zone;
            self.current = *known;
            self.zone = zone
                .or(Some(Zone::Proof))
                .filter(|_| zone.is_some() || self.has_units(*known));
            return;
        }
        let zone = self.zone;
        let title = match &self.frames[self.exercise].title {
            Some(title) => format!("{title}({part})"),
            None if part.starts_with(|first: char| first.is_ascii_digit()) => part.to_owned(),
            None => format!("({part})"),
        };
        let argument = self.open(Some(title), Some(self.exercise));
        self.parts.insert(key, argument);
        self.zone = zone.filter(|zone| *zone != Zone::Statement || self.environment.is_some());
    }

    pub(super) fn has_units(&self, argument: usize) -> bool {
        self.units.iter().any(|unit| unit.argument == argument)
    }
}

/// The part that the title of a proof names in brackets: "Solution of (a)".
fn part_in_title(title: &str) -> Option<String> {
    let (_, behind) = title.split_once('(')?;
    let (part, _) = behind.split_once(')')?;
    let part = part.trim();
    let letters = !part.is_empty()
        && part.len() <= LONGEST_PART
        && part.chars().all(|letter| letter.is_ascii_lowercase());
    letters.then(|| part.to_owned())
}
