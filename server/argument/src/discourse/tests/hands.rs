//! Drafts in many hands: the role of every formula.

use super::check;

#[test]
fn maximum_by_calculus() {
    check(
        r##"Consider $f_n(x)=\frac{x}{1+n x^2}$ on $\mathbb{R}$. Prove that $f_n\to 0$ uniformly.

**Proof.** Fix $n\geq 1$. We differentiate:
$$f_n'(x)=\frac{1-nx^2}{(1+nx^2)^2},$$
so $f_n'(x)=0$ iff $x=\pm\frac{1}{\sqrt n}$. Since $f_n(x)\to 0$ as $x\to\pm\infty$, the maximum of $|f_n|$ is attained at $x=1/\sqrt{n}$ and equals
$$f_n\left(\tfrac{1}{\sqrt n}\right)=\frac{1}{2\sqrt n}.$$
Hence $\sup_{x\in\mathbb R}|f_n(x)|=\frac1{2\sqrt n}\to 0$, i.e. $f_n\to0$ uniformly on $\mathbb{R}$. $\blacksquare$
"##,
        r##"
        definition: f_n(x)=\frac{x}{1+n x^2}
        aim: f_n\to 0
        let: n\geq 1
        step: f_n'(x)=\frac{1-nx^2}{(1+nx^2)^2}
        step: $f_n'(x)=0$ iff $x=\pm\frac{1}{\sqrt n}$
        reason!: f_n(x)\to 0
        step: maximum of $|f_n|$ is attained at $x=1/\sqrt{n}$
        step: f_n\left(\tfrac{1}{\sqrt n}\right)=\frac{1}{2\sqrt n}
        step: \sup_{x\in\mathbb R}|f_n(x)|=\frac1{2\sqrt n}
        step: \frac1{2\sqrt n}\to 0
        conclusion: i.e. $f_n\to0$ uniformly on $\mathbb{R}$
        "##,
    );
}

#[test]
fn contradiction_with_a_witness() {
    check(
        r##"# HW 5

**Problem 1.** Let $f_n:[0,1]\to\mathbb{R}$ be defined by $f_n(x)=x^n$. Does $(f_n)$ converge uniformly?

**Solution.** No. For $0\le x<1$ we have $x^n\to0$, and $f_n(1)=1$ for all $n$. So the pointwise limit is
$$f(x)=\begin{cases}0 & 0\le x<1\\ 1 & x=1.\end{cases}$$
Suppose for contradiction that the convergence is uniform. Then with $\varepsilon=\frac12$ there is an $N$ such that $|f_n(x)-f(x)|<\frac12$ for all $n\ge N$ and all $x\in[0,1]$. Take $x=2^{-1/N}$. Then $f_N(x)=\frac12$, and so $|f_N(x)-f(x)|=\frac12$, a contradiction. Therefore $f_n$ does not converge uniformly on $[0,1]$.

**Problem 2.** Show that $\lim_{n\to\infty}\frac{n^2+1}{2n^2-n}=\frac12$ using the definition.

**Solution.** Let $\epsilon>0$ be given. We want $N$ so that for $n>N$, $\left|\frac{n^2+1}{2n^2-n}-\frac12\right|<\epsilon$. Now
\[\left|\frac{n^2+1}{2n^2-n}-\frac12\right|=\frac{n+2}{2(2n^2-n)}\le\frac{3n}{2n^2}=\frac{3}{2n}.\]
So choose $N=\lceil 3/(2\epsilon)\rceil$. Then if $n>N$, $\frac{3}{2n}<\frac{3}{2N}\le\epsilon$, as required.
"##,
        r##"
        # Problem 1
        definition: f_n:[0,1]\to\mathbb{R}
        definition: f_n(x)=x^n
        conclusion: No
        range: 0\le x<1
        step: x^n\to0
        step: f_n(1)=1
        range: n
        step: So the pointwise limit is $$f(x)=\begin{cases}0 & 0\le x<1\\ 1 & x=1.\end{cases}
        definition: f(x)=\begin{cases}0 & 0\le x<1\\ 1 & x=1.\end{cases}
        rejected: Suppose for contradiction that the convergence is uniform
        choice: \varepsilon=\frac12
        choice: |f_n(x)-f(x)|<\frac12
        range: n\ge N
        range: x\in[0,1]
        choice: x=2^{-1/N}
        step: f_N(x)=\frac12
        step: |f_N(x)-f(x)|=\frac12
        conclusion: Therefore $f_n$ does not converge uniformly on $[0,1]$
        # Problem 2
        aim: \lim_{n\to\infty}\frac{n^2+1}{2n^2-n}=\frac12
        let: \epsilon>0
        range: n>N
        aim: \left|\frac{n^2+1}{2n^2-n}-\frac12\right|<\epsilon
        step: \left|\frac{n^2+1}{2n^2-n}-\frac12\right|=\frac{n+2}{2(2n^2-n)}
        step: \frac{n+2}{2(2n^2-n)}\le\frac{3n}{2n^2}
        step: \frac{3n}{2n^2}=\frac{3}{2n}
        choice: N=\lceil 3/(2\epsilon)\rceil
        range: n>N
        step: \frac{3}{2n}<\frac{3}{2N}
        step: \frac{3}{2N}\le\epsilon
        "##,
    );
}

#[test]
fn two_domains() {
    check(
        r##"\documentclass{article}
\begin{document}
\textbf{Claim.} The sequence $f_n(x) = \frac{nx}{1+n^2x^2}$ converges uniformly to $0$ on $[a,\infty)$ for each $a>0$, but not uniformly on $[0,\infty)$.

\textbf{Proof.} Let $a>0$ and $\varepsilon>0$. For $x\ge a$,
\[ |f_n(x)-0| = \frac{nx}{1+n^2x^2} \le \frac{nx}{n^2x^2} = \frac{1}{nx}\le\frac1{na}. \]
So if $n > N := \frac{1}{a\varepsilon}$, then $|f_n(x)|<\varepsilon$ for every $x\ge a$. This proves the first part.

For the second part, let $x_n = 1/n$. Then $f_n(x_n) = \frac12$ for all $n$, so $\sup_{x\ge0}|f_n(x)|\ge\frac12$ does not tend to $0$, and the convergence is not uniform on $[0,\infty)$.
\end{document}
"##,
        r##"
        definition: f_n(x) = \frac{nx}{1+n^2x^2}
        aim: \frac{nx}{1+n^2x^2}$ converges uniformly to $0
        range: a>0
        aim: but not uniformly on $[0,\infty)$
        let: a>0
        let: \varepsilon>0
        range: x\ge a
        step: |f_n(x)-0| = \frac{nx}{1+n^2x^2}
        step: \frac{nx}{1+n^2x^2} \le \frac{nx}{n^2x^2}
        step: \frac{nx}{n^2x^2} = \frac{1}{nx}
        step: \frac{1}{nx}\le\frac1{na}
        range: n > N
        choice: N := \frac{1}{a\varepsilon}
        step: |f_n(x)|<\varepsilon
        range: x\ge a
        definition: x_n = 1/n
        step: f_n(x_n) = \frac12
        range: n
        step: \sup_{x\ge0}|f_n(x)|\ge\frac12
        ?!: \frac12$ does not tend to $0
        conclusion: and the convergence is not uniform on $[0,\infty)$
        "##,
    );
}

#[test]
fn scratch_then_proof() {
    check(
        r##"**Exercise.** Let $a_n = \sqrt{n^2+3n}-n$. Prove $a_n \to 3/2$.

*Scratch work.* $|a_n - 3/2| < \varepsilon$

$\sqrt{n^2+3n} - n - 3/2 = \frac{n^2+3n-(n+3/2)^2}{\sqrt{n^2+3n}+n+3/2} = \frac{-9/4}{\sqrt{n^2+3n}+n+3/2}$

so $|a_n - 3/2| \le \frac{9}{8n}$

want $\frac{9}{8n} < \varepsilon \iff n > \frac{9}{8\varepsilon}$.

*Proof.* Let $\varepsilon > 0$, and let $N$ be any integer larger than $\frac{9}{8\varepsilon}$. Suppose $n \ge N$. By the computation above,
$$ |a_n - 3/2| \le \frac{9}{8n} \le \frac{9}{8N} < \varepsilon. $$
This shows $\lim_{n\to\infty} a_n = 3/2$. QED
"##,
        r##"
        # Exercise
        definition: a_n = \sqrt{n^2+3n}-n
        aim: a_n \to 3/2
        aim: |a_n - 3/2| < \varepsilon
        step: \sqrt{n^2+3n} - n - 3/2 = \frac{n^2+3n-(n+3/2)^2}{\sqrt{n^2+3n}+n+3/2}
        step: \frac{n^2+3n-(n+3/2)^2}{\sqrt{n^2+3n}+n+3/2} = \frac{-9/4}{\sqrt{n^2+3n}+n+3/2}
        step: |a_n - 3/2| \le \frac{9}{8n}
        step: \frac{9}{8n} < \varepsilon \iff n > \frac{9}{8\varepsilon}
        let: \varepsilon > 0
        choice: \frac{9}{8\varepsilon}
        let: n \ge N
        step: |a_n - 3/2| \le \frac{9}{8n}
        step: \frac{9}{8n} \le \frac{9}{8N}
        step: \frac{9}{8N} < \varepsilon
        conclusion: This shows $\lim_{n\to\infty} a_n = 3/2$
        "##,
    );
}

#[test]
fn typed_without_dollars() {
    check(
        r##"We show that f_n(x) = x²/(x² + n) converges uniformly to 0 on [−R, R], where R > 0.

Let ε > 0. Then for |x| ≤ R:

|f_n(x)| = x²/(x² + n) ≤ R²/n

Therefore, choosing N > R²/ε, we get |f_n(x)| < ε for all n ≥ N and |x| ≤ R. So f_n → 0 uniformly on [−R, R]. ∎
"##,
        r##"
        definition: f_n(x) = x²/(x² + n)
        aim: x²/(x² + n) converges uniformly to 0
        let: R > 0
        let: ε > 0
        range: |x| ≤ R
        step: |f_n(x)| = x²/(x² + n)
        step: x²/(x² + n) ≤ R²/n
        choice: N > R²/ε
        step: |f_n(x)| < ε
        range: n ≥ N
        range: |x| ≤ R
        conclusion: So f_n → 0 uniformly on [−R, R]
        "##,
    );
}

#[test]
fn reasons_behind_the_chain() {
    check(
        r##"**Theorem.** Let $f_n(x)=\frac{\sin(nx)}{\sqrt{n}}$. Then $f_n\to0$ uniformly on $\mathbb R$.

*Proof.* Let $\varepsilon>0$ be arbitrary. By the Archimedean property we can find $N\in\mathbb N$ such that $\frac1{\sqrt N}<\varepsilon$. Let $n\ge N$ and $x\in\mathbb R$ be arbitrary. Then
$$|f_n(x)-0|=\frac{|\sin(nx)|}{\sqrt n}\le\frac1{\sqrt n}\le\frac1{\sqrt N}<\varepsilon,$$
where the first inequality holds because $|\sin t|\le1$ for all $t\in\mathbb{R}$, and the second since $n\ge N$. As $N$ was chosen independently of $x$, this shows that $f_n\to0$ uniformly. $\square$
"##,
        r##"
        definition: f_n(x)=\frac{\sin(nx)}{\sqrt{n}}
        aim: f_n\to0
        let: \varepsilon>0
        choice: \frac1{\sqrt N}<\varepsilon
        let: n\ge N
        let: x\in\mathbb R
        step: |f_n(x)-0|=\frac{|\sin(nx)|}{\sqrt n}
        step: \frac{|\sin(nx)|}{\sqrt n}\le\frac1{\sqrt n}
        step: \frac1{\sqrt n}\le\frac1{\sqrt N}
        step: \frac1{\sqrt N}<\varepsilon
        reason: |\sin t|\le1
        range: t\in\mathbb{R}
        reason: n\ge N
        conclusion: this shows that $f_n\to0$ uniformly
        "##,
    );
}

#[test]
fn pointwise_but_not_uniform() {
    check(
        r##"Q3. Show $f_n(x) = \frac{x}{n}$ converges pointwise but not uniformly to zero on ℝ.

Pointwise: fix $x \in \mathbb{R}$ and let $\varepsilon > 0$. Choose $N > |x|/\varepsilon$. Then for $n \ge N$, $|f_n(x) - 0| = |x|/n \le |x|/N < \varepsilon$.

Not uniform: Suppose it converges uniformly. Then for $\varepsilon = 1$ there exists $N$ with $|x/n| < 1$ for all $n \geq N$ and all $x$. But for $x = N$ and $n = N$ we get $|x/n| = 1$, which is a contradiction.
"##,
        r##"
        # Q3
        definition: f_n(x) = \frac{x}{n}
        aim: \frac{x}{n}$ converges pointwise but not uniformly to zero
        let: x \in \mathbb{R}
        let: \varepsilon > 0
        choice: N > |x|/\varepsilon
        range: n \ge N
        step: |f_n(x) - 0| = |x|/n
        step: |x|/n \le |x|/N
        step: |x|/N < \varepsilon
        conclusion: Not uniform
        rejected: Suppose it converges uniformly
        range: \varepsilon = 1
        choice: |x/n| < 1
        range: n \geq N
        range: x
        range: x = N
        range: n = N
        step: |x/n| = 1
        "##,
    );
}

#[test]
fn threshold_at_the_end() {
    check(
        r##"Prove that $\lim_{n \to \infty} \frac{3n^2 - 1}{n^2 + n} = 3$.

We must find, for each $\varepsilon > 0$, a number $N$ such that $n > N$ implies $\left|\frac{3n^2-1}{n^2+n} - 3\right| < \varepsilon$.

We have
\begin{align}
\left|\frac{3n^2-1}{n^2+n} - 3\right| &= \left|\frac{-3n-1}{n^2+n}\right| \\
&= \frac{3n+1}{n^2+n} \\
&< \frac{3n+3}{n^2+n} = \frac{3}{n}.
\end{align}
Thus if $\frac{3}{n} < \varepsilon$ we are done. This happens when $n > \frac{3}{\varepsilon}$, so $N = \frac{3}{\varepsilon}$ works.
"##,
        r##"
        aim: \lim_{n \to \infty} \frac{3n^2 - 1}{n^2 + n} = 3
        range: \varepsilon > 0
        range: n > N
        aim: \left|\frac{3n^2-1}{n^2+n} - 3\right| < \varepsilon
        step: \left|\frac{3n^2-1}{n^2+n} - 3\right| &= \left|\frac{-3n-1}{n^2+n}\right|
        step: = \frac{3n+1}{n^2+n}
        step: < \frac{3n+3}{n^2+n}
        step: \frac{3n+3}{n^2+n} = \frac{3}{n}
        condition: \frac{3}{n} < \varepsilon
        aim: n > \frac{3}{\varepsilon}
        choice: N = \frac{3}{\varepsilon}
        "##,
    );
}

#[test]
fn unicode_with_brackets() {
    check(
        r##"Show: x_n = (n² + n)/(3n² − 2) → 1/3.

Let ε > 0. We estimate for n ≥ 2:

|x_n − 1/3| = |(3n² + 3n − 3n² + 2)/(3(3n² − 2))| = (3n + 2)/(9n² − 6) ≤ (4n)/(3n²) = 4/(3n)

(since 9n² − 6 ≥ 3n² for n ≥ 1 and 3n + 2 ≤ 4n for n ≥ 2). Choose N := max{2, ⌈4/(3ε)⌉ + 1}. Then we have for all n ≥ N: |x_n − 1/3| ≤ 4/(3n) ≤ 4/(3N) < ε.
"##,
        r##"
        definition: x_n = (n² + n)/(3n² − 2)
        aim: (n² + n)/(3n² − 2) → 1/3
        let: ε > 0
        range: n ≥ 2
        step: |x_n − 1/3| = |(3n² + 3n − 3n² + 2)/(3(3n² − 2))|
        step: |(3n² + 3n − 3n² + 2)/(3(3n² − 2))| = (3n + 2)/(9n² − 6)
        step: (3n + 2)/(9n² − 6) ≤ (4n)/(3n²)
        step: (4n)/(3n²) = 4/(3n)
        reason: 9n² − 6 ≥ 3n²
        range: n ≥ 1
        reason: 3n + 2 ≤ 4n
        range: n ≥ 2
        choice: N := max{2, ⌈4/(3ε)⌉ + 1}
        range: n ≥ N
        step: |x_n − 1/3| ≤ 4/(3n)
        step: 4/(3n) ≤ 4/(3N)
        step: 4/(3N) < ε
        "##,
    );
}

#[test]
fn quantifiers_in_symbols() {
    check(
        r##"### 2. 

$f_n(x)=x+\frac{1}{n}\sin(nx)$, $f(x) = x$. 

WTS: $\forall \varepsilon>0 \ \exists N\in\mathbb{N}$ s.t. $\forall n\geq N, \forall x\in\mathbb{R}$: $|f_n(x)-f(x)|<\varepsilon$.

Let $\varepsilon>0$. By AP, $\exists N\in\mathbb{N}$ s.t. $\frac{1}{N}<\varepsilon$. 
$\forall n\geq N$ and $\forall x\in\mathbb{R}$:
$$|f_n(x)-f(x)|=\frac{1}{n}|\sin(nx)|\leq\frac{1}{n}\leq\frac{1}{N}<\varepsilon \quad \checkmark$$
$\therefore f_n\rightrightarrows f$ on $\mathbb{R}$.
"##,
        r##"
        # 2
        definition: f_n(x)=x+\frac{1}{n}\sin(nx)
        definition: f(x) = x
        range: \varepsilon>0
        aim: N\in\mathbb{N}
        range: n\geq N
        range: x\in\mathbb{R}
        aim: |f_n(x)-f(x)|<\varepsilon
        let: \varepsilon>0
        choice: \frac{1}{N}<\varepsilon
        range: n\geq N
        range: x\in\mathbb{R}
        step: |f_n(x)-f(x)|=\frac{1}{n}|\sin(nx)|
        step: \frac{1}{n}|\sin(nx)|\leq\frac{1}{n}
        step: \frac{1}{n}\leq\frac{1}{N}
        step: \frac{1}{N}<\varepsilon
        conclusion: \therefore f_n\rightrightarrows f$ on $\mathbb{R}$
        "##,
    );
}

#[test]
fn wordy_hand() {
    check(
        r##"Claim. $(1-\frac{1}{n})^{-1}\to 1$.

Suppose $\varepsilon>0$ is given. Observe that $\left|\frac{n}{n-1}-1\right|=\frac{1}{n-1}$ for every $n\geq 2$. It suffices to make this less than $\varepsilon$, and $\frac{1}{n-1}<\varepsilon$ holds as soon as $n>1+\frac1\varepsilon$. Accordingly let $N$ denote any natural number exceeding $1+\frac1\varepsilon$. For $n\ge N$ we then obtain $\frac{1}{n-1}\le\frac{1}{N-1}<\varepsilon$, which completes the proof.
"##,
        r##"
        aim: (1-\frac{1}{n})^{-1}\to 1
        let: \varepsilon>0
        step: \left|\frac{n}{n-1}-1\right|=\frac{1}{n-1}
        range: n\geq 2
        aim: \varepsilon
        aim: \frac{1}{n-1}<\varepsilon
        range: n>1+\frac1\varepsilon
        choice: 1+\frac1\varepsilon
        range: n\ge N
        step: \frac{1}{n-1}\le\frac{1}{N-1}
        step: \frac{1}{N-1}<\varepsilon
        "##,
    );
}

#[test]
fn terse_hand() {
    check(
        r##"**Beh.** $f_n(x)=\frac{x}{n+x}$ converges unif. to $0$ on $[0,5]$.

Proof: $\epsilon>0$ arbitrary. We have $f_n(x)\leq\frac{5}{n}$ (because $x\leq5$ and $n+x\geq n$). Choose $n_0>\frac5\epsilon$; $n\geq n_0\Rightarrow f_n(x)\leq\frac5n\leq\frac5{n_0}<\epsilon$ for all $x\in[0,5]$. qed
"##,
        r##"
        definition: f_n(x)=\frac{x}{n+x}
        aim: \frac{x}{n+x}$ converges unif. to $0
        let: \epsilon>0
        step: f_n(x)\leq\frac{5}{n}
        reason: x\leq5
        reason: n+x\geq n
        choice: n_0>\frac5\epsilon
        range: n\geq n_0
        step: f_n(x)\leq\frac5n
        step: \frac5n\leq\frac5{n_0}
        step: \frac5{n_0}<\epsilon
        range: x\in[0,5]
        "##,
    );
}

#[test]
fn rejected_idea() {
    check(
        r##"Does $f_n(x)=n^2x(1-x)^n$ converge uniformly on $[0,1]$?

One might think that $f_n\to0$ uniformly since $(1-x)^n\to0$, but this is false: at $x=\frac1n$ we have $f_n(\frac1n)=n(1-\frac1n)^n\to\infty$. So the answer is no.
"##,
        r##"
        definition: f_n(x)=n^2x(1-x)^n
        rejected: f_n\to0
        rejected: (1-x)^n\to0
        range: x=\frac1n
        step: f_n(\frac1n)=n(1-\frac1n)^n
        step: n(1-\frac1n)^n\to\infty
        "##,
    );
}

#[test]
fn struck_out() {
    check(
        r##"Let a_n = (−1)ⁿ/(n + 1). We show that a_n → 0. Given ε > 0, pick a natural number N with N + 1 > 1/ε. If n ≥ N then |a_n| = 1/(n + 1) ≤ 1/(N + 1) < ε.

Note that ~~|a_n| < 1/n²~~ is not needed.
"##,
        r##"
        definition: a_n = (−1)ⁿ/(n + 1)
        aim: a_n → 0
        let: ε > 0
        choice: N + 1 > 1/ε
        range: n ≥ N
        step: |a_n| = 1/(n + 1)
        step: 1/(n + 1) ≤ 1/(N + 1)
        step: 1/(N + 1) < ε
        rejected: |a_n| < 1/n²
        "##,
    );
}

#[test]
fn headlines() {
    check(
        r##"Let $f_n(x) = \arctan(nx)$ on $\mathbb{R}$.

**Pointwise limit.** For $x>0$, $\arctan(nx)\to\frac\pi2$. For $x<0$, $\arctan(nx)\to-\frac\pi2$, and $f_n(0)=0$. Hence $f(x)=\frac\pi2\operatorname{sgn}(x)$.

**Uniform convergence on $[a,\infty)$, $a>0$.** Let $\varepsilon>0$. For $x\ge a$: $0\le\frac\pi2-\arctan(nx)=\arctan\frac{1}{nx}\le\frac{1}{nx}\le\frac1{na}$. If $n>\frac{1}{a\varepsilon}$ this is less than $\varepsilon$.

**Not uniform on $(0,\infty)$.** Suppose it were. Then there would be $N$ with $\frac\pi2-\arctan(Nx)<\frac\pi4$ for all $x>0$. Letting $x\to0^+$ gives $\frac\pi2\le\frac\pi4$, absurd.
"##,
        r##"
        definition: f_n(x) = \arctan(nx)
        range: x>0
        step: \arctan(nx)\to\frac\pi2
        range: x<0
        step: \arctan(nx)\to-\frac\pi2
        step: f_n(0)=0
        definition: f(x)=\frac\pi2\operatorname{sgn}(x)
        aim: Uniform convergence on $[a,\infty)$, $a>0$
        let: a>0
        let: \varepsilon>0
        range: x\ge a
        step: 0\le\frac\pi2-\arctan(nx)
        step: \frac\pi2-\arctan(nx)=\arctan\frac{1}{nx}
        step: \arctan\frac{1}{nx}\le\frac{1}{nx}
        step: \frac{1}{nx}\le\frac1{na}
        range: n>\frac{1}{a\varepsilon}
        step: \varepsilon
        aim: Not uniform on $(0,\infty)$
        rejected!: Suppose it were
        choice: \frac\pi2-\arctan(Nx)<\frac\pi4
        range: x>0
        step: \frac\pi2\le\frac\pi4
        "##,
    );
}

#[test]
fn continuity() {
    check(
        r##"**Problem.** Prove that $f(x)=x^2$ is continuous at $x=3$.

*Proof.* Let $\varepsilon>0$. Set $\delta=\min\{1,\frac{\varepsilon}{7}\}$. If $|x-3|<\delta$, then $|x+3|<7$, so
$$|x^2-9|=|x-3||x+3|<7\delta\le\varepsilon.$$
"##,
        r##"
        # Problem
        definition: f(x)=x^2
        range: x=3
        let: \varepsilon>0
        choice: \delta=\min\{1,\frac{\varepsilon}{7}\}
        condition: |x-3|<\delta
        step: |x+3|<7
        step: |x^2-9|=|x-3||x+3|
        step: |x-3||x+3|<7\delta
        step: 7\delta\le\varepsilon
        "##,
    );
}

#[test]
fn text_in_rows() {
    check(
        r##"\documentclass{article}
\begin{document}
\textbf{Aufgabe 2.} Show that $\left(\frac{n}{n^2+1}\right)_{n\in\mathbb N}$ is a null sequence.
\medskip

Be $\epsilon>0$ arbitrary. We must show that exists $N$ so that for every $n\geq N$ is $\frac{n}{n^2+1}<\epsilon$. It holds
\begin{align*}
\frac{n}{n^2+1} &\leq \frac{n}{n^2} && \text{since } n^2+1\geq n^2\\
&= \frac1n && \text{(cancel)}\\
&\leq \frac1N && \text{for } n\geq N\\
&< \epsilon && \text{by choice of } N.
\end{align*}
Here we choose $N>\frac1\epsilon$.
\end{document}
"##,
        r##"
        # Aufgabe 2
        let: \epsilon>0
        range: n\geq N
        aim: \frac{n}{n^2+1}<\epsilon
        step: \frac{n}{n^2+1} &\leq \frac{n}{n^2}
        reason: n^2+1\geq n^2
        step: = \frac1n
        step: \leq \frac1N
        range: n\geq N
        step: < \epsilon
        choice: N>\frac1\epsilon
        "##,
    );
}

#[test]
fn split_domain() {
    check(
        r##"Theorem: $f_n(x)=(1-x)x^n \to 0$ uniformly on $[0,1]$.

Let $\varepsilon\in(0,1)$ be given. For $x\in[1-\varepsilon,1]$ we have $|f_n(x)|\le 1-x\le\varepsilon$ for every $n$. For $x\in[0,1-\varepsilon]$ we have $|f_n(x)|\le x^n\le(1-\varepsilon)^n$. As $(1-\varepsilon)^n\to0$, we can pick $N$ such that $(1-\varepsilon)^n\le\varepsilon$ for $n\ge N$. Altogether $|f_n(x)|\le\varepsilon$ for all $x\in[0,1]$ and all $n\ge N$.
"##,
        r##"
        definition: f_n(x)=(1-x)x^n
        aim: (1-x)x^n \to 0
        let: \varepsilon\in(0,1)
        range: x\in[1-\varepsilon,1]
        step: |f_n(x)|\le 1-x
        step: 1-x\le\varepsilon
        range: n
        range: x\in[0,1-\varepsilon]
        step: |f_n(x)|\le x^n
        step: x^n\le(1-\varepsilon)^n
        reason: (1-\varepsilon)^n\to0
        choice: (1-\varepsilon)^n\le\varepsilon
        range: n\ge N
        step: |f_n(x)|\le\varepsilon
        range: x\in[0,1]
        range: n\ge N
        "##,
    );
}

#[test]
fn two_thresholds() {
    check(
        r##"**Solution.** Suppose $a_n\to a$ and $b_n\to b$. Let $\varepsilon>0$. There are $N_1,N_2$ such that $|a_n-a|<\varepsilon/2$ for $n\ge N_1$ and $|b_n-b|<\varepsilon/2$ for $n\ge N_2$. Put $N=\max\{N_1,N_2\}$. For $n\ge N$ the triangle inequality gives
$$|(a_n+b_n)-(a+b)|\le|a_n-a|+|b_n-b|<\frac\varepsilon2+\frac\varepsilon2=\varepsilon.$$
"##,
        r##"
        assumption: a_n\to a
        assumption: b_n\to b
        let: \varepsilon>0
        choice: |a_n-a|<\varepsilon/2
        range: n\ge N_1
        choice: |b_n-b|<\varepsilon/2
        range: n\ge N_2
        choice: N=\max\{N_1,N_2\}
        range: n\ge N
        step: |(a_n+b_n)-(a+b)|\le|a_n-a|+|b_n-b|
        step: |a_n-a|+|b_n-b|<\frac\varepsilon2+\frac\varepsilon2
        step: \frac\varepsilon2+\frac\varepsilon2=\varepsilon
        "##,
    );
}

#[test]
fn two_cases() {
    check(
        r##"Show that $f_n(x)=\frac{nx^2}{1+nx}$ converges uniformly to $f(x)=x$ on $[0,1]$.

$|f_n(x)-f(x)| = \left|\frac{nx^2-x-nx^2}{1+nx}\right| = \frac{x}{1+nx}$.

For $x=0$ this is $0$. For $x>0$ we can write $\frac{x}{1+nx} = \frac{1}{\frac1x+n}\le\frac1n$. Thus, in either case, $|f_n(x)-f(x)|\le\frac1n$. If $N>1/\varepsilon$ then $n\ge N$ implies $|f_n(x)-f(x)|\le\frac1n\le\frac1N<\varepsilon$ for every $x\in[0,1]$.
"##,
        r##"
        definition: f_n(x)=\frac{nx^2}{1+nx}
        aim: \frac{nx^2}{1+nx}$ converges uniformly to $f(x)
        definition: f(x)=x
        step: |f_n(x)-f(x)| = \left|\frac{nx^2-x-nx^2}{1+nx}\right|
        step: \left|\frac{nx^2-x-nx^2}{1+nx}\right| = \frac{x}{1+nx}
        range: x=0
        range: x>0
        step: \frac{x}{1+nx} = \frac{1}{\frac1x+n}
        step: \frac{1}{\frac1x+n}\le\frac1n
        step: |f_n(x)-f(x)|\le\frac1n
        choice: N>1/\varepsilon
        range: n\ge N
        step: |f_n(x)-f(x)|\le\frac1n
        step: \frac1n\le\frac1N
        step: \frac1N<\varepsilon
        range: x\in[0,1]
        "##,
    );
}

#[test]
fn wrong_proof_quoted() {
    check(
        r##"Prove: $f_n(x)=\frac{x}{1+nx}$, $f_n\to0$ uniformly on $[0,1]$.

*Wrong proof found on the board:* "$\frac{x}{1+nx}\le\frac{x}{nx^2}$, so it tends to $0$." This is wrong since $1+nx\ge nx^2$ would need more care.

*Correct proof:* We have $\frac{x}{1+nx}\le\frac1n$ because $nx\le1+nx$. Let $\epsilon>0$; choose $N\in\mathbb N$ with $N\ge\frac2\epsilon$. For $n\ge N$: $f_n(x)\le\frac1n\le\frac\epsilon2<\epsilon$.
"##,
        r##"
        definition: f_n(x)=\frac{x}{1+nx}
        aim: f_n\to0
        rejected: \frac{x}{1+nx}\le\frac{x}{nx^2}
        rejected: 0
        ?!: 1+nx\ge nx^2
        step: \frac{x}{1+nx}\le\frac1n
        reason: nx\le1+nx
        let: \epsilon>0
        choice: N\ge\frac2\epsilon
        range: n\ge N
        step: f_n(x)\le\frac1n
        step: \frac1n\le\frac\epsilon2
        step: \frac\epsilon2<\epsilon
        "##,
    );
}

#[test]
fn such_an_n() {
    check(
        r##"We claim that $\lim_{n\to\infty}\frac{1}{n^2}=0$.

Let $\varepsilon>0$ be given, choose $N$ so that $N>\frac{1}{\sqrt\varepsilon}$ (such an $N$ exists by the Archimedean property). Assume $n\geq N$. Then $n^2\geq N^2>\frac1\varepsilon$, which implies $\frac{1}{n^2}<\varepsilon$, i.e. $\left|\frac1{n^2}-0\right|<\varepsilon$.
"##,
        r##"
        aim: \lim_{n\to\infty}\frac{1}{n^2}=0
        let: \varepsilon>0
        choice: N>\frac{1}{\sqrt\varepsilon}
        let: n\geq N
        step: n^2\geq N^2
        step: N^2>\frac1\varepsilon
        step: \frac{1}{n^2}<\varepsilon
        step: \left|\frac1{n^2}-0\right|<\varepsilon
        "##,
    );
}
