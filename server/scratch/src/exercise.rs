//! Exercises of a draft that have no proof yet: what is asked, about which sequence, and where an
//! answer belongs.

mod every;
mod worked;

pub use every::{Studied, subjects};

use crate::seek::{Family, Interval};
use argument::{
    Argument, Assertion, Convention, Definition, Entry, ErrorTerm, LimitValue, Outline, Role,
    Toward, Zone,
};
use kernel::{Condition, Expr, Relation, Symbol};
use source::{Block, Companions, ContainerKind, Document, Format, Span};

/// What an exercise asks for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Task {
    /// To find the limit.
    pub find_limit: bool,
    /// To show pointwise convergence.
    pub pointwise: bool,
    /// To show uniform convergence.
    pub uniform: bool,
    /// To show that the convergence is not uniform.
    pub not_uniform: bool,
    /// To decide whether it is uniform.
    pub decide: bool,
}

/// What is written after an exercise.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Part {
    /// Scratch work and a proof.
    Both,
    /// Scratch work alone.
    ScratchWork,
    /// The proof alone; scratch work may stand before it.
    Proof,
}

/// An exercise without a proof.
#[derive(Clone, PartialEq, Debug)]
pub struct Exercise {
    /// Its title, as the draft has it.
    pub title: Option<String>,
    /// What is asked.
    pub task: Task,
    /// The sequence, or why it is not understood.
    pub subject: Result<Subject, &'static str>,
    /// Where its argument begins.
    pub start: usize,
    /// Where an answer is put in.
    pub place: usize,
    /// Whether the answer stands inside an item of the exercise, where it has no headings: a
    /// heading there would be one of the whole exercise.
    pub bare: bool,
    /// What each line of an answer begins with, so that it stays inside a list item.
    pub indent: String,
}

/// The sequence of an exercise, with its names in the draft.
#[derive(Clone, PartialEq, Debug)]
pub struct Subject {
    /// The sequence.
    pub family: Family,
    /// The limit that the exercise names.
    pub limit: Option<Expr>,
    /// The name of the sequence (`f` of f_n), if it has one.
    pub name: Option<Symbol>,
    /// The name of the limit function, if the draft gives one.
    pub limit_name: Option<Symbol>,
    /// Names that the draft uses.
    pub used: Vec<Symbol>,
}

/// A draft as it is read.
#[derive(Clone, Copy)]
pub struct Draft<'a> {
    /// Its text.
    pub text: &'a str,
    /// Its language.
    pub format: Format,
    /// Files that it includes.
    pub companions: &'a Companions,
    /// What the course agrees upon.
    pub convention: &'a Convention,
}

impl Draft<'_> {
    fn read(&self) -> (Document, Outline) {
        let document = source::read(self.text, self.format, self.companions);
        let outline = argument::read(self.text, &document, self.convention);
        (document, outline)
    }
}

/// The exercises that have neither scratch work nor a proof, in the order of the draft.
#[must_use]
pub fn unanswered(draft: Draft<'_>) -> Vec<Exercise> {
    lacking(draft, Part::Both)
}

/// The exercises that have no such part, and nothing that it would stand behind.
#[must_use]
pub fn lacking(draft: Draft<'_>, part: Part) -> Vec<Exercise> {
    let (document, outline) = draft.read();
    let mut found = Vec::new();
    for argument in &outline.arguments {
        if is_answered(draft, &document, argument, part) {
            continue;
        }
        let Place {
            at: place,
            indent,
            bare,
        } = place(draft, &document, &outline, argument);
        if let Some(start) = worked::start(draft, &document, argument) {
            let before = worked::before(draft, argument, start);
            found.extend(before.map(|own| Exercise { place, ..own }));
            continue;
        }
        let words = words(statement(draft, argument));
        let task = task(argument, &words);
        if task.is_none() && argument.aim.is_none() {
            continue;
        }
        found.push(Exercise {
            title: argument.title.clone(),
            task: task.unwrap_or_default(),
            subject: match task {
                // Without its heading it would be taken for the proof.
                Some(_) if bare && part == Part::ScratchWork => {
                    Err("inside an item scratch work has no heading; the proof can be drafted")
                }
                Some(task) => match several(task, &words, statement(draft, argument)) {
                    Some(trouble) => Err(trouble),
                    None => subject(draft, argument, place, &indent),
                },
                None => Err("it asks for something other than the convergence of a sequence"),
            },
            start: argument.span.start,
            place,
            bare,
            indent,
        });
    }
    found
}

fn statement<'a>(draft: Draft<'a>, argument: &Argument) -> &'a str {
    draft.text.get(argument.span.range()).unwrap_or_default()
}

/// Whether something that is no statement stands there, nor, for a proof, scratch work: entries of
/// a proof, or its heading.
fn is_answered(draft: Draft<'_>, document: &Document, argument: &Argument, part: Part) -> bool {
    let before =
        |zone: Zone| zone == Zone::Statement || part == Part::Proof && zone == Zone::Scratch;
    let claims = argument.entries.iter().any(|entry| {
        let claims = entry.role.is_some_and(Role::is_claim);
        !before(entry.zone) || claims && entry.zone == Zone::Statement
    });
    let headed = document.blocks.iter().any(|block| {
        let inside =
            argument.span.start <= block.span.start && block.span.start < argument.span.end;
        let word = first_word(draft, block);
        let scratch = word == worked::HEADING && part != Part::Proof;
        inside && (scratch || ["proof", "solution", "answer"].contains(&word.as_str()))
    });
    claims || headed
}

/// The first word of a block in small letters.
fn first_word(draft: Draft<'_>, block: &Block) -> String {
    let text = draft.text.get(block.span.range()).unwrap_or_default();
    let word: String = text
        .chars()
        .skip_while(|own| !own.is_alphabetic())
        .take_while(|own| own.is_alphabetic())
        .collect();
    word.to_lowercase()
}

/// What is asked, from the aims as they were understood and the words of those that were not.
fn task(argument: &Argument, words: &str) -> Option<Task> {
    let aim = argument.aim.as_ref().map_or("", |aim| &aim.text);
    let mut task = Task::default();
    let assertions = aims(argument);
    for assertion in &assertions {
        match assertion {
            Assertion::Convergence { error, negated } => match (error.uniform, negated) {
                (true, true) => task.not_uniform = true,
                (true, false) => task.uniform = true,
                (false, false) => task.pointwise = true,
                (false, true) => {}
            },
            Assertion::Limit {
                toward: Toward::Infinity,
                negated: false,
                value,
                ..
            } => {
                task.pointwise = true;
                task.find_limit |= *value == LimitValue::Exists;
            }
            _ => {}
        }
    }
    let says = |phrase: &str| words.contains(phrase);
    let asked =
        says(" whether ") || says(" is the convergence ") || says(" does ") || says(" decide ");
    let seeks = ["find", "determine", "compute", "what is"];
    task.find_limit |= seeks.iter().any(|own| says(&format!(" {own} "))) && says(" limit ");
    if assertions.is_empty() || asked {
        if says(" not uniform ") || says(" not uniformly ") {
            task.not_uniform = true;
        } else if says(" uniform ") || says(" uniformly ") {
            if asked || aim.to_lowercase().starts_with("is ") {
                task.decide = true;
            } else {
                task.uniform = true;
            }
        } else if says(" pointwise ") || says(" converges ") {
            task.pointwise = true;
        }
    }
    (task != Task::default()).then_some(task)
}

/// Why an exercise is not answered although its kind is known: only a part of it would be.
fn several(task: Task, words: &str, statement: &str) -> Option<&'static str> {
    let count = |own: &str| words.matches(own).count();
    // Neighbours share the space between them.
    let uniform = count(" uniform") + count(" nonuniform");
    let questions = statement.matches('?').count();
    let opposed = task.uniform && (task.not_uniform || words.contains(" not uniform"));
    if opposed || 1 < uniform || 1 + usize::from(task.find_limit) < questions {
        Some("it asks for several things at once; give each a part of its own")
    } else if words.contains(" locally ") || words.contains(" where does ") {
        Some("it asks where the convergence is uniform")
    } else {
        None
    }
}

/// The words of a text in small letters, each between single spaces.
fn words(text: &str) -> String {
    let mut all = String::from(" ");
    for word in text.split(|own: char| !own.is_alphabetic()) {
        if !word.is_empty() {
            all.push_str(&word.to_lowercase());
            all.push(' ');
        }
    }
    all
}

fn aims(argument: &Argument) -> Vec<Assertion> {
    let of_entry = |entry: &Entry| match (&entry.content, entry.role) {
        (argument::Content::Assertion(assertion), Some(Role::Aim)) => Some(assertion.clone()),
        _ => None,
    };
    let mut all: Vec<Assertion> = argument.entries.iter().filter_map(of_entry).collect();
    all.extend(argument.aim.iter().filter_map(|aim| aim.assertion.clone()));
    all
}

/// The sequence that an exercise is about. Where the exercise names no limit, the reader is asked
/// what the domain would be if an answer named one.
fn subject(
    draft: Draft<'_>,
    argument: &Argument,
    place: usize,
    indent: &str,
) -> Result<Subject, &'static str> {
    let known = aims(argument)
        .into_iter()
        .find_map(|own| seen(own, argument));
    let (error, limit) = match known {
        Some((error, limit)) => (error, limit),
        None => (
            probed(draft, argument, place, indent)
                .ok_or("the exercise does not say which sequence it is about")?,
            None,
        ),
    };
    about(&error, limit, argument)
}

/// The sequence of an error term, with its names in the draft.
fn about(
    error: &ErrorTerm,
    limit: Option<Expr>,
    argument: &Argument,
) -> Result<Subject, &'static str> {
    let family = family(error, argument)?;
    let names = |definition: &&Definition| {
        definition.value == family.term && definition.parameters.contains(&family.index)
    };
    let name = argument.definitions.iter().rev().find(names);
    let of_limit = |definition: &&Definition| {
        Some(&definition.value) == limit.as_ref()
            && definition.parameters.iter().eq(family.point.iter())
            && family.point.is_some()
    };
    let limit_name = argument.definitions.iter().rev().find(of_limit);
    let mut used: Vec<Symbol> = argument
        .definitions
        .iter()
        .map(|definition| definition.name.clone())
        .collect();
    used.extend(argument.givens.iter().map(|given| given.name.clone()));
    Ok(Subject {
        name: name.map(|own| own.name.clone()),
        limit_name: limit_name.map(|own| own.name.clone()),
        family,
        limit,
        used,
    })
}

/// An aim as an error term and the limit that it names.
fn seen(assertion: Assertion, argument: &Argument) -> Option<(ErrorTerm, Option<Expr>)> {
    match assertion {
        Assertion::Convergence { error, .. } => {
            let limit = error.limit.clone();
            Some((error, Some(limit)))
        }
        Assertion::Limit {
            term,
            variable,
            toward: Toward::Infinity,
            value,
            conditions,
            ..
        } => {
            let limit = value.number().cloned();
            let zero = Expr::integer(0);
            let own = limit.clone().unwrap_or(zero);
            let mut conditions = conditions;
            // Everything else that the term speaks of is fixed.
            let mut points: Vec<Symbol> = term.variables().into_iter().collect();
            points.retain(|name| *name != variable);
            for given in &argument.givens {
                if points.contains(&given.name) {
                    conditions.extend(given.conditions.iter().cloned());
                }
            }
            let functions = argument
                .definitions
                .iter()
                .any(|definition| definition.value == term && definition.parameters.len() > 1);
            if !functions {
                points.clear();
            }
            Some((
                ErrorTerm {
                    error: term.minus(&own).abs(),
                    limit: own,
                    term,
                    index: variable,
                    points,
                    conditions,
                    uniform: false,
                    pointed: true,
                },
                limit,
            ))
        }
        _ => None,
    }
}

/// Reads the draft with a tentative answer after the exercise.
fn probed(draft: Draft<'_>, argument: &Argument, place: usize, indent: &str) -> Option<ErrorTerm> {
    // Of several definitions of a name the last one before the answer is meant.
    let definition = argument
        .definitions
        .iter()
        .filter(|own| own.subscripts == 1 && !own.parameters.is_empty())
        .filter(|own| own.span.start < place)
        .max_by_key(|own| own.span.start)?;
    let index = definition.parameters.first()?;
    let name = format!("{}_{}", definition.name, index);
    let functions = definition.parameters.len() > 1;
    let uniformly = if functions { " uniformly" } else { "" };
    let heading = match draft.format {
        Format::Markdown => "**Solution.**",
        Format::Latex => "\\textbf{Solution.}",
    };
    let answer = format!("\n\n{indent}{heading} We have ${name} \\to 0${uniformly}.\n\n");
    let text = with(draft.text, place, &answer);
    let probe = Draft {
        text: &text,
        ..draft
    };
    let (_, outline) = probe.read();
    // The aim, now that a limit is known, or else the tentative answer itself.
    let exercise = outline
        .arguments
        .iter()
        .filter(|own| own.span.start == argument.span.start);
    let aim = exercise
        .flat_map(|own| aims(own).into_iter().map(move |aim| (own, aim)))
        .find(|(_, aim)| matches!(aim, Assertion::Convergence { .. }));
    let answered = outline.arguments.iter().find_map(|own| {
        own.entries.iter().find_map(|entry| match &entry.content {
            argument::Content::Assertion(assertion)
                if place <= entry.span.start && entry.span.start < place + answer.len() =>
            {
                Some((own, assertion.clone()))
            }
            _ => None,
        })
    });
    // A reading that takes another sequence of that name is none of this exercise.
    aim.into_iter()
        .chain(answered)
        .filter_map(|(own, assertion)| seen(assertion, own))
        .map(|(error, _)| error)
        .find(|error| error.term == definition.value)
}

/// A text with a part put in.
#[must_use]
pub fn with(text: &str, place: usize, part: &str) -> String {
    let (before, after) = text.split_at(place);
    format!("{before}{part}{after}")
}

fn family(error: &ErrorTerm, argument: &Argument) -> Result<Family, &'static str> {
    let point = match error.points.as_slice() {
        [] => None,
        [point] => Some(point.clone()),
        _ => return Err("it is about functions of several variables"),
    };
    if !error.term.unknown_functions().is_empty() {
        return Err("its terms are not given by a formula");
    }
    let mut first = 1;
    let mut of_point = Vec::new();
    let mut others = Vec::new();
    let given: Vec<&Condition> = argument
        .givens
        .iter()
        .filter(|given| given.name != error.index && Some(&given.name) != point.as_ref())
        .flat_map(|given| &given.conditions)
        .collect();
    for condition in error.conditions.iter().chain(given) {
        let names = condition.variables();
        if point.as_ref().is_some_and(|point| names.contains(point)) {
            of_point.push(condition);
        } else if names.contains(&error.index) {
            first = start(condition, &error.index).unwrap_or(first);
        } else if !others.contains(condition) && names.iter().all(|name| name.as_str() != "ε") {
            others.push(condition.clone());
        }
    }
    let domain = match &point {
        None => Interval::default(),
        Some(point) => {
            Interval::of(&of_point, point, &error.index).ok_or("its domain is not an interval")?
        }
    };
    let family = Family {
        term: error.term.clone(),
        index: error.index.clone(),
        first,
        point,
        domain,
        conditions: Vec::new(),
    };
    let own = family.parameters();
    let about = |condition: &Condition| condition.variables().iter().all(|name| own.contains(name));
    others.retain(about);
    Ok(Family {
        conditions: others,
        ..family
    })
}

/// The first index that a condition n ≥ k leaves.
fn start(condition: &Condition, index: &Symbol) -> Option<i64> {
    let Condition::Holds(left, relation, right) = condition else {
        return None;
    };
    let (relation, bound) = if left.as_variable() == Some(index) {
        (*relation, right)
    } else {
        (relation.flipped(), left)
    };
    let value = bound.as_number()?;
    let value = value
        .is_int()
        .then(|| i64::try_from(value.numerator().clone()).ok())??;
    match relation {
        Relation::GreaterEqual => Some(value),
        Relation::Greater => Some(value + 1),
        _ => None,
    }
}

/// Where an answer belongs.
struct Place {
    at: usize,
    /// The indentation of a list item that it must stay in.
    indent: String,
    /// Whether that is inside an item of an exercise's environment.
    bare: bool,
}

/// Behind the exercise: behind its environment, or inside the list item that it is.
fn place(draft: Draft<'_>, document: &Document, outline: &Outline, argument: &Argument) -> Place {
    let inside = |span: Span| argument.span.start <= span.start && span.start < argument.span.end;
    // Prose behind the last formula is no longer the exercise.
    let speaks = |span: Span| {
        let aim = argument.aim.iter().map(|aim| aim.span.start);
        let mut places = argument.entries.iter().map(|own| own.span.start).chain(aim);
        places.any(|own| span.range().contains(&own))
    };
    // But what stands behind scratch work belongs to it.
    let worked = worked::start(draft, document, argument).is_some();
    let last = document
        .blocks
        .iter()
        .filter(|block| inside(block.span) && (worked || speaks(block.span)))
        .max_by_key(|block| block.span.end);
    let mut place = Place {
        at: argument.span.end,
        indent: String::new(),
        bare: false,
    };
    let Some(block) = last else {
        return place;
    };
    place.at = block.span.end;
    let mut around = false;
    for container in &block.containers {
        let Some(container) = document.containers.get(*container) else {
            continue;
        };
        match &container.kind {
            ContainerKind::Environment { name, .. } if name != "document" => {
                // The exercise's own environment: the answer stands behind it.
                let held = outline
                    .arguments
                    .iter()
                    .filter(|own| container.span.range().contains(&own.span.start));
                if inside(container.span) || held.count() == 1 {
                    place.at = place.at.max(container.span.end);
                } else {
                    around = true;
                }
            }
            ContainerKind::Item { .. } => match draft.format {
                Format::Markdown => place.indent = column(draft.text, container.span.start),
                Format::Latex => place.bare = around,
            },
            _ => {}
        }
    }
    let end = place.at.min(draft.text.len());
    let head = draft.text.get(..end).unwrap_or(draft.text);
    let head = head.trim_end();
    // Closing marks of emphasis and the like on the same line belong to the exercise.
    let rest = &draft.text[head.len()..];
    let line = rest.find('\n').unwrap_or(rest.len());
    let opens = ["\\item", "\\end", "\\begin"];
    let closes = !opens.iter().any(|own| rest[..line].contains(own));
    place.at = if closes {
        head.len() + line
    } else {
        head.len()
    };
    place
}

/// Spaces as wide as what stands before an item's text: its marker and the space behind.
fn column(text: &str, start: usize) -> String {
    let line = text[..start].rfind('\n').map_or(0, |place| place + 1);
    let before = text[line..start].chars().count();
    let marker = text[start..]
        .chars()
        .take_while(|own| !own.is_whitespace())
        .count();
    " ".repeat(before + marker + 1)
}
