//! Every check that there is, in the order of the guide.

use crate::check::{Check, Severity};

macro_rules! checks {
    ($($constant:ident, $name:literal, $severity:ident, $summary:literal;)*) => {
        $(
            #[doc = $summary]
            pub static $constant: Check = Check {
                name: $name,
                summary: $summary,
                severity: Severity::$severity,
                page: include_str!(concat!("catalogue/", $name, ".md")),
            };
        )*
        /// All checks.
        pub static CHECKS: &[&Check] = &[$(&$constant),*];
    };
}

checks! {
    THRESHOLD_DEPENDS_ON_POINT, "threshold-depends-on-point", Error,
        "In a proof of uniform convergence the threshold is chosen from the point.";
    DELTA_DEPENDS_ON_POINT, "delta-depends-on-point", Error,
        "In a proof of uniform continuity δ is chosen from the point.";
    QUANTIFIERS_OUT_OF_ORDER, "quantifiers-out-of-order", Error,
        "A definition is spelled out with its quantifiers in the wrong order.";
    NEGATION_WRONG, "negation-wrong", Error,
        "What is called the negation of a statement with quantifiers is not its negation.";
    THRESHOLD_TOO_SMALL, "threshold-too-small", Error,
        "The chosen threshold does not give the inequality that it is chosen for.";
    NO_SUCH_THRESHOLD, "no-such-threshold", Error,
        "A threshold is taken from a limit that does not hold.";
    UNDEFINED_VALUE, "undefined-value", Error,
        "An expression is undefined for some of the values that the text allows.";
    BOUND_FAILS, "bound-fails", Error,
        "A bound without the point does not hold on the whole domain.";
    STEP_REVERSED, "step-reversed", Error,
        "A step is false, and true the other way round.";
    STEP_FAILS, "step-fails", Error,
        "A step is false.";
    DERIVATIVE_WRONG, "derivative-wrong", Error,
        "A derivative is not the one of its function.";
    CRITICAL_POINT_WRONG, "critical-point-wrong", Error,
        "A derivative does not vanish where it is said to, or also elsewhere.";
    SIGN_CHART_WRONG, "sign-chart-wrong", Error,
        "A derivative has another sign on a stretch than it is said to have.";
    EXTREMUM_WRONG, "extremum-wrong", Error,
        "A greatest or least value is not attained where it is said to be, or is another.";
    LIMIT_WRONG, "limit-wrong", Error,
        "A limit that is stated on the way is not the right one.";
    WITNESS_FAILS, "witness-fails", Error,
        "The points that shall show that a convergence is not uniform lie outside of the domain.";
    MAJORANT_NOT_SUMMABLE, "majorant-not-summable", Error,
        "The bounds of a series' terms are said to have a convergent sum, and have not.";
    CONCLUSION_FALSE, "conclusion-false", Error,
        "What the argument concludes is false.";
    ARGUMENT_RUNS_BACKWARDS, "argument-runs-backwards", Warning,
        "A proof starts from what is to be shown, and its steps cannot be turned round.";
    CONCLUSION_NOT_REACHED, "conclusion-not-reached", Warning,
        "What the argument concludes is true, but the text does not show it.";
    SIGN_NOT_KNOWN, "sign-not-known", Warning,
        "An inequality is multiplied or divided by something that may be negative.";
    SYMBOL_NOT_INTRODUCED, "symbol-not-introduced", Warning,
        "A threshold or another chosen quantity is used and never chosen.";
    STEP_NOT_STRICT, "step-not-strict", Information,
        "A step claims < where only ≤ holds.";
    HYPOTHESIS_MISSING, "hypothesis-missing", Information,
        "A claim is true only under a hypothesis that is not stated.";
    READING_AMBIGUOUS, "reading-ambiguous", Hint,
        "A spelling has two readings.";
    NOT_READ, "not-read", Hint,
        "A formula was not understood, and why.";
}

/// The check of that name.
#[must_use]
pub fn find(name: &str) -> Option<&'static Check> {
    CHECKS.iter().copied().find(|check| check.name == name)
}
