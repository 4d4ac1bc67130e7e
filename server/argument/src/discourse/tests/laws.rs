//! Laws: any text gives an outline, every formula is covered, positions are valid.

use super::read;
use crate::Convention;
use proptest::prelude::*;
use source::{Companions, Format, Piece};

/// Every formula of the document is touched by an entry, and every position is one.
fn holds(draft: &str, format: Format) {
    let document = source::read(draft, format, &Companions::new());
    let outline = crate::discourse::read(draft, &document, &Convention::default());
    for block in &document.blocks {
        for piece in &block.pieces {
            let Piece::Math(math) = piece else { continue };
            let covers = |start: usize, end: usize| start < math.span.end && math.span.start < end;
            let covered = outline.arguments.iter().any(|argument| {
                argument
                    .entries
                    .iter()
                    .any(|entry| covers(entry.span.start, entry.span.end))
            });
            assert!(
                covered,
                "{:?} has no entry in {draft:?}",
                &draft[math.span.range()]
            );
            // An entry belongs to the formula in which it begins.
            let owners = outline.arguments.iter().filter(|argument| {
                argument
                    .entries
                    .iter()
                    .any(|entry| math.span.range().contains(&entry.span.start))
            });
            let count = owners.count();
            assert!(
                count <= 1,
                "{:?} belongs to {count} arguments in {draft:?}",
                &draft[math.span.range()]
            );
        }
    }
    for naming in &outline.names {
        assert!(naming.introduced < naming.places.len());
        assert!(naming.places.windows(2).all(|pair| pair[0] < pair[1]));
        for place in &naming.places {
            assert!(
                draft
                    .get(place.span.range())
                    .is_some_and(|text| !text.is_empty())
            );
        }
    }
    for argument in &outline.arguments {
        let count = argument.entries.len();
        for (position, entry) in argument.entries.iter().enumerate() {
            assert!(
                draft.get(entry.span.range()).is_some(),
                "a span off the borders of characters in {draft:?}"
            );
            assert!(
                entry
                    .scope
                    .iter()
                    .all(|other| *other < count && *other != position)
            );
            assert!(entry.scope.windows(2).all(|pair| pair[0] < pair[1]));
            assert!(
                entry
                    .reason_for
                    .is_none_or(|claim| claim < count && claim != position)
            );
            if let crate::Content::Definition(definition) = entry.content {
                assert!(definition < argument.definitions.len());
            }
        }
        let starts: Vec<usize> = argument
            .entries
            .iter()
            .map(|entry| entry.span.start)
            .collect();
        assert!(
            starts.windows(2).all(|pair| pair[0] <= pair[1]),
            "entries out of order in {draft:?}"
        );
    }
}

/// Words and marks of drafts.
const WORDS: &[&str] = &[
    "Let",
    "for all",
    "there is",
    "such that",
    "choose",
    "then",
    "so",
    "since",
    "because",
    "hence",
    "we want",
    "suppose",
    "by contradiction",
    "is false",
    "if",
    "whenever",
    "it suffices",
    "with",
    "where",
    "uniformly",
    "converges to",
    "on",
    "and",
    "not",
    "as",
    "Proof.",
    "**Proof.**",
    "Exercise 1.",
    "(a)",
    "(b)",
    "## Solution",
    "Show that",
    "Is the convergence uniform?",
    "Yes.",
    "No",
    "which is at most",
    "tends to",
    "is positive",
    "increasing",
    "the limit is",
    "i.e.",
    "iff",
    "implies",
    "case",
    "otherwise",
    "will do",
    "0",
    "zero",
    "Scratch work:",
    "1.",
    "- ",
    "> ",
    "\n\n",
    ".",
    ",",
    ":",
    ";",
    "(",
    ")",
    "∎",
    "⇒",
    "\\begin{proof}",
    "\\end{proof}",
    "\\begin{exercise}",
    "\\end{exercise}",
    "\\item",
    "\\section*{Proof}",
];

/// Formulas of drafts.
const FORMULAS: &[&str] = &[
    "$\\varepsilon>0$",
    "$N>\\frac1\\varepsilon$",
    "$n\\ge N$",
    "$x\\in[0,1]$",
    "$[0,1]$",
    "$f_n(x)=\\frac{x}{n}$",
    "$f_n\\to f$",
    "$|f_n(x)-f(x)|\\le\\frac1n<\\varepsilon$",
    "$$=\\frac1n$$",
    "$\\le$",
    "$A=$",
    "$f(x)=0$",
    "$\\forall n\\ge N$",
    "$\\exists N$",
    "$n>N\\Rightarrow a_n<1$",
    "$$a=b\\\\ \\Rightarrow c=d$$",
    "$\\sup_x|f_n(x)|\\to0$",
    "$\\lim_{n\\to\\infty}a_n=2$",
    "$n\\to\\infty$",
    "$f:[0,1]\\to\\mathbb R$",
    "$x\\mapsto x^2$",
    "$N:=2$",
    "$x=\\pm1$",
    "$\\text{for all }n$",
    "$\\square$",
    "$$",
    "$",
    "$\\foo{x}$",
    "$f_N(x)$",
    "$x_n=\\frac1n$",
    "$0<a<b$",
    "$\\|f_n-f\\|$",
    "$(f_n)$",
    "$h'(x)=0$",
    "aₙ → 3/2",
    "|x| ≤ 1",
    "∀ ε > 0",
];

/// Pieces of which drafts are made, right and broken.
fn fragment() -> impl Strategy<Value = String> {
    prop_oneof![
        3 => proptest::sample::select(WORDS.to_vec()).prop_map(str::to_owned),
        3 => proptest::sample::select(FORMULAS.to_vec()).prop_map(str::to_owned),
        1 => "\\PC{0,6}".prop_map(|text| text),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn any_text_gives_an_outline(parts in proptest::collection::vec(fragment(), 0..40)) {
        let draft = parts.join(" ");
        holds(&draft, Format::Markdown);
        holds(&draft, Format::Latex);
    }

    #[test]
    fn reading_twice_gives_the_same(parts in proptest::collection::vec(fragment(), 0..20)) {
        let draft = parts.join(" ");
        prop_assert_eq!(read(&draft).1, read(&draft).1);
    }
}

#[test]
fn no_text_gives_no_argument() {
    assert!(read("").1.arguments.is_empty());
    assert!(read("Nothing but words.").1.arguments.is_empty());
}

#[test]
fn a_formula_of_marks_alone_is_covered() {
    holds("$\\square$", Format::Markdown);
    holds("So $a\\le b$. $$\\square$$", Format::Markdown);
    holds("$\\text{for all}$ and $,$", Format::Markdown);
}
