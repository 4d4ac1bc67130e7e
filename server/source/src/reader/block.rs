//! What readers produce: blocks of prose and mathematics with spans into the draft as typed.

use super::Format;
use crate::text::mapped::Mapped;
use crate::text::span::Span;

/// A draft, read.
#[derive(Clone, PartialEq, Debug)]
pub struct Document {
    /// Its language.
    pub format: Format,
    /// Everything that encloses blocks; blocks refer to them by position.
    pub containers: Vec<Container>,
    /// The blocks in the order of the draft. Code, comments, front matter are left out.
    pub blocks: Vec<Block>,
    /// What could not be read, and where.
    pub notices: Vec<Notice>,
    /// Files named by `\input` or `\include`, as written, whether or not they were given.
    pub includes: Vec<(String, Span)>,
}

/// A paragraph-like unit: sentences never cross its borders, save that a display stands inside
/// the paragraph that it interrupts (`… we get $$…$$ for all n` is one block).
#[derive(Clone, PartialEq, Debug)]
pub struct Block {
    /// What it is.
    pub kind: BlockKind,
    /// Where it stands.
    pub span: Span,
    /// Its containers, outermost first (positions in [`Document::containers`]).
    pub containers: Vec<usize>,
    /// Its content in order.
    pub pieces: Vec<Piece>,
}

/// The kind of a block.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum BlockKind {
    /// A heading of that level (1 outermost): `#`, `\section`; also a line that is nothing but
    /// strong text, which is how many hands write headings (`**Proof.**` alone on a line) and
    /// `\paragraph`.
    Heading(u8),
    /// Text.
    Paragraph,
    /// A table's cell.
    Cell,
}

/// Something that encloses blocks.
#[derive(Clone, PartialEq, Debug)]
pub struct Container {
    /// What it is.
    pub kind: ContainerKind,
    /// Where it stands, markers included.
    pub span: Span,
}

/// The kind of a container.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum ContainerKind {
    /// A LaTeX environment that is no mathematics: `theorem`, `proof`, `exercise`, `beispiel` …
    /// The name as written without its star, the optional argument (`[Dini]`) as plain text.
    Environment {
        /// Its name, without `*`.
        name: String,
        /// Its optional argument.
        title: Option<String>,
    },
    /// A list item with its label as shown (`1.`, `(b)`, `•`); for ordered lists the number.
    Item {
        /// Label as written or counted: `1`, `b`, `(ii)`; empty for bullets.
        label: String,
        /// Depth of the list, 1 outermost.
        depth: u8,
    },
    /// A block quote.
    Quote,
    /// Crossed-out text that spans blocks.
    Struck,
}

/// A piece of a block.
#[derive(Clone, PartialEq, Debug)]
pub enum Piece {
    /// Words.
    Prose(ProsePiece),
    /// A formula.
    Math(MathPiece),
}

impl Piece {
    /// Where it stands.
    #[must_use]
    pub fn span(&self) -> Span {
        match self {
            Self::Prose(prose) => prose.content.whole(),
            Self::Math(math) => math.span,
        }
    }
}

/// Words of one style.
#[derive(Clone, PartialEq, Debug)]
pub struct ProsePiece {
    /// The words; white space as in the draft, text commands resolved (`\emph{so}` gives `so`,
    /// `~` a space, `--` a dash, `\\` a newline, `\ref{eq:1}` gives `(1)`-like `(eq:1)`).
    pub content: Mapped,
    /// Its style.
    pub style: Style,
}

/// The style of a piece of prose.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct Style {
    /// `**…**`, `\textbf`
    pub strong: bool,
    /// `*…*`, `\emph`
    pub emphasis: bool,
    /// `~~…~~`, `\sout`: rejected by the author.
    pub struck: bool,
}

/// A formula.
#[derive(Clone, PartialEq, Debug)]
pub struct MathPiece {
    /// The TeX (or Unicode) between the delimiters, container prefixes and comments cut out,
    /// user macros expanded; rows still separated by `\\`, alignment marks `&`, `\text{…}` kept.
    pub content: Mapped,
    /// Where the formula stands, delimiters included.
    pub span: Span,
    /// How it is delimited.
    pub delimiter: Delimiter,
    /// Crossed out by the author.
    pub struck: bool,
    /// Macros that occur in it and are defined nowhere that we could see (`\foo`), with places.
    pub unknown_macros: Vec<(String, Span)>,
}

/// How a formula is delimited.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum Delimiter {
    /// `$…$`, `\(…\)`
    Inline,
    /// `$$…$$`, `\[…\]`
    Display,
    /// `\begin{align*}…\end{align*}`: the name without its star. The content is the inside.
    Environment(String),
    /// Typed in the running text in Unicode or plain characters (`|fₙ(x) − f(x)| ≤ 1/n`).
    Bare,
}

/// Something that could not be read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Notice {
    /// What.
    pub kind: NoticeKind,
    /// Where.
    pub span: Span,
}

/// The kinds of notice.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum NoticeKind {
    /// A formula is opened and never closed: the delimiter as typed.
    UnclosedMath(String),
    /// An environment is opened and never closed, or closed and never opened: its name.
    UnmatchedEnvironment(String),
    /// An included file was not given: its name as written.
    MissingInclude(String),
    /// A limit of reading was exceeded: which one, in words.
    LimitExceeded(&'static str),
}
