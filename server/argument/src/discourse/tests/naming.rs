//! Which places of a draft speak of the same thing under the same name.

use super::read;

/// Every name with the lines and columns of its places; `*` behind the place that introduces it,
/// `~` behind one that cannot be replaced alone.
fn names(draft: &str) -> Vec<String> {
    let (_, outline) = read(draft);
    outline
        .names
        .iter()
        .map(|naming| {
            let places: Vec<String> = naming
                .places
                .iter()
                .enumerate()
                .map(|(at, place)| {
                    let before = &draft[..place.span.start];
                    let line = 1 + before.matches('\n').count();
                    let column = before.chars().rev().take_while(|c| *c != '\n').count();
                    let first = if at == naming.introduced { "*" } else { "" };
                    let exact = if place.exact { "" } else { "~" };
                    format!(
                        "{line}:{column}{first}{exact} {}",
                        &draft[place.span.range()]
                    )
                })
                .collect();
            let index = if naming.indexed { "_n" } else { "" };
            format!(
                "{}{index} {:?} [{}]",
                naming.name,
                naming.origin,
                places.join(", ")
            )
        })
        .collect()
}

fn check(draft: &str, expected: &[&str]) {
    assert_eq!(names(draft), expected, "in {draft}");
}

#[test]
fn each_binding_has_its_places() {
    check(
        "**Exercise 1.** Let $f_n(x) = \\frac{x}{1+nx^2}$ on $[0,1]$. Show that $f_n \\to 0$ uniformly.\n\n\
         **Proof.** Let $\\varepsilon > 0$. Choose $N > 1/\\varepsilon$. Then for all $n > N$ and $x \\in [0,1]$ we have\n\
         $$|f_n(x) - 0| \\le \\frac{1}{n} < \\frac1N < \\varepsilon.$$\n\
         Hence $\\sup_{x\\in[0,1]} |f_n(x)| \\le \\sum_{k=1}^n k$.\n",
        &[
            "f_n Defined [1:21* f, 1:71 f, 4:3 f, 5:25 f]",
            "n Given [1:23* n, 1:41 n, 1:73 n]",
            "x Given [1:25* x, 1:36 x, 1:42 x]",
            "ε Arbitrary [3:16* \\varepsilon, 3:48 \\varepsilon, 4:43 \\varepsilon]",
            "N Chosen [3:42* N, 3:80 N, 4:39 N]",
            "n Ranging [3:76* n, 4:5 n, 4:28 n, 5:27 n, 5:48 n]",
            "x Ranging [3:88* x, 4:7 x]",
            "x Inside [5:13* x, 5:29 x]",
            "k Inside [5:43* k, 5:50 k]",
        ],
    );
}

#[test]
fn typed_without_delimiters() {
    check(
        "Let aₙ = 1/n. Show that aₙ → 0.\n\n\
         Proof. Let ε > 0. Choose N > 1/ε. For all n > N we have |aₙ − 0| = 1/n < 1/N < ε.\n",
        &[
            "a_n Defined [1:4* a, 1:24 a, 3:57 a]",
            "n Given [1:5* ₙ, 1:11 n, 1:25 ₙ]",
            "ε Arbitrary [3:11* ε, 3:31 ε, 3:79 ε]",
            "N Chosen [3:25* N, 3:46 N, 3:75 N]",
            "n Ranging [3:42* n, 3:58 ₙ, 3:69 n]",
        ],
    );
}

#[test]
fn behind_macros_and_commands() {
    check(
        "\\newcommand{\\eps}{\\varepsilon}\\newcommand{\\err}{|a_n - 0|}\\newcommand{\\abs}[1]{|#1|}\n\
         \\begin{proof} Let $\\eps > 0$. Choose $N_1 > 1/\\eps$. For all $n > N_1$: \
         $\\err = \\abs{a_n} < \\eps$ and $f'_n(x) = \\int_0^1 t\\,dt$. \\end{proof}\n",
        &[
            "ε Arbitrary [2:19* \\eps, 2:46 \\eps, 2:92 \\eps]",
            "N_1 Chosen [2:38* N_1, 2:66 N_1]",
            "n Ranging [2:62* n, 2:73~ \\err, 2:87 n, 2:106 n]",
            "a_n Given [2:73*~ \\err, 2:85 a]",
            "f_n Given [2:103* f]",
            "x Given [2:108* x]",
            "t Inside [2:122* t, 2:126 t]",
        ],
    );
}

#[test]
fn parts_share_what_their_exercise_defines() {
    check(
        "# Exercise 2\n\nLet $g_n(x) = x^n$ for $x \\in [0,b]$.\n\n\
         (a) Show that $g_n \\to 0$ uniformly if $b < 1$.\n\n(b) Is it uniform for $b = 1$?\n\n\
         **Solution.** (a) Let $\\varepsilon>0$. Take $N$ with $b^N < \\varepsilon$. \
         For $n \\ge N$: $|g_n(x)| \\le b^{n} \\le b^N < \\varepsilon$ for all $x \\in [0,b]$.\n\n\
         (b) No. Take $x_n = 1 - 1/n$. Then $g_n(x_n) = (1-1/n)^n \\ge \\frac14$ for $n \\ge 2$.\n",
        &[
            "g_n Defined [3:5* g, 5:15 g, 9:91 g, 11:36 g]",
            "n Given [3:7* n, 3:16 n, 5:17 n, 11:16 n, 11:26 n]",
            "x Given [3:9* x, 3:14 x, 3:24 x]",
            "b Given [3:33* b, 5:40 b, 7:23 b, 9:54 b, 9:103 b, 9:113 b, 9:150 b]",
            "ε Arbitrary [9:23* \\varepsilon, 9:60 \\varepsilon, 9:119 \\varepsilon]",
            "N Chosen [9:45* N, 9:56 N, 9:85 N, 9:115 N]",
            "n Ranging [9:79* n, 9:93 n, 9:106 n]",
            "x Ranging [9:95 x, 9:141* x]",
            "x_n Defined [11:14* x, 11:40 x]",
            "n Ranging [11:38 n, 11:42 n, 11:52 n, 11:55 n, 11:75* n]",
        ],
    );
}

#[test]
fn a_name_may_be_bound_anew() {
    check(
        "**Claim.** $a_n = 1/n^2 \\to 0$: for every $\\varepsilon > 0$ there is $N$ such that $|a_n| < \\varepsilon$ for all $n \\ge N$.\n\n\
         > Let $\\epsilon > 0$. Choose $N_\\epsilon > 1/\\epsilon$. For $n > N_\\epsilon$ we have $n > N_{\\epsilon}$, thus\n\
         > $$a_n\n> < \\frac{1}{N_\\epsilon} < \\epsilon.$$\n\n\
         Let $\\varepsilon = 1/10$. Choose $N = 11$. Then for $n > N$ we have $\\frac{d}{dx} x^n = n x^{n-1}$.\n",
        &[
            "a_n Defined [1:12* a, 1:85 a, 4:4 a]",
            "n Ranging [1:14* n, 1:20 n, 1:87 n, 1:114 n]",
            "ε Ranging [1:43* \\varepsilon, 1:92 \\varepsilon]",
            "N Existing [1:70* N, 1:120 N]",
            "ε Arbitrary [3:7* \\epsilon, 3:32 \\epsilon, 3:45 \\epsilon, 3:67 \\epsilon, 3:93 \\epsilon, 5:15 \\epsilon, 5:27 \\epsilon]",
            "N_ε Chosen [3:30* N_\\epsilon, 3:65 N_\\epsilon, 3:90 N_{\\epsilon}, 5:13 N_\\epsilon]",
            "n Ranging [3:61* n, 3:86 n, 4:6 n]",
            "ε Chosen [7:5* \\varepsilon]",
            "N Chosen [7:34* N, 7:57 N]",
            "n Ranging [7:53* n, 7:84 n, 7:88 n, 7:93 n]",
            "x Given [7:79* x, 7:82 x, 7:90 x]",
        ],
    );
}

#[test]
fn what_an_exercise_lets_be_any_value_holds_in_its_proof() {
    check(
        "Let $0 < a < 1$ and $f_n(x) = x^n e^{-n}$. Show that $f_n \\to 0$ uniformly on $[0,a]$.\n\n\
         **Proof.** For $x \\in [0,a]$ we have $|f_n(x)| \\le a^n$, and $a^n \\to 0$.\n",
        &[
            "a Arbitrary [1:9* a, 1:82 a, 3:25 a, 3:51 a, 3:62 a]",
            "f_n Defined [1:21* f, 1:54 f, 3:39 f]",
            "n Given [1:23* n, 1:32 n, 1:38 n, 1:56 n, 3:41 n, 3:53 n, 3:64 n]",
            "x Given [1:25* x, 1:30 x]",
            "x Ranging [3:16* x, 3:43 x]",
        ],
    );
}
