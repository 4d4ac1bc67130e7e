//! Nested lists of words, names and texts: the form in which evidence is written down.

use crate::limits;
use std::fmt;

/// A word, a name or a list of forms.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Form {
    /// A keyword or a number: no spaces, parentheses or quotation marks inside.
    Word(String),
    /// A name that someone chose; any text.
    Name(String),
    /// Parts in order.
    List(Vec<Form>),
}

/// Where a text is no form, in bytes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct FormError {
    /// The first byte that does not fit.
    pub at: usize,
}

impl Form {
    /// A word.
    #[must_use]
    pub fn word(text: &str) -> Self {
        Self::Word(text.to_owned())
    }

    /// A keyword with what follows it; the bare keyword if nothing does.
    #[must_use]
    pub fn tagged(keyword: &str, mut parts: Vec<Form>) -> Self {
        if parts.is_empty() {
            return Self::word(keyword);
        }
        parts.insert(0, Self::word(keyword));
        Self::List(parts)
    }

    /// The keyword and what follows it.
    #[must_use]
    pub fn parts(&self) -> Option<(&str, &[Form])> {
        match self {
            Self::Word(keyword) => Some((keyword, &[])),
            Self::Name(_) => None,
            Self::List(items) => match items.split_first()? {
                (Self::Word(keyword), rest) => Some((keyword, rest)),
                _ => None,
            },
        }
    }

    /// Reads a text as one form.
    ///
    /// # Errors
    /// The place at which the text is no form, is too long or is nested too deeply.
    pub fn read(text: &str) -> Result<Self, FormError> {
        if text.len() > limits::RECORD_BYTES {
            return Err(FormError {
                at: limits::RECORD_BYTES,
            });
        }
        let mut open: Vec<Vec<Form>> = vec![Vec::new()];
        let mut at = 0;
        while let Some(first) = text.get(at..).and_then(|rest| rest.chars().next()) {
            let fault = FormError { at };
            let mut add = |form: Form| open.last_mut().map(|items| items.push(form)).ok_or(fault);
            match first {
                '(' => {
                    if open.len() > limits::RECORD_DEPTH {
                        return Err(fault);
                    }
                    open.push(Vec::new());
                    at += 1;
                }
                ')' => {
                    let items = open.pop().ok_or(fault)?;
                    open.last_mut().ok_or(fault)?.push(Self::List(items));
                    at += 1;
                }
                '"' => {
                    let (name, length) = quoted(&text[at..]).ok_or(fault)?;
                    add(Self::Name(name))?;
                    at += length;
                }
                _ if first.is_whitespace() => at += first.len_utf8(),
                _ => {
                    let rest = &text[at..];
                    let length = rest.find(ends_word).unwrap_or(rest.len());
                    add(Self::word(&rest[..length]))?;
                    at += length;
                }
            }
        }
        let fault = FormError { at };
        let mut items = open.pop().filter(|_| open.is_empty()).ok_or(fault)?;
        let only = items.pop().ok_or(fault)?;
        if items.is_empty() {
            Ok(only)
        } else {
            Err(fault)
        }
    }

    fn length(&self) -> usize {
        match self {
            Self::Word(text) | Self::Name(text) => text.chars().count() + 2,
            Self::List(items) => 2 + items.iter().map(Self::length).sum::<usize>(),
        }
    }

    fn print(&self, indent: usize, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Word(text) => f.write_str(text),
            Self::Name(text) => {
                f.write_str("\"")?;
                for own in text.chars() {
                    if matches!(own, '"' | '\\') {
                        f.write_str("\\")?;
                    }
                    write!(f, "{own}")?;
                }
                f.write_str("\"")
            }
            Self::List(items) => {
                let broken = self.length() > limits::RECORD_WIDTH;
                f.write_str("(")?;
                for (place, item) in items.iter().enumerate() {
                    if place > 0 && broken {
                        write!(f, "\n{:1$}", "", indent + 1)?;
                    } else if place > 0 {
                        f.write_str(" ")?;
                    }
                    item.print(indent + 1, f)?;
                }
                f.write_str(")")
            }
        }
    }
}

impl fmt::Display for Form {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.print(0, f)
    }
}

fn ends_word(own: char) -> bool {
    own.is_whitespace() || matches!(own, '(' | ')' | '"')
}

/// The name that begins a text, and its length with the quotation marks.
fn quoted(text: &str) -> Option<(String, usize)> {
    let mut name = String::new();
    let mut chars = text.char_indices().skip(1);
    while let Some((at, own)) = chars.next() {
        match own {
            '"' => return Some((name, at + 1)),
            '\\' => name.push(chars.next()?.1),
            _ => name.push(own),
        }
    }
    None
}
