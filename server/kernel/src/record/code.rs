//! How values become forms and forms become values again; one table gives both directions.

use super::form::Form;
use crate::expr::{Expr, Node, Symbol};
use dashu::rational::RBig;
use std::str::FromStr;

/// A value with a form of its own.
pub(super) trait Coded: Sized {
    /// The form of the value.
    fn form(&self) -> Form;
    /// The value of a form; `None` if the form is none of this type.
    fn value(form: &Form) -> Option<Self>;
}

/// Declares the keyword and the fields of each variant of an enum, in their order in the text.
macro_rules! coded {
    ($type:ident { $($word:literal $variant:ident
        $( ( $($place:ident),* ) )? $( { $($field:ident),* } )?),* $(,)? }) => {
        impl $crate::record::code::Coded for $type {
            fn form(&self) -> $crate::record::form::Form {
                match self {
                    $(Self::$variant $( ( $($place),* ) )? $( { $($field),* } )? =>
                        $crate::record::form::Form::tagged($word, vec![
                            $($($crate::record::code::Coded::form($place)),*)?
                            $($($crate::record::code::Coded::form($field)),*)?
                        ]),)*
                }
            }

            fn value(form: &$crate::record::form::Form) -> Option<Self> {
                let (word, parts) = form.parts()?;
                let mut parts = parts.iter();
                let value = match word {
                    $($word => {
                        $($(let $place = $crate::record::code::Coded::value(parts.next()?)?;)*)?
                        $($(let $field = $crate::record::code::Coded::value(parts.next()?)?;)*)?
                        Self::$variant $( ( $($place),* ) )? $( { $($field),* } )?
                    })*
                    _ => return None,
                };
                parts.next().is_none().then_some(value)
            }
        }
    };
}

/// Declares the keyword and the fields of a structure, in their order in the text.
macro_rules! coded_structure {
    ($type:ident $word:literal { $($field:ident),* }) => {
        impl $crate::record::code::Coded for $type {
            fn form(&self) -> $crate::record::form::Form {
                $crate::record::form::Form::tagged($word, vec![
                    $($crate::record::code::Coded::form(&self.$field)),*
                ])
            }

            fn value(form: &$crate::record::form::Form) -> Option<Self> {
                let (word, parts) = form.parts()?;
                let mut parts = parts.iter();
                let value = Self {
                    $($field: $crate::record::code::Coded::value(parts.next()?)?),*
                };
                (word == $word && parts.next().is_none()).then_some(value)
            }
        }
    };
}

pub(super) use {coded, coded_structure};

/// Numbers are words.
macro_rules! coded_number {
    ($($type:ty),*) => {
        $(impl Coded for $type {
            fn form(&self) -> Form {
                Form::Word(self.to_string())
            }

            fn value(form: &Form) -> Option<Self> {
                match form {
                    Form::Word(text) => Self::from_str(text).ok(),
                    _ => None,
                }
            }
        })*
    };
}

coded_number!(i64, u32, usize, bool);

impl Coded for RBig {
    fn form(&self) -> Form {
        Form::Word(self.to_string())
    }

    fn value(form: &Form) -> Option<Self> {
        let Form::Word(text) = form else {
            return None;
        };
        let plain = |part: &str| !part.is_empty() && part.bytes().all(|own| own.is_ascii_digit());
        let size = text.strip_prefix('-').unwrap_or(text);
        let (above, below) = size.split_once('/').unwrap_or((size, "1"));
        let shown = plain(above) && plain(below) && below.bytes().any(|digit| digit != b'0');
        shown.then_some(())?;
        Self::from_str(text).ok()
    }
}

impl Coded for Symbol {
    fn form(&self) -> Form {
        Form::Name(self.as_str().to_owned())
    }

    fn value(form: &Form) -> Option<Self> {
        match form {
            Form::Name(name) if !name.is_empty() => Some(Self::new(name)),
            _ => None,
        }
    }
}

impl<T: Coded> Coded for Vec<T> {
    fn form(&self) -> Form {
        Form::List(self.iter().map(Coded::form).collect())
    }

    fn value(form: &Form) -> Option<Self> {
        match form {
            Form::List(items) => items.iter().map(Coded::value).collect(),
            _ => None,
        }
    }
}

impl<T: Coded> Coded for Option<T> {
    fn form(&self) -> Form {
        match self {
            Some(value) => Form::List(vec![value.form()]),
            None => Form::List(Vec::new()),
        }
    }

    fn value(form: &Form) -> Option<Self> {
        match form {
            Form::List(items) => match items.as_slice() {
                [] => Some(None),
                [only] => Some(Some(T::value(only)?)),
                _ => None,
            },
            _ => None,
        }
    }
}

impl<T: Coded> Coded for Box<T> {
    fn form(&self) -> Form {
        self.as_ref().form()
    }

    fn value(form: &Form) -> Option<Self> {
        Some(Self::new(T::value(form)?))
    }
}

impl<A: Coded, B: Coded> Coded for (A, B) {
    fn form(&self) -> Form {
        Form::List(vec![self.0.form(), self.1.form()])
    }

    fn value(form: &Form) -> Option<Self> {
        match form {
            Form::List(items) => match items.as_slice() {
                [first, second] => Some((A::value(first)?, B::value(second)?)),
                _ => None,
            },
            _ => None,
        }
    }
}

impl Coded for Expr {
    fn form(&self) -> Form {
        match self.node() {
            Node::Number(value) => value.form(),
            Node::Variable(name) => name.form(),
            node => node.form(),
        }
    }

    fn value(form: &Form) -> Option<Self> {
        if let Form::Name(_) = form {
            return Some(Self::variable(&Symbol::value(form)?));
        }
        if let Some(value) = RBig::value(form) {
            return Some(Self::number(value));
        }
        let node = Node::value(form)?;
        let sound = match &node {
            Node::Number(_) | Node::Variable(_) => false,
            Node::Add(items) | Node::Mul(items) => items.len() >= 2,
            Node::Min(items) | Node::Max(items) => !items.is_empty(),
            Node::Root(degree, _) => *degree >= 2,
            _ => true,
        };
        sound.then(|| node.into())
    }
}
