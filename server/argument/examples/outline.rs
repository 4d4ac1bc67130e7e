//! Prints the outline of drafts: every entry with its role, zone, content and scope.

use argument::{Assertion, Binding, Content, Convention, Entry, ErrorTerm, Outline, Toward};
use kernel::Condition;
use std::io::Write;

fn conditions(all: &[Condition]) -> String {
    all.iter().map(condition).collect::<Vec<_>>().join(", ")
}

fn condition(one: &Condition) -> String {
    match one {
        Condition::Holds(left, relation, right) => {
            format!("{left:?} {} {right:?}", relation.sign())
        }
        Condition::And(items) => items.iter().map(condition).collect::<Vec<_>>().join(" ∧ "),
        Condition::Or(items) => items.iter().map(condition).collect::<Vec<_>>().join(" ∨ "),
        Condition::Not(inner) => format!("¬({})", condition(inner)),
        Condition::Integer(value) => format!("{value:?} ∈ ℤ"),
    }
}

fn error(term: &ErrorTerm) -> String {
    format!(
        "{:?} | {:?} | limit {:?} | {}→∞, points {:?} | {} | uniform {}",
        term.error,
        term.term,
        term.limit,
        term.index,
        term.points,
        conditions(&term.conditions),
        term.uniform
    )
}

fn toward(toward: &Toward) -> String {
    match toward {
        Toward::Infinity => "∞".to_owned(),
        Toward::MinusInfinity => "−∞".to_owned(),
        Toward::Point(point) => format!("{point:?}"),
        Toward::Above(point) => format!("{point:?}⁺"),
        Toward::Below(point) => format!("{point:?}⁻"),
    }
}

fn assertion(assertion: &Assertion) -> String {
    match assertion {
        Assertion::Relation {
            left,
            relation,
            right,
        } => format!("{left:?} {} {right:?}", relation.sign()),
        Assertion::All(all) => format!("all {}", conditions(all)),
        Assertion::Convergence {
            error: term,
            negated,
        } => {
            format!(
                "{}converges {}",
                if *negated { "NOT " } else { "" },
                error(term)
            )
        }
        Assertion::Series { terms, diverges } => format!(
            "series {} {}",
            if *diverges { "diverges" } else { "converges" },
            error(terms)
        ),
        Assertion::Limit {
            term,
            variable,
            toward: whereto,
            value,
            conditions: all,
            negated,
        } => {
            format!(
                "{}lim_{{{variable}→{}, {}}} {term:?} = {value:?}",
                if *negated { "NOT " } else { "" },
                toward(whereto),
                conditions(all)
            )
        }
        Assertion::Implication { from, to, both } => {
            format!(
                "[{}] {} [{}]",
                conditions(from),
                if *both { "⇔" } else { "⇒" },
                conditions(to)
            )
        }
        Assertion::Extremum {
            greatest,
            term,
            points,
            conditions: all,
            relation,
            value,
        } => format!(
            "{}_{points:?}[{}] {term:?} {} {value:?}",
            if *greatest { "sup" } else { "inf" },
            conditions(all),
            relation.sign()
        ),
        Assertion::Calculus(said) => format!(
            "{:?} of {:?} by {:?} [{}]",
            said.slope,
            said.subjects,
            said.point,
            conditions(&said.conditions)
        ),
    }
}

fn content(outline: &argument::Argument, content: &Content) -> String {
    match content {
        Content::Assertion(inner) => assertion(inner),
        Content::Binding(Binding {
            bound,
            conditions: all,
        }) => {
            let bound = bound
                .iter()
                .map(|bound| format!("{} {:?} {:?}", bound.name, bound.kind, bound.introduction))
                .collect::<Vec<_>>()
                .join("; ");
            format!("bind [{bound}] with {}", conditions(all))
        }
        Content::Definition(position) => {
            outline
                .definitions
                .get(*position)
                .map_or_else(String::new, |definition| {
                    format!(
                        "def {}{:?} (sub {}) := {:?}",
                        definition.name,
                        definition.parameters,
                        definition.subscripts,
                        definition.value
                    )
                })
        }
        Content::Mention => String::new(),
        Content::Motion { variable, toward } => format!("motion {variable:?} {toward:?}"),
        Content::Unread { reason, names } => format!("UNREAD {reason} {names:?}"),
    }
}

fn line(draft: &str, argument: &argument::Argument, position: usize, entry: &Entry) -> String {
    let text = draft.get(entry.span.range()).unwrap_or_default();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let role = entry.role.map_or("?", argument::Role::word);
    let reason = entry
        .reason_for
        .map_or_else(String::new, |claim| format!(" because-of {claim}"));
    let chain = entry
        .chain
        .map_or_else(String::new, |(chain, link)| format!(" c{chain}.{link}"));
    format!(
        "{position:3} {role:10} {:?} `{text}` => {} {:?}{reason}{chain}",
        entry.zone,
        content(argument, &entry.content),
        entry.scope
    )
}

fn print(out: &mut impl Write, draft: &str, outline: &Outline) -> std::io::Result<()> {
    for argument in &outline.arguments {
        writeln!(out, "=== {:?}", argument.title)?;
        if let Some(aim) = &argument.aim {
            writeln!(
                out,
                "  aim: {} :: {:?}",
                aim.text,
                aim.assertion.as_ref().map(assertion)
            )?;
        }
        if let Some(term) = &argument.error {
            writeln!(out, "  error: {}", error(term))?;
        }
        for given in &argument.givens {
            writeln!(
                out,
                "  given {} {:?}: {} {}",
                given.name,
                given.kind,
                conditions(&given.conditions),
                given.unread.as_deref().unwrap_or_default()
            )?;
        }
        for (position, entry) in argument.entries.iter().enumerate() {
            writeln!(out, "{}", line(draft, argument, position, entry))?;
        }
    }
    Ok(())
}

fn main() -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    for path in std::env::args().skip(1) {
        let draft = std::fs::read_to_string(&path)?;
        let format = if path.ends_with(".tex") {
            source::Format::Latex
        } else {
            source::Format::Markdown
        };
        let document = source::read(&draft, format, &source::Companions::new());
        let outline = argument::read(&draft, &document, &Convention::default());
        writeln!(out, "##### {path}")?;
        print(&mut out, &draft, &outline)?;
    }
    Ok(())
}
