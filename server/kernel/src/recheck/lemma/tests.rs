//! Every row of the table holds wherever its conditions do, and is refused where one is missing.

use super::*;
use crate::expr::Symbol;
use crate::goal::{Goal, Hypothesis, Kind, Origin, Problem, Variable};
use crate::numerics::{Assignment, Truth, truth};
use crate::recheck::{Context, Step};
use proptest::prelude::Rng;
use proptest::test_runner::{RngAlgorithm, TestRng};

/// So many points of each kind are tried for each row.
const POINTS: usize = 600;

fn dice() -> TestRng {
    TestRng::deterministic_rng(RngAlgorithm::ChaCha)
}

fn throw(dice: &mut TestRng, below: u32) -> i64 {
    i64::from(dice.next_u32() % below)
}

/// A number for a letter: small and great ones, near 0 and near 1, ends of the usual ranges.
fn number(dice: &mut TestRng) -> Expr {
    let part = |dice: &mut TestRng, top: u32, bottom: u32| {
        let above = throw(dice, 2 * top + 1) - i64::from(top);
        Expr::ratio(above, 1 + throw(dice, bottom))
    };
    match throw(dice, 8) {
        0 => Expr::integer(throw(dice, 5) - 2),
        1 | 2 => Expr::integer(throw(dice, 12)),
        3 => part(dice, 12, 1000),
        4 => Expr::integer(1).plus(&part(dice, 12, 200)),
        5 => part(dice, 60, 7),
        6 => Expr::ratio(throw(dice, 129) - 64, 16),
        _ => part(dice, 12, 9),
    }
}

/// Numbers for the letters of a row, each an integer if the row asks for one.
fn point(row: &Row, dice: &mut TestRng) -> Vec<Expr> {
    let letters = if row.letters.is_empty() {
        vec!["each"; 3]
    } else {
        row.letters.to_vec()
    };
    let one = |letter: &&str| {
        let whole = row.given.contains(&format!("integer {letter}")) || *letter == "k";
        if whole {
            Expr::integer(throw(dice, 9))
        } else {
            number(dice)
                .as_number()
                .map_or_else(|| Expr::integer(0), Expr::number)
        }
    };
    letters.iter().map(one).collect()
}

fn judged(condition: &Condition) -> Truth {
    truth(condition, &Assignment::new())
}

fn claim((value, sign): &(Expr, Sign)) -> Condition {
    Condition::Holds(value.clone(), sign.relation(), Expr::integer(0))
}

/// At how many random points the conditions of the row hold, and the first at which a claim is
/// false all the same.
fn tried(row: &Row) -> (usize, Option<Vec<Expr>>) {
    let (mut dice, mut met) = (dice(), 0);
    for _ in 0..POINTS {
        let arguments = point(row, &mut dice);
        let Some((given, claims)) = row.at(&arguments) else {
            continue;
        };
        if given.iter().any(|given| judged(given) != Truth::True) {
            continue;
        }
        met += 1;
        let fails = |own: &(Expr, Sign)| judged(&claim(own)) == Truth::False;
        if claims.iter().any(fails) {
            return (met, Some(arguments));
        }
    }
    (met, None)
}

#[test]
fn every_row_holds_at_random_points() {
    let mut rows = 0;
    for row in TABLE {
        let (met, fails) = tried(row);
        assert_eq!(fails, None, "{:?} is false", row.lemma);
        assert!(10 <= met, "{:?} is tried {met} times", row.lemma);
        rows += 1;
    }
    assert!(70 <= rows, "{rows}");
}

/// A row that is no row of the table.
fn row(letters: &'static [&'static str], given: &'static str, claims: &'static str) -> Row {
    Row {
        lemma: Lemma::ExpTangent,
        letters,
        given,
        claims,
    }
}

#[test]
fn a_false_row_is_found() {
    for (letters, given, claims) in [
        (&["u"] as &[&str], "", "exp(u) >= 1 + u + u^2/2"),
        (&["u"], "0 <= u", "exp(u) <= 1 + u + u^2"),
        (&["u"], "0 < u", "log(u) < u - 1"),
        (&["u"], "0 <= u", "u - u^3/7 <= sin(u)"),
        (&["u"], "", "1 - u^2/3 <= cos(u)"),
        (&["u"], "0 <= u <= 7/2", "0 <= sin(u)"),
        (&["b", "n"], "integer n, 0 <= n, 0 <= b <= 1", "b^n <= b"),
        (
            &["b", "n"],
            "integer n, 1 <= n, -5/2 <= b",
            "1 + n*(b - 1) <= b^n",
        ),
        (&["b", "x", "y"], "0 < b, x <= y", "b^x <= b^y"),
        (&["c", "n"], "integer n, 1 <= n", "(c^(1/n))^n = -c"),
        (&["n"], "integer n, 1 <= n", "2^n <= fact(n)"),
        (&["n"], "integer n, 1 <= n", "fact(n) <= n^(n - 2)"),
        (&[], "", "max(all) <= each"),
    ] {
        let (_, fails) = tried(&row(letters, given, claims));
        assert!(fails.is_some(), "{given} ⟹ {claims} seems true");
    }
}

/// A problem in whose variables the row speaks of itself, under all its conditions but one.
fn without(row: &Row, place: Option<usize>) -> (Context, Vec<Expr>) {
    let names: Vec<Expr> = row
        .letters
        .iter()
        .map(|letter| Expr::named(letter))
        .collect();
    let put = |name: &str| row.letters.contains(&name).then(|| vec![Expr::named(name)]);
    let given = conditions(row.given, &put).unwrap();
    let left = given
        .iter()
        .enumerate()
        .filter(|(own, _)| Some(*own) != place);
    let problem = Problem {
        variables: row
            .letters
            .iter()
            .map(|letter| Variable {
                name: Symbol::new(letter),
                kind: Kind::Real,
            })
            .collect(),
        hypotheses: left
            .map(|(_, condition)| Hypothesis {
                condition: condition.clone(),
                origin: Origin::Assumption,
            })
            .collect(),
        goal: Goal::Defined(Expr::integer(0)),
    };
    (Context::of(&problem), names)
}

#[test]
fn each_condition_is_asked_for() {
    let mut asked = 0;
    for row in TABLE.iter().filter(|row| !row.letters.is_empty()) {
        let put = |name: &str| row.letters.contains(&name).then(|| vec![Expr::named(name)]);
        let given = conditions(row.given, &put).unwrap();
        let takes = |place| {
            let (mut context, mut names) = without(row, place);
            if row.lemma == Lemma::RootMonotone {
                names[2] = Expr::integer(3);
            }
            context.step(&Step::Lemma(row.lemma, names)).is_some()
        };
        assert!(takes(None), "{:?} with all its conditions", row.lemma);
        for (place, condition) in given.iter().enumerate() {
            // What the others imply may be left out.
            let (context, _) = without(row, Some(place));
            let implied = match condition {
                Condition::Holds(left, relation, right) => {
                    let (gap, sign) = Sign::of_relation(left, *relation, right);
                    context.sign_of_expr(&gap).has(sign)
                }
                _ => false,
            };
            asked += usize::from(!implied);
            assert_eq!(
                takes(Some(place)),
                implied,
                "{:?} without {:?}",
                row.lemma,
                condition
            );
        }
    }
    assert!(100 < asked, "{asked} conditions");
}

#[test]
fn rows_are_read_as_they_are_written() {
    for row in TABLE {
        let letters = match row.letters.len() {
            0 => 2,
            letters => letters,
        };
        let arguments: Vec<Expr> = (0..letters)
            .map(|place| Expr::integer(3 + i64::try_from(place).unwrap()))
            .collect();
        assert!(
            row.at(&arguments).is_some(),
            "{:?} cannot be read",
            row.lemma
        );
        if !row.letters.is_empty() {
            assert!(
                row.at(&arguments[1..]).is_none(),
                "{:?} takes fewer",
                row.lemma
            );
            let more: Vec<Expr> = [arguments.clone(), arguments].concat();
            assert!(row.at(&more).is_none(), "{:?} takes more", row.lemma);
        }
        assert!(row.lemma.row().is_some_and(|own| own.claims == row.claims));
    }
    assert!(
        row(&["u"], "", "exp(v) > 0")
            .at(&[Expr::integer(1)])
            .is_none()
    );
    assert!(
        row(&["u"], "", "exp(u) >")
            .at(&[Expr::integer(1)])
            .is_none()
    );
    assert!(
        row(&["u"], "", "exp(u) 0")
            .at(&[Expr::integer(1)])
            .is_none()
    );
    assert!(row(&["u"], "", "exp(u)").at(&[Expr::integer(1)]).is_none());
}
