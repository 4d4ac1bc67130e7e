//! Named functions at their arguments, with and without brackets.

use super::value::{is_minus_one, power};
use super::{Elaborator, Failure};
use crate::notation::convention::Pattern;
use crate::notation::syntax::{Term, TermKind};
use kernel::{Expr, Function};

impl Elaborator<'_> {
    pub(super) fn call(&self, term: &Term) -> Result<Expr, Failure> {
        let TermKind::Call {
            function,
            base,
            power,
            argument,
            delimited,
        } = &term.kind
        else {
            return Err(Failure::at(term, "this function is not read"));
        };
        let head = Head {
            function: *function,
            base: base.as_deref().map(|base| self.value(base)).transpose()?,
            power: power.as_deref(),
        };
        if *delimited {
            let inner = self.value(argument)?;
            return self.call_at(&head, &inner, term);
        }
        self.loose_call(&head, argument, term)
    }

    /// A function whose argument no bracket delimits.
    fn loose_call(&self, head: &Head<'_>, argument: &Term, term: &Term) -> Result<Expr, Failure> {
        match &argument.kind {
            TermKind::Slash {
                numerator,
                denominator,
                trailing,
            } => {
                if self.convention.takes_second(Pattern::FunctionSlash) {
                    let inner = self.value(argument)?;
                    return self.call_at(head, &inner, term);
                }
                let top = self.loose_call(head, numerator, term)?;
                let mut items = vec![denominator.as_ref().clone()];
                items.extend(trailing.iter().cloned());
                let mut factors = self.factors(&items)?;
                if factors.len() > 1 && self.convention.takes_second(Pattern::SlashProduct) {
                    let first = factors.remove(0);
                    factors.insert(0, top.over(&first));
                    return Ok(Expr::product_of(factors));
                }
                Ok(top.over(&Expr::product_of(factors)))
            }
            TermKind::Juxtaposed(items)
                if self.convention.takes_second(Pattern::FunctionProduct)
                    && super::patterns::is_loose_product(head.function, items) =>
            {
                let factors = self.factors(items)?;
                let own = factors
                    .iter()
                    .position(|factor| factor.as_number().is_none())
                    .unwrap_or(0);
                let inner = Expr::product_of(factors[..=own].to_vec());
                let mut all = vec![self.call_at(head, &inner, term)?];
                all.extend(factors[own + 1..].iter().cloned());
                Ok(Expr::product_of(all))
            }
            TermKind::Negative(inner) if matches!(inner.kind, TermKind::Slash { .. }) => {
                if self.convention.takes_second(Pattern::FunctionSlash) {
                    let inner = self.value(argument)?;
                    return self.call_at(head, &inner, term);
                }
                Err(Failure::at(
                    term,
                    "where does the argument of this function end? Put parentheses",
                ))
            }
            _ => {
                let inner = self.value(argument)?;
                self.call_at(head, &inner, term)
            }
        }
    }

    /// The function at a value, with its base and power.
    pub(super) fn call_at(
        &self,
        head: &Head<'_>,
        inner: &Expr,
        term: &Term,
    ) -> Result<Expr, Failure> {
        let mut value = inner.call(head.function);
        if let Some(base) = &head.base {
            value = value.over(&base.call(Function::Log));
        }
        let Some(exponent) = head.power else {
            return Ok(value);
        };
        if is_minus_one(exponent) {
            let inverse = match head.function {
                Function::Sin => Function::Asin,
                Function::Cos => Function::Acos,
                Function::Tan => Function::Atan,
                _ => {
                    return Err(Failure::at(
                        term,
                        "is this the inverse function or the reciprocal?",
                    ));
                }
            };
            return Ok(inner.call(inverse));
        }
        Ok(power(&value, &self.value(exponent)?))
    }
}

/// A function with what stands between it and its argument.
pub(super) struct Head<'t> {
    pub(super) function: Function,
    pub(super) base: Option<Expr>,
    pub(super) power: Option<&'t Term>,
}
