//! Families of ε–δ choices and of abstract estimates with absolute values.

use super::Families;

pub(super) fn add(all: &mut Families) {
    tolerances(all);
    abstract_estimates(all);
    products_and_quotients(all);
    several(all);
    several_functions(all);
    definedness(all);
}

fn tolerances(all: &mut Families) {
    all.topic("epsdelta");
    for (a, c) in [(1, 0), (2, 3), (5, 1), (3, -2)] {
        // |a x − a c| < ε exactly for |x − c| < ε/a.
        let goal = format!("abs({a}*x-({})) < eps", a * c);
        all.claim(
            &format!("eps>0; delta=eps/{a}; abs(x-({c}))<delta"),
            &goal,
            true,
        );
        let tight = all.factor(true);
        all.claim(
            &format!("eps>0; delta={tight}*eps/{a}; abs(x-({c}))<delta"),
            &goal,
            false,
        );
        all.claim(
            &format!("eps>0; delta=eps/{a}; abs(x-({c}))<=delta"),
            &goal,
            false,
        );
    }
    for c in [1, 2, 3, 5] {
        // |x² − c²| = |x − c| |x + c| < δ (2c + 1) if δ ≤ 1, sharp at δ = 1.
        let goal = format!("abs(x**2-{}) < eps", c * c);
        let given = |bound: &str| format!("eps>0; delta=Min(1,{bound}); abs(x-{c})<delta");
        all.claim(&given(&format!("eps/{}", 2 * c + 1)), &goal, true);
        let tight = all.factor(true);
        all.claim(&given(&format!("{tight}*eps/{}", 2 * c + 1)), &goal, false);
        all.claim(&given(&format!("eps/{}", 2 * c)), &goal, false);
        let given = format!("eps>0; delta=eps/{}; abs(x-{c})<delta", 2 * c + 1);
        all.claim(&given, &goal, false);
        all.claim(
            &format!("eps>0; eps<=1; delta=eps/{}; abs(x-{c})<delta", 2 * c + 1),
            &goal,
            true,
        );
        // |x³ − c³| < δ (3c² + 3c + 1).
        let goal = format!("abs(x**3-{}) < eps", c * c * c);
        let size = 3 * c * c + 3 * c + 1;
        let given = |bound: &str| format!("eps>0; delta=Min(1,{bound}); abs(x-{c})<delta");
        all.claim(&given(&format!("eps/{size}")), &goal, true);
        let tight = all.factor(true);
        all.claim(&given(&format!("{tight}*eps/{size}")), &goal, false);
        // |1/x − 1/c| = |x − c|/(x c) < 2 δ/c² for δ ≤ c/2, sharp at δ = c/2.
        let goal = format!("abs(1/x-1/{c}) < eps");
        let given = |bound: &str| format!("eps>0; delta=Min({c}/2,{bound}); abs(x-{c})<delta");
        all.claim(&given(&format!("{}*eps/2", c * c)), &goal, true);
        all.claim(&given(&format!("11*{}*eps/20", c * c)), &goal, false);
        // |√x − √c| = |x − c|/(√x + √c) ≤ δ/√c, sharp at x = 0.
        let goal = format!("abs(sqrt(x)-sqrt({c})) < eps");
        let given =
            |factor: &str| format!("eps>0; x>=0; delta={factor}*eps*sqrt({c}); abs(x-{c})<delta");
        all.claim(&given("1"), &goal, true);
        let tight = all.factor(true);
        all.claim(&given(&tight), &goal, false);
    }
    for a in [1, 2, 4] {
        // Lipschitz functions: δ = ε/a.
        let given = format!("eps>0; delta=eps/{a}; abs(x-y)<delta");
        all.claim(&given, &format!("abs(sin({a}*x)-sin({a}*y)) < eps"), true);
        all.claim(&given, &format!("abs(atan({a}*x)-atan({a}*y)) < eps"), true);
        all.claim(&given, &format!("abs(abs({a}*x)-abs({a}*y)) < eps"), true);
        all.claim(
            &given,
            &format!("abs(1/(1+({a}*x)**2)-1/(1+({a}*y)**2)) < eps"),
            true,
        );
        let given = format!("eps>0; delta=2*eps/{a}; abs(x-y)<delta");
        all.claim(&given, &format!("abs(sin({a}*x)-sin({a}*y)) < eps"), false);
        all.claim(&given, &format!("abs(abs({a}*x)-abs({a}*y)) < eps"), false);
        // √ is uniformly continuous with δ = ε².
        let given = format!("eps>0; x>=0; y>=0; abs(x-y)<eps**2/{a}");
        all.claim(&given, &format!("abs(sqrt({a}*x)-sqrt({a}*y)) < eps"), true);
        // x² is not: δ = ε fails.
        let given = format!("eps>0; abs(x-y)<eps/{a}");
        all.claim(&given, "abs(x**2-y**2) < eps", false);
        let given = format!("eps>0; abs(x)<={a}; abs(y)<={a}; abs(x-y)<eps/{}", 2 * a);
        all.claim(&given, "abs(x**2-y**2) < eps", true);
    }
    // With the point as a parameter.
    all.claim(
        "eps>0; delta=Min(1,eps/(2*abs(a)+1)); abs(x-a)<delta",
        "abs(x**2-a**2) < eps",
        true,
    );
    all.claim(
        "eps>0; abs(a)>0; delta=Min(1,eps/(2*abs(a))); abs(x-a)<delta",
        "abs(x**2-a**2) < eps",
        false,
    );
    all.claim(
        "eps>0; a>0; delta=Min(a/2,a**2*eps/2); abs(x-a)<delta",
        "abs(1/x-1/a) < eps",
        true,
    );
    all.claim(
        "eps>0; a>0; delta=Min(a/2,a**2*eps); abs(x-a)<delta",
        "abs(1/x-1/a) < eps",
        false,
    );
    all.claim(
        "eps>0; a>0; x>=0; delta=eps*sqrt(a); abs(x-a)<delta",
        "abs(sqrt(x)-sqrt(a)) < eps",
        true,
    );
}

fn abstract_estimates(all: &mut Families) {
    all.topic("abstract");
    all.holds(
        "",
        &[
            "abs(a+b) <= abs(a)+abs(b)",
            "abs(abs(a)-abs(b)) <= abs(a-b)",
            "abs(a-c) <= abs(a-b)+abs(b-c)",
        ],
    );
    all.fails(
        "",
        &[
            "abs(a+b) < abs(a)+abs(b)",
            "abs(abs(a)-abs(b)) < abs(a-b)",
            "abs(a-c) <= abs(a-b)-abs(b-c)",
        ],
    );
    all.holds(
        "",
        &[
            "abs(a*b) = abs(a)*abs(b)",
            "2*abs(a*b) <= a**2+b**2",
            "(a+b)**2 <= 2*a**2+2*b**2",
            "a**2+b**2+c**2 >= a*b+b*c+c*a",
        ],
    );
    all.fails(
        "",
        &[
            "2*abs(a*b) < a**2+b**2",
            "(a+b)**2 < 2*a**2+2*b**2",
            "(a+b)**2 <= 19*(a**2+b**2)/10",
            "a**2+b**2+c**2 > a*b+b*c+c*a",
        ],
    );
    for (p, q) in [(1, 1), (1, 2), (1, 3), (2, 5)] {
        // Shares of ε that add up to one.
        let given = format!(
            "eps>0; abs(a-b)<{p}*eps/{}; abs(b-c)<{q}*eps/{}",
            p + q,
            p + q
        );
        all.claim(&given, "abs(a-c) < eps", true);
        let tight = all.factor(false);
        all.claim(&given, &format!("abs(a-c) < {tight}*eps"), false);
        let given = format!(
            "eps>0; abs(a-b)<={p}*eps/{}; abs(b-c)<={q}*eps/{}",
            p + q,
            p + q
        );
        all.claim(&given, "abs(a-c) < eps", false);
        all.claim(&given, "abs(a-c) <= eps", true);
        // |p a + q b − …|.
        let given = "eps>0; abs(a-c)<eps; abs(b-d)<eps";
        let term = format!("abs({p}*a-{q}*b-{p}*c+{q}*d)");
        all.claim(given, &format!("{term} < {}*eps", p + q), true);
        let tight = all.factor(false);
        all.claim(given, &format!("{term} < {tight}*{}*eps", p + q), false);
    }
}

fn products_and_quotients(all: &mut Families) {
    for m in [1, 2, 5] {
        // Products: |ab − cd| ≤ |a| |b − d| + |d| |a − c|.
        let given = format!("eps>0; abs(a)<={m}; abs(d)<={m}; abs(a-c)<eps; abs(b-d)<eps");
        all.claim(&given, &format!("abs(a*b-c*d) < {}*eps", 2 * m), true);
        all.claim(&given, &format!("abs(a*b-c*d) < {m}*eps"), false);
        // Quotients.
        let given = format!("abs(b)>={m}; abs(a-b)<={m}/2");
        all.claim(&given, &format!("abs(a) >= {m}/2"), true);
        all.claim(&given, &format!("abs(a) > {m}/2"), false);
        all.claim(
            &given,
            &format!("abs(1/a-1/b) <= 2*abs(a-b)/{}", m * m),
            true,
        );
        all.claim(
            &given,
            &format!("abs(1/a-1/b) <= abs(a-b)/{}", m * m),
            false,
        );
        // Squeezes.
        let given = format!("a<=b; b<=c; abs(a-L)<eps; abs(c-L)<eps; eps<{m}");
        all.claim(&given, "abs(b-L) < eps", true);
        all.claim(&given, &format!("abs(b-L) < {m}"), true);
        all.claim(&given, "abs(b-L) < 99*eps/100", false);
        // a b ≤ m a² + b²/(4m).
        all.claim("", &format!("a*b <= {m}*a**2+b**2/{}", 4 * m), true);
        all.claim("", &format!("a*b < {m}*a**2+b**2/{}", 4 * m), false);
        let tight = all.factor(false);
        all.claim(
            "",
            &format!("a*b <= {tight}*({m}*a**2+b**2/{})", 4 * m),
            false,
        );
    }
    all.holds(
        "a>0; b>0",
        &[
            "a/b+b/a >= 2",
            "(a+b)*(1/a+1/b) >= 4",
            "2/(1/a+1/b) <= (a+b)/2",
        ],
    );
    all.fails(
        "a>0; b>0",
        &[
            "a/b+b/a > 2",
            "(a+b)*(1/a+1/b) > 4",
            "2/(1/a+1/b) < (a+b)/2",
        ],
    );
    all.holds(
        "",
        &[
            "abs(a+b)/(1+abs(a+b)) <= abs(a)/(1+abs(a))+abs(b)/(1+abs(b))",
            "abs(a)/(1+a**2) <= 1/2",
        ],
    );
    all.fails(
        "",
        &[
            "abs(a)/(1+a**2) < 1/2",
            "abs(a+b)/(1+abs(a+b)) <= abs(a)/(1+abs(a))",
        ],
    );
    all.holds(
        "eps>0; abs(a-L)<eps",
        &[
            "abs(a) < abs(L)+eps",
            "a > L-eps",
            "abs(a**2-L**2) <= eps*(2*abs(L)+eps)",
        ],
    );
    all.fails(
        "eps>0; abs(a-L)<eps",
        &[
            "abs(a) < abs(L)",
            "a >= L",
            "abs(a**2-L**2) <= 2*eps*abs(L)",
        ],
    );
    all.holds("a>b; b>c", &["a > c", "a-c > b-c"]);
    all.fails("a>=b; b>=c", &["a > c"]);
    // (1 ∓ a)(1 ∓ b) > 0.
    all.claim("abs(a)<1; abs(b)<1", "abs(a+b) <= 1+a*b", true);
    all.claim("abs(a)<1; abs(b)<1", "abs(a+b) < 1+a*b", true);
    all.claim("a>=0; a<=1; b>=0; b<=1", "a+b <= 1+a*b", true);
    all.claim("a>=0; a<=1; b>=0; b<=1", "a+b < 1+a*b", false);
}

/// Several points and indices at once.
fn several(all: &mut Families) {
    all.topic("several");
    for a in [1, 2, 3] {
        let given = format!("n>=1; m>=n; x>=0; x<={a}");
        all.claim(&given, &format!("abs(x/n-x/m) <= {a}/n"), true);
        all.claim(&given, &format!("abs(x/n-x/m) < {a}/n"), true);
        let tight = all.factor(false);
        all.claim(&given, &format!("abs(x/n-x/m) <= {tight}*{a}/n"), false);
        // |f_n(x) − f_n(y)| for f_n(x) = x/(1 + n x²): slope at most 1.
        let term = format!("abs({a}*x/(1+n*x**2)-{a}*y/(1+n*y**2))");
        all.claim("n>=1", &format!("{term} <= {a}*abs(x-y)"), true);
        all.claim("n>=1", &format!("{term} <= 9*{a}*abs(x-y)/10"), false);
        // Continuity of the limit: three thirds of ε.
        let given = "eps>0; abs(u-v)<eps/3; abs(v-w)<eps/3; abs(w-z)<eps/3";
        all.claim(given, &format!("{a}*abs(u-z) < {a}*eps"), true);
        let tight = all.factor(false);
        all.claim(given, &format!("{a}*abs(u-z) < {a}*{tight}*eps"), false);
        // Differences of squares at two points.
        let given = format!("abs(x)<={a}; abs(y)<={a}");
        all.claim(
            &given,
            &format!("abs(x**2-y**2) <= {}*abs(x-y)", 2 * a),
            true,
        );
        all.claim(
            &given,
            &format!("abs(x**2-y**2) < {}*abs(x-y)", 2 * a),
            false,
        );
        let tight = all.factor(false);
        all.claim(
            &given,
            &format!("abs(x**2-y**2) <= {tight}*{}*abs(x-y)", 2 * a),
            false,
        );
        all.claim(
            &given,
            &format!("abs(x**3-y**3) <= {}*abs(x-y)", 3 * a * a),
            true,
        );
        let tight = all.factor(false);
        all.claim(
            &given,
            &format!("abs(x**3-y**3) <= {tight}*{}*abs(x-y)", 3 * a * a),
            false,
        );
        // Between two points: a convex combination.
        let given = "x<=y; c>=0; c<=1";
        all.claim(given, &format!("{a}*(c*x+(1-c)*y) <= {a}*y"), true);
        all.claim(given, &format!("{a}*(c*x+(1-c)*y) < {a}*y"), false);
        all.claim(given, "(c*x+(1-c)*y)**2 <= c*x**2+(1-c)*y**2", true);
        // Cauchy: |1/n − 1/m| with powers.
        let given = "N>=1; n>=N; m>=N";
        all.claim(given, &format!("abs({a}/n**2-{a}/m**2) <= {a}/N**2"), true);
        all.claim(
            given,
            &format!("abs({a}/sqrt(n)-{a}/sqrt(m)) <= {a}/sqrt(N)"),
            true,
        );
        all.claim(
            given,
            &format!("abs({a}/n**2-{a}/m**2) <= {a}/(2*N**2)"),
            false,
        );
        all.claim(
            given,
            &format!("abs({a}/sqrt(n)-{a}/sqrt(m)) <= {a}/(2*sqrt(N))"),
            false,
        );
    }
}

fn several_functions(all: &mut Families) {
    all.holds(
        "n>=1; m>=1; x>=0; x<=1",
        &[
            "abs(x**n-x**m) <= 1",
            "x**n*x**m = x**(n+m)",
            "x**(n+m) <= x**n",
        ],
    );
    all.fails(
        "n>=1; m>=1; x>=0; x<=1",
        &["abs(x**n-x**m) <= 1/4", "x**n+x**m <= 1", "x**(n+m) < x**n"],
    );
    all.holds(
        "n>=1; x>=0; y>=0",
        &[
            "abs(exp(-n*x)-exp(-n*y)) <= n*abs(x-y)",
            "abs(exp(-n*x)-exp(-n*y)) <= 1",
        ],
    );
    all.fails(
        "n>=1; x>=0; y>=0",
        &[
            "abs(exp(-n*x)-exp(-n*y)) <= abs(x-y)",
            "abs(exp(-n*x)-exp(-n*y)) <= 9/10",
        ],
    );
    all.holds(
        "x>0; y>0",
        &[
            "abs(log(x)-log(y)) <= abs(x-y)/Min(x,y)",
            "log(x)+log(y) <= 2*log((x+y)/2)",
        ],
    );
    all.fails(
        "x>0; y>0",
        &[
            "abs(log(x)-log(y)) <= abs(x-y)",
            "log(x)+log(y) >= 2*log((x+y)/2)",
        ],
    );
    all.holds(
        "",
        &[
            "sin(x+y) = sin(x)*cos(y)+cos(x)*sin(y)",
            "abs(sin(x+y)) <= abs(sin(x))+abs(sin(y))",
        ],
    );
    all.fails(
        "",
        &["sin(x+y) = sin(x)+sin(y)", "abs(sin(x+y)) <= abs(sin(x))"],
    );
}

fn definedness(all: &mut Families) {
    all.topic("definedness");
    for a in [1, 2, 3, 5] {
        all.defined(&format!("x>={a}"), &format!("sqrt(x-{a})"), true);
        all.defined(&format!("x>={a}-1/100000"), &format!("sqrt(x-{a})"), false);
        all.defined(&format!("x>{a}"), &format!("1/(x-{a})"), true);
        all.defined(&format!("x>={a}"), &format!("1/(x-{a})"), false);
        all.defined(&format!("x>-1/{a}"), &format!("log(1+{a}*x)"), true);
        all.defined(&format!("x>=-1/{a}"), &format!("log(1+{a}*x)"), false);
        all.defined("n>=1", &format!("x/({a}+n*x**2)"), true);
        all.defined("n>=1", &format!("x/({a}-n*x**2)"), false);
        all.defined("n>=1", &format!("x/(x+{a}*n)"), false);
        all.defined("n>=1; x>=0", &format!("x/(x+{a}*n)"), true);
        all.defined(&format!("abs(x-{a})<1"), "1/x", a >= 1);
        all.defined(&format!("abs(x-{a})<={a}"), "1/x", false);
        all.defined("", &format!("sqrt(x**2-{}*x+{})", 2 * a, a * a), true);
        all.defined(
            "",
            &format!("sqrt(x**2-{}*x+{}-1/1000)", 2 * a, a * a),
            false,
        );
        all.defined("n>=1; x>0", &format!("x**(1/n)+{a}/x"), true);
        all.defined("n>=1", &format!("x**(1/n)+{a}"), false);
        all.defined(
            &format!("abs(x)<={a}"),
            &format!("sqrt({}-x**2)", a * a),
            true,
        );
        all.defined(
            &format!("abs(x)<={a}"),
            &format!("1/sqrt({}-x**2)", a * a),
            false,
        );
        all.defined(
            &format!("abs(x)<{a}"),
            &format!("1/sqrt({}-x**2)", a * a),
            true,
        );
        all.defined(&format!("n>={a}"), &format!("1/(n-{a}+1)"), true);
        all.defined(&format!("n>={a}"), &format!("1/(n-{a})"), false);
        all.defined(&format!("n>={a}"), &format!("factorial(n-{a})"), true);
        all.defined(&format!("n>={a}"), &format!("factorial(n-{a}-1)"), false);
    }
    all.defined("x>0; x<pi/2", "tan(x)", true);
    all.defined("x>0; x<2", "tan(x)", false);
    all.defined("n>=1; x>=0; x<=1", "log(1+x**n)", true);
    all.defined("n>=1; x>=0; x<=1", "1/(1-x**n)", false);
    all.defined("n>=1; x>=0; x<1", "1/(1-x**n)", true);
    all.defined("n>=2", "1/log(n)", true);
    all.defined("n>=1", "1/log(n)", false);
    all.defined("", "1/(1+exp(-x))", true);
    all.defined("", "1/(1-exp(-x))", false);
    all.defined("", "log(x**2+1)", true);
    all.defined("", "log(x**2)", false);
    all.defined("", "sqrt(1-sin(x)**2)", true);
    all.defined("", "1/sqrt(1-sin(x)**2)", false);
}
