//! Formulas as MathML. What cannot be typeset, or would carry more than formulas, is shown as it
//! was typed.

use maud::{Markup, PreEscaped, html};
use pulldown_latex::config::DisplayMode;
use pulldown_latex::{Parser, RenderConfig, Storage, push_mathml};
use source::{Delimiter, MathPiece};

use crate::limits;
use crate::report::escape::{visible, visible_lines};

/// Elements that a formula may consist of.
const ELEMENTS: [&str; 26] = [
    "math",
    "mrow",
    "mi",
    "mn",
    "mo",
    "ms",
    "mtext",
    "mspace",
    "mfrac",
    "msqrt",
    "mroot",
    "msub",
    "msup",
    "msubsup",
    "munder",
    "mover",
    "munderover",
    "mtable",
    "mtr",
    "mtd",
    "mstyle",
    "mpadded",
    "mphantom",
    "mmultiscripts",
    "mprescripts",
    "none",
];

/// Attributes that act on layout only.
const ATTRIBUTES: [&str; 22] = [
    "display",
    "displaystyle",
    "scriptlevel",
    "stretchy",
    "form",
    "fence",
    "separator",
    "lspace",
    "rspace",
    "accent",
    "accentunder",
    "mathvariant",
    "linethickness",
    "width",
    "height",
    "depth",
    "minsize",
    "maxsize",
    "symmetric",
    "largeop",
    "movablelimits",
    "class",
];

/// Signs of verdicts and their classes.
pub(super) const SIGNS: [(&str, &str); 4] = [
    ("✓", "proved"),
    ("✗", "refuted"),
    ("?", "unsettled"),
    ("…", "unread"),
];

/// A sign that stands in a formula where a claim ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sign {
    /// The end of the claim in the draft.
    pub(super) end: usize,
    /// What is shown.
    pub(super) sign: &'static str,
}

/// A formula of a draft with a sign behind each of its claims; and whether the signs are in it.
pub(super) fn formula(draft: &str, piece: &MathPiece, signs: &[Sign]) -> (Markup, bool) {
    if 1 < signs.len()
        && let Some(signed) = with_signs(piece, signs)
        && let Some(markup) = typeset(draft, piece, &signed)
    {
        return (markup, true);
    }
    let plain = typeset(draft, piece, piece.content.text().trim());
    let typed = draft.get(piece.span.range()).unwrap_or_default();
    let markup = plain.unwrap_or_else(|| html! { code.tex { (visible_lines(typed)) } });
    (markup, false)
}

/// The formula's source with a raised sign where each claim ends; nothing if a claim ends where
/// none can stand (within braces, or within what a macro gave).
fn with_signs(piece: &MathPiece, signs: &[Sign]) -> Option<String> {
    let text = piece.content.text();
    let mut signed = String::with_capacity(text.len());
    let mut from = 0;
    for sign in signs {
        let at = (from..=text.len())
            .filter(|&at| text.is_char_boundary(at))
            // All of what a macro gave ends where its call ends.
            .take_while(|&at| at == 0 || piece.content.span(0..at).end <= sign.end)
            .last()?;
        let exact = piece.content.span(0..at).end == sign.end;
        if !exact || !is_outermost(&text[..at]) {
            return None;
        }
        signed.push_str(&text[from..at]);
        signed.push_str(&format!("{{}}^{{\\text{{{}}}}}", sign.sign));
        from = at;
    }
    signed.push_str(&text[from..]);
    Some(signed.trim().to_owned())
}

/// Whether every group, fence and environment of the text is closed at its end.
fn is_outermost(text: &str) -> bool {
    let braces =
        |brace: char| text.matches(brace).count() - text.matches(&format!("\\{brace}")).count();
    let count = |word: &str| text.matches(word).count();
    let left = count("\\left") - count("\\leftarrow") - count("\\leftrightarrow");
    let right = count("\\right") - count("\\rightarrow");
    braces('{') == braces('}')
        && count("\\begin") == count("\\end")
        // \leq begins alike, \left. and \right. are fences.
        && left == right
        && !text.ends_with('\\')
}

/// A formula as it is typeset from that source; nothing if it cannot be.
fn typeset(draft: &str, piece: &MathPiece, content: &str) -> Option<Markup> {
    let typed = draft.get(piece.span.range()).unwrap_or_default();
    if piece.delimiter == Delimiter::Bare {
        return Some(html! { span.typed-math { (visible(typed)) } });
    }
    let (source, display) = match &piece.delimiter {
        Delimiter::Inline | Delimiter::Bare => (content.to_owned(), false),
        Delimiter::Display if content.contains("\\\\") && !content.contains("\\begin") => (
            format!("\\begin{{gathered}}{content}\\end{{gathered}}"),
            true,
        ),
        Delimiter::Display => (content.to_owned(), true),
        Delimiter::Environment(name) => {
            let inner = match name.as_str() {
                "equation" | "displaymath" | "math" => content.to_owned(),
                "gather" | "multline" => format!("\\begin{{gathered}}{content}\\end{{gathered}}"),
                _ => format!("\\begin{{aligned}}{content}\\end{{aligned}}"),
            };
            (inner, true)
        }
    };
    let mut rendered = mathml(&source, display)?;
    for (sign, class) in SIGNS {
        let bare = format!("<mtext>{sign}</mtext>");
        rendered = rendered.replace(&bare, &format!("<mtext class=\"{class}\">{sign}</mtext>"));
    }
    Some(html! { span.math data-tex=(visible_lines(typed)) { (PreEscaped(rendered)) } })
}

/// MathML of a formula, if all of it can be typeset.
fn mathml(source: &str, display: bool) -> Option<String> {
    if source.is_empty() || limits::PAGE_FORMULA_BYTES < source.len() {
        return None;
    }
    let source = with_plain_fractions(without_labels(source)).replace(":=", "\\coloneqq ");
    let storage = Storage::new();
    let events: Result<Vec<_>, _> = Parser::new(&source, &storage).collect();
    let events = events.ok()?;
    let config = RenderConfig {
        display_mode: if display {
            DisplayMode::Block
        } else {
            DisplayMode::Inline
        },
        ..RenderConfig::default()
    };
    let mut rendered = String::new();
    let events = events.into_iter().map(Ok::<_, std::convert::Infallible>);
    push_mathml(&mut rendered, events, config).ok()?;
    formulas_only(&rendered)
}

/// `{a \over b}` as `\frac{a}{b}`, which is how the typesetter knows fractions.
fn with_plain_fractions(mut source: String) -> String {
    let over = "\\over";
    while let Some(at) = source
        .match_indices(over)
        .map(|(at, _)| at)
        .find(|at| !source[at + over.len()..].starts_with(|next: char| next.is_ascii_alphabetic()))
    {
        let brace = |text: &str, forward: bool| -> Option<usize> {
            let mut depth = 0_usize;
            let letters: Vec<(usize, char)> = text.char_indices().collect();
            let mut order: Box<dyn Iterator<Item = &(usize, char)>> = if forward {
                Box::new(letters.iter())
            } else {
                Box::new(letters.iter().rev())
            };
            let (inner, outer) = if forward { ('{', '}') } else { ('}', '{') };
            order.find_map(|&(place, letter)| {
                if letter == outer && depth == 0 {
                    return Some(place);
                }
                depth += usize::from(letter == inner);
                depth -= usize::from(letter == outer);
                None
            })
        };
        let after = at + over.len();
        let (Some(open), Some(close)) =
            (brace(&source[..at], false), brace(&source[after..], true))
        else {
            return source;
        };
        let (above, below) = (&source[open + 1..at], &source[after..after + close]);
        let fraction = format!("{{\\frac{{{above}}}{{{below}}}}}");
        source.replace_range(open..=after + close, &fraction);
    }
    source
}

/// The formula without `\label{…}`, `\tag{…}`, `\nonumber`, `\notag` and `\qedhere`.
fn without_labels(source: &str) -> String {
    let mut kept = String::with_capacity(source.len());
    let mut rest = source;
    while let Some(at) = rest.find('\\') {
        kept.push_str(&rest[..at]);
        let command = &rest[at..];
        let name_end = command[1..]
            .find(|letter: char| !letter.is_ascii_alphabetic())
            .map_or(command.len(), |end| end + 1);
        let argument = command[name_end..].strip_prefix('{').and_then(|inside| {
            let close = inside.find('}')?;
            Some(name_end + close + 2)
        });
        match (&command[1..name_end], argument) {
            ("label" | "tag", Some(end)) => rest = &command[end..],
            // The typesetter takes the digits of `\frac12` for one number.
            ("frac" | "dfrac" | "tfrac" | "binom", None) => {
                kept.push_str(&command[..name_end]);
                rest = &command[name_end..];
                for _ in 0..2 {
                    let next = rest.trim_start();
                    let Some(digit) = next.chars().next().filter(char::is_ascii_digit) else {
                        break;
                    };
                    kept.push_str(&format!("{{{digit}}}"));
                    rest = &next[1..];
                }
            }
            ("nonumber" | "notag" | "qedhere", _) => rest = &command[name_end..],
            _ => {
                let next = command[1..].chars().next().map_or(0, char::len_utf8);
                let end = name_end.max(1 + next);
                kept.push_str(&command[..end]);
                rest = &command[end..];
            }
        }
    }
    kept.push_str(rest);
    kept
}

/// The markup again, written anew from its tags: known elements and attributes only, every
/// element closed in its turn. Anything else gives nothing, for text in a formula is a
/// stranger's.
fn formulas_only(markup: &str) -> Option<String> {
    let mut out = String::with_capacity(markup.len());
    let mut open: Vec<&str> = Vec::new();
    let mut rest = markup;
    while let Some(at) = rest.find('<') {
        push_text(&mut out, &rest[..at]);
        // The sign "less than" itself.
        if !rest[at + 1..].starts_with(|next: char| next == '/' || next.is_ascii_alphabetic()) {
            out.push_str("&lt;");
            rest = &rest[at + 1..];
            continue;
        }
        let end = at + rest[at..].find('>')?;
        let tag = &rest[at + 1..end];
        rest = &rest[end + 1..];
        if let Some(name) = tag.strip_prefix('/') {
            if open.pop() != Some(name.trim()) {
                return None;
            }
            out.push_str(&format!("</{}>", name.trim()));
            if open.is_empty() && !rest.is_empty() {
                return None;
            }
            continue;
        }
        let (tag, empty) = match tag.strip_suffix('/') {
            Some(tag) => (tag, true),
            None => (tag, false),
        };
        let name_end = tag.find(char::is_whitespace).unwrap_or(tag.len());
        let name = &tag[..name_end];
        if !ELEMENTS.contains(&name) || (name == "math") != open.is_empty() {
            return None;
        }
        out.push('<');
        out.push_str(name);
        attributes(&mut out, &tag[name_end..])?;
        out.push('>');
        if empty {
            out.push_str(&format!("</{name}>"));
        } else {
            open.push(name);
        }
    }
    (open.is_empty() && rest.trim().is_empty() && !out.is_empty()).then_some(out)
}

/// Text between tags: an ampersand or a bracket in it is itself unless it is a character
/// reference already.
fn push_text(out: &mut String, text: &str) {
    let references = ["&lt;", "&gt;", "&amp;", "&quot;", "&#39;"];
    for (at, character) in text.char_indices() {
        let reference = references.iter().any(|one| text[at..].starts_with(one));
        match character {
            '&' if !reference => out.push_str("&amp;"),
            '>' => out.push_str("&gt;"),
            _ => out.push_str(&visible(character.encode_utf8(&mut [0; 4]))),
        }
    }
}

/// Copies the known attributes; styles are left out, for the page's policy forbids them.
fn attributes(out: &mut String, text: &str) -> Option<()> {
    let mut rest = text.trim();
    while !rest.is_empty() {
        let (name, after) = rest.split_once('=')?;
        let after = after.strip_prefix('"')?;
        let (value, after) = after.split_once('"')?;
        let name = name.trim();
        let plain = value
            .chars()
            .all(|letter| letter.is_ascii_alphanumeric() || " .-+#%".contains(letter));
        if ATTRIBUTES.contains(&name) && plain {
            out.push_str(&format!(" {name}=\"{value}\""));
        } else if name != "style" {
            return None;
        }
        rest = after.trim_start();
    }
    Some(())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn usual_formulas_are_typeset() {
        for source in [
            "\\frac{x}{n+x} \\le \\frac1n < \\varepsilon",
            "\\left|f_n(x) - f(x)\\right|",
            "\\sup_{x \\in [0, 1]} \\sqrt{x^2 + \\tfrac{1}{n}}",
            "\\begin{aligned} a &= b \\\\ &\\le c \\quad \\text{since } x > 0 \\label{eq:1} \\end{aligned}",
            "f_n \\colon \\mathbb{R} \\to \\mathbb{R}, \\ n \\in \\mathbb{N}",
            "\\begin{cases} 0 & x < 1 \\\\ 1 & x = 1 \\end{cases}",
            "\\lim_{n \\to \\infty} a_n = \\lceil 3/\\varepsilon \\rceil \\implies \\forall \\epsilon",
            "\\left(\\frac23\\right)^n \\to \\dfrac 12 + \\frac1n",
            "{n{x} \\over {n \\over 2}+x} + \\overline{x}",
            "N := 1",
            "\\lVert f \\rVert_\\infty, \\binom{n}{k}, \\overline{x}, \\dots",
        ] {
            assert!(mathml(source, true).is_some(), "{source}");
        }
    }

    #[test]
    fn nothing_but_formulas_gets_through() {
        for source in [
            "\\text{<script>alert(1)</script>}",
            "\\text{</math><img src=x onerror=alert(1)>}",
            "\\text{</mtext></mrow></math><mi>x}",
            "\\text{<mi onclick=\"x\">}",
            "\\href{javascript:alert(1)}{x}",
            "\\unknowncommand{x}",
            "\\frac{1}{",
            "",
        ] {
            if let Some(shown) = mathml(source, false) {
                assert!(
                    !shown.contains("<script") && !shown.contains("onclick"),
                    "{shown}"
                );
                assert!(
                    !shown.contains("<img") && !shown.contains("href"),
                    "{shown}"
                );
                assert_eq!(shown.matches("<math").count(), 1, "{shown}");
            }
        }
        assert_eq!(formulas_only("<math><mi>x</mi></math><mi>y</mi>"), None);
        assert_eq!(formulas_only("<math><mi>x</math></mi>"), None);
        assert_eq!(formulas_only("<math href=\"x\"></math>"), None);
        assert_eq!(
            formulas_only("<math style=\"color: red\"><mo>&</mo><mo>&lt;</mo></math>").unwrap(),
            "<math><mo>&amp;</mo><mo>&lt;</mo></math>"
        );
    }

    #[test]
    fn labels_are_left_out() {
        assert_eq!(
            without_labels("a \\label{eq:a}= b\\tag{1} \\\\ c\\nonumber\\labels{x}"),
            "a = b \\\\ c\\labels{x}"
        );
    }
}
