//! Conditions in plain notation as values: `0 <= u < pi/2, integer n`.

use super::{Condition, Constant, Expr, Function, Node, Relation, Symbol};
use dashu::integer::IBig;

/// What the names of a text stand for: one expression, or several in a list of arguments.
type Letters<'a> = &'a dyn Fn(&str) -> Option<Vec<Expr>>;

/// The conditions of a text, separated by commas, with `letters` put in for its names; `None` if
/// it is no such text. A chain of relations is one condition for each of its signs.
#[must_use]
pub fn conditions(text: &str, letters: Letters) -> Option<Vec<Condition>> {
    let mut reader = Reader {
        text,
        letters,
        bound: Vec::new(),
    };
    let mut all = Vec::new();
    while !reader.text.trim().is_empty() {
        reader.statement(&mut all)?;
        let more = reader.eat(",");
        (more || reader.text.trim().is_empty()).then_some(())?;
    }
    Some(all)
}

struct Reader<'a> {
    text: &'a str,
    letters: Letters<'a>,
    /// The indices of the sums around.
    bound: Vec<Symbol>,
}

impl<'a> Reader<'a> {
    fn eat(&mut self, token: &str) -> bool {
        let rest = self.text.trim_start().strip_prefix(token);
        self.text = rest.unwrap_or(self.text);
        rest.is_some()
    }

    fn word(&mut self, fits: impl Fn(char) -> bool) -> &'a str {
        let text = self.text.trim_start();
        let end = text.find(|own| !fits(own)).unwrap_or(text.len());
        self.text = &text[end..];
        &text[..end]
    }

    fn statement(&mut self, all: &mut Vec<Condition>) -> Option<()> {
        if self.eat("integer ") {
            all.push(Condition::Integer(self.sum()?));
            return Some(());
        }
        let mut left = self.sum()?;
        let mut chain = 0;
        while let Some(relation) = self.relation() {
            let right = self.sum()?;
            all.push(Condition::Holds(left, relation, right.clone()));
            left = right;
            chain += 1;
        }
        (chain > 0).then_some(())
    }

    fn relation(&mut self) -> Option<Relation> {
        let signs = [
            ("<=", Relation::LessEqual),
            (">=", Relation::GreaterEqual),
            ("!=", Relation::NotEqual),
            ("<", Relation::Less),
            (">", Relation::Greater),
            ("=", Relation::Equal),
        ];
        let found = signs.into_iter().find(|(sign, _)| self.eat(sign))?;
        Some(found.1)
    }

    fn sum(&mut self) -> Option<Expr> {
        let mut terms = vec![self.product()?];
        loop {
            if self.eat("+") {
                terms.push(self.product()?);
            } else if self.eat("-") {
                terms.push(self.product()?.negative());
            } else {
                return Some(Expr::sum_of(terms));
            }
        }
    }

    fn product(&mut self) -> Option<Expr> {
        let mut value = self.signed()?;
        loop {
            if self.eat("*") {
                value = value.times(&self.signed()?);
            } else if self.eat("/") {
                value = value.over(&self.signed()?);
            } else {
                return Some(value);
            }
        }
    }

    /// −u^v is −(u^v), and u^v^w is u^(v^w).
    fn signed(&mut self) -> Option<Expr> {
        if self.eat("-") {
            return Some(self.signed()?.negative());
        }
        let base = self.primary()?;
        if self.eat("^") {
            return Some(base.power(&self.signed()?));
        }
        Some(base)
    }

    fn primary(&mut self) -> Option<Expr> {
        if self.eat("(") {
            let inner = self.sum()?;
            return self.eat(")").then_some(inner);
        }
        let digits = self.word(|own| own.is_ascii_digit());
        if !digits.is_empty() {
            return Some(Expr::big(digits.parse::<IBig>().ok()?));
        }
        let name = self.word(|own| own.is_ascii_alphabetic());
        if name == "sum" && self.eat("(") {
            return self.finite_sum();
        }
        if !self.eat("(") {
            return match name {
                "pi" => Some(Node::Constant(Constant::Pi).into()),
                "e" => Some(Node::Constant(Constant::E).into()),
                _ => <[Expr; 1]>::try_from(self.letter(name)?)
                    .ok()
                    .map(|[own]| own),
            };
        }
        let list = self.list()?;
        apply(name, list)
    }

    /// What a name stands for. What is put in for a letter must not speak of the index of a sum
    /// around.
    fn letter(&self, name: &str) -> Option<Vec<Expr>> {
        if let Some(own) = self.bound.iter().find(|own| own.as_str() == name) {
            return Some(vec![Expr::variable(own)]);
        }
        let values = (self.letters)(name)?;
        let captured = |index: &Symbol| values.iter().any(|value| value.mentions(index));
        (!self.bound.iter().any(captured)).then_some(values)
    }

    /// `k, 0, n, body)`
    fn finite_sum(&mut self) -> Option<Expr> {
        let index = Symbol::new(self.word(|own| own.is_ascii_alphabetic()));
        self.eat(",").then_some(())?;
        let from = self.sum()?;
        self.eat(",").then_some(())?;
        let to = Some(self.sum()?);
        self.eat(",").then_some(())?;
        self.bound.push(index.clone());
        let body = self.sum()?;
        self.bound.pop();
        let sum = Node::Sum {
            index,
            from,
            to,
            body,
        };
        self.eat(")").then(|| sum.into())
    }

    /// Arguments up to the closing parenthesis; a bare name may stand for several.
    fn list(&mut self) -> Option<Vec<Expr>> {
        let mut all = Vec::new();
        loop {
            let before = self.text;
            let word = self.word(|own| own.is_ascii_alphabetic());
            let several = self.letter(word);
            match several.filter(|_| self.text.starts_with([',', ')'])) {
                Some(several) => all.extend(several),
                None => {
                    self.text = before;
                    all.push(self.sum()?);
                }
            }
            if self.eat(")") {
                return Some(all);
            }
            self.eat(",").then_some(())?;
        }
    }
}

fn apply(name: &str, list: Vec<Expr>) -> Option<Expr> {
    let function = match (name, list.as_slice()) {
        ("min", [_, ..]) => return Some(Node::Min(list).into()),
        ("max", [_, ..]) => return Some(Node::Max(list).into()),
        ("root", [inner, degree]) => {
            let degree = u32::try_from(degree.as_number()?).ok()?;
            return (degree >= 2).then(|| Node::Root(degree, inner.clone()).into());
        }
        ("exp", _) => Function::Exp,
        ("log", _) => Function::Log,
        ("sin", _) => Function::Sin,
        ("cos", _) => Function::Cos,
        ("tan", _) => Function::Tan,
        ("atan", _) => Function::Atan,
        ("abs", _) => Function::Abs,
        ("floor", _) => Function::Floor,
        ("ceil", _) => Function::Ceil,
        ("fact", _) => Function::Factorial,
        _ => return None,
    };
    match list.as_slice() {
        [only] => Some(only.call(function)),
        _ => None,
    }
}
