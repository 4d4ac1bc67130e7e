//! Decimals with no more digits than matter.

use super::grammar;
use crate::expr::Expr;
use crate::numerics::{Assignment, Precision, enclose};
use crate::recheck::Counterexample;
use crate::verdict::SideValue;
use std::cmp::Ordering;

/// Digits below which a decimal says too little.
const FEWEST_DIGITS: usize = 3;
/// Digits that determine a double.
const MOST_DIGITS: usize = 17;

/// The decimal with the fewest significant digits in [low, high]; the middle to 17 digits if
/// there is none.
#[must_use]
pub fn decimal(low: f64, high: f64) -> String {
    let middle = low + (high - low) / 2.0;
    for digits in 1..=MOST_DIGITS {
        let text = significant(middle, digits);
        if text
            .parse::<f64>()
            .is_ok_and(|value| low <= value && value <= high)
        {
            return text;
        }
    }
    significant(middle, MOST_DIGITS)
}

/// Both sides of a counterexample in the grammar of its values: exact, `undefined`, or a decimal
/// after `≈ ` with as many digits as the violation needs to be seen.
#[must_use]
pub fn sides(counterexample: &Counterexample) -> (String, String) {
    let (left, right) = (counterexample.left(), counterexample.right());
    let (a, b) = (middle(left), middle(right));
    let ordering = match (a, b) {
        (Some(a), Some(b)) => a.partial_cmp(&b),
        _ => None,
    };
    let digits = (FEWEST_DIGITS..=MOST_DIGITS)
        .find(|digits| distinguishes(left, right, a, b, ordering, *digits))
        .unwrap_or(MOST_DIGITS);
    (shown(left, digits), shown(right, digits))
}

/// Whether the printed values compare as the true ones do.
fn distinguishes(
    left: &SideValue,
    right: &SideValue,
    a: Option<f64>,
    b: Option<f64>,
    ordering: Option<Ordering>,
    digits: usize,
) -> bool {
    let (Some(a), Some(b), Some(ordering)) = (a, b, ordering) else {
        return true;
    };
    let printed = |side: &SideValue, value: f64| match side {
        SideValue::Enclosed { .. } => significant(value, digits).parse().unwrap_or(value),
        _ => value,
    };
    if ordering == Ordering::Equal {
        return true;
    }
    printed(left, a).partial_cmp(&printed(right, b)) == Some(ordering)
}

fn middle(side: &SideValue) -> Option<f64> {
    let (low, high) = match side {
        SideValue::Exact(expr) => constant(expr),
        SideValue::Enclosed { low, high } => (*low, *high),
        SideValue::Undefined => return None,
    };
    let middle = low + (high - low) / 2.0;
    middle.is_finite().then_some(middle)
}

fn constant(expr: &Expr) -> (f64, f64) {
    enclose(expr, &Assignment::new(), Precision::Double).doubles()
}

fn shown(side: &SideValue, digits: usize) -> String {
    match side {
        SideValue::Exact(expr) => grammar(expr),
        SideValue::Undefined => "undefined".to_owned(),
        SideValue::Enclosed { low, high } => {
            format!("≈ {}", significant(low + (high - low) / 2.0, digits))
        }
    }
}

/// A double rounded to significant digits, trailing zeros dropped; with a power of ten outside
/// 10^−5 … 10^15.
fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    if !value.is_finite() {
        return (if value > 0.0 { "∞" } else { "-∞" }).to_owned();
    }
    let scientific = format!("{value:.*e}", digits.saturating_sub(1));
    let Some((mantissa, exponent)) = scientific.split_once('e') else {
        return scientific;
    };
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let (sign, mantissa) = match mantissa.strip_prefix('-') {
        Some(rest) => ("-", rest),
        None => ("", mantissa),
    };
    let figures: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    let figures = figures.trim_end_matches('0');
    let figures = if figures.is_empty() { "0" } else { figures };
    if !(-5..=15).contains(&exponent) {
        let (first, rest) = figures.split_at(1);
        let point = if rest.is_empty() { "" } else { "." };
        return format!("{sign}{first}{point}{rest}e{exponent}");
    }
    if exponent < 0 {
        let zeros = "0".repeat(usize::try_from(-exponent - 1).unwrap_or(0));
        return format!("{sign}0.{zeros}{figures}");
    }
    let whole = usize::try_from(exponent).unwrap_or(0) + 1;
    if figures.len() <= whole {
        let zeros = "0".repeat(whole - figures.len());
        return format!("{sign}{figures}{zeros}");
    }
    let (before, after) = figures.split_at(whole);
    format!("{sign}{before}.{after}")
}
