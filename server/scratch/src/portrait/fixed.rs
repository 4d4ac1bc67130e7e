//! Values for names that are neither index nor point: a picture can show only one of them.

use crate::seek::numeric::{admits, constant};
use crate::seek::{End, Family};
use kernel::{Condition, Expr, Symbol};

/// Values that are tried, the simplest first.
const VALUES: [(i64, i64); 7] = [(1, 1), (2, 1), (1, 2), (3, 1), (-1, 1), (1, 4), (10, 1)];

type Fixed = (Family, Option<Expr>, Vec<(Symbol, Expr)>);

/// The family and its limit at values that satisfy what restricts the names, and these values.
///
/// # Errors
/// Why there are none, in words.
pub(super) fn fix(family: &Family, limit: Option<&Expr>) -> Result<Fixed, &'static str> {
    let names = family.parameters();
    let relations =
        relations(&family.conditions).ok_or("what restricts its names is more than comparisons")?;
    let tries = match names.len() {
        0 => 1,
        1 => VALUES.len(),
        2 => VALUES.len() * VALUES.len(),
        _ => return Err("it depends on more than two other names"),
    };
    for number in 0..tries {
        let chosen = [number % VALUES.len(), number / VALUES.len()].map(|place| VALUES[place]);
        let exact: Vec<(Symbol, Expr)> = names
            .iter()
            .cloned()
            .zip(chosen.map(|(above, below)| Expr::ratio(above, below)))
            .collect();
        #[allow(clippy::cast_precision_loss)]
        let values = chosen.map(|(above, below)| above as f64 / below as f64);
        let serves = relations
            .iter()
            .all(|own| admits(own, &names, &values[..names.len()]));
        let at = |expr: &Expr| {
            exact.iter().fold(expr.clone(), |own, (name, value)| {
                own.substitute(name, value)
            })
        };
        let own = put(family, &at);
        if serves && is_wide(&own) {
            return Ok((own, limit.map(at), exact));
        }
    }
    Err(if names.is_empty() {
        "its domain is a point"
    } else {
        "no simple values were found for the other names in it"
    })
}

/// Conditions as single relations; `None` if one is anything else.
fn relations(conditions: &[Condition]) -> Option<Vec<&Condition>> {
    let mut all = Vec::new();
    for condition in conditions {
        match condition {
            Condition::Holds(..) => all.push(condition),
            Condition::And(items) => all.extend(relations(items)?),
            _ => return None,
        }
    }
    Some(all)
}

fn put(family: &Family, at: &dyn Fn(&Expr) -> Expr) -> Family {
    let end = |end: &Option<End>| {
        end.as_ref().map(|own| End {
            value: at(&own.value),
            closed: own.closed,
        })
    };
    let mut own = family.clone();
    own.term = at(&family.term);
    own.domain.low = end(&family.domain.low);
    own.domain.high = end(&family.domain.high);
    own.conditions = Vec::new();
    own
}

/// Whether the domain is more than a point, also for doubles.
fn is_wide(family: &Family) -> bool {
    let side = |end: &Option<End>, far: f64| match end {
        Some(own) => constant(family, &own.value),
        None => Some(far),
    };
    let low = side(&family.domain.low, f64::NEG_INFINITY);
    let high = side(&family.domain.high, f64::INFINITY);
    low.zip(high).is_some_and(|(low, high)| {
        let rounding = 1e-9 * low.abs().max(high.abs());
        low < high && !(rounding.is_finite() && high - low <= rounding)
    })
}
