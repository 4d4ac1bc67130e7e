//! Lists of LaTeX: items and their labels, counted as LaTeX counts.

use super::Reader;
use super::environments::{Open, holds_formula, plain_text};
use crate::limits;
use crate::reader::assemble::Handle;
use crate::reader::block::ContainerKind;
use crate::reader::tex::{bracket_at, skip_space};
use crate::text::span::Span;

/// An open list.
pub(super) struct List {
    /// Depth among lists, 1 outermost.
    depth: u8,
    /// Number of the next item.
    next: usize,
    label: Label,
    pub(super) item: Option<Handle>,
}

/// How items are labelled.
struct Label {
    counter: Counter,
    before: String,
    after: String,
}

#[derive(Clone, Copy)]
enum Counter {
    None,
    Arabic,
    Lower,
    Upper,
    RomanLower,
    RomanUpper,
}

impl Label {
    fn plain(counter: Counter) -> Self {
        Self {
            counter,
            before: String::new(),
            after: String::new(),
        }
    }

    fn show(&self, number: usize) -> String {
        let counted = match self.counter {
            Counter::None => return String::new(),
            Counter::Arabic => number.to_string(),
            Counter::Lower => letter(number, b'a'),
            Counter::Upper => letter(number, b'A'),
            Counter::RomanLower => roman(number),
            Counter::RomanUpper => roman(number).to_uppercase(),
        };
        format!("{}{counted}{}", self.before, self.after)
    }

    /// From an option such as `label=(\alph*)`, `(a)`, `i.`
    fn from_option(option: &str) -> Option<Self> {
        const COMMANDS: [(&str, Counter); 5] = [
            ("\\arabic", Counter::Arabic),
            ("\\alph", Counter::Lower),
            ("\\Alph", Counter::Upper),
            ("\\roman", Counter::RomanLower),
            ("\\Roman", Counter::RomanUpper),
        ];
        for (command, counter) in COMMANDS {
            if let Some(at) = option.find(command) {
                let start = option[..at].rfind(['=', ',']).map_or(0, |at| at + 1);
                let rest = option[at + command.len()..].trim_start_matches('*');
                let end = rest.find(',').unwrap_or(rest.len());
                return Some(Self {
                    counter,
                    before: plain_text(&option[start..at]),
                    after: plain_text(&rest[..end]),
                });
            }
        }
        if option.contains('=') {
            return None;
        }
        let option = plain_text(option);
        let place = option.find(['1', 'a', 'A', 'i', 'I'])?;
        let counter = match option.as_bytes()[place] {
            b'1' => Counter::Arabic,
            b'a' => Counter::Lower,
            b'A' => Counter::Upper,
            b'i' => Counter::RomanLower,
            _ => Counter::RomanUpper,
        };
        let after = &option[place + 1..];
        let short = option.len() <= 4 && !after.contains(char::is_alphanumeric);
        short.then(|| Self {
            counter,
            before: option[..place].to_owned(),
            after: after.to_owned(),
        })
    }
}

fn letter(number: usize, first: u8) -> String {
    match u8::try_from(number) {
        Ok(number) if (1..=26).contains(&number) => char::from(first + number - 1).to_string(),
        _ => number.to_string(),
    }
}

fn roman(number: usize) -> String {
    const PARTS: [(usize, &str); 9] = [
        (100, "c"),
        (90, "xc"),
        (50, "l"),
        (40, "xl"),
        (10, "x"),
        (9, "ix"),
        (5, "v"),
        (4, "iv"),
        (1, "i"),
    ];
    if 400 <= number {
        return number.to_string();
    }
    let mut left = number;
    let mut output = String::new();
    for (value, written) in PARTS {
        while value <= left {
            output.push_str(written);
            left -= value;
        }
    }
    output
}

impl Reader<'_> {
    /// The list that an environment of that name opens; reads its options.
    pub(super) fn list_of(&mut self, name: &str) -> Option<List> {
        let by_depth = match self.ordered_depth() {
            0 => Counter::Arabic,
            1 => Counter::Lower,
            2 => Counter::RomanLower,
            _ => Counter::Upper,
        };
        let (counter, parenthesis) = match name {
            "enumerate" | "compactenum" | "inparaenum" | "enumerate*" | "asparaenum" => {
                (by_depth, false)
            }
            "questions" => (Counter::Arabic, false),
            "parts" | "tasks" => (Counter::Lower, true),
            "subparts" => (Counter::RomanLower, true),
            "itemize" | "description" | "compactitem" | "list" | "trivlist" => {
                (Counter::None, false)
            }
            _ => return None,
        };
        let mut label = Label::plain(counter);
        if parenthesis {
            (label.before, label.after) = ("(".to_owned(), ")".to_owned());
        }
        let mut next = 1;
        let at = skip_space(self.text, self.at);
        if let Some(inside) = bracket_at(self.text, at) {
            let option = &self.text[inside.clone()];
            if !matches!(counter, Counter::None) {
                label = Label::from_option(option).unwrap_or(label);
                next = start_number(option).unwrap_or(1);
            }
            self.at = inside.end + 1;
        }
        if name == "list" {
            self.drop_arguments(2);
        }
        Some(List {
            depth: self.list_depth() + 1,
            next,
            label,
            item: None,
        })
    }

    /// How many counted lists are open.
    fn ordered_depth(&self) -> usize {
        let counted = |open: &&Open| match open {
            Open::Environment {
                list: Some(list), ..
            } => !matches!(list.label.counter, Counter::None),
            _ => false,
        };
        let innermost = self.stack.iter().rev().take(limits::OPEN_THINGS);
        innermost.filter(counted).count()
    }

    fn list_depth(&self) -> u8 {
        let lists = self
            .stack
            .iter()
            .rev()
            .take(limits::OPEN_THINGS)
            .filter(|open| matches!(open, Open::Environment { list: Some(_), .. }));
        u8::try_from(lists.count())
            .unwrap_or(u8::MAX - 1)
            .min(u8::MAX - 1)
    }

    /// Whether the innermost environment is a list of that name.
    pub(super) fn in_list_named(&self, name: &str) -> bool {
        let innermost = self
            .stack
            .iter()
            .rev()
            .find(|open| matches!(open, Open::Environment { .. }));
        matches!(innermost, Some(Open::Environment { name: open, list: Some(_), .. }) if open == name)
    }

    /// An item whose command stands at `start..end`; `points` tells that its optional argument is
    /// no label.
    pub(super) fn item(&mut self, start: usize, end: usize, points: bool) {
        self.at = end;
        let place = self.item_list(start);
        while place + 1 < self.stack.len() {
            self.pop();
        }
        let here = self.source.span(start..start).start;
        let previous = match self.stack.get_mut(place) {
            Some(Open::Environment {
                list: Some(list), ..
            }) => list.item.take(),
            _ => None,
        };
        if let Some(previous) = previous {
            self.assembler.close(previous, here);
        }
        let mut written = None;
        let mut formulas = None;
        let next = skip_space(self.text, end);
        if let Some(inside) = bracket_at(self.text, next) {
            self.at = inside.end + 1;
            if !points {
                written = Some(plain_text(&self.text[inside.clone()]));
                formulas = Some(inside).filter(|inside| holds_formula(&self.text[inside.clone()]));
            }
        }
        let span: Span = self.source.span(start..self.at);
        let (label, depth) = match self.stack.get_mut(place) {
            Some(Open::Environment {
                list: Some(list), ..
            }) => {
                let label = written.unwrap_or_else(|| {
                    list.next += 1;
                    list.label.show(list.next - 1)
                });
                (label, list.depth)
            }
            _ => (written.unwrap_or_default(), 1),
        };
        let handle = self
            .assembler
            .open(ContainerKind::Item { label, depth }, span);
        if let Some(Open::Environment {
            list: Some(list), ..
        }) = self.stack.get_mut(place)
        {
            list.item = Some(handle);
        }
        if let Some(inside) = formulas {
            self.inside(inside);
        }
    }

    /// Where the list of an item stands in the stack: the innermost one. Groups in it that are
    /// still open lack their brace; an item that stands elsewhere, as in the argument of an
    /// unknown macro, gets a list of its own.
    fn item_list(&mut self, start: usize) -> usize {
        let lists = |open: &Open| matches!(open, Open::Environment { list: Some(_), .. });
        let borders = |open: &Open| match open {
            Open::Environment { .. } => true,
            Open::Group { argument, .. } => !argument,
        };
        let innermost = self.stack.iter().rposition(borders);
        if let Some(place) = innermost {
            if lists(&self.stack[place]) {
                return place;
            }
            // `{\bf \item …}` and unclosed braces: the list may stand just outside of groups.
            let environment = self
                .stack
                .iter()
                .rposition(|open| matches!(open, Open::Environment { .. }));
            if let Some(list) = environment.filter(|&list| lists(&self.stack[list])) {
                let filled = matches!(&self.stack[list], Open::Environment { list: Some(list), .. } if list.item.is_some());
                if filled {
                    return list;
                }
            }
        }
        let depth = self.list_depth() + 1;
        self.stack.push(Open::Environment {
            name: String::new(),
            mark: self.source.span(start..start),
            container: None,
            style: self.style,
            list: Some(List {
                depth,
                next: 1,
                label: Label::plain(Counter::None),
                item: None,
            }),
            table: false,
        });
        self.stack.len() - 1
    }
}

/// `start=3`
fn start_number(option: &str) -> Option<usize> {
    let (_, rest) = option.split_once("start")?;
    let digits = rest.trim_start_matches([' ', '=']);
    let end = digits
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(digits.len());
    digits[..end]
        .parse::<usize>()
        .ok()
        .map(|start| start.min(10_000))
}
