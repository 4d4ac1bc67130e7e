//! Expansion of user macros: text in, text out, every byte still knowing where it was typed.
//!
//! A stack of texts is read from the top, as TeX reads: a call pushes its body with the arguments
//! put in, and reading goes on there. Nothing recurses, and every call is bounded.

use super::COURSE;
use super::block::{Notice, NoticeKind};
use super::commands::is_math_environment;
use super::macros::{BodyPart, Definition, Macros, Parameter, is_definition_command};
use super::tex::{
    blank_line_follows, brace_pairs, command_at, ends_in_control_word, mark_at, skip_space, verb_at,
};
use crate::limits;
use crate::text::mapped::Mapped;
use crate::text::span::Span;

/// Takes in the course's usual macros.
pub(crate) fn learn_course(macros: &mut Macros<'_>) {
    if let Some(text) = macros.companions.get(COURSE) {
        let whole = Mapped::verbatim(text, Span::new(0, text.len()));
        // What is wrong with them is for the course to hear, not for the draft.
        expand(super::strip::strip(&whole), macros, &mut Vec::new());
    }
}

/// Expands every user macro in `input`; definitions in it take force from their place on and
/// leave nothing behind.
pub(crate) fn expand(input: Mapped, macros: &mut Macros<'_>, notices: &mut Vec<Notice>) -> Mapped {
    if macros.is_empty() && !input.text().contains('\\') {
        return input;
    }
    let mut expander = Expander {
        macros,
        notices,
        frames: vec![Frame::file(input, false)],
        output: Mapped::new(),
        call: None,
        joint: false,
    };
    expander.run();
    expander.output
}

/// A text that is being read.
struct Frame {
    text: Mapped,
    pairs: Vec<(usize, usize)>,
    at: usize,
    /// The draft or a file, not an expansion.
    file: bool,
    /// A file read for its macros only.
    quiet: bool,
}

impl Frame {
    fn file(text: Mapped, quiet: bool) -> Self {
        Self {
            pairs: brace_pairs(text.text()),
            text,
            at: 0,
            file: true,
            quiet,
        }
    }

    fn expansion(text: Mapped, quiet: bool) -> Self {
        Self {
            file: false,
            ..Self::file(text, quiet)
        }
    }
}

/// A call in the draft that is being expanded.
struct Call {
    name: String,
    /// Where the call's command stands in the file's text: start and end.
    command: (usize, usize),
    output: usize,
    expansions: usize,
    bytes: usize,
}

struct Expander<'a, 'm> {
    macros: &'a mut Macros<'m>,
    notices: &'a mut Vec<Notice>,
    frames: Vec<Frame>,
    output: Mapped,
    call: Option<Call>,
    /// The next text comes from another place than the last: a control word must not grow.
    joint: bool,
}

impl Expander<'_, '_> {
    fn run(&mut self) {
        while let Some(frame) = self.frames.last_mut() {
            if frame.file && frame.text.len() <= frame.at {
                self.frames.pop();
                continue;
            }
            if frame.file {
                self.call = None;
            }
            if frame.text.len() <= frame.at {
                self.frames.pop();
                self.joint = true;
                continue;
            }
            let text = frame.text.text();
            let start = frame.at;
            let slash = text[start..].find('\\').map(|found| start + found);
            let Some(slash) = slash else {
                let end = text.len();
                self.copy(start, end);
                continue;
            };
            self.copy(start, slash);
            self.command(slash);
        }
    }

    /// Copies a part of the top text to the output and moves on behind it.
    fn copy(&mut self, start: usize, end: usize) {
        let Some(frame) = self.frames.last_mut() else {
            return;
        };
        frame.at = end;
        if frame.quiet || end <= start {
            return;
        }
        let text = &frame.text.text()[start..end];
        if self.joint {
            separate(&mut self.output, text, frame.text.span(start..end));
        }
        self.joint = false;
        self.output.push_mapped(&frame.text, start..end);
    }

    fn command(&mut self, slash: usize) {
        let Some(frame) = self.frames.last_mut() else {
            return;
        };
        let text = frame.text.text();
        let Some((name, end)) = command_at(text, slash) else {
            let end = text.len();
            self.copy(slash, end);
            return;
        };
        if let Some((_, end)) = verb_at(text, slash) {
            self.copy(slash, end);
            return;
        }
        if is_definition_command(name) {
            let defined = self.macros.define(name, text, end, &frame.pairs);
            match defined {
                Some(end) => frame.at = end,
                None => self.copy(slash, end),
            }
            return;
        }
        match name {
            "begin" | "end" => self.environment(slash, end),
            "input" | "include" | "usepackage" => self.include(slash, end),
            _ => {
                let name = name.to_owned();
                self.user_macro(&name, slash, end);
            }
        }
    }

    fn user_macro(&mut self, name: &str, slash: usize, end: usize) {
        let definition = match self.macros.get(name) {
            Some(definition) if !self.macros.blocked.contains(name) => definition.clone(),
            _ => return self.copy(slash, end),
        };
        if !self.enter(name, slash, end) {
            return;
        }
        match definition {
            Definition::Alias(printed) => {
                let span = self.span_of(slash, end);
                self.skip_to(end);
                if self.frames.last().is_some_and(|frame| !frame.quiet) {
                    separate(&mut self.output, &printed, span);
                    self.output.push_replacement(&printed, span);
                    self.joint = true;
                }
            }
            Definition::Paired(left, right) => self.paired(slash, end, &left, &right),
            Definition::Macro {
                prefix,
                parameters,
                body,
            } => {
                let text = self.top_text(end);
                let prefix_end = if prefix.is_empty() && parameters.is_empty() {
                    end
                } else if prefix.is_empty() {
                    // TeX skips the space behind a command word.
                    end + skip_space(text, 0)
                } else if text.starts_with(&prefix) {
                    end + prefix.len()
                } else {
                    return self.copy(slash, end);
                };
                let own_frame = self.frames.len();
                self.skip_to(prefix_end);
                let arguments = self.arguments(&parameters);
                let span = self.call_span(own_frame, slash, end);
                self.push_body(&body, &arguments, span);
            }
        }
    }

    /// Counts a call; false if a limit forbids it, which then leaves the whole call in the draft
    /// as written.
    fn enter(&mut self, name: &str, slash: usize, end: usize) -> bool {
        if self.call.is_none() {
            self.call = Some(Call {
                name: name.to_owned(),
                command: (slash, end),
                output: self.output.len(),
                expansions: 0,
                bytes: 0,
            });
        }
        self.macros.expansions += 1;
        let Some(call) = self.call.as_mut() else {
            return false;
        };
        call.expansions += 1;
        let depth = self.frames.len();
        let exceeded = if limits::EXPANSIONS_PER_DRAFT < self.macros.expansions
            || limits::EXPANSION_BYTES_PER_DRAFT < self.macros.bytes
        {
            Some("macro expansions in the draft")
        } else if limits::EXPANSIONS_PER_CALL < call.expansions
            || limits::EXPANSION_BYTES_PER_CALL < call.bytes
        {
            Some("macro expansions for one call")
        } else if limits::MACRO_DEPTH < depth {
            Some("depth of macros in macros")
        } else {
            None
        };
        let Some(limit) = exceeded else {
            return true;
        };
        self.roll_back(limit, name);
        false
    }

    fn roll_back(&mut self, limit: &'static str, innermost: &str) {
        let Some(call) = self.call.take() else {
            return;
        };
        while self.frames.last().is_some_and(|frame| !frame.file) {
            self.frames.pop();
        }
        self.output.truncate(call.output);
        let Some(frame) = self.frames.last() else {
            return;
        };
        let (start, end) = call.command;
        let notice = Notice {
            kind: NoticeKind::LimitExceeded(limit),
            span: frame.text.span(start..end),
        };
        if !frame.quiet && !self.notices.contains(&notice) {
            self.notices.push(notice);
        }
        self.macros.blocked.insert(call.name);
        self.macros.blocked.insert(innermost.to_owned());
        self.copy(start, end);
    }

    fn paired(&mut self, slash: usize, end: usize, left: &str, right: &str) {
        let own_frame = self.frames.len();
        self.skip_to(end);
        let parameters = [
            Parameter::Star,
            Parameter::Optional(String::new()),
            Parameter::Mandatory,
        ];
        let arguments = self.arguments(&parameters);
        let size = arguments[1].text().trim().to_owned();
        let (before, after) = if !arguments[0].is_empty() {
            (format!("\\left{left} "), format!("\\right{right} "))
        } else if size.is_empty() {
            (format!("{left} "), format!("{right} "))
        } else {
            (format!("{size}l{left} "), format!("{size}r{right} "))
        };
        let body = [
            BodyPart::Text(before),
            BodyPart::Argument(2),
            BodyPart::Text(after),
        ];
        let span = self.call_span(own_frame, slash, end);
        self.push_body(&body, &arguments, span);
    }

    fn environment(&mut self, slash: usize, end: usize) {
        let Some(frame) = self.frames.last() else {
            return;
        };
        let Some(mark) = mark_at(frame.text.text(), slash) else {
            return self.copy(slash, end);
        };
        let definition = match self.macros.environment(mark.name) {
            Some(definition) if !is_math_environment(mark.name) => definition.clone(),
            _ => {
                let end = mark.end;
                return self.copy(slash, end);
            }
        };
        let (begins, mark_end, name) = (mark.begins, mark.end, mark.name.to_owned());
        if !definition.expands {
            self.copy(slash, mark_end);
            if begins {
                self.title_arguments(&definition.parameters);
            }
            return;
        }
        if !self.enter(&name, slash, end) {
            return;
        }
        let own_frame = self.frames.len();
        self.skip_to(mark_end);
        let arguments = if begins {
            self.arguments(&definition.parameters)
        } else {
            Vec::new()
        };
        let span = self.call_span(own_frame, slash, mark_end);
        let body = if begins {
            &definition.begin
        } else {
            &definition.end
        };
        self.push_body(body, &arguments, span);
    }

    /// Arguments of an environment whose name is kept are printed as its optional argument.
    fn title_arguments(&mut self, parameters: &[Parameter]) {
        let Some(quiet) = self.frames.last().map(|frame| frame.quiet) else {
            return;
        };
        let mut title = Mapped::new();
        for argument in self.arguments(parameters) {
            if !title.is_empty() {
                title.push_replacement(" ", argument.span(0..0));
            }
            title.push_mapped(&argument, 0..argument.len());
        }
        if title.is_empty() || quiet || title.text().contains(']') {
            return;
        }
        let span = title.whole();
        self.output
            .push_replacement("[", Span::new(span.start, span.start));
        self.output.push_mapped(&title, 0..title.len());
        self.output
            .push_replacement("]", Span::new(span.end, span.end));
    }

    fn include(&mut self, slash: usize, end: usize) {
        let Some(frame) = self.frames.last_mut() else {
            return;
        };
        let text = frame.text.text();
        let package = text[slash..end].ends_with("package");
        let mut at = skip_space(text, end);
        if package && let Some(options) = super::tex::bracket_at(text, at) {
            at = skip_space(text, options.end + 1);
        }
        let name = match super::tex::group_at(text, at) {
            Some(inside) => inside,
            None if package => return self.copy(slash, end),
            None => {
                let length = text[at..].find(char::is_whitespace);
                at..length.map_or(text.len(), |length| at + length)
            }
        };
        let after = if text[at..].starts_with('{') {
            name.end + 1
        } else {
            name.end
        };
        let written = text[name].trim().to_owned();
        let span = frame.text.span(slash..after);
        let quiet = frame.quiet;
        let found = [
            written.clone(),
            format!("{written}.tex"),
            format!("{written}.sty"),
        ]
        .into_iter()
        .find(|name| self.macros.companions.contains_key(name));
        if !package && !quiet {
            self.macros.includes.push((written.clone(), span));
            if found.is_none() {
                let kind = NoticeKind::MissingInclude(written);
                self.notices.push(Notice { kind, span });
            }
        }
        frame.at = after;
        let Some(name) = found else {
            return;
        };
        if limits::INCLUDES <= self.macros.read_files.len()
            || !self.macros.read_files.insert(name.clone())
        {
            return;
        }
        if let Some(text) = self.macros.companions.get(&name) {
            let whole = Mapped::verbatim(text, Span::new(0, text.len()));
            let stripped = super::strip::strip(&whole);
            self.frames.push(Frame::file(stripped, true));
        }
    }

    /// The rest of the top text from `at` on.
    fn top_text(&self, at: usize) -> &str {
        self.frames
            .last()
            .and_then(|frame| frame.text.text().get(at..))
            .unwrap_or_default()
    }

    fn skip_to(&mut self, at: usize) {
        if let Some(frame) = self.frames.last_mut() {
            frame.at = at;
        }
    }

    fn span_of(&self, start: usize, end: usize) -> Span {
        self.frames
            .last()
            .map_or_else(Span::default, |frame| frame.text.span(start..end))
    }

    /// The span of a call: with its arguments if they stand in the same text.
    fn call_span(&self, own_frame: usize, slash: usize, end: usize) -> Span {
        let Some(frame) = self.frames.last() else {
            return Span::default();
        };
        if own_frame == self.frames.len() {
            frame.text.span(slash..frame.at.max(end))
        } else {
            frame.text.span(frame.at.saturating_sub(1)..frame.at)
        }
    }

    fn push_body(&mut self, body: &[BodyPart], arguments: &[Mapped], span: Span) {
        let mut text = Mapped::new();
        for part in body {
            match part {
                BodyPart::Text(words) => {
                    separate(&mut text, words, span);
                    text.push_replacement(words, span);
                }
                BodyPart::Argument(index) => {
                    if let Some(argument) = arguments.get(*index) {
                        separate(&mut text, argument.text(), span);
                        text.push_mapped(argument, 0..argument.len());
                    }
                }
            }
        }
        let bytes = text.len();
        self.macros.bytes += bytes;
        if let Some(call) = self.call.as_mut() {
            call.bytes += bytes;
        }
        let quiet = self.frames.last().is_some_and(|frame| frame.quiet);
        self.frames.push(Frame::expansion(text, quiet));
        self.joint = true;
    }

    fn arguments(&mut self, parameters: &[Parameter]) -> Vec<Mapped> {
        parameters
            .iter()
            .map(|parameter| self.argument(parameter))
            .collect()
    }

    fn argument(&mut self, parameter: &Parameter) -> Mapped {
        // Exhausted expansions are left, so that a body may end in a macro that takes what
        // follows the call.
        while let [.., outer, top] = self.frames.as_slice() {
            let spent = skip_space(top.text.text(), top.at) == top.text.len();
            if top.file || !spent || outer.text.is_empty() {
                break;
            }
            self.frames.pop();
        }
        let Some(frame) = self.frames.last_mut() else {
            return Mapped::new();
        };
        let text = frame.text.text();
        let start = skip_space(text, frame.at);
        let next = text[start..].chars().next();
        match parameter {
            Parameter::Star if next == Some('*') => {
                frame.at = start + 1;
                frame.text.slice(start..start + 1)
            }
            Parameter::Star => Mapped::new(),
            Parameter::Optional(default) => match super::tex::bracket_at(text, start) {
                Some(inside) => {
                    frame.at = inside.end + 1;
                    frame.text.slice(inside)
                }
                None => {
                    let place = frame.text.span(frame.at..frame.at);
                    let mut argument = Mapped::new();
                    argument.push_replacement(default, place);
                    argument
                }
            },
            Parameter::Mandatory => frame.mandatory(start, next),
            Parameter::Delimited(delimiter) => frame.delimited(delimiter),
        }
    }
}

impl Frame {
    fn mandatory(&mut self, start: usize, next: Option<char>) -> Mapped {
        let text = self.text.text();
        let range = match next {
            Some('{') => match self.pairs.binary_search_by_key(&start, |&(open, _)| open) {
                Ok(index) => {
                    let (open, close) = self.pairs[index];
                    self.at = close + 1;
                    open + 1..close
                }
                Err(_) => {
                    let end = formula_end(text, start + 1);
                    self.at = end;
                    start + 1..end
                }
            },
            Some('\\') if !ends_formula(text, start) => {
                let end = command_at(text, start).map_or(start, |(_, end)| end);
                self.at = end;
                start..end
            }
            // An argument is missing: what ends the formula must stay.
            None | Some('}' | '$' | '&' | '\n' | '\\') => start..start,
            Some(character) => {
                let end = start + character.len_utf8();
                self.at = end;
                start..end
            }
        };
        self.text.slice(range)
    }

    fn delimited(&mut self, delimiter: &str) -> Mapped {
        let text = self.text.text();
        let start = self.at;
        let mut at = start;
        while at < text.len() {
            if text[at..].starts_with(delimiter) {
                self.at = at + delimiter.len();
                return self.text.slice(start..at);
            }
            let pair = self.pairs.binary_search_by_key(&at, |&(open, _)| open);
            at = match (text.as_bytes()[at], pair) {
                (b'{', Ok(index)) => self.pairs[index].1 + 1,
                (b'\n', _) if blank_line_follows(text, at) => break,
                (b'\\', _) => command_at(text, at).map_or(text.len(), |(_, end)| end),
                _ => at + text[at..].chars().next().map_or(1, char::len_utf8),
            };
        }
        Mapped::new()
    }
}

/// Whether a command at `at` ends a formula or an environment.
fn ends_formula(text: &str, at: usize) -> bool {
    ["\\end", "\\]", "\\)"]
        .iter()
        .any(|mark| text[at..].starts_with(mark))
}

/// Where an argument without closing brace ends: before what ends the formula.
fn formula_end(text: &str, start: usize) -> usize {
    let bytes = text.as_bytes();
    let mut at = start;
    while at < bytes.len() {
        match bytes[at] {
            b'$' => return at,
            b'\\' if ends_formula(text, at) => return at,
            b'\\' => at += 1,
            b'\n' if blank_line_follows(text, at) => return at,
            _ => {}
        }
        at += 1;
    }
    bytes.len()
}

/// Puts a space between a control word and a letter that would join its name.
fn separate(output: &mut Mapped, next: &str, span: Span) {
    if next.starts_with(|c: char| c.is_ascii_alphabetic()) && ends_in_control_word(output.text()) {
        output.push_replacement(" ", Span::new(span.start, span.start));
    }
}
