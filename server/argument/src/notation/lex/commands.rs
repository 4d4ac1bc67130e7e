//! TeX commands: what each means in a formula.

use super::{Arity, Tok};
use crate::notation::syntax::{Connective, Operator, Quantifier, Sign};
use kernel::{Function, Relation};

/// Commands that leave no trace: spacing, style, numbering.
const IGNORED: &[&str] = &[
    ",",
    ";",
    ":",
    "!",
    " ",
    ">",
    "/",
    "-",
    "\n",
    "\t",
    "\r",
    "@",
    "displaystyle",
    "textstyle",
    "scriptstyle",
    "scriptscriptstyle",
    "limits",
    "nolimits",
    "nonumber",
    "notag",
    "hfill",
    "hfil",
    "hss",
    "allowbreak",
    "nobreak",
    "mathstrut",
    "strut",
    "null",
    "bf",
    "rm",
    "it",
    "em",
    "cal",
    "sf",
    "tt",
    "thinspace",
    "medspace",
    "thickspace",
    "negthinspace",
    "negmedspace",
    "negthickspace",
    "enspace",
    "big",
    "Big",
    "bigg",
    "Bigg",
    "bigm",
    "Bigm",
    "biggm",
    "Biggm",
    "middle",
    "relax",
    "noindent",
    "protect",
    "qedhere",
    "qed",
    "blacksquare",
    "square",
    "Box",
    "ensuremath",
    "boldmath",
    "unboldmath",
    "small",
    "large",
    "Large",
    "footnotesize",
    "normalsize",
    "tiny",
    "par",
    "newline",
    "hline",
    "centering",
    "smallskip",
    "medskip",
    "bigskip",
    "mathsurround",
    "mathopen",
    "mathclose",
    "mathpunct",
    "mathinner",
    "mathord",
    "mathbin",
    "mathrel",
    "displaylimits",
    "checkmark",
    "break",
    "space",
    "nobreakspace",
    "selectfont",
];

/// Whether the command leaves no trace.
pub(in crate::notation) fn is_ignored(name: &str) -> bool {
    IGNORED.contains(&name)
}

/// Commands whose arguments are dropped unread, with their number.
pub(in crate::notation) fn dropped_arguments(name: &str) -> Option<usize> {
    Some(match name {
        "label" | "tag" | "tag*" | "vspace" | "vspace*" | "phantom" | "hphantom" | "vphantom"
        | "color" | "ref" | "eqref" | "cite" | "footnote" | "mathclap" | "index"
        | "hypertarget" | "vskip" | "hskip" | "kern" => 1,
        "setlength" => 2,
        _ => return None,
    })
}

/// Commands that stand for words in their argument.
pub(in crate::notation) fn is_text(name: &str) -> bool {
    matches!(
        name,
        "text"
            | "mbox"
            | "hbox"
            | "textrm"
            | "textnormal"
            | "textup"
            | "textbf"
            | "textit"
            | "textsl"
            | "textsf"
            | "texttt"
            | "emph"
            | "intertext"
            | "shortintertext"
            | "tn"
    )
}

/// Commands that set the letters of their argument in another face.
pub(in crate::notation) fn is_font(name: &str) -> bool {
    matches!(
        name,
        "mathbb"
            | "Bbb"
            | "mathbf"
            | "mathbfit"
            | "boldsymbol"
            | "bm"
            | "bold"
            | "mathrm"
            | "mathit"
            | "mathsf"
            | "mathtt"
            | "mathnormal"
            | "mathcal"
            | "mathscr"
            | "mathfrak"
            | "mathds"
            | "operatorname"
            | "operatorname*"
            | "mathop"
    )
}

/// The Greek letter (and other letters) of a command, variants joined.
pub(super) fn letter(name: &str) -> Option<&'static str> {
    Some(match name {
        "alpha" => "α",
        "beta" => "β",
        "gamma" => "γ",
        "delta" => "δ",
        "epsilon" | "varepsilon" | "eps" | "ep" | "epsi" => "ε",
        "zeta" => "ζ",
        "eta" => "η",
        "theta" | "vartheta" => "θ",
        "iota" => "ι",
        "kappa" | "varkappa" => "κ",
        "lambda" => "λ",
        "mu" => "μ",
        "nu" => "ν",
        "xi" => "ξ",
        "omicron" => "ο",
        "rho" | "varrho" => "ρ",
        "sigma" | "varsigma" => "σ",
        "tau" => "τ",
        "upsilon" => "υ",
        "phi" | "varphi" => "φ",
        "chi" => "χ",
        "psi" => "ψ",
        "omega" => "ω",
        "Gamma" | "varGamma" => "Γ",
        "Delta" | "varDelta" => "Δ",
        "Theta" | "varTheta" => "Θ",
        "Lambda" | "varLambda" => "Λ",
        "Xi" => "Ξ",
        "Pi" => "Π",
        "Sigma" | "varSigma" => "Σ",
        "Upsilon" => "Υ",
        "Phi" | "varPhi" => "Φ",
        "Psi" => "Ψ",
        "Omega" => "Ω",
        "ell" => "ℓ",
        "partial" => "∂",
        "imath" => "ı",
        "jmath" => "ȷ",
        _ => return None,
    })
}

/// The relation signs, arrows and other signs between terms.
fn sign(name: &str) -> Option<Sign> {
    Some(match name {
        "le" | "leq" | "leqslant" | "leqq" | "eqslantless" | "ngtr" => {
            Sign::Relation(Relation::LessEqual)
        }
        "ge" | "geq" | "geqslant" | "geqq" | "eqslantgtr" | "nless" => {
            Sign::Relation(Relation::GreaterEqual)
        }
        "lt" | "ngeq" | "ngeqslant" => Sign::Relation(Relation::Less),
        "gt" | "nleq" | "nleqslant" => Sign::Relation(Relation::Greater),
        "ne" | "neq" => Sign::Relation(Relation::NotEqual),
        "equiv" | "eq" => Sign::Relation(Relation::Equal),
        "coloneqq" | "coloneq" | "eqqcolon" | "eqcolon" | "triangleq" | "defeq" | "eqdef"
        | "Coloneqq" => Sign::Defines,
        "to" | "rightarrow" | "longrightarrow" | "rightharpoonup" | "tendsto" => Sign::TendsTo,
        "searrow" | "downarrow" => Sign::TendsDownTo,
        "nearrow" | "uparrow" => Sign::TendsUpTo,
        "rightrightarrows" | "twoheadrightarrow" | "uto" => Sign::TendsUniformlyTo,
        "in" | "isin" => Sign::In,
        "notin" => Sign::NotIn,
        "subset" | "subseteq" | "subseteqq" | "subsetneq" => Sign::Subset,
        "approx" | "sim" | "simeq" | "cong" | "ll" | "gg" | "lll" | "ggg" | "gtrsim"
        | "lesssim" | "propto" | "asymp" | "doteq" | "nrightarrow" | "nsubseteq" | "leftarrow"
        | "gets" => Sign::About,
        _ => return None,
    })
}

fn connective(name: &str) -> Option<Connective> {
    Some(match name {
        "implies" | "Rightarrow" | "Longrightarrow" | "Implies" | "imp" => Connective::Implies,
        "impliedby" | "Leftarrow" | "Longleftarrow" => Connective::ImpliedBy,
        "iff" | "Leftrightarrow" | "Longleftrightarrow" => Connective::Equivalent,
        "land" | "wedge" => Connective::And,
        "lor" | "vee" => Connective::Or,
        "therefore" | "leadsto" | "rightsquigarrow" => Connective::Therefore,
        "because" => Connective::Because,
        _ => return None,
    })
}

/// A named function of one variable, by its name with or without a backslash.
pub(super) fn function(name: &str) -> Option<Tok> {
    Some(match name {
        "exp" => Tok::Function(Function::Exp),
        "sin" => Tok::Function(Function::Sin),
        "cos" => Tok::Function(Function::Cos),
        "tan" | "tg" => Tok::Function(Function::Tan),
        "cot" | "cotg" | "ctg" => Tok::Reciprocal("cot"),
        "sec" => Tok::Reciprocal("sec"),
        "csc" | "cosec" => Tok::Reciprocal("csc"),
        "coth" => Tok::Reciprocal("coth"),
        "sech" => Tok::Reciprocal("sech"),
        "csch" => Tok::Reciprocal("csch"),
        "arctan" | "atan" | "arctg" => Tok::Function(Function::Atan),
        "arcsin" | "asin" => Tok::Function(Function::Asin),
        "arccos" | "acos" => Tok::Function(Function::Acos),
        "sinh" | "sh" => Tok::Function(Function::Sinh),
        "cosh" | "ch" => Tok::Function(Function::Cosh),
        "tanh" | "th" => Tok::Function(Function::Tanh),
        "sgn" | "sign" | "signum" => Tok::Function(Function::Sign),
        "ln" | "log" => Tok::Logarithm(None),
        "lg" => Tok::Logarithm(Some("10")),
        "lb" | "ld" => Tok::Logarithm(Some("2")),
        _ => return None,
    })
}

/// Operators and extremes, by their name with or without a backslash.
pub(super) fn operator(name: &str) -> Option<Tok> {
    Some(match name {
        "sup" | "Sup" => Tok::Operator(Operator::Supremum),
        "inf" | "Inf" => Tok::Operator(Operator::Infimum),
        "lim" | "Lim" => Tok::Operator(Operator::Limit),
        "limsup" | "varlimsup" => Tok::Operator(Operator::LimitSuperior),
        "liminf" | "varliminf" => Tok::Operator(Operator::LimitInferior),
        "max" | "Max" => Tok::Extremum(true),
        "min" | "Min" => Tok::Extremum(false),
        _ => return None,
    })
}

/// The token of a command without literal arguments, `None` if the command is not known.
pub(in crate::notation) fn token(name: &str) -> Option<Tok> {
    if let Some(letter) = letter(name) {
        return Some(Tok::Letter(letter.to_owned()));
    }
    if let Some(sign) = sign(name) {
        return Some(Tok::Sign(sign));
    }
    if let Some(connective) = connective(name) {
        return Some(Tok::Connective(connective));
    }
    if !matches!(name, "sh" | "ch" | "th" | "asin" | "acos" | "sign")
        && let Some(function) = function(name)
    {
        return Some(function);
    }
    if let Some(operator) = operator(name) {
        return Some(operator);
    }
    delimiter(name)
        .or_else(|| structure(name))
        .or_else(|| symbol(name))
}

fn delimiter(name: &str) -> Option<Tok> {
    Some(match name {
        "{" | "lbrace" => Tok::Open('{'),
        "}" | "rbrace" => Tok::Close('}'),
        "lbrack" => Tok::Open('['),
        "rbrack" => Tok::Close(']'),
        "lparen" => Tok::Open('('),
        "rparen" => Tok::Close(')'),
        "lvert" => Tok::Open('|'),
        "rvert" => Tok::Close('|'),
        "lVert" => Tok::Open('‖'),
        "rVert" => Tok::Close('‖'),
        "lfloor" => Tok::Open('⌊'),
        "rfloor" => Tok::Close('⌋'),
        "lceil" => Tok::Open('⌈'),
        "rceil" => Tok::Close('⌉'),
        "langle" => Tok::Open('⟨'),
        "rangle" => Tok::Close('⟩'),
        "vert" => Tok::Bar,
        "|" | "Vert" | "parallel" => Tok::DoubleBar,
        "mid" | "mvert" => Tok::MidBar,
        _ => return None,
    })
}

fn structure(name: &str) -> Option<Tok> {
    Some(match name {
        "frac" | "dfrac" | "tfrac" | "cfrac" | "sfrac" | "nicefrac" | "flatfrac" => Tok::Fraction,
        "over" => Tok::Over,
        "choose" => Tok::Choose,
        "binom" | "dbinom" | "tbinom" => Tok::Binomial,
        "sqrt" | "root" => Tok::Root(2, true),
        "overset" | "stackrel" => Tok::Stack(Arity::Above),
        "underset" => Tok::Stack(Arity::Below),
        "xrightarrow" | "xlongrightarrow" => Tok::LabelledArrow,
        "underbrace" | "overbrace" | "underbracket" | "overbracket" => Tok::Braced,
        "boxed" | "fbox" | "framebox" | "colorbox" | "underline" | "uline" | "mathstrike"
        | "smash" | "llap" | "rlap" | "mathrlap" | "mathllap" | "substack" | "hl" | "bbox" => {
            Tok::Transparent
        }
        "cancel" | "bcancel" | "xcancel" | "sout" => Tok::Struck,
        "abs" | "lrabs" => Tok::Around('|'),
        "norm" => Tok::Around('‖'),
        "floor" => Tok::Around('⌊'),
        "ceil" => Tok::Around('⌈'),
        "set" | "Set" => Tok::Around('{'),
        "hat" | "widehat" => Tok::Decoration('\u{302}'),
        "tilde" | "widetilde" => Tok::Decoration('\u{303}'),
        "bar" | "overline" => Tok::Decoration('\u{304}'),
        "dot" => Tok::Decoration('\u{307}'),
        "ddot" => Tok::Decoration('\u{308}'),
        "vec" | "overrightarrow" => Tok::Decoration('\u{20d7}'),
        "check" => Tok::Decoration('\u{30c}'),
        "breve" => Tok::Decoration('\u{306}'),
        "sum" => Tok::Series(false),
        "prod" => Tok::Series(true),
        "int" | "smallint" => Tok::Integral,
        _ => return None,
    })
}

fn symbol(name: &str) -> Option<Tok> {
    Some(match name {
        "pi" | "varpi" => Tok::Pi,
        "infty" | "infinity" | "oo" => Tok::Infinity,
        "dots" | "ldots" | "cdots" | "dotsc" | "dotsb" | "dotsm" | "dotso" | "dotsi" | "hdots"
        | "vdots" | "ddots" => Tok::Dots,
        "cdot" | "times" | "ast" => Tok::Times,
        "circ" => Tok::Compose,
        "div" => Tok::Slash,
        "slash" => Tok::Slash,
        "pm" => Tok::PlusMinus,
        "mp" => Tok::PlusMinus,
        "prime" => Tok::Prime(1),
        "neg" | "lnot" => Tok::Words("not".to_owned()),
        "forall" | "all" => Tok::Quantifier(Quantifier::ForAll),
        "exists" | "ex" => Tok::Quantifier(Quantifier::Exists),
        "mapsto" | "longmapsto" => Tok::MapsTo,
        "ni" | "st" | "suchthat" | "owns" | "backepsilon" => Tok::SuchThat,
        "colon" => Tok::Colon,
        "quad" | "qquad" | "hspace" | "hspace*" => Tok::Gap,
        "bigcup" | "bigcap" => Tok::Unreadable("a union or intersection over an index is not read"),
        "cup" | "sqcup" => Tok::SetOperation('∪'),
        "cap" => Tok::SetOperation('∩'),
        "setminus" | "smallsetminus" | "backslash" => Tok::SetOperation('∖'),
        "emptyset" | "varnothing" => Tok::EmptySet,
        "%" => Tok::Percent,
        "\\" | "cr" | "tabularnewline" => Tok::Row,
        "R" | "RR" | "Reals" | "reals" | "real" => Tok::NumberSet('R'),
        "N" | "NN" | "Naturals" | "naturals" | "nat" => Tok::NumberSet('N'),
        "Z" | "ZZ" | "Integers" | "integers" => Tok::NumberSet('Z'),
        "Q" | "QQ" | "Rationals" => Tok::NumberSet('Q'),
        "C" | "CC" | "Complex" => Tok::NumberSet('C'),
        "d" | "dd" | "diff" => Tok::Letter("d".to_owned()),
        "e" => Tok::Letter("e".to_owned()),
        "not" => Tok::Not,
        _ => return None,
    })
}
