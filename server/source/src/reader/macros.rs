//! User macros: what a draft defines, read from its definitions.

use super::Companions;
use super::commands::is_math_environment;
use super::tex::{brace_pairs, command_at, skip_space};
use crate::text::span::Span;
use std::collections::{BTreeMap, BTreeSet};

/// One parameter of a macro, as a call gives it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum Parameter {
    /// A group or a single token.
    Mandatory,
    /// `[…]`, with what stands for it when it is left out.
    Optional(String),
    /// Everything up to the given text.
    Delimited(String),
    /// A star or nothing.
    Star,
}

/// A part of a macro's body.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum BodyPart {
    Text(String),
    /// A parameter, from 0.
    Argument(usize),
}

/// A macro's definition.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum Definition {
    /// Parameters and body.
    Macro {
        /// Text that must follow the name (`\def\f(#1){…}`).
        prefix: String,
        parameters: Vec<Parameter>,
        body: Vec<BodyPart>,
    },
    /// `\let` to something that is no user macro: printed, and not read again.
    Alias(String),
    /// `\DeclarePairedDelimiter`: left and right.
    Paired(String, String),
}

/// An environment's definition.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct EnvironmentDefinition {
    pub(crate) parameters: Vec<Parameter>,
    pub(crate) begin: Vec<BodyPart>,
    pub(crate) end: Vec<BodyPart>,
    /// Whether readers must see its inside (it opens a formula or a list); else the name is kept.
    pub(crate) expands: bool,
}

/// Everything that a draft has defined up to some place.
#[derive(Debug)]
pub(crate) struct Macros<'a> {
    definitions: BTreeMap<String, Definition>,
    environments: BTreeMap<String, EnvironmentDefinition>,
    /// Shown titles of theorem-like environments (`\newtheorem{satz}{Theorem}`).
    theorems: BTreeMap<String, String>,
    /// Macros that have exceeded a limit and are left as written from then on.
    pub(crate) blocked: BTreeSet<String>,
    /// Texts that `\input` may name.
    pub(crate) companions: &'a Companions,
    /// Files already read.
    pub(crate) read_files: BTreeSet<String>,
    /// `\input` and `\include` of the draft itself.
    pub(crate) includes: Vec<(String, Span)>,
    /// Calls expanded so far.
    pub(crate) expansions: usize,
    /// Bytes copied so far.
    pub(crate) bytes: usize,
}

impl<'a> Macros<'a> {
    pub(crate) fn new(companions: &'a Companions) -> Self {
        Self {
            definitions: BTreeMap::new(),
            environments: BTreeMap::new(),
            theorems: BTreeMap::new(),
            blocked: BTreeSet::new(),
            companions,
            read_files: BTreeSet::new(),
            includes: Vec::new(),
            expansions: 0,
            bytes: 0,
        }
    }

    pub(crate) fn get(&self, name: &str) -> Option<&Definition> {
        self.definitions.get(name)
    }

    pub(crate) fn environment(&self, name: &str) -> Option<&EnvironmentDefinition> {
        self.environments.get(name)
    }

    /// The shown title of a theorem-like environment.
    pub(crate) fn theorem_title(&self, name: &str) -> Option<&str> {
        self.theorems.get(name).map(String::as_str)
    }

    /// Whether nothing is defined, so that expansion changes nothing.
    pub(crate) fn is_empty(&self) -> bool {
        self.definitions.is_empty() && self.environments.is_empty()
    }

    /// Reads the definition whose command ends at `at` and takes it in; one past its end.
    /// `pairs` are the braces of `text`. What is no definition gives `None`.
    pub(crate) fn define(
        &mut self,
        command: &str,
        text: &str,
        at: usize,
        pairs: &[(usize, usize)],
    ) -> Option<usize> {
        let mut reader = Reader { text, at, pairs };
        match command {
            "newcommand" | "renewcommand" | "providecommand" | "DeclareRobustCommand" => {
                self.new_command(&mut reader, command == "providecommand")?;
            }
            "def" | "gdef" | "edef" | "xdef" => self.plain_definition(&mut reader)?,
            "let" => self.let_definition(&mut reader)?,
            "DeclareMathOperator" => {
                let star = if reader.star() { "*" } else { "" };
                let name = reader.macro_name()?;
                let body = reader.group()?;
                let printed = format!("\\operatorname{star}{{{body}}}");
                self.insert(name, Definition::simple(printed));
            }
            "DeclarePairedDelimiter" => {
                let name = reader.macro_name()?;
                let left = reader.group()?.to_owned();
                let right = reader.group()?.to_owned();
                self.insert(name, Definition::Paired(left, right));
            }
            "NewDocumentCommand"
            | "RenewDocumentCommand"
            | "ProvideDocumentCommand"
            | "DeclareDocumentCommand" => {
                let name = reader.macro_name()?;
                let parameters = document_parameters(reader.group()?);
                let body = body_parts(reader.group()?);
                self.insert(name, Definition::macro_of(parameters, body));
            }
            "newenvironment" | "renewenvironment" => self.new_environment(&mut reader)?,
            "newtheorem" => self.new_theorem(&mut reader)?,
            _ => return None,
        }
        Some(reader.at)
    }

    fn insert(&mut self, name: &str, definition: Definition) {
        self.definitions.insert(name.to_owned(), definition);
    }

    fn new_command(&mut self, reader: &mut Reader<'_>, only_if_new: bool) -> Option<()> {
        reader.star();
        let name = reader.macro_name()?;
        let parameters = reader.counted_parameters();
        let body = body_parts(reader.argument()?);
        if !(only_if_new && self.definitions.contains_key(name)) {
            self.insert(name, Definition::macro_of(parameters, body));
        }
        Some(())
    }

    fn plain_definition(&mut self, reader: &mut Reader<'_>) -> Option<()> {
        let name = reader.macro_name()?;
        let rest = reader.text.get(reader.at..)?;
        // Parameter texts are short; what is longer defines nothing.
        let length = rest.bytes().take(256).position(|byte| byte == b'{')?;
        let pattern = &rest[..length];
        reader.at += pattern.len();
        let body = reader.group()?;
        let mut fields = pattern.split('#');
        let prefix = fields.next().unwrap_or_default().trim_start().to_owned();
        let mut parameters = Vec::new();
        for (index, field) in fields.enumerate() {
            let number = field.chars().next()?.to_digit(10)?;
            if usize::try_from(number) != Ok(index + 1) {
                return None;
            }
            parameters.push(match &field[1..] {
                "" => Parameter::Mandatory,
                delimiter => Parameter::Delimited(delimiter.to_owned()),
            });
        }
        let definition = Definition::Macro {
            prefix,
            parameters,
            body: body_parts(body),
        };
        self.insert(name, definition);
        Some(())
    }

    fn let_definition(&mut self, reader: &mut Reader<'_>) -> Option<()> {
        let name = reader.macro_name()?;
        reader.space();
        if reader.peek() == Some('=') {
            reader.at += 1;
            reader.space();
        }
        let target = reader.token()?;
        let known = target
            .strip_prefix('\\')
            .and_then(|target| self.definitions.get(target));
        let definition = known
            .cloned()
            .unwrap_or_else(|| Definition::Alias(target.to_owned()));
        self.insert(name, definition);
        Some(())
    }

    fn new_environment(&mut self, reader: &mut Reader<'_>) -> Option<()> {
        reader.star();
        let name = reader.group()?.trim();
        let parameters = reader.counted_parameters();
        let begin = reader.group()?;
        let end = reader.group()?;
        let definition = EnvironmentDefinition {
            parameters,
            expands: must_expand(begin),
            begin: body_parts(begin),
            end: body_parts(end),
        };
        self.environments.insert(name.to_owned(), definition);
        Some(())
    }

    fn new_theorem(&mut self, reader: &mut Reader<'_>) -> Option<()> {
        reader.star();
        let name = reader.group()?.trim().trim_end_matches('*');
        reader.bracket();
        let title = reader.group()?.trim();
        reader.bracket();
        self.theorems.insert(name.to_owned(), title.to_owned());
        Some(())
    }
}

impl Definition {
    fn simple(body: String) -> Self {
        Self::macro_of(Vec::new(), vec![BodyPart::Text(body)])
    }

    fn macro_of(parameters: Vec<Parameter>, body: Vec<BodyPart>) -> Self {
        Self::Macro {
            prefix: String::new(),
            parameters,
            body,
        }
    }
}

/// Whether the command defines something.
pub(crate) fn is_definition_command(name: &str) -> bool {
    matches!(
        name,
        "newcommand"
            | "renewcommand"
            | "providecommand"
            | "DeclareRobustCommand"
            | "def"
            | "gdef"
            | "edef"
            | "xdef"
            | "let"
            | "DeclareMathOperator"
            | "DeclarePairedDelimiter"
            | "NewDocumentCommand"
            | "RenewDocumentCommand"
            | "ProvideDocumentCommand"
            | "DeclareDocumentCommand"
            | "newenvironment"
            | "renewenvironment"
            | "newtheorem"
    )
}

/// One past the end of the definition that starts at `at` (a backslash) and ends before the next
/// blank line outside braces, or `None` if there is none.
pub(crate) fn definition_end(text: &str, at: usize) -> Option<usize> {
    /// Definitions in running Markdown are short; longer ones are text.
    const LONGEST: usize = 4096;
    let (name, after) = command_at(text, at)?;
    if !is_definition_command(name) {
        return None;
    }
    let mut end = (after + LONGEST).min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let window = &text[..end];
    let pairs: Vec<_> = brace_pairs(&window[after..])
        .into_iter()
        .map(|(open, close)| (open + after, close + after))
        .collect();
    let nothing = Companions::new();
    Macros::new(&nothing).define(name, window, after, &pairs)
}

/// Whether an environment that begins so opens a formula or a list, or hides its inside.
fn must_expand(begin: &str) -> bool {
    let opens_math = ["$", "\\[", "\\("].iter().any(|mark| begin.contains(mark));
    let opens = begin.match_indices("\\begin").any(|(at, _)| {
        super::tex::mark_at(begin, at).is_some_and(|mark| {
            let list = matches!(mark.name, "enumerate" | "itemize" | "description" | "list");
            list || is_math_environment(mark.name)
        })
    });
    opens_math || opens
}

/// Splits a body at its parameters; `##` stands for `#`.
fn body_parts(body: &str) -> Vec<BodyPart> {
    let mut parts = Vec::new();
    let mut text = String::new();
    let mut rest = body.chars().peekable();
    while let Some(character) = rest.next() {
        let parameter = match (character, rest.peek()) {
            ('#', Some(digit)) => digit.to_digit(10).filter(|&digit| 1 <= digit),
            _ => None,
        };
        if let Some(digit) = parameter {
            rest.next();
            if !text.is_empty() {
                parts.push(BodyPart::Text(std::mem::take(&mut text)));
            }
            parts.push(BodyPart::Argument(digit as usize - 1));
            continue;
        }
        if character == '#' && rest.peek() == Some(&'#') {
            rest.next();
        }
        text.push(character);
        if character == '\\' {
            text.extend(rest.next());
        }
    }
    if !text.is_empty() {
        parts.push(BodyPart::Text(text));
    }
    parts
}

/// Parameters of `\NewDocumentCommand`: `m`, `o`, `O{…}`, `s`, `+m`.
fn document_parameters(specification: &str) -> Vec<Parameter> {
    let pairs = brace_pairs(specification);
    let mut parameters = Vec::new();
    let mut at = 0;
    while let Some(character) = specification[at..].chars().next() {
        at += character.len_utf8();
        match character {
            'm' => parameters.push(Parameter::Mandatory),
            'o' => parameters.push(Parameter::Optional(String::new())),
            's' => parameters.push(Parameter::Star),
            'O' => {
                let mut reader = Reader {
                    text: specification,
                    at,
                    pairs: &pairs,
                };
                let default = reader.group().unwrap_or_default().to_owned();
                at = reader.at;
                parameters.push(Parameter::Optional(default));
            }
            _ => {}
        }
    }
    parameters
}

/// Reads the pieces of a definition one after the other.
struct Reader<'text> {
    text: &'text str,
    at: usize,
    pairs: &'text [(usize, usize)],
}

impl<'text> Reader<'text> {
    fn space(&mut self) {
        self.at = skip_space(self.text, self.at);
    }

    fn peek(&self) -> Option<char> {
        self.text.get(self.at..)?.chars().next()
    }

    fn star(&mut self) -> bool {
        self.space();
        let star = self.peek() == Some('*');
        self.at += usize::from(star);
        star
    }

    fn group(&mut self) -> Option<&'text str> {
        self.space();
        let index = self
            .pairs
            .binary_search_by_key(&self.at, |&(open, _)| open)
            .ok()?;
        let (open, close) = self.pairs[index];
        self.at = close + 1;
        self.text.get(open + 1..close)
    }

    fn bracket(&mut self) -> Option<&'text str> {
        self.space();
        let inside = super::tex::bracket_at(self.text, self.at)?;
        self.at = inside.end + 1;
        Some(&self.text[inside])
    }

    /// A group or a single token.
    fn argument(&mut self) -> Option<&'text str> {
        self.space();
        if self.peek() == Some('{') {
            self.group()
        } else {
            self.token()
        }
    }

    fn token(&mut self) -> Option<&'text str> {
        self.space();
        let start = self.at;
        let end = match self.peek()? {
            '\\' => command_at(self.text, start)?.1,
            '}' | '{' => return None,
            character => start + character.len_utf8(),
        };
        self.at = end;
        Some(&self.text[start..end])
    }

    /// `\name` or `{\name}`: the name without backslash.
    fn macro_name(&mut self) -> Option<&'text str> {
        self.space();
        let written = if self.peek() == Some('{') {
            self.group()?.trim()
        } else {
            self.token()?
        };
        let (name, end) = command_at(written, 0)?;
        (end == written.len()).then_some(name)
    }

    /// `[2][default]`
    fn counted_parameters(&mut self) -> Vec<Parameter> {
        let count = self
            .bracket()
            .and_then(|count| count.trim().parse::<usize>().ok())
            .unwrap_or(0)
            .min(9);
        let mut parameters = vec![Parameter::Mandatory; count];
        if 0 < count
            && let Some(default) = self.bracket()
        {
            parameters[0] = Parameter::Optional(default.to_owned());
        }
        parameters
    }
}
