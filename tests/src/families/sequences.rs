//! Families of thresholds: N for n, with the notch that makes them fail.

use super::Families;

pub(super) fn add(all: &mut Families) {
    all.topic("thresholds");
    // (error, threshold): error < ε exactly for n > threshold, for every ε.
    let mut sharp: Vec<(String, String)> = Vec::new();
    for (a, b) in [(1, 1), (3, 2), (5, 4), (2, 7), (7, 3)] {
        sharp.push((format!("{a}/({b}*n)"), format!("{a}/({b}*eps)")));
        sharp.push((
            format!("{a}/({b}*sqrt(n))"),
            format!("{}/({}*eps**2)", a * a, b * b),
        ));
        sharp.push((format!("{a}/({b}*n**2)"), format!("sqrt({a}/({b}*eps))")));
        sharp.push((
            format!("1/(2*sqrt({a}*{b}*n))"),
            format!("1/({}*eps**2)", 4 * a * b),
        ));
        sharp.push((
            format!("{a}/(exp(1)*{b}*n)"),
            format!("{a}/({b}*exp(1)*eps)"),
        ));
    }
    for (error, threshold) in &sharp {
        let given = |relation: &str, factor: &str| {
            format!("eps>0; N>=1; N {relation} {factor}*({threshold})")
        };
        let goal = format!("{error} < eps");
        all.claim(&format!("{}; n>=N", given(">", "1")), &goal, true);
        all.claim(&format!("{}; n>N", given(">=", "1")), &goal, true);
        // Equality is reached where the threshold is an integer.
        if !threshold.contains("exp") {
            all.claim(&format!("{}; n>=N", given(">=", "1")), &goal, false);
        }
        let loose = all.factor(true);
        all.claim(&format!("{}; n>=N", given(">", &loose)), &goal, true);
        let tight = all.factor(false);
        all.claim(&format!("{}; n>N", given(">", &tight)), &goal, false);
    }
    // With a shift: a/(n + b) < ε for n > a/ε − b.
    for (a, b) in [(1, 1), (2, 5), (9, 4)] {
        let goal = format!("{a}/(n+{b}) < eps");
        all.claim(&format!("eps>0; N>={a}/eps-{b}; N>=1; n>N"), &goal, true);
        all.claim(
            &format!("eps>0; N>{a}/eps-{}; N>=1; n>N", b + 1),
            &goal,
            true,
        );
        all.claim(
            &format!("eps>0; N>{a}/eps-{}; N>=1; n>=N", b + 1),
            &goal,
            false,
        );
        all.claim(
            &format!("eps>0; N>={a}/eps-{}; N>=1; n>N", b + 1),
            &goal,
            false,
        );
        // (n + b)/n² ≤ 2/n from n ≥ b on.
        let goal = format!("(n+{b})/n**2 < eps");
        all.claim(&format!("eps>0; N>2/eps; N>={b}; n>=N"), &goal, true);
        all.claim(&format!("eps>0; N>1/eps; N>={b}; n>=N"), &goal, false);
        // |x| ≤ a: |x|/n < ε.
        let given = format!("eps>0; abs(x)<={a}; N>{a}/eps; N>=1; n>=N");
        all.claim(&given, "abs(x)/n < eps", true);
        let tight = all.factor(false);
        all.claim(&given, &format!("abs(x)/n < {tight}*eps"), false);
    }
    // Chains through a middle term: √(n+1) − √n < 1/(2√n) < ε for n > 1/(4 ε²).
    let chains = [
        ("sqrt(n+1)-sqrt(n)", "1/(4*eps**2)"),
        ("sqrt(n**2+1)-n", "1/(2*eps)"),
        ("abs(sin(n*x))/n", "1/eps"),
        ("n/(n**2+1)", "1/eps"),
        ("abs(x/(1+n*x**2))", "1/(4*eps**2)"),
        ("log(1+1/n)", "1/eps"),
        ("1-n*log(1+1/n)", "1/(2*eps)"),
        ("1/n+1/n**2", "2/eps"),
        ("abs(cos(n)/(n+sqrt(n)))", "1/eps"),
        ("exp(1/n)-1", "2/eps"),
    ];
    for (error, threshold) in chains {
        let goal = format!("{error} < eps");
        let given = format!("eps>0; N>=1; N>{threshold}");
        all.claim(&format!("{given}; n>=N"), &goal, true);
        all.claim(&format!("{given}; n>N"), &goal, true);
        all.claim(
            &format!("eps>0; N>=1; N>1/4*({threshold}); n>=N"),
            &goal,
            false,
        );
    }
    // Logarithmic thresholds: a^n < ε for n > log ε / log a.
    for (p, q) in [(1, 2), (2, 3), (9, 10)] {
        let goal = format!("({p}/{q})**n < eps");
        let given = format!("eps>0; eps<1; N>log(1/eps)/log({q}/{p}); n>=N");
        all.claim(&given, &goal, true);
        let given = format!("eps>0; eps<1; N>9/10*log(1/eps)/log({q}/{p}); n>=N");
        all.claim(&given, &goal, false);
        let given = format!("eps>0; eps<1; N>log(1/eps)/log({q}/{p}); n>=N; x>=0; x<={p}/{q}");
        all.claim(&given, "x**n < eps", true);
    }
    let given = "eps>0; eps<1; N>log(1/eps); n>=N";
    all.claim(given, "exp(-n) < eps", true);
    all.claim("eps>0; eps<1; N>log(1/eps)/2; n>=N", "exp(-n) < eps", false);
}
