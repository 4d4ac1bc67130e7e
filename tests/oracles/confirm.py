"""Confirms the truth of claims by oracles that share nothing with the program.

False claims: the point is put in with 60 digits, ties are decided symbolically. True claims: Z3
where it applies (unsat of the negation), and a sweep over sample points with 40 digits.
"""

import itertools
import random

import mpmath
import sympy
import z3

DIGITS_OF_POINTS = 60
DIGITS_OF_SWEEPS = 40
POINTS_PER_SWEEP = 160
# A tie at a point of a sweep may differ in the last digits; a violation must exceed this.
TIE = mpmath.mpf(10) ** -30
Z3_STEPS = 3_000_000

SYMPY_NAMES = {"Sum": sympy.Sum, "eps": sympy.Symbol("eps"), "N": sympy.Symbol("N")}
SIGNS = ["<=", ">=", "!=", "<", ">", "="]


def expression(text):
    """A SymPy expression with exact numbers."""
    return sympy.sympify(text, locals=dict(SYMPY_NAMES), rational=True)


def relation(text):
    """Left side, sign and right side of a hypothesis."""
    for sign in SIGNS:
        if sign in text:
            left, right = text.split(sign, 1)
            return expression(left), sign, expression(right)
    raise ValueError(f"no relation in {text}")


def bounds(domain):
    """Lower end, whether it belongs, upper end, whether it belongs."""
    low, high = domain[1:-1].split(",")
    ends = [None if "oo" in end else expression(end) for end in (low, high)]
    return ends[0], domain[0] == "[", ends[1], domain[-1] == "]"


def conditions(claim):
    """Domains and hypotheses as relations."""
    found = [relation(text) for text in claim["hyps_expr"]]
    for name, what in claim["vars"].items():
        low, low_in, high, high_in = bounds(what["domain"])
        symbol = expression(name)
        if low is not None:
            found.append((low, "<=" if low_in else "<", symbol))
        if high is not None:
            found.append((symbol, "<=" if high_in else "<", high))
    return found


def ordering(left, right):
    """-1, 0 or 1 for two constants; 0 only if it is shown symbolically."""
    difference = left - right
    value = difference.evalf(DIGITS_OF_POINTS)
    if value.is_number and abs(value) > mpmath.mpf(10) ** -45:
        return 1 if value > 0 else -1
    if sympy.simplify(difference) == 0:
        return 0
    raise ValueError(f"{left} against {right} is not decided")


def admits(sign, order):
    """Whether a relation holds for that ordering."""
    return {
        "<": order < 0,
        "<=": order <= 0,
        "=": order == 0,
        "!=": order != 0,
        ">=": order >= 0,
        ">": order > 0,
    }[sign]


def confirm_false(claim):
    """Raises unless the point satisfies all conditions and breaks the claim."""
    point = {expression(name): expression(value) for name, value in claim["counterexample"].items()}
    for name, what in claim["vars"].items():
        if what["kind"] == "int" and not point[expression(name)].is_integer:
            raise ValueError(f"{claim['id']}: {name} is no integer")
    for left, sign, right in conditions(claim):
        if not admits(sign, ordering(left.subs(point), right.subs(point))):
            raise ValueError(f"{claim['id']}: the point breaks {left} {sign} {right}")
    order = ordering(expression(claim["lhs"]).subs(point), expression(claim["rhs"]).subs(point))
    if admits(claim["rel"], order):
        raise ValueError(f"{claim['id']}: the claim holds at its point")


def samples(domain, kind, source):
    """Values of one variable: ends, small ones, random ones on linear and logarithmic grids."""
    low, low_in, high, high_in = bounds(domain)
    low = None if low is None else mpmath.mpf(low.evalf(DIGITS_OF_SWEEPS))
    high = None if high is None else mpmath.mpf(high.evalf(DIGITS_OF_SWEEPS))
    values = [mpmath.mpf(k) for k in range(-6, 13)]
    values += [mpmath.mpf(source.uniform(-4, 4)) for _ in range(40)]
    values += [mpmath.mpf(10) ** source.uniform(-6, 4) for _ in range(40)]
    values += [-(mpmath.mpf(10) ** source.uniform(-6, 4)) for _ in range(10)]
    if low is not None:
        values += [low + mpmath.mpf(10) ** -source.uniform(0, 9) for _ in range(20)] + [low]
    if high is not None:
        values += [high - mpmath.mpf(10) ** -source.uniform(0, 9) for _ in range(20)] + [high]
    if kind == "int":
        values = [mpmath.floor(value) for value in values if abs(value) < 2000]
    inside = []
    for value in values:
        above = low is None or value > low or (low_in and value == low)
        below = high is None or value < high or (high_in and value == high)
        if above and below and value not in inside:
            inside.append(value)
    source.shuffle(inside)
    return inside


def points(claim, source):
    """Sample points; thresholds are put on their border, where the claim is tightest."""
    names = list(claim["vars"])
    if names == ["eps", "N", "n"]:
        # n = N or N + 1 and a tolerance just above what the choice of N forces.
        left, _, right = relation(claim["hyps_expr"][0])
        function = sympy.lambdify(expression("eps"), right, "mpmath")
        shift = 1 if claim["hyps_expr"][1] == "n > N" else 0
        for threshold in range(1, 41):
            for eps in samples("(0,oo)", "real", source)[:25]:
                if function(eps) < threshold:
                    for step in (shift, shift + 1, shift + 7):
                        yield [eps, mpmath.mpf(threshold), mpmath.mpf(threshold + step)]
        return
    axes = [
        samples(claim["vars"][name]["domain"], claim["vars"][name]["kind"], source)
        for name in names
    ]
    if len(axes) == 1:
        yield from ([value] for value in axes[0])
        return
    for _ in range(POINTS_PER_SWEEP):
        yield [source.choice(axis) for axis in axes]
    # Where the index is large the tight places of x scale with it.
    if names == ["n", "x"]:
        for index, scale in itertools.product((1, 2, 3, 7, 40), axes[1][:20]):
            for value in (scale / index, scale / mpmath.sqrt(index), scale * index):
                yield [mpmath.mpf(index), value]


def inside(claim, values):
    """Whether a point satisfies domains and hypotheses."""
    point = dict(zip((expression(name) for name in claim["vars"]), values))
    for left, sign, right in conditions(claim):
        difference = sympy.lambdify(list(point), left - right, "mpmath")(*point.values())
        order = (difference > 0) - (difference < 0)
        if not admits(sign, order):
            return False
    return True


def confirm_true_by_sweep(claim):
    """Raises if a sample point breaks the claim; returns how many were tried."""
    source = random.Random(claim["id"])
    names = [expression(name) for name in claim["vars"]]
    left = sympy.lambdify(names, expression(claim["lhs"]), "mpmath")
    right = sympy.lambdify(names, expression(claim["rhs"]), "mpmath")
    checks = [(sympy.lambdify(names, a - b, "mpmath"), sign) for a, sign, b in conditions(claim)]
    tried = 0
    with mpmath.workdps(DIGITS_OF_SWEEPS):
        for values in points(claim, source):
            orders = [(test(*values), sign) for test, sign in checks]
            if not all(admits(sign, (v > 0) - (v < 0)) for v, sign in orders):
                continue
            a, b = left(*values), right(*values)
            tried += 1
            scale = max(abs(a), abs(b), mpmath.mpf(10) ** -300)
            gap = (a - b) / scale if claim["rel"] in ("<", "<=") else (b - a) / scale
            if gap > TIE:
                raise ValueError(f"{claim['id']} fails at {values}")
    if tried < 5:
        raise ValueError(f"{claim['id']}: only {tried} points satisfy its conditions")
    return tried


class Unsupported(Exception):
    """An operation that Z3's arithmetic does not have."""


def to_z3(term, names, side):
    """A SymPy expression as a Z3 real; roots become fresh variables with side conditions."""
    if term.is_Rational:
        return z3.Q(term.p, term.q)
    if term.is_Symbol:
        return names[term.name]
    if term.is_Add:
        return sum((to_z3(part, names, side) for part in term.args[1:]), to_z3(term.args[0], names, side))
    if term.is_Mul:
        result = to_z3(term.args[0], names, side)
        for part in term.args[1:]:
            result = result * to_z3(part, names, side)
        return result
    if isinstance(term, sympy.Abs):
        inner = to_z3(term.args[0], names, side)
        return z3.If(inner >= 0, inner, -inner)
    if term.is_Pow and term.exp.is_Rational:
        base = to_z3(term.base, names, side)
        numerator, denominator = abs(term.exp.p), term.exp.q
        if denominator > 4 or numerator > 8:
            raise Unsupported
        if denominator > 1:
            root = z3.FreshReal("root")
            power = root
            for _ in range(denominator - 1):
                power = power * root
            side += [root >= 0, power == base]
            base = root
        result = base
        for _ in range(numerator - 1):
            result = result * base
        if term.exp.p < 0:
            side.append(result != 0)
            return 1 / result
        return result
    raise Unsupported


def compare_z3(left, sign, right):
    """A relation between two Z3 terms."""
    return {
        "<": left < right,
        "<=": left <= right,
        "=": left == right,
        "!=": left != right,
        ">=": left >= right,
        ">": left > right,
    }[sign]


def confirm_true_by_z3(claim):
    """"unsat", "unknown" or "unsupported"; raises if Z3 has a real counterexample. Indices run
    through the reals here, a stronger claim: an answer "sat" then says nothing."""
    names = {name: z3.Real(name) for name in claim["vars"]}
    solver = z3.SolverFor("QF_NRA")
    solver.set("rlimit", Z3_STEPS)
    try:
        side = []
        for left, sign, right in conditions(claim):
            a, b = to_z3(left, names, side), to_z3(right, names, side)
            # Whole numbers above a whole bound are one more at least.
            if sign == ">" and left.is_Symbol and right.is_Symbol and left.name == "n":
                solver.add(a >= b + 1)
            else:
                solver.add(compare_z3(a, sign, b))
        a = to_z3(expression(claim["lhs"]), names, side)
        b = to_z3(expression(claim["rhs"]), names, side)
        solver.add(*side)
        solver.add(z3.Not(compare_z3(a, claim["rel"], b)))
    except Unsupported:
        return "unsupported"
    answer = str(solver.check())
    if answer == "sat":
        if any(what["kind"] == "int" for what in claim["vars"].values()):
            return "unknown"
        raise ValueError(f"{claim['id']}: Z3 has a counterexample {solver.model()}")
    return "unsat" if answer == "unsat" else "unknown"


def confirm(claim):
    """How the truth of a claim was confirmed; raises if it was not."""
    if not claim["truth"]:
        confirm_false(claim)
        return ["point"]
    confirmed = [f"{confirm_true_by_sweep(claim)} points"]
    if confirm_true_by_z3(claim) == "unsat":
        confirmed.append("z3")
    return confirmed
