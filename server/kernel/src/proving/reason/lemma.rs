//! The known inequalities in a teacher's words, with what is put in for their letters.

use super::terms::written;
use crate::expr::Expr;
use crate::recheck::Lemma;

/// What a known inequality says, or that of its claims which is enough, and for which values.
pub(super) fn words(lemma: Lemma, part: Option<usize>, arguments: &[Expr]) -> Option<String> {
    let (all, letters) = law(lemma)?;
    let law = part
        .and_then(|part| claims(lemma).get(part).copied())
        .unwrap_or(all);
    let put: Vec<String> = letters
        .iter()
        .zip(arguments)
        .filter(|(letter, value)| written(value) != **letter)
        .map(|(letter, value)| format!("{letter} = {}", written(value)))
        .collect();
    Some(if put.is_empty() {
        law.to_owned()
    } else {
        format!("{law}, with {}", put.join(", "))
    })
}

/// The claims of a lemma one by one, if it has several, in the order of its row.
fn claims(lemma: Lemma) -> &'static [&'static str] {
    match lemma {
        Lemma::ExpSecond => &["eᵗ ≥ 1 + t + t²/2 for t ≥ 0", "eᵗ ≥ 1 for t ≥ 0"],
        Lemma::LogTangent => &["log t ≤ t − 1 for t > 0", "t·log t ≥ t − 1 for t > 0"],
        Lemma::LogStrict => &[
            "log t < t − 1 for t > 0, t ≠ 1",
            "t·log t > t − 1 for t > 0, t ≠ 1",
        ],
        Lemma::LogSeries => &[
            "log(1 + t) ≥ t − t²/2 for t ≥ 0",
            "log(1 + t) ≤ t − t²/2 + t³/3 for t ≥ 0",
        ],
        Lemma::CircleBound => &["sin t ≤ 1", "sin t ≥ −1", "cos t ≤ 1", "cos t ≥ −1"],
        Lemma::SineLinear => &["sin t ≤ t for t ≥ 0", "sin t ≥ −t for t ≥ 0"],
        Lemma::SineStrict => &[
            "sin t < t for t > 0",
            "sin t > −t for t > 0",
            "sin t > t − t³/6 for t > 0",
            "cos t > 1 − t²/2 for t > 0",
        ],
        Lemma::Lipschitz => &[
            "sin s − sin t ≤ s − t for s ≥ t, since the slope is at most 1",
            "sin t − sin s ≤ s − t for s ≥ t, since the slope is at least −1",
            "cos s − cos t ≤ s − t for s ≥ t, since the slope is at most 1",
            "cos t − cos s ≤ s − t for s ≥ t, since the slope is at least −1",
            "arctan s − arctan t ≤ s − t for s ≥ t, since the slope is at most 1",
            "arctan t − arctan s ≤ s − t for s ≥ t, since the slope is at least −1",
        ],
        Lemma::AngleSum => &[
            "sin(s + t) = sin s·cos t + cos s·sin t",
            "cos(s + t) = cos s·cos t − sin s·sin t",
        ],
        Lemma::AngleTriple => &["sin 3t = 3 sin t − 4 sin³ t", "cos 3t = 4 cos³ t − 3 cos t"],
        Lemma::AngleFourfold => &[
            "sin 4t = 4 sin t·cos t·(1 − 2 sin² t)",
            "cos 4t = 8 cos⁴ t − 8 cos² t + 1",
        ],
        Lemma::AtanBetween => &[
            "arctan s − arctan t ≤ (s − t)/(1 + t²) for s ≥ t ≥ 0",
            "arctan s − arctan t ≥ (s − t)/(1 + s²) for s ≥ t ≥ 0",
        ],
        Lemma::AtanBound => &["arctan t < π/2", "arctan t > −π/2"],
        Lemma::AtanLinear => &[
            "arctan t ≥ 0 for t ≥ 0",
            "arctan t ≤ t for t ≥ 0",
            "arctan t ≥ t/(1 + t²) for t ≥ 0",
            "t·(π/2 − arctan t) ≤ 1 for t ≥ 0",
        ],
        Lemma::AtanStrict => &[
            "arctan t > 0 for t > 0",
            "arctan t < t for t > 0",
            "arctan t > t/(1 + t²) for t > 0",
            "t·(π/2 − arctan t) < 1 for t > 0",
        ],
        Lemma::PowerSmall => &[
            "bᵏ ≥ 0 for b ≥ 0",
            "bᵏ ≤ 1 for 0 ≤ b ≤ 1",
            "bᵏ ≤ b for 0 ≤ b ≤ 1, k ≥ 1",
            "bᵏ·(1 + k(1 − b)) ≤ 1 for 0 ≤ b ≤ 1 (Bernoulli's inequality for 1/b)",
        ],
        Lemma::Binomial => &[
            "the binomial expansion has no negative terms: bᵏ ≥ 1 + k·h + k(k − 1)/2·h² with \
             h = b − 1 ≥ 0",
            "bᵏ ≥ b for b ≥ 1, k ≥ 1",
        ],
        Lemma::PowerBetween => &["bᵏ ≥ −1 for |b| ≤ 1", "bᵏ ≤ 1 for |b| ≤ 1"],
        Lemma::PowerExp => &[
            "bᵏ ≤ e^(k(b − 1)) for b ≥ 1, since log b ≤ b − 1",
            "bᵏ ≥ e^(k(b − 1)/b) for b ≥ 1, since log b ≥ 1 − 1/b",
        ],
        Lemma::FactorialMean => &[
            "k! ≤ ((k + 1)/2)ᵏ, the mean of the factors",
            "(k!)² ≥ kᵏ, since j·(k + 1 − j) ≥ k",
        ],
        Lemma::FactorialGrowth => &["k! ≥ k for k ≥ 1", "k! ≥ 2ᵏ⁻¹ for k ≥ 1", "k! ≥ 1"],
        Lemma::FloorBound => &["⌊t⌋ ≤ t", "t < ⌊t⌋ + 1"],
        Lemma::CeilBound => &["t ≤ ⌈t⌉", "⌈t⌉ < t + 1"],
        _ => &[],
    }
}

/// The statement of a lemma and the letters that stand for its arguments.
fn law(lemma: Lemma) -> Option<(&'static str, &'static [&'static str])> {
    let t: &[&str] = &["t"];
    let pair: &[&str] = &["s", "t"];
    Some(match lemma {
        Lemma::ExpTangent => ("eᵗ ≥ 1 + t", t),
        Lemma::ExpStrict => ("eᵗ > 1 + t for t ≠ 0", t),
        Lemma::LogStrict => ("log t < t − 1 and t·log t > t − 1 for t > 0, t ≠ 1", t),
        Lemma::SineStrict => (
            "|sin t| < t, sin t > t − t³/6 and cos t > 1 − t²/2 for t > 0",
            t,
        ),
        Lemma::AtanStrict => (
            "t/(1 + t²) < arctan t < t and π/2 − arctan t < 1/t for t > 0",
            t,
        ),
        Lemma::AngleSum => (
            "sin(s + t) = sin s·cos t + cos s·sin t, cos(s + t) = cos s·cos t − sin s·sin t",
            pair,
        ),
        Lemma::SineMultiple => ("|sin(k·t)| ≤ k·|sin t| for an integer k ≥ 0", &["k", "t"]),
        Lemma::ExpThroughOrigin => ("eᵗ ≥ e·t (the tangent at t = 1)", t),
        Lemma::ExpReciprocal => ("(1 − t)·eᵗ ≤ 1", t),
        Lemma::LogTangent => ("log t ≤ t − 1 and t·log t ≥ t − 1 for t > 0", t),
        Lemma::LogLower => ("log(1 + t) ≥ 2t/(2 + t) for t ≥ 0", t),
        Lemma::LogSeries => ("t − t²/2 ≤ log(1 + t) ≤ t − t²/2 + t³/3 for t ≥ 0", t),
        Lemma::LogMinimum => ("t·log t ≥ −1/e for t > 0", t),
        Lemma::LogMonotone => ("the logarithm increases: log s ≤ log t for 0 < s ≤ t", pair),
        Lemma::LogOrder | Lemma::LogStrictOrder => (
            "of two positive numbers the one with the larger logarithm is larger",
            &[],
        ),
        Lemma::CircleBound => ("|sin t| ≤ 1 and |cos t| ≤ 1", t),
        Lemma::SineLinear => ("|sin t| ≤ |t|", t),
        Lemma::SineCubic => ("sin t ≥ t − t³/6 for t ≥ 0", t),
        Lemma::CosineSquare => ("cos t ≥ 1 − t²/2", t),
        Lemma::CosineFourth => ("cos t ≤ 1 − t²/2 + t⁴/24", t),
        Lemma::SinePositive => ("sin t > 0 for 0 < t < π", t),
        Lemma::CosinePositive => ("cos t > 0 for −π/2 < t < π/2", t),
        Lemma::SineSign => ("sin t ≥ 0 for 0 ≤ t ≤ π", t),
        Lemma::CosineSign => ("cos t ≥ 0 for −π/2 ≤ t ≤ π/2", t),
        Lemma::SineMonotone => ("the sine increases from −π/2 to π/2: sin s ≤ sin t", pair),
        Lemma::CosineMonotone => ("the cosine decreases from 0 to π: cos s ≥ cos t", pair),
        Lemma::Lipschitz => (
            "|f(s) − f(t)| ≤ |s − t| for f = sin, cos, arctan, whose slopes lie between −1 and 1",
            pair,
        ),
        Lemma::AtanBound => ("|arctan t| < π/2", t),
        Lemma::AtanLinear => ("t/(1 + t²) ≤ arctan t ≤ t for t ≥ 0", t),
        Lemma::AtanMonotone => ("the arctangent increases: arctan s ≥ arctan t", pair),
        Lemma::AtanReciprocal => ("arctan t + arctan(1/t) = π/2 for t > 0", t),
        Lemma::AtanCubic => ("arctan t ≥ t − t³/3 for t ≥ 0", t),
        Lemma::TanLinear => ("tan t ≥ t for 0 ≤ t < π/2", t),
        Lemma::TanStrict => ("tan t > t for 0 < t < π/2", t),
        Lemma::LogStrictMonotone => ("the logarithm increases: log s < log t for 0 < s < t", pair),
        Lemma::ExpSecond => ("eᵗ ≥ 1 + t + t²/2 for t ≥ 0", t),
        Lemma::ExpThird => ("eᵗ ≥ 1 + t + t²/2 + t³/6", t),
        Lemma::ExpBelowOne => ("eᵗ ≤ 1 for t ≤ 0", t),
        Lemma::ExpUpper => ("eᵗ ≤ 1 + t + t² for t ≤ 1", t),
        Lemma::ExpMonotone => (
            "the exponential function increases: eˢ ≤ eᵗ for s ≤ t",
            pair,
        ),
        Lemma::ExpNear => (
            "eˢ − eᵗ ≤ 2eᵗ·(s − t) for t ≤ s ≤ t + 1, since eʰ ≤ 1 + 2h for 0 ≤ h ≤ 1",
            pair,
        ),
        Lemma::AngleTriple => (
            "sin 3t = 3 sin t − 4 sin³ t, cos 3t = 4 cos³ t − 3 cos t",
            t,
        ),
        Lemma::AngleFourfold => (
            "sin 4t = 4 sin t·cos t·(1 − 2 sin² t), cos 4t = 8 cos⁴ t − 8 cos² t + 1",
            t,
        ),
        Lemma::CosineMultiple => (
            "1 − cos(k·t) ≤ k²·(1 − cos t) for an integer k, since |sin(k·t/2)| ≤ |k·sin(t/2)|",
            &["k", "t"],
        ),
        Lemma::AtanOrder => ("arctan s ≥ arctan t only for s ≥ t", pair),
        Lemma::AtanDifference => (
            "(1 + s·t)·(arctan s − arctan t) ≤ s − t for s ≥ t, by the tangent of the difference",
            pair,
        ),
        Lemma::AtanBetween => (
            "(s − t)/(1 + s²) ≤ arctan s − arctan t ≤ (s − t)/(1 + t²) for s ≥ t ≥ 0",
            pair,
        ),
        Lemma::SineChord => ("sin t ≥ 2t/π for 0 ≤ t ≤ π/2, the chord below the sine", t),
        Lemma::LogTrapezoid => (
            "log(1 + t) ≤ t·(2 + t)/(2(1 + t)) for t ≥ 0, the area below the chord of 1/s",
            t,
        ),
        Lemma::PowerHump => (
            "k·bᵏ·(1 − b) ≤ 1/e for 0 ≤ b ≤ 1, the greatest value at b = k/(k + 1)",
            &["b", "k"],
        ),
        _ => return of_powers(lemma),
    })
}

/// The same for powers, roots, factorials and what is rounded or chosen.
fn of_powers(lemma: Lemma) -> Option<(&'static str, &'static [&'static str])> {
    let t: &[&str] = &["t"];
    let pair: &[&str] = &["s", "t"];
    let power: &[&str] = &["b", "k"];
    Some(match lemma {
        Lemma::BernoulliStrict => (
            "Bernoulli's inequality is strict: bᵏ > 1 + k(b − 1) for b ≥ 0, b ≠ 1, k ≥ 2",
            power,
        ),
        Lemma::WholeExponentFalls => (
            "bʲ ≥ bᵏ for 0 ≤ b ≤ 1 and integers 0 ≤ j ≤ k",
            &["b", "j", "k"],
        ),
        Lemma::RootStrictOrder => ("a k-th root is below u if the number is below uᵏ", &["u"]),
        Lemma::FactorialBelowPower => ("k! ≤ kᵏ⁻¹ for k ≥ 1", &["k"]),
        Lemma::FactorialBelowHalf => ("k! ≤ 2kᵏ⁻² for k ≥ 2", &["k"]),
        Lemma::PowerSign => ("bᵏ ≥ 0 for b ≥ 0", power),
        Lemma::PowerSmall => (
            "0 ≤ bᵏ ≤ b ≤ 1 and bᵏ·(1 + k(1 − b)) ≤ 1 for 0 ≤ b ≤ 1, k ≥ 1",
            power,
        ),
        Lemma::PowerSmaller => (
            "bᵏ·(b + k(1 − b)) ≤ b for 0 ≤ b ≤ 1, k ≥ 1 (Bernoulli's inequality for 1/b)",
            power,
        ),
        Lemma::PowerChord => (
            "bᵗ is convex in t and lies below its chord from 0 to k: bʲ ≤ 1 − j/k + (j/k)·bᵏ",
            &["b", "j", "k"],
        ),
        Lemma::PowerMean => (
            "tᵏ is convex for t ≥ 0: ((a + b)/2)ᵏ ≤ (aᵏ + bᵏ)/2",
            &["a", "b", "k"],
        ),
        Lemma::Bernoulli => (
            "Bernoulli's inequality bᵏ ≥ 1 + k(b − 1) for b ≥ −1, k ≥ 1",
            power,
        ),
        Lemma::Binomial => (
            "the binomial expansion has no negative terms: bᵏ ≥ 1 + k·h + k(k − 1)/2·h² with \
             h = b − 1 ≥ 0",
            power,
        ),
        Lemma::BinomialThird => (
            "the binomial expansion has no negative terms: bᵏ ≥ 1 + k·h + k(k − 1)/2·h² + \
             k(k − 1)(k − 2)/6·h³ with h = b − 1 ≥ 0",
            power,
        ),
        Lemma::PowerMonotone => ("powers increase: aᵏ ≤ bᵏ for 0 ≤ a ≤ b", &["a", "b", "k"]),
        Lemma::PowerDifference => ("bᵏ − aᵏ ≤ k(b − a) for 0 ≤ a ≤ b ≤ 1", &["a", "b", "k"]),
        Lemma::BernoulliReal => (
            "Bernoulli's inequality bᵏ ≥ 1 + k(b − 1) for b > 0 and real k ≥ 1",
            power,
        ),
        Lemma::BernoulliFalling => (
            "Bernoulli's inequality bᵏ ≥ 1 + k(b − 1) for b > 0 and real k ≤ 0",
            power,
        ),
        Lemma::PowerLipschitz => (
            "|sᵏ − tᵏ| ≤ k·cᵏ⁻¹·|s − t| where |s| and |t| are at most c",
            &["s", "t", "c", "k"],
        ),
        Lemma::ExponentMonotone => ("bʲ ≤ bᵏ for b ≥ 1, j ≤ k", &["b", "j", "k"]),
        Lemma::ExponentFalls => ("bʲ ≥ bᵏ for 0 < b ≤ 1, j ≤ k", &["b", "j", "k"]),
        Lemma::PowerBetween => ("|bᵏ| ≤ 1 for |b| ≤ 1, k ≥ 0", power),
        Lemma::PowerExp => ("e^(k(b − 1)/b) ≤ bᵏ ≤ e^(k(b − 1)) for b ≥ 1, k ≥ 0", power),
        Lemma::PowerExpLower => ("bᵏ ≥ e^(k·h)·(1 − k·h²) with h = b − 1, |h| ≤ 1", power),
        Lemma::PowerBelowExp => ("bᵏ ≤ e^(k(b − 1)) for b > 0, since log b ≤ b − 1", power),
        Lemma::WholePowerBelowExp => ("bᵏ ≤ e^(k(b − 1)) for b ≥ 0, since b ≤ e^(b − 1)", power),
        Lemma::PowerExpNear => (
            "bᵏ ≥ e^(k·h)·(1 − k·h²/2) with h = b − 1 ≥ 0, since log b ≥ h − h²/2",
            power,
        ),
        Lemma::PowerStep => ("bᵏ = b·bᵏ⁻¹", power),
        Lemma::RootPower => (
            "the k-th power of a k-th root is the number itself",
            &["c", "k"],
        ),
        Lemma::RootOrder => (
            "a k-th root is at most u if the number is at most uᵏ",
            &["u"],
        ),
        Lemma::ExpSum => ("eˢ⁺ᵗ = eˢ·eᵗ", &["s", "t"]),
        Lemma::RootAbove => (
            "a k-th root is at least u ≥ 0 if the number is at least uᵏ",
            &["u"],
        ),
        Lemma::FactorialGrowth => ("k! ≥ 2ᵏ⁻¹ and k! ≥ k for k ≥ 1", &["k"]),
        Lemma::FactorialStep => ("k! = k·(k − 1)!", &["k"]),
        Lemma::AbsoluteValue => ("|t| ≥ t and |t| ≥ −t", t),
        Lemma::FloorBound => ("⌊t⌋ ≤ t < ⌊t⌋ + 1", t),
        Lemma::CeilBound => ("t ≤ ⌈t⌉ < t + 1", t),
        Lemma::MinBelow => ("a minimum is at most each of its members", &[]),
        Lemma::MaxAbove => ("a maximum is at least each of its members", &[]),
        Lemma::MaxMinSum => ("max{s, t} + min{s, t} = s + t", pair),
        Lemma::RootMonotone => ("roots increase: ᵏ√s ≥ ᵏ√t for s ≥ t ≥ 0", &["s", "t", "k"]),
        Lemma::PowerWhole => ("a power of a positive integer is an integer ≥ 1", &[]),
        _ => return of_series(lemma),
    })
}

/// The same for partial sums and factorials.
fn of_series(lemma: Lemma) -> Option<(&'static str, &'static [&'static str])> {
    Some(match lemma {
        Lemma::ExpPartial => (
            "the series of eᵗ has no negative terms for t ≥ 0: Σ tʲ/j! up to j = k is at most eᵗ",
            &["t", "k"],
        ),
        Lemma::ExpRemainder => (
            "the terms of the series of eᵗ after the k-th sum up to at most \
             (k + 2)/(k + 2 − t)·tᵏ⁺¹/(k + 1)! for 0 ≤ t < k + 2, as their quotients are at most \
             t/(k + 2)",
            &["t", "k"],
        ),
        Lemma::BinomialSum => ("the binomial theorem", &[]),
        Lemma::BinomialMean => ("the mean Σ j·C(k, j)·tʲ(1 − t)ᵏ⁻ʲ = k·t", &["t", "c", "k"]),
        Lemma::BinomialVariance => (
            "the variance Σ (j − k·t)²·C(k, j)·tʲ(1 − t)ᵏ⁻ʲ = k·t(1 − t)",
            &["t", "c", "k"],
        ),
        Lemma::ExpTaylor => (
            "Taylor: |eᵗ − Σ tʲ/j!| ≤ |t|ᵏ⁺¹/(k + 1)!·e^max{t, 0}, the sum up to j = k",
            &["t", "k"],
        ),
        Lemma::SineTaylor => (
            "Taylor: |sin t − Σ (−1)ʲ·t²ʲ⁺¹/(2j + 1)!| ≤ |t|²ᵏ⁺³/(2k + 3)!, the sum up to j = k",
            &["t", "k"],
        ),
        Lemma::CosineTaylor => (
            "Taylor: |cos t − Σ (−1)ʲ·t²ʲ/(2j)!| ≤ |t|²ᵏ⁺²/(2k + 2)!, the sum up to j = k",
            &["t", "k"],
        ),
        Lemma::LogTaylor => (
            "|log(1 + t) − Σ (−1)ʲ⁺¹·tʲ/j| ≤ tᵏ⁺¹/(k + 1) for t ≥ 0, the sum up to j = k",
            &["t", "k"],
        ),
        Lemma::AtanTaylor => (
            "|arctan t − Σ (−1)ʲ·t²ʲ⁺¹/(2j + 1)| ≤ |t|²ᵏ⁺³/(2k + 3), the sum up to j = k",
            &["t", "k"],
        ),
        Lemma::LogPartial => (
            "the series of −log(1 − t) has no negative terms for 0 ≤ t < 1: Σ tʲ/j up to j = k is \
             at most −log(1 − t)",
            &["t", "k"],
        ),
        Lemma::LogRemainder => (
            "the terms of the series of −log(1 − t) after the k-th sum up to at most \
             tᵏ⁺¹/((k + 1)(1 − t)) for 0 ≤ t < 1",
            &["t", "k"],
        ),
        Lemma::BinomialPartial => (
            "(1 + t/k)ᵏ ≤ Σ tʲ/j! up to j = k for t ≥ 0, since k(k − 1)…(k − j + 1) ≤ kʲ",
            &["t", "k"],
        ),
        Lemma::FactorialExp => ("tᵏ/k! ≤ eᵗ for t ≥ 0, a term of the series", &["t", "k"]),
        Lemma::FactorialMean => ("k! ≤ ((k + 1)/2)ᵏ and (k!)² ≥ kᵏ", &["k"]),
        _ => return None,
    })
}
