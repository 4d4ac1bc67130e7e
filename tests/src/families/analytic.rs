//! Families with powers, exponentials, logarithms, arcus tangent and trigonometric functions.

use super::Families;
use super::Sup::{Approached, Attained};

pub(super) fn add(all: &mut Families) {
    powers(all);
    compound(all);
    exponentials(all);
    logarithms(all);
    arctangents(all);
    circular(all);
}

fn powers(all: &mut Families) {
    all.topic("powers");
    let unit = "n>=1; x>=0; x<=1";
    // The maximum of x^n (1 − x) is at n/(n + 1); it is below 1/(e n) and nearly so for large n.
    all.sharp(
        &format!("{unit}; n<=200"),
        "x**n*(1-x)",
        "n**n/(n+1)**(n+1)",
        Attained,
    );
    all.sharp(unit, "x**n*(1-x)", "1/(exp(1)*n)", Approached);
    all.sharp(unit, "x*(1-x)**n", "1/(exp(1)*n)", Approached);
    // t − t² ≤ 1/4 and t/(1 + t) ≤ 1/2 for t = x^n, x^(2n).
    all.sharp(unit, "x**n-x**(2*n)", "1/4", Attained);
    all.sharp(unit, "x**n*(1-x**n)", "1/4", Attained);
    all.sharp(unit, "x**n/(1+x**n)", "1/2", Attained);
    all.sharp(unit, "x**(2*n)/(1+x**(2*n))", "1/2", Attained);
    all.sharp("n>=1; x>=0", "x**n/(1+x**(2*n))", "1/2", Attained);
    all.sharp("n>=1; x>=0; x<1", "x**n/(1+x**n)", "1/2", Approached);
    all.sharp(unit, "n*x*(1-x)**n", "1/exp(1)", Approached);
    // Bernoulli and its use for decay.
    all.sharp_below("n>=1; x>=0", "(1+x)**n", "1+n*x", Attained);
    all.holds("n>=1; x>=-1", &["(1+x)**n >= 1+n*x"]);
    all.holds("n>=1; x>=-2", &["(1+x)**n >= 1+n*x"]);
    all.fails("n>=1; x>=-3", &["(1+x)**n >= 1+n*x"]);
    all.sharp(unit, "(1-x)**n", "1/(1+n*x)", Attained);
    all.sharp("n>=1; x>=0", "1/(1+x)**n", "1/(1+n*x)", Attained);
    all.sharp(
        "n>=2; x>=0",
        "1/(1+x)**n",
        "1/(1+n*x+n*(n-1)*x**2/2)",
        Attained,
    );
    for (p, q) in [(1, 2), (2, 3), (9, 10), (3, 4)] {
        // 0 ≤ x ≤ a < 1 gives x^n ≤ a^n, and a^n ≤ 1/(1 + n (1/a − 1)) with equality at n = 1.
        let given = format!("n>=1; n<=60; x>=0; x<={p}/{q}");
        all.sharp(&given, "x**n", &format!("({p}/{q})**n"), Attained);
        let bound = format!("1/(1+n*({q}/{p}-1))");
        all.sharp("n>=1", &format!("({p}/{q})**n"), &bound, Attained);
        // Open end: not attained.
        let given = format!("n>=1; n<=60; x>=0; x<{p}/{q}");
        all.sharp(&given, "x**n", &format!("({p}/{q})**n"), Approached);
        // x^n − y^n ≤ n (x − y) a^(n−1) for x, y ≤ a ≤ 1; only the weaker bound n (x − y) here.
        let given = format!("n>=1; y>=0; x>=y; x<={p}/{q}");
        all.claim(&given, "x**n-y**n <= n*(x-y)", true);
        all.claim(&given, "x**n-y**n < n*(x-y)", false);
    }
    all.sharp("n>=1; y>=0; x>=y; x<=1", "x**n-y**n", "n*(x-y)", Attained);
    // 1 − x^n = (1 − x)(1 + … + x^(n−1)).
    all.sharp(unit, "1-x**n", "n*(1-x)", Attained);
    // x^n ≤ x^m for m ≤ n on [0, 1]; the other way from 1 on.
    all.claim("m>=1; n>=m; x>=0; x<=1", "x**n <= x**m", true);
    all.claim("m>=1; n>=m; x>=1", "x**n >= x**m", true);
    all.claim("m>=1; n>=m; x>=0", "x**n <= x**m", false);
    all.claim("m>=1; n>=m; x>=0; x<=1", "abs(x**n-x**m) <= 1", true);
    all.claim("m>=1; n>=m; x>=0; x<=1", "abs(x**n-x**m) < 1/2", false);
    all.claim("n>=1; abs(x)<=1", "abs(x**n) <= 1", true);
    all.claim("n>=1; abs(x)<=1", "abs(x**n) < 1", false);
    all.claim("n>=1; abs(x)<1", "abs(x**n) < 1", true);
    // 0⁰ = 1 for integer exponents: n = 0 spoils x^n ≤ x.
    all.claim("n>=0; x>=0; x<=1", "x**n <= x", false);
    all.claim("n>=1; x>=0; x<=1", "x**n <= x", true);
}

fn compound(all: &mut Families) {
    all.topic("compound");
    // (1 + 1/n)^n rises to e from 2, (1 + 1/n)^(n+1) falls to e from 4.
    all.sharp("n>=1", "(1+1/n)**n", "exp(1)", Approached);
    all.sharp_below("n>=1", "(1+1/n)**n", "2", Attained);
    all.sharp("n>=1", "(1+1/n)**(n+1)", "4", Attained);
    all.sharp_below("n>=1", "(1+1/n)**(n+1)", "exp(1)", Approached);
    all.sharp("n>=1", "(1-1/n)**n", "exp(-1)", Approached);
    // From n = 3 on (1 + 1/n)^n ≥ 64/27.
    all.sharp_below("n>=3", "(1+1/n)**n", "64/27", Attained);
    // (1 + x/n)^n ≤ e^x from 1 + t ≤ e^t, equality at x = 0.
    all.sharp(
        "n>=1; n<=500; x>=0; x<=20",
        "(1+x/n)**n",
        "exp(x)",
        Attained,
    );
    all.sharp_below("n>=1; x>=0", "(1+x/n)**n", "1+x", Attained);
    all.holds("n>=1; x>-n", &["(1+x/n)**n <= exp(x)"]);
    all.fails("n>=1", &["(1+x/n)**n <= exp(x)"]);
    all.holds(
        "n>=1; x>=0; x<=1",
        &[
            "exp(x)-(1+x/n)**n <= exp(x)*x**2/n",
            "exp(x)-(1+x/n)**n >= 0",
        ],
    );
    all.fails(
        "n>=1; x>=0; x<=1",
        &["exp(x)-(1+x/n)**n <= exp(x)*x**2/(3*n)"],
    );
    all.holds(
        "n>=1; x>=0; x<=n",
        &["(1-x/n)**n <= exp(-x)", "(1-x/n)**n >= 1-x"],
    );
    all.fails(
        "n>=1; x>=0; x<=n",
        &["(1-x/n)**n >= exp(-x)", "(1-x/n)**n < exp(-x)"],
    );
    // n^(1/n) ≤ 1 + √(2/n): the binomial series has n (n − 1)/2 h² = n − 1 < (1 + h)^n.
    all.holds(
        "n>=1",
        &[
            "n**(1/n) <= 1+sqrt(2/n)",
            "n**(1/n) >= 1",
            "n**(1/n) < 1+2/sqrt(n)",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "n**(1/n) <= 1+1/n",
            "n**(1/n) > 1",
            "n**(1/n) <= 1+1/sqrt(2*n)",
        ],
    );
    // log n / n ≤ log 3 / 3 over the integers.
    all.holds("n>=1", &["n**(1/n) <= 3/2", "n**(1/n) <= 3**(1/3)"]);
    all.fails("n>=1", &["n**(1/n) < 3**(1/3)", "n**(1/n) <= 1442/1000"]);
    for a in [2, 3, 10] {
        // a^(1/n) − 1 ≤ (a − 1)/n with equality at n = 1 (Bernoulli).
        all.sharp(
            "n>=1",
            &format!("{a}**(1/n)-1"),
            &format!("{}/n", a - 1),
            Attained,
        );
        // n (a^(1/n) − 1) > log a, approached.
        let term = format!("n*({a}**(1/n)-1)");
        all.sharp_below("n>=1; n<=10000000", &term, &format!("log({a})"), Approached);
    }
}

fn exponentials(all: &mut Families) {
    all.topic("exponentials");
    for a in [1, 2, 3, 5] {
        // e^t ≥ e t with t = a n x.
        let term = format!("x*exp(-{a}*n*x)");
        all.sharp("n>=1; x>=0", &term, &format!("1/({a}*exp(1)*n)"), Attained);
        // The square of t e^(−t) at t = a n x/2.
        let term = format!("x**2*exp(-{a}*n*x)");
        let bound = format!("4/({}*exp(2)*n**2)", a * a);
        all.sharp("n>=1; x>=0", &term, &bound, Attained);
        // x² = 1/(2 a n) maximises.
        let term = format!("x*exp(-{a}*n*x**2)");
        all.sharp(
            "n>=1",
            &term,
            &format!("1/sqrt({}*exp(1)*n)", 2 * a),
            Attained,
        );
        let term = format!("x**2*exp(-{a}*n*x**2)");
        all.sharp("n>=1", &term, &format!("1/({a}*exp(1)*n)"), Attained);
        // Monotone in x.
        let given = format!("n>=1; n<=100; x>={a}");
        all.sharp(&given, "exp(-n*x)", &format!("exp(-{a}*n)"), Attained);
        let given = format!("n>=1; x>=0; x<={a}");
        all.sharp(&given, "exp(x/n)-1", &format!("exp({a}/n)-1"), Attained);
        // 1 − e^(−t) ≤ t.
        all.sharp(
            "n>=1; x>=0",
            &format!("1-exp(-{a}*n*x)"),
            &format!("{a}*n*x"),
            Attained,
        );
        all.sharp(
            "n>=1",
            &format!("exp(-{a}*n*x**2)"),
            &format!("1/(1+{a}*n*x**2)"),
            Attained,
        );
        // e^x − e^y = e^ξ (x − y).
        let given = format!("y>=0; x>=y; x<={a}");
        let bound = format!("exp({a})*(x-y)");
        all.sharp(&given, "exp(x)-exp(y)", &bound, Attained);
    }
    all.sharp_below("x>=0", "exp(x)", "1+x", Attained);
    all.sharp_below("x>=0", "exp(x)", "exp(1)*x", Attained);
    all.sharp_below("x>=0", "exp(x)", "1+x+x**2/2", Attained);
    all.sharp("x>=0; x<1", "exp(x)", "1/(1-x)", Attained);
    all.sharp("x>=0", "exp(-x)", "1/(1+x)", Attained);
    all.sharp("x>=0", "exp(x)-1", "x*exp(x)", Attained);
    all.sharp("x>=0", "exp(-x)", "1-x+x**2/2", Attained);
    all.sharp_below("x>=0; x<=1", "exp(-x)", "1-x", Attained);
    all.sharp_below("n>=1; x>0", "n*(exp(x/n)-1)", "x", Approached);
    // (e^t − 1 − t)/t² rises, to e − 2 at t = 1.
    all.sharp("x>=0; x<=1", "exp(x)-1-x", "(exp(1)-2)*x**2", Attained);
    all.sharp_below("", "cosh(x)", "1+x**2/2", Attained);
    all.sharp_below("x>=0", "sinh(x)", "x", Attained);
    all.sharp("x>=0", "tanh(x)", "x", Attained);
    all.holds(
        "",
        &[
            "exp(x) >= 1+x",
            "exp(x) > x",
            "exp(x)+exp(-x) >= 2",
            "abs(tanh(x)) < 1",
        ],
    );
    all.fails(
        "",
        &["exp(x) > 1+x", "exp(x) >= 1+x+x**2/2", "exp(x)+exp(-x) > 2"],
    );
}

fn logarithms(all: &mut Families) {
    all.topic("logarithms");
    for a in [1, 2, 5] {
        // t/(1 + t) ≤ log(1 + t) ≤ t.
        let term = format!("log(1+{a}*x/n)");
        all.sharp("n>=1; x>=0", &term, &format!("{a}*x/n"), Attained);
        let below = format!("{a}*x/(n+{a}*x)");
        all.sharp_below("n>=1; x>=0", &term, &below, Attained);
        // log(1 + n x)/n on [0, a].
        let given = format!("n>=1; x>=0; x<={a}");
        all.sharp(&given, "log(1+n*x)/n", &format!("log(1+{a}*n)/n"), Attained);
        // log x − log y ≤ (x − y)/a for x ≥ y ≥ a.
        let given = format!("y>={a}; x>=y");
        all.sharp(&given, "log(x)-log(y)", &format!("(x-y)/{a}"), Attained);
        // x − n log(1 + x/n) ≤ x²/(2n), near 0.
        let given = format!("n>=1; x>=0; x<={a}");
        all.sharp(&given, "x-n*log(1+x/n)", "x**2/(2*n)", Attained);
        let bound = format!("{a}-n*log(1+{a}/n)");
        all.sharp(&given, "x-n*log(1+x/n)", &bound, Attained);
    }
    all.sharp("x>0", "log(x)+1", "x", Attained);
    all.sharp("x>=0", "log(1+x)", "x/sqrt(1+x)", Attained);
    all.sharp_below("x>=0", "log(1+x)", "2*x/(2+x)", Attained);
    all.sharp("x>0; x<=1", "-x*log(x)", "1/exp(1)", Attained);
    all.sharp(
        "n>=1; x>0; x<=1",
        "abs(x**n*log(x))",
        "1/(exp(1)*n)",
        Attained,
    );
    all.sharp("x>=1", "log(x)/x", "1/exp(1)", Attained);
    all.sharp("x>=1", "log(x)/sqrt(x)", "2/exp(1)", Attained);
    all.sharp("x>=1", "log(x)", "sqrt(x)-1/sqrt(x)", Attained);
    // Over the integers log n/n is largest at 3.
    all.sharp("n>=1", "log(n)/n", "log(3)/3", Attained);
    all.sharp("n>=1", "log(1+1/n)", "1/n", Approached);
    all.sharp_below("n>=1", "log(1+1/n)", "1/(n+1)", Approached);
    all.sharp_below("n>=1", "log(1+1/n)", "2/(2*n+1)", Approached);
    all.sharp("n>=1", "log(1+1/n)", "1/sqrt(n*(n+1))", Approached);
    all.sharp("n>=1", "log(n+1)-log(n)", "1/n", Approached);
    all.holds(
        "x>0",
        &["log(x) < x", "log(x) <= 2*(sqrt(x)-1)", "x*log(x) >= x-1"],
    );
    all.fails("x>0", &["log(x) < x-1", "log(x) >= 1-x", "x*log(x) > x-1"]);
    all.identity("x>0; y>0; x*y>1", "log(x*y)", "log(x)+log(y)");
    all.holds(
        "n>=1",
        &["log(n) <= n-1", "log(n)/n <= 1/sqrt(n)", "log(n) < sqrt(n)"],
    );
    all.fails(
        "n>=1",
        &["log(n) < n-1", "log(n)/n <= 1/n", "log(n) <= sqrt(n)/2"],
    );
}

fn arctangents(all: &mut Families) {
    all.topic("arctangents");
    for a in [1, 2, 3] {
        all.sharp(
            "n>=1",
            &format!("abs(atan({a}*n*x))/n"),
            "pi/(2*n)",
            Approached,
        );
        all.sharp(
            "n>=1; x>=0",
            &format!("atan({a}*x/n)"),
            &format!("{a}*x/n"),
            Attained,
        );
        // π/2 − arctan t = arctan(1/t) < 1/t, nearly so for large t.
        let bound = format!("1/({a}*n*x)");
        all.sharp(
            "n>=1; x>0",
            &format!("pi/2-atan({a}*n*x)"),
            &bound,
            Approached,
        );
        // On [a, ∞) the distance is largest at a.
        let given = format!("n>=1; x>={a}");
        let bound = format!("pi/2-atan({a}*n)");
        all.sharp(&given, "pi/2-atan(n*x)", &bound, Attained);
    }
    all.sharp("y>=0; x>=y", "atan(x)-atan(y)", "x-y", Attained);
    all.sharp("", "abs(atan(x)-atan(y))", "abs(x-y)", Attained);
    all.sharp_below("x>=0", "atan(x)", "x/(1+x**2)", Attained);
    all.sharp_below("x>=0; x<=1", "atan(x)", "x-x**3/3", Attained);
    all.sharp_below("x>=0; x<=1", "atan(x)", "pi*x/4", Attained);
    all.identity("x>0", "atan(x)+atan(1/x)", "pi/2");
    all.holds(
        "",
        &[
            "abs(atan(x)) < pi/2",
            "abs(atan(x)) <= abs(x)",
            "x*atan(x) >= 0",
        ],
    );
    all.fails(
        "",
        &[
            "atan(x) <= x",
            "atan(x)+atan(1/x) = pi/2",
            "abs(atan(x)) <= 3/2",
        ],
    );
    all.holds(
        "x>=0",
        &[
            "atan(x) >= x/(1+x)",
            "(1+x**2)*atan(x) >= x",
            "x*(pi/2-atan(x)) <= 1",
        ],
    );
    all.fails(
        "x>=0",
        &[
            "atan(x) < x",
            "atan(x) >= 2*x/(1+2*x)",
            "x*(pi/2-atan(x)) >= 1/2",
        ],
    );
}

fn circular(all: &mut Families) {
    all.topic("trig");
    for p in ["n", "n**2", "sqrt(n)", "(n+1)", "2**n"] {
        // |sin| = 1 at odd multiples of π/2.
        let bound = format!("1/{p}");
        all.sharp(
            "n>=1; n<=200",
            &format!("abs(sin(n*x))/{p}"),
            &bound,
            Attained,
        );
        all.sharp("n>=1; n<=200", &format!("cos(n*x)/{p}"), &bound, Attained);
        all.sharp("n>=1; n<=200", &format!("sin(x)**2/{p}"), &bound, Attained);
        all.sharp(
            "n>=1; n<=200; x>=0",
            &format!("sin(x)/{p}"),
            &bound,
            Attained,
        );
    }
    for a in [1, 2, 3] {
        all.sharp(
            "n>=1; x>=0",
            &format!("sin({a}*x/n)"),
            &format!("{a}*x/n"),
            Attained,
        );
        let bound = format!("{}*x**2/(2*n**2)", a * a);
        all.sharp("n>=1", &format!("1-cos({a}*x/n)"), &bound, Attained);
        // x sin(1/(n x)) tends to 1/n for x → ∞ and stays below.
        let term = format!("x*sin({a}/(n*x))");
        all.sharp("n>=1; x>0", &term, &format!("{a}/n"), Approached);
        // sin(x/n) rises on [0, a] as a ≤ π/2 · n for n ≥ 2.
        let given = format!("n>=2; x>=0; x<={a}");
        all.sharp(&given, "sin(x/n)", &format!("sin({a}/n)"), Attained);
    }
    all.sharp("", "abs(sin(x)-sin(y))", "abs(x-y)", Attained);
    all.sharp("", "abs(cos(x)-cos(y))", "abs(x-y)", Attained);
    all.sharp("", "abs(sin(x)*cos(x))", "1/2", Attained);
    all.sharp("", "abs(sin(x)+cos(x))", "sqrt(2)", Attained);
    all.sharp_below("x>=0; x<=pi/2", "sin(x)", "2*x/pi", Attained);
    all.sharp_below("x>=0; x<=1", "sin(x)", "x-x**3/6", Attained);
    all.sharp_below("x>=0; x<=1", "cos(x)", "1-x**2/2", Attained);
    all.sharp("abs(x)<=1", "cos(x)", "1-x**2/2+x**4/24", Attained);
    all.sharp_below("x>=0; x<pi/2", "tan(x)", "x", Attained);
    all.sharp("n>=1; x>=0", "n*sin(x/n)", "x", Attained);
    all.sharp_below(
        "n>=1; x>=0; x<=1",
        "n*sin(x/n)",
        "x-x**3/(6*n**2)",
        Attained,
    );
    all.identity("", "sin(x)**2+cos(x)**2", "1");
    all.holds(
        "",
        &[
            "abs(sin(x)) <= abs(x)",
            "sin(x)**2 <= x**2",
            "abs(x*sin(x)) <= x**2",
        ],
    );
    all.fails(
        "",
        &[
            "sin(x) <= x",
            "abs(sin(x)) < 1",
            "sin(x) < 1",
            "cos(x) > -1",
        ],
    );
    all.holds(
        "n>=1",
        &[
            "abs(sin(n)+cos(n)) <= 2",
            "abs(sin(n)/n) <= 1/n",
            "abs(cos(n*x)*sin(x)) <= 1",
        ],
    );
    all.fails(
        "n>=1",
        &["abs(sin(n*x)) <= abs(sin(x))", "cos(n*x)*cos(x) < 1"],
    );
}
