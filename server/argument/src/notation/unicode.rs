//! What was written, as one line of Unicode mathematics: for parts that have no expression.

use super::syntax::{
    Connective, Formula, Link, Name, Operator, Quantifier, Segment, Separator, Sign, Statement,
    StatementKind, Term, TermKind,
};
use kernel::Function;

/// A formula on one line.
#[must_use]
pub fn formula(formula: &Formula) -> String {
    let mut line = String::new();
    for segment in &formula.segments {
        segment_into(segment, &mut line);
    }
    line.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A statement on one line.
#[must_use]
pub fn statement(statement: &Statement) -> String {
    match &statement.kind {
        StatementKind::Term(inner) => term(inner),
        StatementKind::Chain { first, links } => chain(first.as_ref(), links),
        StatementKind::Quantified {
            quantifier,
            bound,
            body,
        } => {
            let sign = match quantifier {
                Quantifier::ForAll => "∀",
                Quantifier::Exists => "∃",
            };
            let bound = bound
                .iter()
                .map(self::statement)
                .collect::<Vec<_>>()
                .join(", ");
            match body {
                Some(body) => format!("{sign} {bound}: {}", self::statement(body)),
                None => format!("{sign} {bound}"),
            }
        }
        StatementKind::Connected {
            left,
            connective,
            right,
            ..
        } => {
            let side = |side: &Option<Box<Statement>>| {
                side.as_deref().map(self::statement).unwrap_or_default()
            };
            format!(
                "{} {} {}",
                side(left),
                connective_sign(*connective),
                side(right)
            )
            .trim()
            .to_owned()
        }
        StatementKind::Mapping { name, from, to } => {
            format!("{}: {} → {}", term(name), term(from), term(to))
        }
        StatementKind::MapsTo {
            name,
            argument,
            value,
        } => {
            let name = name.as_ref().map(|name| format!("{}: ", term(name)));
            format!(
                "{}{} ↦ {}",
                name.unwrap_or_default(),
                term(argument),
                term(value)
            )
        }
        StatementKind::Unread(_) => "?".to_owned(),
    }
}

fn segment_into(segment: &Segment, line: &mut String) {
    match segment {
        Segment::Statement(inner) => {
            line.push(' ');
            line.push_str(&statement(inner));
        }
        Segment::Words { text, .. } => {
            line.push(' ');
            line.push_str(text);
        }
        Segment::Separator { kind, .. } => line.push_str(match kind {
            Separator::Comma => ",",
            Separator::Semicolon | Separator::Row => ";",
            Separator::Colon => ":",
            Separator::Period => ".",
            Separator::Gap => " ",
        }),
    }
}

fn segments(parts: &[Segment]) -> String {
    let mut line = String::new();
    for part in parts {
        segment_into(part, &mut line);
    }
    line.trim().to_owned()
}

fn chain(first: Option<&Term>, links: &[Link]) -> String {
    let mut line = first.map(term).unwrap_or_default();
    for link in links {
        line.push(' ');
        line.push_str(sign(link.sign));
        if let Some(right) = &link.right {
            line.push(' ');
            line.push_str(&term(right));
        }
    }
    line.trim().to_owned()
}

/// A sign as it is printed.
#[must_use]
pub fn sign(sign: Sign) -> &'static str {
    match sign {
        Sign::Relation(relation) => relation.sign(),
        Sign::Defines => ":=",
        Sign::TendsTo => "→",
        Sign::TendsDownTo => "↓",
        Sign::TendsUpTo => "↑",
        Sign::TendsUniformlyTo => "⇉",
        Sign::In => "∈",
        Sign::NotIn => "∉",
        Sign::Subset => "⊆",
        Sign::About => "≈",
    }
}

pub(super) fn connective_sign(connective: Connective) -> &'static str {
    match connective {
        Connective::Implies => "⇒",
        Connective::ImpliedBy => "⇐",
        Connective::Equivalent => "⇔",
        Connective::And => "and",
        Connective::Or => "or",
        Connective::Therefore => "∴",
        Connective::Because => "∵",
    }
}

/// How tightly a rendering holds together; a looser one gets parentheses inside a tighter one.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Level {
    Sum,
    Product,
    Factor,
    Atom,
}

/// A term on one line.
#[must_use]
pub fn term(term: &Term) -> String {
    rendered(term).0
}

fn at(level: Level, inner: &Term) -> String {
    let (text, found) = rendered(inner);
    if found < level {
        format!("({text})")
    } else {
        text
    }
}

fn list(items: &[Term]) -> String {
    items.iter().map(term).collect::<Vec<_>>().join(", ")
}

fn rendered(inner: &Term) -> (String, Level) {
    use Level::{Atom, Factor, Product, Sum};
    match &inner.kind {
        TermKind::Number(text) => (text.clone(), Atom),
        TermKind::Name(found) => (name(found), Atom),
        TermKind::Pi => ("π".to_owned(), Atom),
        TermKind::Infinity => ("∞".to_owned(), Atom),
        TermKind::Dots => ("…".to_owned(), Atom),
        TermKind::Sum(terms) => (sum(terms), Sum),
        TermKind::Negative(inner) => (format!("−{}", at(Product, inner)), Sum),
        TermKind::PlusMinus(left, right) => {
            let left = left.as_deref().map(term);
            let line = match left {
                Some(left) => format!("{left} ± {}", at(Product, right)),
                None => format!("±{}", at(Product, right)),
            };
            (line, Sum)
        }
        TermKind::Juxtaposed(factors) => (side_by_side(factors), Product),
        TermKind::Product(factors) => (
            factors
                .iter()
                .map(|factor| at(Product, factor))
                .collect::<Vec<_>>()
                .join(" · "),
            Product,
        ),
        TermKind::Slash {
            numerator,
            denominator,
            trailing,
        } => {
            let mut line = format!("{}/{}", at(Product, numerator), at(Factor, denominator));
            for factor in trailing {
                line.push(' ');
                line.push_str(&at(Factor, factor));
            }
            (line, Product)
        }
        TermKind::Fraction(top, bottom) => (
            format!("{}/{}", at(Factor, top), at(Factor, bottom)),
            Product,
        ),
        TermKind::Power(base, exponent) => {
            (format!("{}{}", at(Atom, base), raised(exponent)), Factor)
        }
        TermKind::Primed(inner, count) => {
            (format!("{}{}", at(Atom, inner), primes(*count)), Factor)
        }
        TermKind::Factorial(inner) => (format!("{}!", at(Atom, inner)), Factor),
        TermKind::Group(inner) => (format!("({})", term(inner)), Atom),
        TermKind::Struck(inner) => rendered(inner),
        TermKind::OneSided(inner, above) => (
            format!("{}{}", at(Atom, inner), if *above { '⁺' } else { '⁻' }),
            Atom,
        ),
        _ => operator(inner),
    }
}

/// Everything with an operator, a bracket or a set.
fn operator(inner: &Term) -> (String, Level) {
    use Level::{Atom, Factor, Product};
    match &inner.kind {
        TermKind::Root(None, radicand) => (format!("√{}", at(Atom, radicand)), Factor),
        TermKind::Root(Some(degree), radicand) => {
            let sign = match &degree.kind {
                TermKind::Number(text) if text == "3" => "∛".to_owned(),
                TermKind::Number(text) if text == "4" => "∜".to_owned(),
                _ => format!(
                    "{}√",
                    superscript(&term(degree)).unwrap_or_else(|| term(degree))
                ),
            };
            (format!("{sign}{}", at(Atom, radicand)), Factor)
        }
        TermKind::Bars(inner) => (format!("|{}|", term(inner)), Atom),
        TermKind::Norm(inner, index) => {
            let index = index.as_deref().map(lowered).unwrap_or_default();
            (format!("‖{}‖{index}", term(inner)), Atom)
        }
        TermKind::Floor(inner) => (format!("⌊{}⌋", term(inner)), Atom),
        TermKind::Ceil(inner) => (format!("⌈{}⌉", term(inner)), Atom),
        TermKind::List(items) => (list(items), Level::Sum),
        TermKind::Binomial(top, bottom) => (format!("C({}, {})", term(top), term(bottom)), Atom),
        TermKind::Call {
            function,
            base,
            power,
            argument,
            delimited,
        } => {
            let base = base.as_deref().map(lowered).unwrap_or_default();
            let power = power.as_deref().map(raised).unwrap_or_default();
            let argument = if *delimited {
                format!("({})", term(argument))
            } else {
                format!(" {}", at(Product, argument))
            };
            let level = if *delimited { Factor } else { Product };
            (
                format!("{}{base}{power}{argument}", function_name(*function)),
                level,
            )
        }
        TermKind::Extremum { greatest, items } => {
            let word = if *greatest { "max" } else { "min" };
            (format!("{word}{{{}}}", list(items)), Atom)
        }
        TermKind::Over {
            operator,
            below,
            body,
        } => {
            let below = below.iter().map(statement).collect::<Vec<_>>().join(", ");
            let below = if below.is_empty() {
                below
            } else {
                format!("[{below}]")
            };
            let body = body
                .as_deref()
                .map(|body| at(Product, body))
                .unwrap_or_default();
            (
                format!("{}{below} {body}", operator_name(*operator))
                    .trim()
                    .to_owned(),
                Product,
            )
        }
        TermKind::Series {
            product,
            below,
            above,
            body,
        } => {
            let sign = if *product { "∏" } else { "∑" };
            let below = below
                .as_deref()
                .map(|below| format!("[{}", statement(below)));
            let above = above.as_deref().map(|above| format!(" … {}", term(above)));
            let limits = below.map_or_else(String::new, |below| {
                format!("{below}{}]", above.unwrap_or_default())
            });
            (format!("{sign}{limits} {}", at(Product, body)), Product)
        }
        _ => analysis(inner),
    }
}

/// Integrals and derivatives.
fn analysis(inner: &Term) -> (String, Level) {
    use Level::Product;
    match &inner.kind {
        TermKind::Integral {
            from,
            to,
            body,
            variable,
        } => {
            let ends = match (from, to) {
                (Some(from), Some(to)) => format!("[{} … {}]", term(from), term(to)),
                _ => String::new(),
            };
            (
                format!("∫{ends} {} d{variable}", at(Product, body)),
                Product,
            )
        }
        TermKind::Derivative {
            variable,
            order,
            body,
        } => {
            let order = superscript(&order.to_string())
                .filter(|_| *order != 1)
                .unwrap_or_default();
            let body = body
                .as_deref()
                .map(|body| at(Product, body))
                .unwrap_or_default();
            (
                format!("d{order}/d{variable}{order} {body}")
                    .trim()
                    .to_owned(),
                Product,
            )
        }
        _ => set(inner),
    }
}

/// Sets, sequences, cases.
fn set(inner: &Term) -> (String, Level) {
    use Level::Atom;
    match &inner.kind {
        TermKind::Interval {
            low,
            low_closed,
            high,
            high_closed,
        } => {
            let open = if *low_closed { '[' } else { '(' };
            let close = if *high_closed { ']' } else { ')' };
            (format!("{open}{}, {}{close}", term(low), term(high)), Atom)
        }
        TermKind::NumberSet { letter, mark } => {
            let sign = match letter {
                'R' => "ℝ",
                'N' => "ℕ",
                'Z' => "ℤ",
                'Q' => "ℚ",
                _ => "ℂ",
            };
            (
                format!("{sign}{}", mark.as_deref().unwrap_or_default()),
                Atom,
            )
        }
        TermKind::SetOf(items) => (format!("{{{}}}", list(items)), Atom),
        TermKind::SetBuilder {
            element,
            conditions,
        } => {
            let conditions = conditions
                .iter()
                .map(statement)
                .collect::<Vec<_>>()
                .join(", ");
            (format!("{{{} : {conditions}}}", term(element)), Atom)
        }
        TermKind::SetOperation {
            operator,
            left,
            right,
        } => (
            format!("{} {operator} {}", term(left), term(right)),
            Level::Sum,
        ),
        TermKind::Sequence { term: inner, index } => {
            let index = index
                .as_deref()
                .map(|index| format!(" [{}]", statement(index)));
            (
                format!("({}){}", term(inner), index.unwrap_or_default()),
                Atom,
            )
        }
        TermKind::Cases(rows) => {
            let rows = rows
                .iter()
                .map(|(value, condition)| format!("{} {}", term(value), segments(condition)))
                .collect::<Vec<_>>()
                .join("; ");
            (format!("{{{rows}}}"), Atom)
        }
        TermKind::EvaluatedAt(inner, place) => {
            (format!("{}|[{}]", at(Atom, inner), statement(place)), Atom)
        }
        _ => ("?".to_owned(), Atom),
    }
}

fn sum(terms: &[(bool, Term)]) -> String {
    let mut line = String::new();
    for (position, (negative, inner)) in terms.iter().enumerate() {
        line.push_str(match (position, negative) {
            (0, true) => "−",
            (0, false) => "",
            (_, true) => " − ",
            (_, false) => " + ",
        });
        line.push_str(&at(Level::Product, inner));
    }
    line
}

/// Factors side by side; a space only where the spelling would else run together.
fn side_by_side(factors: &[Term]) -> String {
    let mut line = String::new();
    for factor in factors {
        let text = at(Level::Factor, factor);
        let glued = line.is_empty()
            || matches!(factor.kind, TermKind::Group(_))
            || line
                .chars()
                .last()
                .is_some_and(|last| last.is_ascii_digit())
                && !text.starts_with(|c: char| c.is_ascii_digit());
        if !glued {
            line.push(' ');
        }
        line.push_str(&text);
    }
    line
}

fn primes(count: u32) -> String {
    "′".repeat(count.min(9) as usize)
}

/// A name with its marks, indices as Unicode subscripts where they exist.
#[must_use]
pub fn name(name: &Name) -> String {
    let mut line = name.base.clone();
    if let Some(index) = &name.subscript {
        line.push_str(&lowered(index));
    }
    line.push_str(&primes(name.primes));
    if let Some(index) = &name.superscript {
        line.push_str(&format!("^({})", term(index)));
    }
    line
}

fn lowered(index: &Term) -> String {
    let text = term(index);
    match subscript(&text) {
        Some(small) => small,
        None if text.chars().count() == 1 => format!("_{text}"),
        None => format!("_{{{text}}}"),
    }
}

fn raised(exponent: &Term) -> String {
    if let TermKind::Group(inner) = &exponent.kind {
        return raised(inner);
    }
    let text = term(exponent);
    match superscript(&text) {
        Some(small) => small,
        None if text.chars().count() == 1 => format!("^{text}"),
        None => format!("^({text})"),
    }
}

/// Unicode superscripts, if all characters have one.
#[must_use]
pub fn superscript(text: &str) -> Option<String> {
    const PLAIN: &str = "0123456789+-−nikmx ";
    const RAISED: [char; 19] = [
        '⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹', '⁺', '⁻', '⁻', 'ⁿ', 'ⁱ', 'ᵏ', 'ᵐ', 'ˣ',
        '\u{0}',
    ];
    mapped(text, PLAIN, &RAISED)
}

/// Unicode subscripts, if all characters have one.
#[must_use]
pub fn subscript(text: &str) -> Option<String> {
    const PLAIN: &str = "0123456789+-−nikmxj ";
    const LOWERED: [char; 20] = [
        '₀', '₁', '₂', '₃', '₄', '₅', '₆', '₇', '₈', '₉', '₊', '₋', '₋', 'ₙ', 'ᵢ', 'ₖ', 'ₘ', 'ₓ',
        'ⱼ', '\u{0}',
    ];
    mapped(text, PLAIN, &LOWERED)
}

fn mapped(text: &str, plain: &str, marks: &[char]) -> Option<String> {
    let mut line = String::new();
    for c in text.chars() {
        let index = plain.chars().position(|known| known == c)?;
        match marks.get(index) {
            Some('\u{0}') | None => {}
            Some(mark) => line.push(*mark),
        }
    }
    (!line.is_empty()).then_some(line)
}

pub(super) fn function_name(function: Function) -> &'static str {
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

fn operator_name(operator: Operator) -> &'static str {
    match operator {
        Operator::Supremum => "sup",
        Operator::Infimum => "inf",
        Operator::Limit => "lim",
        Operator::LimitSuperior => "lim sup",
        Operator::LimitInferior => "lim inf",
    }
}
