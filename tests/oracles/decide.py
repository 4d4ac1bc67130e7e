"""Decides claims as a script with SymPy and Z3 would: sample for a counterexample, then ask Z3,
then let SymPy simplify. For the benches, which compare the time of the program with it.

Usage: decide.py obligations.json  -> one JSON object a line: id, verdict, seconds of processor time.
"""

import json
import random
import sys
import time

import mpmath
import sympy
import z3

from confirm import (
    Unsupported,
    admits,
    compare_z3,
    conditions,
    expression,
    points,
    to_z3,
)

Z3_STEPS = 3_000_000
POINTS = 2_000
DIGITS = 30
TIE = mpmath.mpf(10) ** -20


def sides(claim):
    """Both sides with Min and Max as they are, and equations of the hypotheses carried out."""
    left, right = (expression(claim[side]).doit() for side in ("lhs", "rhs"))
    rest = []
    for a, sign, b in conditions(claim):
        if sign == "=" and a.is_Symbol:
            left, right = left.subs(a, b), right.subs(a, b)
        rest.append((a, sign, b))
    return left, right, rest


def by_points(claim):
    """Whether a sample point breaks the claim by more than rounding."""
    source = random.Random(claim["id"])
    names = [expression(name) for name in claim["vars"]]
    left, right, rest = sides(claim)
    checks = [(sympy.lambdify(names, a - b, "mpmath"), sign) for a, sign, b in rest]
    test = sympy.lambdify(names, left - right, "mpmath")
    size = sympy.lambdify(names, sympy.Abs(left) + sympy.Abs(right), "mpmath")
    tried = 0
    while tried < POINTS:
        before = tried
        for values in points(claim, source):
            tried += 1
            try:
                orders = [(check(*values), sign) for check, sign in checks]
                if not all(admits(sign, (v > 0) - (v < 0)) for v, sign in orders):
                    continue
                gap, scale = test(*values), size(*values)
                if abs(gap) > TIE * scale and not admits(claim["rel"], (gap > 0) - (gap < 0)):
                    return True
            except (ZeroDivisionError, ValueError, TypeError, OverflowError):
                continue
        if tried == before:
            break
    return False


def by_z3(claim):
    """Whether Z3 shows that the negation cannot be satisfied."""
    names = {
        name: z3.Int(name) if what["kind"] == "int" else z3.Real(name)
        for name, what in claim["vars"].items()
    }
    real = {name: z3.ToReal(own) if own.is_int() else own for name, own in names.items()}
    solver = z3.Solver()
    solver.set("rlimit", Z3_STEPS)
    side = []
    left, right, rest = sides(claim)
    for a, sign, b in rest:
        solver.add(compare_z3(to_z3(a, real, side), sign, to_z3(b, real, side)))
    claimed = compare_z3(to_z3(left, real, side), claim["rel"], to_z3(right, real, side))
    solver.add(*side)
    solver.add(z3.Not(claimed))
    return solver.check() == z3.unsat


def by_sympy(claim):
    """Whether SymPy sees the sign of the difference at once."""
    assumed = {}
    for name, what in claim["vars"].items():
        positive = what["domain"].startswith(("(0", "[1")) or None
        assumed[expression(name)] = sympy.Symbol(
            name, real=True, integer=what["kind"] == "int" or None, positive=positive
        )
    left, right, _ = sides(claim)
    gap = sympy.simplify((right - left).subs(assumed))
    return {
        "<": gap.is_positive,
        "<=": gap.is_nonnegative,
        "=": gap.is_zero,
        ">=": gap.is_nonpositive,
        ">": gap.is_negative,
        "!=": gap.is_nonzero,
    }[claim["rel"]]


def decide(claim):
    """false, true or unknown."""
    with mpmath.workdps(DIGITS):
        if by_points(claim):
            return "false"
    try:
        if by_z3(claim):
            return "true"
    except (Unsupported, AttributeError, z3.Z3Exception):
        pass
    return "true" if by_sympy(claim) else "unknown"


def main():
    """Decides every claim of the file."""
    with open(sys.argv[1], encoding="utf-8") as file:
        claims = json.load(file)
    for claim in claims:
        start = time.process_time()
        try:
            verdict = decide(claim)
        except Exception as error:  # a script gives up on what it cannot read
            verdict = f"error: {type(error).__name__}"
        seconds = time.process_time() - start
        print(json.dumps({"id": claim["id"], "verdict": verdict, "seconds": seconds}), flush=True)


if __name__ == "__main__":
    main()
