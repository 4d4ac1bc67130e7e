//! Commands of LaTeX's running text.

use super::Reader;
use super::environments::Closing;
use crate::reader::block::{BlockKind, Style};
use crate::reader::commands::{
    accented, dropped_arguments, heading_level, is_known_math_command, leading_arguments,
    text_symbol,
};
use crate::reader::delimiters::Opener;
use crate::reader::formula;
use crate::reader::tex::{bracket_at, command_at, group_at, mark_at, skip_space, verb_at};

impl Reader<'_> {
    /// Reads what starts with a backslash.
    pub(super) fn backslash(&mut self) {
        let start = self.at;
        if let Some(mark) = mark_at(self.text, start) {
            return self.environment_mark(mark);
        }
        if let Some((inside, end)) = verb_at(self.text, start) {
            self.keep(inside);
            self.at = end;
            return;
        }
        let Some((name, end)) = command_at(self.text, start) else {
            self.at = start + 1;
            return;
        };
        if matches!(name, "(" | "[") && self.formula() {
            return;
        }
        self.at = end;
        if self.structure(name, start, end) || self.styled(name, end) {
            return;
        }
        if self.reference(name, start, end) || self.accent(name, start, end) {
            return;
        }
        if let Some(printed) = text_symbol(name) {
            if !printed.is_empty() {
                self.put(printed, start..end);
            }
            // TeX skips the space after a command word.
            if printed.is_empty() || name.starts_with(|c: char| c.is_ascii_alphabetic()) {
                self.skip_blanks();
            }
            return;
        }
        if let Some(count) = dropped_arguments(name) {
            self.star();
            self.drop_arguments(count);
            return;
        }
        if is_known_math_command(name)
            && leading_arguments(name) == 0
            && !matches!(name, ")" | "]" | "begin" | "end")
        {
            return self.bare_mathematics(start, end);
        }
        // An unknown command, or one that only places its argument.
        self.star();
        if let Some(inside) = bracket_at(self.text, self.at) {
            self.at = inside.end + 1;
        }
        self.drop_arguments_if(leading_arguments(name));
    }

    fn drop_arguments_if(&mut self, count: usize) {
        if 0 < count {
            self.drop_arguments(count);
        }
    }

    fn star(&mut self) {
        if self.text[self.at..].starts_with('*') {
            self.at += 1;
        }
    }

    fn skip_blanks(&mut self) {
        let rest = &self.text[self.at..];
        self.at += rest.len() - rest.trim_start_matches([' ', '\t']).len();
    }

    /// Headings, items, line ends.
    fn structure(&mut self, name: &str, start: usize, end: usize) -> bool {
        match name {
            "item" | "task" => self.item(start, end, false),
            "question" => self.item(start, end, true),
            "part" if self.in_list_named("parts") => self.item(start, end, true),
            "subpart" => self.item(start, end, true),
            "par" => self.end_paragraph(),
            "\\" | "newline" | "tabularnewline" => {
                self.star();
                if let Some(inside) = bracket_at(self.text, self.at) {
                    self.at = inside.end + 1;
                }
                if self.in_table() {
                    self.next_cell();
                } else {
                    self.put("\n", start..end);
                }
            }
            "footnote" => {
                let brace = self.argument_brace(end);
                let Some(brace) = brace else {
                    return true;
                };
                self.put_label(" (", start..brace + 1);
                self.open_argument(brace, self.style, Closing::Words(")"));
            }
            "ensuremath" => {
                let brace = skip_space(self.text, end);
                if let Some(inside) = group_at(self.text, brace) {
                    let span = self.source.span(start..inside.end + 1);
                    self.at = inside.end + 1;
                    let content = self.source.slice(inside);
                    let delimiter = Opener::Dollar.delimiter();
                    let notices = &mut self.assembler.notices;
                    let piece = formula::from_expanded(content, span, delimiter, notices);
                    if let Some(piece) = piece {
                        self.assembler.math(piece, self.style);
                    }
                }
            }
            _ => {
                let Some(level) = heading_level(name) else {
                    return false;
                };
                let Some(brace) = self.argument_brace(end) else {
                    return true;
                };
                self.end_paragraph();
                self.assembler.begin_block(BlockKind::Heading(level));
                self.open_argument(brace, Style::default(), Closing::Heading);
            }
        }
        true
    }

    /// The brace of a command's argument, behind a star and optional arguments.
    fn argument_brace(&mut self, end: usize) -> Option<usize> {
        self.at = end;
        self.star();
        loop {
            let next = skip_space(self.text, self.at);
            if let Some(inside) = bracket_at(self.text, next) {
                self.at = inside.end + 1;
                continue;
            }
            return self.text[next..].starts_with('{').then_some(next);
        }
    }

    /// Commands and switches of style.
    fn styled(&mut self, name: &str, end: usize) -> bool {
        let mut style = self.style;
        match name {
            "textbf" | "underline" | "uline" | "bf" | "bfseries" | "textsc" | "uwave" => {
                style.strong = true
            }
            "emph" | "textit" | "textsl" | "it" | "em" | "itshape" | "sl" | "slshape" => {
                style.emphasis = true;
            }
            "sout" | "st" | "xout" | "cancel" | "cancelto" => style.struck = true,
            "rm" | "normalfont" | "mdseries" | "textnormal" | "upshape" | "textup" | "textrm"
            | "textmd" => {
                style = Style {
                    struck: style.struck,
                    ..Style::default()
                };
            }
            "text" | "mbox" | "hbox" | "fbox" | "textsf" | "texttt" | "makebox" | "boxed"
            | "framebox" | "tt" | "sf" | "ttfamily" | "sffamily" | "rmfamily" | "sc"
            | "scshape" | "hl" | "ul" | "textquote" | "enquote" | "textsuperscript"
            | "textsubscript" => {}
            _ => return false,
        }
        let switch = matches!(
            name,
            "bf" | "bfseries"
                | "it"
                | "em"
                | "itshape"
                | "sl"
                | "slshape"
                | "rm"
                | "normalfont"
                | "mdseries"
                | "upshape"
                | "tt"
                | "sf"
                | "ttfamily"
                | "sffamily"
                | "rmfamily"
                | "sc"
                | "scshape"
        );
        if switch {
            self.style = style;
            self.skip_blanks();
            return true;
        }
        match self.argument_brace(end) {
            Some(brace) => self.open_argument(brace, style, Closing::Nothing),
            None => self.at = end,
        }
        true
    }

    /// References and citations: `\ref{eq:1}` gives `(eq:1)`.
    fn reference(&mut self, name: &str, start: usize, end: usize) -> bool {
        let (open, close) = match name {
            "ref" | "eqref" | "autoref" | "cref" | "Cref" | "pageref" | "nameref" | "vref" => {
                ("(", ")")
            }
            "cite" | "citep" | "citet" | "citeauthor" | "parencite" => ("[", "]"),
            "url" => ("", ""),
            _ => return false,
        };
        self.star();
        while let Some(inside) = bracket_at(self.text, skip_space(self.text, self.at)) {
            self.at = inside.end + 1;
        }
        let brace = skip_space(self.text, self.at);
        let Some(inside) = group_at(self.text, brace) else {
            self.at = end;
            return true;
        };
        let words = format!("{open}{}{close}", self.text[inside.clone()].trim());
        self.at = inside.end + 1;
        self.put_label(&words, start..inside.end + 1);
        true
    }

    fn accent(&mut self, name: &str, start: usize, end: usize) -> bool {
        let lettered = name.starts_with(|c: char| c.is_ascii_alphabetic());
        if accented(name, 'a').is_none()
            && accented(name, 'o').is_none()
            && !matches!(name, "c" | "v" | ".")
        {
            return false;
        }
        let next = if lettered {
            skip_space(self.text, end)
        } else {
            end
        };
        let braced = group_at(self.text, next);
        let (base, after) = match braced {
            Some(inside) => (inside.clone(), inside.end + 1),
            None if lettered => return false,
            None => {
                let length = self.text[next..].chars().next().map_or(0, char::len_utf8);
                (next..next + length, next + length)
            }
        };
        let written = self.text[base].trim();
        let letter = match written {
            "\\i" => Some('i'),
            "\\j" => Some('j'),
            _ => written
                .chars()
                .next()
                .filter(|c| written.len() == c.len_utf8()),
        };
        let Some(letter) = letter.filter(|letter| letter.is_alphabetic()) else {
            return false;
        };
        let composed = accented(name, letter).unwrap_or(letter);
        self.put(composed.encode_utf8(&mut [0; 4]), start..after);
        self.at = after;
        true
    }

    /// A formula's command in running text lacks its delimiters: it stays as typed, for the
    /// scanner of bare formulas.
    fn bare_mathematics(&mut self, start: usize, end: usize) {
        let mut after = end;
        while let Some(inside) = group_at(self.text, after) {
            after = inside.end + 1;
        }
        self.keep(start..after);
        self.at = after;
    }
}
