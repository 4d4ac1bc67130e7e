//! Groups and environments of LaTeX: what is open, and how it closes.

use super::Reader;
use super::lists::List;
use crate::limits;
use crate::reader::assemble::Handle;
use crate::reader::block::{BlockKind, ContainerKind, NoticeKind, Style};
use crate::reader::commands::{is_math_environment, is_skipped_environment, layout_environment};
use crate::reader::tex::{Mark, bracket_at, command_at, group_at, skip_space};
use crate::text::span::Span;
use std::ops::Range;

/// Something open.
pub(super) enum Open {
    /// A brace.
    Group {
        /// The style outside.
        style: Style,
        /// It is a text command's argument, so that it ends with the paragraph.
        argument: bool,
        closing: Closing,
    },
    Environment {
        name: String,
        /// The opening mark.
        mark: Span,
        container: Option<Handle>,
        /// The style outside.
        style: Style,
        list: Option<List>,
        table: bool,
    },
}

/// What the end of a group does.
pub(super) enum Closing {
    Nothing,
    /// Ends a heading.
    Heading,
    /// Prints words.
    Words(&'static str),
}

impl Reader<'_> {
    pub(super) fn open_group(&mut self) {
        self.stack.push(Open::Group {
            style: self.style,
            argument: false,
            closing: Closing::Nothing,
        });
    }

    /// Opens the argument at `brace` of a text command that changes the style.
    pub(super) fn open_argument(&mut self, brace: usize, style: Style, closing: Closing) {
        self.stack.push(Open::Group {
            style: self.style,
            argument: true,
            closing,
        });
        self.style = style;
        self.at = brace + 1;
    }

    /// Closes the innermost group; a stray brace closes nothing.
    pub(super) fn close_group(&mut self) {
        let lists = self.stack.iter().rev();
        let implicit = lists.take_while(|open| open.is_implicit_list()).count();
        let place = self.stack.len() - implicit;
        let group = place.checked_sub(1).map(|place| &self.stack[place]);
        if matches!(group, Some(Open::Group { .. })) {
            for _ in 0..=implicit {
                self.pop();
            }
        }
    }

    /// Closes the innermost open thing.
    pub(super) fn pop(&mut self) {
        match self.stack.pop() {
            Some(Open::Group { style, closing, .. }) => {
                match closing {
                    Closing::Nothing => {}
                    Closing::Heading => self.assembler.end_block(),
                    Closing::Words(words) => {
                        let at = self.at;
                        self.put_label(words, at..at);
                    }
                }
                self.style = style;
            }
            Some(Open::Environment {
                container,
                style,
                list,
                ..
            }) => {
                self.style = style;
                let end = self.source.span(self.at..self.at).start;
                if let Some(item) = list.and_then(|list| list.item) {
                    self.assembler.close(item, end);
                }
                match container {
                    Some(container) => self.assembler.close(container, end),
                    None => self.assembler.end_block(),
                }
            }
            None => {}
        }
    }

    /// Closes everything at the end of the draft; environments that are still open are noticed.
    pub(super) fn close_rest(&mut self) {
        while let Some(open) = self.stack.last() {
            if let Open::Environment { name, mark, .. } = open
                && !name.is_empty()
            {
                let kind = NoticeKind::UnmatchedEnvironment(name.clone());
                self.assembler.notice(kind, *mark);
            }
            self.pop();
        }
    }

    pub(super) fn in_table(&self) -> bool {
        self.stack
            .iter()
            .rev()
            .find(|open| matches!(open, Open::Environment { .. }))
            .is_some_and(|open| matches!(open, Open::Environment { table: true, .. }))
    }

    pub(super) fn next_cell(&mut self) {
        self.assembler.begin_block(BlockKind::Cell);
    }

    pub(super) fn environment_mark(&mut self, mark: Mark<'_>) {
        let start = self.at;
        if !mark.begins {
            self.at = mark.end;
            return self.end_environment(mark.name, start);
        }
        if is_math_environment(mark.name) && self.formula() {
            return;
        }
        self.at = mark.end;
        if is_skipped_environment(mark.name) {
            let span = self.source.span(start..mark.end);
            let kind = NoticeKind::UnmatchedEnvironment(mark.name.to_owned());
            return self.assembler.notice(kind, span);
        }
        self.begin_environment(mark.name, start);
    }

    fn begin_environment(&mut self, name: &str, start: usize) {
        if name == "document" {
            return;
        }
        self.assembler.end_block();
        let (mut container, mut list, mut table) = (None, None, false);
        if let Some(found) = self.list_of(name) {
            list = Some(found);
        } else if let Some(arguments) = layout_environment(name) {
            self.drop_arguments(arguments);
        } else if matches!(name, "tabular" | "tabularx" | "longtable" | "tabulary") {
            self.drop_arguments(if matches!(name, "tabularx" | "tabulary") {
                2
            } else {
                1
            });
            table = true;
        } else {
            let (title, formulas) = self.environment_title(name);
            let span = self.source.span(start..self.at);
            let kind = if matches!(name, "quote" | "quotation" | "verse") {
                ContainerKind::Quote
            } else {
                ContainerKind::Environment {
                    name: name.to_owned(),
                    title,
                }
            };
            container = Some(self.assembler.open(kind, span));
            if let Some(inside) = formulas {
                self.assembler.begin_block(BlockKind::Heading(TITLE_LEVEL));
                self.inside(inside);
                self.assembler.end_block();
            }
        }
        self.stack.push(Open::Environment {
            name: name.to_owned(),
            mark: self.source.span(start..self.at),
            container,
            style: self.style,
            list,
            table,
        });
        if table {
            self.next_cell();
        }
    }

    /// The optional argument, or a short braced one, with the title that `\newtheorem` gives; and
    /// where it stands if there are formulas in it.
    fn environment_title(&mut self, name: &str) -> (Option<String>, Option<Range<usize>>) {
        const SHORT: usize = 60;
        let spaces =
            self.text[self.at..].len() - self.text[self.at..].trim_start_matches(' ').len();
        let mut written = None;
        let mut formulas = None;
        if let Some(inside) = bracket_at(self.text, self.at + spaces) {
            self.at = inside.end + 1;
            written = Some(plain_text(&self.text[inside.clone()]));
            formulas = Some(inside).filter(|inside| holds_formula(&self.text[inside.clone()]));
        } else if let Some(inside) = group_at(self.text, self.at) {
            let short = inside.len() <= SHORT && !self.text[inside.clone()].contains(['$', '\\']);
            let alone = self.text[inside.end + 1..]
                .trim_start_matches([' ', '\t'])
                .starts_with(['\n', '\r']);
            if short && alone {
                self.at = inside.end + 1;
                written = Some(plain_text(&self.text[inside]));
            }
        }
        let shown = self
            .macros
            .theorem_title(name)
            .map(plain_text)
            .filter(|shown| !shown.eq_ignore_ascii_case(name) && !shown.is_empty());
        let title = match (shown, written) {
            (Some(shown), Some(written)) => Some(format!("{shown} ({written})")),
            (shown, written) => shown.or(written),
        };
        (title, formulas)
    }

    /// Reads a part that was skipped, as text of its own.
    pub(super) fn inside(&mut self, part: Range<usize>) {
        let (after, depth, style) = (self.at, self.stack.len(), self.style);
        self.at = part.start;
        self.run(part.end);
        while depth < self.stack.len() {
            self.pop();
        }
        self.style = style;
        self.at = after.max(self.at);
    }

    fn end_environment(&mut self, name: &str, start: usize) {
        if name == "document" {
            return;
        }
        let place = self
            .stack
            .iter()
            .rev()
            .take(limits::OPEN_THINGS)
            .position(|open| matches!(open, Open::Environment { name: open, .. } if open == name))
            .map(|above| self.stack.len() - 1 - above);
        let Some(place) = place else {
            let span = self.source.span(start..self.at);
            let kind = NoticeKind::UnmatchedEnvironment(name.to_owned());
            return self.assembler.notice(kind, span);
        };
        while place + 1 < self.stack.len() {
            if let Some(Open::Environment { name, mark, .. }) = self.stack.last()
                && !name.is_empty()
            {
                let kind = NoticeKind::UnmatchedEnvironment(name.clone());
                self.assembler.notice(kind, *mark);
            }
            self.pop();
        }
        self.pop();
    }

    /// Skips optional arguments and up to `count` braced ones.
    pub(super) fn drop_arguments(&mut self, count: usize) {
        let mut left = count;
        loop {
            let next = skip_space(self.text, self.at);
            if let Some(inside) = bracket_at(self.text, next) {
                self.at = inside.end + 1;
            } else if let Some(inside) = group_at(self.text, next).filter(|_| 0 < left) {
                self.at = inside.end + 1;
                left -= 1;
            } else {
                return;
            }
        }
    }
}

impl Open {
    /// A list that was never begun: `\item` stands somewhere else.
    pub(super) fn is_implicit_list(&self) -> bool {
        matches!(self, Self::Environment { name, .. } if name.is_empty())
    }
}

/// Level of a heading made of an environment's title: below all others.
const TITLE_LEVEL: u8 = 6;

/// Whether a title or label has formulas, which must not be lost.
pub(super) fn holds_formula(source: &str) -> bool {
    source.contains('$') || source.contains("\\(")
}

/// Source without commands and braces, for titles and labels; formulas stay as typed.
pub(super) fn plain_text(source: &str) -> String {
    let mut output = String::new();
    let mut at = 0;
    while let Some(character) = source[at..].chars().next() {
        match character {
            '\\' => {
                let Some((name, end)) = command_at(source, at) else {
                    break;
                };
                at = end;
                output.push_str(crate::reader::commands::text_symbol(name).unwrap_or_default());
                continue;
            }
            '$' => {
                let end = source[at + 1..]
                    .find('$')
                    .map_or(source.len(), |end| at + end + 2);
                output.push_str(&source[at..end]);
                at = end;
                continue;
            }
            '{' | '}' => {}
            '~' => output.push(' '),
            _ => output.push(character),
        }
        at += character.len_utf8();
    }
    output.split_whitespace().collect::<Vec<_>>().join(" ")
}
