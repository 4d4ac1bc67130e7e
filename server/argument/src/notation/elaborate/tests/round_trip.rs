//! Prints random expressions in several spellings, reads them back, compares.

use super::*;
use kernel::{Constant, Function, Node};
use proptest::prelude::*;

/// How an expression is spelled.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Spelling {
    /// `\frac`, `\left(`, `\cdot`.
    Tex,
    /// Slashes, plain parentheses, factors side by side.
    LooseTex,
    /// Unicode signs.
    Unicode,
}

const SPELLINGS: [Spelling; 3] = [Spelling::Tex, Spelling::LooseTex, Spelling::Unicode];

/// How tightly what is printed holds together.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Level {
    Sum,
    Product,
    Atom,
}

fn print(expr: &Expr, spelling: Spelling) -> (String, Level) {
    use Spelling::{Tex, Unicode};
    let unicode = spelling == Unicode;
    let whole = |inner: &Expr| print(inner, spelling).0;
    let at = |inner: &Expr, level: Level| {
        let (text, found) = print(inner, spelling);
        match (found < level, spelling) {
            (false, _) => text,
            (true, Tex) => format!(r"\left({text}\right)"),
            (true, _) => format!("({text})"),
        }
    };
    match expr.node() {
        Node::Number(value) => (value.to_string(), Level::Atom),
        Node::Constant(Constant::Pi) => {
            (if unicode { "π" } else { r"\pi " }.to_owned(), Level::Atom)
        }
        Node::Constant(Constant::E) => ("e".to_owned(), Level::Atom),
        Node::Variable(name) => (variable(name.as_str(), unicode), Level::Atom),
        Node::Apply(name, items) => {
            let index = whole(&items[0]);
            (format!("{name}_{{{index}}}"), Level::Atom)
        }
        Node::Add(terms) => {
            let mut text = String::new();
            for (position, term) in terms.iter().enumerate() {
                match (term.node(), position) {
                    (Node::Neg(inner), _) => {
                        text.push_str(&format!(" - {}", at(inner, Level::Product)))
                    }
                    (_, 0) => text.push_str(&at(term, Level::Product)),
                    _ => text.push_str(&format!(" + {}", at(term, Level::Product))),
                }
            }
            (text, Level::Sum)
        }
        Node::Neg(inner) => {
            let sign = if unicode { "−" } else { "-" };
            (format!("{sign}{}", at(inner, Level::Product)), Level::Sum)
        }
        Node::Mul(factors) => {
            let sign = match spelling {
                Tex => r"\cdot ",
                Spelling::LooseTex => " ",
                Unicode => "·",
            };
            let loose = spelling == Spelling::LooseTex;
            let factors: Vec<String> = factors
                .iter()
                .map(|factor| match factor.node() {
                    // Side by side a numeral would run into the one before it.
                    Node::Number(_) if loose => format!("({})", whole(factor)),
                    _ => at(factor, Level::Atom),
                })
                .collect();
            (factors.join(sign), Level::Product)
        }
        Node::Div(top, bottom) if spelling == Tex => (
            format!(r"\frac{{{}}}{{{}}}", whole(top), whole(bottom)),
            Level::Atom,
        ),
        Node::Div(top, bottom) => (
            format!("{}/{}", at(top, Level::Atom), at(bottom, Level::Atom)),
            Level::Product,
        ),
        Node::Pow(base, exponent) => {
            let base = match base.node() {
                Node::Pow(..) => format!("({})", whole(base)),
                _ => at(base, Level::Atom),
            };
            let text = if unicode {
                format!("{base}^({})", whole(exponent))
            } else {
                format!("{base}^{{{}}}", whole(exponent))
            };
            // A power stands in brackets under a further mark.
            (text, Level::Product)
        }
        _ => print_function(expr, spelling),
    }
}

fn print_function(expr: &Expr, spelling: Spelling) -> (String, Level) {
    use Spelling::{Tex, Unicode};
    let unicode = spelling == Unicode;
    let whole = |inner: &Expr| print(inner, spelling).0;
    let called = |name: &str, inner: &Expr| {
        let slash = if unicode { "" } else { r"\" };
        (format!("{slash}{name}({})", whole(inner)), Level::Product)
    };
    match expr.node() {
        Node::Root(2, inner) if unicode => (format!("√({})", whole(inner)), Level::Product),
        Node::Root(2, inner) => (format!(r"\sqrt{{{}}}", whole(inner)), Level::Atom),
        Node::Root(degree, inner) => (format!(r"\sqrt[{degree}]{{{}}}", whole(inner)), Level::Atom),
        Node::Call(Function::Abs, inner) => match spelling {
            Tex => (format!(r"\left|{}\right|", whole(inner)), Level::Atom),
            _ => (format!("|{}|", whole(inner)), Level::Atom),
        },
        Node::Call(Function::Exp, inner) if !unicode => {
            (format!("e^{{{}}}", whole(inner)), Level::Product)
        }
        Node::Call(Function::Exp, inner) => called("exp", inner),
        Node::Call(Function::Log, inner) => called("ln", inner),
        Node::Call(Function::Sin, inner) => called("sin", inner),
        Node::Call(_, inner) => called("cos", inner),
        Node::Max(items) => {
            let items: Vec<String> = items.iter().map(whole).collect();
            let text = match spelling {
                Unicode => format!("max{{{}}}", items.join(", ")),
                _ => format!(r"\max\{{{}\}}", items.join(", ")),
            };
            (text, Level::Atom)
        }
        _ => ("0".to_owned(), Level::Atom),
    }
}

fn variable(name: &str, unicode: bool) -> String {
    match name {
        "ε" if !unicode => r"\varepsilon ".to_owned(),
        other => other.to_owned(),
    }
}

fn expressions() -> impl Strategy<Value = Expr> {
    let leaf = prop_oneof![
        (0i64..20).prop_map(Expr::integer),
        prop::sample::select(vec!["x", "y", "n", "ε", "r_1"]).prop_map(Expr::named),
        Just(Node::Constant(Constant::Pi).into()),
        prop::sample::select(vec!["n", "m"]).prop_map(|index| Node::Apply(
            Symbol::new("a"),
            vec![Expr::named(index)]
        )
        .into()),
    ];
    leaf.prop_recursive(4, 24, 3, |inner| {
        let list = proptest::collection::vec(inner.clone(), 2..4);
        prop_oneof![
            list.clone().prop_map(Expr::sum_of),
            list.clone().prop_map(Expr::product_of),
            list.prop_map(|items| Node::Max(items).into()),
            inner.clone().prop_map(|a| a.negative()),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| a.over(&b)),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| a.power(&b)),
            (inner.clone(), 2u32..4).prop_map(|(a, degree)| Node::Root(degree, a).into()),
            (
                inner,
                prop::sample::select(vec![
                    Function::Abs,
                    Function::Exp,
                    Function::Log,
                    Function::Sin,
                    Function::Cos
                ])
            )
                .prop_map(|(a, function)| a.call(function)),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn printing_and_reading_back_gives_the_same(expr in expressions()) {
        for spelling in SPELLINGS {
            let source = print(&expr, spelling).0;
            prop_assert_eq!(
                read(&source, &Convention::default()),
                text(&expr),
                "{:?}: {}", spelling, source
            );
        }
    }
}
