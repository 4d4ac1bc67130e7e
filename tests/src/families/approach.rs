//! Families of limits at places, growth beyond all bounds, and cases by parity.

use super::{Families, parsed};
use kernel::{Condition, Expr, Node, Symbol};

pub(super) fn add(all: &mut Families) {
    all.topic("approach");
    for c in [1, 2, 5] {
        near_a_number(all, c);
        near_zero(all, c);
        far_out(all, c);
    }
    wandering(all);
    growth(all);
    parity(all);
}

/// The term tends to the limit as t → ∞, with x put in.
fn at(all: &mut Families, given: &str, place: &str, (term, limit): (&str, &str), truth: bool) {
    let whole = parsed(&format!("({term})-({limit})"));
    let term = whole.substitute(&Symbol::new("x"), &parsed(place));
    let text = format!("{term:?} → 0 as t → ∞, x = {place}");
    all.tends_along(given, text, term, "t", truth);
}

/// x → c from both sides: x = c ± 1/t.
fn near_a_number(all: &mut Families, c: i64) {
    let far = "t>=2";
    for (place, side) in [(format!("{c}+1/t"), 1), (format!("{c}-1/t"), -1)] {
        let removable = format!("(x**2-{c}**2)/(x-{c})");
        let jump = format!("abs(x-{c})/(x-{c})");
        let cases = [
            (removable.clone(), format!("2*{c}"), true),
            (removable, format!("2*{c}+1/100"), false),
            (format!("(x**3-{c}**3)/(x-{c})"), format!("3*{c}**2"), true),
            ("sqrt(x)".into(), format!("sqrt({c})"), true),
            ("1/x".into(), format!("1/{c}"), true),
            ("1/x".into(), format!("2/{c}"), false),
            ("x**2+3*x".into(), format!("{c}**2+3*{c}"), true),
            ("x**2+3*x".into(), format!("{c}**2+3*{c}+1/10"), false),
            (format!("abs(x-{c})"), "0".into(), true),
            (jump.clone(), side.to_string(), true),
            (jump, (-side).to_string(), false),
        ];
        for (term, limit, truth) in cases {
            at(all, far, &place, (&term, &limit), truth);
        }
    }
}

/// x → 0 from both sides: x = ± 1/t.
fn near_zero(all: &mut Families, c: i64) {
    for place in ["1/t", "-1/t"] {
        let cases = [
            (format!("sin({c}*x)/x"), c.to_string(), true),
            (format!("sin({c}*x)/x"), "0".into(), false),
            (format!("sin({c}*x)"), "0".into(), true),
            (format!("cos({c}*x)"), "1".into(), true),
            (format!("cos({c}*x)"), "0".into(), false),
            (format!("(1-cos({c}*x))/x"), "0".into(), true),
            (format!("x*sin({c}/x)"), "0".into(), true),
            (format!("x**2*cos({c}/x)"), "0".into(), true),
            (format!("x/(x+{c})"), "0".into(), true),
            (format!("((x+{c})**2-{c}**2)/x"), format!("2*{c}"), true),
            (format!("exp({c}*x)"), "1".into(), true),
            (format!("exp({c}*x)"), "2".into(), false),
            (format!("(exp({c}*x)-1)/x"), c.to_string(), true),
            (format!("log(1+x/{c})"), "0".into(), true),
            ("(1-cos(x))/x**2".into(), "1/2".into(), true),
        ];
        for (term, limit, truth) in cases {
            at(all, "t>=2", place, (&term, &limit), truth);
        }
    }
}

/// x → ±∞.
fn far_out(all: &mut Families, c: i64) {
    let both = [
        (format!("({c}*x+1)/(x+{c})"), c.to_string(), true),
        (format!("({c}*x+1)/(x+{c})"), format!("{c}+1/7"), false),
        (format!("x/(x**2+{c})"), "0".into(), true),
        (format!("x**2/(x**2+{c})"), "0".into(), false),
        (format!("sin({c}*x)/x"), "0".into(), true),
        (format!("cos(x)/(x+{c})"), "0".into(), true),
    ];
    for (term, limit, truth) in both {
        at(all, "t>=2", "t", (&term, &limit), truth);
        at(all, "t>=11", "-t", (&term, &limit), truth);
    }
    let right = [
        (format!("sqrt(x+{c})-sqrt(x)"), "0".to_owned(), true),
        (format!("sqrt(x+{c})"), "0".into(), false),
        (format!("sqrt(x**2+{c}*x)-x"), format!("{c}/2"), true),
        (format!("atan({c}*x)"), "pi/2".into(), true),
        (format!("atan({c}*x)"), "pi".into(), false),
        (format!("log(x)/x**{c}"), "0".into(), true),
        (format!("x**{c}*exp(-x)"), "0".into(), true),
        (format!("exp(-{c}*x)"), "0".into(), true),
    ];
    for (term, limit, truth) in right {
        at(all, "t>=2", "t", (&term, &limit), truth);
    }
}

/// Terms that come back again and again: two points far out, u and v, at which they differ.
fn wandering(all: &mut Families) {
    let far = "n>=1; u>=n; v>=n";
    for (term, truth) in [
        ("sin(u)-sin(v)", false),
        ("cos(u)-cos(v)", false),
        ("u*sin(u)-v*sin(v)", false),
        ("1/u-1/v", true),
        ("sin(u)/u-sin(v)/v", true),
        ("u-v", false),
    ] {
        all.tends(far, term, "uv", truth);
    }
    for (term, truth) in [
        ("sin(u)", false),
        ("cos(2*u)", false),
        ("sin(u)-1/2", false),
        ("sin(u)/u", true),
        ("u*sin(1/u)-1", true),
    ] {
        all.tends("n>=1; u>=n", term, "u", truth);
    }
}

/// a_n → ∞ exactly if 1/max(a_n, 1) → 0.
fn growth(all: &mut Families) {
    all.topic("growth");
    for a in [1, 2, 4] {
        for (term, truth) in [
            (format!("n**2-{a}*n"), true),
            (format!("n**2/(n+{a})"), true),
            (format!("n/{a}"), true),
            (format!("sqrt(n)/{a}"), true),
            (format!("sqrt(n+{a})"), true),
            (format!("log(n)/{a}"), true),
            (format!("({a}+1)**n"), true),
            (format!("{a}*n+(-1)**n"), true),
            (format!("n*(2+sin({a}*n))"), true),
            (format!("n/(n+{a})"), false),
            (format!("{a}+(-1)**n"), false),
            (format!("n*(1+(-1)**n)+{a}"), false),
            (format!("n*(-1)**n+{a}"), false),
            (format!("sqrt(n+{a})-sqrt(n)"), false),
            (format!("{a}-n"), false),
            (format!("log({a}+1/n)"), false),
        ] {
            all.tends("n>=1", &format!("1/Max({term},1)"), "", truth);
        }
    }
}

/// Whether n is even, or odd.
fn even() -> Condition {
    Condition::Integer(parsed("n/2"))
}

fn odd() -> Condition {
    Condition::Integer(parsed("(n+1)/2"))
}

/// A sequence that is told for even and for odd indices.
fn by_parity(when_even: &str, when_odd: &str) -> Expr {
    Node::Piecewise(vec![(even(), parsed(when_even)), (odd(), parsed(when_odd))]).into()
}

fn parity(all: &mut Families) {
    all.topic("parity");
    for a in [1, 2, 3] {
        for (when_even, when_odd, truth) in [
            (format!("{a}/n"), "1/n**2".to_owned(), true),
            (format!("1/(n+{a})"), "0".into(), true),
            ("0".into(), format!("{a}/sqrt(n)"), true),
            (format!("{a}/n"), format!("{a}"), false),
            (format!("{a}"), "0".into(), false),
            (format!("n/(n+{a})-1"), "1/2**n".into(), true),
            (format!("n/(n+{a})-1"), "n/(n+1)".into(), false),
        ] {
            let term = by_parity(&when_even, &when_odd);
            let text = format!("{when_even} for even n, {when_odd} for odd n → 0");
            all.tends_along("n>=1", text, term, "n", truth);
        }
        for (when, goals) in [
            (
                even(),
                [
                    (format!("(-1)**n*{a}={a}"), true),
                    ("cos(n*pi)=1".to_owned(), true),
                    ("floor(n/2)=n/2".into(), true),
                    (format!("(-1)**(n+{a})=(-1)**{a}"), true),
                    ("n>=2".into(), true),
                    (format!("n>={a}+2"), false),
                    ("(-1)**n=-1".into(), false),
                ],
            ),
            (
                odd(),
                [
                    (format!("(-1)**n*{a}=-{a}"), true),
                    ("cos(n*pi)=-1".to_owned(), true),
                    ("floor(n/2)=(n-1)/2".into(), true),
                    ("(-1)**n<0".into(), true),
                    (format!("(-1)**n/n>=-{a}"), true),
                    ("(-1)**n=1".into(), false),
                    ("floor(n/2)=n/2".into(), false),
                ],
            ),
        ] {
            for (goal, truth) in goals {
                all.claim_when(&when, &goal, truth);
            }
        }
    }
    for (term, truth) in [
        ("cos(n*pi)/n", true),
        ("cos(n*pi)", false),
        ("sin(n*pi/2)/n", true),
        ("sin(n*pi/2)", false),
        ("sin(n*pi)", true),
        ("(1-(-1)**n)/n", true),
        ("1-(-1)**n", false),
        ("(1+(-1)**n)/sqrt(n)", true),
    ] {
        all.tends("n>=1", term, "", truth);
    }
}
