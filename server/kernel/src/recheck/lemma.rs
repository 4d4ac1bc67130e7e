//! The known inequalities that a proof may use, each with its conditions.

use super::proof::Sign;
use crate::algebra::whole;
use crate::expr::{Constant, Expr, Function, Node};

/// The name of a known inequality; the letters are its arguments in order.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Lemma {
    /// e^u ≥ 1 + u
    ExpTangent,
    /// e^u ≥ 1 + u + u²/2 for u ≥ 0
    ExpSecond,
    /// e^u ≥ 1 + u + u²/2 + u³/6
    ExpThird,
    /// e^u ≤ 1 for u ≤ 0
    ExpBelowOne,
    /// e^u ≤ 1 + u + u² for u ≤ 1
    ExpUpper,
    /// e^u ≤ e^v for u ≤ v
    ExpMonotone,
    /// e^u ≥ e u (the tangent at 1)
    ExpThroughOrigin,
    /// (1 − u) e^u ≤ 1
    ExpReciprocal,
    /// log u ≤ u − 1, u log u ≥ u − 1
    LogTangent,
    /// (2 + t) log(1 + t) ≥ 2 t for t ≥ 0
    LogLower,
    /// t − t²/2 ≤ log(1 + t) ≤ t − t²/2 + t³/3 for t ≥ 0
    LogSeries,
    /// log u ≤ log v for 0 < u ≤ v
    LogMonotone,
    /// u ≥ v from log u ≥ log v
    LogOrder,
    /// u > v from log u > log v
    LogStrictOrder,
    /// e u log u ≥ −1
    LogMinimum,
    /// |sin u| ≤ 1, |cos u| ≤ 1, sin² u + cos² u = 1
    CircleBound,
    /// −u ≤ sin u ≤ u for u ≥ 0
    SineLinear,
    /// sin u ≥ u − u³/6 for u ≥ 0
    SineCubic,
    /// cos u ≥ 1 − u²/2
    CosineSquare,
    /// cos u ≤ 1 − u²/2 + u⁴/24
    CosineFourth,
    /// sin u > 0 for 0 < u < π
    SinePositive,
    /// cos u > 0 for −π/2 < u < π/2
    CosinePositive,
    /// sin u ≥ 0 for 0 ≤ u ≤ π
    SineSign,
    /// cos u ≥ 0 for −π/2 ≤ u ≤ π/2
    CosineSign,
    /// sin u ≤ sin v for −π/2 ≤ u ≤ v ≤ π/2
    SineMonotone,
    /// cos u ≥ cos v for 0 ≤ u ≤ v ≤ π
    CosineMonotone,
    /// |sin u − sin v| ≤ u − v, the same for cos and arctan, for u ≥ v
    Lipschitz,
    /// |arctan u| < π/2
    AtanBound,
    /// 0 ≤ arctan u ≤ u, (1 + u²) arctan u ≥ u, u (π/2 − arctan u) ≤ 1 for u ≥ 0
    AtanLinear,
    /// arctan u ≥ arctan v for u ≥ v
    AtanMonotone,
    /// arctan u + arctan(1/u) = π/2 for u > 0
    AtanReciprocal,
    /// arctan u ≥ u − u³/3 for u ≥ 0
    AtanCubic,
    /// tan u ≥ u for 0 ≤ u < π/2
    TanLinear,
    /// b^x ≥ 0 for b ≥ 0
    PowerSign,
    /// b^n ≤ 1, b^n ≤ b, b^n (1 + n (1 − b)) ≤ 1 for 0 ≤ b ≤ 1, integer n ≥ 1
    PowerSmall,
    /// b^n ≥ 1 + n (b − 1) for b ≥ −1, integer n ≥ 1
    Bernoulli,
    /// b^n ≥ 1 + n (b − 1) + n (n − 1)/2 (b − 1)², b^n ≥ b for b ≥ 1, integer n ≥ 1
    Binomial,
    /// b^n ≥ 1 + n h + n (n − 1)/2 h² + n (n − 1)(n − 2)/6 h³, h = b − 1 ≥ 0, integer n ≥ 2
    BinomialThird,
    /// c^x ≤ b^x for 0 ≤ c ≤ b, x ≥ 0 (integer, or b, c > 0)
    PowerMonotone,
    /// b^n − c^n ≤ n (b − c) for 0 ≤ c ≤ b ≤ 1, integer n ≥ 1
    PowerDifference,
    /// b^x ≤ b^y for b ≥ 1, x ≤ y
    ExponentMonotone,
    /// b^x ≥ b^y for 0 < b ≤ 1, x ≤ y
    ExponentFalls,
    /// −1 ≤ b^n ≤ 1 for −1 ≤ b ≤ 1, integer n ≥ 0
    PowerBetween,
    /// e^(x u/(1+u)) ≤ (1+u)^x ≤ e^(x u) for u > 0, x > 0
    PowerExp,
    /// b^n ≥ e^(n t) (1 − n t²) with t = b − 1, for |t| ≤ 1, integer n ≥ 1: since
    /// (1 + t) e^(−t) ≥ (1 + t)(1 − t), and (1 − t²)^n ≥ 1 − n t²
    PowerExpLower,
    /// b^x ≤ e^(x (b − 1)) for b > 0, x ≥ 0
    PowerBelowExp,
    /// b^x = b · b^(x − 1) for b ≠ 0, or b ≥ 0 and an integer x ≥ 1
    PowerStep,
    /// s^n = c for s = c^(1/n), c ≥ 0, integer n ≥ 1
    RootPower,
    /// c^(1/n) ≤ u from c ≤ u^n, u ≥ 0, c ≥ 0, integer n ≥ 1
    RootOrder,
    /// n! ≥ n, n! ≥ 2^(n−1), n! ≥ 1 for an integer n ≥ 1
    FactorialGrowth,
    /// n! = n (n − 1)! for an integer n ≥ 1
    FactorialStep,
    /// |u|: |u| ≥ u, |u| ≥ −u
    AbsoluteValue,
    /// ⌊u⌋ ≤ u < ⌊u⌋ + 1
    FloorBound,
    /// ⌈u⌉ − 1 < u ≤ ⌈u⌉
    CeilBound,
    /// min{u, v, …} ≤ u, ≤ v, …
    MinBelow,
    /// max{u, v, …} ≥ u, ≥ v, …
    MaxAbove,
    /// max − min of two: max{u, v} + min{u, v} = u + v needs no condition
    MaxMinSum,
    /// a root is monotone: ᵏ√u ≥ ᵏ√v for u ≥ v ≥ 0 (k is the literal third argument)
    RootMonotone,
    /// b^n is an integer ≥ 1 for integers b ≥ 1, n ≥ 0
    PowerWhole,
    /// e^u > 1 + u for u ≠ 0
    ExpStrict,
    /// log u < u − 1, u log u > u − 1 for u > 0, u ≠ 1
    LogStrict,
    /// |sin u| < u, sin u > u − u³/6, cos u > 1 − u²/2 for u > 0
    SineStrict,
    /// 0 < arctan u < u, (1 + u²) arctan u > u, u (π/2 − arctan u) < 1 for u > 0
    AtanStrict,
    /// sin(u + v) = sin u cos v + cos u sin v, cos(u + v) = cos u cos v − sin u sin v
    AngleSum,
    /// sin²(n v) ≤ n² sin² v for an integer n ≥ 0
    SineMultiple,
    /// b^n > 1 + n (b − 1) for b ≥ 0, b ≠ 1, integer n ≥ 2
    BernoulliStrict,
    /// b^x ≥ b^y for 0 ≤ b ≤ 1, integers 0 ≤ x ≤ y
    WholeExponentFalls,
    /// c^(1/n) < u from c < u^n, u ≥ 0, c ≥ 0, integer n ≥ 1
    RootStrictOrder,
    /// n! ≤ n^(n−1) for an integer n ≥ 1
    FactorialBelowPower,
    /// n! ≤ 2 n^(n−2) for an integer n ≥ 2
    FactorialBelowHalf,
}

/// What a lemma asks and gives.
#[derive(Default)]
pub(super) struct Instance {
    /// Signs that must be known.
    pub(super) needs: Vec<(Expr, Sign)>,
    /// Expressions that must take integer values.
    pub(super) integers: Vec<Expr>,
    /// What then holds.
    pub(super) gives: Vec<(Expr, Sign)>,
}

impl Instance {
    pub(super) fn need(mut self, value: Expr, sign: Sign) -> Self {
        self.needs.push((value, sign));
        self
    }

    /// left ≤ right is needed.
    fn order(self, left: &Expr, right: &Expr) -> Self {
        self.need(right.minus(left), Sign::NonNegative)
    }

    pub(super) fn whole(mut self, value: &Expr) -> Self {
        self.integers.push(value.clone());
        self
    }

    /// left ≤ right is given.
    fn gives(mut self, left: &Expr, right: &Expr) -> Self {
        self.gives.push((right.minus(left), Sign::NonNegative));
        self
    }

    pub(super) fn result(mut self, value: Expr, sign: Sign) -> Self {
        self.gives.push((value, sign));
        self
    }
}

fn number(value: i64) -> Expr {
    Expr::integer(value)
}

fn product(items: &[&Expr]) -> Expr {
    Expr::product_of(items.iter().map(|item| (*item).clone()).collect())
}

fn power(base: &Expr, exponent: i64) -> Expr {
    base.power(&number(exponent))
}

/// The conditions and conclusions of a lemma at these arguments; `None` if their number is wrong.
pub(super) fn instance(lemma: Lemma, arguments: &[Expr]) -> Option<Instance> {
    exponential(lemma, arguments)
        .or_else(|| logarithmic(lemma, arguments))
        .or_else(|| circular(lemma, arguments))
        .or_else(|| powers(lemma, arguments))
        .or_else(|| further_powers(lemma, arguments))
        .or_else(|| discrete(lemma, arguments))
        .or_else(|| super::further::instance(lemma, arguments))
}

fn exponential(lemma: Lemma, arguments: &[Expr]) -> Option<Instance> {
    let (zero, one, all) = (number(0), number(1), Instance::default());
    if let [u, v] = arguments {
        return (lemma == Lemma::ExpMonotone).then(|| {
            all.order(u, v)
                .gives(&u.call(Function::Exp), &v.call(Function::Exp))
        });
    }
    let [u] = arguments else { return None };
    let exp = u.call(Function::Exp);
    let tangent = one.plus(u);
    let second = tangent.plus(&power(u, 2).over(&number(2)));
    let third = second.plus(&power(u, 3).over(&number(6)));
    Some(match lemma {
        Lemma::ExpTangent => all.gives(&tangent, &exp),
        Lemma::ExpSecond => all.order(&zero, u).gives(&second, &exp).gives(&one, &exp),
        // The remainder e^ξ u⁴/24 is never negative.
        Lemma::ExpThird => all.gives(&third, &exp),
        Lemma::ExpBelowOne => all.order(u, &zero).gives(&exp, &one),
        Lemma::ExpUpper => all.order(u, &one).gives(&exp, &tangent.plus(&power(u, 2))),
        Lemma::ExpThroughOrigin => {
            let e = Expr::from(Node::Constant(Constant::E));
            all.gives(&e.times(u), &exp)
        }
        Lemma::ExpReciprocal => all.gives(&one.minus(u).times(&exp), &one),
        _ => return None,
    })
}

fn logarithmic(lemma: Lemma, arguments: &[Expr]) -> Option<Instance> {
    let (zero, one, all) = (number(0), number(1), Instance::default());
    if let [u, v] = arguments {
        let gap = u.call(Function::Log).minus(&v.call(Function::Log));
        let all = all
            .need(u.clone(), Sign::Positive)
            .need(v.clone(), Sign::Positive);
        return Some(match lemma {
            Lemma::LogMonotone => all.order(u, v).result(gap.negative(), Sign::NonNegative),
            Lemma::LogOrder => all.need(gap, Sign::NonNegative).gives(v, u),
            Lemma::LogStrictOrder => all
                .need(gap, Sign::Positive)
                .result(u.minus(v), Sign::Positive),
            _ => return None,
        });
    }
    let [u] = arguments else { return None };
    let log = u.call(Function::Log);
    let shifted = one.plus(u).call(Function::Log);
    let second = u.minus(&power(u, 2).over(&number(2)));
    Some(match lemma {
        Lemma::LogTangent => all
            .need(u.clone(), Sign::Positive)
            .gives(&log, &u.minus(&one))
            .gives(&u.minus(&one), &u.times(&log)),
        Lemma::LogLower => all
            .order(&zero, u)
            .gives(&number(2).times(u), &number(2).plus(u).times(&shifted)),
        Lemma::LogSeries => all
            .order(&zero, u)
            .gives(&second, &shifted)
            .gives(&shifted, &second.plus(&power(u, 3).over(&number(3)))),
        Lemma::LogMinimum => {
            let e = Expr::from(Node::Constant(Constant::E));
            all.need(u.clone(), Sign::Positive)
                .gives(&number(-1), &product(&[&e, u, &log]))
        }
        _ => return None,
    })
}

fn circular(lemma: Lemma, arguments: &[Expr]) -> Option<Instance> {
    let (zero, one, all) = (number(0), number(1), Instance::default());
    let half = Expr::from(Node::Constant(Constant::Pi)).over(&number(2));
    if let [u, v] = arguments {
        let gap = |function| u.call(function).minus(&v.call(function));
        let width = u.minus(v);
        return Some(match lemma {
            Lemma::SineMonotone => all
                .order(&half.negative(), u)
                .order(u, v)
                .order(v, &half)
                .gives(&u.call(Function::Sin), &v.call(Function::Sin)),
            Lemma::CosineMonotone => all
                .order(&zero, u)
                .order(u, v)
                .order(v, &number(2).times(&half))
                .gives(&v.call(Function::Cos), &u.call(Function::Cos)),
            Lemma::Lipschitz => [Function::Sin, Function::Cos, Function::Atan].iter().fold(
                all.order(v, u),
                |all, function| {
                    all.gives(&gap(*function), &width)
                        .gives(&width.negative(), &gap(*function))
                },
            ),
            Lemma::AtanMonotone => all
                .order(v, u)
                .result(gap(Function::Atan), Sign::NonNegative),
            _ => return None,
        });
    }
    let [u] = arguments else { return None };
    let (sine, cosine, atan) = (
        u.call(Function::Sin),
        u.call(Function::Cos),
        u.call(Function::Atan),
    );
    let square = one.minus(&power(u, 2).over(&number(2)));
    Some(match lemma {
        Lemma::CircleBound => all
            .gives(&sine, &one)
            .gives(&number(-1), &sine)
            .gives(&cosine, &one)
            .gives(&number(-1), &cosine),
        Lemma::SineLinear => all
            .order(&zero, u)
            .gives(&sine, u)
            .gives(&u.negative(), &sine),
        Lemma::SineCubic => all
            .order(&zero, u)
            .gives(&u.minus(&power(u, 3).over(&number(6))), &sine),
        Lemma::CosineSquare => all.gives(&square, &cosine),
        Lemma::CosineFourth => all.gives(&cosine, &square.plus(&power(u, 4).over(&number(24)))),
        Lemma::SinePositive => all
            .need(u.clone(), Sign::Positive)
            .need(number(2).times(&half).minus(u), Sign::Positive)
            .result(sine, Sign::Positive),
        Lemma::CosinePositive => all
            .need(half.plus(u), Sign::Positive)
            .need(half.minus(u), Sign::Positive)
            .result(cosine, Sign::Positive),
        Lemma::SineSign => all
            .order(&zero, u)
            .order(u, &number(2).times(&half))
            .gives(&zero, &sine),
        Lemma::CosineSign => all
            .order(&half.negative(), u)
            .order(u, &half)
            .gives(&zero, &cosine),
        Lemma::AtanBound => all
            .result(half.minus(&atan), Sign::Positive)
            .result(half.plus(&atan), Sign::Positive),
        Lemma::AtanLinear => all
            .order(&zero, u)
            .gives(&zero, &atan)
            .gives(&atan, u)
            .gives(u, &one.plus(&power(u, 2)).times(&atan))
            .gives(&u.times(&half.minus(&atan)), &one),
        Lemma::AtanReciprocal => {
            let other = one.over(u).call(Function::Atan);
            all.need(u.clone(), Sign::Positive)
                .result(atan.plus(&other).minus(&half), Sign::Zero)
        }
        Lemma::AtanCubic => all
            .order(&zero, u)
            .gives(&u.minus(&power(u, 3).over(&number(3))), &atan),
        Lemma::TanLinear => all
            .order(&zero, u)
            .need(half.minus(u), Sign::Positive)
            .gives(u, &u.call(Function::Tan)),
        _ => return None,
    })
}

fn powers(lemma: Lemma, arguments: &[Expr]) -> Option<Instance> {
    let (zero, one, all) = (number(0), number(1), Instance::default());
    let [b, n] = arguments else { return None };
    let value = b.power(n);
    let h = b.minus(&one);
    let linear = one.plus(&n.times(&h));
    let pairs = n.times(&n.minus(&one)).over(&number(2));
    let second = linear.plus(&pairs.times(&power(&h, 2)));
    Some(match lemma {
        Lemma::PowerSign => all.order(&zero, b).gives(&zero, &value),
        Lemma::PowerSmall => all
            .whole(n)
            .order(&one, n)
            .order(&zero, b)
            .order(b, &one)
            .gives(&zero, &value)
            .gives(&value, &one)
            .gives(&value, b)
            .gives(&value.times(&one.plus(&n.times(&one.minus(b)))), &one),
        Lemma::Bernoulli => all
            .whole(n)
            .order(&one, n)
            .order(&number(-1), b)
            .gives(&linear, &value),
        Lemma::Binomial => all
            .whole(n)
            .order(&one, n)
            .order(&one, b)
            .gives(&second, &value)
            .gives(b, &value),
        Lemma::BinomialThird => {
            let triples = product(&[n, &n.minus(&one), &n.minus(&number(2))]).over(&number(6));
            all.whole(n)
                .order(&number(2), n)
                .order(&one, b)
                .gives(&second.plus(&triples.times(&power(&h, 3))), &value)
        }
        Lemma::PowerBetween => all
            .whole(n)
            .order(&zero, n)
            .order(&number(-1), b)
            .order(b, &one)
            .gives(&number(-1), &value)
            .gives(&value, &one),
        Lemma::PowerExpLower => {
            let exp = n.times(&h).call(Function::Exp);
            let rest = one.minus(&n.times(&power(&h, 2)));
            all.whole(n)
                .order(&one, n)
                .order(&zero, b)
                .order(b, &number(2))
                .gives(&exp.times(&rest), &value)
        }
        Lemma::PowerBelowExp => all
            .need(b.clone(), Sign::Positive)
            .order(&zero, n)
            .gives(&value, &n.times(&h).call(Function::Exp)),
        Lemma::PowerExp => {
            let upper = n.times(&h).call(Function::Exp);
            let lower = n.times(&h).over(b).call(Function::Exp);
            all.order(&one, b)
                .order(&zero, n)
                .gives(&value, &upper)
                .gives(&lower, &value)
        }
        _ => return None,
    })
}

fn further_powers(lemma: Lemma, arguments: &[Expr]) -> Option<Instance> {
    let (zero, one, all) = (number(0), number(1), Instance::default());
    match (lemma, arguments) {
        (Lemma::PowerMonotone, [c, b, x]) => {
            let whole = all
                .order(&zero, x)
                .order(c, b)
                .gives(&c.power(x), &b.power(x));
            // For c = 0 a real exponent 0 is excluded: an integer one has 0⁰ = 1 on both sides.
            Some(whole.order(&zero, c).whole(x))
        }
        (Lemma::PowerDifference, [c, b, n]) => Some(
            all.whole(n)
                .order(&one, n)
                .order(&zero, c)
                .order(c, b)
                .order(b, &one)
                .gives(&b.power(n).minus(&c.power(n)), &n.times(&b.minus(c))),
        ),
        (Lemma::ExponentMonotone, [b, x, y]) => Some(
            all.order(&one, b)
                .order(x, y)
                .gives(&b.power(x), &b.power(y)),
        ),
        (Lemma::ExponentFalls, [b, x, y]) => Some(
            all.need(b.clone(), Sign::Positive)
                .order(b, &one)
                .order(x, y)
                .gives(&b.power(y), &b.power(x)),
        ),
        (Lemma::PowerStep, [b, n]) => Some(all.whole(n).order(&one, n).result(
            b.power(n).minus(&b.times(&b.power(&n.minus(&one)))),
            Sign::Zero,
        )),
        (Lemma::RootPower, [c, n]) => {
            let root = c.power(&one.over(n));
            Some(
                all.whole(n)
                    .order(&one, n)
                    .order(&zero, c)
                    .result(root.power(n).minus(c), Sign::Zero),
            )
        }
        (Lemma::RootOrder, [u, c, n]) => Some(
            all.whole(n)
                .order(&one, n)
                .order(&zero, u)
                .order(&zero, c)
                .order(c, &u.power(n))
                .gives(&c.power(&one.over(n)), u),
        ),
        (Lemma::RootMonotone, [u, v, k]) => {
            let k = whole(&k.as_number()?)
                .and_then(|k| u32::try_from(k).ok())
                .filter(|k| *k >= 2)?;
            let root = |of: &Expr| Expr::from(Node::Root(k, of.clone()));
            Some(all.order(&zero, v).order(v, u).gives(&root(v), &root(u)))
        }
        _ => None,
    }
}

fn discrete(lemma: Lemma, arguments: &[Expr]) -> Option<Instance> {
    let (one, all) = (number(1), Instance::default());
    match (lemma, arguments) {
        (Lemma::FactorialGrowth, [n]) => {
            let value = n.call(Function::Factorial);
            let growth = number(2).power(&n.minus(&one));
            Some(
                all.whole(n)
                    .order(&one, n)
                    .gives(n, &value)
                    .gives(&growth, &value)
                    .gives(&one, &value),
            )
        }
        (Lemma::FactorialStep, [n]) => {
            let lower = n.minus(&one).call(Function::Factorial);
            Some(all.whole(n).order(&one, n).result(
                n.call(Function::Factorial).minus(&n.times(&lower)),
                Sign::Zero,
            ))
        }
        (Lemma::AbsoluteValue, [u]) => Some(all.gives(u, &u.abs()).gives(&u.negative(), &u.abs())),
        (Lemma::FloorBound, [u]) => {
            let floor = u.call(Function::Floor);
            Some(
                all.gives(&floor, u)
                    .result(floor.plus(&one).minus(u), Sign::Positive),
            )
        }
        (Lemma::CeilBound, [u]) => {
            let ceil = u.call(Function::Ceil);
            Some(
                all.gives(u, &ceil)
                    .result(u.plus(&one).minus(&ceil), Sign::Positive),
            )
        }
        (Lemma::MinBelow, [_, ..]) => {
            let least: Expr = Node::Min(arguments.to_vec()).into();
            Some(
                arguments
                    .iter()
                    .fold(all, |all, item| all.gives(&least, item)),
            )
        }
        (Lemma::MaxAbove, [_, ..]) => {
            let greatest: Expr = Node::Max(arguments.to_vec()).into();
            Some(
                arguments
                    .iter()
                    .fold(all, |all, item| all.gives(item, &greatest)),
            )
        }
        (Lemma::MaxMinSum, [u, v]) => {
            let greatest: Expr = Node::Max(arguments.to_vec()).into();
            let least: Expr = Node::Min(arguments.to_vec()).into();
            Some(all.result(greatest.plus(&least).minus(u).minus(v), Sign::Zero))
        }
        (Lemma::PowerWhole, [b, n]) => Some(
            all.whole(b)
                .whole(n)
                .order(&one, b)
                .order(&number(0), n)
                .gives(&one, &b.power(n)),
        ),
        _ => None,
    }
}
