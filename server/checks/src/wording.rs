//! The words of findings: what is wrong, the numbers, what would make it right.

use crate::approach::Outcome;
use crate::finding::Shown;
use kernel::{Condition, Counterexample, Expr, show};

/// "at n = 5, x = 1/2: left = 2/9, right = 1/5"
pub(crate) fn numbers(shown: &Shown) -> String {
    let side = |text: &str| {
        if text.starts_with('≈') || text == "undefined" {
            format!(" {text}").replace(" undefined", " is undefined")
        } else {
            format!(" = {text}")
        }
    };
    format!(
        "{}the left side{}, the right side{}",
        place(shown),
        side(&shown.left),
        side(&shown.right)
    )
}

/// "at n = 1: the derivative 0, what stands here 1/2"
pub(crate) fn sides(shown: &Shown, left: &str, right: &str) -> String {
    format!(
        "{}{left} is {}, {right} {}",
        place(shown),
        shown.left,
        shown.right
    )
}

pub(crate) fn place(shown: &Shown) -> String {
    if shown.values.is_empty() {
        return String::new();
    }
    let values: Vec<String> = shown
        .values
        .iter()
        .map(|(name, value)| format!("{name} = {value}"))
        .collect();
    format!("at {}: ", values.join(", "))
}

fn capital(text: &str) -> String {
    let mut characters = text.chars();
    characters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(characters).collect()
    })
}

fn sentence(shown: &Shown) -> String {
    capital(&numbers(shown))
}

pub(crate) fn step_fails(claim: &Condition, shown: &Shown) -> String {
    format!(
        "This step is false: {}. {}.",
        show::condition(claim),
        sentence(shown)
    )
}

pub(crate) fn fails(source: &str, evidence: &str) -> String {
    let flat: Vec<&str> = source.split_whitespace().collect();
    format!("This is false: {}. {}.", flat.join(" "), capital(evidence))
}

/// A claim of calculus: what is wrong, how it was read, the numbers, what would be right.
pub(crate) fn calculus(opening: &str, reading: &str, evidence: &str, cure: Option<&str>) -> String {
    let cure = cure.map(|cure| format!(" {cure}.")).unwrap_or_default();
    format!(
        "{opening}: it is not true that {reading}. {}.{cure}",
        capital(evidence)
    )
}

pub(crate) fn reversed(claim: &Condition, shown: &Shown) -> String {
    let turned = match claim {
        Condition::Holds(left, relation, right) => show::condition(&Condition::Holds(
            left.clone(),
            relation.flipped(),
            right.clone(),
        )),
        other => show::condition(other),
    };
    format!(
        "This step is the wrong way round: {} is false. {}. What holds is {turned}.",
        show::condition(claim),
        sentence(shown)
    )
}

pub(crate) fn not_strict(claim: &Condition, shown: &Shown) -> String {
    format!(
        "Only ≤ holds here, not strictly: {}. {}, so both sides are equal.",
        show::condition(claim),
        sentence(shown)
    )
}

pub(crate) fn bound_fails(claim: &Condition, shown: &Shown) -> String {
    format!(
        "This bound without x (majorant) does not hold on the whole domain: {}. {}.",
        show::condition(claim),
        sentence(shown)
    )
}

pub(crate) fn undefined(claim: &Condition, shown: &Shown) -> String {
    format!(
        "A value is undefined here: {}. {}.",
        show::condition(claim),
        sentence(shown)
    )
}

pub(crate) fn missing(
    claim: &str,
    missing: &str,
    counterexample: Option<&Counterexample>,
) -> String {
    let numbers = counterexample
        .map(|counterexample| {
            let shown = crate::engine::shown(counterexample);
            format!(" ({})", numbers(&shown))
        })
        .unwrap_or_default();
    format!(
        "{claim} is not true for all values that the text allows{numbers}. It holds for {missing}, which is not said."
    )
}

pub(crate) fn mixture() -> String {
    "This line holds only if a spelling in it is read otherwise than elsewhere in the argument. Parentheses would settle what is meant.".to_owned()
}

/// What a choice is for: the goal at the end of its reading.
pub(crate) fn purpose(reading: &str) -> String {
    let goal = reading.rsplit(": ").next().unwrap_or(reading);
    format!("What this is chosen for, {goal},")
}

pub(crate) fn not_read(reason: &str) -> String {
    format!("This was not understood: {reason}.")
}

pub(crate) fn too_small(name: &str, aim: &Condition, shown: &Shown, cure: Option<&str>) -> String {
    let cure = cure
        .map(|cure| format!(" {cure} works."))
        .unwrap_or_default();
    // A threshold bounds from below, a δ from above.
    let extreme = if name.starts_with(['δ', 'η']) {
        "large"
    } else {
        "small"
    };
    format!(
        "{name} is too {extreme}: {} need not hold. {}.{cure}",
        show::condition(aim),
        sentence(shown)
    )
}

pub(crate) fn not_strict_choice(name: &str, aim: &Condition, shown: &Shown) -> String {
    format!(
        "With this {name} only ≤ holds at the end, not <: {}. {}.",
        show::condition(aim),
        sentence(shown)
    )
}

pub(crate) fn depends_on_point(name: &str, points: &str, cure: &str) -> String {
    let told = format!(
        "This {name} depends on {points}, but uniform convergence needs one {name} for all {points}. {cure}"
    );
    told.trim_end().to_owned()
}

pub(crate) fn cure_by_supremum(name: &str, bound: &Expr) -> String {
    format!(
        "Over the whole domain {name} > {} serves all points at once.",
        show::plain(bound)
    )
}

pub(crate) fn cure_by_majorant(name: &str, bound: &Expr) -> String {
    format!(
        "A sharper estimate gives one without it: {name} > {} works.",
        show::plain(bound)
    )
}

pub(crate) fn none_serves(name: &str, why: &str) -> String {
    format!(
        "No {name} serves all of them, for the distance does not become small everywhere. {why}"
    )
}

pub(crate) fn no_cure(separation: &kernel::recheck::Separation) -> String {
    let values: Vec<String> = separation
        .values()
        .iter()
        .map(|(name, value)| format!("{name} = {}", show::plain(value)))
        .collect();
    let place = if values.is_empty() {
        String::new()
    } else {
        format!(" at {}", values.join(", "))
    };
    format!(
        "For arbitrarily large n its value{place} is at least {}, so it does not become small.",
        show::plain(separation.bound())
    )
}

pub(crate) fn limit_wrong(reading: &str, why: &str, right: Option<&Outcome>) -> String {
    let right = match right {
        Some(Outcome::Number(value)) => format!(" The limit is {}.", show::plain(value)),
        Some(Outcome::Infinite(true)) => " It tends to ∞.".to_owned(),
        Some(Outcome::Infinite(false)) => " It tends to −∞.".to_owned(),
        Some(Outcome::None(reason)) if reason == why => String::new(),
        Some(Outcome::None(reason)) => format!(" There is no limit: {reason}."),
        None => String::new(),
    };
    let end = if why.ends_with('.') { "" } else { "." };
    format!(
        "This limit is wrong: {reading}. {}{end}{right}",
        capital(why)
    )
}

pub(crate) fn not_summable(reading: &str, why: &str) -> String {
    format!(
        "This series of bounds diverges: it is not true that {reading}. {why} Comparison (the M-test) needs bounds with a convergent sum."
    )
}

pub(crate) fn delta_depends(name: &str, point: &str, cure: Option<&str>) -> String {
    let cure = cure
        .map(|cure| format!(" {name} = {cure} serves all {point} at once."))
        .unwrap_or_default();
    format!(
        "This {name} depends on {point}, but uniform continuity needs one {name} for all {point}.{cure}"
    )
}

/// One N said to exist for all points, where each point has its own.
pub(crate) fn picked_for_all_points(name: &str, point: &str) -> String {
    format!(
        "One {name} for all {point} is picked here, but convergence at each {point} gives each {point} its own {name}. Compare: x^n \u{2192} 0 for every x in [0, 1), and no N makes x^n < 1/2 for all n \u{2265} N and all these x, for at n = N and x = (3/4)^(1/N) it is 3/4. Is the convergence known to be uniform?"
    )
}

/// One δ said to exist for all members of a sequence, where each has its own.
pub(crate) fn picked_for_all_members(name: &str, index: &str) -> String {
    format!(
        "One {name} for all {index} is picked here, but the continuity of each function gives each {index} its own {name}. Compare: x^n is continuous at 1 for every n, and no \u{3b4} makes |x^n \u{2212} 1| < 1/2 for all n and all x with |x \u{2212} 1| < \u{3b4}, for at x = 1 + \u{3b4}/2 it grows beyond all bounds with n. Fix {index} first, then choose {name} for this one function."
    )
}

/// One δ said to exist for all pairs of points, where each point has its own.
pub(crate) fn picked_for_all_pairs(name: &str, point: &str) -> String {
    format!(
        "One {name} for all {point} is picked here, but continuity gives each {point} its own {name}. Compare: for the square, s = 1/\u{3b4} + \u{3b4}/2 and t = 1/\u{3b4} are closer than \u{3b4}, and s\u{b2} \u{2212} t\u{b2} > 1. Is the function known to be uniformly continuous?"
    )
}

/// A threshold that serves one distance of two indices.
pub(crate) fn cauchy_depends(name: &str, apart: &str) -> String {
    format!(
        "This {name} depends on {apart}, but the Cauchy condition needs one {name} for all {apart} at once. Compare: log(n + p) \u{2212} log(n) < p/n becomes small for each p, and at p = n it is log(2)."
    )
}

/// A limit and an integral exchanged for convergence at each point alone.
pub(crate) fn exchange_pointwise() -> String {
    "Convergence at each point does not allow to exchange limit and integral. Compare: n\u{b2}\u{b7}x\u{b7}e^(\u{2212}n\u{b7}x) \u{2192} 0 for every x in [0, 1], and its integrals over [0, 1] tend to 1. Is the convergence uniform, or is there one bound for all n?".to_owned()
}

/// A limit and an integral exchanged over an unbounded interval.
pub(crate) fn exchange_endless() -> String {
    "Uniform convergence allows to exchange limit and integral on a bounded interval only. Compare: the function that is 1/n on [0, n] and 0 elsewhere tends to 0 uniformly, and its integral is 1 for every n. What bounds the integral far out?".to_owned()
}

/// The limit of a recursive sequence used before it is known to exist.
pub(crate) fn limit_not_shown_to_exist() -> String {
    "That the sequence has a limit is used here and was not shown: the equation tells what the limit is if there is one. Compare: a_1 = 2, a_(n+1) = 1 \u{2212} a_n gives L = 1/2, and the members are 2, \u{2212}1, 2, \u{2212}1, \u{2026} Is the sequence monotone and bounded, or do its members approach each other?".to_owned()
}

/// Which values of either sign a factor has.
pub(crate) fn sign_not_known(factor: &str, below: &Shown, above: &Shown) -> String {
    let value = |shown: &Shown| {
        let itself = matches!(shown.values.as_slice(), [(name, _)] if name == factor);
        let place = if itself { String::new() } else { place(shown) };
        format!("{place}{factor} = {}", shown.left)
    };
    format!(
        "An inequality may be multiplied or divided by {factor} only where the sign of {factor} is known. Here both signs are possible: {}, and {}. A negative factor turns the inequality round.",
        value(below),
        value(above)
    )
}

/// One bound from below for all points of a function without zeros.
pub(crate) fn picked_from_below(name: &str, point: &str) -> String {
    format!(
        "One {name} for all {point} is picked here, but a function without zeros may come as near to 0 as one likes. Compare: the identity on (0, 1] has no zero, and no {name} > 0 is below all its values. What keeps the function away from 0?"
    )
}

/// Neighbours compared where all pairs are meant.
pub(crate) fn only_neighbours() -> String {
    "Only neighbours are compared here; the Cauchy condition asks for |a_m \u{2212} a_n| < \u{3b5} for all m, n \u{2265} N. Compare: the sums 1 + 1/2 + \u{2026} + 1/n have neighbours only 1/(n + 1) apart, and from n to 2n they grow by at least 1/2.".to_owned()
}

pub(crate) fn witness_outside(name: &str, value: &str, domain: &str, numbers: &str) -> String {
    format!(
        "The points {name} = {value} do not lie in the domain, which asks for {domain} ({numbers}), so they show nothing about it."
    )
}

/// Whether the last line of a run gives back its first.
pub(crate) enum Return<'a> {
    /// It does.
    Holds,
    /// It does not, with the numbers.
    Fails(&'a str),
    /// Not decided.
    Open,
}

pub(crate) fn runs_to_threshold(aim: &Condition, drawn: &Condition, back: &Return<'_>) -> String {
    let (aim, drawn) = (show::condition(aim), show::condition(drawn));
    let start = format!("This starts from what is to be shown, {aim}, and draws {drawn} from it;");
    match back {
        Return::Holds => format!(
            "{start} a proof goes the other way. The way back holds here: write it from {drawn} to {aim}."
        ),
        Return::Fails(numbers) => format!(
            "{start} a proof needs the other way, and that does not hold: {numbers}. Choose first, then show {aim} from the choice."
        ),
        Return::Open => format!(
            "{start} a proof goes the other way. Whether the steps can be turned round was not decided."
        ),
    }
}

pub(crate) fn runs_to_truth(aim: &Condition) -> String {
    format!(
        "This starts from what is to be shown, {}, and ends with something true. It shows it only where every step can be turned round: write it from the last line to the first.",
        show::condition(aim)
    )
}

pub(crate) fn out_of_order(notion: argument::Notion, early: &str, late: &str) -> String {
    let (this, other) = match notion {
        argument::Notion::Cauchy => ("the Cauchy condition", "a weaker condition"),
        _ => ("uniformity", "only what holds point by point"),
    };
    format!(
        "The quantifiers stand in the wrong order for {this}: {late} comes after {early} here, so it may depend on {early}, and that is {other}. {late} has to come first, and then \u{201c}for all {early}\u{201d}."
    )
}

pub(crate) fn limit_comparison_of_signs() -> String {
    "The limit comparison test asks for terms of one sign. Compare: (−1)^k/√k + 1/k divided by (−1)^k/√k tends to 1, the series of the second converges, and that of the first diverges.".to_owned()
}

pub(crate) fn limit_of_a_composition() -> String {
    "The limits alone do not give this: where the inner function takes its limit as a value, the outer one may have another value there. Compare: inner function 0 everywhere, outer function 1 at 0 and 0 elsewhere; its limit at 0 is 0, and the composition is 1. With an outer function that is continuous there, or an inner one that differs from its limit nearby, it holds.".to_owned()
}

pub(crate) fn supremum_of_smaller_numbers() -> String {
    "A supremum of numbers each of which is below a bound need not be below it: it is at most the bound, and may equal it. Compare: n/(n + 1) < 1 for every n, and the supremum of these numbers is 1. It is below if it is one of the numbers, or if all of them are at most some smaller number.".to_owned()
}

pub(crate) fn lacks_compactness(lacking: argument::Lacking) -> String {
    use argument::Lacking;
    let (theorem, example) = match lacking {
        Lacking::Extreme => (
            "A continuous function need not take a least or greatest value on an interval that lacks an end.",
            "f(x) = x is continuous and positive on (0, 1], and has no least value there: its infimum is 0",
        ),
        Lacking::Bounded => (
            "A continuous function need not be bounded on an interval that lacks an end, however short the interval is.",
            "1/x is continuous on (0, 1] and takes the value n at x = 1/n",
        ),
        Lacking::Point => (
            "The limit of points of an interval need not lie in the interval if it lacks an end.",
            "1/k lies in (0, 1] for every k, and its limit 0 does not",
        ),
        Lacking::Dini => (
            "A monotone sequence of continuous functions need not converge uniformly on an interval that lacks an end.",
            "x^n decreases to 0 at each x in (0, 1), and its supremum there is 1 for every n",
        ),
    };
    format!("{theorem} Compare: {example}. On a closed and bounded interval it would hold.")
}

pub(crate) fn negation_keeps(name: &str, quantifier: argument::Quantifier) -> String {
    let (stands, belongs) = match quantifier {
        argument::Quantifier::ForAll => ("for all", "there is"),
        argument::Quantifier::Exists => ("there is", "for all"),
    };
    format!(
        "This is not the negation: of {name} it says \u{201c}{stands}\u{201d}, and every quantifier of a statement turns into the other one. With \u{201c}{belongs}\u{201d} {name} it would be."
    )
}

pub(crate) fn negation_reorders(first: &str, second: &str) -> String {
    format!(
        "This is not the negation: {second} comes before {first} here, so {first} may depend on {second}. The order of the names stays as it is: first {first}, then {second}."
    )
}

pub(crate) fn negation_of_supposition() -> String {
    "This is not the negation: \u{201c}if A then B\u{201d} fails where A holds and B does not, so A stays as it is and only B is denied.".to_owned()
}

pub(crate) fn negation_implies() -> String {
    "This is not the negation: \u{201c}if A then B\u{201d} fails where A holds and B does not, so \u{201c}and\u{201d} has to stand here, not \u{21d2}.".to_owned()
}

pub(crate) fn in_case(place: &str, why: &str) -> String {
    format!("In the case {place}: {why}")
}

pub(crate) fn at_place(place: &str, why: &str) -> String {
    format!("At {place}: {why}")
}

pub(crate) fn no_such_threshold(name: &str, term: &str, why: &str) -> String {
    format!("There need not be such {name}, for {term} would have to become small. {why}")
}

pub(crate) fn unbound(name: &str) -> String {
    format!(
        "{name} is used here, but nothing says what {name} is: it must be chosen first, from ε."
    )
}

pub(crate) fn conclusion_false(statement: &str, why: &str) -> String {
    format!("This conclusion is false: {statement}. {why}")
}

pub(crate) fn conclusion_not_reached(statement: &str) -> String {
    format!(
        "True, but not shown here: {statement}. The text gives no bound on the distance that tends to 0 and is free of x (majorant), and no threshold that serves everywhere at once."
    )
}

pub(crate) fn ambiguous(pattern: argument::Pattern, second_taken: bool) -> String {
    use argument::Pattern;
    let (usual, meant) = match pattern {
        Pattern::SlashProduct => ("1/(2n)", "(1/2)·n"),
        Pattern::FunctionSlash => ("(sin x)/2", "sin(x/2)"),
        Pattern::FunctionProduct => ("sin(x·y)", "(sin x)·y"),
        Pattern::FunctionPower => ("(ln(1 + x))²", "ln((1 + x)²)"),
        Pattern::NameParenthesis => ("a function applied", "a product"),
    };
    let taken = if second_taken { "second" } else { "first" };
    format!(
        "This spelling has two readings, like {usual} and {meant}. The {taken} was taken, under which more of the argument holds; parentheses would settle it."
    )
}
