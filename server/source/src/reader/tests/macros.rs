//! User macros.

use super::*;

fn contents_of(draft: &str) -> Vec<String> {
    contents(&latex(draft))
        .into_iter()
        .map(str::to_owned)
        .collect()
}

#[test]
fn definitions_of_every_kind() {
    for (definition, call, expansion) in [
        (
            "\\newcommand{\\eps}{\\varepsilon}",
            "\\eps n",
            "\\varepsilon n",
        ),
        ("\\newcommand\\R{\\mathbb R}", "\\R^n", "\\mathbb R^n"),
        (
            "\\newcommand{\\abs}[1]{\\left|#1\\right|}",
            "\\abs{x-\\abs y}",
            "\\left|x-\\left|y\\right|\\right|",
        ),
        (
            "\\newcommand{\\lr}[1]{\\left(#1\\right)}",
            "\\lr{\\lr{a}}",
            "\\left(\\left(a\\right)\\right)",
        ),
        (
            "\\newcommand{\\n}[2][\\infty]{\\|#2\\|_{#1}}",
            "\\n{f}+\\n[2]{g}",
            "\\|f\\|_{\\infty}+\\|g\\|_{2}",
        ),
        ("\\def\\fa{\\forall}", "\\fa x", "\\forall x"),
        (
            "\\def\\set#1|#2.{\\{#1:#2\\}}",
            "\\set x|x>0.",
            "\\{x:x>0\\}",
        ),
        ("\\def\\f(#1){f_n(#1)}", "\\f(x)", "f_n(x)"),
        ("\\let\\e\\varepsilon", "\\e>0", "\\varepsilon>0"),
        (
            "\\let\\old\\phi \\renewcommand{\\phi}{\\old_1}",
            "\\phi",
            "\\phi_1",
        ),
        (
            "\\DeclareMathOperator{\\sgn}{sgn}",
            "\\sgn x",
            "\\operatorname{sgn} x",
        ),
        (
            "\\DeclareMathOperator*{\\argmax}{arg\\,max}",
            "\\argmax_x",
            "\\operatorname*{arg\\,max}_x",
        ),
        (
            "\\DeclarePairedDelimiter{\\nm}{\\lVert}{\\rVert}",
            "\\nm{x}",
            "\\lVert x\\rVert",
        ),
        (
            "\\DeclarePairedDelimiter{\\nm}{\\lVert}{\\rVert}",
            "\\nm*{x}",
            "\\left\\lVert x\\right\\rVert",
        ),
        (
            "\\NewDocumentCommand{\\p}{O{1} m}{#2^{#1}}",
            "\\p{x}+\\p[3]{y}",
            "x^{1}+y^{3}",
        ),
        ("\\newcommand{\\a}[1]{\\alpha#1}", "\\a{n}", "\\alpha n"),
        ("\\newcommand{\\half}{\\frac12}", "\\half n", "\\frac12 n"),
        (
            "\\providecommand{\\q}{1}\\providecommand{\\q}{2}",
            "\\q",
            "1",
        ),
    ] {
        let inner = |text: &str| text.replace("  ", " ").trim().to_owned();
        let found = contents_of(&format!("{definition} ${call}$"));
        assert_eq!(
            found.iter().map(|text| inner(text)).collect::<Vec<_>>(),
            [expansion],
            "{definition}"
        );
        let draft = format!("{definition}\n\nSo ${call}$.");
        let document = markdown(&draft);
        assert_eq!(
            contents(&document)
                .iter()
                .map(|text| inner(text))
                .collect::<Vec<_>>(),
            [expansion],
            "{definition}"
        );
        assert_eq!(quotes(&draft, &document), [format!("${call}$")]);
    }
}

#[test]
fn arguments_map_to_where_they_were_typed() {
    let draft = "\\newcommand{\\abs}[1]{\\left|#1\\right|} $\\abs{a - b} < 1$";
    let document = latex(draft);
    let content = &formulas(&document)[0].content;
    let at = content.text().find("a - b").expect("the argument");
    assert_eq!(&draft[content.span(at..at + 5).range()], "a - b");
    let bar = content.text().find('|').expect("a bar");
    assert_eq!(&draft[content.span(bar..bar + 1).range()], "\\abs{a - b}");
    assert_eq!(&draft[content.whole().range()], "\\abs{a - b} < 1");
}

#[test]
fn macros_of_structure() {
    let draft = "\\newcommand{\\be}{\\begin{equation}}\\newcommand{\\ee}{\\end{equation}}\\def\\bp{\\begin{proof}}\\def\\ep{\\end{proof}}\\newcommand{\\parts}[1]{\\begin{enumerate}#1\\end{enumerate}}\\newcommand{\\wts}[1]{We want $|#1| < 1$ now.}\\newenvironment{eq}{\\begin{align*}}{\\end{align*}}\\newenvironment{loes}{\\textbf{x}}{}\n\\bp \\wts{x} \\be a = b \\ee \\parts{\\item A \\item B} \\begin{eq} c \\end{eq} \\ep \\begin{loes} D \\end{loes}";
    let document = latex(draft);
    assert_eq!(contents(&document), ["|x| < 1", "a = b", "c"]);
    assert_eq!(quotes(draft, &document)[1], "\\be a = b \\ee");
    assert_eq!(
        blocks(&document),
        ["We want ⟨|x| < 1⟩ now. ⟨a = b⟩", "A", "B", "⟨c⟩", "D"]
    );
    assert_eq!(
        formulas(&document)[2].delimiter,
        Delimiter::Environment("align".to_owned())
    );
    assert!(document.notices.is_empty(), "{:?}", document.notices);
}

#[test]
fn definitions_take_force_from_their_place_on() {
    let document = latex("$\\q$ \\newcommand{\\q}{1} $\\q$ \\renewcommand{\\q}{2} $\\q$");
    assert_eq!(contents(&document), ["\\q", "1", "2"]);
    assert_eq!(formulas(&document)[0].unknown_macros[0].0, "q");
    let document = markdown("$\\q$ and $\\newcommand{\\q}{1}$ then $\\q$, $\\def\\r{2} \\r$");
    assert_eq!(contents(&document), ["\\q", "1", "2"]);
}

#[test]
fn unknown_macros_are_named() {
    let draft = "$\\alpha + \\foo{x} \\le \\bar y \\begin{cases}1\\end{cases}\\,\\{$";
    let document = latex(draft);
    let unknown: Vec<_> = formulas(&document)[0]
        .unknown_macros
        .iter()
        .map(|(name, span)| (name.as_str(), &draft[span.range()]))
        .collect();
    assert_eq!(unknown, [("foo", "\\foo")]);
}

#[test]
fn expansion_is_bounded() {
    for definition in [
        "\\newcommand{\\q}{\\q}",
        "\\newcommand{\\q}{\\q\\q x}",
        "\\newcommand{\\p}{\\q\\q}\\newcommand{\\q}{\\p\\p}",
        "\\def\\a{xxxxxxxxxx}\\def\\b{\\a\\a\\a\\a\\a\\a\\a\\a\\a\\a}\\def\\c{\\b\\b\\b\\b\\b\\b\\b\\b\\b\\b}\\def\\d{\\c\\c\\c\\c\\c\\c\\c\\c\\c\\c}\\def\\q{\\d\\d\\d\\d\\d\\d\\d\\d\\d\\d}",
        "\\newcommand{\\q}{\\q{\\q{\\q}}}",
    ] {
        let draft = format!("{definition} $\\q + \\q$ and $z$");
        let document = latex(&draft);
        assert_eq!(contents(&document), ["\\q + \\q", "z"], "{definition}");
        assert!(matches!(
            document.notices[0].kind,
            NoticeKind::LimitExceeded(_)
        ));
        assert_eq!(&draft[document.notices[0].span.range()], "\\q");
    }
}

#[test]
fn missing_arguments_do_not_eat_the_text() {
    let document =
        latex("\\newcommand{\\abs}[1]{|#1|} $\\abs$ and $\\abs{x$ then $\\frac{\\abs}{2}$");
    assert_eq!(contents(&document), ["||", "|x|", "\\frac{||}{2}"]);
}

#[test]
fn companions_are_read_for_macros() {
    let mut companions = Companions::new();
    companions.insert(
        "preamble".to_owned(),
        "% \\newcommand{\\no}{0}\n\\newcommand{\\eps}{\\varepsilon} Text $t$ \\input{more}"
            .to_owned(),
    );
    companions.insert(
        "more.tex".to_owned(),
        "\\def\\d{\\delta}\\input{preamble}".to_owned(),
    );
    let draft = "\\input{preamble} \\include{gone} $\\eps \\d$";
    let document = read(draft, Format::Latex, &companions);
    assert_eq!(contents(&document), ["\\varepsilon \\delta"]);
    let names: Vec<_> = document
        .includes
        .iter()
        .map(|(name, _)| name.as_str())
        .collect();
    assert_eq!(names, ["preamble", "gone"]);
    assert_eq!(
        document.notices[0].kind,
        NoticeKind::MissingInclude("gone".to_owned())
    );
    assert_eq!(&draft[document.notices[0].span.range()], "\\include{gone}");
}

#[test]
fn deep_braces_are_read_and_noticed() {
    let draft = format!(
        "\\newcommand{{\\w}}[1]{{#1}}${}x{}$ $y$",
        "{".repeat(10_000),
        "}".repeat(10_000)
    );
    for document in [latex(&draft), markdown(&draft)] {
        assert_eq!(formulas(&document).len(), 2);
        assert!(matches!(
            document.notices[0].kind,
            NoticeKind::LimitExceeded(_)
        ));
    }
    let nested = format!(
        "\\newcommand{{\\w}}[1]{{(#1)}}${}x{}$ $y$",
        "\\w{".repeat(3_000),
        "}".repeat(3_000)
    );
    assert_eq!(formulas(&latex(&nested)).len(), 2);
}
