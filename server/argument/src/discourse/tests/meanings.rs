//! What entries mean: bindings, scopes, assertions, error terms.

use super::super::outline::{Assertion, Content, Introduction, LimitValue, Role, Toward};
use super::{argument, check, scope, text};
use kernel::{Kind, Relation};

fn content(draft: &str, claim: &str) -> Content {
    argument(draft)
        .entries
        .iter()
        .find(|entry| text(draft, entry) == claim)
        .unwrap_or_else(|| panic!("no entry {claim} in {draft}"))
        .content
        .clone()
}

const PROOF: &str = "Let $f_n(x)=\\frac{x}{n}$ for $x\\in[0,1]$. Show that $f_n\\to0$ uniformly on $[0,1]$.\n\nLet $\\varepsilon>0$. Choose $N>\\frac1\\varepsilon$. Then for all $n>N$ and all $x\\in[0,1]$\n$$|f_n(x)-0|=\\frac xn\\le\\frac1n<\\varepsilon.$$\nHence $f_n\\to0$ uniformly on $[0,1]$.";

#[test]
fn a_plain_proof_has_its_scopes() {
    check(
        PROOF,
        r"definition: f_n(x)=\frac{x}{n}
        range: x\in[0,1]
        aim: f_n\to0
        let: \varepsilon>0
        choice: N>\frac1\varepsilon
        range: n>N
        range: x\in[0,1]
        step: |f_n(x)-0|=\frac xn
        step: \frac xn\le\frac1n
        step: \frac1n<\varepsilon
        conclusion: Hence $f_n\to0$ uniformly on $[0,1]$",
    );
    assert_eq!(
        scope(PROOF, "\\frac xn\\le\\frac1n"),
        vec![
            "\\varepsilon>0",
            "N>\\frac1\\varepsilon",
            "n>N",
            "x\\in[0,1]"
        ]
    );
    assert_eq!(
        scope(PROOF, "Hence $f_n\\to0$ uniformly on $[0,1]$"),
        vec!["\\varepsilon>0", "N>\\frac1\\varepsilon"]
    );
}

#[test]
fn the_error_term_is_unfolded() {
    let argument = argument(PROOF);
    let error = argument.error.expect("an error term");
    assert!(error.uniform);
    assert_eq!(error.index.as_str(), "n");
    assert_eq!(error.conditions.len(), 3);
    assert!(error.limit.as_number().is_some());
    let aim = argument.aim.expect("an aim");
    assert!(matches!(
        aim.assertion,
        Some(Assertion::Convergence { negated: false, .. })
    ));
}

#[test]
fn a_threshold_is_an_integer_unless_it_is_set_equal_to_a_real() {
    let kind = |choice: &str, formula: &str| {
        let draft =
            format!("Let $\\varepsilon>0$. {choice}. Then $\\frac1n<\\varepsilon$ for $n>N$.");
        match content(&draft, formula) {
            Content::Binding(binding) => (binding.bound[0].kind, binding.bound[0].introduction),
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(
        kind("Choose $N>\\frac1\\varepsilon$", "N>\\frac1\\varepsilon"),
        (Kind::Integer, Introduction::Chosen)
    );
    assert_eq!(
        kind("Let $N=\\frac1\\varepsilon$", "N=\\frac1\\varepsilon"),
        (Kind::Real, Introduction::Chosen)
    );
    assert_eq!(
        kind(
            "Put $N=\\lceil\\frac1\\varepsilon\\rceil$",
            "N=\\lceil\\frac1\\varepsilon\\rceil"
        ),
        (Kind::Integer, Introduction::Chosen)
    );
    assert_eq!(
        kind(
            "There is $N\\in\\mathbb N$ with $\\frac1N<\\varepsilon$",
            "\\frac1N<\\varepsilon"
        ),
        (Kind::Integer, Introduction::Existing)
    );
    assert_eq!(
        kind(
            "Let $N$ be an integer greater than $\\frac1\\varepsilon$",
            "\\frac1\\varepsilon"
        ),
        (Kind::Integer, Introduction::Chosen)
    );
    assert_eq!(
        kind(
            "Take any $N$ such that $N\\varepsilon>1$",
            "N\\varepsilon>1"
        ),
        (Kind::Integer, Introduction::Chosen)
    );
}

#[test]
fn a_range_stands_before_behind_and_inside() {
    for draft in [
        "For all $n\\ge N$ we have $\\frac1n\\le\\frac1N$.",
        "We have $\\frac1n\\le\\frac1N$ for all $n\\ge N$.",
        "$\\frac1n\\le\\frac1N$ whenever $n\\ge N$.",
        "If $n\\ge N$, then $\\frac1n\\le\\frac1N$.",
        "$n\\ge N$ implies $\\frac1n\\le\\frac1N$.",
        "$n\\ge N\\Rightarrow\\frac1n\\le\\frac1N$",
        "$\\forall n\\ge N:\\ \\frac1n\\le\\frac1N$",
        "$$\\frac1n\\le\\frac1N\\qquad\\text{for all }n\\ge N.$$",
        "$$\\frac1n\\le\\frac1N$$ for every $n\\ge N$.",
        "Then for every $n\\ge N$: $\\frac1n\\le\\frac1N$.",
        "Let $n\\ge N$. Then $\\frac1n\\le\\frac1N$.",
        "Suppose $n\\ge N$. Then $\\frac1n\\le\\frac1N$.",
    ] {
        assert_eq!(
            scope(draft, "\\frac1n\\le\\frac1N"),
            vec!["n\\ge N"],
            "in {draft}"
        );
    }
}

#[test]
fn each_claim_has_the_range_behind_it() {
    let draft = "We have $a_n<\\frac12$ for $n\\ge N_1$ and $b_n<\\frac12$ for $n\\ge N_2$.";
    assert_eq!(scope(draft, "a_n<\\frac12"), vec!["n\\ge N_1"]);
    assert_eq!(scope(draft, "b_n<\\frac12"), vec!["n\\ge N_2"]);
}

#[test]
fn alternatives_do_not_add_up() {
    let draft = "If $x=0$, then $x^2=0$. If $x>1$, then $x^2>1$.";
    assert_eq!(scope(draft, "x^2=0"), vec!["x=0"]);
    assert_eq!(scope(draft, "x^2>1"), vec!["x>1"]);
    let cases = "Case 1: $x\\le1$. Then $x^2\\le1$.\n\nCase 2: $x>1$. Then $x^2>1$.";
    assert_eq!(scope(cases, "x^2\\le1"), vec!["x\\le1"]);
    assert_eq!(scope(cases, "x^2>1"), vec!["x>1"]);
}

#[test]
fn chains_are_carried_over_formulas_and_reasons() {
    let draft = "We have $$|a_n|\\le\\frac{2}{n^2}$$ $$\\le\\frac2n$$ since $n^2\\ge n$, which is at most $\\frac2N$.";
    let argument = argument(draft);
    let chained: Vec<(String, Option<(usize, usize)>)> = argument
        .entries
        .iter()
        .filter(|entry| entry.role == Some(Role::Step))
        .map(|entry| (text(draft, entry), entry.chain))
        .collect();
    assert_eq!(chained.len(), 3, "{chained:?}");
    assert_eq!(chained[0].1.map(|(_, link)| link), Some(0));
    assert_eq!(chained[1].1.map(|(_, link)| link), Some(1));
    assert_eq!(chained[2].1.map(|(_, link)| link), Some(2));
    let reason = argument
        .entries
        .iter()
        .find(|entry| entry.role == Some(Role::Reason))
        .expect("a reason");
    assert_eq!(
        reason
            .reason_for
            .map(|claim| text(draft, &argument.entries[claim])),
        Some("\\le\\frac2n".to_owned())
    );
}

#[test]
fn words_compare_only_what_formulas_say() {
    check("The numerator is at most $9$ and so on.", "?!: 9");
    check("As $x$ is small, the denominator is at least $n$.", "?!: n");
}

#[test]
fn what_is_wished_or_refused_is_not_claimed() {
    check(
        "We want $\\frac1n<\\varepsilon$.",
        "aim: \\frac1n<\\varepsilon",
    );
    check(
        "It is tempting to say that $\\frac1n<\\frac1{n+1}$.",
        "rejected: \\frac1n<\\frac1{n+1}",
    );
    check(
        "The inequality $\\frac1n<\\frac1{n+1}$ is false.",
        "rejected: \\frac1n<\\frac1{n+1}",
    );
    check("It would follow that $n<1$.", "?!: n<1");
    check("Note that ~~$n<1$~~ is nonsense.", "rejected: n<1");
}

#[test]
fn a_wish_about_the_index_is_no_claim() {
    check(
        "We need $\\frac1n<\\varepsilon$. This means $n\\varepsilon>1$, so $n>\\frac1\\varepsilon$.",
        r"aim: \frac1n<\varepsilon
        aim: n\varepsilon>1
        aim: n>\frac1\varepsilon",
    );
}

#[test]
fn equivalences_are_one_claim() {
    let draft = "For $x > 0$ we have $x^2-2x=0$ if and only if $x-2=0$.";
    let Content::Assertion(Assertion::Implication { from, to, both }) =
        content(draft, "x^2-2x=0$ if and only if $x-2=0")
    else {
        panic!("no implication");
    };
    assert!(both && from.len() == 1 && to.len() == 1);
}

#[test]
fn limits_and_suprema_are_claims_of_their_own() {
    let limit = content("We know that $\\frac1n\\to0$.", "\\frac1n\\to0");
    assert!(matches!(
        limit,
        Content::Assertion(Assertion::Limit {
            toward: Toward::Infinity,
            value: LimitValue::Number(_),
            ..
        })
    ));
    let draft = "Let $f_n(x)=\\frac{x}{1+nx^2}$ on $\\mathbb R$. Then $\\sup_{x\\in\\mathbb R}|f_n(x)|=\\frac1{2\\sqrt n}$.";
    let supremum = content(draft, "\\sup_{x\\in\\mathbb R}|f_n(x)|=\\frac1{2\\sqrt n}");
    assert!(matches!(
        supremum,
        Content::Assertion(Assertion::Extremum {
            greatest: true,
            relation: Relation::Equal,
            ..
        })
    ));
    let vanishing = "Let $f_n(x)=\\frac{x}{1+nx^2}$ on $\\mathbb R$. Then $\\sup_{x\\in\\mathbb R}|f_n(x)|\\to0$.";
    let Content::Assertion(Assertion::Convergence { error, negated }) = argument(vanishing)
        .entries
        .iter()
        .rev()
        .find(|entry| entry.role == Some(Role::Conclusion))
        .expect("a conclusion")
        .content
        .clone()
    else {
        panic!("no convergence");
    };
    assert!(error.uniform && !negated);
}

#[test]
fn negated_convergence_stays_negated() {
    for draft in [
        "Let $f_n(x)=x^n$ on $[0,1]$ and $f(x)=0$. So $f_n$ does not converge uniformly to $f$.",
        "Let $f_n(x)=x^n$ on $[0,1]$. Show that $f_n\\to0$.\n\nThe convergence is not uniform.",
        "Let $f_n(x)=x^n$ on $[0,1]$. Then $\\sup_{x\\in[0,1]}|f_n(x)|$ does not tend to $0$.",
    ] {
        let negations = argument(draft)
            .entries
            .iter()
            .filter(|entry| {
                matches!(
                    &entry.content,
                    Content::Assertion(Assertion::Convergence { negated: true, .. })
                )
            })
            .count();
        assert_eq!(negations, 1, "in {draft}");
    }
}

#[test]
fn what_was_not_read_protects() {
    let draft = "Let $K$ be a compact set and $x\\in K$. Then $|x|\\le1$.";
    let scope = scope(draft, "|x|\\le1");
    assert!(scope.contains(&"x\\in K".to_owned()), "{scope:?}");
    let large = "For sufficiently large $n$ we have $\\frac1n<\\frac1{100}$.";
    let argument = argument(large);
    let claim = argument
        .entries
        .iter()
        .find(|entry| entry.role == Some(Role::Step))
        .expect("a step");
    let guard = &argument.entries[claim.scope[0]];
    assert!(
        matches!(&guard.content, Content::Unread { names, .. } if names.iter().any(|name| name.as_str() == "n"))
    );
}

#[test]
fn a_contradiction_assumption_is_in_force_until_discharged() {
    let draft =
        "Suppose for contradiction that $x\\ge2$. Then $x^2\\ge4$, a contradiction. Hence $x^2<4$.";
    assert_eq!(scope(draft, "x^2\\ge4"), vec!["x\\ge2"]);
    assert!(scope(draft, "x^2<4").is_empty());
}

#[test]
fn names_are_given_by_the_exercise_or_by_habit() {
    let argument = argument(
        "Let $f_n(x)=\\frac xn$ for $x\\in[0,R]$, $R>0$. Show that $f_n\\to0$ uniformly.\n\nWe have $f_n(x)\\le\\frac Rn<\\varepsilon+t$.",
    );
    let given = |name: &str| {
        argument
            .givens
            .iter()
            .find(|given| given.name.as_str() == name)
    };
    assert_eq!(given("n").map(|given| given.kind), Some(Kind::Integer));
    assert_eq!(given("x").map(|given| given.conditions.len()), Some(2));
    assert_eq!(given("R").map(|given| given.conditions.len()), Some(1));
    assert!(given("t").is_some_and(|given| given.unread.is_some()));
    assert!(given("N").is_none());
}
