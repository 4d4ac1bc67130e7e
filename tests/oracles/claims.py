"""Families of claims whose truth is known by construction, sharp constants loosened and tightened.

Each family names an error term, its supremum over the domain as a function of the index, and a
point where that supremum is taken (or a sequence that comes as close as one likes).
"""

import re
from fractions import Fraction

SLACKS = [Fraction(1, 10), Fraction(1, 100), Fraction(1, 1000), Fraction(1, 10000)]


def claim(family, variables, hypotheses, left, relation, right, truth, point=None):
    """One claim in the format of obligations; `point` is required where it is false."""
    return {
        "topic": family,
        "vars": {
            name: {"kind": kind, "domain": domain} for name, kind, domain in variables
        },
        "hyps_expr": hypotheses,
        "lhs": left,
        "rel": relation,
        "rhs": right,
        "truth": truth,
        "counterexample": point,
    }


# family, error, domain of x, supremum, point x*(n), attained
# Where the supremum is not attained, x* takes a letter t (large) that comes close to it.
SUPREMA = [
    ("quotient", "x/(n+x)", "[0,1]", "1/(n+1)", "1", True),
    ("quotient-wide", "x/(n+x)", "[0,7/2]", "7/(2*n+7)", "7/2", True),
    ("quotient-square", "x**2/(n+x**2)", "[-2,2]", "4/(n+4)", "2", True),
    ("bump", "abs(x)/(1+n*x**2)", "(-oo,oo)", "1/(2*sqrt(n))", "1/sqrt(n)", True),
    ("wide-bump", "abs(x)/(n**2+x**2)", "(-oo,oo)", "1/(2*n)", "n", True),
    ("moving-bump", "n*x/(1+n**2*x**2)", "[0,oo)", "1/2", "1/n", True),
    ("reciprocal", "1/(n+x**2)", "(-oo,oo)", "1/n", "0", True),
    ("reciprocal-away", "1/(n*x)", "[1/2,oo)", "2/n", "1/2", True),
    ("quartic", "x**2/(n+x**4)", "(-oo,oo)", "1/(2*sqrt(n))", "n**(1/4)", True),
    ("shifted", "abs((n+x)/(n+1)-1)", "[0,3]", "2/(n+1)", "3", True),
    ("root-gap", "sqrt(x**2+1/n)-abs(x)", "(-oo,oo)", "1/sqrt(n)", "0", True),
    ("root-step", "sqrt(x+1/n)-sqrt(x)", "[0,oo)", "1/sqrt(n)", "0", True),
    ("root-sum", "sqrt(n+x)-sqrt(n)", "[0,1]", "sqrt(n+1)-sqrt(n)", "1", True),
    ("root-over", "sqrt(x)/(n+x)", "[0,oo)", "1/(2*sqrt(n))", "n", True),
    ("power-bump", "x**n*(1-x)", "[0,1]", "(n/(n+1))**n/(n+1)", "n/(n+1)", True),
    ("power-half", "x**n", "[0,1/2]", "(1/2)**n", "1/2", True),
    ("power-pair", "x**n-x**(2*n)", "[0,1]", "1/4", "(1/2)**(1/n)", True),
    ("power-over", "x**n/n", "[-1,1]", "1/n", "1", True),
    ("decay", "x*exp(-n*x)", "[0,oo)", "1/(n*exp(1))", "1/n", True),
    ("decay-square", "x**2*exp(-n*x)", "[0,oo)", "4/(n**2*exp(2))", "2/n", True),
    ("decay-index", "n*x*exp(-n*x)", "[0,oo)", "exp(-1)", "1/n", True),
    ("decay-away", "exp(-n*x)", "[1,oo)", "exp(-n)", "1", True),
    ("bell", "x*exp(-n*x**2)", "[0,oo)", "1/sqrt(2*n*exp(1))", "1/sqrt(2*n)", True),
    ("growth", "exp(x/n)-1", "[0,1]", "exp(1/n)-1", "1", True),
    ("logarithm", "log(1+x/n)", "[0,1]", "log(1+1/n)", "1", True),
    ("logarithm-mean", "log(1+n*x)/n", "[0,2]", "log(1+2*n)/n", "2", True),
    ("wave", "abs(sin(n*x))/n", "(-oo,oo)", "1/n", "pi/(2*n)", True),
    ("wave-cosine", "abs(cos(x))/(n+x**2)", "(-oo,oo)", "1/n", "0", True),
    ("arc", "abs(atan(x/n))", "[-1,1]", "atan(1/n)", "1", True),
    ("arc-mean", "abs(atan(n*x))/n", "(-oo,oo)", "pi/(2*n)", "t", False),
    ("quotient-line", "x/(n+x)", "[0,oo)", "1", "n*t", False),
    ("power-open", "x**n", "[0,1)", "1", "1-1/(n*t)", False),
    ("quotient-open", "x/(n+x)", "[0,1)", "1/(n+1)", "1-1/t", False),
    ("reciprocal-open", "1/(n*x)", "(1/2,oo)", "2/n", "1/2+1/t", False),
]

LARGE = "1000000"


def near(point, index):
    """The witness at an index, as an exact expression."""
    return re.sub(r"\bt\b", LARGE, re.sub(r"\bn\b", f"({index})", point))


def suprema():
    """The supremum loosened (true), tightened (false), and as it is, strict and not."""
    for family, error, domain, supremum, point, attained in SUPREMA:
        variables = [("n", "int", "[1,oo)"), ("x", "real", domain)]
        for slack in SLACKS:
            loose, tight = 1 + slack, 1 - slack
            yield claim(family, variables, [], error, "<=", f"({loose})*({supremum})", True)
            index = "3"
            witness = {"n": index, "x": near(point, index)}
            yield claim(
                family, variables, [], error, "<=", f"({tight})*({supremum})", False, witness
            )
        if attained:
            yield claim(family, variables, [], error, "<=", supremum, True)
            witness = {"n": "1", "x": near(point, "1")}
            yield claim(family, variables, [], error, "<", supremum, False, witness)
        else:
            yield claim(family, variables, [], error, "<", supremum, True)


TOLERANCE = [("eps", "real", "(0,oo)"), ("N", "int", "[1,oo)"), ("n", "int", "[1,oo)")]


def rational_thresholds():
    """Errors c/(n+b): thresholds exact, off by one, n > N against n >= N."""
    for c, b in [(1, 0), (1, 1), (2, 1), (1, 3), (3, 2), (13, 5)]:
        error, family = f"{c}/(n+{b})", f"threshold-{c}-{b}"
        # With eps = c/(N0+b+1) the number c/eps - b is the integer N0 + 1.
        for edge, range_, relation, truth in [
            (f"N > {c}/eps-{b}", "n >= N", "<", True),
            (f"N >= {c}/eps-{b}", "n >= N", "<", False),
            (f"N >= {c}/eps-{b}", "n >= N", "<=", True),
            (f"N >= {c}/eps-{b}", "n > N", "<", True),
            (f"N >= {c}/eps-{b}-1", "n > N", "<", False),
            (f"N >= {c}/eps-{b}-1", "n > N", "<=", True),
            (f"N >= {c}/eps-{b}-2", "n > N", "<=", False),
            (f"N > {c}/eps-{b}-1", "n >= N", "<=", False),
        ]:
            first = 4
            point = None
            if not truth:
                offset = Fraction(0)
                if edge.endswith(f"-{b}-1") and edge.startswith("N >="):
                    offset = Fraction(1)
                if edge.endswith(f"-{b}-2"):
                    offset = Fraction(2)
                if edge.startswith("N > "):
                    offset = Fraction(1, 2)
                eps = Fraction(c) / (first + b + offset)
                index = first + (1 if range_ == "n > N" else 0)
                point = {"eps": str(eps), "N": str(first), "n": str(index)}
            yield claim(family, TOLERANCE, [edge, range_], error, relation, "eps", truth, point)


def scaled_thresholds():
    """Errors with a sharp constant: the threshold's constant tightened by a factor."""
    families = [
        ("threshold-root", "1/sqrt(n)", "1/eps**2", lambda n: f"1/sqrt({n})"),
        ("threshold-square", "3/n**2", "sqrt(3/eps)", lambda n: f"3/{n}**2"),
        ("threshold-linear", "5/(2*n)", "5/(2*eps)", lambda n: f"5/(2*{n})"),
        ("threshold-half", "(1/2)**n", "log(1/eps)/log(2)", lambda n: f"1/2**{n}"),
        ("threshold-third", "(2/3)**n", "log(1/eps)/log(3/2)", lambda n: f"(2/3)**{n}"),
        ("threshold-exp", "exp(-n)", "log(1/eps)", lambda n: f"exp(-{n})"),
    ]
    for family, error, threshold, value in families:
        yield claim(family, TOLERANCE, [f"N > {threshold}", "n >= N"], error, "<", "eps", True)
        yield claim(family, TOLERANCE, [f"N >= {threshold}", "n > N"], error, "<", "eps", True)
        for slack in SLACKS[:3]:
            # At n = N = M the choice eps = error(M) still admits N > (1-d) threshold = (1-d) M.
            index = 2 if "exp" in family else 4
            point = {"eps": value(index), "N": str(index), "n": str(index)}
            hypotheses = [f"N > ({1 - slack})*{threshold}", "n >= N"]
            yield claim(family, TOLERANCE, hypotheses, error, "<", "eps", False, point)


# left, relation, right, open domain (true there), closed domain (false there), point of failure
BORDERS = [
    ("x**2", "<", "2*x", "(0,2)", "[0,2]", "2"),
    ("1/x", ">", "1", "(0,1)", "(0,1]", "1"),
    ("x**2", "<", "x", "(0,1)", "[0,1)", "0"),
    ("sqrt(x)", ">", "x", "(0,1)", "(0,1]", "1"),
    ("sqrt(1+x)", "<", "1+x/2", "(0,oo)", "[0,oo)", "0"),
    ("2*x", "<", "1+x**2", "[0,1)", "[0,1]", "1"),
    ("sin(x)", "<", "x", "(0,oo)", "[0,oo)", "0"),
    ("cos(x)", "<", "1", "(0,6)", "[0,6]", "0"),
    ("exp(x)", ">", "1+x", "(0,oo)", "[0,oo)", "0"),
    ("log(1+x)", "<", "x", "(0,oo)", "[0,oo)", "0"),
    ("log(x)", "<", "x-1", "(1,oo)", "[1,oo)", "1"),
    ("atan(x)", "<", "x", "(0,oo)", "[0,oo)", "0"),
    ("x/(1+x)", "<", "1/2", "[0,1)", "[0,1]", "1"),
    ("x**3", "<", "x", "(0,1)", "(0,1]", "1"),
]

WEAK = {"<": "<=", ">": ">="}


def borders():
    """Strict on the open domain, false on the closed one, and true there when weakened."""
    for left, relation, right, inside, closed, point in BORDERS:
        for domain, sign, truth in [
            (inside, relation, True),
            (closed, relation, False),
            (closed, WEAK[relation], True),
        ]:
            witness = None if truth else {"x": point}
            yield claim("border", [("x", "real", domain)], [], left, sign, right, truth, witness)


# left, right, base of truth: left <= right exactly for n >= first
INDEX_BORDERS = [
    ("n**2", "2**n", 4, "3"),
    ("2*n+1", "2**n", 3, "2"),
    ("3*n", "n**2", 3, "2"),
    ("1/(n-1/2)", "2/n", 1, None),
    ("10*n", "2**n", 6, "5"),
    ("n/(n**2-2)", "2/n", 2, None),
    ("3/n", "1/sqrt(n)", 9, "8"),
    ("n+100", "2*n", 100, "99"),
    ("2**n", "factorial(n)", 4, "3"),
    ("3*n+7", "n**2", 5, "4"),
]


def index_borders():
    """Claims that begin to hold at an index: true from there on, false one before."""
    for left, right, first, before in INDEX_BORDERS:
        from_first = [("n", "int", f"[{first},oo)")]
        yield claim("index", from_first, [], left, "<=", right, True)
        if before is not None:
            earlier = [("n", "int", f"[{before},oo)")]
            yield claim("index", earlier, [], left, "<=", right, False, {"n": before})


def all_claims():
    """Every claim with its number, in a fixed order."""
    sources = [suprema, rational_thresholds, scaled_thresholds, borders, index_borders]
    claims = [item for source in sources for item in source()]
    for number, item in enumerate(claims, start=1):
        item["id"] = f"oracle-{number:03d}"
    return claims
