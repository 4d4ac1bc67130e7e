//! Exercises of the same kind with other constants and functions, each with a verified solution.

use crate::exercise::{Draft, Exercise, Subject, unanswered};
use crate::limits;
use crate::seek::{Asker, End, Family, Findings, study};
use crate::write::{Page, statement};
use checks::Settings;
use dashu::rational::RBig;
use kernel::{Expr, Function, Node};
use source::{Companions, Format};
use std::sync::atomic::{AtomicBool, Ordering};

/// A sheet of variants.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Sheet {
    /// Exercises first, then the same with their solutions.
    pub text: String,
    /// How many variants were wanted and not found.
    pub missing: usize,
}

/// Which variants.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Choice {
    /// How many for each exercise.
    pub count: usize,
    /// Where the pseudo-random choice begins.
    pub seed: u64,
}

/// Pseudo-random numbers: the same seed gives the same sheet everywhere.
struct Dice(u64);

impl Dice {
    /// One more number (splitmix64, a public-domain generator).
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number from 1 to `most`.
    fn up_to(&mut self, most: u64) -> i64 {
        i64::try_from(self.next() % most).unwrap_or(0) + 1
    }

    /// True in one of `sides` cases.
    fn one_in(&mut self, sides: u64) -> bool {
        self.next().is_multiple_of(sides)
    }
}

/// Variants of each exercise of a draft that has no proof and is understood. `None` if
/// the work was called off by `stop`.
#[must_use]
pub fn variants(
    text: &str,
    format: Format,
    companions: &Companions,
    settings: &Settings,
    choice: Choice,
    stop: &AtomicBool,
) -> Option<Sheet> {
    let Choice { count, seed } = choice;
    let draft = Draft {
        text,
        format,
        companions,
        convention: &settings.convention,
    };
    let page = Page::plain(format);
    let (mut tasks, mut solutions) = (Vec::new(), Vec::new());
    let mut wanted = 0;
    for (position, exercise) in unanswered(draft).iter().enumerate() {
        let Ok(subject) = &exercise.subject else {
            continue;
        };
        wanted += count;
        let mut dice = Dice(seed ^ (position as u64) << 32);
        let own = study(&subject.family, subject.limit.as_ref(), Asker { stop });
        let mut found: Vec<Family> = vec![subject.family.clone()];
        for _ in 0..limits::VARIANT_TRIES * count {
            if count < found.len() {
                break;
            }
            if stop.load(Ordering::Relaxed) {
                return None;
            }
            let family = changed(&subject.family, &mut dice);
            if found.contains(&family) {
                continue;
            }
            let number = tasks.len() + 1;
            let Some(task) = posed(exercise, subject, &family, own.as_ref(), page, stop) else {
                continue;
            };
            let task = page.numbered(number, &task);
            let written = crate::write(&task, format, &Companions::new(), settings, stop)?;
            let [outcome] = written.outcomes.as_slice() else {
                continue;
            };
            if outcome.trouble.is_none() {
                tasks.push(task);
                solutions.push(written.text);
                found.push(family);
            }
        }
    }
    let text = page.sheet(&tasks, &solutions);
    Some(Sheet {
        text,
        missing: wanted - tasks.len(),
    })
}

/// The variant as an exercise, if what is asked is as true of it as of the exercise.
fn posed(
    exercise: &Exercise,
    subject: &Subject,
    family: &Family,
    own: Option<&Findings>,
    page: Page,
    stop: &AtomicBool,
) -> Option<String> {
    let findings = study(family, None, Asker { stop })?;
    if own.is_some_and(|own| own.uniform != findings.uniform) {
        return None;
    }
    let limit = findings.limit.formula();
    let varied = Subject {
        family: family.clone(),
        limit: subject.limit.as_ref().and(limit.clone()),
        limit_name: None,
        ..subject.clone()
    };
    if subject.limit.is_some() && limit.is_none() {
        return None;
    }
    Some(statement(&varied, exercise.task, page))
}

/// The same family with other constants, now and then another factor, function or end.
fn changed(family: &Family, dice: &mut Dice) -> Family {
    let mut term = varied(&family.term, dice);
    if dice.one_in(3) {
        term = factor(&term, dice.up_to(6) + 1);
    }
    let end = |end: &Option<End>, dice: &mut Dice| {
        end.as_ref().map(|own| match own.value.as_number() {
            Some(value) if value != RBig::ZERO && dice.one_in(2) => {
                let size = dice.up_to(5);
                let size = if value < RBig::ZERO { -size } else { size };
                End {
                    value: Expr::integer(size),
                    closed: own.closed,
                }
            }
            _ => own.clone(),
        })
    };
    let mut domain = family.domain.clone();
    domain.low = end(&family.domain.low, dice);
    domain.high = end(&family.domain.high, dice);
    Family {
        term,
        domain,
        ..family.clone()
    }
}

/// A multiple, with the factor inside the numerator of a fraction.
fn factor(term: &Expr, by: i64) -> Expr {
    let by = Expr::integer(by);
    match term.node() {
        Node::Div(above, below) => crate::seek::simplify::polished(&by.times(above)).over(below),
        _ => crate::seek::simplify::polished(&by.times(term)),
    }
}

/// Other numerals outside of exponents, and now and then cosine for sine.
fn varied(expr: &Expr, dice: &mut Dice) -> Expr {
    match expr.node() {
        Node::Number(value) if value.is_int() && *value != RBig::ZERO && dice.one_in(2) => {
            Expr::integer(dice.up_to(9))
        }
        Node::Pow(base, exponent) => varied(base, dice).power(exponent),
        Node::Call(Function::Sin, inner) if dice.one_in(3) => {
            varied(inner, dice).call(Function::Cos)
        }
        Node::Call(Function::Cos, inner) if dice.one_in(3) => {
            varied(inner, dice).call(Function::Sin)
        }
        _ => expr.map_children(&mut |child| varied(child, dice)),
    }
}
