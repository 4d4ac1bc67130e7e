//! Combinations of facts: products up to a degree whose positive sum contradicts or equals.

use super::simplex::{Column, solve};
use super::work::Work;
use crate::expr::{Expr, Function, Node};
use crate::fuel::Fuel;
use crate::recheck::{Monomial, Poly, Sign, Signed, Step, Term};
use dashu::rational::RBig;
use std::collections::{BTreeMap, BTreeSet};

/// Facts that take part at most, by degree of the products.
const FACTS: [usize; 4] = [0, 48, 14, 10];
/// Squares are made of so many roots at most.
const ROOTS: usize = 12;
/// Columns at most.
const COLUMNS: usize = 320;

struct Candidate {
    poly: Poly,
    term: Option<Term>,
    multiple: Option<(usize, Expr)>,
    strict: bool,
}

/// Derives the sign of `target` from a contradiction of its opposite with the facts, products
/// of up to `degree` facts included.
pub(super) fn refute(
    work: &mut Work,
    target: &Poly,
    sign: Sign,
    degree: usize,
    fuel: &mut Fuel<'_>,
) -> bool {
    let mut other = work.context.clone();
    let value = target.to_expr();
    let opposite = match sign {
        Sign::NonNegative => Sign::Positive,
        Sign::Positive => Sign::NonNegative,
        _ => return false,
    };
    // The checker adds the opposite as the next fact.
    let place = other.facts().len();
    other.record(&target.negative(), opposite);
    let Some(combination) = contradiction(&other, Some(place), target, degree, fuel) else {
        return false;
    };
    work.take(Step::Refute(value, sign, vec![combination]))
}

/// A contradiction of the facts alone.
pub(super) fn absurd(work: &mut Work, degree: usize, fuel: &mut Fuel<'_>) -> bool {
    let Some(step) = contradiction(&work.context, None, &Poly::zero(), degree, fuel) else {
        return false;
    };
    work.take(step) && work.context.is_absurd()
}

fn contradiction(
    context: &crate::recheck::Context,
    supposed: Option<usize>,
    target: &Poly,
    degree: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Step> {
    let chosen = relevant(context.facts(), supposed, target, *FACTS.get(degree)?);
    let candidates = candidates(context, &chosen, supposed, target, degree, fuel)?;
    let mut rows: BTreeMap<Monomial, usize> = BTreeMap::new();
    let mut columns: Vec<Column> = Vec::new();
    for candidate in &candidates {
        let mut column: Column = candidate
            .poly
            .terms()
            .map(|(monomial, value)| {
                let next = rows.len() + 1;
                (*rows.entry(monomial.clone()).or_insert(next), value.clone())
            })
            .collect();
        if candidate.strict {
            column.push((0, RBig::ONE));
        }
        column.sort_by_key(|(row, _)| *row);
        columns.push(column);
    }
    let mut right = vec![RBig::ZERO; rows.len() + 1];
    right[0] = RBig::ONE;
    let solution = solve(&columns, &right, fuel)?;
    let mut terms = Vec::new();
    let mut multiples = Vec::new();
    for (place, value) in solution {
        let candidate = candidates.get(place)?;
        if let Some(term) = &candidate.term {
            terms.push(Term {
                coefficient: &term.coefficient * &value,
                ..term.clone()
            });
        } else if let Some((fact, factor)) = &candidate.multiple {
            multiples.push((*fact, Expr::number(value).times(factor)));
        }
    }
    Some(Step::Combine(terms, multiples))
}

/// The facts that share atoms with the target, directly or through others, nearest first.
fn relevant(
    facts: &[(Poly, Sign)],
    supposed: Option<usize>,
    target: &Poly,
    limit: usize,
) -> Vec<usize> {
    let mut reached: BTreeSet<Expr> = target.atoms();
    let mut chosen: Vec<usize> = supposed.into_iter().collect();
    let mut seen: BTreeSet<(bool, Poly)> = BTreeSet::new();
    let everything = target.is_zero();
    loop {
        let mut layer: Vec<(usize, u32, usize)> = Vec::new();
        for (place, (poly, sign)) in facts.iter().enumerate() {
            if chosen.contains(&place) || *sign == Sign::NonZero || poly.as_constant().is_some() {
                continue;
            }
            let atoms = poly.atoms();
            if !everything && !atoms.iter().any(|atom| reached.contains(atom)) {
                continue;
            }
            let outside = atoms.iter().filter(|atom| !reached.contains(*atom)).count();
            layer.push((outside, poly.degree(), place));
        }
        layer.sort_unstable();
        let before = chosen.len();
        let mut news = BTreeSet::new();
        for (_, _, place) in layer {
            if chosen.len() >= limit {
                break;
            }
            let poly = &facts[place].0;
            // A later fact with the same polynomial may be stronger; keep the strongest.
            let (content, primitive) = poly.primitive();
            if !seen.insert((content.is_negative(), primitive)) {
                if facts[place].1 == Sign::Positive || facts[place].1 == Sign::Zero {
                    chosen.push(place);
                    news.extend(poly.atoms());
                }
                continue;
            }
            chosen.push(place);
            news.extend(poly.atoms());
        }
        reached.extend(news);
        if chosen.len() == before || chosen.len() >= limit {
            return chosen;
        }
    }
}

fn candidates(
    context: &crate::recheck::Context,
    chosen: &[usize],
    supposed: Option<usize>,
    target: &Poly,
    degree: usize,
    fuel: &mut Fuel<'_>,
) -> Option<Vec<Candidate>> {
    let facts = context.facts();
    let one = Candidate {
        poly: Poly::one(),
        term: Some(Term {
            coefficient: RBig::ONE,
            facts: Vec::new(),
            squares: Vec::new(),
        }),
        multiple: None,
        strict: true,
    };
    let mut all = vec![one];
    let (equations, signed): (Vec<usize>, Vec<usize>) = chosen
        .iter()
        .partition(|place| facts[**place].1 == Sign::Zero);
    // Products of facts, the supposed one in at most one factor but with all others.
    let mut layer: Vec<(Vec<usize>, Poly, bool)> = vec![(Vec::new(), Poly::one(), true)];
    for _ in 0..degree {
        let mut next = Vec::new();
        for (places, poly, strict) in &layer {
            for place in &signed {
                if places.last().is_some_and(|last| last > place) {
                    continue;
                }
                if Some(*place) == supposed && places.contains(place) {
                    continue;
                }
                if all.len() + next.len() > COLUMNS {
                    break;
                }
                let (own, sign) = &facts[*place];
                if !fuel.take(product_cost(poly, own)) {
                    return None;
                }
                let product = context.reduced(&poly.times(own));
                let mut places = places.clone();
                places.push(*place);
                next.push((places, product, *strict && *sign == Sign::Positive));
            }
        }
        for (places, poly, strict) in &next {
            all.push(Candidate {
                poly: poly.clone(),
                term: Some(Term {
                    coefficient: RBig::ONE,
                    facts: places.clone(),
                    squares: Vec::new(),
                }),
                multiple: None,
                strict: *strict,
            });
        }
        layer = next;
    }
    let helpful = squares(target, degree);
    if degree > 2 {
        all.extend(weighted_squares(context, &helpful, &signed));
    }
    for square in helpful {
        all.push(Candidate {
            poly: context.reduced(&square.times(&square)),
            term: Some(Term {
                coefficient: RBig::ONE,
                facts: Vec::new(),
                squares: vec![square.to_expr()],
            }),
            multiple: None,
            strict: false,
        });
    }
    for place in equations {
        let poly = &facts[place].0;
        let mut factors = vec![Poly::one()];
        if degree > 1 {
            factors.extend(target.atoms().into_iter().take(6).map(Poly::atom));
        }
        for factor in factors {
            for factor in [factor.clone(), factor.negative()] {
                all.push(Candidate {
                    poly: context.reduced(&poly.times(&factor)),
                    term: None,
                    multiple: Some((place, factor.to_expr())),
                    strict: false,
                });
            }
        }
    }
    Some(all)
}

/// Steps that the product of two polynomials costs.
fn product_cost(left: &Poly, right: &Poly) -> u64 {
    1 + (left.count() * right.count() / 8) as u64
}

/// Squares times single atoms of known sign.
fn weighted_squares(
    context: &crate::recheck::Context,
    squares: &[Poly],
    signed: &[usize],
) -> Vec<Candidate> {
    let facts = context.facts();
    let simple = signed
        .iter()
        .filter(|place| facts[**place].0.as_atom().is_some())
        .take(5);
    simple
        .flat_map(|place| {
            squares.iter().take(24).map(move |square| Candidate {
                poly: context.reduced(&square.times(square).times(&facts[*place].0)),
                term: Some(Term {
                    coefficient: RBig::ONE,
                    facts: vec![*place],
                    squares: vec![square.to_expr()],
                }),
                multiple: None,
                strict: false,
            })
        })
        .collect()
}

/// Squares that may help: of atoms and of roots of the target's even monomials, and of their
/// differences and sums.
fn squares(target: &Poly, degree: usize) -> Vec<Poly> {
    if degree < 2 {
        return Vec::new();
    }
    let mut roots: Vec<Poly> = target.atoms().into_iter().take(6).map(Poly::atom).collect();
    for (monomial, _) in target.terms() {
        if let Some(root) = monomial.root() {
            let root = Poly::monomial(root);
            if !roots.contains(&root) && roots.len() < 9 {
                roots.push(root);
            }
        }
    }
    for root in halves(target).chain(turned(&roots)) {
        if !roots.contains(&root) && roots.len() < ROOTS {
            roots.push(root);
        }
    }
    let mut all = roots.clone();
    for (place, a) in roots.iter().enumerate() {
        if !roots.contains(&Poly::one()) {
            all.push(a.minus(&Poly::one()));
        }
        for b in &roots[place + 1..] {
            all.push(a.minus(b));
            all.push(a.plus(b));
        }
    }
    all
}

/// The two halves of a monomial that is no square, as x² and x y of x³ y.
fn halves(target: &Poly) -> impl Iterator<Item = Poly> {
    let plain = target
        .atoms()
        .iter()
        .all(|atom| atom.as_variable().is_some());
    let odd = target
        .terms()
        .map(|(monomial, _)| monomial)
        .filter(move |_| plain);
    let odd = odd.filter(|own| own.degree() % 2 == 0 && own.degree() > 2 && own.root().is_none());
    odd.flat_map(|monomial| {
        let (mut first, mut second) = (Poly::one(), Poly::one());
        let half = monomial.degree() / 2;
        for (atom, power) in monomial.factors() {
            let share = (half - first.degree()).min(*power);
            let own = Poly::atom(atom.clone());
            first = first.times(&own.power(share));
            second = second.times(&own.power(power - share));
        }
        [first, second]
    })
    .collect::<Vec<_>>()
    .into_iter()
}

/// Roots times a cosine, where another holds the sine: (a cos u − b sin u)².
fn turned(roots: &[Poly]) -> Vec<Poly> {
    let atoms: BTreeSet<Expr> = roots.iter().flat_map(Poly::atoms).collect();
    let mut all = Vec::new();
    for cosine in &atoms {
        let Node::Call(Function::Cos, inner) = cosine.node() else {
            continue;
        };
        let sine = inner.call(Function::Sin);
        let free = roots
            .iter()
            .filter(|root| root.degree_in(&sine) + root.degree_in(cosine) == 0);
        all.extend(free.map(|root| root.times(&Poly::atom(cosine.clone()))));
    }
    all
}
