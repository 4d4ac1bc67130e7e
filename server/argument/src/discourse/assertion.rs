//! What links and clauses assert: relations, limits, suprema, convergence, implications.

use super::entry::{Context, Operand, Reader};
use super::lexicon::{Family, Lexicon, Lost};
use super::names::Use;
use super::outline::{Assertion, Content, ErrorTerm, LimitValue, Toward, Zone};
use super::shape;
use super::supremum::{extremum, points_of, supremum_vanishes};
use super::utterance::{Group, Mode, Utterance};
use crate::notation::elaborate::{self, symbol};
use crate::notation::syntax::{Name, Operator, Sign, Statement, Term, TermKind};
use kernel::{Condition, Expr, Relation, Symbol};

/// What a link says, or why it was not understood.
pub(super) type Meaning = Result<Said, Lost>;

/// What a link says.
#[derive(Clone, Debug)]
pub(super) enum Said {
    /// Something true or false.
    Assertion(Box<Assertion>),
    /// Nothing that could be decided (≈).
    Nothing,
}

impl Said {
    pub(super) fn of(assertion: Assertion) -> Self {
        Self::Assertion(Box::new(assertion))
    }
}

impl Lost {
    /// A reason without names found out.
    pub(super) fn because(reason: &str, names: Vec<Symbol>) -> Self {
        Self {
            reason: reason.to_owned(),
            names,
        }
    }

    /// As an entry's content.
    pub(super) fn content(self) -> Content {
        Content::Unread {
            reason: self.reason,
            names: self.names,
        }
    }
}

/// Reads `left sign right`.
pub(super) fn link(
    reader: &mut Reader<'_>,
    context: &Context<'_>,
    utterance: &Utterance,
    left: &Operand,
    sign: Sign,
    right: &Operand,
) -> Meaning {
    match sign {
        Sign::Relation(relation) => {
            super::series::bounded(reader, context, utterance, left, relation, right)
                .unwrap_or_else(|| related(&reader.lexicon, left, relation, right))
        }
        Sign::Defines => related(&reader.lexicon, left, Relation::Equal, right),
        Sign::TendsTo | Sign::TendsDownTo | Sign::TendsUpTo => {
            tends(reader, context, utterance, left, right, false)
        }
        Sign::TendsUniformlyTo => tends(reader, context, utterance, left, right, true),
        Sign::In => {
            let conditions = reader.lexicon.members(&left.term, &right.term)?;
            Ok(Said::of(Assertion::All(conditions)))
        }
        Sign::About => Ok(Said::Nothing),
        Sign::NotIn | Sign::Subset => Err(Lost::because(
            "statements about sets are not decided",
            elaborate::names(&left.term),
        )),
    }
}

fn related(lexicon: &Lexicon, left: &Operand, relation: Relation, right: &Operand) -> Meaning {
    if let Some(found) = extremum(lexicon, left, relation, right) {
        return found;
    }
    if let Some(found) = extremum(lexicon, right, relation.flipped(), left) {
        return found;
    }
    if let Some(found) = limit(lexicon, left, relation, right)
        .or_else(|| limit(lexicon, right, relation.flipped(), left))
    {
        return found;
    }
    // "h_n ≥ 0", "|f_n − f| ≤ 1/n" of functions: at every point.
    if left.value.is_err() || right.value.is_err() {
        let (whole_left, whole_right) = (
            lexicon.pointwise(&left.term),
            lexicon.pointwise(&right.term),
        );
        if let (Ok(left), Ok(right)) = (whole_left, whole_right) {
            return Ok(Said::of(Assertion::Relation {
                left,
                relation,
                right,
            }));
        }
    }
    // "x, y ≥ 1/16": of each of them.
    let lists = [left, right]
        .iter()
        .any(|side| matches!(side.term.kind, TermKind::List(_)));
    if lists {
        let conditions = lexicon.compared(&left.term, relation, &right.term)?;
        return Ok(Said::of(Assertion::All(conditions)));
    }
    // "f = 0" of functions: at every point.
    if let (Some(name), true) = (shape::bare_name(&left.term), left.value.is_err())
        && let Some(definition) = lexicon.definition(&symbol(name), 0)
    {
        let points = definition.parameters.clone();
        let value = lexicon.limit_of(&right.term, &points)?;
        return Ok(Said::of(Assertion::Relation {
            left: definition.value.clone(),
            relation,
            right: value,
        }));
    }
    Ok(Said::of(Assertion::Relation {
        left: left.value.clone()?,
        relation,
        right: right.value.clone()?,
    }))
}

/// `lim … = value`
fn limit(
    lexicon: &Lexicon,
    left: &Operand,
    relation: Relation,
    right: &Operand,
) -> Option<Meaning> {
    let parts = match elaborate::limit_parts(&left.term, &lexicon.vocabulary, &lexicon.convention)?
    {
        Ok(parts) => parts,
        Err(unreadable) => {
            // The limit of a supremum says uniform convergence.
            if relation == Relation::Equal
                && let Some(body) = limit_body(&left.term)
                && right.value.as_ref().is_ok_and(is_zero)
                && let Some(found) = supremum_vanishes(lexicon, body)
            {
                return Some(found);
            }
            return Some(Err(unreadable.into()));
        }
    };
    if !matches!(relation, Relation::Equal | Relation::NotEqual)
        || parts.operator != Operator::Limit
    {
        return Some(Err(Lost::because(
            "only the value of a limit is decided, not a bound of it",
            elaborate::names(&left.term),
        )));
    }
    let Some(term) = parts.body else {
        return Some(Err(Lost::because(
            "the limit stands apart from its term",
            Vec::new(),
        )));
    };
    let Some(variable) = parts.variable.or_else(|| index_of(lexicon, &term)) else {
        return Some(Err(Lost::because(
            "it does not tell what moves in the limit",
            elaborate::names(&left.term),
        )));
    };
    let value = match limit_value(lexicon, right) {
        Ok(value) => value,
        Err(lost) => return Some(Err(lost)),
    };
    if value
        .number()
        .is_some_and(|value| value.mentions(&variable))
    {
        return Some(Err(Lost::because(
            "the limit still depends on what moves",
            vec![variable],
        )));
    }
    Some(Ok(Said::of(Assertion::Limit {
        term,
        variable,
        toward: parts.toward.unwrap_or(Toward::Infinity),
        value,
        conditions: parts.conditions,
        negated: relation == Relation::NotEqual,
    })))
}

fn limit_body(term: &Term) -> Option<&Term> {
    match &term.kind {
        TermKind::Group(inner) => limit_body(inner),
        TermKind::Over {
            body: Some(body), ..
        } => Some(body),
        _ => None,
    }
}

fn is_zero(value: &Expr) -> bool {
    value.as_number().is_some_and(|number| number.is_zero())
}

/// The value on the right of a limit.
fn limit_value(lexicon: &Lexicon, right: &Operand) -> Result<LimitValue, Lost> {
    if let Some(value) = infinite(&right.term) {
        return Ok(value);
    }
    match &right.term.kind {
        TermKind::Name(_) => {
            let points = lexicon.points().to_vec();
            lexicon
                .limit_of(&right.term, &points)
                .map(LimitValue::Number)
        }
        _ => right.value.clone().map(LimitValue::Number),
    }
}

/// ∞ or −∞.
fn infinite(term: &Term) -> Option<LimitValue> {
    match elaborate::infinite(term)? {
        false => Some(LimitValue::Infinity),
        true => Some(LimitValue::MinusInfinity),
    }
}

/// The index that moves in an expression: the sequence's own, else the one name used as an index.
pub(super) fn index_of(lexicon: &Lexicon, term: &Expr) -> Option<Symbol> {
    let variables = term.variables();
    if let Some(family) = &lexicon.family
        && variables.contains(&family.index)
    {
        return Some(family.index.clone());
    }
    ["n", "m", "k"]
        .iter()
        .map(|name| Symbol::new(name))
        .find(|name| variables.contains(name))
}

/// `left → right`
pub(super) fn tends(
    reader: &mut Reader<'_>,
    context: &Context<'_>,
    utterance: &Utterance,
    left: &Operand,
    right: &Operand,
    sign_uniform: bool,
) -> Meaning {
    let group = context.group(utterance);
    let uniform = sign_uniform || says_uniform(context, group);
    if let Some(found) = supremum_vanishes(&reader.lexicon, &left.term) {
        if right.value.as_ref().is_ok_and(is_zero) {
            return found.map(|said| negated_if(said, group.negated));
        }
        return Err(Lost::because(
            "the limit of a supremum other than 0 is not decided",
            elaborate::names(&left.term),
        ));
    }
    let own = reader
        .lexicon
        .family
        .clone()
        .filter(|family| left.value.as_ref().is_ok_and(|value| *value == family.term));
    let family = reader
        .lexicon
        .family_of(&left.term)
        .or(own)
        .filter(|family| !moves_elsewhere(context, family));
    if let Some(family) = family {
        let pointed = !uniform
            && left
                .value
                .as_ref()
                .is_ok_and(|value| family.points.iter().any(|point| value.mentions(point)));
        let meaning = family_tends(
            reader,
            context,
            utterance,
            &family,
            right,
            uniform,
            group.negated,
        );
        return meaning.map(|said| match said {
            Said::Assertion(mut assertion) => {
                if let Assertion::Convergence { error, .. } = &mut *assertion {
                    error.pointed = pointed;
                }
                Said::Assertion(assertion)
            }
            other => other,
        });
    }
    let term = left.value.clone()?;
    let (variable, toward) = motion(reader, context, &term)?;
    let value = limit_value(&reader.lexicon, right)?;
    if value
        .number()
        .is_some_and(|value| value.mentions(&variable))
    {
        return Err(Lost::because(
            "the limit still depends on what moves",
            vec![variable],
        ));
    }
    if uniform
        && toward == Toward::Infinity
        && let Some(limit) = value.number()
    {
        let points = points_of(&reader.lexicon, &term);
        if points.is_empty() {
            return Err(Lost::because(
                "it does not tell in which points this is uniform",
                elaborate::names(&left.term),
            ));
        }
        let family = Family {
            name: Symbol::new(""),
            index: variable,
            points,
            term,
        };
        let error = with_domain(reader, context, utterance, &family, limit, true)?;
        return Ok(Said::of(Assertion::Convergence {
            error,
            negated: group.negated,
        }));
    }
    Ok(Said::of(Assertion::Limit {
        term,
        variable,
        toward,
        value,
        conditions: Vec::new(),
        negated: group.negated,
    }))
}

/// Whether the words of a clause call its arrow uniform.
fn says_uniform(context: &Context<'_>, group: &Group) -> bool {
    group
        .uniform
        .is_some_and(|at| group.adverb || group.converges.is_some() || is_predicate(context, at))
}

/// "f_n → 0 is uniform", "is not uniform": said of the arrow before it.
fn is_predicate(context: &Context<'_>, at: usize) -> bool {
    context
        .words_before(at)
        .find(|word| !matches!(*word, "not" | "never" | "even" | "indeed" | "also" | "thus"))
        .is_some_and(|word| matches!(word, "is" | "isn't" | "be" | "was" | "cannot" | "being"))
}

/// "does not tend to 0"
fn negated_if(said: Said, negated: bool) -> Said {
    match said {
        Said::Assertion(mut assertion) => {
            if let Assertion::Convergence { negated: known, .. } = &mut *assertion {
                *known ^= negated;
            }
            Said::Assertion(assertion)
        }
        other => other,
    }
}

fn family_tends(
    reader: &mut Reader<'_>,
    context: &Context<'_>,
    utterance: &Utterance,
    family: &Family,
    right: &Operand,
    uniform: bool,
    negated: bool,
) -> Meaning {
    if let Some(value) = infinite(&right.term) {
        return Ok(Said::of(Assertion::Limit {
            term: family.term.clone(),
            variable: family.index.clone(),
            toward: Toward::Infinity,
            value,
            conditions: Vec::new(),
            negated,
        }));
    }
    let limit = reader.lexicon.limit_of(&right.term, &family.points)?;
    if limit.mentions(&family.index) {
        return Err(Lost::because(
            "the limit still depends on the index",
            vec![family.index.clone()],
        ));
    }
    let error = with_domain(reader, context, utterance, family, &limit, uniform)?;
    // A limit on a part of the domain only is no candidate for all of it.
    let aimed = context.zone == Zone::Statement || utterance.base == Mode::Aim;
    // "(b) Show that g_n → 0 …" of an exercise that is about f_n and g_n.
    if context.zone == Zone::Statement
        && utterance.base == Mode::Aim
        && reader.lexicon.family_inherited
    {
        reader.lexicon.turn_to(family);
    }
    if aimed || reader.everywhere(context, &family.points) {
        adopt(&mut reader.lexicon, family, &limit);
    }
    Ok(Said::of(Assertion::Convergence { error, negated }))
}

impl Reader<'_> {
    /// Whether nothing restricts the points beyond the domain: no range of the sentence, no
    /// binding of the argument so far.
    fn everywhere(&self, context: &Context<'_>, points: &[Symbol]) -> bool {
        let mut stated: Vec<Condition> = Vec::new();
        for utterance in &context.reading.utterances {
            let Ok(more) = stated_domain(self, context, utterance.reach, points) else {
                return false;
            };
            stated.extend(more.unwrap_or_default());
        }
        for proto in &self.protos {
            if let Content::Binding(binding) = &proto.entry.content
                && proto.entry.zone != Zone::Statement
            {
                stated.extend(binding.conditions.iter().cloned());
            }
        }
        stated.iter().all(|condition| {
            let about = condition.variables();
            points.iter().all(|point| {
                !about.contains(point)
                    || self
                        .lexicon
                        .domains
                        .get(point)
                        .is_some_and(|domain| domain.conditions.contains(condition))
            })
        })
    }
}

/// Takes a limit as the candidate for the sequence at hand, if there is none yet.
pub(super) fn adopt(lexicon: &mut Lexicon, family: &Family, limit: &Expr) {
    if lexicon.family.is_none() {
        lexicon.family = Some(family.clone());
    }
    if lexicon.limit.is_none()
        && let Some(own) = &lexicon.family
        && own.name == family.name
    {
        let mut value = limit.clone();
        for (written, point) in family.points.iter().zip(&own.points) {
            value = value.substitute(written, &Expr::variable(point));
        }
        lexicon.limit = Some(value);
    }
}

/// "f_n(x) → L as x → c": the index does not move.
fn moves_elsewhere(context: &Context<'_>, family: &Family) -> bool {
    context
        .in_mode(Mode::Motion)
        .next()
        .and_then(|(_, moving)| context.statement(moving))
        .and_then(shape::first_term)
        .and_then(shape::bare_name)
        .is_some_and(|name| symbol(name) != family.index)
}

/// The name and the place of "x → c".
fn moving_name(statement: &Statement) -> Option<(&Name, &Term)> {
    let name = shape::first_term(statement).and_then(shape::bare_name)?;
    let target = shape::links(statement).first()?.right.as_ref()?;
    Some((name, target))
}

/// What a statement "x → c" says to move, and whereto.
pub(super) fn motion_said(lexicon: &Lexicon, statement: &Statement) -> Option<(Symbol, Toward)> {
    let (name, target) = moving_name(statement)?;
    Some((symbol(name), lexicon.toward(target).ok()?))
}

/// What moves and whereto: as the sentence says, else the index → ∞.
pub(super) fn motion(
    reader: &Reader<'_>,
    context: &Context<'_>,
    term: &Expr,
) -> Result<(Symbol, Toward), Lost> {
    for (_, moving) in context.in_mode(Mode::Motion) {
        let Some(statement) = context.statement(moving) else {
            continue;
        };
        let Some((name, target)) = moving_name(statement) else {
            continue;
        };
        let variable = symbol(name);
        if !term.mentions(&variable) {
            continue;
        }
        return Ok((variable, reader.lexicon.toward(target)?));
    }
    match index_of(&reader.lexicon, term) {
        Some(index) => Ok((index, Toward::Infinity)),
        None => Err(Lost::because(
            "it does not tell what moves in the limit",
            term.variables().into_iter().collect(),
        )),
    }
}

/// The error term with the domain that the clause states, else with the one in force.
pub(super) fn with_domain(
    reader: &Reader<'_>,
    context: &Context<'_>,
    utterance: &Utterance,
    family: &Family,
    limit: &Expr,
    uniform: bool,
) -> Result<ErrorTerm, Lost> {
    let mut error = reader.lexicon.error_term(family, limit, uniform);
    let conditions = stated_domain(reader, context, utterance.reach, &family.points)?;
    if let Some(conditions) = conditions {
        error.conditions.retain(|condition| {
            !family
                .points
                .iter()
                .any(|point| condition.variables().contains(point))
        });
        error.conditions.extend(conditions);
        reader.lexicon.close(&mut error.conditions, family);
    }
    if let Some(lost) = family.points.iter().find_map(|point| {
        reader
            .lexicon
            .domains
            .get(point)
            .filter(|_| {
                !error
                    .conditions
                    .iter()
                    .any(|condition| condition.variables().contains(point))
            })
            .and_then(|domain| domain.unread.clone())
    }) {
        return Err(Lost {
            reason: lost,
            names: family.points.clone(),
        });
    }
    Ok(error)
}

/// The domain that a stretch of the sentence states for the points: "on D", "for all x ∈ D".
pub(super) fn stated_domain(
    reader: &Reader<'_>,
    context: &Context<'_>,
    reach: usize,
    points: &[Symbol],
) -> Result<Option<Vec<Condition>>, Lost> {
    let mut found: Option<Vec<Condition>> = None;
    for utterance in &context.reading.utterances {
        if utterance.reach != reach {
            continue;
        }
        let Some(statement) = context.statement(utterance) else {
            continue;
        };
        match utterance.mode {
            Mode::Domain => {
                let Some(set) = shape::first_term(statement) else {
                    continue;
                };
                for point in points {
                    let more = reader.lexicon.member(set, &Expr::variable(point))?;
                    found.get_or_insert_with(Vec::new).extend(more);
                }
            }
            Mode::Range | Mode::Condition => {
                let Some(restriction) = shape::restriction(statement) else {
                    continue;
                };
                let about = restriction.names.iter().all(|name| {
                    points.contains(&symbol(name)) || reader.lexicon.names.usage(name) == Use::Point
                });
                if about && !points.is_empty() {
                    let more = reader.lexicon.conditions(statement)?;
                    let found = found.get_or_insert_with(Vec::new);
                    // "x ∈ D" names a domain, "x < 1" cuts the one that is known.
                    if restriction.sign != Sign::In {
                        let domains = points
                            .iter()
                            .filter_map(|point| reader.lexicon.domains.get(point));
                        found.extend(domains.flat_map(|domain| domain.conditions.clone()));
                    }
                    found.extend(more);
                }
            }
            _ => {}
        }
    }
    Ok(found)
}
