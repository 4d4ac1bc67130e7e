//! Prints expressions unmistakably, for expectations.

use kernel::{Condition, Constant, Expr, Function, Node};

/// An expression with a bracket around every operation but the outermost.
pub(super) fn text(expr: &Expr) -> String {
    let list = |items: &[Expr], sign: &str| items.iter().map(inner).collect::<Vec<_>>().join(sign);
    let arguments = |items: &[Expr]| items.iter().map(text).collect::<Vec<_>>().join(", ");
    match expr.node() {
        Node::Number(value) => value.to_string(),
        Node::Constant(Constant::Pi) => "pi".to_owned(),
        Node::Constant(Constant::E) => "e".to_owned(),
        Node::Variable(name) => name.to_string(),
        Node::Add(items) => list(items, " + "),
        Node::Mul(items) => list(items, "*"),
        Node::Neg(item) => format!("-{}", inner(item)),
        Node::Div(a, b) => format!("{}/{}", inner(a), inner(b)),
        Node::Pow(a, b) => format!("{}^{}", inner(a), inner(b)),
        Node::Root(2, item) => format!("sqrt({})", text(item)),
        Node::Root(degree, item) => format!("root{degree}({})", text(item)),
        Node::Call(function, item) => format!("{}({})", name(*function), text(item)),
        Node::Min(items) => format!("min({})", arguments(items)),
        Node::Max(items) => format!("max({})", arguments(items)),
        Node::Sum {
            index,
            from,
            to,
            body,
        } => {
            let to = to.as_ref().map_or("oo".to_owned(), text);
            format!("sum({index} = {} .. {to}: {})", text(from), text(body))
        }
        Node::Product {
            index,
            from,
            to,
            body,
        } => format!(
            "prod({index} = {} .. {}: {})",
            text(from),
            text(to),
            text(body)
        ),
        Node::Derivative { variable, body } => format!("d/d{variable}({})", text(body)),
        Node::Apply(name, items) => format!("{name}[{}]", arguments(items)),
        Node::Piecewise(branches) => {
            let branches = branches
                .iter()
                .map(|(when, value)| format!("{} if {}", text(value), condition(when)))
                .collect::<Vec<_>>()
                .join("; ");
            format!("{{{branches}}}")
        }
    }
}

fn inner(expr: &Expr) -> String {
    match expr.node() {
        Node::Add(_) | Node::Mul(_) | Node::Neg(_) | Node::Div(..) | Node::Pow(..) => {
            format!("({})", text(expr))
        }
        Node::Number(value) if value.to_string().contains(['/', '-']) => format!("({value})"),
        _ => text(expr),
    }
}

fn name(function: Function) -> String {
    format!("{function:?}").to_lowercase()
}

/// A condition in the same manner.
pub(super) fn condition(condition: &Condition) -> String {
    match condition {
        Condition::Holds(left, relation, right) => {
            format!("{} {} {}", text(left), relation.sign(), text(right))
        }
        Condition::And(items) if items.is_empty() => "true".to_owned(),
        Condition::And(items) => joined(items, " and "),
        Condition::Or(items) if items.is_empty() => "false".to_owned(),
        Condition::Or(items) => format!("({})", joined(items, " or ")),
        Condition::Not(inner) => format!("not({})", self::condition(inner)),
        Condition::Integer(value) => format!("{} in Z", text(value)),
    }
}

fn joined(items: &[Condition], sign: &str) -> String {
    items.iter().map(condition).collect::<Vec<_>>().join(sign)
}

/// Conditions that hold together.
pub(super) fn conditions_text(conditions: &[Condition]) -> String {
    joined(conditions, ", ")
}
