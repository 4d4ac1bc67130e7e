//! Uniform continuity: whether δ is chosen from ε alone.

use crate::catalogue;
use crate::engine::Engine;
use crate::judge::{Judged, Told, condition_of};
use crate::scope::{Setting, is_tolerance_name};
use crate::wording;
use argument::{Assertion, Binding, Content, Entry, Introduction, Role, Zone};
use kernel::{Condition, Expr, Function, Goal, Kind, Node, Relation, Symbol, show};

/// Tells of a δ that depends on a point in an argument for uniform continuity.
pub(crate) fn tell(engine: &Engine<'_>, judged: &mut Judged) {
    if !engine.argument.uniform_continuity {
        return;
    }
    tell_tolerance_of_points(engine, judged);
    for (position, entry) in engine.argument.entries.iter().enumerate() {
        let (Some(Role::Choice), Content::Binding(binding), Zone::Proof) =
            (entry.role, &entry.content, entry.zone)
        else {
            continue;
        };
        let Some((delta, value)) = chosen(binding) else {
            continue;
        };
        let setting = Setting::of(engine.argument, &entry.scope);
        let Some(point) = depends(engine, entry, &setting, (delta, value)) else {
            continue;
        };
        let cure = cure(engine, &setting, &point, value).map(|bound| show::plain(&bound));
        judged.findings.push(
            Told::new(
                &catalogue::DELTA_DEPENDS_ON_POINT,
                entry.span,
                wording::delta_depends(delta.as_str(), point.as_str(), cure.as_deref()),
            )
            .at(position),
        );
    }
}

/// "δ > 0 with |f(x) − f(y)| < ε/(1 + |g(y)|) whenever |x − y| < δ": uniform continuity gives a δ
/// for a number, and this one is another at each point where nothing bounds g.
fn tell_tolerance_of_points(engine: &Engine<'_>, judged: &mut Judged) {
    let entries = &engine.argument.entries;
    for (position, entry) in entries.iter().enumerate() {
        let promised: Vec<Condition> = match &entry.content {
            Content::Assertion(Assertion::Implication { to, .. }) => to.clone(),
            _ => condition_of(entry).into_iter().collect(),
        };
        let depending = promised.iter().find_map(|condition| {
            let Condition::Holds(left, Relation::Less | Relation::LessEqual, right) = condition
            else {
                return None;
            };
            let points = compared_points(left)?;
            let (function, point) = value_at(right, &points)?;
            (!is_fixed(entries, entry, &point, &points)).then_some((function, point))
        });
        let (Some((unbounded, point)), Zone::Proof) = (depending, entry.zone) else {
            continue;
        };
        let picked = entries[..position].iter().rev().find_map(|other| {
            let own = other.sentence == entry.sentence && other.role == Some(Role::Choice);
            match &other.content {
                Content::Binding(binding) if own => binding
                    .bound
                    .iter()
                    .map(|bound| &bound.name)
                    .find(|name| name.as_str().starts_with(['δ', 'η'])),
                _ => None,
            }
        });
        let Some(delta) = picked.filter(|_| !is_bounded(entries, &unbounded)) else {
            continue;
        };
        judged.findings.push(
            Told::new(
                &catalogue::DELTA_DEPENDS_ON_POINT,
                entry.span,
                wording::delta_depends(delta.as_str(), point.as_str(), None),
            )
            .at(position),
        );
    }
}

/// "Fix y. … there is δ > 0 …": whether a sentence before took one of two points alone, so that
/// what follows is picked for this one.
fn is_fixed(entries: &[Entry], claim: &Entry, point: &Symbol, points: &[Symbol; 2]) -> bool {
    let binds =
        |binding: &Binding, name: &Symbol| binding.bound.iter().any(|bound| bound.name == *name);
    entries.iter().any(|other| {
        other.span.start < claim.sentence.start
            && other.zone == Zone::Proof
            && other.role == Some(Role::Let)
            && matches!(&other.content, Content::Binding(binding)
                if binds(binding, point) && !points.iter().all(|name| binds(binding, name)))
    })
}

/// x and y of |f(x) − f(y)|.
fn compared_points(distance: &Expr) -> Option<[Symbol; 2]> {
    let (one, other) = crate::relation::distance(distance)?;
    match (one.node(), other.node()) {
        (Node::Apply(f, x), Node::Apply(g, y)) if f == g => match (x.as_slice(), y.as_slice()) {
            ([x], [y]) => Some([x.as_variable()?.clone(), y.as_variable()?.clone()]),
            _ => None,
        },
        _ => None,
    }
}

/// An unknown function that an expression has at one of two points, and the point.
fn value_at(expr: &Expr, points: &[Symbol; 2]) -> Option<(Symbol, Symbol)> {
    let mut found = None;
    expr.visit(&mut |part| {
        if let Node::Apply(function, arguments) = part.node()
            && let [argument] = arguments.as_slice()
            && let Some(point) = argument.as_variable().filter(|own| points.contains(own))
        {
            found = Some((function.clone(), point.clone()));
        }
    });
    found
}

/// Whether the text bounds a function anywhere: |g(x)| ≤ B, |g| ≤ B.
fn is_bounded(entries: &[Entry], function: &Symbol) -> bool {
    let bounds = |condition: &Condition| {
        let Condition::Holds(left, Relation::Less | Relation::LessEqual, _) = condition else {
            return false;
        };
        let Node::Call(Function::Abs, inside) = left.node() else {
            return false;
        };
        match inside.node() {
            Node::Apply(own, _) => own == function,
            _ => inside.as_variable() == Some(function),
        }
    };
    entries.iter().any(|entry| match &entry.content {
        Content::Binding(binding) => binding.conditions.iter().any(bounds),
        _ => condition_of(entry).is_some_and(|condition| bounds(&condition)),
    })
}

/// The δ that a choice picks, with the value that bounds it.
fn chosen(binding: &Binding) -> Option<(&Symbol, &Expr)> {
    let bound = binding
        .bound
        .iter()
        .find(|bound| matches!(bound.name.as_str().chars().next(), Some('δ' | 'η')))?;
    binding.conditions.iter().find_map(|condition| {
        let Condition::Holds(left, relation, right) = condition else {
            return None;
        };
        let above = matches!(
            relation,
            Relation::Equal | Relation::Less | Relation::LessEqual
        );
        (above && left.as_variable() == Some(&bound.name) && right.as_number().is_none())
            .then_some((&bound.name, right))
    })
}

/// The point on which a value depends: a real number that the proof takes arbitrary before, and
/// whose letter does not cancel.
fn depends(
    engine: &Engine<'_>,
    entry: &Entry,
    setting: &Setting,
    (delta, value): (&Symbol, &Expr),
) -> Option<Symbol> {
    // "|x − a| < δ" makes a a point; R of [−R, R] is a parameter.
    let near = |name: &Symbol| {
        engine.argument.entries.iter().any(|other| {
            matches!(&other.content, Content::Binding(binding)
                if binding.conditions.iter().any(|condition| {
                    let names = condition.variables();
                    names.contains(name) && names.contains(delta)
                        && !binding.bound.iter().any(|bound| bound.name == *delta)
                }))
                || matches!(&other.content, Content::Assertion(Assertion::Relation { left, right, .. })
                    if left.mentions(name) && right.as_variable() == Some(delta))
        })
    };
    // "For x, a > 0 we have …" is said of any a, and what follows speaks of the same.
    let arbitrary = |name: &Symbol| {
        engine.argument.entries.iter().any(|other| {
            other.zone == Zone::Proof
                && other.span.start < entry.span.start
                && matches!(&other.content, Content::Binding(binding)
                if binding.bound.iter().any(|bound| {
                    bound.name == *name
                        && bound.introduction == Introduction::Arbitrary
                        && bound.kind == Kind::Real
                }))
        })
    };
    value
        .variables()
        .into_iter()
        .filter(|name| !is_tolerance_name(name) && arbitrary(name) && near(name))
        .find(|name| {
            let other = Symbol::new(&format!("{name}′"));
            let moved = value.substitute(name, &Expr::variable(&other));
            let both = setting.clone().naming(&other, Kind::Real);
            !engine.proves(&both.holds(value, Relation::Equal, &moved))
        })
}

/// The value at an end of the point's domain, if it is the least over all of it.
fn cure(engine: &Engine<'_>, setting: &Setting, point: &Symbol, value: &Expr) -> Option<Expr> {
    let ends: Vec<Expr> = setting
        .hypotheses
        .iter()
        .filter_map(|(hypothesis, _)| match &hypothesis.condition {
            Condition::Holds(left, _, right) if left.as_variable() == Some(point) => {
                Some(right.clone())
            }
            Condition::Holds(left, _, right) if right.as_variable() == Some(point) => {
                Some(left.clone())
            }
            _ => None,
        })
        .collect();
    ends.into_iter().find_map(|end| {
        let least = folded(&value.substitute(point, &end));
        let mut names = value.variables();
        names.extend(least.variables());
        let problem = setting.problem(
            &setting.closure(&names),
            Goal::Holds(least.clone(), Relation::LessEqual, value.clone()),
        );
        // At an end that is left out, it may be 0, which is no distance.
        let positive = setting.problem(
            &setting.closure(&least.variables()),
            Goal::Holds(least.clone(), Relation::Greater, Expr::integer(0)),
        );
        (engine.proves(&positive) && engine.proves(&problem)).then_some(least)
    })
}

/// The expression with sums, products and absolute values of numbers carried out.
fn folded(expr: &Expr) -> Expr {
    let expr = expr.map_children(&mut |child| folded(child));
    let value = match expr.node() {
        Node::Neg(inner) => inner.as_number().map(|number| -number),
        Node::Call(Function::Abs, inner) => inner.as_number().map(|number| {
            if number < Expr::integer(0).as_number().unwrap_or_default() {
                -number
            } else {
                number
            }
        }),
        Node::Add(items) => items
            .iter()
            .map(Expr::as_number)
            .reduce(|sum, next| Some(sum? + next?))
            .flatten(),
        Node::Mul(items) => items
            .iter()
            .map(Expr::as_number)
            .reduce(|product, next| Some(product? * next?))
            .flatten(),
        _ => None,
    };
    value.map_or(expr, Expr::number)
}
