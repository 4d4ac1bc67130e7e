//! That a limit exists or not, in words: "diverges", "does not converge", "has no limit".

use super::assertion::{Said, motion};
use super::entry::{Context, Reader};
use super::lexicon::{Family, Lost};
use super::outline::{Assertion, LimitValue, Toward};
use super::utterance::{Group, Mode, Utterance};
use crate::notation::elaborate::{self, LimitParts};
use crate::notation::syntax::{Operator, StatementKind};

impl Reader<'_> {
    /// "diverges", "does not converge", "has no limit": that there is no limit, or that there is
    /// one which is not told.
    pub(super) fn existence(
        &self,
        context: &Context<'_>,
        group: &Group,
        members: &[(usize, &Utterance)],
        family: Option<&Family>,
        uniform: bool,
    ) -> Result<Option<Said>, Lost> {
        let diverges = group.diverges.is_some();
        if uniform {
            return match diverges {
                true => Err(Lost::because(
                    "it does not tell what this says of a uniform limit",
                    Vec::new(),
                )),
                false => Ok(None),
            };
        }
        let negated = diverges != group.negated;
        let said = |term, variable, toward, conditions| {
            Ok(Some(Said::of(Assertion::Limit {
                term,
                variable,
                toward,
                value: LimitValue::Exists,
                conditions,
                negated,
            })))
        };
        if let Some(parts) = self.limit_member(context, members) {
            let parts = parts?;
            return match (parts.body, parts.variable) {
                (Some(term), Some(variable)) => said(
                    term,
                    variable,
                    parts.toward.unwrap_or(Toward::Infinity),
                    parts.conditions,
                ),
                _ => Err(Lost::because(
                    "it does not tell what moves in the limit",
                    Vec::new(),
                )),
            };
        }
        let Some(family) = family else {
            return Ok(None);
        };
        let own_limit = self
            .lexicon
            .family
            .as_ref()
            .is_some_and(|own| own.name == family.name && self.lexicon.limit.is_some());
        if !negated && own_limit && !diverges {
            return Ok(None);
        }
        let mut conditions = Vec::new();
        if !family.points.is_empty() {
            let reach = members
                .first()
                .map_or(usize::MAX, |(_, utterance)| utterance.reach);
            let stated = super::assertion::stated_domain(self, context, reach, &family.points)?;
            let Some(stated) = stated else {
                return match diverges {
                    true => Err(Lost::because(
                        "it does not tell for which points it diverges",
                        family.points.clone(),
                    )),
                    false => Ok(None),
                };
            };
            conditions = stated;
        }
        said(
            family.term.clone(),
            family.index.clone(),
            Toward::Infinity,
            conditions,
        )
    }

    /// The limit that a clause speaks of: `\lim_{x→c} f(x)`, or "sin(1/x) … as x → 0".
    fn limit_member(
        &self,
        context: &Context<'_>,
        members: &[(usize, &Utterance)],
    ) -> Option<Result<LimitParts, Lost>> {
        members.iter().find_map(|(_, utterance)| {
            let StatementKind::Term(term) = &context.statement(utterance)?.kind else {
                return None;
            };
            let (vocabulary, convention) = (&self.lexicon.vocabulary, &self.lexicon.convention);
            if let Some(parts) = elaborate::limit_parts(term, vocabulary, convention) {
                return Some(match parts {
                    Ok(parts) if parts.operator == Operator::Limit => Ok(parts),
                    Ok(_) => Err(Lost::because(
                        "limits superior and inferior are not decided",
                        elaborate::names(term),
                    )),
                    Err(unreadable) => Err(unreadable.into()),
                });
            }
            context.in_mode(Mode::Motion).next()?;
            let body = self.lexicon.term(term).ok()?;
            let (variable, toward) = motion(self, context, &body).ok()?;
            body.mentions(&variable).then_some(Ok(LimitParts {
                operator: Operator::Limit,
                variable: Some(variable),
                toward: Some(toward),
                conditions: Vec::new(),
                body: Some(body),
            }))
        })
    }
}
