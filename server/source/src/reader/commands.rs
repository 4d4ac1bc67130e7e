//! Tables of command and environment names that readers know.

use std::collections::BTreeSet;
use std::sync::LazyLock;

/// Commands that TeX, LaTeX and the AMS packages define for use in formulas, with those of the
/// packages that formulas load most often. Everything else in a formula is somebody's macro.
static MATH_COMMANDS: LazyLock<BTreeSet<&'static str>> =
    LazyLock::new(|| MATH_COMMAND_NAMES.split_whitespace().collect());

const MATH_COMMAND_NAMES: &str = "
AA AE Alpha Arrowvert Bbb Bbbk Beta Big Bigg Biggl Biggm Biggr Bigl Bigm Bigr Box Cap Chi Cup
DeclareMathOperator Delta Diamond Downarrow Epsilon Eta Finv Game Gamma Huge Im Iota Kappa L
LARGE Lambda Large Leftarrow Leftrightarrow Longleftarrow Longleftrightarrow Longrightarrow Mu
Nu O OE Omega Omicron P Phi Pi Pr Psi Re Rho Rightarrow S Sigma Tau Theta Uparrow Updownarrow
Upsilon Vdash Vert Vvdash Xi Zeta aa above acute adots ae aleph allowbreak allowdisplaybreaks
alpha amalg angle approx approxeq arccos arccot arccsc arcosh arcsec arcsin arctan arg array
arrowvert arsinh artanh ast asymp atop backprime backsim backsimeq backslash bar barwedge bbm
bcancel because begin beta beth between bf bfseries big bigcap bigcirc bigcup bigg biggl biggm
biggr bigl bigm bigodot bigoplus bigotimes bigr bigsqcup bigstar bigtriangledown bigtriangleup
biguplus bigvee bigwedge binom blacklozenge blacksquare blacktriangle blacktriangledown bm bmod
bold boldmath boldsymbol bot bowtie boxed boxplus boxtimes brace bracevert brack break breve
bullet bumpeq cal cancel cancelto cap cases cdot cdotp cdots celsius centerdot cfrac check
checkmark chi choose circ circeq circledS circledast circledcirc circleddash cite clap cline
clubsuit colon coloneq coloneqq color colorbox complement cong coprod copyright cos cosh cot
coth cr crcr csc csch cup curlyeqprec curlyeqsucc curlyvee curlywedge dag dagger daleth dashv
dbinom dblcolon ddag ddagger ddddot dddot ddot ddots def defeq deg degree delta det dfrac
diamond diamondsuit digamma dim displaybreak displaylimits displaystyle div divideontimes dollar
dot doteq dotplus dots dotsb dotsc dotsi dotsm dotso doublebarwedge doublecap doublecup
downarrow downdownarrows ell em emph emptyset end enskip enspace ensuremath epsilon eqalign
eqcirc eqqcolon eqref eqsim equiv eta eth exists exp fallingdotseq fbox flat footnote
footnotemark footnotesize forall frac frak frown gamma gcd ge genfrac geq geqq geqslant gets gg
ggg gimel gneq grave gt gtrapprox gtrdot gtreqless gtreqqless gtrsim hat hbar hbox hdotsfor
heartsuit hfil hfill hfilneg hline hom hookleftarrow hookrightarrow hphantom href hskip hslash
hspace huge hyperref i iddots idotsint iff iiint iint imath impliedby implies in inf infty
injlim int intercal intertext intop iota it itshape j jmath kappa ker kern l lVert label lambda
land langle large lb lbrace lbrack lceil lcm ldots le leadsto left leftarrow leftharpoondown
leftharpoonup leftleftarrows leftrightarrow leftrightarrows leftthreetimes leq leqq leqslant
less lessapprox lessdot lesseqgtr lesseqqgtr lessgtr lesssim let lfloor lg lgroup lhd lim liminf
limits limsup linebreak ll llap llcorner lll lmoustache ln lneq lnot log longleftarrow
longleftrightarrow longmapsto longrightarrow lor lower lozenge lparen lq lrcorner lt ltimes
lvert makebox mapsto mathbb mathbbm mathbf mathbin mathcal mathchoice mathclap mathclose
mathdollar mathds mathellipsis mathfrak mathinner mathit mathllap mathnormal mathop mathopen
mathord mathpalette mathpunct mathrel mathring mathrlap mathrm mathscr mathsf mathstrut mathtt
matrix max mbox mdseries measuredangle medspace mho mid middle min mit mkern mod models moveleft
moveright mp mskip mspace mu multicolumn nLeftrightarrow nRightarrow nabla natural ncong ne
nearrow neg negmedspace negthickspace negthinspace neq newcommand newline nexists ngeq ngeqslant
ngtr ni nicefrac nleq nleqslant nless nmid noalign nobreak nobreakspace noindent nolimits
nonumber normalfont normalsize not notag notin nparallel nrightarrow nshortmid nsim nsubseteq
nsupseteq ntriangleleft ntriangleright nu null nvDash nvdash nwarrow o odot oe of oint omega
omicron ominus omit operatorname operatornamewithlimits oplus oslash otimes over overbrace
overbracket overleftarrow overleftrightarrow overline overrightarrow overset owns par parallel
partial percent perp phantom phi pi pitchfork pm pmatrix pmb pmod pod pounds prec precapprox
preceq precsim prime prod projlim propto protect psi qed qedhere qedsymbol qquad quad rVert
raise raisebox rangle ratio rbrace rbrack rceil ref relax renewcommand require restriction
rfloor rgroup rhd rho right rightarrow rightharpoondown rightharpoonup rightleftarrows
rightleftharpoons rightrightarrows rightsquigarrow rightthreetimes risingdotseq rlap rm rmfamily
rmoustache root rparen rq rtimes rule rvert sc scr scriptscriptstyle scriptsize scriptstyle
searrow sec sech semicolon setminus sf sffamily sfrac sgn sharp shortintertext shortmid
shortparallel shoveleft shoveright sigma sign sim simeq sin sinh sl small smallfrown smallint
smallsetminus smallsmile smash smile sout space spadesuit span sqcap sqcup sqrt sqsubset
sqsubseteq sqsupset sqsupseteq square ss st stackrel star strut subset subseteq subsetneq
substack succ succapprox succeq succsim sum sup supp supset supseteq supsetneq surd swarrow
tabularnewline tag tan tanh tau tbinom text textbf textcolor textdegree textit textnormal
textquotedblleft textquotedblright textrm textsc textsf textsl textstyle texttt textup tfrac
therefore theta thickapprox thicksim thickspace thinspace tilde times tiny to top triangle
triangleleft trianglelefteq triangleq triangleright trianglerighteq tt ttfamily
twoheadrightarrow ulcorner uline unboldmath underbrace underbracket underleftarrow underline
underrightarrow underset unicode unlhd unrhd uparrow updownarrow upharpoonright uplus upshape
upsilon upuparrows urcorner url vDash varDelta varGamma varLambda varOmega varPhi varPi varPsi
varSigma varTheta varUpsilon varXi varepsilon varinjlim varkappa varliminf varlimsup varnothing
varphi varpi varprojlim varpropto varrho varsigma vartheta vartriangle vcentcolon vdash vdots
vec vee veebar vert vphantom vspace wedge widehat widetilde wp wr xLeftarrow xLeftrightarrow
xRightarrow xcancel xfrac xi xleftarrow xleftrightarrow xlongrightarrow xrightarrow zeta
";

/// Whether TeX, LaTeX or a common package defines the command (its name without backslash);
/// names of one sign, such as `,` or `{`, all are.
#[must_use]
pub fn is_known_math_command(name: &str) -> bool {
    let one_sign = name.chars().all(|c| !c.is_ascii_alphabetic());
    one_sign || MATH_COMMANDS.contains(name)
}

/// The commands that readers know, without their backslash, in alphabetical order.
pub fn known_math_commands() -> impl Iterator<Item = &'static str> {
    MATH_COMMANDS.iter().copied()
}

/// Commands that set words inside formulas: `$` inside their argument does not end the formula.
pub(crate) fn is_text_in_math(name: &str) -> bool {
    matches!(
        name,
        "text"
            | "textrm"
            | "textbf"
            | "textit"
            | "textsf"
            | "texttt"
            | "textup"
            | "textnormal"
            | "textsc"
            | "textsl"
            | "emph"
            | "mbox"
            | "hbox"
            | "makebox"
            | "fbox"
            | "intertext"
            | "shortintertext"
            | "underline"
            | "footnote"
            | "tag"
            | "parbox"
    )
}

/// Environments whose inside is a formula; the name without star.
pub(crate) fn is_math_environment(name: &str) -> bool {
    matches!(
        name,
        "equation"
            | "align"
            | "gather"
            | "multline"
            | "split"
            | "alignat"
            | "xalignat"
            | "xxalignat"
            | "eqnarray"
            | "displaymath"
            | "math"
            | "flalign"
            | "aligned"
            | "alignedat"
            | "gathered"
            | "multlined"
            | "array"
            | "cases"
            | "dcases"
            | "rcases"
            | "matrix"
            | "pmatrix"
            | "bmatrix"
            | "vmatrix"
            | "Vmatrix"
            | "Bmatrix"
            | "smallmatrix"
            | "dmath"
            | "dgroup"
            | "IEEEeqnarray"
            | "equation+"
            | "empheq"
    )
}

/// Environments that stand for code or are thrown away.
pub(crate) fn is_skipped_environment(name: &str) -> bool {
    matches!(
        name,
        "verbatim"
            | "Verbatim"
            | "lstlisting"
            | "comment"
            | "minted"
            | "tikzpicture"
            | "filecontents"
            | "pgfpicture"
            | "picture"
            | "asy"
            | "alltt"
            | "thebibliography"
            | "tikzcd"
    )
}

/// Environments that only place their content; the number is how many arguments they take.
pub(crate) fn layout_environment(name: &str) -> Option<usize> {
    let arguments = match name {
        "document" | "center" | "flushleft" | "flushright" | "small" | "footnotesize"
        | "scriptsize" | "large" | "Large" | "normalsize" | "doublespace" | "onehalfspace"
        | "singlespace" | "samepage" | "titlepage" | "figure" | "table" | "subequations"
        | "wrapfigure" | "sloppypar" | "raggedright" | "frame" => 0,
        "minipage" | "multicols" | "spacing" | "varwidth" => 1,
        "adjustwidth" => 2,
        _ => return None,
    };
    Some(arguments)
}

/// Words that stand for functions and operators when they are typed without backslash.
pub(crate) fn is_function_word(word: &str) -> bool {
    matches!(
        word,
        "sin"
            | "cos"
            | "tan"
            | "cot"
            | "sec"
            | "csc"
            | "arcsin"
            | "arccos"
            | "arctan"
            | "arctg"
            | "sinh"
            | "cosh"
            | "tanh"
            | "coth"
            | "exp"
            | "log"
            | "ln"
            | "sup"
            | "inf"
            | "max"
            | "min"
            | "lim"
            | "limsup"
            | "liminf"
            | "sqrt"
            | "floor"
            | "ceil"
            | "sgn"
            | "abs"
    )
}

/// Greek letters and other signs by name, typed without backslash (`epsilon > 0`).
pub(crate) fn is_symbol_word(word: &str) -> bool {
    matches!(
        word,
        "alpha"
            | "beta"
            | "gamma"
            | "delta"
            | "epsilon"
            | "eps"
            | "varepsilon"
            | "theta"
            | "lambda"
            | "mu"
            | "pi"
            | "sigma"
            | "phi"
            | "psi"
            | "omega"
            | "eta"
            | "infty"
            | "infinity"
            | "inf"
            | "oo"
    )
}

/// Text commands that stand for one sign or for nothing, with what they print.
pub(crate) fn text_symbol(name: &str) -> Option<&'static str> {
    let printed = match name {
        "%" => "%",
        "$" => "$",
        "&" => "&",
        "#" => "#",
        "_" => "_",
        "{" => "{",
        "}" => "}",
        " " | "," | ";" | ":" | ">" | "quad" | "qquad" | "enspace" | "thinspace" | "space"
        | "hfill" | "\n" | "hfil" | "hskip" | "nobreakspace" => " ",
        "ldots" | "dots" | "textellipsis" => "…",
        "ss" => "ß",
        "o" => "ø",
        "O" => "Ø",
        "ae" => "æ",
        "AE" => "Æ",
        "oe" => "œ",
        "OE" => "Œ",
        "aa" => "å",
        "AA" => "Å",
        "l" => "ł",
        "L" => "Ł",
        "i" | "imath" => "ı",
        "j" | "jmath" => "ȷ",
        "S" => "§",
        "P" => "¶",
        "copyright" => "©",
        "textbackslash" => "\\",
        "textendash" => "–",
        "textemdash" => "—",
        "LaTeX" => "LaTeX",
        "TeX" => "TeX",
        "lq" => "‘",
        "rq" => "’",
        "textquotedblleft" | "glqq" => "“",
        "textquotedblright" | "grqq" => "”",
        "textasciitilde" => "~",
        "textbar" => "|",
        "textless" => "<",
        "textgreater" => ">",
        "!" | "/" | "-" | "@" | "noindent" | "indent" | "medskip" | "bigskip" | "smallskip"
        | "newpage" | "clearpage" | "pagebreak" | "maketitle" | "tableofcontents" | "centering"
        | "raggedright" | "qed" | "qedhere" | "hline" | "toprule" | "midrule" | "bottomrule"
        | "protect" | "relax" | "leavevmode" | "null" | "vfill" | "appendix" | "par" | "left"
        | "right" | "displaystyle" | "allowdisplaybreaks" | "sloppy" | "makeatletter"
        | "makeatother" | "frenchspacing" | "selectfont" | "begingroup" | "endgroup" | "break"
        | "linebreak" | "nobreak" | "limits" | "nolimits" | "tiny" | "small" | "footnotesize"
        | "scriptsize" | "normalsize" | "large" | "Large" | "LARGE" | "huge" | "Huge" | "hrule"
        | "vskip" | "boldmath" | "unboldmath" | "textstyle" | "strut" | "backmatter"
        | "frontmatter" | "mainmatter" | "onehalfspacing" | "doublespacing" | "singlespacing" => "",
        _ => return None,
    };
    Some(printed)
}

/// Text commands of which nothing is printed: how many arguments they take, at most.
pub(crate) fn dropped_arguments(name: &str) -> Option<usize> {
    let arguments = match name {
        "label" | "tag" | "vspace" | "hspace" | "includegraphics" | "bibliography"
        | "bibliographystyle" | "pagestyle" | "thispagestyle" | "usepackage" | "input"
        | "include" | "color" | "pagecolor" | "hypersetup" | "geometry" | "graphicspath"
        | "index" | "phantom" | "vphantom" | "hphantom" | "documentclass" | "theoremstyle"
        | "newcounter" | "stepcounter" | "refstepcounter" | "nocite" | "pagenumbering"
        | "usetikzlibrary" | "newif" | "RequirePackage" | "author" | "date" | "thanks"
        | "lhead" | "rhead" | "chead" | "lfoot" | "rfoot" | "cfoot" | "fancyhead" | "fancyfoot"
        | "linespread" | "lstset" | "setlist" | "newlength" | "allowbreak" | "footnotemark"
        | "markright" | "hyphenation" | "captionsetup" | "cline" | "cmidrule" => 1,
        "setcounter" | "addtocounter" | "setlength" | "addtolength" | "rule" | "fontsize"
        | "numberwithin" | "counterwithin" | "definecolor" | "markboth" | "titlespacing"
        | "theoremseparator" | "lstinputlisting" | "newtcolorbox" => 2,
        _ => return None,
    };
    Some(arguments)
}

/// Text commands of which the last argument is printed: how many stand before it.
pub(crate) fn leading_arguments(name: &str) -> usize {
    match name {
        "textcolor" | "colorbox" | "href" | "parbox" | "raisebox" | "scalebox" | "rotatebox"
        | "foreignlanguage" | "fcolorbox" | "item*" => 1,
        "resizebox" | "multicolumn" | "multirow" => 2,
        _ => 0,
    }
}

/// Level of a heading command, 1 outermost.
pub(crate) fn heading_level(name: &str) -> Option<u8> {
    let level = match name {
        "part" | "chapter" | "section" | "title" | "frametitle" => 1,
        "subsection" | "framesubtitle" => 2,
        "subsubsection" => 3,
        "paragraph" => 4,
        "subparagraph" => 5,
        _ => return None,
    };
    Some(level)
}

/// A letter under an accent command (`"o`, `'e`, `v{s}`), composed.
pub(crate) fn accented(accent: &str, letter: char) -> Option<char> {
    let (letters, composed) = match accent {
        "\"" => ("aeiouyAEIOU", "äëïöüÿÄËÏÖÜ"),
        "'" => ("aeiouycnszAEIOUYCN", "áéíóúýćńśźÁÉÍÓÚÝĆŃ"),
        "`" => ("aeiouAEIOU", "àèìòùÀÈÌÒÙ"),
        "^" => ("aeioucgAEIOU", "âêîôûĉĝÂÊÎÔÛ"),
        "~" => ("anoANO", "ãñõÃÑÕ"),
        "=" => ("aeiouAEIOU", "āēīōūĀĒĪŌŪ"),
        "." => ("zcegZI", "żċėġŻİ"),
        "c" => ("cstCST", "çşţÇŞŢ"),
        "v" => ("cszrendtCSZREN", "čšžřěňďťČŠŽŘĚŇ"),
        "u" => ("agiAG", "ăğĭĂĞ"),
        "H" => ("ouOU", "őűŐŰ"),
        "r" => ("auAU", "åůÅŮ"),
        "k" => ("aeAE", "ąęĄĘ"),
        _ => return None,
    };
    let place = letters.chars().position(|candidate| candidate == letter)?;
    composed.chars().nth(place)
}
