//! LaTeX.

use super::*;

#[test]
fn every_delimiter_is_read() {
    let draft = "A $a$, $$b$$, \\(c\\), \\[d\\]\n\\begin{equation*} e \\end{equation*}\n\\begin{alignat}{2} f \\end{alignat} \\begin{math}g\\end{math}";
    let document = latex(draft);
    assert_eq!(contents(&document), ["a", "b", "c", "d", "e", "{2} f", "g"]);
    assert_eq!(
        quotes(draft, &document)[4],
        "\\begin{equation*} e \\end{equation*}"
    );
    assert_eq!(formulas(&document)[6].delimiter, Delimiter::Inline);
    assert_eq!(document.blocks.len(), 1);
}

#[test]
fn inner_environments_and_text_stay_inside() {
    let draft = "\\[ f = \\begin{cases} 1 & \\text{if $x > 0$, see \\(y\\)} \\\\ 0 \\end{cases} \\] and $a \\mbox{ for $b$ } c$.";
    let document = latex(draft);
    assert_eq!(formulas(&document).len(), 2);
    assert_eq!(quotes(draft, &document)[1], "$a \\mbox{ for $b$ } c$");
}

#[test]
fn the_preamble_is_skipped() {
    let draft = "\\documentclass{article}\n\\usepackage{amsmath}\nJunk $j$\n\\title{On $x$}\n\\author{A. Nonymous}\n\\begin{document}\n\\maketitle\nText $y$.\n\\end{document}\nTail $z$";
    let document = latex(draft);
    assert_eq!(blocks(&document), ["On ⟨x⟩", "Text ⟨y⟩."]);
    assert_eq!(document.blocks[0].kind, BlockKind::Heading(1));
    assert!(document.notices.is_empty());
}

#[test]
fn comments_vanish() {
    let document = latex("a 5\\% % no $x$\nb%\nc\n% alone\nd % end\n\ne $y % no $z$\n+ 1$");
    assert_eq!(blocks(&document), ["a 5% bc\nd", "e ⟨y + 1⟩"]);
}

#[test]
fn code_is_skipped() {
    let draft = "A \\verb|$x$| b\n\\begin{verbatim}\n$a$\n\\end{verbatim}\n\\begin{lstlisting}[x]\n$b$ \\end{foo}\n\\end{lstlisting}\n\\begin{comment}\n$c$\n\\end{comment}\n$d$";
    let document = latex(draft);
    assert_eq!(contents(&document), ["d"]);
    assert!(blocks(&document)[0].starts_with("A $x$ b"));
}

#[test]
fn environments_are_containers() {
    let draft = "\\newtheorem{satz}{Theorem}\n\\newtheorem*{lemma}{Lemma}\n\\begin{satz}[Dini, \\emph{new}] A \\begin{lemma*} B \\end{lemma*} \\end{satz}\n\\begin{problem}{3.1}\nC\n\\end{problem}\\begin{quote}D\\end{quote}";
    let document = latex(draft);
    let environment = |name: &str, title: Option<&str>| ContainerKind::Environment {
        name: name.to_owned(),
        title: title.map(str::to_owned),
    };
    let kinds: Vec<_> = document
        .containers
        .iter()
        .map(|container| container.kind.clone())
        .collect();
    assert_eq!(
        kinds,
        [
            environment("satz", Some("Theorem (Dini, new)")),
            environment("lemma", None),
            environment("problem", Some("3.1")),
            ContainerKind::Quote,
        ]
    );
    assert_eq!(document.blocks[1].containers, [0, 1]);
    assert_eq!(
        &draft[document.containers[1].span.range()],
        "\\begin{lemma*} B \\end{lemma*}"
    );
}

#[test]
fn lists_count_by_depth_or_as_told() {
    let draft = "\\begin{enumerate}\\item A \\begin{enumerate}\\item B \\item C \\begin{enumerate} \\item D\\end{enumerate}\\end{enumerate}\\item[(z)] E \\item F\\end{enumerate}\\begin{enumerate}[label=(\\roman*), start=2]\\item G\\item H\\end{enumerate}\\begin{enumerate}[(a)]\\item I\\end{enumerate}\\begin{itemize}\\item J\\end{itemize}";
    let document = latex(draft);
    let expected: [&[&str]; 10] = [
        &["1"],
        &["1", "a"],
        &["1", "b"],
        &["1", "b", "i"],
        &["(z)"],
        &["2"],
        &["(ii)"],
        &["(iii)"],
        &["(a)"],
        &[""],
    ];
    assert_eq!(labels(&document), expected);
}

#[test]
fn items_are_found_outside_lists() {
    let document = latex(
        "\\parts{\\item A $a$ \\item B} after \\begin{questions}\\question[5] Q \\begin{parts}\\part[2] P\\end{parts}\\end{questions}",
    );
    assert_eq!(blocks(&document), ["A ⟨a⟩", "B", "after", "Q", "P"]);
    assert_eq!(
        labels(&document),
        [vec![""], vec![""], vec![], vec!["1"], vec!["1", "(a)"]]
    );
}

#[test]
fn headings() {
    let document = latex(
        "\\section*{One $x$} a \\subsection[s]{Two} b \\paragraph{Three.} c\n\n\\textbf{Solution}\n\nd\n\n{\\bf Proof.} e",
    );
    let kinds: Vec<_> = document.blocks.iter().map(|block| block.kind).collect();
    use BlockKind::{Heading, Paragraph};
    assert_eq!(
        kinds,
        [
            Heading(1),
            Paragraph,
            Heading(2),
            Paragraph,
            Heading(4),
            Paragraph,
            Heading(4),
            Paragraph,
            Paragraph
        ]
    );
    assert_eq!(blocks(&document)[0], "One ⟨x⟩");
    assert_eq!(blocks(&document)[8], "*Proof.* e");
}

#[test]
fn text_commands_are_resolved() {
    let draft = "``Q'' \\emph{so} \\textbf{\\textit{x}} a~b---c\\footnote{N $n$.} \\\\ G\\\"odel, \\'{e}, \\ss, Erd\\H{o}s \\label{l}\\eqref{eq:1} \\cite[p. 3]{k} \\textcolor{red}{r} \\hspace{3pt}\\noindent \\foo{kept} \\$5 \\& \\sout{no $s$}";
    let document = latex(draft);
    assert_eq!(
        blocks(&document)[0],
        "“Q” so *x* a b—c (N ⟨n⟩.) \n Gödel, é, ß, Erdős (eq:1) [k] r kept $5 & ~no ~⟨s⟩"
    );
    assert!(formulas(&document)[1].struck);
}

#[test]
fn broken_source_is_recovered_locally() {
    let draft = "A $\\frac{1{n}$ and $x$. Stray } brace, $y be unclosed\n\n\\textbf{No end\n\nNext $z$ \\begin{align} a &= b\n\nLater $w$. \\end{proof} \\emph{fine $v$}";
    let document = latex(draft);
    assert_eq!(
        contents(&document),
        ["\\frac{1{n}", "x", "y", "z", "a &= b", "w", "v"]
    );
    assert!(!blocks(&document)[2].contains('*'));
    let kinds: Vec<_> = document
        .notices
        .iter()
        .map(|notice| notice.kind.clone())
        .collect();
    let unmatched = |name: &str| NoticeKind::UnmatchedEnvironment(name.to_owned());
    assert_eq!(
        kinds,
        [
            NoticeKind::UnclosedMath("$".to_owned()),
            unmatched("align"),
            unmatched("proof")
        ]
    );
}

#[test]
fn unclosed_environments_are_noticed_and_kept() {
    let draft =
        "\\begin{proof} A $a$ \\begin{enumerate} \\item B \\end{proof} C \\begin{exercise} D";
    let document = latex(draft);
    let names: Vec<_> = document
        .notices
        .iter()
        .map(|notice| &draft[notice.span.range()])
        .collect();
    assert_eq!(names, ["\\begin{enumerate}", "\\begin{exercise}"]);
    assert_eq!(blocks(&document), ["A ⟨a⟩", "B", "C", "D"]);
    assert!(document.blocks[2].containers.is_empty());
}

#[test]
fn tables_have_cells() {
    let document =
        latex("\\begin{tabular}{c|c} \\hline a & $b$ \\\\ \\hline c \\& d & e \\end{tabular} f");
    assert_eq!(blocks(&document), ["a", "⟨b⟩", "c & d", "e", "f"]);
    assert_eq!(document.blocks[3].kind, BlockKind::Cell);
    assert_eq!(document.blocks[4].kind, BlockKind::Paragraph);
}

#[test]
fn a_mismatched_end_still_ends_a_formula() {
    let document = latex("\\begin{align*} a \\end{align} b \\begin{equation} c \\end{align} d");
    assert_eq!(contents(&document), ["a", "c"]);
    assert_eq!(document.notices.len(), 1);
}

#[test]
fn formulas_in_titles_and_labels_are_kept() {
    let document = latex(
        "\\begin{lemma}[Dini for $f$] A \\begin{itemize} \\item[$n = 1$:] B \\end{itemize} \\end{lemma}",
    );
    assert_eq!(blocks(&document), ["Dini for ⟨f⟩", "A", "⟨n = 1⟩: B"]);
    assert_eq!(document.blocks[0].containers, [0]);
}
