//! Expressions as text: Unicode for people, the counterexample grammar for programs, decimals.

mod decimal;
#[cfg(test)]
mod tests;

pub use decimal::{decimal, sides};

use crate::expr::{Condition, Constant, Expr, Function, Node};
use dashu::base::Signed;
use dashu::rational::RBig;

/// Unicode mathematics on one line, as a person would type it (`√(n + 1) − √n`, `|x|/(1 + n·x²)`).
#[must_use]
pub fn plain(expr: &Expr) -> String {
    Style { unicode: true }.print(expr, Level::Sum)
}

/// The grammar of counterexample values: integers, `a/b`, `sqrt( )`, `pi`, `e`, `^`, functions by name.
#[must_use]
pub fn grammar(expr: &Expr) -> String {
    Style { unicode: false }.print(expr, Level::Sum)
}

/// A condition in Unicode mathematics (`0 ≤ x and x < 1`).
#[must_use]
pub fn condition(condition: &Condition) -> String {
    Style { unicode: true }.condition(condition)
}

/// What the surroundings of a sub-expression bind; what binds less is put in parentheses.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Level {
    Sum,
    /// A term of a sum after the first: a leading minus needs parentheses.
    Term,
    Product,
    /// A factor after the first, a divisor.
    Factor,
    /// The base of a power, the argument of a postfix sign.
    Base,
}

#[derive(Clone, Copy)]
struct Style {
    unicode: bool,
}

impl Style {
    fn minus(self) -> &'static str {
        if self.unicode { "−" } else { "-" }
    }

    fn dot(self) -> &'static str {
        if self.unicode { "·" } else { "*" }
    }

    /// `text`, of the binding strength `own`, for surroundings that need `wanted`.
    fn wrap(text: String, own: Level, wanted: Level) -> String {
        if own < wanted {
            format!("({text})")
        } else {
            text
        }
    }

    fn print(self, expr: &Expr, wanted: Level) -> String {
        match expr.node() {
            Node::Number(value) => self.number(value, wanted),
            Node::Constant(Constant::Pi) => (if self.unicode { "π" } else { "pi" }).to_owned(),
            Node::Constant(Constant::E) => "e".to_owned(),
            Node::Variable(name) => name.as_str().to_owned(),
            Node::Add(items) => Self::wrap(self.sum(items), Level::Sum, wanted),
            Node::Mul(items) => Self::wrap(self.product(items), Level::Product, wanted),
            Node::Neg(inner) => {
                let text = format!("{}{}", self.minus(), self.print(inner, Level::Product));
                Self::wrap(text, Level::Sum, wanted)
            }
            // 3/(2ε) rather than 3/2/ε
            Node::Div(over, under)
                if over
                    .as_number()
                    .is_some_and(|value| !value.is_int() && !value.is_negative()) =>
            {
                let value = over.as_number().unwrap_or_default();
                let above = Expr::big(value.numerator().clone());
                let below = Expr::big(value.denominator().clone().into()).times(under);
                self.print(&above.over(&below), wanted)
            }
            Node::Div(over, under) => {
                let text = format!(
                    "{}/{}",
                    self.print(over, Level::Product),
                    self.print(under, Level::Factor)
                );
                Self::wrap(text, Level::Product, wanted)
            }
            Node::Pow(base, exponent) => {
                let text = self.power(base, exponent);
                Self::wrap(text, Level::Factor, wanted)
            }
            Node::Root(degree, radicand) => self.root(*degree, radicand, wanted),
            Node::Call(function, argument) => self.call(*function, argument, wanted),
            Node::Min(items) => format!("min({})", self.list(items)),
            Node::Max(items) => format!("max({})", self.list(items)),
            Node::Sum {
                index,
                from,
                to,
                body,
            } => {
                let sign = if self.unicode { "Σ" } else { "sum" };
                let text = self.repeated(sign, index.as_str(), from, to.as_ref(), body);
                Self::wrap(text, Level::Term, wanted)
            }
            Node::Product {
                index,
                from,
                to,
                body,
            } => {
                let sign = if self.unicode { "Π" } else { "prod" };
                let text = self.repeated(sign, index.as_str(), from, Some(to), body);
                Self::wrap(text, Level::Term, wanted)
            }
            Node::Derivative { variable, body } => {
                let text = format!("d/d{variable} {}", self.parenthesised(body));
                Self::wrap(text, Level::Product, wanted)
            }
            Node::Apply(name, arguments) => format!("{name}({})", self.list(arguments)),
            Node::Piecewise(branches) => {
                let branches: Vec<String> = branches
                    .iter()
                    .map(|(condition, value)| {
                        format!(
                            "{} if {}",
                            self.print(value, Level::Sum),
                            self.condition(condition)
                        )
                    })
                    .collect();
                format!("{{{}}}", branches.join("; "))
            }
        }
    }

    fn list(self, items: &[Expr]) -> String {
        let items: Vec<String> = items
            .iter()
            .map(|item| self.print(item, Level::Sum))
            .collect();
        items.join(", ")
    }

    fn parenthesised(self, expr: &Expr) -> String {
        format!("({})", self.print(expr, Level::Sum))
    }

    fn number(self, value: &RBig, wanted: Level) -> String {
        let magnitude = if value.is_negative() {
            -value.clone()
        } else {
            value.clone()
        };
        let text = if magnitude.is_int() {
            magnitude.numerator().to_string()
        } else {
            format!("{}/{}", magnitude.numerator(), magnitude.denominator())
        };
        if value.is_negative() {
            Self::wrap(format!("{}{text}", self.minus()), Level::Sum, wanted)
        } else if value.is_int() {
            text
        } else {
            Self::wrap(text, Level::Product, wanted)
        }
    }

    fn sum(self, items: &[Expr]) -> String {
        let mut text = String::new();
        for (position, item) in items.iter().enumerate() {
            if position == 0 {
                text.push_str(&self.print(item, Level::Sum));
                continue;
            }
            let (sign, rest) = match item.node() {
                Node::Neg(inner) => (self.minus(), self.print(inner, Level::Product)),
                Node::Number(value) if value.is_negative() => {
                    (self.minus(), self.number(&-value.clone(), Level::Term))
                }
                Node::Mul(factors) => match self.negative_product(factors) {
                    Some(positive) => (self.minus(), positive),
                    None => ("+", self.print(item, Level::Term)),
                },
                _ => ("+", self.print(item, Level::Term)),
            };
            text.push_str(&format!(" {sign} {rest}"));
        }
        text
    }

    /// A product whose first factor is a negative number, without its sign.
    fn negative_product(self, factors: &[Expr]) -> Option<String> {
        let (first, rest) = factors.split_first()?;
        let Node::Number(value) = first.node() else {
            return None;
        };
        if !value.is_negative() {
            return None;
        }
        let mut positive = vec![Expr::number(-value.clone())];
        positive.extend(rest.iter().cloned());
        Some(self.product(&positive))
    }

    fn product(self, items: &[Expr]) -> String {
        let mut text = String::new();
        for (position, item) in items.iter().enumerate() {
            if position == 0 {
                let wanted = if item.as_number().is_some_and(|value| value.is_int()) {
                    Level::Product
                } else {
                    Level::Factor
                };
                // A quotient may lead: a/b·c is read from the left.
                let wanted = if matches!(item.node(), Node::Div(..)) {
                    Level::Product
                } else {
                    wanted
                };
                text = match item.node() {
                    Node::Number(value) if value.is_negative() => {
                        format!(
                            "{}{}",
                            self.minus(),
                            self.number(&-value.clone(), Level::Factor)
                        )
                    }
                    _ => self.print(item, wanted),
                };
                continue;
            }
            let next = self.print(item, Level::Factor);
            let after_numeral = position == 1
                && items[0].as_number().is_some_and(|value| value.is_int())
                && !next.starts_with(|c: char| c.is_ascii_digit());
            if !(self.unicode && after_numeral) {
                text.push_str(self.dot());
            }
            text.push_str(&next);
        }
        text
    }

    fn power(self, base: &Expr, exponent: &Expr) -> String {
        let base = self.print(base, Level::Base);
        format!("{base}{}", self.exponent(exponent))
    }

    /// `²`, `^n`, `^(n+1)`.
    fn exponent(self, exponent: &Expr) -> String {
        if self.unicode
            && let Node::Number(value) = exponent.node()
            && value.is_int()
        {
            return superscript(&value.numerator().to_string());
        }
        let text = self.print(exponent, Level::Sum).replace(' ', "");
        let single = text.chars().all(char::is_alphanumeric);
        if single {
            format!("^{text}")
        } else {
            format!("^({text})")
        }
    }

    fn root(self, degree: u32, radicand: &Expr, wanted: Level) -> String {
        if !self.unicode {
            return if degree == 2 {
                format!("sqrt({})", self.print(radicand, Level::Sum))
            } else {
                let text = format!("{}^(1/{degree})", self.print(radicand, Level::Base));
                Self::wrap(text, Level::Factor, wanted)
            };
        }
        let sign = match degree {
            2 => "√".to_owned(),
            3 => "∛".to_owned(),
            4 => "∜".to_owned(),
            k => format!("{}√", superscript(&k.to_string())),
        };
        let simple = match radicand.node() {
            Node::Variable(name) => name.as_str().chars().count() == 1,
            Node::Number(value) => value.is_int() && !value.is_negative(),
            Node::Constant(_) => true,
            _ => false,
        };
        let text = if simple {
            format!("{sign}{}", self.print(radicand, Level::Base))
        } else {
            format!("{sign}{}", self.parenthesised(radicand))
        };
        // √x² would be read as √(x²).
        let own = if simple { Level::Factor } else { Level::Base };
        Self::wrap(text, own, wanted)
    }

    fn call(self, function: Function, argument: &Expr, wanted: Level) -> String {
        let bracketed =
            |open: &str, close: &str| format!("{open}{}{close}", self.print(argument, Level::Sum));
        match function {
            Function::Exp => Self::wrap(
                format!("e{}", self.exponent(argument)),
                Level::Factor,
                wanted,
            ),
            Function::Abs if self.unicode => bracketed("|", "|"),
            Function::Floor if self.unicode => bracketed("⌊", "⌋"),
            Function::Ceil if self.unicode => bracketed("⌈", "⌉"),
            Function::Factorial => {
                let text = format!("{}!", self.print(argument, Level::Base));
                Self::wrap(text, Level::Factor, wanted)
            }
            _ => format!("{}{}", name(function), self.parenthesised(argument)),
        }
    }

    fn repeated(
        self,
        sign: &str,
        index: &str,
        from: &Expr,
        to: Option<&Expr>,
        body: &Expr,
    ) -> String {
        let compact = |expr: &Expr| self.print(expr, Level::Sum).replace(' ', "");
        let end = match to {
            Some(to) => compact(to),
            None => (if self.unicode { "∞" } else { "oo" }).to_owned(),
        };
        let end = if end.chars().count() == 1 {
            end
        } else {
            format!("({end})")
        };
        let from = compact(from);
        format!(
            "{sign}_({index}={from})^{end} {}",
            self.print(body, Level::Product)
        )
    }

    fn condition(self, condition: &Condition) -> String {
        let joined = |items: &[Condition], word: &str, empty: &str| {
            if items.is_empty() {
                return empty.to_owned();
            }
            let items: Vec<String> = items
                .iter()
                .map(|item| match item {
                    Condition::And(_) | Condition::Or(_) if items.len() > 1 => {
                        format!("({})", self.condition(item))
                    }
                    _ => self.condition(item),
                })
                .collect();
            items.join(word)
        };
        if let Some((element, set)) = condition.as_membership() {
            return format!("{} ∈ {set}", self.print(element, Level::Sum));
        }
        match condition {
            Condition::Holds(left, relation, right) => format!(
                "{} {} {}",
                self.print(left, Level::Sum),
                relation.sign(),
                self.print(right, Level::Sum)
            ),
            Condition::And(items) => joined(items, " and ", "true"),
            Condition::Or(items) => joined(items, " or ", "false"),
            Condition::Not(inner) => format!("not ({})", self.condition(inner)),
            Condition::Integer(value) => format!("{} ∈ ℤ", self.print(value, Level::Sum)),
        }
    }
}

/// The usual name of a function.
#[must_use]
pub fn name(function: Function) -> &'static str {
    match function {
        Function::Exp => "exp",
        Function::Log => "log",
        Function::Sin => "sin",
        Function::Cos => "cos",
        Function::Tan => "tan",
        Function::Atan => "arctan",
        Function::Asin => "arcsin",
        Function::Acos => "arccos",
        Function::Sinh => "sinh",
        Function::Cosh => "cosh",
        Function::Tanh => "tanh",
        Function::Abs => "abs",
        Function::Floor => "floor",
        Function::Ceil => "ceil",
        Function::Sign => "sgn",
        Function::Factorial => "factorial",
    }
}

fn superscript(digits: &str) -> String {
    digits
        .chars()
        .map(|c| match c {
            '-' => '⁻',
            '1' => '¹',
            '2' => '²',
            '3' => '³',
            '0' => '⁰',
            '4'..='9' => char::from_u32(u32::from(c) - u32::from('4') + 0x2074).unwrap_or(c),
            other => other,
        })
        .collect()
}
