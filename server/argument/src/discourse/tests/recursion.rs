//! Sequences that are defined by recursion, in the spellings that people use.

use super::argument;
use kernel::show;

/// The recursions of a draft: name, where it begins, first members, the equation.
fn recursions(draft: &str) -> Vec<String> {
    argument(draft)
        .recursions
        .iter()
        .map(|one| {
            let starts: Vec<String> = one
                .starts
                .iter()
                .map(|(at, value)| format!("{}({at}) = {}", one.name, show::plain(value)))
                .collect();
            format!(
                "from {}: {}; {}({} + {}) = {}",
                one.first,
                starts.join(", "),
                one.name,
                one.index,
                one.order,
                show::plain(&one.next)
            )
        })
        .collect()
}

#[test]
fn equations_and_first_members_are_found_in_all_spellings() {
    let cases = [
        (
            "Let $a_1 = 2$ and for $n\\ge1$ let $a_{n+1} = \\sqrt{2 + a_n}$.",
            "from 1: a(1) = 2; a(n + 1) = √(2 + a(n))",
        ),
        (
            "The sequence is given by $x_0 := 3$ and $x_n = x_{n-1}/2 + \\frac1n$ for all $n\\ge1$.",
            "from 0: x(0) = 3; x(n + 1) = x(n)/2 + 1/(n + 1)",
        ),
        (
            "We define $(z_k)$ recursively: $z_{k+1} := \\frac{1}{1+z_k}$, $z_1 := 1$.",
            "from 1: z(1) = 1; z(k + 1) = 1/(1 + z(k))",
        ),
        (
            "Let $$\\begin{cases} b_1 = c \\\\ b_{n+1} = b_n^2 \\end{cases}$$ with $c>0$.",
            "from 1: b(1) = c; b(n + 1) = b(n)²",
        ),
        (
            "Let $$t_n = \\begin{cases} 1 & n = 1 \\\\ 3 - t_{n-1} & n \\ge 2. \\end{cases}$$",
            "from 1: t(1) = 1; t(n + 1) = 3 − t(n)",
        ),
        (
            "The numbers $F_1 = F_2 = 1$, $F_{n+2} = F_{n+1} + F_n$ are well known.",
            "from 1: F(1) = 1, F(2) = 1; F(n + 2) = F(n + 1) + F(n)",
        ),
        (
            "Let $a_1=1$, $a_{n+1}=\\frac{a_n}{2}$. Show that $a_n = 2^{1-n}$ and $a_{n+1} = a_n - 2^{-n}$.",
            "from 1: a(1) = 1; a(n + 1) = a(n)/2",
        ),
        (
            "Let 0 < x₁ < 1 and xₙ₊₁ = xₙ(1 − xₙ).",
            "from 1: ; x(n + 1) = x(n)·(1 − x(n))",
        ),
    ];
    for (draft, expected) in cases {
        assert_eq!(recursions(draft), [expected], "{draft}");
    }
}

#[test]
fn what_defines_no_sequence_is_no_recursion() {
    let cases = [
        "Let $a_n = \\frac{n}{n+1}$. Then $a_{n+1} = a_n + \\frac{1}{(n+1)(n+2)}$.",
        "Let $f$ be continuous and $x_{n+1} = f(x_n)$.",
        "(a) Let $s_1=1$ and $s_{n+1}=s_n/2$. (b) Let $s_1=1$ and $s_{n+1}=s_n/3+1$. Compare them.",
        "Let $a_1=1$ and $a_{n+1}=a_n/2$. Show that $a_n\\to0$. Let $a_n:=\\frac1n$. Show that $a_n\\to0$.",
        "Suppose $|x_{n+1} - x_n| \\le q |x_n - x_{n-1}|$ for all $n$.",
    ];
    for draft in cases {
        assert!(recursions(draft).is_empty(), "{draft}");
    }
}
