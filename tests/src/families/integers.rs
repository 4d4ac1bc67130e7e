//! Families over integers: rounding, parity, several indices.

use super::Families;
use super::Sup::{Approached, Attained};

pub(super) fn add(all: &mut Families) {
    rounding(all);
    rounded_identities(all);
    parity(all);
    integers(all);
    several_integers(all);
}

fn rounding(all: &mut Families) {
    all.topic("rounding");
    for a in [1, 2, 4, 7] {
        all.holds(
            "",
            &[
                &format!("floor({a}*x) <= {a}*x"),
                &format!("{a}*x < floor({a}*x)+1"),
            ],
        );
        all.fails(
            "",
            &[
                &format!("floor({a}*x) < {a}*x"),
                &format!("{a}*x <= floor({a}*x)+99/100"),
            ],
        );
        all.holds(
            "",
            &[
                &format!("ceiling({a}*x) >= {a}*x"),
                &format!("ceiling({a}*x) < {a}*x+1"),
            ],
        );
        all.fails(
            "",
            &[
                &format!("ceiling({a}*x) > {a}*x"),
                &format!("ceiling({a}*x) <= {a}*x+99/100"),
            ],
        );
        // |⌊n x⌋/n − x| < 1/n.
        let term = format!("abs(floor({a}*n*x)/({a}*n)-x)");
        all.sharp("n>=1", &term, &format!("1/({a}*n)"), Approached);
        // N = ⌈a/ε⌉ serves with n > N, not with n ≥ N and <.
        let ceiling = format!("eps>0; N=ceiling({a}/eps)");
        all.claim(&format!("{ceiling}; n>N"), &format!("{a}/n < eps"), true);
        all.claim(
            &format!("{ceiling}; n>=N; n>=1"),
            &format!("{a}/n <= eps"),
            true,
        );
        all.claim(
            &format!("{ceiling}; n>=N; n>=1"),
            &format!("{a}/n < eps"),
            false,
        );
        let floor = format!("eps>0; N=floor({a}/eps)");
        all.claim(&format!("{floor}; n>N"), &format!("{a}/n < eps"), true);
        all.claim(
            &format!("{floor}; n>=N; n>=1"),
            &format!("{a}/n <= eps"),
            false,
        );
        all.claim(&format!("{floor}+1; n>=N"), &format!("{a}/n < eps"), true);
        let square = format!("eps>0; N=ceiling({a}/eps**2); n>N");
        all.claim(&square, &format!("1/sqrt(n) < eps/sqrt({a})"), true);
        let tight = all.factor(false);
        all.claim(
            &square,
            &format!("1/sqrt(n) < {tight}*eps/sqrt({a})"),
            false,
        );
    }
}

fn rounded_identities(all: &mut Families) {
    all.holds(
        "",
        &[
            "floor(x)+floor(y) <= floor(x+y)",
            "floor(x+1) = floor(x)+1",
            "ceiling(x)-floor(x) <= 1",
        ],
    );
    all.fails(
        "",
        &[
            "floor(x)+floor(y) = floor(x+y)",
            "floor(2*x) = 2*floor(x)",
            "ceiling(x)-floor(x) = 1",
        ],
    );
    all.holds(
        "",
        &[
            "floor(x+y) <= floor(x)+floor(y)+1",
            "x-floor(x) >= 0",
            "x-floor(x) < 1",
        ],
    );
    all.fails(
        "",
        &[
            "floor(x+y) < floor(x)+floor(y)+1",
            "x-floor(x) > 0",
            "floor(-x) = -floor(x)",
        ],
    );
    all.holds(
        "n>=1",
        &[
            "floor(n/2) <= n/2",
            "floor(n/2) >= (n-1)/2",
            "ceiling(n/2) <= (n+1)/2",
            "floor(n/2)+ceiling(n/2) = n",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "floor(n/2) < n/2",
            "floor(n/2) > (n-1)/2",
            "ceiling(n/2) < (n+1)/2",
            "2*floor(n/2) = n",
        ],
    );
    all.holds(
        "n>=1",
        &["floor(sqrt(n))**2 <= n", "(floor(sqrt(n))+1)**2 > n"],
    );
    all.fails("n>=1", &["floor(sqrt(n))**2 < n", "floor(sqrt(n))**2 = n"]);
}

fn parity(all: &mut Families) {
    all.topic("parity");
    all.sharp("n>=1", "(1+(-1)**n)/2", "1", Attained);
    all.sharp("n>=1", "(1+(-1)**n)/n", "1", Attained);
    all.holds(
        "n>=1",
        &[
            "abs((-1)**n/n) <= 1/n",
            "(-1)**n <= 1",
            "(-1)**(2*n) = 1",
            "((-1)**n)**2 = 1",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "abs((-1)**n/n) < 1/n",
            "(-1)**n < 1",
            "(-1)**n = 1",
            "(-1)**n <= 0",
        ],
    );
    all.holds(
        "n>=1",
        &[
            "(-1)**(2*n+1) = -1",
            "(-1)**n+(-1)**(n+1) = 0",
            "(-1)**n*(-1)**n = 1",
            "abs((-1)**n) = 1",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "(-1)**n+(-1)**(n+1) > 0",
            "(-1)**n*(-1)**(n+1) = 1",
            "(-1)**(n+1) <= (-1)**n",
        ],
    );
    for a in [2, 3, 5] {
        // a + (−1)^n lies between a − 1 and a + 1.
        all.sharp(
            "n>=1",
            &format!("{a}+(-1)**n"),
            &format!("{}", a + 1),
            Attained,
        );
        all.sharp_below(
            "n>=1",
            &format!("{a}+(-1)**n"),
            &format!("{}", a - 1),
            Attained,
        );
        let bound = format!("{}/n", a + 1);
        all.sharp("n>=1", &format!("({a}+(-1)**n)/n"), &bound, Attained);
        let term = format!("abs(({a}*n+(-1)**n)/n-{a})");
        all.identity("n>=1", &term, "1/n");
        // |n/(n + (−1)^n) − 1| = 1/(n + (−1)^n), for odd n equal to 1/(n − 1).
        let term = "abs(n/(n+(-1)**n)-1)";
        let given = format!("n>={}", a + 1);
        all.claim(&given, &format!("{term} <= 1/(n-1)"), true);
        all.claim(&given, &format!("{term} < 1/(n-1)"), false);
        all.claim(&given, &format!("{term} <= 1/n"), false);
    }
    all.holds(
        "n>=1",
        &[
            "n+(-1)**n*n >= 0",
            "(-2)**n <= 2**n",
            "abs((-2)**n) = 2**n",
            "(-1/2)**n >= -1/2",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "n+(-1)**n*n > 0",
            "(-2)**n < 2**n",
            "(-2)**n = 2**n",
            "(-1/2)**n > -1/2",
        ],
    );
    all.holds(
        "n>=1; x>=0",
        &["(-x)**(2*n) = x**(2*n)", "abs((-x)**n) = x**n"],
    );
    all.fails("n>=1; x>=0", &["(-x)**n = x**n"]);
}

fn integers(all: &mut Families) {
    all.topic("integers");
    for a in [1, 2, 3, 5] {
        // n > N means n ≥ N + 1 over the integers.
        all.claim(
            &format!("eps>0; N>={a}/eps-1; n>N"),
            &format!("{a}/n <= eps"),
            true,
        );
        all.claim(
            &format!("eps>0; N>={a}/eps-1; n>N"),
            &format!("{a}/n < eps"),
            false,
        );
        all.claim(
            &format!("eps>0; x>={a}/eps-1; n>x; n>=1"),
            &format!("{a}/n <= eps"),
            false,
        );
        all.claim(
            &format!("eps>0; N>{a}/eps-1; n>N"),
            &format!("{a}/n < eps"),
            true,
        );
        all.claim(&format!("n>{a}"), &format!("n >= {}", a + 1), true);
        all.claim(&format!("x>{a}"), &format!("x >= {}", a + 1), false);
        all.claim(
            &format!("n>{a}; n<{}", a + 2),
            &format!("n = {}", a + 1),
            true,
        );
        all.claim(
            &format!("n>{a}; n<{}", a + 3),
            &format!("n = {}", a + 1),
            false,
        );
        all.claim("n>m", &format!("{a}*n >= {a}*m+{a}"), true);
        all.claim("n>m", &format!("{a}*n > {a}*m+{a}"), false);
        all.claim(
            &format!("2*n>{}", 2 * a + 1),
            &format!("n >= {}", a + 1),
            true,
        );
        all.claim("n*n>=1; m*m>=1", "n*n*m*m >= 1", true);
    }
    all.holds(
        "",
        &[
            "n**2 >= n",
            "n*(n+1) >= 0",
            "n**2 >= abs(n)",
            "n**4 >= n**2",
        ],
    );
    all.fails("", &["n**2 > n", "n*(n+1) > 0", "n**3 >= n", "x**2 >= x"]);
}

fn several_integers(all: &mut Families) {
    all.holds(
        "n>m; m>=1",
        &[
            "1/n <= 1/(m+1)",
            "n**2 >= m**2+2*m+1",
            "1/m-1/n >= 1/(m*n)",
            "n-m >= 1",
        ],
    );
    all.fails(
        "n>m; m>=1",
        &[
            "1/n < 1/(m+1)",
            "n**2 > m**2+2*m+1",
            "1/m-1/n > 1/(m*n)",
            "n-m > 1",
        ],
    );
    all.holds(
        "n>=1; m>=1",
        &[
            "1/(n+m) <= 1/(2*sqrt(n*m))",
            "1/n+1/m >= 4/(n+m)",
            "n*m >= n",
            "abs(1/n-1/m) < 1",
        ],
    );
    all.fails(
        "n>=1; m>=1",
        &[
            "1/(n+m) < 1/(2*sqrt(n*m))",
            "1/n+1/m > 4/(n+m)",
            "n*m > n",
            "abs(1/n-1/m) <= 1/2",
        ],
    );
    all.holds(
        "N>=1; n>=N; m>=N",
        &[
            "abs(1/n-1/m) <= 1/N",
            "abs(1/n-1/m) < 1/N",
            "1/n+1/m <= 2/N",
            "abs(1/n-1/m) <= 2/N",
        ],
    );
    all.fails(
        "N>=1; n>=N; m>=N",
        &[
            "abs(1/n-1/m) <= 1/(2*N)",
            "1/n+1/m < 2/N",
            "abs(1/n-1/m) <= 9999/(10000*N)",
        ],
    );
    all.holds(
        "n>=1; k>=1; k<=n",
        &["k/n <= 1", "k*(n-k+1) >= n", "1/(n+k) >= 1/(2*n)"],
    );
    all.fails(
        "n>=1; k>=1; k<=n",
        &["k/n < 1", "k*(n-k+1) > n", "1/(n+k) > 1/(2*n)"],
    );
}
