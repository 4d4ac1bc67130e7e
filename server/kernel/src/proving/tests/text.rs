//! Problems as short texts, for tests: `n:int x:[0,1) | x < y, n >= 2 |- x^n <= 1/n`.

use crate::expr::{Condition, Constant, Expr, Function, Node, Relation, Symbol};
use crate::goal::{Goal, Hypothesis, Kind, Origin, Problem, Variable};

struct Reader<'t> {
    text: &'t [u8],
    at: usize,
}

impl Reader<'_> {
    fn eat(&mut self, token: &str) -> bool {
        while self.text.get(self.at) == Some(&b' ') {
            self.at += 1;
        }
        let found = self.text[self.at..].starts_with(token.as_bytes());
        if found {
            self.at += token.len();
        }
        found
    }

    fn word(&mut self, accept: impl Fn(u8) -> bool) -> String {
        let start = self.at;
        while self.text.get(self.at).is_some_and(|byte| accept(*byte)) {
            self.at += 1;
        }
        String::from_utf8_lossy(&self.text[start..self.at]).into_owned()
    }

    fn sum(&mut self) -> Expr {
        let mut terms = vec![self.product()];
        loop {
            if self.eat("+") {
                terms.push(self.product());
            } else if self.eat("-") {
                terms.push(self.product().negative());
            } else {
                return Expr::sum_of(terms);
            }
        }
    }

    fn product(&mut self) -> Expr {
        let mut value = self.signed();
        loop {
            if self.eat("*") {
                value = value.times(&self.signed());
            } else if self.eat("/") {
                value = value.over(&self.signed());
            } else {
                return value;
            }
        }
    }

    fn signed(&mut self) -> Expr {
        if self.eat("-") {
            return self.signed().negative();
        }
        let base = self.primary();
        if self.eat("^") {
            return base.power(&self.signed());
        }
        base
    }

    fn list(&mut self) -> Vec<Expr> {
        let mut all = vec![self.sum()];
        while self.eat(",") {
            all.push(self.sum());
        }
        assert!(self.eat(")"), "missing parenthesis");
        all
    }

    fn primary(&mut self) -> Expr {
        if self.eat("(") {
            let inner = self.sum();
            assert!(self.eat(")"), "missing parenthesis");
            return inner;
        }
        let digits = self.word(|byte| byte.is_ascii_digit());
        if !digits.is_empty() {
            return Expr::big(digits.parse().unwrap());
        }
        let name = self.word(|byte| byte.is_ascii_alphanumeric());
        assert!(!name.is_empty(), "nothing to read");
        match name.as_str() {
            "pi" => return Node::Constant(Constant::Pi).into(),
            "e" => return Node::Constant(Constant::E).into(),
            _ => {}
        }
        if !self.eat("(") {
            return Expr::named(&name);
        }
        let list = self.list();
        self.apply(&name, list)
    }

    fn apply(&mut self, name: &str, list: Vec<Expr>) -> Expr {
        let first = list[0].clone();
        let function = match name {
            "exp" => Function::Exp,
            "log" => Function::Log,
            "sin" => Function::Sin,
            "cos" => Function::Cos,
            "tan" => Function::Tan,
            "atan" => Function::Atan,
            "sinh" => Function::Sinh,
            "cosh" => Function::Cosh,
            "abs" => Function::Abs,
            "floor" => Function::Floor,
            "ceil" => Function::Ceil,
            "sign" => Function::Sign,
            "fact" => Function::Factorial,
            "sqrt" => return first.sqrt(),
            "cbrt" => return Node::Root(3, first).into(),
            "min" => return Node::Min(list).into(),
            "max" => return Node::Max(list).into(),
            "D" => {
                return Node::Derivative {
                    variable: list[1].as_variable().unwrap().clone(),
                    body: first,
                }
                .into();
            }
            "sum" | "series" => {
                return Node::Sum {
                    index: list[1].as_variable().unwrap().clone(),
                    from: list[2].clone(),
                    to: list.get(3).cloned(),
                    body: first,
                }
                .into();
            }
            _ => return Node::Apply(Symbol::new(name), list).into(),
        };
        first.call(function)
    }
}

/// An expression.
pub(crate) fn expr(text: &str) -> Expr {
    let mut reader = Reader {
        text: text.as_bytes(),
        at: 0,
    };
    let value = reader.sum();
    assert!(!reader.eat("?"));
    assert_eq!(reader.at, text.trim_end().len(), "left over in {text}");
    value
}

fn sides(text: &str) -> (Expr, Relation, Expr) {
    for (sign, relation) in [
        ("<=", Relation::LessEqual),
        (">=", Relation::GreaterEqual),
        ("!=", Relation::NotEqual),
        ("<", Relation::Less),
        (">", Relation::Greater),
        ("=", Relation::Equal),
    ] {
        if let Some((left, right)) = text.split_once(sign) {
            return (expr(left.trim()), relation, expr(right.trim()));
        }
    }
    panic!("no relation in {text}");
}

/// A condition; `or` joins alternatives.
pub(crate) fn condition(text: &str) -> Condition {
    let parts: Vec<Condition> = text
        .split(" or ")
        .map(|part| {
            let (left, relation, right) = sides(part);
            Condition::Holds(left, relation, right)
        })
        .collect();
    match parts.as_slice() {
        [only] => only.clone(),
        _ => Condition::Or(parts),
    }
}

fn assume(problem: &mut Problem, condition: Condition) {
    problem.hypotheses.push(Hypothesis {
        condition,
        origin: Origin::Assumption,
    });
}

fn domain(problem: &mut Problem, name: &str, text: &str) {
    let own = Expr::named(name);
    let kind = if text == "int" {
        Kind::Integer
    } else {
        Kind::Real
    };
    problem.variables.push(Variable {
        name: Symbol::new(name),
        kind,
    });
    if text == "int" {
        let one = Expr::integer(1);
        assume(problem, Condition::Holds(own, Relation::GreaterEqual, one));
        return;
    }
    let (low, high) = text[1..text.len() - 1].split_once(',').unwrap();
    if low != "-oo" {
        let relation = if text.starts_with('(') {
            Relation::Greater
        } else {
            Relation::GreaterEqual
        };
        assume(problem, Condition::Holds(own.clone(), relation, expr(low)));
    }
    if high != "oo" {
        let relation = if text.ends_with(')') {
            Relation::Less
        } else {
            Relation::LessEqual
        };
        assume(problem, Condition::Holds(own, relation, expr(high)));
    }
}

/// A problem `variables | hypotheses |- goal`; a goal without relation asks for definedness.
/// `int` is an integer ≥ 1.
pub(crate) fn problem(text: &str) -> Problem {
    let (before, goal) = text.split_once("|-").unwrap();
    let (variables, hypotheses) = before.split_once('|').unwrap_or((before, ""));
    let mut problem = Problem {
        variables: Vec::new(),
        hypotheses: Vec::new(),
        goal: Goal::Defined(Expr::integer(0)),
    };
    for variable in variables.split_whitespace() {
        let (name, text) = variable.split_once(':').unwrap_or((variable, "(-oo,oo)"));
        domain(&mut problem, name, text);
    }
    for text in hypotheses.split(';').filter(|text| !text.trim().is_empty()) {
        assume(&mut problem, condition(text.trim()));
    }
    let goal = goal.trim();
    problem.goal = if goal.contains(['<', '>', '=']) {
        let (left, relation, right) = sides(goal);
        Goal::Holds(left, relation, right)
    } else {
        Goal::Defined(expr(goal))
    };
    problem
}

/// `variables | hypotheses |- term` as a claim that the term tends to 0 as n → ∞, uniformly in
/// the given points.
pub(crate) fn null_problem(text: &str, points: &[&str]) -> Problem {
    let problem = problem(text);
    let Goal::Defined(term) = problem.goal.clone() else {
        panic!("a term is wanted");
    };
    problem.with_goal(Goal::TendsToZero {
        term,
        index: Symbol::new("n"),
        points: points.iter().map(|name| Symbol::new(name)).collect(),
    })
}
