//! HTML tags in Markdown: which there are, and what they mean for reading.

/// What a tag does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Tag {
    /// Ends the block; the number is a heading's level.
    Block(Option<u8>),
    LineBreak,
    Strong,
    Emphasis,
    Struck,
    Subscript,
    Superscript,
    /// Nothing to reading.
    Other,
}

/// A tag as written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Written<'text> {
    pub(super) tag: Tag,
    pub(super) name: &'text str,
    pub(super) closes: bool,
    /// It has attributes, which no relation sign has.
    pub(super) attributes: bool,
    /// One past `>`.
    pub(super) end: usize,
}

fn tag_named(name: &str) -> Option<Tag> {
    let tag = match name.to_ascii_lowercase().as_str() {
        "h1" => Tag::Block(Some(1)),
        "h2" => Tag::Block(Some(2)),
        "h3" => Tag::Block(Some(3)),
        "h4" => Tag::Block(Some(4)),
        "h5" => Tag::Block(Some(5)),
        "h6" => Tag::Block(Some(6)),
        "p" | "div" | "ul" | "ol" | "li" | "dl" | "dt" | "dd" | "table" | "tr" | "td" | "th"
        | "tbody" | "thead" | "details" | "summary" | "center" | "section" | "article"
        | "header" | "footer" | "main" | "aside" | "blockquote" | "hr" | "figure"
        | "figcaption" | "fieldset" | "body" | "html" | "head" | "nav" | "form" => Tag::Block(None),
        "br" => Tag::LineBreak,
        "b" | "strong" => Tag::Strong,
        "i" | "em" | "var" | "cite" => Tag::Emphasis,
        "s" | "del" | "strike" => Tag::Struck,
        "sub" => Tag::Subscript,
        "sup" => Tag::Superscript,
        "a" | "span" | "font" | "u" | "ins" | "small" | "big" | "img" | "code" | "kbd" | "tt"
        | "pre" | "script" | "style" | "q" | "mark" | "abbr" | "label" | "input" | "button"
        | "wbr" | "svg" | "iframe" | "video" | "source" | "math" | "col" | "colgroup" | "link"
        | "meta" | "title" => Tag::Other,
        _ => return None,
    };
    Some(tag)
}

/// The tag that starts at `at` (a `<`), if it is one of HTML's and well formed.
pub(super) fn tag_at(text: &str, at: usize) -> Option<Written<'_>> {
    /// Longer tags are no tags.
    const LONGEST: usize = 1024;
    let bytes = text.as_bytes();
    let closes = bytes.get(at + 1) == Some(&b'/');
    let start = at + 1 + usize::from(closes);
    let name_length = bytes[start.min(bytes.len())..]
        .iter()
        .take_while(|byte| byte.is_ascii_alphanumeric())
        .count();
    let name = text.get(start..start + name_length)?;
    let tag = tag_named(name)?;
    let mut next = start + name_length;
    let mut quote = None;
    let mut equality = false;
    let mut words = false;
    while next < bytes.len() && next < at + LONGEST {
        let byte = bytes[next];
        match (quote, byte) {
            (Some(open), _) if open == byte => quote = None,
            (Some(_), _) => {}
            (None, b'>') => {
                let plain = next == start + name_length;
                let well_formed = plain || equality || !words;
                return well_formed.then_some(Written {
                    tag,
                    name,
                    closes,
                    attributes: equality,
                    end: next + 1,
                });
            }
            (None, b'"' | b'\'') => quote = Some(byte),
            (None, b'=') => equality = true,
            (None, b'<' | b'$' | b'\\') => return None,
            (None, b' ' | b'\t' | b'\n' | b'\r' | b'/') => {}
            (None, _) if next == start + name_length => return None,
            (None, _) => words = true,
        }
        next += 1;
    }
    None
}

/// Whether the inside of the element is no text.
pub(super) fn hides_content(name: &str) -> bool {
    ["script", "style", "pre", "code", "svg", "math", "head"]
        .iter()
        .any(|hidden| name.eq_ignore_ascii_case(hidden))
}
