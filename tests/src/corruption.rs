//! Written evidence with one place changed: every number, relation, flag, name and part in turn.

use dashu::rational::RBig;
use kernel::record::Form;
use std::collections::BTreeSet;
use std::str::FromStr;

/// Words that may stand for each other.
const CLASSES: [&[&str]; 8] = [
    &["<", "<=", "=", "!=", ">=", ">"],
    &["zero", "nonnegative", "positive", "nonzero"],
    &["true", "false"],
    &["integer", "real"],
    &["min", "max"],
    &["+", "*"],
    &["pi", "e"],
    &[
        "sin",
        "cos",
        "tan",
        "atan",
        "exp",
        "log",
        "abs",
        "floor",
        "ceil",
        "sign",
        "factorial",
    ],
];

/// A change of the part at a place.
#[derive(Clone, Debug)]
pub struct Corruption {
    path: Vec<usize>,
    part: Form,
}

impl Corruption {
    /// Whether the place lies in the part with that path.
    #[must_use]
    pub fn lies_in(&self, path: &[usize]) -> bool {
        self.path.starts_with(path)
    }

    /// The form with the change carried out.
    #[must_use]
    pub fn of(&self, form: &Form) -> Form {
        put(form, &self.path, &self.part)
    }
}

fn put(form: &Form, path: &[usize], part: &Form) -> Form {
    match (form, path.split_first()) {
        (Form::List(items), Some((place, rest))) => {
            let mut items = items.clone();
            items[*place] = put(&items[*place], rest, part);
            Form::List(items)
        }
        _ => part.clone(),
    }
}

/// All changes of one place of a form. `lemmas` are the keywords of known inequalities.
#[must_use]
pub fn corruptions(form: &Form, lemmas: &[String]) -> Vec<Corruption> {
    let mut names = BTreeSet::new();
    collect_names(form, &mut names);
    let mut all = Vec::new();
    visit(form, &mut Vec::new(), &mut |path, part| {
        for part in changed(part, &names, lemmas) {
            all.push(Corruption {
                path: path.to_vec(),
                part,
            });
        }
    });
    all
}

fn collect_names(form: &Form, names: &mut BTreeSet<String>) {
    match form {
        Form::Name(name) => {
            names.insert(name.clone());
            // The names that sums give to their index inside.
            names.insert(format!("{name}′"));
        }
        Form::List(items) => items.iter().for_each(|item| collect_names(item, names)),
        Form::Word(_) => {}
    }
}

/// Shows every part with its place, the whole first.
pub fn visit(form: &Form, path: &mut Vec<usize>, see: &mut impl FnMut(&[usize], &Form)) {
    see(path, form);
    if let Form::List(items) = form {
        for (place, item) in items.iter().enumerate() {
            path.push(place);
            visit(item, path, see);
            path.pop();
        }
    }
}

fn changed(part: &Form, names: &BTreeSet<String>, lemmas: &[String]) -> Vec<Form> {
    match part {
        Form::Name(name) => names
            .iter()
            .filter(|other| *other != name)
            .map(|other| Form::Name(other.clone()))
            .chain([Form::word("0")])
            .collect(),
        Form::Word(text) => match RBig::from_str(text) {
            Ok(value) => numbers(&value),
            Err(_) => others(text, lemmas),
        },
        Form::List(items) => lists(items),
    }
}

fn numbers(value: &RBig) -> Vec<Form> {
    let one = RBig::ONE;
    let slightly = RBig::from(999) / RBig::from(1000);
    [
        value + &one,
        value - &one,
        -value.clone(),
        value * &slightly,
        value / slightly,
        value * RBig::from(2),
        RBig::ZERO,
    ]
    .into_iter()
    .filter(|other| other != value)
    .map(|other| Form::Word(other.to_string()))
    .collect()
}

fn others(text: &str, lemmas: &[String]) -> Vec<Form> {
    let class = CLASSES.iter().find(|class| class.contains(&text));
    let mut all: Vec<&str> = class.map(|class| class.to_vec()).unwrap_or_default();
    if lemmas.iter().any(|own| own == text) {
        all.extend(lemmas.iter().map(String::as_str));
    }
    all.into_iter()
        .filter(|other| *other != text)
        .map(Form::word)
        .collect()
}

/// A list with an item left out, doubled, exchanged with its neighbour, or put in its place; and
/// the list as an expression with the other sign and a little larger.
fn lists(items: &[Form]) -> Vec<Form> {
    let mut all = vec![Form::List(Vec::new())];
    for place in 0..items.len() {
        let mut fewer = items.to_vec();
        fewer.remove(place);
        all.push(Form::List(fewer));
        let mut more = items.to_vec();
        more.insert(place, items[place].clone());
        all.push(Form::List(more));
        if place + 1 < items.len() {
            let mut other = items.to_vec();
            other.swap(place, place + 1);
            all.push(Form::List(other));
        }
        all.push(items[place].clone());
    }
    let whole = Form::List(items.to_vec());
    let word = |text: &str| Form::word(text);
    all.push(Form::List(vec![word("-"), whole.clone()]));
    all.push(Form::List(vec![
        word("+"),
        Form::List(vec![whole, word("1/1000")]),
    ]));
    all
}

/// The form with the part at a place replaced.
#[must_use]
pub fn replaced(form: &Form, path: &[usize], part: &Form) -> Form {
    put(form, path, part)
}

/// All parts of a form with their places.
#[must_use]
pub fn parts(form: &Form) -> Vec<(Vec<usize>, Form)> {
    let mut all = Vec::new();
    visit(form, &mut Vec::new(), &mut |path, part| {
        all.push((path.to_vec(), part.clone()));
    });
    all
}

/// Numbers that look random and are the same in every run.
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// Dice that begin with a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// A number below `sides`, which is not 0.
    pub fn throw(&mut self, sides: usize) -> usize {
        // Knuth's linear congruential generator; the upper half of its bits is well mixed.
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap_or(0) % sides
    }
}
