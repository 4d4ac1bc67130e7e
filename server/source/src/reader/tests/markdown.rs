//! Markdown.

use super::*;

#[test]
fn every_delimiter_is_read() {
    let draft = "A $a$, $ b $, $$c$$, \\(d*e*d\\), \\[f\\] and \\\\(g\\\\).\n\n\\begin{align*}\nh &= i \\\\\n&< j\n\\end{align*}\n";
    let document = markdown(draft);
    assert_eq!(
        contents(&document),
        ["a", "b", "c", "d*e*d", "f", "g", "h &= i \\\\\n&< j"]
    );
    assert_eq!(
        quotes(draft, &document)[..6],
        [
            "$a$",
            "$ b $",
            "$$c$$",
            "\\(d*e*d\\)",
            "\\[f\\]",
            "\\\\(g\\\\)"
        ]
    );
    let delimiters: Vec<_> = formulas(&document)
        .into_iter()
        .map(|math| math.delimiter.clone())
        .collect();
    use Delimiter::{Display, Inline};
    let align = Delimiter::Environment("align".to_owned());
    assert_eq!(
        delimiters,
        [Inline, Inline, Display, Inline, Display, Inline, align]
    );
}

#[test]
fn displays_stay_whole() {
    let draft = "We get\n$$\n|f_n(x)|\n- 3\n+ x < y > z\n= 1 \\\\\n# 2\n$$\nfor all $n$.";
    let document = markdown(draft);
    assert_eq!(document.blocks.len(), 1);
    assert_eq!(
        contents(&document)[0],
        "|f_n(x)|\n- 3\n+ x < y > z\n= 1 \\\\\n# 2"
    );
    let two = markdown("so $$a$$ and $$b$$ hold");
    assert_eq!(blocks(&two), ["so ⟨a⟩ and ⟨b⟩ hold"]);
}

#[test]
fn container_marks_are_cut_out_of_formulas() {
    let draft = "> Quote $$ a\n> = b > c\n> > d$$ end\n\n- item\n  $$ x\n    + y $$\n";
    let document = markdown(draft);
    assert_eq!(contents(&document), ["a\n= b > c\n> d", "x\n+ y"]);
    let first = formulas(&document)[0];
    let place = first.content.text().find('c').expect("a letter");
    assert_eq!(&draft[first.content.span(place..place + 1).range()], "c");
    assert_eq!(document.containers[0].kind, ContainerKind::Quote);
    assert!(draft[document.containers[0].span.range()].starts_with("> Quote"));
}

#[test]
fn code_comments_and_front_matter_are_left_out() {
    let draft = "---\ntitle: $t$\n---\nText `$a$` and ``$b` $c$``.\n\n```\n$d$\n```\n\n~~~ math?\n$e$\n~~~\n<!-- $f$ -->\n<!-- $g$\n\n$h$ -->\n\nLast <!-- $i$ --> $j$.\n\n<pre>\n$k$\n</pre>";
    let document = markdown(draft);
    assert_eq!(contents(&document), ["j"]);
    assert_eq!(blocks(&document), ["Text $a$ and $b` $c$.", "Last  ⟨j⟩."]);
    assert!(document.notices.is_empty());
}

#[test]
fn a_comment_on_its_own_lines_changes_nothing() {
    for (with, without) in [
        ("One\n<!-- expect -->\ntwo $x$.\n", "One\ntwo $x$.\n"),
        ("One\n\n<!-- a\nb -->\n\ntwo.\n", "One\n\n\ntwo.\n"),
        ("> One\n> <!-- a -->\n> two.\n", "> One\n> two.\n"),
        (
            "- a\n<!-- c -->\n- b\r\n<!-- d -->\r\n- e",
            "- a\n- b\r\n- e",
        ),
    ] {
        assert_eq!(
            blocks(&markdown(with)),
            blocks(&markdown(without)),
            "{with}"
        );
    }
}

#[test]
fn dollars_that_are_money_stay_text() {
    for draft in [
        "It costs $5 and $6.",
        "It costs \\$5 and \\$6.",
        "Between $5-$6 a piece",
        "A price of $5, $6 or $7.50 today.",
        "Only $3.",
        "$20 for the book",
    ] {
        let document = markdown(draft);
        assert!(contents(&document).is_empty(), "{draft}");
        assert!(document.notices.is_empty(), "{draft}");
    }
    let mixed = markdown("It costs $5 for $n$ items, and $2n$ more, $1/n$ and $0 < x$.");
    assert_eq!(contents(&mixed), ["n", "2n", "1/n", "0 < x"]);
}

#[test]
fn an_unclosed_formula_ends_where_prose_begins() {
    let draft = "Let $x be a number and $y$ another.\n\nThen $$ a = b where c.\n\nNext $z$.";
    let document = markdown(draft);
    assert_eq!(contents(&document), ["x", "y", "a = b", "z"]);
    let kinds: Vec<_> = document.notices.iter().map(|notice| &notice.kind).collect();
    assert_eq!(kinds.len(), 2);
    assert_eq!(*kinds[0], NoticeKind::UnclosedMath("$".to_owned()));
    assert_eq!(&draft[document.notices[1].span.range()], "$$");
}

#[test]
fn relations_are_no_tags() {
    let document = markdown("For x<y and y>z, also $a<b$ and $b>c$, `<b>`.");
    assert_eq!(contents(&document), ["x<y", "y>z", "a<b", "b>c"]);
}

#[test]
fn html_is_skipped() {
    let draft = "<div class=\"a\">\n\nText <b>strong</b> a<br>b &lt; c\n</div>\n\n<p>Let $x$ <span style=\"x\">be</span>.</p>\n<h2>Title</h2>";
    let document = markdown(draft);
    assert_eq!(blocks(&document)[0], "Text *strong* a\n⟨b < c⟩");
    assert_eq!(blocks(&document)[1], "Let ⟨x⟩ be.");
    assert_eq!(document.blocks[2].kind, BlockKind::Heading(2));
    assert_eq!(shown(&document.blocks[2]), "Title");
}

#[test]
fn html_indices_are_part_of_formulas() {
    let draft = "So f<sub>n</sub>(x) = x<sup>n+1</sup> on the 1<sup>st</sup> day.";
    let document = markdown(draft);
    assert_eq!(
        blocks(&document),
        ["So ⟨f_{n}(x) = x^{n+1}⟩ on the 1st day."]
    );
    assert_eq!(
        quotes(draft, &document),
        ["f<sub>n</sub>(x) = x<sup>n+1</sup>"]
    );
}

#[test]
fn styles_and_links_are_resolved() {
    let draft =
        "**Bold** *slant* [link $a$](http://x.org/$b$) ![image](c.png) ~~no $q$~~ a\\_b 2\\*3";
    let document = markdown(draft);
    assert_eq!(contents(&document)[..2], ["a", "q"]);
    assert!(formulas(&document)[1].struck);
    assert!(!formulas(&document)[0].struck);
    assert!(blocks(&document)[0].starts_with("*Bold* slant link ⟨a⟩ image ~no ~⟨q⟩"));
}

#[test]
fn lists_carry_their_labels() {
    let document = markdown("3. three\n4. four\n   - inner\n\n> quote\n\n1) $x$");
    assert_eq!(
        labels(&document),
        [vec!["3"], vec!["4"], vec!["4", ""], vec![], vec!["1"]]
    );
}

#[test]
fn tables_have_cells() {
    let document = markdown("| n | value |\n|---|---|\n| $|x|$ | text |\n");
    assert_eq!(blocks(&document), ["n", "value", "⟨|x|⟩", "text"]);
    assert!(
        document
            .blocks
            .iter()
            .all(|block| block.kind == BlockKind::Cell)
    );
}

#[test]
fn headings_of_both_kinds() {
    let document = markdown(
        "# Exercise 3.2 (a)\n\n**Proof.**\nLet $x$.\n\n**Note that** this\n\n**So f converges uniformly.**\n\nA line\n---\n",
    );
    let kinds: Vec<_> = document.blocks.iter().map(|block| block.kind).collect();
    use BlockKind::{Heading, Paragraph};
    assert_eq!(
        kinds,
        [
            Heading(1),
            Heading(4),
            Paragraph,
            Paragraph,
            Paragraph,
            Heading(2)
        ]
    );
    assert_eq!(blocks(&document)[1..3], ["*Proof.*", "Let ⟨x⟩."]);
}

#[test]
fn indented_text_with_formulas_is_text() {
    let document = markdown("Text\n\n        $$a = b$$\n\nmore\n\n    code here\n");
    assert_eq!(contents(&document), ["a = b"]);
    assert_eq!(blocks(&document), ["Text    ⟨a = b⟩\nmore"]);
}

#[test]
fn fenced_formulas_and_escaped_brackets() {
    let document =
        markdown("```math\na^2\n```\n\nSee \\[the note\\] and \\(in words\\), [1] \\[2\\].");
    assert_eq!(contents(&document), ["a^2"]);
    assert_eq!(
        blocks(&document)[1],
        "See [the note] and (in words), [1] [2]."
    );
}

#[test]
fn environments_of_text_are_containers() {
    let document = markdown(
        "\\begin{proof}[Of (a)]\nLet $x$.\n\nThen $y$.\n\\end{proof}\nAfter \\eqref{eq:1}.",
    );
    assert_eq!(
        document.containers[0].kind,
        ContainerKind::Environment {
            name: "proof".to_owned(),
            title: Some("Of (a)".to_owned())
        }
    );
    let inside: Vec<_> = document
        .blocks
        .iter()
        .map(|block| block.containers.len())
        .collect();
    assert_eq!(inside, [1, 1, 0]);
    assert_eq!(blocks(&document)[2], "After (eq:1).");
}

#[test]
fn stars_between_values_multiply() {
    let document = markdown("Then 2*n*x < 3 and *f* is f(x)*g(x) > 0.");
    assert_eq!(
        blocks(&document),
        ["Then ⟨2*n*x < 3⟩ and ⟨f⟩ is ⟨f(x)*g(x) > 0⟩."]
    );
}

#[test]
fn a_byte_order_mark_is_no_text() {
    let document = markdown("\u{FEFF}# Title\n\nText $x$");
    assert_eq!(document.blocks[0].kind, BlockKind::Heading(1));
    assert_eq!(blocks(&document), ["Title", "Text ⟨x⟩"]);
    assert_eq!(blocks(&latex("\u{FEFF}Text $x$")), ["Text ⟨x⟩"]);
}

#[test]
fn text_commands_in_markdown() {
    let document = markdown(
        "\\textbf{Proof of $a$.} So \\emph{this} \\quad $b$ \\text{if} $c &lt; 1$ \\hspace{1cm} \\blacksquare",
    );
    assert_eq!(
        blocks(&document),
        ["*Proof of *⟨a⟩*.* So this   ⟨b⟩ if ⟨c < 1⟩   \\blacksquare"]
    );
}

#[test]
fn displays_with_blank_lines() {
    let document = markdown("So\n$$\na = b\n\n= c\n$$\nand\n\\[\na\n\n\\]\n");
    assert_eq!(contents(&document), ["a = b\n\n= c", "a"]);
    assert!(document.notices.is_empty());
}
