//! Families without transcendental functions: quotients, roots, nested roots, maxima, pieces.

use super::Sup::{Approached, Attained};
use super::{Families, piecewise};

pub(super) fn add(all: &mut Families) {
    rational(all);
    roots(all);
    nested(all);
    maxima(all);
    pieces(all);
}

fn rational(all: &mut Families) {
    all.topic("rational");
    for (a, b) in [(1, 1), (2, 3), (1, 4), (5, 2), (3, 7)] {
        // AM-GM: a + b n x² ≥ 2 √(abn) |x|, equality at x = √(a/(bn)).
        let term = format!("abs(x/({a}+{b}*n*x**2))");
        all.sharp("n>=1", &term, &format!("1/(2*sqrt({}*n))", a * b), Attained);
    }
    for a in [1, 3, 7] {
        // x² / (a + n x²) < 1/n, approached for x → ∞.
        all.sharp("n>=1", &format!("x**2/({a}+n*x**2)"), "1/n", Approached);
        // x/(1 + n x) grows in x; at x = a it is a/(1 + a n).
        let given = format!("n>=1; x>=0; x<={a}");
        all.sharp(&given, "x/(1+n*x)", &format!("{a}/(1+{a}*n)"), Attained);
        // The same with an open end.
        let given = format!("n>=1; x>=0; x<{a}");
        all.sharp(&given, "x/(x+n)", &format!("{a}/({a}+n)"), Approached);
        // x² + a n² ≥ 2 √a n |x|: with a a square the supremum is rational.
        let term = format!("x/(x**2+{}*n**2)", a * a);
        all.sharp("n>=1", &term, &format!("1/({}*n)", 2 * a), Attained);
        // x (a − x) is largest at a/2.
        let given = format!("n>=1; x>=0; x<={a}");
        let bound = format!("{}/(4*n)", a * a);
        all.sharp(&given, &format!("x*({a}-x)/n"), &bound, Attained);
        // |x³/(a + n x²) − x/n| = a |x| / (n (a + n x²)) ≤ |x|/n, equality at 0.
        let term = format!("abs(x**3/({a}+n*x**2)-x/n)");
        all.sharp("n>=1", &term, "abs(x)/n", Attained);
        // n x/(1 + n² x²) ≤ 1/2 at x = 1/n, from x = a/n on the value a/(1 + a²).
        let given = format!("n>=1; n*x>={a}");
        let bound = format!("{a}/{}", 1 + a * a);
        all.sharp(&given, "n*x/(1+n**2*x**2)", &bound, Attained);
    }
    for (a, b, c, d) in [
        (3, 1, 2, 5),
        (1, 0, 1, 4),
        (5, 2, 3, 1),
        (4, 7, 2, 1),
        (1, 2, 3, 4),
    ] {
        // (a n + b)/(c n + d) − a/c = (b c − a d)/(c (c n + d)).
        let gap: i32 = b * c - a * d;
        let term = format!("abs(({a}*n+{b})/({c}*n+{d})-{a}/{c})");
        let bound = format!("{}/({}*n)", gap.abs(), c * c);
        all.sharp("n>=1", &term, &bound, Approached);
        all.identity("n>=1", &term, &format!("{}/({c}*({c}*n+{d}))", gap.abs()));
    }
    for b in [1, 2, 5] {
        // n (n + 1) < n² + n + b.
        let term = format!("(n+1)/(n**2+n+{b})");
        all.sharp("n>=1", &term, "1/n", Approached);
        // 1/x − 1/(x + 1/n) = 1/(x (n x + 1)), largest at the left end.
        let given = format!("n>=1; x>={b}");
        let bound = format!("1/({b}*({b}*n+1))");
        all.sharp(&given, "1/x-1/(x+1/n)", &bound, Attained);
    }
    // x²/(1 + x²)^n ≤ 1/n: Bernoulli gives (1 + x²)^n ≥ 1 + n x² > n x²; near x = 0 for n → ∞
    // the quotient is only about 1/(e n), so nothing is tightened here.
    all.holds(
        "n>=1",
        &["x**2/(1+x**2)**n <= 1/n", "x**2/(1+x**2)**n < 1/n"],
    );
    all.fails(
        "n>=1",
        &["x**2/(1+x**2)**n <= 1/(5*n)", "x**2/(1+x**2)**n < 1/n**2"],
    );
}

fn roots(all: &mut Families) {
    all.topic("roots");
    for a in [1, 2, 4, 9] {
        // √(x² + c) − |x| is largest at 0, √(x + c) − √x too.
        let bound = format!("sqrt({a}/n)");
        all.sharp(
            "n>=1",
            &format!("sqrt(x**2+{a}/n)-abs(x)"),
            &bound,
            Attained,
        );
        all.sharp(
            "n>=1; x>=0",
            &format!("sqrt(x+{a}/n)-sqrt(x)"),
            &bound,
            Attained,
        );
        all.sharp(
            "n>=1; x>0",
            &format!("sqrt(x+{a}/n)-sqrt(x)"),
            &bound,
            Approached,
        );
        // √(n + a) − √n = a/(√(n + a) + √n).
        let term = format!("sqrt(n+{a})-sqrt(n)");
        all.sharp("n>=1", &term, &format!("{a}/(2*sqrt(n))"), Approached);
        all.sharp_below("n>=1", &term, &format!("{a}/(2*sqrt(n+{a}))"), Approached);
        // √(n² + a n) − n = a n/(√(n² + a n) + n) < a/2.
        let term = format!("sqrt(n**2+{a}*n)-n");
        all.sharp("n>=1", &term, &format!("{a}/2"), Approached);
        // √x/(1 + a n x): 1 + a n x ≥ 2 √(a n x).
        let term = format!("sqrt(x)/(1+{a}*n*x)");
        all.sharp("n>=1; x>=0", &term, &format!("1/(2*sqrt({a}*n))"), Attained);
        // √x − √y = (x − y)/(√x + √y), for x = y = a the tie.
        let given = format!("x>={a}; y>={a}");
        let bound = format!("abs(x-y)/(2*sqrt({a}))");
        all.sharp(&given, "abs(sqrt(x)-sqrt(y))", &bound, Attained);
        // (1 + t)^(1/2) ≤ 1 + t/2, equality at 0.
        let given = format!("n>=1; {a}*x>=-n");
        let bound = format!("1+{a}*x/(2*n)");
        all.sharp(&given, &format!("sqrt(1+{a}*x/n)"), &bound, Attained);
    }
    for (a, b) in [(1, 1), (2, 1), (3, 5)] {
        // |x| / √(a + b n x²) < 1/√(b n).
        let term = format!("abs(x)/sqrt({a}+{b}*n*x**2)");
        all.sharp("n>=1", &term, &format!("1/sqrt({b}*n)"), Approached);
        // √(a x · b y) ≤ (a x + b y)/2.
        let term = format!("sqrt({a}*x*{b}*y)");
        all.sharp("x>=0; y>=0", &term, &format!("({a}*x+{b}*y)/2"), Attained);
        // √n x/(a² + b² n x²) ≤ 1/(2 a b).
        let term = format!("sqrt(n)*x/({}+{}*n*x**2)", a * a, b * b);
        all.sharp("n>=1", &term, &format!("1/{}", 2 * a * b), Attained);
    }
    // |√x − √y| ≤ √|x − y| with equality at y = 0.
    all.sharp(
        "x>=0; y>=0",
        "abs(sqrt(x)-sqrt(y))",
        "sqrt(abs(x-y))",
        Attained,
    );
    // Third roots: u³ − v³ ≥ 3 v² (u − v).
    all.sharp(
        "n>=1",
        "(n+1)**(1/3)-n**(1/3)",
        "1/(3*n**(2/3))",
        Approached,
    );
    all.sharp("x>=0", "(1+x)**(1/3)", "1+x/3", Attained);
    all.identity("", "sqrt(x**2)", "abs(x)");
    all.claim("", "sqrt(x**2) = x", false);
    all.claim("x>=0", "sqrt(x)**2 = x", true);
}

fn nested(all: &mut Families) {
    all.topic("nested");
    // √(n + √n) − √n = √n/(√(n + √n) + √n) < 1/2.
    all.sharp("n>=1", "sqrt(n+sqrt(n))-sqrt(n)", "1/2", Approached);
    // x ≤ 2 makes √(2 + x) ≤ 2, again and again, with equality at 2.
    all.sharp("x>=0; x<=2", "sqrt(2+x)", "2", Attained);
    all.sharp("x>=0; x<=2", "sqrt(2+sqrt(2+x))", "2", Attained);
    all.sharp("x>=0; x<=2", "sqrt(2+sqrt(2+sqrt(2+x)))", "2", Attained);
    all.sharp("x>=0; x<=3", "sqrt(6+sqrt(6+x))", "3", Attained);
    all.sharp("x>=0; x<4", "sqrt(12+sqrt(12+x))", "4", Approached);
    // √(x + √(x² + 1/n²)) grows in x and is √(1/n) at x = 0.
    all.sharp_below(
        "n>=1; x>=0",
        "sqrt(x+sqrt(x**2+1/n**2))",
        "1/sqrt(n)",
        Attained,
    );
    // √(x + √x) ≥ √x with equality at 0 only.
    all.holds("x>=0", &["sqrt(x+sqrt(x)) >= sqrt(x)"]);
    all.holds("x>0", &["sqrt(x+sqrt(x)) > sqrt(x)"]);
    all.fails(
        "x>=0",
        &["sqrt(x+sqrt(x)) > sqrt(x)", "sqrt(x+sqrt(x)) <= 2*sqrt(x)"],
    );
    // For x ≥ 1: x + √x ≤ 2x, equality at 1.
    all.sharp("x>=1", "sqrt(x+sqrt(x))", "sqrt(2*x)", Attained);
    // √(1 + √(1 + x)) ≤ √2 + x/(4√2), tangent at 0 of a concave function.
    all.sharp(
        "x>=0",
        "sqrt(1+sqrt(1+x))",
        "sqrt(2)+x/(4*sqrt(2))",
        Attained,
    );
    all.sharp("x>=0", "sqrt(1+sqrt(x))", "1+sqrt(x)/2", Attained);
    // √(√x) = x^(1/4), and √(√(x² + c²)) ≥ √c.
    all.identity("x>=0", "sqrt(sqrt(x**4))", "x");
    all.sharp_below("n>=1", "sqrt(sqrt(x**2+1/n**2))", "1/sqrt(n)", Attained);
    all.sharp("x>=0; y>=0", "sqrt(x+y)", "sqrt(x)+sqrt(y)", Attained);
    all.sharp(
        "n>=1; x>=0",
        "sqrt(sqrt(x)+1/n)-sqrt(sqrt(x))",
        "1/sqrt(n)",
        Attained,
    );
}

fn maxima(all: &mut Families) {
    all.topic("maxmin");
    all.identity("", "Max(x,y)", "(x+y+abs(x-y))/2");
    all.claim("", "Min(x,y) = (x+y-abs(x-y))/2", true);
    all.claim("", "Max(x,y)+Min(x,y) = x+y", true);
    all.claim("", "Max(x,y)*Min(x,y) = x*y", true);
    all.claim("", "Max(x,y)-Min(x,y) = abs(x-y)", true);
    all.claim("", "Max(x,y)-Min(x,y) < abs(x-y)", false);
    all.claim("", "Max(x,y,z) <= abs(x)+abs(y)+abs(z)", true);
    all.claim("", "Max(x,y,z) < abs(x)+abs(y)+abs(z)", false);
    all.claim("", "Max(x,y,z) >= (x+y+z)/3", true);
    all.claim("", "Max(x,y,z) > (x+y+z)/3", false);
    all.claim("", "Min(x,y,z) <= (x+y+z)/3", true);
    all.claim("", "abs(Max(x,0)-Max(y,0)) <= abs(x-y)", true);
    all.claim("", "abs(Max(x,0)-Max(y,0)) < abs(x-y)", false);
    all.claim("", "abs(Max(a,b)-Max(c,d)) <= Max(abs(a-c),abs(b-d))", true);
    all.claim("", "abs(Max(a,b)-Max(c,d)) <= abs(a-c)/2+abs(b-d)", false);
    for (a, b) in [(1, 2), (3, 5), (2, 7)] {
        // N at least the greater threshold meets both.
        let given = format!("eps>0; N>Max({a}/eps,{b}); n>=N");
        all.holds(&given, &[&format!("{a}/n < eps"), &format!("n > {b}")]);
        all.fails(
            &given,
            &[&format!("{a}/n < 9*eps/10"), &format!("n > {b}+1")],
        );
        // min{x, c} (1 − min …): bounds of a cut-off function.
        let given = format!("n>=1; x>=0; x<={b}");
        let bound = format!("Min({b},1/n)");
        all.sharp(&given, &format!("Min(x,1/n,{b})"), &bound, Attained);
        // Max(a − n x, 0) is largest at x = 0.
        all.sharp(
            "n>=1; x>=0",
            &format!("Max({a}-n*x,0)"),
            &format!("{a}"),
            Attained,
        );
        // Min(δ₁, δ₂) serves both.
        let given = format!("eps>0; delta=Min({a},eps/{b}); abs(x)<delta");
        all.holds(
            &given,
            &[&format!("{b}*abs(x) < eps"), &format!("abs(x) < {a}")],
        );
        all.fails(&given, &[&format!("{b}*abs(x) < 99999*eps/100000")]);
    }
    // Of several terms: max{1/n, 1/n², 1/√n} = 1/√n.
    all.sharp("n>=1", "Max(1/n,1/n**2,1/sqrt(n))", "1/sqrt(n)", Attained);
    all.claim("n>=2", "Min(1/n,1/n**2,1/2**n) <= 1/n**2", true);
    all.claim("n>=1", "Min(n,n**2) = n", true);
}

fn pieces(all: &mut Families) {
    all.topic("piecewise");
    for a in [1, 2, 3] {
        // A tooth of height a over [0, 1/n).
        let tooth = piecewise("x < 1/n", &format!("{a}*n*x"), "0");
        let given = "n>=1; x>=0";
        let value = [("F", tooth)];
        all.with(given, &format!("F <= {a}"), &value, true);
        all.with(given, &format!("F < {a}"), &value, true);
        let low = all.factor(false);
        all.with(given, &format!("F <= {low}*{a}"), &value, false);
        all.with(given, "F >= 0", &value, true);
        all.with(given, "F > 0", &value, false);
        // A tent: n x up to 1/n, then 2 − n x.
        let tent = piecewise(
            "x <= 1/n",
            &format!("{a}*n*x"),
            &format!("Max(0,{}-{a}*n*x)", 2 * a),
        );
        let value = [("F", tent)];
        all.with(given, &format!("F <= {a}"), &value, true);
        all.with(given, &format!("F < {a}"), &value, false);
        let low = all.factor(false);
        all.with(given, &format!("F <= {low}*{a}"), &value, false);
        // A step and its distance from the limit.
        let step = piecewise(&format!("x <= {a}"), "1/n", "x/n**2");
        let value = [("F", step)];
        let given = format!("n>=1; x>=0; x<={}", a + 1);
        all.with(&given, &format!("F <= {}/n", a + 1), &value, true);
        all.with(&given, &format!("F < {}/n", a + 2), &value, true);
        all.with(&given, "F < 1/n", &value, false);
        // |x| in pieces.
        let size = piecewise("x >= 0", &format!("{a}*x"), &format!("-{a}*x"));
        let value = [("F", size)];
        all.with("", &format!("F = {a}*abs(x)"), &value, true);
        all.with("", &format!("F > {a}*x"), &value, false);
        all.with("", &format!("F >= {a}*x"), &value, true);
        // x² sin-like bound at 0 excluded: F = x²/|x| off 0.
        let kink = piecewise("x != 0", &format!("{a}*x**2/abs(x)"), "0");
        let value = [("F", kink)];
        all.with("", &format!("F = {a}*abs(x)"), &value, true);
        all.with("", &format!("F < {a}*abs(x)+1/1000"), &value, true);
        all.with("", &format!("F < {a}*abs(x)"), &value, false);
    }
}
