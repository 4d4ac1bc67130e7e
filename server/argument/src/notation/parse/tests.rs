//! Structure, recovery, totality.

use super::parse;
use crate::notation::syntax::{Formula, Segment, Separator, Statement, StatementKind, Term};
use crate::notation::{unicode, walk};
use proptest::prelude::*;

/// A formula's structure: statements in Unicode with their kind, words, separators.
fn structure(source: &str) -> String {
    let parts: Vec<String> = parse(source).segments.iter().map(segment).collect();
    parts.join(" ")
}

fn segment(segment: &Segment) -> String {
    match segment {
        Segment::Statement(inner) => format!("[{}]", statement(inner)),
        Segment::Words { text, .. } => format!("\"{text}\""),
        Segment::Separator { kind, .. } => match kind {
            Separator::Comma => ",",
            Separator::Semicolon => ";",
            Separator::Colon => ":",
            Separator::Period => ".",
            Separator::Gap => "_",
            Separator::Row => "//",
        }
        .to_owned(),
    }
}

fn statement(inner: &Statement) -> String {
    let part =
        |side: &Option<Box<Statement>>| side.as_deref().map_or_else(|| "-".to_owned(), statement);
    match &inner.kind {
        StatementKind::Connected {
            left,
            connective,
            right,
            ..
        } => format!("({} {connective:?} {})", part(left), part(right)),
        StatementKind::Quantified {
            quantifier,
            bound,
            body,
        } => {
            let bound: Vec<String> = bound.iter().map(statement).collect();
            format!("{quantifier:?} {} | {}", bound.join(" & "), part(body))
        }
        StatementKind::Unread(reason) => format!("unread: {reason}"),
        _ => unicode::statement(inner),
    }
}

const STRUCTURES: &[(&str, &str)] = &[
    ("a<b<c", "[a < b < c]"),
    (
        r"\begin{cases} a_1 = 2 \\ b_n &\le c, \quad n\ge1 \end{cases}",
        "[a₁ = 2] // [bₙ ≤ c] , _ [n ≥ 1]",
    ),
    (r"\le b", "[≤ b]"),
    (r"a\le", "[a ≤]"),
    (r"a = b \\ &\le c \\ < d", "[a = b] // [≤ c] // [< d]"),
    (r"a = \\ b", "[a = b]"),
    (r"a \\ + b \\ = c", "[a + b] // [= c]"),
    (r"a &= b \\ &\quad - c \\ &< d", "[a = b − c] // [< d]"),
    (r"& a < b \\ & -1 < c", "[a < b] // [−1 < c]"),
    (r"a<b,\quad c<d", "[a < b] , _ [c < d]"),
    (r"a<b \implies c<d", "[(a < b Implies c < d)]"),
    (r"\implies c<d", "[(- Implies c < d)]"),
    (r"a<b \iff", "[(a < b Equivalent -)]"),
    (
        "a<b => c<d => e<f",
        "[(a < b Implies (c < d Implies e < f))]",
    ),
    (
        r"a<b \text{ and } c<d \implies e<f",
        "[((a < b And c < d) Implies e < f)]",
    ),
    (r"\therefore a<b", "[(- Therefore a < b)]"),
    (
        r"a<b \text{ for all } x\in D",
        "[a < b] \"for all\" [x ∈ D]",
    ),
    ("a < b for all x in D", "[a < b] \"for all\" [x ∈ D]"),
    ("x^n if x<1", "[xⁿ] \"if\" [x < 1]"),
    (
        r"\forall\varepsilon>0\ \exists N\in\mathbb{N}\ \forall n\ge N: |a_n|<\varepsilon",
        "[ForAll ε > 0 | Exists N ∈ ℕ | ForAll n ≥ N | |aₙ| < ε]",
    ),
    (
        r"\forall x\in D, n\ge N: a<b",
        "[ForAll x ∈ D | n ≥ N] : [a < b]",
    ),
    (r"\forall x, y\in D : a<b", "[ForAll x, y ∈ D | a < b]"),
    (
        r"\exists N \text{ such that } \forall n\ge N",
        "[Exists N | ForAll n ≥ N | -]",
    ),
    (r"\exists N \ni a<b", "[Exists N | a < b]"),
    ("∃N s.t. a<b", "[Exists N | a < b]"),
    (r"a<b \quad \forall x\in D", "[a < b] _ [ForAll x ∈ D | -]"),
    (
        r"a<b\ \forall x\in D, n\ge N",
        "[a < b] [ForAll x ∈ D & n ≥ N | -]",
    ),
    (r"a<b \quad (x\in D)", "[a < b] _ [x ∈ D]"),
    (r"a<b\ (\text{since } x>0)", "[a < b] \"since\" [x > 0]"),
    (r"f:[0,1]\to\mathbb{R}", "[f: [0, 1] → ℝ]"),
    (r"f_n\colon (0,1) \to \mathbb R", "[fₙ: (0, 1) → ℝ]"),
    (r"f : x \mapsto x^2", "[f: x ↦ x²]"),
    ("x ↦ x²", "[x ↦ x²]"),
    (r"\exists N: a_n \to 0", "[Exists N | aₙ → 0]"),
    (r"f_n\to f", "[fₙ → f]"),
    (r"(f_n)\to f", "[(fₙ) → f]"),
    (r"\{f_n\}_{n\ge1}", "[(fₙ) [n ≥ 1]]"),
    (r"(a_n)_{n\in\mathbb{N}}", "[(aₙ) [n ∈ ℕ]]"),
    (r"\{f_n\}_{n=1}^\infty", "[(fₙ) [n = 1]]"),
    (r"f_n \overset{u}{\to} f", "[fₙ ⇉ f]"),
    (r"f_n \xrightarrow{n\to\infty} f", "[fₙ → f]"),
    (r"f_n \xrightarrow[n\to\infty]{} 0", "[fₙ → 0]"),
    (r"f_n \rightrightarrows f", "[fₙ ⇉ f]"),
    (r"\lim_{n\to\infty} f_n(x) = 0", "[lim[n → ∞] fₙ(x) = 0]"),
    ("lim a_n = 0", "[lim aₙ = 0]"),
    (
        r"\sup_{x\in[0,1]} |f_n(x)| \le 1/n",
        "[sup[x ∈ [0, 1]] |fₙ(x)| ≤ 1/n]",
    ),
    (
        r"\sup\{|f_n(x)| : x\in D\} < \varepsilon",
        "[sup[x ∈ D] |fₙ(x)| < ε]",
    ),
    (r"\sup\limits_{x}|x|=1", "[sup[x] |x| = 1]"),
    (r"\underset{x\in D}{\sup}\, x", "[sup[x ∈ D] x]"),
    (r"\max_{0\le x\le1} x(1-x)", "[sup[0 ≤ x ≤ 1] x(1 − x)]"),
    (r"\|f_n-f\|_\infty < \varepsilon", "[‖fₙ − f‖_∞ < ε]"),
    (r"||f_n||_{\infty}", "[‖fₙ‖_∞]"),
    (r"(0,1)", "[(0, 1)]"),
    ("|f_n(x) - f(x) < ε", "[? < ε]"),
    ("f_n(x) - f(x)| < ε", "[? < ε]"),
    ("(x+1 < 2", "[? x + 1 < 2]"),
    ("x+1) < 2", "[? < 2]"),
    (r"x < 1 } y < 2", "[x < ?] [y < 2]"),
    (r"x < \frac{1}{", "[x < 1/?]"),
    (
        r"a = b \text{ since $x>0$ holds}",
        "[a = b] \"since\" [x > 0] \"holds\"",
    ),
    (r"f(x)=x \mid x>0", "[f(x) = x] : [x > 0]"),
    ("n!=1", "[n ≠ 1]"),
    (r"n!=1\cdot 2", "[n! = 1 · 2]"),
    (r"x\not\in D", "[x ∉ D]"),
    (r"a=\frac12\not\to 0", "[a = 1/2 ≈ 0]"),
    (r"a<b.", "[a < b] ."),
    (r"1<a<b,\; c.", "[1 < a < b] , [c] ."),
    ("", ""),
];

#[test]
fn structures() {
    let mut wrong = Vec::new();
    for (source, expected) in STRUCTURES {
        let found = structure(source);
        if found != *expected {
            wrong.push(format!(
                "{source}\n  expected {expected}\n  found    {found}"
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Asserts that every range lies on character borders and inside the range above it.
fn check_ranges(source: &str, formula: &Formula) {
    let whole = 0..source.len();
    let inside = |range: &std::ops::Range<usize>, outer: &std::ops::Range<usize>| {
        assert!(range.start <= range.end, "{source:?}: {range:?}");
        assert!(
            outer.start <= range.start && range.end <= outer.end,
            "{source:?}: {range:?} in {outer:?}"
        );
        assert!(
            source.is_char_boundary(range.start) && source.is_char_boundary(range.end),
            "{source:?}: {range:?}"
        );
    };
    for segment in &formula.segments {
        match segment {
            Segment::Words { range, .. } | Segment::Separator { range, .. } => {
                inside(range, &whole)
            }
            Segment::Statement(statement) => {
                inside(&statement.range, &whole);
                walk::statement_terms(statement, &mut |term| {
                    inside(&term.range, &statement.range);
                    walk::terms(term, &mut |inner| inside(&inner.range, &term.range));
                });
            }
        }
    }
}

#[test]
fn what_is_missing_lies_inside_its_statement() {
    let source = r"\sup- +";
    check_ranges(source, &parse(source));
}

#[test]
fn long_compositions_are_read_in_bounded_time() {
    let count = |source: &str| parse(source).segments.len();
    assert_eq!(count(r"f \circ g_n"), 1);
    assert!(count(&format!("f{}", r"\circ f".repeat(20_000))) > 0);
}

fn size(formula: &Formula) -> usize {
    let mut count = 0;
    for segment in &formula.segments {
        walk::segment_terms(segment, &mut |_: &Term| count += 1);
    }
    count
}

#[test]
fn deep_and_broken_sources_are_read_in_bounded_depth() {
    let count = 10_000;
    for unit in [
        "{",
        "}",
        "(",
        ")",
        "[",
        "]",
        "|",
        "\\|",
        "\\{",
        "\\left(",
        "\\right)",
        "\\left|",
        "((",
        "|(",
        "(|",
        "\\sin ",
        "-",
        "+",
        "x^",
        "x_",
        "\\frac",
        "\\sqrt",
        "!",
        "'",
        "/",
        "x/",
        "a\\cdot ",
        "\\cup x",
        "∀",
        "∃x",
        "\\implies ",
        "a⇒",
        "a<",
        "<",
        ",",
        "a,",
        "\\text{",
        "\\text{$",
        "\\begin{cases}",
        "x & y \\\\",
        "\\lim_{",
        "\\sup\\{",
        "\\sum_{",
        "\\overset{",
        "\\underbrace{",
        "\\mathbb{",
        "x±",
        "a:",
        ":",
        "1\\,000",
        "\\not",
        "|x",
        "x|",
        "]a,b[",
        "f(",
        "\\max{",
        "d/dx ",
        "\\frac{d}{dx}",
        "\\int ",
        "ⁿ",
        "x²",
        "𝑥",
        "\\hat",
        "\\underset{a}{\\sup}",
        "(a<b)",
        "(a<",
        "{a<",
        "\\left.",
    ] {
        let source = unit.repeat(count);
        let formula = parse(&source);
        check_ranges(&source, &formula);
        assert!(size(&formula) <= 4 * source.len() + 4, "{unit}");
    }
    for (open, close) in [
        ("{", "}"),
        ("(", ")"),
        ("\\left(", "\\right)"),
        ("\\sqrt{", "}"),
        ("|(", ")|"),
        ("\\frac{1}{", "}"),
    ] {
        let source = format!("{}x{}", open.repeat(count), close.repeat(count));
        let formula = parse(&source);
        check_ranges(&source, &formula);
        let mut unread = false;
        for segment in &formula.segments {
            walk::segment_terms(segment, &mut |term| {
                unread |= matches!(&term.kind, crate::notation::syntax::TermKind::Unread(reason) if reason.contains("too deeply"));
            });
        }
        assert!(unread, "{open}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read(source in "\\PC{0,60}") {
        check_ranges(&source, &parse(&source));
    }

    #[test]
    fn any_tokens_are_read(parts in proptest::collection::vec(prop::sample::select(PIECES), 0..40)) {
        let source = parts.concat();
        let formula = parse(&source);
        check_ranges(&source, &formula);
        let names = crate::notation::elaborate::Vocabulary::new();
        let convention = crate::notation::convention::Convention::default();
        for segment in &formula.segments {
            if let Segment::Statement(statement) = segment {
                let _links = crate::notation::elaborate::relations(statement, None, &names, &convention);
            }
        }
        let _patterns = crate::notation::elaborate::patterns(&formula);
        let _line = unicode::formula(&formula);
    }
}

/// Pieces that broken sources are made of.
const PIECES: &[&str] = &[
    r"\circ ",
    "∘",
    "x",
    "n",
    "f",
    "_",
    "^",
    "{",
    "}",
    "(",
    ")",
    "[",
    "]",
    "|",
    "\\|",
    "\\left|",
    "\\right|",
    "\\left(",
    "\\right)",
    "\\{",
    "\\}",
    "1",
    "12",
    ".",
    ",",
    ";",
    ":",
    "+",
    "-",
    "/",
    "*",
    "!",
    "'",
    "=",
    "<",
    "\\le ",
    "\\to ",
    "\\in ",
    "\\frac",
    "\\frac{1}{2}",
    "\\sqrt",
    "\\sin ",
    "\\log_",
    "\\lim_",
    "\\sup",
    "\\max",
    "\\sum_{k=1}^n ",
    "\\int ",
    "\\infty ",
    "\\dots ",
    "\\text{if }",
    "\\text{and}",
    "\\quad ",
    "\\\\",
    "&",
    "\\begin{cases}",
    "\\end{cases}",
    "\\forall ",
    "\\exists ",
    "\\implies ",
    "\\mathbb{R}",
    "ε",
    "²",
    "ₙ",
    "√",
    "∞",
    " ",
    "\\hat ",
    "\\overset{u}{\\to}",
    "\\underbrace",
    "\\not",
    "\\binom",
    "\\mapsto ",
    "d",
    "\\pm ",
    "\\cup ",
    "$",
    "%",
    "\\over ",
    "\\foo",
    "\\mid ",
];
