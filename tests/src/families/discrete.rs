//! Families over integers: factorials, sums, tails.

use super::Families;
use super::Sup::Attained;

pub(super) fn add(all: &mut Families) {
    factorials(all);
    sums(all);
    bounds_of_sums(all);
    tails(all);
    bounds_of_tails(all);
}

fn factorials(all: &mut Families) {
    all.topic("factorials");
    all.sharp_below("n>=1; n<=150", "factorial(n)", "2**(n-1)", Attained);
    all.sharp_below("n>=1; n<=150", "factorial(n+1)", "2**n", Attained);
    all.sharp("n>=1; n<=100", "factorial(n)", "n**n", Attained);
    all.sharp_below("n>=1; n<=150", "factorial(n)", "n", Attained);
    all.sharp("n>=1; n<=150", "1/factorial(n)", "1/2**(n-1)", Attained);
    all.sharp("n>=1; n<=100", "factorial(n)/n**n", "1/n", Attained);
    // 2^n/n! is 2 at n = 1, 2; 3^n/n! is 9/2 at n = 2, 3; then they fall.
    all.sharp("n>=1", "2**n/factorial(n)", "2", Attained);
    all.sharp("n>=1", "3**n/factorial(n)", "9/2", Attained);
    all.sharp("n>=1", "4**n/factorial(n)", "32/3", Attained);
    // 2^n/n! ≤ 4/n: n = 2, 3 … 2^(n−1) ≤ 2 (n−1)!, equality at n = 2, 3.
    all.sharp("n>=2", "2**n/factorial(n)", "4/n", Attained);
    all.sharp("n>=1; x>=0; x<=1", "x**n/factorial(n)", "1", Attained);
    all.sharp(
        "n>=1; n<=100; x>=0; x<=2",
        "x**n/factorial(n)",
        "2",
        Attained,
    );
    all.holds(
        "n>=4",
        &[
            "2**n <= factorial(n)",
            "n**2 <= factorial(n)",
            "2**n < factorial(n)",
        ],
    );
    all.fails("n>=3", &["2**n <= factorial(n)", "n**2 <= factorial(n)"]);
    all.fails("n>=6", &["3**n <= factorial(n)"]);
    all.holds("n>=7", &["3**n <= factorial(n)", "3**n < factorial(n)"]);
    all.holds(
        "n>=1",
        &["factorial(n+1)/factorial(n) = n+1", "1/factorial(n) <= 1/n"],
    );
    all.holds(
        "n>=2",
        &[
            "factorial(n)/n**n <= 2/n**2",
            "1/factorial(n) <= 1/(n*(n-1))",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "factorial(n) > n",
            "factorial(n) >= 2**n",
            "factorial(n)/n**n <= 1/n**2",
        ],
    );
    // Powers of 2 against powers of n.
    all.sharp_below("n>=1; n<=900", "2**n", "n+1", Attained);
    all.sharp_below("n>=1; n<=900", "2**n", "2*n", Attained);
    all.holds("n>=4", &["2**n >= n**2"]);
    all.fails("n>=3", &["2**n >= n**2"]);
    all.holds("n>=5", &["2**n > n**2"]);
    all.fails("n>=4", &["2**n > n**2"]);
    all.holds("n>=10", &["2**n >= n**3"]);
    all.fails("n>=9", &["2**n >= n**3"]);
    all.holds(
        "n>=1",
        &[
            "3**n >= n**3",
            "3**n >= 1+2*n",
            "3**n > n**2",
            "n/2**n <= 1/2",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "3**n > n**3",
            "3**n > 1+2*n",
            "n/2**n < 1/2",
            "n**2/2**n <= 1",
        ],
    );
    all.holds(
        "n>=1",
        &[
            "n**2/2**n <= 9/8",
            "n/2**n <= 2/(n+1)",
            "n**2/3**n <= 4/9",
            "n/3**n <= 1/3",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "n**2/2**n < 9/8",
            "n**2/3**n < 4/9",
            "n/3**n < 1/3",
            "n/2**n <= 1/n",
        ],
    );
}

fn sums(all: &mut Families) {
    all.topic("sums");
    all.identity("n>=1; n<=200", "Sum(k,(k,1,n))", "n*(n+1)/2");
    all.identity("n>=1; n<=200", "Sum(k**2,(k,1,n))", "n*(n+1)*(2*n+1)/6");
    all.identity("n>=1; n<=200", "Sum(k**3,(k,1,n))", "n**2*(n+1)**2/4");
    all.identity("n>=1; n<=200", "Sum(2*k-1,(k,1,n))", "n**2");
    all.identity("n>=1; n<=200", "Sum(1/(k*(k+1)),(k,1,n))", "1-1/(n+1)");
    all.identity("n>=0; n<=100", "Sum(2**k,(k,0,n))", "2**(n+1)-1");
    all.identity(
        "n>=0; n<=50; r>=0; r<1",
        "Sum(r**k,(k,0,n))",
        "(1-r**(n+1))/(1-r)",
    );
    for (p, q) in [(1, 2), (1, 3), (2, 3)] {
        let term = format!("Sum(({p}/{q})**k,(k,0,n))");
        let bound = format!("1/(1-{p}/{q})");
        all.claim("n>=0", &format!("{term} <= {bound}"), true);
        all.claim("n>=0", &format!("{term} < {bound}"), true);
        let tight = all.factor(false);
        all.claim("n>=0", &format!("{term} <= {tight}*({bound})"), false);
        all.claim("n>=0", &format!("{term} >= 1"), true);
        all.claim("n>=0", &format!("{term} > 1"), false);
    }
    // Telescoping bounds.
    all.sharp("n>=1; n<=200", "Sum(1/k**2,(k,1,n))", "2-1/n", Attained);
    all.holds("n>=1", &["Sum(1/k**2,(k,1,n)) < 2"]);
    all.fails(
        "n>=1",
        &["Sum(1/k**2,(k,1,n)) <= 3/2", "Sum(1/k**2,(k,1,n)) > 1"],
    );
    all.sharp_below(
        "n>=1; n<=200",
        "Sum(1/sqrt(k),(k,1,n))",
        "sqrt(n)",
        Attained,
    );
    all.holds(
        "n>=1",
        &[
            "Sum(1/sqrt(k),(k,1,n)) <= 2*sqrt(n)",
            "Sum(1/sqrt(k),(k,1,n)) <= 2*sqrt(n)-1",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "Sum(1/sqrt(k),(k,1,n)) < 2*sqrt(n)-1",
            "Sum(1/sqrt(k),(k,1,n)) <= 19*sqrt(n)/10-1/2",
        ],
    );
    all.sharp("n>=1; n<=200", "Sum(1/k,(k,1,n))", "1+log(n)", Attained);
    all.holds(
        "n>=1",
        &[
            "Sum(1/k,(k,1,n)) >= log(n+1)",
            "Sum(1/k,(k,1,n)) <= n",
            "Sum(1/k,(k,1,n)) >= 1",
        ],
    );
}

fn bounds_of_sums(all: &mut Families) {
    all.fails(
        "n>=1",
        &[
            "Sum(1/k,(k,1,n)) >= log(n+1)+1/2",
            "Sum(1/k,(k,1,n)) < n",
            "Sum(1/k,(k,1,n)) > 1",
        ],
    );
    // Blocks: each of the n terms lies between 1/(2n) and 1/(n + 1).
    all.sharp_below("n>=1; n<=200", "Sum(1/k,(k,n+1,2*n))", "1/2", Attained);
    all.sharp("n>=1; n<=200", "Sum(1/k,(k,n+1,2*n))", "n/(n+1)", Attained);
    all.sharp("n>=1; n<=200", "Sum(1/(n+k),(k,1,n))", "n/(n+1)", Attained);
    all.sharp(
        "n>=1; n<=200",
        "Sum(1/sqrt(n**2+k),(k,1,n))",
        "n/sqrt(n**2+1)",
        Attained,
    );
    all.sharp_below(
        "n>=1; n<=200",
        "Sum(1/sqrt(n**2+k),(k,1,n))",
        "n/sqrt(n**2+n)",
        Attained,
    );
    // Each term is at least k/(n² + n), equality at n = 1.
    all.sharp_below("n>=1; n<=200", "Sum(k/(n**2+k),(k,1,n))", "1/2", Attained);
    // Termwise comparison.
    all.holds("n>=1", &["abs(Sum(sin(k*x)/2**k,(k,1,n))) <= 1"]);
    all.holds(
        "n>=1; x>=0; x<=1",
        &["Sum(x**k,(k,0,n)) <= n+1", "Sum(x**k,(k,1,n)) <= n*x"],
    );
    all.fails(
        "n>=1; x>=0; x<=1",
        &["Sum(x**k,(k,0,n)) < n+1", "Sum(x**k,(k,1,n)) <= n*x**2"],
    );
    all.holds(
        "n>=1; n<=100",
        &[
            "Sum(k/2**k,(k,1,n)) < 2",
            "Sum(k/2**k,(k,1,n)) = 2-(n+2)/2**n",
        ],
    );
    all.fails(
        "n>=1; n<=100",
        &["Sum(k/2**k,(k,1,n)) <= 19/10", "Sum(k/2**k,(k,1,n)) > 1/2"],
    );
    all.holds(
        "n>=1; n<=100",
        &[
            "Sum(1/factorial(k),(k,0,n)) < 3",
            "Sum(1/factorial(k),(k,1,n)) <= 2-1/2**(n-1)",
        ],
    );
    all.fails(
        "n>=1; n<=100",
        &[
            "Sum(1/factorial(k),(k,0,n)) <= 27/10",
            "Sum(1/factorial(k),(k,0,n)) > 2",
        ],
    );
}

fn tails(all: &mut Families) {
    all.topic("tails");
    all.identity(
        "n>=0; n<=60; r>=0; r<1",
        "Sum(r**k,(k,n+1,oo))",
        "r**(n+1)/(1-r)",
    );
    all.identity("n>=1; n<=60", "Sum(1/2**k,(k,n+1,oo))", "1/2**n");
    all.identity("n>=1", "Sum(1/(k*(k+1)),(k,n+1,oo))", "1/(n+1)");
    for (p, q) in [(1, 3), (2, 3), (3, 4)] {
        let bound = format!("({p}/{q})**(n+1)*{q}/{}", q - p);
        all.identity(
            "n>=0; n<=60",
            &format!("Sum(({p}/{q})**k,(k,n+1,oo))"),
            &bound,
        );
        let given = format!("n>=0; n<=60; x>=0; x<={p}/{q}");
        all.claim(&given, &format!("Sum(x**k,(k,n+1,oo)) <= {bound}"), true);
        all.claim(&given, &format!("Sum(x**k,(k,n+1,oo)) < {bound}"), false);
    }
    // Between the integrals from n and from n + 1.
    all.holds(
        "n>=1",
        &[
            "Sum(1/k**2,(k,n+1,oo)) <= 1/n",
            "Sum(1/k**2,(k,n+1,oo)) < 1/n",
        ],
    );
    all.holds(
        "n>=1",
        &[
            "Sum(1/k**2,(k,n+1,oo)) >= 1/(n+1)",
            "Sum(1/k**2,(k,n+1,oo)) <= 1/(n+1/2)",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "Sum(1/k**2,(k,n+1,oo)) <= 1/(n+1)",
            "Sum(1/k**2,(k,n+1,oo)) <= 9/(10*n)",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "Sum(1/k**2,(k,n+1,oo)) >= 1/n",
            "Sum(1/k**2,(k,n,oo)) <= 1/n",
        ],
    );
}

fn bounds_of_tails(all: &mut Families) {
    all.holds(
        "n>=2",
        &[
            "Sum(1/k**2,(k,n,oo)) <= 1/(n-1)",
            "Sum(1/(k**2-k),(k,n,oo)) = 1/(n-1)",
        ],
    );
    all.holds(
        "n>=1",
        &[
            "Sum(1/k**3,(k,n+1,oo)) <= 1/(2*n**2)",
            "Sum(1/k**3,(k,n+1,oo)) >= 1/(2*(n+1)**2)",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "Sum(1/k**3,(k,n+1,oo)) <= 1/(2*(n+1)**2)",
            "Sum(1/k**3,(k,n+1,oo)) <= 1/(3*n**2)",
        ],
    );
    all.holds(
        "n>=1",
        &[
            "Sum(1/k**4,(k,n+1,oo)) <= 1/(3*n**3)",
            "Sum(1/(k**2+1),(k,n+1,oo)) <= 1/n",
        ],
    );
    all.fails(
        "n>=1",
        &[
            "Sum(1/k**4,(k,n+1,oo)) <= 1/(4*n**3)",
            "Sum(1/(k**2+1),(k,n+1,oo)) <= 1/(2*n)",
        ],
    );
    all.holds(
        "n>=1; n<=100",
        &[
            "Sum(1/factorial(k),(k,n+1,oo)) <= 1/(n*factorial(n))",
            "Sum(1/factorial(k),(k,n+1,oo)) <= 2/factorial(n+1)",
        ],
    );
    all.fails(
        "n>=1; n<=100",
        &[
            "Sum(1/factorial(k),(k,n+1,oo)) <= 1/factorial(n+1)",
            "Sum(1/factorial(k),(k,n+1,oo)) >= 1/factorial(n)",
        ],
    );
    all.holds("n>=1", &["Sum(1/k**(3/2),(k,n+1,oo)) <= 2/sqrt(n)"]);
    all.fails("n>=1", &["Sum(1/k**(3/2),(k,n+1,oo)) <= 1/sqrt(n)"]);
    all.holds("n>=1", &["abs(Sum(sin(k*x)/2**k,(k,n+1,oo))) <= 1/2**n"]);
    all.holds("n>=1; n<=60", &["Sum(k/2**k,(k,n+1,oo)) = (n+2)/2**n"]);
    all.fails("n>=1; n<=60", &["Sum(k/2**k,(k,n+1,oo)) <= (n+1)/2**n"]);
}
