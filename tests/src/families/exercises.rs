//! Families in the manner of exercises: sums in closed form, chords of convex functions, constants
//! rounded up or down, tolerances through functions.

use super::Families;
use super::Sup::{Approached, Attained};

pub(super) fn add(all: &mut Families) {
    all.topic("exercises");
    closed_sums(all);
    chords(all);
    rounded_constants(all);
    tolerances(all);
}

fn closed_sums(all: &mut Families) {
    for b in 2..=5 {
        // Σ k/b^k = b/(b − 1)², and |Σ sin(k x)/b^k| ≤ Σ 1/b^k = 1/(b − 1).
        let sum = format!("Sum(k/{b}**k,(k,1,n))");
        all.sharp(
            "n>=1",
            &sum,
            &format!("{b}/{}", (b - 1) * (b - 1)),
            Approached,
        );
        let sine = format!("abs(Sum(sin(k*x)/{b}**k,(k,1,n)))");
        all.claim("n>=1", &format!("{sine} <= 1/{}", b - 1), true);
        // The first summand alone comes near 1/b.
        all.claim("n>=1", &format!("{sine} <= 99/{}", 100 * b), false);
    }
    // Σ 1/(k (k + d)) = (1 + 1/2 + … + 1/d)/d
    for (d, top, below) in [(1, 1, 1), (2, 3, 4), (3, 11, 18), (4, 25, 48)] {
        let sum = format!("Sum(1/(k*(k+{d})),(k,1,n))");
        all.claim("n>=1", &format!("{sum} < {top}/{below}"), true);
        all.claim("n>=1", &format!("{sum} <= 19*{top}/(20*{below})"), false);
    }
}

fn chords(all: &mut Families) {
    for b in ["1/2", "1", "2"] {
        // (e^x − 1 − x)/x² and (e^x − 1)/x rise.
        let given = format!("x>=0; x<={b}");
        let square = format!("(exp({b})-1-{b})/({b})**2");
        let (gap, tight) = ("exp(x)-1-x", all.factor(false));
        all.claim(&given, &format!("{gap} <= {square}*x**2"), true);
        all.claim(&given, &format!("{gap} < {square}*x**2"), false);
        all.claim(&given, &format!("{gap} <= {tight}*{square}*x**2"), false);
        let around = format!("x>=-{b}; x<={b}");
        let chord = format!("(exp({b})-1)/({b})");
        let tight = all.factor(false);
        all.claim(&around, &format!("abs(exp(x)-1) <= {chord}*abs(x)"), true);
        all.claim(
            &around,
            &format!("abs(exp(x)-1) <= {tight}*{chord}*abs(x)"),
            false,
        );
    }
}

fn rounded_constants(all: &mut Families) {
    // sup |arctan| = π/2 lies between 3/2 and 8/5; max x^n |log x| n = 1/e between 9/25 and 2/5.
    for (bound, truth) in [("2", true), ("8/5", true), ("3/2", false), ("pi/2", true)] {
        all.claim("n>=1", &format!("abs(atan(n*x)/n) < {bound}/n"), truth);
    }
    let power = "x**n*abs(log(x))";
    all.sharp("n>=1; x>0; x<=1", power, "1/(e*n)", Attained);
    for (bound, truth) in [("1", true), ("1/2", true), ("2/5", true), ("9/25", false)] {
        let goal = format!("{power} < {bound}/n");
        all.claim("n>=1; x>0; x<=1", &goal, truth);
    }
    // log n ≤ (k/e) n^(1/k), nearly attained at the integers next to e^k.
    for (k, above, below) in [
        (2, "3/4", "7/10"),
        (3, "6/5", "1"),
        (4, "3/2", "7/5"),
        (5, "2", "9/5"),
    ] {
        let goal = |c: &str| format!("log(n) <= {c}*n**(1/{k})");
        all.claim("n>=1", &goal(&format!("{k}/e")), true);
        all.claim("n>=1", &goal(above), true);
        all.claim("n>=1", &goal(below), false);
    }
}

fn tolerances(all: &mut Families) {
    // |e^x − 1| ≤ (e − 1)|x| for |x| ≤ 1, |log(1 + x)| ≤ 2 |x| for |x| ≤ 1/2.
    let given =
        |cap: &str, part: &str| format!("eps>0; delta>0; delta=Min({cap},{part}); abs(x)<delta");
    let cases = [
        ("1", "eps/3", "exp(x)-1", true),
        ("1", "eps/2", "exp(x)-1", true),
        ("1", "eps", "exp(x)-1", false),
        ("1/2", "eps/2", "log(1+x)", true),
        ("1/2", "eps", "log(1+x)", false),
        ("1", "eps", "sin(x)", true),
        ("1", "2*eps", "sin(x)", false),
        ("1", "eps/2", "x*exp(x)", false),
        ("1", "eps/3", "x*exp(x)", true),
    ];
    for (cap, part, term, truth) in cases {
        all.claim(&given(cap, part), &format!("abs({term}) < eps"), truth);
    }
}
