//! Expressions and intervals in TeX, as a person would write them in a proof.

use crate::seek::{Interval, Piece};
use dashu::base::{Signed, UnsignedAbs};
use dashu::rational::RBig;
use kernel::{Condition, Constant, Expr, Function, Node, Relation, Symbol};

/// What the surroundings bind; what binds less is put in parentheses.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Level {
    Sum,
    Term,
    Product,
    Factor,
    Base,
}

/// An expression as TeX.
#[must_use]
pub(crate) fn tex(expr: &Expr) -> String {
    print(expr, Level::Sum)
}

/// A name: Greek letters by their commands, indices as subscripts.
#[must_use]
pub(crate) fn name(symbol: &Symbol) -> String {
    let spelled = symbol.as_str();
    let (head, tail) = spelled
        .split_once('_')
        .map_or((spelled, None), |(head, tail)| (head, Some(tail)));
    let head = match head {
        "α" => "\\alpha",
        "β" => "\\beta",
        "γ" => "\\gamma",
        "δ" => "\\delta",
        "ε" => "\\varepsilon",
        "η" => "\\eta",
        "λ" => "\\lambda",
        "μ" => "\\mu",
        "ν" => "\\nu",
        "ρ" => "\\rho",
        "σ" => "\\sigma",
        "τ" => "\\tau",
        "φ" => "\\varphi",
        "ψ" => "\\psi",
        "ω" => "\\omega",
        "θ" => "\\theta",
        other => other,
    };
    match tail {
        None => head.to_owned(),
        Some(tail) if tail.chars().count() == 1 => format!("{head}_{tail}"),
        Some(tail) => format!("{head}_{{{tail}}}"),
    }
}

fn wrap(text: String, own: Level, wanted: Level) -> String {
    if own < wanted { brackets(&text) } else { text }
}

/// Parentheses, high ones around fractions.
pub(crate) fn brackets(text: &str) -> String {
    if text.contains("\\frac") {
        format!("\\left({text}\\right)")
    } else {
        format!("({text})")
    }
}

fn bars(text: &str) -> String {
    if text.contains("\\frac") || text.contains("\\sqrt") {
        format!("\\left|{text}\\right|")
    } else {
        format!("|{text}|")
    }
}

/// A product of two spelled factors: a command must not swallow the letter behind it.
fn adjoin(left: &str, right: &str) -> String {
    let ends_in_command = left.rfind('\\').is_some_and(|place| {
        left[place + 1..]
            .chars()
            .all(|own| own.is_ascii_alphabetic())
    });
    let digit = |own: Option<char>| own.is_some_and(|own| own.is_ascii_digit());
    if digit(right.chars().next()) || right.starts_with("\\frac") && digit(left.chars().last()) {
        format!("{left} \\cdot {right}")
    } else if ends_in_command && right.starts_with(|own: char| own.is_ascii_alphabetic()) {
        format!("{left} {right}")
    } else {
        format!("{left}{right}")
    }
}

fn number(value: &RBig, wanted: Level) -> String {
    let above = value.numerator().unsigned_abs();
    let size = if value.is_int() {
        above.to_string()
    } else {
        format!("\\frac{{{above}}}{{{}}}", value.denominator())
    };
    if value.is_negative() {
        return wrap(format!("-{size}"), Level::Sum, wanted);
    }
    let own = if value.is_int() {
        Level::Base
    } else {
        Level::Factor
    };
    wrap(size, own, wanted)
}

fn print(expr: &Expr, wanted: Level) -> String {
    match expr.node() {
        Node::Number(value) => number(value, wanted),
        Node::Constant(Constant::Pi) => "\\pi".to_owned(),
        Node::Constant(Constant::E) => "e".to_owned(),
        Node::Variable(symbol) => name(symbol),
        Node::Add(items) => wrap(sum(items), Level::Sum, wanted),
        Node::Mul(items) => wrap(product(items), Level::Product, wanted),
        Node::Neg(inner) => wrap(
            format!("-{}", print(inner, Level::Product)),
            Level::Sum,
            wanted,
        ),
        Node::Div(above, below) => {
            let text = format!("\\frac{{{}}}{{{}}}", tex(above), tex(below));
            wrap(text, Level::Factor, wanted)
        }
        Node::Pow(base, exponent) => {
            let text = power(base, exponent);
            wrap(text, Level::Factor, wanted)
        }
        Node::Root(degree, inner) => {
            let degree = if *degree == 2 {
                String::new()
            } else {
                format!("[{degree}]")
            };
            wrap(
                format!("\\sqrt{degree}{{{}}}", tex(inner)),
                Level::Factor,
                wanted,
            )
        }
        Node::Call(function, inner) => call(*function, inner, wanted),
        Node::Min(items) => format!("\\min\\{{{}\\}}", list(items)),
        Node::Max(items) => format!("\\max\\{{{}\\}}", list(items)),
        Node::Sum {
            index,
            from,
            to,
            body,
        } => {
            let to = to.as_ref().map_or("\\infty".to_owned(), tex);
            repeated("\\sum", index, from, &to, body, wanted)
        }
        Node::Product {
            index,
            from,
            to,
            body,
        } => repeated("\\prod", index, from, &tex(to), body, wanted),
        Node::Derivative { variable, body } => {
            let text = format!("\\frac{{d}}{{d{}}}{}", name(variable), brackets(&tex(body)));
            wrap(text, Level::Product, wanted)
        }
        Node::Apply(symbol, items) => format!("{}({})", name(symbol), list(items)),
        Node::Piecewise(branches) => {
            let rows: Vec<String> = branches
                .iter()
                .map(|(place, value)| {
                    format!("{} & \\text{{if }} {}", tex(value), condition(place))
                })
                .collect();
            format!("\\begin{{cases}} {} \\end{{cases}}", rows.join(" \\\\ "))
        }
    }
}

fn list(items: &[Expr]) -> String {
    items.iter().map(tex).collect::<Vec<_>>().join(", ")
}

fn repeated(
    sign: &str,
    index: &Symbol,
    from: &Expr,
    to: &str,
    body: &Expr,
    wanted: Level,
) -> String {
    let text = format!(
        "{sign}_{{{}={}}}^{{{to}}} {}",
        name(index),
        tex(from),
        print(body, Level::Product)
    );
    wrap(text, Level::Term, wanted)
}

fn sum(items: &[Expr]) -> String {
    let mut text = String::new();
    for (position, item) in items.iter().enumerate() {
        let (negative, size) = match item.node() {
            Node::Neg(inner) => (true, print(inner, Level::Product)),
            Node::Number(value) if value.is_negative() => {
                (true, number(&-value.clone(), Level::Term))
            }
            _ => (
                false,
                print(
                    item,
                    if position == 0 {
                        Level::Sum
                    } else {
                        Level::Term
                    },
                ),
            ),
        };
        match (position, negative) {
            (0, true) => text.push('-'),
            (0, false) => {}
            (_, true) => text.push_str(" - "),
            (_, false) => text.push_str(" + "),
        }
        text.push_str(&size);
    }
    text
}

/// Factors side by side; fractions among them are put below one line.
fn product(items: &[Expr]) -> String {
    let mut text = String::new();
    for item in items {
        let spelled = print(item, Level::Factor);
        text = if text.is_empty() {
            spelled
        } else {
            adjoin(&text, &spelled)
        };
    }
    text
}

fn power(base: &Expr, exponent: &Expr) -> String {
    let exponent = tex(exponent);
    let exponent = if exponent.chars().count() == 1 {
        exponent
    } else {
        format!("{{{exponent}}}")
    };
    if let Node::Call(function, inner) = base.node()
        && matches!(function, Function::Sin | Function::Cos | Function::Tan)
    {
        return format!("{}^{exponent}{}", command(*function), argument(inner));
    }
    format!("{}^{exponent}", print(base, Level::Base))
}

fn command(function: Function) -> &'static str {
    match function {
        Function::Exp => "\\exp",
        Function::Log => "\\ln",
        Function::Sin => "\\sin",
        Function::Cos => "\\cos",
        Function::Tan => "\\tan",
        Function::Atan => "\\arctan",
        Function::Asin => "\\arcsin",
        Function::Acos => "\\arccos",
        Function::Sinh => "\\sinh",
        Function::Cosh => "\\cosh",
        Function::Tanh => "\\tanh",
        Function::Sign => "\\operatorname{sgn}",
        Function::Abs | Function::Floor | Function::Ceil | Function::Factorial => "",
    }
}

fn argument(inner: &Expr) -> String {
    match inner.node() {
        Node::Variable(_) | Node::Constant(_) => format!(" {}", tex(inner)),
        Node::Number(value) if value.is_int() && !value.is_negative() => {
            format!(" {}", tex(inner))
        }
        _ => brackets(&tex(inner)),
    }
}

fn call(function: Function, inner: &Expr, wanted: Level) -> String {
    match function {
        Function::Abs => bars(&tex(inner)),
        Function::Floor => format!("\\lfloor {} \\rfloor", tex(inner)),
        Function::Ceil => format!("\\lceil {} \\rceil", tex(inner)),
        Function::Factorial => format!("{}!", print(inner, Level::Base)),
        Function::Exp => wrap(format!("e^{{{}}}", tex(inner)), Level::Factor, wanted),
        _ => wrap(
            format!("{}{}", command(function), argument(inner)),
            Level::Factor,
            wanted,
        ),
    }
}

fn sign(relation: Relation) -> &'static str {
    match relation {
        Relation::Less => "<",
        Relation::LessEqual => "\\le",
        Relation::Equal => "=",
        Relation::NotEqual => "\\ne",
        Relation::GreaterEqual => "\\ge",
        Relation::Greater => ">",
    }
}

/// A condition; two bounds of one name as a chain.
#[must_use]
pub(crate) fn condition(condition: &Condition) -> String {
    match condition {
        Condition::Holds(left, relation, right) => {
            format!("{} {} {}", tex(left), sign(*relation), tex(right))
        }
        Condition::And(items) => match items.as_slice() {
            [
                Condition::Holds(low, below, middle),
                Condition::Holds(same, above, high),
            ] if middle == same => format!(
                "{} {} {} {} {}",
                tex(low),
                sign(*below),
                tex(middle),
                sign(*above),
                tex(high)
            ),
            _ => items
                .iter()
                .map(self::condition)
                .collect::<Vec<_>>()
                .join(",\\ "),
        },
        Condition::Or(items) => items
            .iter()
            .map(self::condition)
            .collect::<Vec<_>>()
            .join(" \\text{ or } "),
        Condition::Not(inner) => format!("\\text{{not }} {}", self::condition(inner)),
        Condition::Integer(value) => format!("{} \\in \\mathbb{{Z}}", tex(value)),
    }
}

/// An interval as a set.
#[must_use]
pub(crate) fn interval(own: &Interval) -> String {
    let high = match &own.high {
        None => "\\infty)".to_owned(),
        Some(end) => format!("{}{}", tex(&end.value), if end.closed { ']' } else { ')' }),
    };
    match &own.low {
        None if own.high.is_none() => "\\mathbb{R}".to_owned(),
        None => format!("(-\\infty, {high}"),
        Some(end) => {
            let open = if end.closed { '[' } else { '(' };
            format!("{open}{}, {high}", tex(&end.value))
        }
    }
}

/// A piece of a domain as a condition on its point.
#[must_use]
pub(crate) fn place(piece: &Piece, x: &Expr) -> String {
    match piece.single() {
        Some(point) => format!("{} = {}", tex(x), tex(point)),
        None => within(&piece.domain, x),
    }
}

/// That a point lies in an interval, as inequalities.
#[must_use]
pub(crate) fn within(domain: &Interval, x: &Expr) -> String {
    let sign = |closed: bool, up: bool| match (closed, up) {
        (true, true) => "\\le",
        (false, true) => "<",
        (true, false) => "\\ge",
        (false, false) => ">",
    };
    let x = tex(x);
    match (&domain.low, &domain.high) {
        (None, None) => format!("{x} \\in \\mathbb{{R}}"),
        (Some(low), None) => format!("{x} {} {}", sign(low.closed, false), tex(&low.value)),
        (None, Some(high)) => format!("{x} {} {}", sign(high.closed, true), tex(&high.value)),
        (Some(low), Some(high)) => format!(
            "{} {} {x} {} {}",
            tex(&low.value),
            sign(low.closed, true),
            sign(high.closed, true),
            tex(&high.value)
        ),
    }
}
