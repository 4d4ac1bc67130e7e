//! Series: what is said of the convergence of Σ f_k(x).

use super::assertion::{Meaning, Said, with_domain};
use super::entry::{Context, Operand, Reader};
use super::lexicon::{Family, Lexicon, Lost};
use super::outline::{Assertion, Content};
use super::shape;
use super::supremum::points_of;
use super::token::Token;
use super::utterance::{Group, Mode, Utterance};
use crate::notation::elaborate::symbol;
use crate::notation::syntax::{Statement, StatementKind, Term, TermKind};
use crate::notation::walk;
use kernel::{Expr, Kind, Node, Relation, Symbol};
use source::Span;

/// Subjects of a claim about convergence that are no series.
const SEQUENCES: [&str; 6] = [
    "sequence",
    "sequences",
    "function",
    "functions",
    "terms",
    "limit",
];

/// The terms of an infinite series with their index.
#[derive(Clone, PartialEq, Debug)]
struct Terms {
    index: Symbol,
    term: Expr,
}

/// The index and terms of a sum without end: `\sum_{k=1}^∞ b`, `\sum_{k≥1} b`, or `\sum b` where
/// one name in b is an index.
fn series_of(lexicon: &Lexicon, term: &Term) -> Option<Terms> {
    match &term.kind {
        TermKind::Group(inner) => series_of(lexicon, inner),
        // ±Σ, and multiples of it, converge with it; only the plain ones are read.
        TermKind::Series {
            product: false,
            below,
            above,
            body,
        } => {
            let bare = above.is_none() && below.as_ref().is_none_or(|below| names_index(below));
            if bare {
                return without_ends(lexicon, below.as_deref(), body);
            }
            let value = lexicon.term(term).ok()?;
            let Node::Sum {
                index,
                to: None,
                body,
                ..
            } = value.node()
            else {
                return None;
            };
            Some(Terms {
                index: index.clone(),
                term: body.clone(),
            })
        }
        _ => None,
    }
}

/// `\sum_k b`
fn names_index(below: &Statement) -> bool {
    matches!(&below.kind, StatementKind::Term(term) if shape::bare_name(term).is_some())
}

fn without_ends(lexicon: &Lexicon, below: Option<&Statement>, body: &Term) -> Option<Terms> {
    let written = below
        .and_then(shape::first_term)
        .and_then(shape::bare_name)
        .map(crate::notation::elaborate::symbol);
    let mut inside = lexicon.clone();
    let letters = ["k", "n", "j", "m", "i"].map(Symbol::new);
    let mut names = crate::notation::elaborate::names(body);
    // `\sum M_n`: the index stands below the name.
    names.extend(
        shape::names_in(body)
            .into_iter()
            .filter_map(|name| name.subscript.as_deref().and_then(shape::bare_name))
            .map(crate::notation::elaborate::symbol),
    );
    let index = match written {
        Some(index) => index,
        None => {
            let mut candidates = letters.iter().filter(|letter| names.contains(letter));
            let first = candidates.next()?.clone();
            candidates.next().is_none().then_some(first)?
        }
    };
    inside.vocabulary.declare_variable(&index, Kind::Integer);
    let term = inside.term(body).ok()?;
    term.mentions(&index).then_some(Terms { index, term })
}

/// The infinite series that a statement writes: alone, or at the end of a chain of equations.
fn written(lexicon: &Lexicon, statement: &Statement) -> Option<Terms> {
    match &statement.kind {
        StatementKind::Term(term) => series_of(lexicon, term),
        StatementKind::Chain { first, links } => links
            .iter()
            .rev()
            .filter_map(|link| link.right.as_ref())
            .chain(first)
            .find_map(|term| series_of(lexicon, term)),
        _ => None,
    }
}

/// `Σ M_k < ∞`, `Σ M_k = ∞`
pub(super) fn bounded(
    reader: &Reader<'_>,
    context: &Context<'_>,
    utterance: &Utterance,
    left: &Operand,
    relation: Relation,
    right: &Operand,
) -> Option<Meaning> {
    if !matches!(right.term.kind, TermKind::Infinity) {
        return None;
    }
    let terms = series_of(&reader.lexicon, &left.term)?;
    let diverges = match relation {
        Relation::Less => false,
        Relation::Equal => true,
        _ => return None,
    };
    Some(said(
        reader,
        context,
        Some(utterance),
        terms,
        false,
        diverges,
    ))
}

fn said(
    reader: &Reader<'_>,
    context: &Context<'_>,
    utterance: Option<&Utterance>,
    terms: Terms,
    uniform: bool,
    diverges: bool,
) -> Meaning {
    let points = points_of(&reader.lexicon, &terms.term);
    if uniform && points.is_empty() {
        return Err(Lost::because(
            "a series of numbers has no points in which to be uniform",
            vec![terms.index],
        ));
    }
    let family = Family {
        name: Symbol::new(""),
        index: terms.index,
        points,
        term: terms.term,
    };
    let zero = Expr::integer(0);
    let terms = match utterance {
        Some(utterance) => with_domain(reader, context, utterance, &family, &zero, uniform)?,
        None => reader.lexicon.error_term(&family, &zero, uniform),
    };
    Ok(Said::of(Assertion::Series { terms, diverges }))
}

/// Words that name the terms of a series.
const TERM_WORDS: [&str; 5] = ["term", "terms", "summand", "summands", "member"];

impl Reader<'_> {
    /// "We denote by u_n(x) the general term of the series": the name stands for the terms of the
    /// only series that was written.
    pub(super) fn name_general_term(&mut self, context: &Context<'_>) {
        let words = || context.tokens.iter().filter_map(Token::word);
        let names =
            words().any(|word| ["denote", "denotes", "call", "write", "by"].contains(&word));
        let general = words().any(|word| ["general", "th", "nth", "kth"].contains(&word));
        let of_terms = words().any(|word| TERM_WORDS.contains(&word));
        if !(names && general && of_terms) {
            return;
        }
        let Some((name, points, span)) = context.reading.utterances.iter().find_map(|utterance| {
            let StatementKind::Term(term) = &context.statement(utterance)?.kind else {
                return None;
            };
            let name = shape::head_name(term)?;
            let index = name.subscript.as_deref().and_then(shape::bare_name)?;
            let points: Vec<Symbol> = shape::application(term)
                .map(|(_, arguments)| arguments)
                .unwrap_or_default()
                .into_iter()
                .map(|argument| shape::bare_name(argument).map(symbol))
                .collect::<Option<_>>()?;
            let span = self.place(context, utterance, &term.range);
            Some(((Symbol::new(&name.base), symbol(index)), points, span))
        }) else {
            return;
        };
        let (base, index) = name;
        let (Some((_, terms)), false) = (
            self.series_before(context).pop(),
            self.lexicon.defines(&base, 1),
        ) else {
            return;
        };
        let own = points_of(&self.lexicon, &terms.term);
        // "Let v_n denote the n-th term", its points left out.
        let points = if points.is_empty() {
            own.clone()
        } else {
            points
        };
        if own.iter().any(|point| !points.contains(point)) {
            return;
        }
        let value = terms.term.substitute(&terms.index, &Expr::variable(&index));
        let mut parameters = vec![index];
        parameters.extend(points);
        self.lexicon.define(base, parameters, 1, value, span);
    }

    /// "Σ M_k converges", "the series converges uniformly on D"; `None` if the clause speaks of
    /// no series.
    pub(super) fn series_said(
        &self,
        context: &Context<'_>,
        group: &Group,
        members: &[(usize, &Utterance)],
    ) -> Option<Meaning> {
        let uniform = group.uniform.is_some();
        let here = members.iter().find_map(|(_, utterance)| {
            let terms = written(&self.lexicon, context.statement(utterance)?)?;
            Some((terms, *utterance))
        });
        let diverges = group.diverges.is_some() || group.negated;
        if let Some((terms, utterance)) = here {
            return Some(said(
                self,
                context,
                Some(utterance),
                terms,
                uniform,
                diverges,
            ));
        }
        let says = |words: &[&str]| {
            let tokens = context.group_tokens(group);
            tokens
                .iter()
                .filter_map(Token::word)
                .any(|word| words.contains(&word))
        };
        // "The series converges uniformly on [a, ∞), so it converges uniformly on (0, ∞)."
        let names_nothing = members
            .iter()
            .all(|(_, utterance)| matches!(utterance.mode, Mode::Domain | Mode::Range));
        let goes_on = names_nothing && !says(&SEQUENCES) && self.spoke_of_series();
        if !says(&["series"]) && !goes_on {
            return None;
        }
        let stand_in = members.first().map(|(_, utterance)| *utterance);
        Some(match self.earlier_series(context, uniform) {
            Some(terms) => said(self, context, stand_in, terms, uniform, diverges),
            None => Err(Lost::because(
                "it does not tell which series is meant",
                Vec::new(),
            )),
        })
    }

    /// Whether the last claim about a convergence in the argument speaks of a series.
    fn spoke_of_series(&self) -> bool {
        self.protos
            .iter()
            .rev()
            .find_map(|proto| match &proto.entry.content {
                Content::Assertion(Assertion::Series { .. }) => Some(true),
                Content::Assertion(Assertion::Convergence { .. } | Assertion::Limit { .. }) => {
                    Some(false)
                }
                _ => None,
            })
            .unwrap_or(false)
    }

    /// The series of which a clause without a formula speaks: the only one in points if it is
    /// called uniform, else the only one.
    fn earlier_series(&self, context: &Context<'_>, uniform: bool) -> Option<Terms> {
        let mut found = self.series_before(context);
        if found.is_empty() {
            found = self.series_of_partial_sums();
        }
        let in_points = |terms: &Terms| !points_of(&self.lexicon, &terms.term).is_empty();
        if uniform {
            found.retain(|(_, terms)| in_points(terms));
        }
        let (span, terms) = (found.len() == 1).then(|| found.remove(0))?;
        // Where other functions were taken since, the series of those may be meant.
        let others = self.lexicon.definitions.iter().any(|own| {
            own.subscripts == 1
                && own.parameters.len() > 1
                && own.span.start > span.end
                && own.span.end <= context.span.end
                && own
                    .value
                    .substitute(&own.parameters[0], &Expr::variable(&terms.index))
                    != terms.term
        });
        (!uniform || !others).then_some(terms)
    }

    /// The series whose partial sums have a name: s_n = Σ_{k=1}^n u_k.
    fn series_of_partial_sums(&self) -> Vec<(Span, Terms)> {
        let mut found: Vec<(Span, Terms)> = Vec::new();
        for own in &self.lexicon.definitions {
            if let Node::Sum {
                index,
                to: Some(to),
                body,
                ..
            } = own.value.node()
                && own.subscripts == 1
                && to.as_variable() == own.parameters.first()
            {
                let terms = Terms {
                    index: index.clone(),
                    term: body.clone(),
                };
                found.push((own.span, terms));
            }
        }
        found
    }

    /// The series that the draft wrote so far, in their order.
    fn series_before(&self, context: &Context<'_>) -> Vec<(Span, Terms)> {
        let mut found: Vec<(Span, Terms)> = Vec::new();
        for formula in self
            .formulas
            .iter()
            .filter(|formula| formula.span.end <= context.span.end)
        {
            for segment in &formula.parsed.segments {
                walk::segment_terms(segment, &mut |term| {
                    if let Some(terms) = series_of(&self.lexicon, term)
                        && !found.iter().any(|(_, known)| *known == terms)
                    {
                        found.push((formula.span, terms));
                    }
                });
            }
        }
        found
    }
}
