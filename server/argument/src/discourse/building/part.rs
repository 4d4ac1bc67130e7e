//! Parts (a), (b), … inside one sentence or paragraph.

use super::*;

impl Builder<'_> {
    /// "Show that f_n → 1 uniformly (a) on A, (b) on B": parts inside one sentence.
    pub(super) fn parts_inside(&mut self, sentence: Sentence) {
        let borders = part_borders(&sentence.tokens);
        if borders.len() < 2 || self.zone == Some(Zone::Proof) || borders[0].0 == 0 {
            self.add(sentence);
            return;
        }
        let head: Vec<Token> = sentence.tokens[..borders[0].0].to_vec();
        self.add(Sentence {
            tokens: head.clone(),
            ..sentence.clone()
        });
        self.parts_of(&head, &sentence, &borders);
    }

    /// "Solution of (a).", "Proof of part (b).": the part that a label names.
    pub(super) fn solved_part(&mut self, label: &[Token]) {
        let named = (1..label.len()).find_map(|at| {
            let behind = matches!(label[at - 1].word(), Some("of" | "to" | "for" | "part"));
            label::part_at(label, at)
                .filter(|_| behind)
                .map(|(part, _)| part)
                .filter(|part| self.parts.contains_key(&(self.exercise, part.clone())))
        });
        if let Some(part) = named {
            self.enter_part(&part);
        }
    }

    /// Parts of a task, each with the task's words before its own.
    pub(super) fn parts_of(
        &mut self,
        head: &[Token],
        sentence: &Sentence,
        borders: &[(usize, usize, String)],
    ) {
        let (exercise, zone) = (self.exercise, self.zone);
        for (position, (at, length, part)) in borders.iter().enumerate() {
            let end = borders
                .get(position + 1)
                .map_or(sentence.tokens.len(), |next| next.0);
            let mut tokens = head.to_vec();
            tokens.extend_from_slice(&sentence.tokens[at + length..end]);
            self.enter_part(part);
            self.units.push(Unit {
                argument: self.current,
                zone: Some(Zone::Statement),
                sentence: Sentence {
                    tokens,
                    ..sentence.clone()
                },
                borrowed: head.len(),
                label_before: false,
            });
        }
        self.current = exercise;
        self.zone = zone;
    }

    /// The task that the sentence before begins and this paragraph's parts complete; a task that
    /// is a whole sentence is completed by a set: "… on the given set? (a) on [0, 1]".
    pub(super) fn open_task(&self, next: &Sentence) -> Option<Vec<Token>> {
        let last = self.units.iter().rev().find(|unit| unit.borrowed == 0)?;
        let label = label::part_at(&next.tokens, 0).map_or(0, |(_, length)| length);
        let open = last.argument == self.exercise
            && last.zone != Some(Zone::Proof)
            && last.borrowed == 0
            && (!last.sentence.is_closed() || names_place(&next.tokens[label..]))
            && is_task(&last.sentence.tokens);
        let mut head = last.sentence.tokens.clone();
        while head
            .last()
            .is_some_and(|last| last.is(Mark::Question) || last.is(Mark::Period))
        {
            head.pop();
        }
        open.then_some(head)
    }
}
