//! Families in the manner of lectures: products taken apart by the triangle inequality, partial sums of
//! known series, alternating blocks, amplitudes, chords of powers, majorants with parameters.

use super::Families;

pub(super) fn add(all: &mut Families) {
    all.topic("triangle");
    products(all);
    quotients(all);
    all.topic("amplitudes");
    amplitudes(all);
    all.topic("known-series");
    partial_sums(all);
    all.topic("alternating");
    alternating(all);
    all.topic("chords");
    chords(all);
    all.topic("majorants");
    majorants(all);
    all.topic("differences");
    differences(all);
    all.topic("multiples");
    multiples(all);
}

fn differences(all: &mut Families) {
    for (c, truth) in [("2", true), ("1", true), ("5/2", false)] {
        for (x, y, n) in [("x", "y", "n"), ("u", "v", "m")] {
            let roots = format!("abs(sqrt({x}**2+{n}**2)-sqrt({y}**2+{n}**2))");
            let goal = format!("{roots} <= abs({x}**2-{y}**2)/({c}*{n})");
            all.claim(&format!("{n}>=1"), &goal, truth);
        }
    }
    for (power, c, truth) in [(1, 1, true), (2, 2, true), (2, 3, true), (2, 1, false)] {
        for (x, y) in [("x", "y"), ("s", "t")] {
            let given = format!("eps>0; {x}>=1; {y}>=1; abs({x}-{y})<eps/{c}");
            let goal = format!("abs(1/{x}**{power}-1/{y}**{power}) < eps");
            all.claim(&given, &goal, truth);
        }
    }
    for (c, truth) in [("2", true), ("3", true), ("1", false)] {
        let given = format!("eps>0; delta>0; delta=Min(1,eps/({c}*exp(a))); abs(x-a)<delta");
        all.claim(&given, "abs(exp(x)-exp(a)) < eps", truth);
        let goal = format!("abs(exp(x)-exp(a)) <= {c}*exp(a)*abs(x-a)");
        all.claim("abs(x-a)<=1", &goal, truth);
    }
    for (c, truth) in [("1/2", true), ("1", true), ("1/3", false)] {
        let goal = format!("abs(atan(n*x)-atan((n+1)*x)) <= {c}/n");
        all.claim("n>=1", &goal, truth);
        let between = format!("(1+v**2)*(atan(u)-atan(v)) <= 2*{c}*(u-v)");
        all.claim("v>=0; u>=v", &between, truth);
    }
}

fn multiples(all: &mut Families) {
    all.holds(
        "",
        &[
            "sin(2*x) = 2*sin(x)*cos(x)",
            "sin(3*x) = 3*sin(x)-4*sin(x)**3",
            "cos(3*x) = 4*cos(x)**3-3*cos(x)",
            "cos(4*x) = 8*cos(x)**4-8*cos(x)**2+1",
            "1-cos(2*x) = 2*sin(x)**2",
            "abs(sin(3*x)) <= 3*abs(sin(x))",
            "abs(sin(4*x)) <= 4*abs(sin(x))",
        ],
    );
    all.fails(
        "",
        &[
            "sin(3*x) = 4*sin(x)-3*sin(x)**3",
            "cos(4*x) = 8*cos(x)**4-8*cos(x)**2",
            "abs(sin(3*x)) <= 2*abs(sin(x))",
        ],
    );
    for (c, truth) in [("1", true), ("2", true), ("9/10", false)] {
        let goal = format!("1-cos(n*x) <= {c}*n**2*(1-cos(x))");
        all.claim("n>=1", &goal, truth);
    }
    for (c, truth) in [("7/19", true), ("2/5", true), ("1/3", false)] {
        let goal = format!("n*x**n*(1-x) <= {c}");
        all.claim("n>=1; x>=0; x<=1", &goal, truth);
    }
    for (c, truth) in [("1", true), ("3/2", true), ("1/2", false)] {
        let bound = format!("{c}*2**(n+1)*(n+2)/(n*factorial(n+1))");
        let goal = format!("Sum(2**k/factorial(k),(k,n+1,oo)) <= {bound}");
        all.claim("n>=1", &goal, truth);
        let goal = format!("Sum(1/factorial(k),(k,0,n)) <= 3-{c}/(n*factorial(n))");
        all.claim("n>=1", &goal, c != "3/2");
    }
}

fn products(all: &mut Families) {
    for (a, b, x, y) in [("a", "b", "x", "y"), ("u", "v", "s", "t")] {
        for bound in ["1", "2", "5/2"] {
            let given = [a, b, x, y].map(|own| format!("{own}>=-({bound}); {own}<={bound}"));
            let (given, gap) = (given.join("; "), format!("abs({a}*{b}-{x}*{y})"));
            // Equality for b = y = bound.
            let right = |c: &str| format!("{c}*{bound}*abs({a}-{x})+{bound}*abs({b}-{y})");
            all.claim(&given, &format!("{gap} <= {}", right("1")), true);
            let tight = all.factor(false);
            all.claim(&given, &format!("{gap} <= {}", right(&tight)), false);
        }
        let given = |part: &str| {
            format!("eps>0; delta>0; delta=Min(1,{part}); abs({x}-{a})<delta; abs({y}-{b})<delta")
        };
        let goal = format!("abs({x}*{y}-{a}*{b}) < eps");
        let sizes = |c: &str| format!("eps/(abs({a})+abs({b})+{c})");
        for (part, truth) in [
            (sizes("1"), true),
            (sizes("3"), true),
            (sizes("1/2"), false),
            (format!("eps/(abs({a})+1)"), false),
        ] {
            all.claim(&given(&part), &goal, truth);
        }
    }
    for (c, truth) in [(3, true), (4, true), (2, false)] {
        let given = format!("eps>0; delta>0; delta=Min(1,eps/({c}*(abs(a)+1)**2)); abs(x-a)<delta");
        all.claim(&given, "abs(x**3-a**3) < eps", truth);
    }
    for bound in ["1", "2"] {
        let names = ["a", "b", "c", "x", "y", "z"];
        let given = names.map(|own| format!("abs({own})<={bound}")).join("; ");
        let goal = |c: &str| {
            let sum = "(abs(a-x)+abs(b-y)+abs(c-z))";
            format!("abs(a*b*c-x*y*z) <= {c}*{bound}**2*{sum}")
        };
        all.claim(&given, &goal("1"), true);
        let tight = all.factor(false);
        all.claim(&given, &goal(&tight), false);
    }
}

fn quotients(all: &mut Families) {
    for c in ["1", "2", "1/3"] {
        let given = format!("abs(q)>={c}; abs(s)>={c}");
        // Equality for q = s = c.
        let goal = |d: &str| {
            let first = format!("{d}*abs(p-r)/({c})");
            format!("abs(p/q-r/s) <= {first}+abs(r)*abs(q-s)/({c})**2")
        };
        all.claim(&given, &goal("1"), true);
        let tight = all.factor(false);
        all.claim(&given, &goal(&tight), false);
        let inverse = |d: &str| format!("abs(1/q-1/s) <= {d}*abs(q-s)/({c})**2");
        all.claim(&given, &inverse("1"), true);
        let tight = all.factor(false);
        all.claim(&given, &inverse(&tight), false);
    }
}

fn amplitudes(all: &mut Families) {
    for (p, q, r) in [(3, 4, 5), (5, 12, 13), (8, 15, 17), (7, 24, 25)] {
        let term = format!("abs({p}*sin(x)+{q}*cos(x))");
        all.claim("", &format!("{term} <= {r}"), true);
        let tight = all.factor(false);
        all.claim("", &format!("{term} <= {tight}*{r}"), false);
    }
    all.holds(
        "",
        &[
            "a*sin(x)+b*cos(x) <= sqrt(a**2+b**2)",
            "abs(a*cos(t)-b*sin(t)) <= sqrt(a**2+b**2)",
            "abs(sin(x)+sin(y)) <= 2*abs(sin((x+y)/2))",
            "abs(sin(x)-sin(y)) <= 2*abs(sin((x-y)/2))",
        ],
    );
    all.fails(
        "",
        &[
            "a*sin(x)+b*cos(x) <= 9/10*sqrt(a**2+b**2)",
            "abs(sin(x)+sin(y)) <= 19/10*abs(sin((x+y)/2))",
        ],
    );
}

fn partial_sums(all: &mut Families) {
    let powers = "Sum(x**k/factorial(k),(k,0,n))";
    all.claim("n>=1; x>=0", &format!("{powers} <= exp(x)"), true);
    let tight = all.factor(false);
    all.claim("n>=1; x>=0", &format!("{powers} <= {tight}*exp(x)"), false);
    let logarithm = "Sum(t**k/k,(k,1,m))";
    let given = "m>=1; t>=0; t<1";
    all.claim(given, &format!("{logarithm} <= -log(1-t)"), true);
    all.claim(given, &format!("{logarithm} <= -9/10*log(1-t)"), false);
    for b in 2..=5 {
        let sum = format!("Sum(1/(k*{b}**k),(k,1,n))");
        let value = format!("log({b}/{})", b - 1);
        all.claim("n>=1", &format!("{sum} <= {value}"), true);
        all.claim("n>=1", &format!("{sum} <= 9/10*{value}"), false);
        let sum = format!("Sum({b}**k/factorial(k),(k,0,n))");
        all.claim("n>=1", &format!("{sum} <= e**{b}"), true);
        all.claim("n>=1", &format!("{sum} <= 9/10*e**{b}"), false);
    }
    for (bound, truth) in [
        ("1/(n*factorial(n))", true),
        ("2/factorial(n+1)", true),
        ("1/(2*n*factorial(n))", false),
    ] {
        let goal = format!("abs(e-Sum(1/factorial(k),(k,0,n))) <= {bound}");
        all.claim("n>=1", &goal, truth);
    }
    let binomial = "(1+1/n)**n";
    all.claim(
        "n>=1",
        &format!("{binomial} <= Sum(1/factorial(k),(k,0,n))"),
        true,
    );
    all.claim(
        "n>=1",
        &format!("{binomial} <= Sum(1/factorial(k),(k,1,n))"),
        false,
    );
}

fn alternating(all: &mut Families) {
    for (term, first, second) in [
        ("k", "n+1", "n+2"),
        ("(k+3)", "n+4", "n+5"),
        ("(2*k+1)", "2*n+3", "2*n+5"),
        ("sqrt(k)", "sqrt(n+1)", "sqrt(n+2)"),
        ("k**2", "(n+1)**2", "(n+2)**2"),
    ] {
        let sum = format!("abs(Sum((-1)**k/{term},(k,n+1,m)))");
        all.claim("n>=1; m>n", &format!("{sum} <= 1/({first})"), true);
        all.claim("n>=1; m>n", &format!("{sum} <= 1/({second})"), false);
    }
}

fn chords(all: &mut Families) {
    let given = "n>=1; m>n; x>=0; x<=1";
    for (c, truth) in [("1", true), ("11/10", true), ("9/10", false)] {
        all.claim(given, &format!("x**n-x**m <= {c}*(1-n/m)"), truth);
        let waves = format!("exp(-n*y)-exp(-m*y) <= {c}*(1-n/m)");
        all.claim("n>=1; m>n; y>=0", &waves, truth);
        let mean = format!("((u+v)/2)**n <= {c}*(u**n+v**n)/2");
        all.claim("n>=1; u>=0; v>=0", &mean, truth);
        let root = format!("a**(1/n)-1 <= {c}*(a-1)/n");
        all.claim("n>=1; a>=1", &root, truth);
    }
    for (p, truth) in [(2, true), (3, true), (5, true)] {
        let mean = format!("((u+v)/2)**{p} <= (u**{p}+v**{p})/2");
        all.claim("u>=0; v>=0", &mean, truth);
    }
    for (c, d, truth) in [("1", "1", true), ("2", "2", true), ("1", "2", false)] {
        let given = format!("eps>0; N>=1; N>exp({c}/eps); n>N");
        all.claim(&given, &format!("{d}/log(n) < eps"), truth);
    }
    for (given, truth) in [
        ("eps>0; a>0; a<1; N>=1; N>a/((1-a)*eps); n>=N", true),
        ("eps>0; a>0; a<1; N>=1; N>1/((1-a)*eps); n>=N", true),
        ("eps>0; a>0; a<1; N>=1; N>a/eps; n>=N", false),
    ] {
        all.claim(given, "a**n < eps", truth);
    }
    all.holds(
        "n>=1",
        &[
            "factorial(n) <= ((n+1)/2)**n",
            "factorial(n)**2 >= n**n",
            "n**(1/n) <= 13/9",
        ],
    );
    all.fails("n>=1", &["factorial(n) <= (n/2)**n", "n**(1/n) <= 7/5"]);
    all.claim("n>=1; x>=0", "x**n*exp(-x) <= factorial(n)", true);
}

fn majorants(all: &mut Families) {
    for (term, truth) in [
        ("exp(x/n)-1", true),
        ("(1+x/n)**2-1", true),
        ("x/n*exp(x/n)", true),
        ("log(1+x/n)", true),
        ("x**2/n+x/n**2", true),
        ("exp(x/n)-1+1/100", false),
    ] {
        all.tends("n>=1; a>0; x>=0; x<=a", term, "x", truth);
    }
    for b in [2, 3, 5, 10] {
        all.tends("n>=1", &format!("{b}**n/factorial(n)"), "", true);
        all.tends("n>=1", &format!("n**2/{b}**n"), "", true);
    }
    for (term, truth) in [
        ("n**(1/n)-1", true),
        ("n**(1/n)-11/10", false),
        ("(1+2/n)**n-7", false),
        ("(1-1/n)**n-2/5", false),
        ("2**(1/n)-51/50", false),
        ("n*sin(1/n)-99/100", false),
        ("n*log(1+1/n)-49/50", false),
        ("sqrt(n**2+n)-n-2/5", false),
    ] {
        all.tends("n>=1", term, "", truth);
    }
    all.tends("n>=1; a>1", "n**2/a**n", "", true);
    all.tends("n>=1; a>0", "a**(1/n)-1", "", true);
    all.tends("n>=1", "sin(x)/sqrt(n)+cos(n*x)/n", "x", true);
}
