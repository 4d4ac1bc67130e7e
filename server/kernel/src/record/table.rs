//! The keywords and fields of everything that occurs in evidence. A keyword once given is never
//! changed: records of earlier versions stay readable.

use super::code::{coded, coded_structure};
use crate::expr::{Condition, Constant, Function, Node, Relation};
use crate::goal::{Goal, Hypothesis, Kind, Origin, Problem, Variable};
use crate::recheck::{Lemma, Majorant, Proof, Shape, Sign, Step, Term, Witness};

coded!(Constant { "pi" Pi, "e" E });

coded!(Function {
    "exp" Exp, "log" Log, "sin" Sin, "cos" Cos, "tan" Tan, "atan" Atan, "asin" Asin, "acos" Acos,
    "sinh" Sinh, "cosh" Cosh, "tanh" Tanh, "abs" Abs, "floor" Floor, "ceil" Ceil, "sign" Sign,
    "factorial" Factorial,
});

coded!(Relation {
    "<" Less, "<=" LessEqual, "=" Equal, "!=" NotEqual, ">=" GreaterEqual, ">" Greater,
});

coded!(Node {
    "number" Number(value),
    "constant" Constant(which),
    "variable" Variable(name),
    "+" Add(items),
    "*" Mul(items),
    "-" Neg(inner),
    "/" Div(above, below),
    "^" Pow(base, exponent),
    "root" Root(degree, inner),
    "call" Call(function, inner),
    "min" Min(items),
    "max" Max(items),
    "sum" Sum { index, from, to, body },
    "product" Product { index, from, to, body },
    "derivative" Derivative { variable, body },
    "apply" Apply(name, items),
    "piecewise" Piecewise(branches),
});

coded!(Condition {
    "holds" Holds(left, relation, right),
    "and" And(items),
    "or" Or(items),
    "not" Not(inner),
    "integer" Integer(value),
});

coded!(Kind { "integer" Integer, "real" Real });

coded!(Origin {
    "domain" Domain, "range" Range, "choice" Choice, "assumption" Assumption, "earlier" Earlier,
});

coded_structure!(Variable "variable" { name, kind });
coded_structure!(Hypothesis "hypothesis" { condition, origin });
coded_structure!(Problem "problem" { variables, hypotheses, goal });

coded!(Goal {
    "holds" Holds(left, relation, right),
    "defined" Defined(value),
    "tends-to-zero" TendsToZero { term, index, points },
});

coded!(Sign {
    "zero" Zero, "nonnegative" NonNegative, "positive" Positive, "nonzero" NonZero,
});

coded!(Proof {
    "direct" Direct(steps),
    "cases" Cases { on, against, defined, branches },
    "either" Either { hypothesis, branches },
    "replace" Replace { hypothesis, variable, rest },
    "rewrite" Rewrite { hypothesis, rest },
    "through" Through { claim, first, rest },
    "values" Values { variable, from, single, tail },
    "parity" Parity { variable, half, even, odd },
    "induction" Induction { variable, from, base, step },
    "monotone" Monotone { variable, rising, end, defined, smooth, slope, strict_slope, start },
    "concave" Concave { variable, left, right, defined, smooth, bend, strict_bend, ends },
    "majorant" Majorant(majorant),
});

coded_structure!(Majorant "bound" { coefficient, shape, start, bound, conditions });
coded_structure!(Witness "witness" { parameters, values, bound, stride, offset, start, proofs });

coded!(Shape {
    "zero" Zero, "power" Power(exponent), "geometric" Geometric(power, ratio),
    "logarithm" Logarithm(exponent),
});

coded_structure!(Term "term" { coefficient, facts, squares });

coded!(Step {
    "known" Known(value, sign),
    "combine" Combine(terms, multiples),
    "divide" Divide(place, factor),
    "compare" Compare { larger, smaller, power },
    "whole" Whole(place),
    "lemma" Lemma(lemma, arguments),
    "roots" Roots { value, atom, low, high, sign },
    "bracket" Bracket(value, low, high),
    "instance" Instance(problem, proof, values),
    "refute" Refute(value, sign, steps),
    "telescope" Telescope { sum, primitive, relation, steps },
    "exhaust" Exhaust { sum, primitive, relation, steps, vanishing },
    "termwise" Termwise { sum, other, relation, steps },
    "peel" Peel(sum),
    "split" Split(sum, at),
    "squeeze" Squeeze { sum, lower, upper, steps, vanishing },
    "geometric" Geometric(sum, ratio),
});

coded!(Lemma {
    "exp-tangent" ExpTangent,
    "exp-strict" ExpStrict,
    "log-strict" LogStrict,
    "sine-strict" SineStrict,
    "atan-strict" AtanStrict,
    "angle-sum" AngleSum,
    "sine-multiple" SineMultiple,
    "bernoulli-strict" BernoulliStrict,
    "whole-exponent-falls" WholeExponentFalls,
    "root-strict-order" RootStrictOrder,
    "factorial-below-power" FactorialBelowPower,
    "factorial-below-half" FactorialBelowHalf,
    "exp-second" ExpSecond,
    "exp-third" ExpThird,
    "exp-below-one" ExpBelowOne,
    "exp-upper" ExpUpper,
    "exp-monotone" ExpMonotone,
    "exp-through-origin" ExpThroughOrigin,
    "exp-reciprocal" ExpReciprocal,
    "log-tangent" LogTangent,
    "log-lower" LogLower,
    "log-series" LogSeries,
    "log-monotone" LogMonotone,
    "log-order" LogOrder,
    "log-strict-order" LogStrictOrder,
    "log-minimum" LogMinimum,
    "circle-bound" CircleBound,
    "sine-linear" SineLinear,
    "sine-cubic" SineCubic,
    "cosine-square" CosineSquare,
    "cosine-fourth" CosineFourth,
    "sine-positive" SinePositive,
    "cosine-positive" CosinePositive,
    "sine-sign" SineSign,
    "cosine-sign" CosineSign,
    "sine-monotone" SineMonotone,
    "cosine-monotone" CosineMonotone,
    "lipschitz" Lipschitz,
    "atan-bound" AtanBound,
    "atan-linear" AtanLinear,
    "atan-monotone" AtanMonotone,
    "atan-reciprocal" AtanReciprocal,
    "atan-cubic" AtanCubic,
    "tan-linear" TanLinear,
    "power-sign" PowerSign,
    "power-small" PowerSmall,
    "bernoulli" Bernoulli,
    "binomial" Binomial,
    "binomial-third" BinomialThird,
    "power-monotone" PowerMonotone,
    "power-difference" PowerDifference,
    "exponent-monotone" ExponentMonotone,
    "exponent-falls" ExponentFalls,
    "power-between" PowerBetween,
    "power-exp" PowerExp,
    "power-exp-lower" PowerExpLower,
    "power-below-exp" PowerBelowExp,
    "power-step" PowerStep,
    "root-power" RootPower,
    "root-order" RootOrder,
    "factorial-growth" FactorialGrowth,
    "factorial-step" FactorialStep,
    "absolute-value" AbsoluteValue,
    "floor-bound" FloorBound,
    "ceil-bound" CeilBound,
    "min-below" MinBelow,
    "max-above" MaxAbove,
    "max-min-sum" MaxMinSum,
    "root-monotone" RootMonotone,
    "power-whole" PowerWhole,
    "log-strict-monotone" LogStrictMonotone,
    "tan-strict" TanStrict,
    "power-smaller" PowerSmaller,
    "power-chord" PowerChord,
    "power-mean" PowerMean,
    "whole-power-below-exp" WholePowerBelowExp,
    "power-exp-near" PowerExpNear,
    "factorial-exp" FactorialExp,
    "factorial-mean" FactorialMean,
    "exp-partial" ExpPartial,
    "exp-remainder" ExpRemainder,
    "log-partial" LogPartial,
    "binomial-partial" BinomialPartial,
    "exp-near" ExpNear,
    "angle-triple" AngleTriple,
    "angle-fourfold" AngleFourfold,
    "cosine-multiple" CosineMultiple,
    "atan-order" AtanOrder,
    "atan-difference" AtanDifference,
    "atan-between" AtanBetween,
    "power-hump" PowerHump,
    "power-lipschitz" PowerLipschitz,
    "log-trapezoid" LogTrapezoid,
    "sine-chord" SineChord,
    "bernoulli-real" BernoulliReal,
    "bernoulli-falling" BernoulliFalling,
    "binomial-sum" BinomialSum,
    "binomial-mean" BinomialMean,
    "binomial-variance" BinomialVariance,
    "exp-taylor" ExpTaylor,
    "sine-taylor" SineTaylor,
    "cosine-taylor" CosineTaylor,
    "log-taylor" LogTaylor,
    "atan-taylor" AtanTaylor,
    "log-remainder" LogRemainder,
    "root-above" RootAbove,
    "exp-sum" ExpSum,
});
