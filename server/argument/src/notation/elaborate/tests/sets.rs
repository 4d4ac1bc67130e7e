//! Sets, chains, limits and suprema.

use super::*;

/// Statements as conditions.
const STATEMENTS: &[(&str, &str)] = &[
    ("x<1", "x < 1"),
    (r"x \le 1", "x ≤ 1"),
    (r"x \leq y \leqslant 1", "x ≤ y, y ≤ 1"),
    ("x<=1", "x ≤ 1"),
    ("x =< 1", "x ≤ 1"),
    ("n>=N", "n ≥ N"),
    (r"x \ne 1", "x ≠ 1"),
    (r"x \not= 1", "x ≠ 1"),
    ("x != 1", "x ≠ 1"),
    (
        "|fₙ(x) − f(x)| ≤ 1/n < ε",
        "abs(((x^n)/n) + (-0)) ≤ 1/n, 1/n < ε",
    ),
    (r"0 < \varepsilon < 1", "0 < ε, ε < 1"),
    (r"x\in[0,1]", "x ≥ 0, x ≤ 1"),
    (r"x\in(0,1)", "x > 0, x < 1"),
    (r"x \in (0,1]", "x > 0, x ≤ 1"),
    (r"x\in[0,\infty)", "x ≥ 0"),
    (r"x \in \left(0,\infty\right)", "x > 0"),
    (r"x\in\left[0,1\right)", "x ≥ 0, x < 1"),
    (r"x\in\left]0,1\right]", "x > 0, x ≤ 1"),
    (r"x\in]0,1[", "x > 0, x < 1"),
    (r"x\in[0,1[", "x ≥ 0, x < 1"),
    (r"x\in]0,1]", "x > 0, x ≤ 1"),
    (r"x\in(-\infty,0)", "x < 0"),
    (r"x\in(-\infty,+\infty)", ""),
    (r"x\in[-M,M]", "x ≥ -M, x ≤ M"),
    (r"x \in \mathbb{R}", ""),
    (r"x \in \mathbb R", ""),
    (r"x \in \R", ""),
    ("x ∈ ℝ", ""),
    (r"x\in\mathbf{R}", ""),
    ("x in R", ""),
    (r"x\in\mathbb{R}^+", "x > 0"),
    (r"x\in\mathbb R_{>0}", "x > 0"),
    (r"x\in\mathbb R_{\ge 0}", "x ≥ 0"),
    (r"x\in\mathbb{R}\setminus\{0\}", "x ≠ 0"),
    (r"x\in\mathbb{R}\setminus\{0,1\}", "x ≠ 0 and x ≠ 1"),
    (r"n\in\mathbb{N}", "n in Z, n ≥ 1"),
    (r"n\in\N", "n in Z, n ≥ 1"),
    ("n ∈ ℕ", "n in Z, n ≥ 1"),
    (r"n\in\mathbb{N}_0", "n in Z, n ≥ 0"),
    (r"n\in\mathbb{N}^*", "n in Z, n ≥ 1"),
    (r"k\in\mathbb{Z}", "k in Z"),
    (
        r"x\in[0,1]\cup[2,3]",
        "(x ≥ 0 and x ≤ 1 or x ≥ 2 and x ≤ 3)",
    ),
    (
        r"x\in(0,1)\cup(1,2)",
        "(x > 0 and x < 1 or x > 1 and x < 2)",
    ),
    (r"x\in\{0,1\}", "(x = 0 or x = 1)"),
    (r"n\in\{1,2,\dots\}", "n in Z, n ≥ 1"),
    (r"k\in\{1,\dots,n\}", "k in Z, k ≥ 1, k ≤ n"),
    (r"x\in\{y\in\mathbb{R} : y>1\}", "x > 1"),
    (r"x\in\{y\in\mathbb{R} \mid |y|>1\}", "abs(x) > 1"),
    (r"x\in\{y\in\mathbb{R} \,|\, |y|>1\}", "abs(x) > 1"),
    (r"x\notin[0,1]", "not(x ≥ 0 and x ≤ 1)"),
    ("x, y ∈ [0,1]", "x ≥ 0, x ≤ 1, y ≥ 0, y ≤ 1"),
    ("x, y > 0", "x > 0, y > 0"),
    ("0 < x, y < 1", "0 < x, 0 < y, x < 1, y < 1"),
    ("n > N, x < 1", "n > N ; x < 1"),
    ("n = 1, 2, …", "n in Z, n ≥ 1"),
    (r"k=0,1,\dots,n-1", "k in Z, k ≥ 0, k ≤ n + (-1)"),
    (r"x=\pm 1", "(x = 1 or x = -1)"),
    (r"N := \lceil 1/\varepsilon \rceil", "N = ceil(1/ε)"),
    (r"x=0 \text{ or } x=1", "(x = 0 or x = 1)"),
    (r"x \overset{(1)}{\le} 1", "x ≤ 1"),
    (r"x \stackrel{\text{def}}{=} 1", "x = 1"),
    (r"x \overset{!}{=} 1", "x = 1"),
    (
        r"a &= b \\ &\le c",
        "a = b ; unreadable: the left side of this relation is missing",
    ),
    (
        r"a &= b \\ &\quad + c \\ &= 1",
        "a = b + c ; unreadable: the left side of this relation is missing",
    ),
    (
        r"|x| < 1 \text{ for all } n",
        "abs(x) < 1 ; \"for all\" ; unreadable: a relation is missing here",
    ),
    (r"\boxed{x < 1}", "x < 1"),
    ("x &lt; 1", "x < 1"),
    ("n < ∞", ""),
    (
        "x = 0,5",
        "unreadable: is this comma a decimal comma? Write 0.5 or 0{,}5",
    ),
    (
        r"x\in\bigcup_k [k,k+1]",
        "unreadable: this is not understood as a set",
    ),
    (
        r"\frac{x}{n} \cancel{+ 1} < 2",
        "unreadable: this part is crossed out",
    ),
];

#[test]
fn statements() {
    let mut wrong = Vec::new();
    for (source, expected) in STATEMENTS {
        let found = read_statement(source);
        if found != *expected {
            wrong.push(format!(
                "{source}\n  expected {expected}\n  found    {found}"
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn first_term(source: &str) -> Option<Term> {
    let formula = parse(source);
    match formula.segments.first() {
        Some(Segment::Statement(statement)) => match &statement.kind {
            StatementKind::Term(term) => Some(term.clone()),
            StatementKind::Chain { first, .. } => first.clone(),
            _ => None,
        },
        _ => None,
    }
}

/// A limit, supremum or infimum in one line.
fn governed(source: &str) -> String {
    let Some(found) = first_term(source) else {
        return "no term".to_owned();
    };
    let (names, convention) = (vocabulary(), Convention::default());
    if let Some(parts) = limit_parts(&found, &names, &convention) {
        return match parts {
            Err(unreadable) => format!("unreadable: {}", unreadable.reason),
            Ok(parts) => {
                let name = parts
                    .variable
                    .map_or("-".to_owned(), |name| name.to_string());
                let body = parts.body.as_ref().map_or("-".to_owned(), text);
                format!(
                    "{:?} {name} {:?} {body} | {}",
                    parts.operator,
                    parts.toward,
                    conditions_text(&parts.conditions)
                )
            }
        };
    }
    match extremum_parts(&found, &names, &convention) {
        None => "neither".to_owned(),
        Some(Err(unreadable)) => format!("unreadable: {}", unreadable.reason),
        Some(Ok(parts)) => {
            let points: Vec<&str> = parts.points.iter().map(Symbol::as_str).collect();
            let set = parts
                .set
                .as_ref()
                .map_or("-".to_owned(), crate::notation::unicode::term);
            let word = if parts.greatest { "sup" } else { "inf" };
            format!(
                "{word} {} {set} {} | {}",
                points.join(","),
                text(&parts.body),
                conditions_text(&parts.conditions)
            )
        }
    }
}

#[test]
fn limits_and_suprema() {
    for (source, expected) in [
        (
            r"\lim_{n\to\infty} f_n(x) = 0",
            "Limit n Some(Infinity) (x^n)/n | ",
        ),
        (
            "lim n->infinity f_n(x) = 0",
            "Limit n Some(Infinity) (x^n)/n | ",
        ),
        (r"\lim_{n} a_n", "Limit n None a[n] | "),
        (r"\lim a_n", "Limit - None a[n] | "),
        (
            r"\limsup_{n\to\infty} a_n",
            "LimitSuperior n Some(Infinity) a[n] | ",
        ),
        (
            r"\lim\sup_{n\to\infty} a_n",
            "LimitSuperior n Some(Infinity) a[n] | ",
        ),
        (
            r"\lim_{t\to-\infty} e^t",
            "Limit t Some(MinusInfinity) exp(t) | ",
        ),
        (
            r"\lim_{\substack{x\to 0\\ x>0}} x",
            "Limit x Some(Point(0)) x | x > 0",
        ),
        (r"\lim_{x\to0^+} x", "Limit x Some(Above(0)) x | "),
        (r"\sup_{x\in[0,1]} |x|", "sup x - abs(x) | x ≥ 0, x ≤ 1"),
        (r"\sup_{0\le x\le 1} |x|", "sup x - abs(x) | 0 ≤ x, x ≤ 1"),
        (r"\sup_{|x|\le M} x^2", "sup x - x^2 | abs(x) ≤ M"),
        (r"\sup_x |x|", "sup x - abs(x) | "),
        (r"\sup_{[0,1]} |f_n(x)|", "sup  [0, 1] abs((x^n)/n) | "),
        (
            r"\sup\{|x| : x\in[0,1]\} \le 1",
            "sup x - abs(x) | x ≥ 0, x ≤ 1",
        ),
        (
            r"\max_{x\in[0,1]} x(1-x) = 1",
            "sup x - x*(1 + (-x)) | x ≥ 0, x ≤ 1",
        ),
        (r"\inf_{x>0} x", "inf x - x | x > 0"),
        (r"\underset{x\in[0,1]}{\sup} x", "sup x - x | x ≥ 0, x ≤ 1"),
        ("x+1", "neither"),
    ] {
        assert_eq!(governed(source), expected, "{source}");
    }
}

#[test]
fn kinds_of_sets() {
    for (source, expected) in [
        (r"\mathbb N", Some(Kind::Integer)),
        (r"\mathbb{Z}\setminus\{0\}", Some(Kind::Integer)),
        ("[0,1]", Some(Kind::Real)),
        ("(0,1)", Some(Kind::Real)),
        (r"\mathbb{R}_{>0}", Some(Kind::Real)),
        (r"\{1,2,3\}", Some(Kind::Integer)),
        (r"\mathbb{Q}", None),
        ("D", None),
    ] {
        assert_eq!(
            first_term(source).as_ref().and_then(domain_kind),
            expected,
            "{source}"
        );
    }
}

#[test]
fn named_sets_and_patterns() {
    let mut names = vocabulary();
    let element = Symbol::new("x");
    let inside = domain_of("[0,1]", &names, &Expr::variable(&element));
    names.declare_set(&Symbol::new("D"), element, inside, Some(Kind::Real));
    assert_eq!(
        conditions_text(&domain_of("D", &names, &Expr::named("y"))),
        "y ≥ 0, y ≤ 1"
    );
    let found: Vec<Pattern> = patterns(&parse(
        r"1/2n + \sin x/2 + c(x+1) + f(x) + \frac12 n + \sin nx + 1/f(x)",
    ))
    .into_iter()
    .map(|(pattern, _)| pattern)
    .collect();
    assert_eq!(
        found,
        [
            Pattern::SlashProduct,
            Pattern::FunctionSlash,
            Pattern::NameParenthesis
        ]
    );
    assert_eq!(patterns_in(&parse("c(x+1)"), &names), []);
}

fn domain_of(set: &str, names: &Vocabulary, element: &Expr) -> Vec<kernel::Condition> {
    let found = first_term(set).map(|set| domain(&set, element, names, &Convention::default()));
    match found {
        Some(Ok(conditions)) => conditions,
        other => panic!("{set}: {other:?}"),
    }
}

#[test]
fn substitution_captures_nothing() {
    // s_n(x) = Σ_{k=1}^n x^k, read at n = k: the index gives way.
    let mut names = vocabulary();
    let body: Expr = kernel::Node::Sum {
        index: Symbol::new("k"),
        from: Expr::integer(1),
        to: Some(Expr::named("n")),
        body: Expr::named("x").power(&Expr::named("k")),
    }
    .into();
    names.define(
        &Symbol::new("s"),
        vec![Symbol::new("n"), Symbol::new("x")],
        1,
        body,
    );
    let found = first_term("s_k(k)").map(|found| term(&found, &names, &Convention::default()));
    let Some(Ok(value)) = found else {
        panic!("{found:?}");
    };
    assert_eq!(text(&value), "sum(k′ = 1 .. k: k^k′)");
    let unreadable =
        first_term("s_n + q").map(|found| term(&found, &names, &Convention::default()));
    let Some(Err(unreadable)) = unreadable else {
        panic!("{unreadable:?}");
    };
    let names: Vec<&str> = unreadable.names.iter().map(Symbol::as_str).collect();
    assert_eq!(names, ["s_n", "s", "q"]);
}
