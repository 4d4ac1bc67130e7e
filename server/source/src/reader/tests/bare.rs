//! Mathematics typed straight into running text.

use super::*;

fn check(draft: &str, expected: &str) {
    let document = markdown(draft);
    assert_eq!(blocks(&document).join("|"), expected);
    for (content, quote) in contents(&document).iter().zip(quotes(draft, &document)) {
        assert_eq!(*content, quote);
    }
}

#[test]
fn formulas_between_words() {
    check(
        "Let ε > 0. Choose N ≥ 1/ε. Then |fₙ(x) − f(x)| ≤ x/n ≤ 1/n < ε for all n > N and x ∈ [0, 1].",
        "Let ⟨ε > 0⟩. Choose ⟨N ≥ 1/ε⟩. Then ⟨|fₙ(x) − f(x)| ≤ x/n ≤ 1/n < ε⟩ for all ⟨n > N⟩ and ⟨x ∈ [0, 1]⟩.",
    );
    check(
        "We have f_n(x) = x^n/(1+x^(2n)) -> 0, since |x| < 1 (for n >= 1).",
        "We have ⟨f_n(x) = x^n/(1+x^(2n)) -> 0⟩, since ⟨|x| < 1⟩ (for ⟨n >= 1⟩).",
    );
    check(
        "Define fₙ : [0, ∞) → ℝ by fₙ(x) = sin(nx)/√n.",
        "Define ⟨fₙ : [0, ∞) → ℝ⟩ by ⟨fₙ(x) = sin(nx)/√n⟩.",
    );
    check(
        "sup |fₙ(x) − f(x)| = 1/n → 0 as n → ∞.",
        "⟨sup |fₙ(x) − f(x)| = 1/n → 0⟩ as ⟨n → ∞⟩.",
    );
}

#[test]
fn lists_and_conditions() {
    check(
        "for all x, y ∈ A and n = 1, 2, 3, …",
        "for all ⟨x, y ∈ A⟩ and ⟨n = 1, 2, 3, …⟩",
    );
    check("If 0 < x < 1, n > 2, then", "If ⟨0 < x < 1⟩, ⟨n > 2⟩, then");
    check(
        "the interval (0, 1) and on [a, b)",
        "the interval ⟨(0, 1)⟩ and on ⟨[a, b)⟩",
    );
}

#[test]
fn articles_and_pronouns_are_words() {
    check(
        "I think a > 0 is a bound; so a x ≥ 1.",
        "I think ⟨a > 0⟩ is a bound; so a ⟨x ≥ 1⟩.",
    );
    check("Take a ≤ b, a number.", "Take ⟨a ≤ b⟩, a number.");
}

#[test]
fn prose_stays_prose() {
    for draft in [
        "The well-known ε-δ definition, an x-axis, the n-th term, and the M-test.",
        "On 2024-05-12 or 12/05/2024, at 10:30, 1/2 of the class passed and/or failed.",
        "Exercise 3.2 (a), Theorem 2 (b), see [1, 2] and (3).",
        "A and B, e.g. part (b), i.e. w.r.t. the file a_file_name.",
        "We don't know N's value; it's 5 % - or more - of the total.",
        "Pages 3 - 5, no. 7, 1st and 2nd, 1-Lipschitz functions, n/a.",
        "Is that so? Yes! See https://example.org/a=b?x>1 for more.",
    ] {
        assert!(
            contents(&markdown(draft)).is_empty(),
            "{draft}: {:?}",
            contents(&markdown(draft))
        );
    }
}

#[test]
fn a_name_is_a_formula_where_it_stands_alone() {
    check(
        "There is N such that n > N works. Part n has no N-th case, and b is free.",
        "There is ⟨N⟩ such that ⟨n > N⟩ works. Part n has no N-th case, and b is free.",
    );
}

#[test]
fn commands_without_delimiters() {
    check(
        "Let \\epsilon > 0 and n \\geq N, \\frac{1}{n} small.",
        "Let ⟨\\epsilon > 0⟩ and ⟨n \\geq N⟩, ⟨\\frac{1}{n}⟩ small.",
    );
    let document = latex("Let \\varepsilon > 0, \\emph{so} x^{n+1} \\leq a_{k}.");
    assert_eq!(
        contents(&document),
        ["\\varepsilon > 0", "x^{n+1} \\leq a_{k}"]
    );
}

#[test]
fn factorials_and_exclamations() {
    check(
        "Since n! ≥ 2 we win for n > 3!",
        "Since ⟨n! ≥ 2⟩ we win for ⟨n > 3⟩!",
    );
}

#[test]
fn struck_formulas_are_struck() {
    let document = markdown("~~So n > 2~~ but n > 3.");
    let struck: Vec<_> = formulas(&document).iter().map(|math| math.struck).collect();
    assert_eq!(struck, [true, false]);
}

#[test]
fn colons_of_functions_and_of_sentences() {
    check(
        "Let f : [0, 1] → ℝ; for all n: fₙ → 0.",
        "Let ⟨f : [0, 1] → ℝ⟩; for all n: ⟨fₙ → 0⟩.",
    );
    check(
        "For all n ≥ N: g -> 0 in C[0, 1].",
        "For all ⟨n ≥ N⟩: ⟨g -> 0⟩ in ⟨C[0, 1]⟩.",
    );
    check(
        "∀ε>0 ∃N∈ℕ ∀n≥N: |f_n(x)-f(x)|<ε",
        "⟨∀ε>0 ∃N∈ℕ ∀n≥N⟩: ⟨|f_n(x)-f(x)|<ε⟩",
    );
}

#[test]
fn sets_and_parentheses() {
    check(
        "So sup{|f_n(x)| : x ∈ [0,1]} = 1/n and xⁿ → 0 (n → ∞).",
        "So ⟨sup{|f_n(x)| : x ∈ [0,1]} = 1/n⟩ and ⟨xⁿ → 0⟩ (⟨n → ∞⟩).",
    );
    let document = markdown("for x ∈ ℝ\\{0} and y in ℝ \\ {0}, \\{a_n\\}");
    assert_eq!(contents(&document), ["x ∈ ℝ∖{0}", "ℝ ∖ {0}", "{a_n}"]);
    check(
        "Ten points max = good, f(n+1) (1 + x) > 2.",
        "Ten points max = good, ⟨f(n+1) (1 + x) > 2⟩.",
    );
}
