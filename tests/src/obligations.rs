//! The obligations: claims typical for the trade with known truth, as kernel problems.

use kernel::expr::{Condition, Constant, Expr, Function, Node, Relation, Symbol};
use kernel::{Goal, Hypothesis, Kind, Origin, Problem, Variable};
use serde::Deserialize;
use std::collections::BTreeMap;

/// One claim with its truth.
#[derive(Clone, Debug)]
pub struct Obligation {
    /// Its name.
    pub id: String,
    /// The kind of claim.
    pub topic: String,
    /// Whether it is true.
    pub truth: bool,
    /// The claim.
    pub problem: Problem,
}

#[derive(Deserialize)]
struct Entry {
    id: String,
    topic: String,
    truth: bool,
    vars: BTreeMap<String, Range>,
    hyps_expr: Vec<String>,
    lhs: String,
    rel: String,
    rhs: String,
}

#[derive(Deserialize)]
struct Range {
    kind: String,
    domain: String,
}

/// The obligations of a file in the format of `tests/data/obligations.json`; an error names the
/// entry that was not understood.
pub fn read(text: &str) -> Result<Vec<Obligation>, String> {
    let entries: Vec<Entry> = serde_json::from_str(text).map_err(|error| error.to_string())?;
    entries
        .into_iter()
        .map(|entry| {
            let id = entry.id.clone();
            obligation(entry).ok_or_else(|| format!("{id} was not understood"))
        })
        .collect()
}

fn obligation(entry: Entry) -> Option<Obligation> {
    let mut variables = Vec::new();
    let mut hypotheses = Vec::new();
    for (name, range) in &entry.vars {
        let symbol = Symbol::new(name);
        let kind = if range.kind == "int" {
            Kind::Integer
        } else {
            Kind::Real
        };
        hypotheses.extend(interval(&Expr::variable(&symbol), &range.domain)?);
        variables.push(Variable { name: symbol, kind });
    }
    for text in &entry.hyps_expr {
        hypotheses.push(Hypothesis {
            condition: condition(text)?,
            origin: Origin::Assumption,
        });
    }
    let goal = Goal::Holds(
        expression(&entry.lhs)?,
        relation(&entry.rel)?,
        expression(&entry.rhs)?,
    );
    Some(Obligation {
        id: entry.id,
        topic: entry.topic,
        truth: entry.truth,
        problem: Problem {
            variables,
            hypotheses,
            goal,
        },
    })
}

/// `[a,b)` as hypotheses about a variable; infinite ends give none.
#[must_use]
pub fn interval(variable: &Expr, text: &str) -> Option<Vec<Hypothesis>> {
    let open = text.chars().next()?;
    let close = text.chars().last()?;
    let (low, high) = text.get(1..text.len() - 1)?.split_once(',')?;
    let mut found = Vec::new();
    let mut add = |relation, bound: &str| {
        if !bound.contains("oo") {
            found.push(Hypothesis {
                condition: Condition::Holds(variable.clone(), relation, expression(bound)?),
                origin: Origin::Domain,
            });
        }
        Some(())
    };
    let above = if open == '[' {
        Relation::GreaterEqual
    } else {
        Relation::Greater
    };
    let below = if close == ']' {
        Relation::LessEqual
    } else {
        Relation::Less
    };
    add(above, low)?;
    add(below, high)?;
    Some(found)
}

fn relation(sign: &str) -> Option<Relation> {
    Some(match sign {
        "<" => Relation::Less,
        "<=" => Relation::LessEqual,
        "=" | "==" => Relation::Equal,
        "!=" => Relation::NotEqual,
        ">=" => Relation::GreaterEqual,
        ">" => Relation::Greater,
        _ => return None,
    })
}

/// A relation such as `abs(x-2) < delta`.
#[must_use]
pub fn condition(text: &str) -> Option<Condition> {
    for sign in ["<=", ">=", "!=", "==", "<", ">", "="] {
        if let Some((left, right)) = text.split_once(sign) {
            return Some(Condition::Holds(
                expression(left)?,
                relation(sign)?,
                expression(right)?,
            ));
        }
    }
    None
}

/// An expression in the syntax of the file (`**` or `^` for powers).
#[must_use]
pub fn expression(text: &str) -> Option<Expr> {
    let mut reader = Reader {
        tokens: tokens(text)?,
        position: 0,
    };
    let expr = reader.sum()?;
    (reader.position == reader.tokens.len()).then_some(expr)
}

#[derive(Clone, PartialEq, Debug)]
enum Token {
    Number(i64),
    Name(String),
    Sign(&'static str),
}

fn tokens(text: &str) -> Option<Vec<Token>> {
    const SIGNS: [&str; 9] = ["**", "^", "+", "-", "*", "/", "(", ")", ","];
    let mut found = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        let length = if first.is_ascii_digit() {
            let length = rest
                .find(|c: char| !c.is_ascii_digit())
                .unwrap_or(rest.len());
            found.push(Token::Number(rest[..length].parse().ok()?));
            length
        } else if first.is_alphabetic() {
            let length = rest
                .find(|c: char| !c.is_alphanumeric() && c != '_')
                .unwrap_or(rest.len());
            found.push(Token::Name(rest[..length].to_owned()));
            length
        } else {
            let sign = SIGNS.into_iter().find(|sign| rest.starts_with(sign))?;
            found.push(Token::Sign(sign));
            sign.len()
        };
        rest = rest[length..].trim_start();
    }
    Some(found)
}

struct Reader {
    tokens: Vec<Token>,
    position: usize,
}

impl Reader {
    fn take(&mut self, sign: &str) -> bool {
        let found =
            matches!(self.tokens.get(self.position), Some(Token::Sign(next)) if *next == sign);
        self.position += usize::from(found);
        found
    }

    fn sum(&mut self) -> Option<Expr> {
        let mut terms = vec![self.product()?];
        loop {
            if self.take("+") {
                terms.push(self.product()?);
            } else if self.take("-") {
                terms.push(self.product()?.negative());
            } else {
                return Some(Expr::sum_of(terms));
            }
        }
    }

    fn product(&mut self) -> Option<Expr> {
        let mut factors = vec![self.unary()?];
        loop {
            if self.take("*") {
                factors.push(self.unary()?);
            } else if self.take("/") {
                let divisor = self.unary()?;
                factors = vec![Expr::product_of(factors).over(&divisor)];
            } else {
                return Some(Expr::product_of(factors));
            }
        }
    }

    fn unary(&mut self) -> Option<Expr> {
        if self.take("-") {
            return Some(self.unary()?.negative());
        }
        if self.take("+") {
            return self.unary();
        }
        let base = self.atom()?;
        if self.take("**") || self.take("^") {
            return Some(base.power(&self.unary()?));
        }
        Some(base)
    }

    fn atom(&mut self) -> Option<Expr> {
        let token = self.tokens.get(self.position)?.clone();
        self.position += 1;
        match token {
            Token::Number(value) => Some(Expr::integer(value)),
            Token::Sign("(") => {
                let inner = self.sum()?;
                self.take(")").then_some(inner)
            }
            Token::Sign(_) => None,
            Token::Name(name) => {
                if !self.take("(") {
                    return Some(match name.as_str() {
                        "pi" => Node::Constant(Constant::Pi).into(),
                        "E" | "e" => Node::Constant(Constant::E).into(),
                        other => Expr::named(other),
                    });
                }
                if name == "Sum" || name == "Product" {
                    return self.series(name == "Product");
                }
                let mut arguments = vec![self.sum()?];
                while self.take(",") {
                    arguments.push(self.sum()?);
                }
                self.take(")").then_some(())?;
                apply(&name, arguments)
            }
        }
    }

    /// The rest of `Sum(body,(k,from,to))` or of a product.
    fn series(&mut self, product: bool) -> Option<Expr> {
        let body = self.sum()?;
        (self.take(",") && self.take("(")).then_some(())?;
        let index = self.sum()?.as_variable()?.clone();
        self.take(",").then_some(())?;
        let from = self.sum()?;
        self.take(",").then_some(())?;
        let to = self.sum()?;
        (self.take(")") && self.take(")")).then_some(())?;
        let endless = to.as_variable().is_some_and(|name| name.as_str() == "oo");
        if product {
            return (!endless).then_some(
                Node::Product {
                    index,
                    from,
                    to,
                    body,
                }
                .into(),
            );
        }
        Some(
            Node::Sum {
                index,
                from,
                to: (!endless).then_some(to),
                body,
            }
            .into(),
        )
    }
}

fn apply(name: &str, arguments: Vec<Expr>) -> Option<Expr> {
    match name {
        "Min" => return Some(Node::Min(arguments).into()),
        "Max" => return Some(Node::Max(arguments).into()),
        "Derivative" => {
            let [body, variable] = <[Expr; 2]>::try_from(arguments).ok()?;
            let variable = variable.as_variable()?.clone();
            return Some(Node::Derivative { variable, body }.into());
        }
        // As drafts are read: n!/(k! (n − k)!).
        "binomial" => {
            let [n, k] = <[Expr; 2]>::try_from(arguments).ok()?;
            let factorial = |expr: &Expr| expr.call(Function::Factorial);
            return Some(factorial(&n).over(&factorial(&k).times(&factorial(&n.minus(&k)))));
        }
        _ => {}
    }
    let [argument] = <[Expr; 1]>::try_from(arguments).ok()?;
    let function = match name {
        "sqrt" => return Some(argument.sqrt()),
        "abs" | "Abs" => Function::Abs,
        "exp" => Function::Exp,
        "log" => Function::Log,
        "sin" => Function::Sin,
        "cos" => Function::Cos,
        "tan" => Function::Tan,
        "atan" => Function::Atan,
        "factorial" => Function::Factorial,
        "ceiling" => Function::Ceil,
        "floor" => Function::Floor,
        "sinh" => Function::Sinh,
        "cosh" => Function::Cosh,
        "tanh" => Function::Tanh,
        "cbrt" => return Some(Node::Root(3, argument).into()),
        // A function of which nothing but hypotheses is known.
        _ if name.len() == 1 => return Some(Node::Apply(Symbol::new(name), vec![argument]).into()),
        _ => return None,
    };
    Some(argument.call(function))
}
