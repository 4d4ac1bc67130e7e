//! The known inequalities that a proof may use: one table, each row with its conditions, what it
//! gives and why it is true.

use crate::algebra::Sign;
use crate::expr::text::conditions;
use crate::expr::{Condition, Expr};

/// Makes the list of names and the rows of the table.
macro_rules! lemmas {
    ($($(#[doc = $why:literal])+ $name:ident($($letter:ident)*) $(if $given:literal)? => $claims:literal;)+) => {
        /// The name of a known inequality.
        #[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
        pub enum Lemma {
            $(
                $(#[doc = $why])+
                #[doc = concat!("\n\n", $($given, " ⟹ ",)? $claims)]
                $name,
            )+
        }

        /// All rows.
        pub(super) const TABLE: &[Row] = &[$(Row {
            lemma: Lemma::$name,
            letters: &[$(stringify!($letter)),*],
            given: concat!($($given)?),
            claims: $claims,
        },)+];
    };
}

/// One known inequality.
pub(super) struct Row {
    pub(super) lemma: Lemma,
    /// What its arguments are called; none if it takes any number: `all` of them, and `each`.
    pub(super) letters: &'static [&'static str],
    /// What must be known.
    pub(super) given: &'static str,
    /// What then holds for all real values of the letters.
    pub(super) claims: &'static str,
}

// Chains are read link by link, and `integer n` asks for a value that is known to be an integer.
lemmas! {
    /// The graph of the convex function e^u lies above its tangent at 0.
    ExpTangent(u) => "exp(u) >= 1 + u";
    /// The tangent touches at 0 only.
    ExpStrict(u) if "u != 0" => "exp(u) > 1 + u";
    /// Taylor: the remainder e^ξ u³/6 is not negative.
    ExpSecond(u) if "0 <= u" => "exp(u) >= 1 + u + u^2/2, exp(u) >= 1";
    /// Taylor: the remainder e^ξ u⁴/24 is never negative.
    ExpThird(u) => "exp(u) >= 1 + u + u^2/2 + u^3/6";
    /// e^u increases and is 1 at 0.
    ExpBelowOne(u) if "u <= 0" => "exp(u) <= 1";
    /// (1 + u + u²) e^(−u) has the derivative u (1 − u) e^(−u): from 1 at 0 it rises up to u = 1, and
    /// it falls to 1 from the left.
    ExpUpper(u) if "u <= 1" => "exp(u) <= 1 + u + u^2";
    /// e^u increases.
    ExpMonotone(u v) if "u <= v" => "exp(u) <= exp(v)";
    /// The tangent at 1.
    ExpThroughOrigin(u) => "exp(u) >= e*u";
    /// e^h ≤ 1 + (e − 1) h ≤ 1 + 2 h for 0 ≤ h ≤ 1 by the chord of the convex function, times e^v.
    ExpNear(u v) if "v <= u <= v + 1" => "exp(u) - exp(v) <= 2*exp(v)*(u - v)";
    /// The functional equation.
    ExpSum(u v) => "exp(u + v) = exp(u)*exp(v)";
    /// e^(−u) ≥ 1 − u, times e^u.
    ExpReciprocal(u) => "(1 - u)*exp(u) <= 1";

    /// The tangent of the concave log u at 1; the same at 1/u, times u.
    LogTangent(u) if "0 < u" => "log(u) <= u - 1, u*log(u) >= u - 1";
    /// The tangent touches at 1 only.
    LogStrict(u) if "0 < u, u != 1" => "log(u) < u - 1, u*log(u) > u - 1";
    /// log(1 + u) − 2u/(2 + u) is 0 at 0 with the derivative u²/((1 + u)(2 + u)²).
    LogLower(u) if "0 <= u" => "2*u <= (2 + u)*log(1 + u)";
    /// 1 − t ≤ 1/(1 + t) ≤ 1 − t + t², integrated from 0 to u.
    LogSeries(u) if "0 <= u" => "u - u^2/2 <= log(1 + u) <= u - u^2/2 + u^3/3";
    /// With v = 1 + u: (v − 1/v)/2 − log v is 0 at 1 with the derivative (1 − 1/v)²/2.
    LogTrapezoid(u) if "0 <= u" => "2*(1 + u)*log(1 + u) <= u*(2 + u)";
    /// log u increases.
    LogMonotone(u v) if "0 < u, 0 < v, u <= v" => "log(u) <= log(v)";
    /// The same, strictly.
    LogStrictMonotone(u v) if "0 < u < v" => "log(u) < log(v)";
    /// log u increases strictly.
    LogOrder(u v) if "0 < u, 0 < v, log(v) <= log(u)" => "v <= u";
    /// The same, strictly.
    LogStrictOrder(u v) if "0 < u, 0 < v, log(v) < log(u)" => "v < u";
    /// log u ≥ 1 − 1/u at e u: log u ≥ −1/(e u).
    LogMinimum(u) if "0 < u" => "-1 <= e*u*log(u)";

    /// sin² u + cos² u = 1.
    CircleBound(u) => "sin(u) <= 1, -1 <= sin(u), cos(u) <= 1, -1 <= cos(u)";
    /// |cos| ≤ 1, integrated from 0 to u.
    SineLinear(u) if "0 <= u" => "sin(u) <= u, -u <= sin(u)";
    /// cos t ≥ 1 − t²/2, integrated from 0 to u.
    SineCubic(u) if "0 <= u" => "u - u^3/6 <= sin(u)";
    /// sin t ≤ t, integrated from 0 to |u|.
    CosineSquare(u) => "1 - u^2/2 <= cos(u)";
    /// sin t ≥ t − t³/6, integrated from 0 to |u|.
    CosineFourth(u) => "cos(u) <= 1 - u^2/2 + u^4/24";
    /// The same four: cos t = 1 only at the multiples of 2π, so the integrals are strict.
    SineStrict(u) if "0 < u" => "sin(u) < u, -u < sin(u), u - u^3/6 < sin(u), 1 - u^2/2 < cos(u)";
    /// The first zero of the sine after 0 is π.
    SinePositive(u) if "0 < u < pi" => "0 < sin(u)";
    /// cos u = sin(π/2 − u).
    CosinePositive(u) if "-pi/2 < u < pi/2" => "0 < cos(u)";
    /// The same with both ends, at which the sine is 0.
    SineSign(u) if "0 <= u <= pi" => "0 <= sin(u)";
    /// The same with both ends, at which the cosine is 0.
    CosineSign(u) if "-pi/2 <= u <= pi/2" => "0 <= cos(u)";
    /// The concave sine lies above its chord from 0 to π/2.
    SineChord(u) if "0 <= u <= pi/2" => "2*u <= pi*sin(u)";
    /// The derivative cos is not negative there.
    SineMonotone(u v) if "-pi/2 <= u <= v <= pi/2" => "sin(u) <= sin(v)";
    /// The derivative −sin is not positive there.
    CosineMonotone(u v) if "0 <= u <= v <= pi" => "cos(v) <= cos(u)";
    /// Mean values: the derivatives cos, −sin and 1/(1 + t²) lie between −1 and 1.
    Lipschitz(u v) if "v <= u" => "sin(u) - sin(v) <= u - v, v - u <= sin(u) - sin(v), \
        cos(u) - cos(v) <= u - v, v - u <= cos(u) - cos(v), \
        atan(u) - atan(v) <= u - v, v - u <= atan(u) - atan(v)";
    /// Addition theorems.
    AngleSum(u v) => "sin(u + v) = sin(u)*cos(v) + cos(u)*sin(v), \
        cos(u + v) = cos(u)*cos(v) - sin(u)*sin(v)";
    /// Addition theorems for u + 2 u, with sin² u + cos² u = 1.
    AngleTriple(u) => "sin(3*u) = 3*sin(u) - 4*sin(u)^3, cos(3*u) = 4*cos(u)^3 - 3*cos(u)";
    /// The double of the double angle.
    AngleFourfold(u) => "sin(4*u) = 4*sin(u)*cos(u)*(1 - 2*sin(u)^2), \
        cos(4*u) = 8*cos(u)^4 - 8*cos(u)^2 + 1";
    /// Induction: |sin((u + 1) v)| ≤ |sin(u v)| + |sin v|.
    SineMultiple(u v) if "integer u, 0 <= u" => "sin(u*v)^2 <= (u*sin(v))^2";
    /// The same at v/2: 1 − cos v = 2 sin²(v/2).
    CosineMultiple(u v) if "integer u" => "1 - cos(u*v) <= u^2*(1 - cos(v))";

    /// The range of the arctangent.
    AtanBound(u) => "atan(u) < pi/2, -pi/2 < atan(u)";
    /// The derivative 1/(1 + t²) lies between 1/(1 + u²) and 1 for 0 ≤ t ≤ u; and arctan(1/u) ≤ 1/u.
    AtanLinear(u) if "0 <= u" =>
        "0 <= atan(u) <= u, u <= (1 + u^2)*atan(u), u*(pi/2 - atan(u)) <= 1";
    /// The same: the derivative is between them strictly for 0 < t < u.
    AtanStrict(u) if "0 < u" =>
        "0 < atan(u) < u, u < (1 + u^2)*atan(u), u*(pi/2 - atan(u)) < 1";
    /// The derivative 1/(1 + t²) is positive.
    AtanMonotone(u v) if "v <= u" => "atan(v) <= atan(u)";
    /// arctan increases strictly.
    AtanOrder(u v) if "atan(v) <= atan(u)" => "v <= u";
    /// For −1 < u v the difference d lies in [0, π/2), and d ≤ tan d = (u − v)/(1 + u v); else the
    /// left side is not positive.
    AtanDifference(u v) if "v <= u" => "(1 + u*v)*(atan(u) - atan(v)) <= u - v";
    /// Mean value: the derivative 1/(1 + t²) falls for t ≥ 0.
    AtanBetween(u v) if "0 <= v <= u" => "(1 + v^2)*(atan(u) - atan(v)) <= u - v, \
        u - v <= (1 + u^2)*(atan(u) - atan(v))";
    /// The two acute angles of a right triangle.
    AtanReciprocal(u) if "0 < u" => "atan(u) + atan(1/u) = pi/2";
    /// 1/(1 + t²) ≥ 1 − t², integrated from 0 to u.
    AtanCubic(u) if "0 <= u" => "u - u^3/3 <= atan(u)";
    /// The derivative of tan is 1 + tan² ≥ 1.
    TanLinear(u) if "0 <= u < pi/2" => "u <= tan(u)";
    /// The derivative is greater than 1 inside.
    TanStrict(u) if "0 < u < pi/2" => "u < tan(u)";

    /// A power of a number that is not negative, wherever it is defined.
    PowerSign(b x) if "0 <= b" => "0 <= b^x";
    /// Bernoulli at 1/b: b^(−n) ≥ 1 + n (1/b − 1) ≥ 1 + n (1 − b).
    PowerSmall(b n) if "integer n, 1 <= n, 0 <= b <= 1" =>
        "0 <= b^n, b^n <= 1, b^n <= b, b^n*(1 + n*(1 - b)) <= 1";
    /// Bernoulli at 1/b, times b^(n + 1).
    PowerSmaller(b n) if "integer n, 1 <= n, 0 <= b <= 1" => "b^n*(b + n*(1 - b)) <= b";
    /// At its greatest, b = x/(x + 1), the left side is e (1 − 1/(x + 1))^(x + 1) ≤ 1.
    PowerHump(b x) if "0 <= x, 0 <= b <= 1" => "e*x*b^x*(1 - b) <= 1";
    /// Bernoulli: by induction for b ≥ 0; else b^n ≥ −1 and the right side is at most 1 − n ≤ −1
    /// for n ≥ 2.
    Bernoulli(b n) if "integer n, 1 <= n, -1 <= b" => "1 + n*(b - 1) <= b^n";
    /// The convex function b^y of b lies above its tangent at 1.
    BernoulliReal(b y) if "0 < b, 1 <= y" => "1 + y*(b - 1) <= b^y";
    /// The same.
    BernoulliFalling(b y) if "0 < b, y <= 0" => "1 + y*(b - 1) <= b^y";
    /// In the induction n (b − 1)² > 0 is dropped.
    BernoulliStrict(b n) if "integer n, 2 <= n, 0 <= b, b != 1" => "1 + n*(b - 1) < b^n";
    /// The binomial expansion at b = 1 + h, h ≥ 0, without its later terms.
    Binomial(b n) if "integer n, 1 <= n, 1 <= b" =>
        "1 + n*(b - 1) + n*(n - 1)/2*(b - 1)^2 <= b^n, b <= b^n";
    /// The same with one term more.
    BinomialThird(b n) if "integer n, 2 <= n, 1 <= b" =>
        "1 + n*(b - 1) + n*(n - 1)/2*(b - 1)^2 + n*(n - 1)*(n - 2)/6*(b - 1)^3 <= b^n";
    /// A product of n factors from −1 to 1.
    PowerBetween(b n) if "integer n, 0 <= n, -1 <= b <= 1" => "-1 <= b^n <= 1";
    /// A product of x inequalities 0 ≤ c ≤ b.
    PowerMonotone(c b x) if "integer x, 0 <= x, 0 <= c <= b" => "c^x <= b^x";
    /// b^n − c^n = (b − c) times a sum of n products that are at most 1.
    PowerDifference(c b n) if "integer n, 1 <= n, 0 <= c <= b <= 1" =>
        "b^n - c^n <= n*(b - c)";
    /// u^n − v^n = (u − v) times a sum of n products of n − 1 factors of size at most c.
    PowerLipschitz(u v c n) if "integer n, 1 <= n, abs(u) <= c, abs(v) <= c" =>
        "u^n - v^n <= n*c^(n - 1)*abs(u - v)";
    /// b^x = e^(x log b) with log b ≥ 0.
    ExponentMonotone(b x y) if "1 <= b, x <= y" => "b^x <= b^y";
    /// b^x = e^(x log b) with log b ≤ 0.
    ExponentFalls(b x y) if "0 < b <= 1, x <= y" => "b^y <= b^x";
    /// The same for integers; 0⁰ = 1 spoils nothing, since the greater exponent is on the lesser side.
    WholeExponentFalls(b x y) if "integer x, integer y, 0 <= x <= y, 0 <= b <= 1" =>
        "b^y <= b^x";
    /// The chord of the convex function b^t from t = 0 to y, at t = x.
    PowerChord(b x y) if "0 <= b, 0 < x <= y" => "y*b^x <= y - x + x*b^y";
    /// The convex function t^n at the middle of b and c.
    PowerMean(b c n) if "integer n, 0 <= n, 0 <= b, 0 <= c" =>
        "((b + c)/2)^n <= (b^n + c^n)/2";
    /// log b ≤ b − 1 and log b ≥ 1 − 1/b, times x.
    PowerExp(b x) if "1 <= b, 0 <= x" => "b^x <= exp(x*(b - 1)), exp(x*(b - 1)/b) <= b^x";
    /// log b ≤ b − 1, times x.
    PowerBelowExp(b x) if "0 < b, 0 <= x" => "b^x <= exp(x*(b - 1))";
    /// A product of n inequalities 0 ≤ b ≤ e^(b − 1).
    WholePowerBelowExp(b n) if "integer n, 0 <= n, 0 <= b" => "b^n <= exp(n*(b - 1))";
    /// With t = b − 1: (1 + t) e^(−t) ≥ (1 + t)(1 − t), and (1 − t²)^n ≥ 1 − n t² by Bernoulli.
    PowerExpLower(b n) if "integer n, 1 <= n, 0 <= b <= 2" =>
        "exp(n*(b - 1))*(1 - n*(b - 1)^2) <= b^n";
    /// With t = b − 1: log b ≥ t − t²/2, times x, and e^(−x t²/2) ≥ 1 − x t²/2.
    PowerExpNear(b x) if "1 <= b, 0 <= x" => "exp(x*(b - 1))*(1 - x*(b - 1)^2/2) <= b^x";
    /// One factor split off.
    PowerStep(b n) if "integer n, 1 <= n" => "b^n = b*b^(n - 1)";
    /// Integers are closed under multiplication.
    PowerWhole(b n) if "integer b, integer n, 1 <= b, 0 <= n" => "1 <= b^n";

    /// The root of that degree.
    RootPower(c n) if "integer n, 1 <= n, 0 <= c" => "(c^(1/n))^n = c";
    /// Roots increase.
    RootOrder(u c n) if "integer n, 1 <= n, 0 <= u, 0 <= c, c <= u^n" => "c^(1/n) <= u";
    /// Roots increase strictly.
    RootStrictOrder(u c n) if "integer n, 1 <= n, 0 <= u, 0 <= c, c < u^n" => "c^(1/n) < u";
    /// The same, for a lower bound.
    RootAbove(u c n) if "integer n, 1 <= n, 0 <= u, u^n <= c" => "u <= c^(1/n)";
    /// Roots increase; the degree k is a numeral.
    RootMonotone(u v k) if "0 <= v <= u" => "root(v, k) <= root(u, k)";

    /// Of the factors 1, 2, …, n the last is n, and all but the first are at least 2.
    FactorialGrowth(n) if "integer n, 1 <= n" => "n <= fact(n), 2^(n - 1) <= fact(n), 1 <= fact(n)";
    /// The last factor split off.
    FactorialStep(n) if "integer n, 1 <= n" => "fact(n) = n*fact(n - 1)";
    /// Of the factors 1, 2, …, n all but the first are at most n.
    FactorialBelowPower(n) if "integer n, 1 <= n" => "fact(n) <= n^(n - 1)";
    /// All but the first two are at most n.
    FactorialBelowHalf(n) if "integer n, 2 <= n" => "fact(n) <= 2*n^(n - 2)";
    /// The n-th term of the series of e^u.
    FactorialExp(u n) if "integer n, 0 <= n, 0 <= u" => "u^n <= fact(n)*exp(u)";
    /// The product of two factors k and n + 1 − k lies between n and the square of their mean.
    FactorialMean(n) if "integer n, 0 <= n" => "fact(n) <= ((n + 1)/2)^n, n^n <= fact(n)^2";

    /// The series of e^u has no negative terms.
    ExpPartial(u n) if "integer n, 0 <= n, 0 <= u" => "sum(k, 0, n, u^k/fact(k)) <= exp(u)";
    /// The terms that are left fall at least as a geometric series with the ratio u/(n + 2).
    ExpRemainder(u n) if "integer n, 0 <= n, 0 <= u < n + 2" =>
        "(exp(u) - sum(k, 0, n, u^k/fact(k)))*(n + 2 - u)*fact(n + 1) <= (n + 2)*u^(n + 1)";
    /// The binomial theorem, every term times c.
    BinomialSum(u v c n) if "integer n, 0 <= n" =>
        "sum(k, 0, n, c*fact(n)/(fact(k)*fact(n - k))*u^k*v^(n - k)) = c*(u + v)^n";
    /// The mean n u of the binomial distribution, by u d/du of the binomial theorem at u + v = 1.
    BinomialMean(u c n) if "integer n, 0 <= n" =>
        "sum(k, 0, n, c*k*fact(n)/(fact(k)*fact(n - k))*u^k*(1 - u)^(n - k)) = c*n*u";
    /// Its variance n u (1 − u), in the same way.
    BinomialVariance(u c n) if "integer n, 0 <= n" =>
        "sum(k, 0, n, c*(k - n*u)^2*fact(n)/(fact(k)*fact(n - k))*u^k*(1 - u)^(n - k)) = \
        c*n*u*(1 - u)";
    /// Taylor: the remainder is e^ξ u^(n + 1)/(n + 1)! with ξ between 0 and u.
    ExpTaylor(u n) if "integer n, 0 <= n" =>
        "(exp(u) - sum(k, 0, n, u^k/fact(k)))*fact(n + 1) <= abs(u)^(n + 1)*exp(max(u, 0)), \
        (sum(k, 0, n, u^k/fact(k)) - exp(u))*fact(n + 1) <= abs(u)^(n + 1)*exp(max(u, 0))";
    /// Taylor: the term of degree 2 n + 2 is 0, and all derivatives lie between −1 and 1.
    SineTaylor(u n) if "integer n, 0 <= n" =>
        "(sin(u) - sum(k, 0, n, (-1)^k*u^(2*k + 1)/fact(2*k + 1)))*fact(2*n + 3) <= abs(u)^(2*n + 3), \
        (sum(k, 0, n, (-1)^k*u^(2*k + 1)/fact(2*k + 1)) - sin(u))*fact(2*n + 3) <= abs(u)^(2*n + 3)";
    /// The same: the term of degree 2 n + 1 is 0.
    CosineTaylor(u n) if "integer n, 0 <= n" =>
        "(cos(u) - sum(k, 0, n, (-1)^k*u^(2*k)/fact(2*k)))*fact(2*n + 2) <= abs(u)^(2*n + 2), \
        (sum(k, 0, n, (-1)^k*u^(2*k)/fact(2*k)) - cos(u))*fact(2*n + 2) <= abs(u)^(2*n + 2)";
    /// 1/(1 + t) minus its geometric sum is ±t^n/(1 + t), of size at most t^n, integrated from 0 to u.
    LogTaylor(u n) if "integer n, 1 <= n, 0 <= u" =>
        "(log(1 + u) - sum(k, 1, n, (-1)^(k + 1)*u^k/k))*(n + 1) <= u^(n + 1), \
        (sum(k, 1, n, (-1)^(k + 1)*u^k/k) - log(1 + u))*(n + 1) <= u^(n + 1)";
    /// The same with 1/(1 + t²) and ±t^(2 n + 2)/(1 + t²).
    AtanTaylor(u n) if "integer n, 0 <= n" =>
        "(atan(u) - sum(k, 0, n, (-1)^k*u^(2*k + 1)/(2*k + 1)))*(2*n + 3) <= abs(u)^(2*n + 3), \
        (sum(k, 0, n, (-1)^k*u^(2*k + 1)/(2*k + 1)) - atan(u))*(2*n + 3) <= abs(u)^(2*n + 3)";
    /// The series of −log(1 − u) has no negative terms.
    LogPartial(u n) if "integer n, 1 <= n, 0 <= u < 1" =>
        "sum(k, 1, n, u^k/k) <= -log(1 - u)";
    /// The terms that are left are at most u^k/(n + 1), a geometric series.
    LogRemainder(u n) if "integer n, 0 <= n, 0 <= u < 1" =>
        "(-log(1 - u) - sum(k, 1, n, u^k/k))*(n + 1)*(1 - u) <= u^(n + 1)";
    /// The binomial coefficient of n and k is at most n^k/k!.
    BinomialPartial(u n) if "integer n, 1 <= n, 0 <= u" =>
        "(1 + u/n)^n <= sum(k, 0, n, u^k/fact(k))";

    /// The absolute value is one of the two.
    AbsoluteValue(u) => "u <= abs(u), -u <= abs(u)";
    /// The greatest integer that is at most u.
    FloorBound(u) => "floor(u) <= u < floor(u) + 1";
    /// The least integer that is at least u.
    CeilBound(u) => "u <= ceil(u) < u + 1";
    /// The least of them.
    MinBelow() => "min(all) <= each";
    /// The greatest of them.
    MaxAbove() => "each <= max(all)";
    /// One of two is the greatest, the other the least.
    MaxMinSum(u v) => "max(u, v) + min(u, v) = u + v";
}

/// Conditions that must be known, and what then holds, as signs of differences.
pub(super) type Instance = (Vec<Condition>, Vec<(Expr, Sign)>);

impl Lemma {
    /// Its row.
    pub(super) fn row(self) -> Option<&'static Row> {
        TABLE.iter().find(|row| row.lemma == self)
    }
}

impl Row {
    /// The inequality at these arguments; `None` if their number is wrong.
    pub(super) fn at(&self, arguments: &[Expr]) -> Option<Instance> {
        let any = self.letters.is_empty();
        (any || self.letters.len() == arguments.len()).then_some(())?;
        let (mut given, mut claims) = (Vec::new(), Vec::new());
        for each in &arguments[..if any { arguments.len() } else { 1 }] {
            let put = |name: &str| match name {
                "all" if any => Some(arguments.to_vec()),
                "each" if any => Some(vec![each.clone()]),
                _ => {
                    let place = self.letters.iter().position(|letter| *letter == name)?;
                    Some(vec![arguments[place].clone()])
                }
            };
            given.extend(conditions(self.given, &put)?);
            for claim in conditions(self.claims, &put)? {
                let Condition::Holds(left, relation, right) = claim else {
                    return None;
                };
                claims.push(Sign::of_relation(&left, relation, &right));
            }
        }
        (!claims.is_empty()).then_some((given, claims))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
