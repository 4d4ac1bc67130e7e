//! The grammar of shown values (integers, `a/b`, `sqrt( )`, `pi`, `e`, `^`), evaluated exactly.
//!
//! Written for the tests alone and sharing nothing with the kernel but the rational type, so
//! that a value which the program shows is judged by somebody else.

use dashu::base::{BitTest, Signed};
use dashu::integer::{IBig, UBig};
use dashu::rational::RBig;
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// A term of the grammar.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Term {
    /// A numeral, integer or decimal.
    Number(RBig),
    /// π
    Pi,
    /// e
    Euler,
    /// A name bound by the counterexample, `left`, `right`, or an application `f(1/2)`.
    Name(String),
    /// √u
    Sqrt(Box<Term>),
    /// |u|
    Abs(Box<Term>),
    /// −u
    Neg(Box<Term>),
    /// u + v
    Add(Box<Term>, Box<Term>),
    /// u · v
    Mul(Box<Term>, Box<Term>),
    /// u / v
    Div(Box<Term>, Box<Term>),
    /// u ^ v
    Pow(Box<Term>, Box<Term>),
}

/// A closed interval with rational ends that contains a value; equal ends mean the value itself.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Enclosure {
    /// Lower end.
    pub low: RBig,
    /// Upper end.
    pub high: RBig,
}

/// Bits behind the binary point, tried in turn until a comparison is decided.
const PRECISIONS: [usize; 3] = [96, 320, 1280];

/// Greatest integer exponent and greatest size in bits of an exact power.
const EXACT_POWER_BITS: usize = 200_000;

/// Parses one term that makes up the whole text.
///
/// # Errors
/// What was found where, in words.
pub fn parse(text: &str) -> Result<Term, String> {
    let mut parser = Parser::new(text);
    let term = parser.sum()?;
    parser.end()?;
    Ok(term)
}

/// Whether a term contains no name: it is a value of the grammar.
#[must_use]
pub fn is_value(term: &Term) -> bool {
    match term {
        Term::Name(_) => false,
        Term::Number(_) | Term::Pi | Term::Euler => true,
        Term::Sqrt(u) | Term::Abs(u) | Term::Neg(u) => is_value(u),
        Term::Add(u, v) | Term::Mul(u, v) | Term::Div(u, v) | Term::Pow(u, v) => {
            is_value(u) && is_value(v)
        }
    }
}

/// Compares two terms under an assignment. Values that agree to 1280 bits count as equal.
///
/// # Errors
/// A name without a value, a division by an enclosure of 0, or an operation outside the grammar.
pub fn compare(
    left: &Term,
    right: &Term,
    names: &BTreeMap<String, Term>,
) -> Result<Ordering, String> {
    for bits in PRECISIONS {
        let a = enclose(left, bits, names)?;
        let b = enclose(right, bits, names)?;
        if a.low == a.high && b.low == b.high {
            return Ok(a.low.cmp(&b.low));
        }
        if a.high < b.low {
            return Ok(Ordering::Less);
        }
        if b.high < a.low {
            return Ok(Ordering::Greater);
        }
    }
    Ok(Ordering::Equal)
}

/// A condition: comparisons (also chained, `0 < x <= 1`) joined by `and`. Signs `=`, `<`, `<=`,
/// `>`, `>=`, `!=` and their Unicode forms.
///
/// # Errors
/// A syntax error, or what [`compare`] says.
pub fn holds(condition: &str, names: &BTreeMap<String, Term>) -> Result<bool, String> {
    let mut parser = Parser::new(condition);
    let mut all = true;
    loop {
        let mut left = parser.sum()?;
        let mut links = 0;
        while let Some(relation) = parser.relation() {
            let right = parser.sum()?;
            all &= admits(relation, compare(&left, &right, names)?);
            left = right;
            links += 1;
        }
        if links == 0 {
            return Err(format!("no comparison in `{condition}`"));
        }
        if !parser.word("and") {
            break;
        }
    }
    parser.end()?;
    Ok(all)
}

fn admits(relation: &str, ordering: Ordering) -> bool {
    match relation {
        "<=" | "≤" => ordering != Ordering::Greater,
        ">=" | "≥" => ordering != Ordering::Less,
        "!=" | "≠" => ordering != Ordering::Equal,
        "<" => ordering == Ordering::Less,
        ">" => ordering == Ordering::Greater,
        _ => ordering == Ordering::Equal,
    }
}

/// The interval in which a term's value lies, of a width of about 2^−bits.
///
/// # Errors
/// As [`compare`].
pub fn enclose(
    term: &Term,
    bits: usize,
    names: &BTreeMap<String, Term>,
) -> Result<Enclosure, String> {
    let of = |term: &Term| enclose(term, bits, names);
    match term {
        Term::Number(value) => Ok(Enclosure::exact(value.clone())),
        Term::Pi => Ok(pi(bits)),
        Term::Euler => Ok(euler(bits)),
        Term::Name(name) => match names.get(name) {
            Some(value) if is_value(value) => enclose(value, bits, names),
            Some(_) => Err(format!("the value of `{name}` is no number")),
            None => Err(format!("`{name}` has no value")),
        },
        Term::Sqrt(u) => root(&of(u)?, 2, bits),
        Term::Abs(u) => Ok(of(u)?.abs()),
        Term::Neg(u) => Ok(of(u)?.neg()),
        Term::Add(u, v) => {
            let (a, b) = (of(u)?, of(v)?);
            Ok(Enclosure::new(a.low + b.low, a.high + b.high))
        }
        Term::Mul(u, v) => Ok(of(u)?.times(&of(v)?, bits)),
        Term::Div(u, v) => Ok(of(u)?.times(&of(v)?.inverse()?, bits)),
        Term::Pow(u, v) => {
            let exponent = of(v)?;
            if exponent.low != exponent.high {
                return Err("a power with an irrational exponent".to_owned());
            }
            power(&of(u)?, &exponent.low, bits)
        }
    }
}

impl Enclosure {
    fn new(low: RBig, high: RBig) -> Self {
        Self { low, high }
    }

    fn exact(value: RBig) -> Self {
        Self::new(value.clone(), value)
    }

    fn is_exact(&self) -> bool {
        self.low == self.high
    }

    fn neg(self) -> Self {
        Self::new(-self.high, -self.low)
    }

    fn abs(self) -> Self {
        if !self.low.is_negative() {
            self
        } else if self.high <= RBig::ZERO {
            self.neg()
        } else {
            let high = (-self.low).max(self.high);
            Self::new(RBig::ZERO, high)
        }
    }

    fn inverse(self) -> Result<Self, String> {
        if self.low <= RBig::ZERO && RBig::ZERO <= self.high {
            return Err("division by 0".to_owned());
        }
        Ok(Self::new(RBig::ONE / self.high, RBig::ONE / self.low))
    }

    fn times(&self, other: &Self, bits: usize) -> Self {
        let corners = [
            &self.low * &other.low,
            &self.low * &other.high,
            &self.high * &other.low,
            &self.high * &other.high,
        ];
        let mut low = corners[0].clone();
        let mut high = corners[0].clone();
        for corner in &corners[1..] {
            if *corner < low {
                low = corner.clone();
            }
            if high < *corner {
                high = corner.clone();
            }
        }
        Self::new(low, high).rounded(bits)
    }

    /// Ends moved outward to multiples of 2^−2·bits, so that they stay short; exact values stay.
    fn rounded(self, bits: usize) -> Self {
        if self.is_exact() {
            return self;
        }
        let scale = RBig::from(IBig::ONE << (2 * bits));
        let low = RBig::from((self.low * &scale).floor()) / &scale;
        let high = RBig::from((self.high * &scale).ceil()) / &scale;
        Self::new(low, high)
    }
}

fn power(base: &Enclosure, exponent: &RBig, bits: usize) -> Result<Enclosure, String> {
    if exponent.is_negative() {
        let positive = -exponent.clone();
        return power(base, &positive, bits)?.inverse();
    }
    let (numerator, denominator) = exponent.clone().into_parts();
    let k = usize::try_from(&denominator).map_err(|_| "a root of too high a degree")?;
    let m = usize::try_from(numerator).map_err(|_| "too large an exponent")?;
    let base = if k == 1 {
        base.clone()
    } else {
        root(base, k, bits)?
    };
    let size = base.high.numerator().bit_len() + base.high.denominator().bit_len();
    if EXACT_POWER_BITS < size.saturating_mul(m) && base.is_exact() || EXACT_POWER_BITS < m {
        return Err("too large a power".to_owned());
    }
    let mut result = Enclosure::exact(RBig::ONE);
    for place in (0..usize::BITS - m.leading_zeros()).rev() {
        result = square(&result, bits);
        if m >> place & 1 == 1 {
            result = result.times(&base, bits);
        }
    }
    Ok(result)
}

fn square(value: &Enclosure, bits: usize) -> Enclosure {
    let size = value.clone().abs();
    Enclosure::new(&size.low * &size.low, &size.high * &size.high).rounded(bits)
}

/// The k-th root of a value ≥ 0, exact where it is rational.
fn root(value: &Enclosure, k: usize, bits: usize) -> Result<Enclosure, String> {
    if value.high.is_negative() || value.is_exact() && value.low.is_negative() {
        return Err("a root of a negative number".to_owned());
    }
    if value.is_exact() {
        let (numerator, denominator) = value.low.clone().into_parts();
        let top = UBig::try_from(numerator).map_err(|_| "a root of a negative number")?;
        let (p, q) = (top.nth_root(k), denominator.nth_root(k));
        if p.pow(k) == top && q.pow(k) == denominator {
            return Ok(Enclosure::exact(RBig::from_parts(IBig::from(p), q)));
        }
    }
    let unit = RBig::from(IBig::ONE << bits);
    let floor_root = |end: &RBig| -> UBig {
        let scaled = (end * RBig::from(IBig::ONE << (bits * k))).floor();
        UBig::try_from(scaled).map_or(UBig::ZERO, |scaled| scaled.nth_root(k))
    };
    let low = RBig::from(floor_root(&value.low)) / &unit;
    let high = RBig::from(floor_root(&value.high) + UBig::ONE) / &unit;
    Ok(Enclosure::new(low, high))
}

/// Machin: π = 16 arctan(1/5) − 4 arctan(1/239); alternating series, remainder below the first
/// term left out.
fn pi(bits: usize) -> Enclosure {
    let scale = IBig::ONE << (bits + 32);
    let arctan_inverse = |x: i64| -> (IBig, IBig) {
        let mut power = &scale / IBig::from(x);
        let mut sum = IBig::ZERO;
        let mut k = 0_i64;
        while !power.is_zero() {
            let term = &power / IBig::from(2 * k + 1);
            sum = if k % 2 == 0 { sum + term } else { sum - term };
            power /= IBig::from(x * x);
            k += 1;
        }
        // Every division lost less than one unit, in the power and in the term.
        (sum, IBig::from(2 * k + 2))
    };
    let ((a, a_error), (b, b_error)) = (arctan_inverse(5), arctan_inverse(239));
    let middle = IBig::from(16) * a - IBig::from(4) * b;
    let error = IBig::from(16) * a_error + IBig::from(4) * b_error;
    let unit = RBig::from(scale);
    Enclosure::new(
        RBig::from(&middle - &error) / &unit,
        RBig::from(middle + error) / unit,
    )
}

/// e = Σ 1/k!, remainder below twice the first term left out.
fn euler(bits: usize) -> Enclosure {
    let scale = IBig::ONE << (bits + 32);
    let mut term = scale.clone();
    let mut sum = IBig::ZERO;
    let mut k = 1_i64;
    while !term.is_zero() {
        sum += &term;
        term /= IBig::from(k);
        k += 1;
    }
    let unit = RBig::from(scale);
    let high = RBig::from(&sum + IBig::from(2 * k + 2)) / &unit;
    Enclosure::new(RBig::from(sum) / unit, high)
}

struct Parser<'text> {
    text: &'text str,
    at: usize,
}

/// Relation signs, longer ones first.
const RELATIONS: [&str; 9] = ["<=", ">=", "!=", "≤", "≥", "≠", "<", ">", "="];

impl<'text> Parser<'text> {
    fn new(text: &'text str) -> Self {
        Self { text, at: 0 }
    }

    fn rest(&mut self) -> &'text str {
        let rest = &self.text[self.at..];
        let trimmed = rest.trim_start();
        self.at += rest.len() - trimmed.len();
        trimmed
    }

    fn take(&mut self, token: &str) -> bool {
        let found = self.rest().starts_with(token);
        if found {
            self.at += token.len();
        }
        found
    }

    fn word(&mut self, word: &str) -> bool {
        let rest = self.rest();
        let bounded = rest
            .strip_prefix(word)
            .is_some_and(|after| !after.starts_with(char::is_alphanumeric));
        bounded && self.take(word)
    }

    fn relation(&mut self) -> Option<&'static str> {
        RELATIONS.into_iter().find(|sign| self.take(sign))
    }

    fn end(&mut self) -> Result<(), String> {
        match self.rest() {
            "" => Ok(()),
            rest => Err(format!("`{rest}` is left over in `{}`", self.text)),
        }
    }

    fn sum(&mut self) -> Result<Term, String> {
        let mut sum = self.product()?;
        loop {
            if self.take("+") {
                sum = Term::Add(Box::new(sum), Box::new(self.product()?));
            } else if self.take("-") || self.take("−") {
                let next = Term::Neg(Box::new(self.product()?));
                sum = Term::Add(Box::new(sum), Box::new(next));
            } else {
                return Ok(sum);
            }
        }
    }

    fn product(&mut self) -> Result<Term, String> {
        let mut product = self.signed()?;
        loop {
            if self.take("*") || self.take("·") {
                product = Term::Mul(Box::new(product), Box::new(self.signed()?));
            } else if self.take("/") {
                product = Term::Div(Box::new(product), Box::new(self.signed()?));
            } else {
                return Ok(product);
            }
        }
    }

    fn signed(&mut self) -> Result<Term, String> {
        if self.take("-") || self.take("−") {
            return Ok(Term::Neg(Box::new(self.signed()?)));
        }
        let base = self.atom()?;
        if self.take("^") {
            let exponent = self.signed()?;
            return Ok(Term::Pow(Box::new(base), Box::new(exponent)));
        }
        Ok(base)
    }

    fn atom(&mut self) -> Result<Term, String> {
        let rest = self.rest();
        if self.take("(") {
            let inner = self.sum()?;
            return self.close(inner);
        }
        let Some(first) = rest.chars().next() else {
            return Err(format!("`{}` ends too early", self.text));
        };
        if first.is_ascii_digit() {
            return self.number(rest);
        }
        if !(first.is_alphabetic() || first == '_') {
            return Err(format!("`{rest}` begins no value"));
        }
        let length = rest
            .find(|c: char| !(c.is_alphanumeric() || "_'₀₁₂₃₄₅₆₇₈₉′".contains(c)))
            .unwrap_or(rest.len());
        let name = &rest[..length];
        self.at += length;
        match name {
            "sqrt" | "abs" if self.take("(") => {
                let inner = Box::new(self.sum()?);
                self.close(if name == "sqrt" {
                    Term::Sqrt(inner)
                } else {
                    Term::Abs(inner)
                })
            }
            "pi" | "π" => Ok(Term::Pi),
            "e" => Ok(Term::Euler),
            _ if self.take("(") => {
                let start = self.at;
                let length = self.text[start..]
                    .find(')')
                    .ok_or_else(|| format!("`(` is never closed in `{}`", self.text))?;
                self.at += length + 1;
                let arguments: String = self.text[start..start + length]
                    .chars()
                    .filter(|c| !c.is_whitespace())
                    .collect();
                Ok(Term::Name(format!("{name}({arguments})")))
            }
            _ => Ok(Term::Name(name.to_owned())),
        }
    }

    fn close(&mut self, inner: Term) -> Result<Term, String> {
        if self.take(")") {
            Ok(inner)
        } else {
            Err(format!("`(` is never closed in `{}`", self.text))
        }
    }

    fn number(&mut self, rest: &str) -> Result<Term, String> {
        let digits = |text: &str| -> usize {
            text.find(|c: char| !c.is_ascii_digit())
                .unwrap_or(text.len())
        };
        let whole = digits(rest);
        let decimals = rest[whole..].strip_prefix('.').map_or(0, digits);
        let length = if decimals == 0 {
            whole
        } else {
            whole + 1 + decimals
        };
        let numerals: String = rest[..length].chars().filter(|c| *c != '.').collect();
        let value: IBig = numerals
            .parse()
            .map_err(|_| format!("`{numerals}` is no numeral"))?;
        self.at += length;
        let scale = UBig::from(10_u8).pow(decimals);
        let value = RBig::from_parts(value, scale);
        let (power, length) = power_of_ten(&rest[length..]);
        self.at += length;
        let scale = RBig::from(UBig::from(10_u8).pow(usize::from(power.unsigned_abs())));
        Ok(Term::Number(if power < 0 {
            value / scale
        } else {
            value * scale
        }))
    }
}

/// The exponent of a decimal in scientific notation (`e-6` of `1.05e-6`) and its length in bytes;
/// 0 and 0 where none follows the digits.
fn power_of_ten(rest: &str) -> (i16, usize) {
    let Some(after) = rest.strip_prefix('e') else {
        return (0, 0);
    };
    let sign = usize::from(after.starts_with('-'));
    let digits = after[sign..]
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(after.len() - sign);
    let length = sign + digits;
    after[..length]
        .parse()
        .map_or((0, 0), |power| (power, 1 + length))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(values: &[(&str, &str)]) -> BTreeMap<String, Term> {
        let term = |text: &str| parse(text).expect("a value");
        values
            .iter()
            .map(|(name, value)| ((*name).to_owned(), term(value)))
            .collect()
    }

    #[test]
    fn rational_comparisons_are_exact() {
        let names = with(&[("n", "5"), ("x", "1/2")]);
        assert_eq!(holds("n = 5 and x <= 1/2 and x > 49/100", &names), Ok(true));
        assert_eq!(holds("x < 1/2", &names), Ok(false));
        assert_eq!(holds("0 < x <= 1 and n != 4", &names), Ok(true));
    }

    #[test]
    fn decimals_have_powers_of_ten() {
        let names = with(&[("x", "1.05e-6"), ("y", "2e17"), ("z", "3")]);
        assert_eq!(
            holds("x = 105/100000000 and y = 2 * 10^17 and z < e", &names),
            Ok(false)
        );
        assert_eq!(
            holds("x = 105/100000000 and y = 2 * 10^17 and z > e", &names),
            Ok(true)
        );
        assert!(parse("3e").is_err());
    }

    #[test]
    fn irrational_comparisons_are_enclosed() {
        let names = with(&[("x", "sqrt(2)/2"), ("y", "e^(-1)")]);
        assert_eq!(
            holds("x^2 = 1/2 and x > 707/1000 and x < 708/1000", &names),
            Ok(true)
        );
        assert_eq!(holds("y < 368/1000 and y > 367/1000", &names), Ok(true));
        assert_eq!(
            holds("pi > 31415926/10000000 and pi < 31415927/10000000", &names),
            Ok(true)
        );
        assert_eq!(
            holds("8^(2/3) = 4 and sqrt(sqrt(16)) = 2", &names),
            Ok(true)
        );
    }

    #[test]
    fn applications_are_looked_up_by_their_spelling() {
        let names = with(&[("f(1/2)", "3")]);
        assert_eq!(holds("f(1/2) = 3", &names), Ok(true));
        assert!(holds("g(1/2) = 3", &names).is_err());
    }

    #[test]
    fn what_is_outside_the_grammar_is_refused() {
        for text in ["1/", "sqrt(2", "2 3", "", "≈ 1", "1 = 2"] {
            assert!(parse(text).is_err(), "{text}");
        }
        assert!(holds("1/0 = 1", &BTreeMap::new()).is_err());
        assert!(holds("sqrt(-1) = 1", &BTreeMap::new()).is_err());
        assert!(holds("n", &with(&[("n", "1")])).is_err());
    }
}
