//! Families of limits: sequences, pointwise and uniform convergence to 0.

use super::Families;

pub(super) fn add(all: &mut Families) {
    all.topic("limits");
    for a in [1, 2, 5] {
        let sequences = [
            (format!("{a}/n"), true),
            (format!("({a}*n+1)/(n+{a})-{a}"), true),
            (format!("({a}*n+1)/(n+{a})-{a}-1/1000"), false),
            (format!("({a}*n**2+n)/(n**2+{a})-{a}"), true),
            (format!("sqrt(n+{a})-sqrt(n)"), true),
            (format!("sqrt(n**2+{a}*n)-n-{a}/2"), true),
            (format!("sqrt(n**2+{a}*n)-n"), false),
            (format!("{a}**n/factorial(n)"), true),
            (format!("n**{a}/2**n"), true),
            (format!("n**{a}/3**n"), true),
            (format!("log(n)/n**(1/{a})"), true),
            (format!("{a}*(-1)**n/n"), true),
            (format!("{a}*(-1)**n"), false),
            (format!("{a}**(1/n)-1"), true),
            (format!("sin({a}*n)/n"), true),
            (format!("n*sin({a}/n)-{a}"), true),
            (format!("n*log(1+{a}/n)-{a}"), true),
            (format!("exp({a}/n)-1"), true),
            (format!("cos({a}/n)-1"), true),
            (format!("atan({a}*n)-pi/2"), true),
            (format!("atan({a}*n)"), false),
            (format!("(1+1/(n+{a}))**2-1"), true),
            (format!("n/(n+{a})"), false),
        ];
        for (term, truth) in sequences {
            all.tends("n>=1", &term, "", truth);
        }
        // Uniform and only pointwise convergence of the same terms.
        let bounded = format!("n>=1; x>=0; x<={a}");
        let half = "n>=1; x>=0";
        let away = format!("n>=1; x>={a}");
        let cases: Vec<(&str, String, &str, bool)> = vec![
            (&bounded, "x/n".into(), "x", true),
            (half, "x/n".into(), "x", false),
            (half, "x/n".into(), "", true),
            (half, format!("x/({a}+n*x**2)"), "x", true),
            (half, format!("n*x/({a}+n**2*x**2)"), "x", false),
            (half, format!("n*x/({a}+n**2*x**2)"), "", true),
            (&away, format!("n*x/({a}+n**2*x**2)"), "x", true),
            (half, format!("x/(x+{a}*n)"), "x", false),
            (&bounded, "x/(x+n)".into(), "x", true),
            (half, format!("x*exp(-{a}*n*x)"), "x", true),
            (half, format!("n*x*exp(-{a}*n*x)"), "x", false),
            (&away, "n*x*exp(-n*x)".into(), "x", true),
            (half, format!("exp(-{a}*n*x)"), "x", false),
            (&away, "exp(-n*x)".into(), "x", true),
            (half, format!("sin({a}*n*x)/n"), "x", true),
            (half, format!("sin(x/({a}*n))"), "x", false),
            (&bounded, "sin(x/n)".into(), "x", true),
            (half, format!("sqrt(x+{a}/n)-sqrt(x)"), "x", true),
            (half, format!("sqrt(x**2+{a}/n)-x"), "x", true),
            (&away, "pi/2-atan(n*x)".into(), "x", true),
            (&bounded, "log(1+x/n)".into(), "x", true),
            (half, "log(1+x/n)".into(), "x", false),
            (&bounded, "exp(x/n)-1".into(), "x", true),
            (half, "exp(x/n)-1".into(), "x", false),
        ];
        for (given, term, points, truth) in cases {
            all.tends(given, &term, points, truth);
        }
    }
    let unit = "n>=1; x>=0; x<=1";
    all.tends(unit, "x**n", "x", false);
    all.tends("n>=1; x>=0; x<1", "x**n", "x", false);
    all.tends("n>=1; x>=0; x<1", "x**n", "", true);
    all.tends("n>=1; x>=0; x<=9/10", "x**n", "x", true);
    all.tends("n>=1; a>0; a<1; x>=0; x<=a", "x**n", "x", true);
    all.tends(unit, "x**n*(1-x)", "x", true);
    all.tends(unit, "n*x**n*(1-x)", "x", false);
    all.tends(unit, "x**n-x**(2*n)", "x", false);
    all.tends(unit, "x**n/n", "x", true);
    all.tends(unit, "x**n/(1+x**n)", "x", false);
    all.tends("n>=1; x>=0; x<=1/2", "x**n/(1+x**n)", "x", true);
    all.tends(unit, "n*x*(1-x)**n", "x", false);
    all.tends(unit, "x*(1-x)**n", "x", true);
    all.tends(unit, "x**2/(x**2+(1-n*x)**2)", "x", false);
    all.tends("n>=1", "x**2/(1+x**2)**n", "x", true);
    all.tends("n>=1", "n**(1/n)-1", "", true);
    all.tends("n>=1", "n**(1/n)", "", false);
    all.tends("n>=1", "(1+1/n)**n-exp(1)", "", true);
    all.tends("n>=1", "(1+1/n)**n-2", "", false);
    all.tends("n>=1", "factorial(n)/n**n", "", true);
    all.tends("n>=1", "sqrt(n)", "", false);
    all.tends("n>=1", "n*(-1)**n", "", false);
    all.tends("n>=1", "(1+(-1)**n)/n", "", true);
    all.tends("n>=1", "1+(-1)**n", "", false);
    all.tends("n>=1", "Sum(1/k**2,(k,n+1,oo))", "", true);
    all.tends("n>=1; x>=0; x<=1/2", "Sum(x**k,(k,n+1,oo))", "x", true);
    all.tends("n>=1; x>0", "1/(n*x)", "x", false);
    all.tends("n>=1; x>0", "1/(n*x)", "", true);
    all.tends("n>=1", "abs(sin(x))/n+x/(1+n*x**2)", "x", true);
}
