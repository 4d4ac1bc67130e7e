//! Names and their arguments: variables, definitions unfolded, unknown functions, derivatives.

use super::vocabulary::{Meaning, symbol};
use super::{Elaborator, Failure};
use crate::limits::UNFOLDED_NODES;
use crate::notation::convention::Pattern;
use crate::notation::syntax::{Name, Term, TermKind};
use kernel::{Constant, Expr, Kind, Node, Symbol};

/// Letters that mean a function before parentheses where the draft does not tell.
const FUNCTION_LETTERS: &[&str] = &["f", "g", "h", "F", "G", "φ", "ψ", "s", "S", "u"];

/// Whether an undeclared letter is usually a function.
pub(super) fn is_function_letter(base: &str) -> bool {
    FUNCTION_LETTERS.contains(&base)
}

/// Letters of thresholds and bounds.
const THRESHOLD_LETTERS: &[&str] = &["N", "δ", "K", "M"];

/// Letters of tolerances.
const TOLERANCE_LETTERS: &[&str] = &["ε", "η", "δ"];

/// How a threshold's letter stands before a bracket.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Dependence {
    /// `N(ε)`, `δ(ε, x)`: the bracket tells what it depends on; nobody puts a single letter into
    /// parentheses to multiply.
    Shown,
    /// `N(ε/2)`: a value of a function N, or a product.
    Unclear,
}

/// Whether a bracket behind a threshold's name shows what it depends on.
pub(super) fn dependence(name: &Name, bracket: &Term) -> Option<Dependence> {
    let index_name = matches!(name.base.as_str(), "n" | "k" | "m") && name.subscript.is_some();
    if !index_name && !THRESHOLD_LETTERS.contains(&name.base.as_str()) {
        return None;
    }
    let bare = |term: &Term| matches!(term.kind, TermKind::Name(_));
    let all_bare = match &bracket.kind {
        TermKind::List(items) => items.iter().all(bare),
        _ => bare(bracket),
    };
    if all_bare {
        return Some(Dependence::Shown);
    }
    let mut tolerance = false;
    crate::notation::walk::terms(bracket, &mut |inner| {
        if let TermKind::Name(name) = &inner.kind {
            tolerance |= TOLERANCE_LETTERS.contains(&name.base.as_str());
        }
    });
    let sum = matches!(bracket.kind, TermKind::Sum(_));
    (tolerance && !sum).then_some(Dependence::Unclear)
}

/// Why an undeclared name before a bracket is neither a product nor an unknown function.
fn no_product(name: &Name) -> Option<String> {
    match name.base.as_str() {
        "O" | "o" | "𝓞" => Some("the order symbols O and o are not read".to_owned()),
        "Γ" | "ζ" => Some(format!("the function {} is not read", name.base)),
        base if base.chars().filter(|c| c.is_alphanumeric()).count() > 1 => {
            Some(format!("the function {base} is not known here"))
        }
        _ => None,
    }
}

impl Elaborator<'_> {
    /// Refuses brackets behind undeclared names that stand for functions which nobody defines.
    pub(super) fn check_application(&self, name: &Name, at: &Term) -> Result<(), Failure> {
        let declared = self.vocabulary.is_declared(&symbol(name))
            || self.vocabulary.is_declared(&Symbol::new(&name.base));
        match no_product(name) {
            Some(reason) if !declared => Err(Failure::at(at, reason)),
            _ => Ok(()),
        }
    }

    /// `A(x)` with an undeclared A: nobody puts a single letter into parentheses to multiply.
    pub(super) fn applies_to_letter(&self, name: &Name, bracket: &Term) -> bool {
        let declared = self.vocabulary.is_declared(&symbol(name))
            || self.vocabulary.is_declared(&Symbol::new(&name.base));
        let constant = name.base == "e";
        !declared && !constant && matches!(bracket.kind, TermKind::Name(_))
    }

    /// Whether a name applies to the bracket behind it.
    pub(super) fn applies(&self, name: &Name) -> bool {
        let own = symbol(name);
        let base = Symbol::new(&name.base);
        if let Some(found) = self.own_meaning(name, &own) {
            return found.subscripts() == Some(0) && found.arguments() != Some(0);
        }
        let count = index_count(name);
        let known = self.vocabulary.meanings(&base);
        let fits = |meaning: &&Meaning| {
            let wanted = meaning.indices();
            wanted == count || name.superscript.is_some() && wanted == count + 1
        };
        if let Some(found) = known.iter().find(fits) {
            return found.arguments() != Some(0);
        }
        if known.iter().any(|meaning| meaning.arguments() != Some(0)) {
            // `f(x)` beside a declared `f_n(x)`.
            return true;
        }
        if base.as_str() == "e" {
            return false;
        }
        if name.primes > 0 {
            return true;
        }
        is_function_letter(&name.base) != self.convention.takes_second(Pattern::NameParenthesis)
    }

    /// What the full spelling means, if it differs from the base and is declared, or has no
    /// marks and is declared.
    fn own_meaning(&self, name: &Name, own: &Symbol) -> Option<&Meaning> {
        let count = index_count(name);
        let marked = name.subscript.is_some() || name.superscript.is_some() || name.primes > 0;
        let found = self.vocabulary.meanings(own);
        if marked {
            found.first()
        } else {
            found.iter().find(|meaning| meaning.indices() == count)
        }
    }

    /// A name without arguments.
    pub(super) fn name(&self, name: &Name, at: &Term) -> Result<Expr, Failure> {
        let own = symbol(name);
        match self.own_meaning(name, &own) {
            Some(Meaning::Variable(_)) => return Ok(Expr::variable(&own)),
            Some(Meaning::Set { .. }) => {
                return Err(Failure::at(
                    at,
                    format!("the set {own} stands where a number is expected"),
                ));
            }
            Some(meaning) if meaning.subscripts() == Some(0) => {
                return self.apply_meaning(&own, meaning, self.generic(meaning), at);
            }
            _ => {}
        }
        if own.as_str() == "e" {
            return Ok(Node::Constant(Constant::E).into());
        }
        let unmarked = name.subscript.is_none() && name.superscript.is_none() && name.primes == 0;
        if unmarked {
            if let Some(meaning) = self.vocabulary.meanings(&own).first() {
                return Err(Failure::at(at, misapplied(&own, meaning)));
            }
            return Ok(Expr::variable(&own));
        }
        self.marked(name, &own, None, at)
    }

    /// A name with arguments in parentheses.
    pub(super) fn applied(
        &self,
        name: &Name,
        arguments: Vec<Expr>,
        at: &Term,
    ) -> Result<Expr, Failure> {
        let own = symbol(name);
        if let Some(meaning) = self.own_meaning(name, &own)
            && meaning.subscripts() == Some(0)
        {
            return self.apply_meaning(&own, meaning, arguments, at);
        }
        self.marked(name, &own, Some(arguments), at)
    }

    /// The points at which a function without its arguments is taken, none if that is not told.
    fn generic(&self, meaning: &Meaning) -> Vec<Expr> {
        let points = self.vocabulary.points();
        if meaning.arguments() == Some(points.len()) {
            points.iter().map(Expr::variable).collect()
        } else {
            Vec::new()
        }
    }

    /// Whether a bracket holds functions without their arguments: `f_n (g_n − g)` is a product.
    pub(super) fn holds_functions(&self, bracket: &Term) -> bool {
        !self.vocabulary.points().is_empty()
            && self
                .under(&self.vocabulary.at_points(&[]))
                .value(bracket)
                .is_err()
    }

    /// A name with marks, or an undeclared function: which application it is.
    fn marked(
        &self,
        name: &Name,
        own: &Symbol,
        arguments: Option<Vec<Expr>>,
        at: &Term,
    ) -> Result<Expr, Failure> {
        let base = Symbol::new(&name.base);
        if matches!(name.subscript.as_deref(), Some(index) if matches!(index.kind, TermKind::Infinity))
        {
            // `f_∞` is no member of the sequence.
            return Ok(match arguments {
                Some(given) => Node::Apply(own.clone(), given).into(),
                None => Expr::variable(own),
            });
        }
        if let Some(exponent) = &name.superscript
            && let Some(power) = self.as_power(name, exponent, at)?
        {
            return Ok(power);
        }
        let (order, indices) = self.order_and_indices(name, at)?;
        let meaning = self
            .vocabulary
            .meanings(&base)
            .iter()
            .find(|meaning| meaning.subscripts() == Some(indices.len()));
        if let Some(meaning) = meaning {
            let mut all = indices;
            all.extend(arguments.unwrap_or_else(|| self.generic(meaning)));
            return if order == 0 {
                self.apply_meaning(&base, meaning, all, at)
            } else {
                self.derived(&base, meaning, all, order, at)
            };
        }
        let runs = indices.iter().any(|index| {
            index
                .variables()
                .iter()
                .any(|name| self.vocabulary.kind(name) == Some(Kind::Integer))
        });
        match arguments {
            Some(given) => {
                let mut all = indices;
                all.extend(given);
                let unknown = Meaning::Unknown {
                    subscripts: 0,
                    arguments: None,
                };
                if order == 0 {
                    Ok(Node::Apply(base, all).into())
                } else {
                    self.derived(&base, &unknown, all, order, at)
                }
            }
            None if runs && order == 0 => {
                // Beside S(x), S_N is the value of S_N at x, not that of S at N.
                let function = self
                    .vocabulary
                    .meanings(&base)
                    .iter()
                    .find(|meaning| meaning.subscripts() == Some(0));
                let points = function.map_or_else(Vec::new, |function| self.generic(function));
                if function.is_some_and(|function| function.arguments() != Some(points.len())) {
                    return Err(Failure::at(at, "its argument is not written"));
                }
                let mut all = indices;
                all.extend(points);
                Ok(Node::Apply(base, all).into())
            }
            None => Ok(Expr::variable(own)),
        }
    }

    /// `x^{(n+1)}` of a variable is a power; of a function it is an index or a derivative.
    fn as_power(&self, name: &Name, exponent: &Term, at: &Term) -> Result<Option<Expr>, Failure> {
        let plain = Name {
            superscript: None,
            ..name.clone()
        };
        let count = index_count(&plain);
        let known = self.vocabulary.meanings(&Symbol::new(&name.base));
        if known.iter().any(|meaning| meaning.indices() == count + 1) {
            return Ok(None);
        }
        let at_count = known.iter().find(|meaning| meaning.indices() == count);
        let own = self.vocabulary.meanings(&symbol(&plain)).first();
        let is_value = match own.or(at_count) {
            Some(meaning) => meaning.arguments() == Some(0),
            None => {
                known.iter().all(|meaning| meaning.arguments() == Some(0))
                    && !is_function_letter(&name.base)
            }
        };
        if !is_value {
            return Ok(None);
        }
        let value = self.name(&plain, at)?;
        let exponent = self.value(exponent)?;
        Ok(Some(super::value::power(&value, &exponent)))
    }

    /// The order of differentiation and the indices that a name's marks give.
    fn order_and_indices(&self, name: &Name, at: &Term) -> Result<(u32, Vec<Expr>), Failure> {
        let mut indices = match &name.subscript {
            Some(index) => self.index_values(index)?,
            None => Vec::new(),
        };
        let mut order = name.primes;
        if let Some(above) = &name.superscript {
            let base = Symbol::new(&name.base);
            let known = self.vocabulary.meanings(&base);
            let takes = |count: usize| {
                known
                    .iter()
                    .any(|meaning| meaning.subscripts() == Some(count))
            };
            let numeral = matches!(above.kind, TermKind::Number(_));
            // `f^{(2)}` beside a declared f is its second derivative, else the second f_n.
            let as_index = takes(indices.len() + 1) && !(numeral && takes(indices.len()));
            match &above.kind {
                TermKind::Number(digits) if !as_index => match digits.parse::<u32>() {
                    Ok(count) if count <= 8 => order += count,
                    _ => return Err(Failure::at(at, "a derivative of this order is not formed")),
                },
                _ => indices.extend(self.index_values(above)?),
            }
        }
        Ok((order, indices))
    }

    fn index_values(&self, index: &Term) -> Result<Vec<Expr>, Failure> {
        match &index.kind {
            TermKind::List(items) => items.iter().map(|item| self.value(item)).collect(),
            TermKind::Group(inner) => self.index_values(inner),
            _ => Ok(vec![self.value(index)?]),
        }
    }

    /// A function's value at the given indices and arguments.
    fn apply_meaning(
        &self,
        name: &Symbol,
        meaning: &Meaning,
        given: Vec<Expr>,
        at: &Term,
    ) -> Result<Expr, Failure> {
        match meaning {
            Meaning::Defined {
                parameters, value, ..
            } => {
                if parameters.len() != given.len() {
                    return Err(Failure::at(at, misapplied(name, meaning)));
                }
                unfolded(parameters, value, &given).ok_or_else(|| {
                    Failure::at(
                        at,
                        format!("the definition of {name} cannot be put in here"),
                    )
                })
            }
            Meaning::Unknown {
                subscripts,
                arguments,
            } => {
                let wanted = arguments.map(|count| count + subscripts);
                if wanted.is_some_and(|count| count != given.len()) || given.is_empty() {
                    return Err(Failure::at(at, misapplied(name, meaning)));
                }
                Ok(Node::Apply(name.clone(), given).into())
            }
            Meaning::Variable(_) | Meaning::Set { .. } => {
                Err(Failure::at(at, misapplied(name, meaning)))
            }
        }
    }

    /// The derivative of a function by its last argument, at the given place.
    fn derived(
        &self,
        name: &Symbol,
        meaning: &Meaning,
        mut given: Vec<Expr>,
        order: u32,
        at: &Term,
    ) -> Result<Expr, Failure> {
        let wanted = meaning
            .arguments()
            .map(|count| count + meaning.subscripts().unwrap_or(0));
        if wanted.is_some_and(|count| count != given.len()) || meaning.arguments() == Some(0) {
            return Err(Failure::at(at, misapplied(name, meaning)));
        }
        let Some(place) = given.pop() else {
            return Err(Failure::at(
                at,
                format!("{name}′ stands here without its argument"),
            ));
        };
        let variable = Symbol::new("·");
        given.push(Expr::variable(&variable));
        let body = self.apply_meaning(name, meaning, given.clone(), at)?;
        if let Some(derivative) = differentiated(&body, &variable, order) {
            return Ok(derivative.substitute(&variable, &place));
        }
        match place.as_variable() {
            Some(point)
                if order == 1
                    && !given[..given.len() - 1]
                        .iter()
                        .any(|other| other.mentions(point)) =>
            {
                Ok(Node::Derivative {
                    variable: point.clone(),
                    body: body.substitute(&variable, &place),
                }
                .into())
            }
            _ => Err(Failure::at(
                at,
                format!("the derivative of {name} at this place is not formed"),
            )),
        }
    }
}

/// The derivative of that order, where the kernel knows a formula.
pub(super) fn differentiated(body: &Expr, variable: &Symbol, order: u32) -> Option<Expr> {
    let mut value = kernel::calculus::without_derivatives(body)?;
    for _ in 0..order {
        value = kernel::calculus::differentiate(&value, variable)?;
        if value.exceeds(UNFOLDED_NODES) {
            return None;
        }
    }
    Some(value)
}

/// A definition's value with `given` for its parameters, all at once: a parameter's name inside
/// a given expression stays what it is outside. `None` if the result grows beyond the limit, or a
/// derivative inside cannot be carried to the new place.
fn unfolded(parameters: &[Symbol], value: &Expr, given: &[Expr]) -> Option<Expr> {
    let same = parameters
        .iter()
        .zip(given)
        .all(|(parameter, expr)| expr.as_variable() == Some(parameter));
    if same {
        return Some(value.clone());
    }
    let mut result = kernel::calculus::without_derivatives(value)?;
    let fresh: Vec<Symbol> = (0..parameters.len())
        .map(|index| Symbol::new(&format!("\u{1}{index}")))
        .collect();
    for (parameter, fresh) in parameters.iter().zip(&fresh) {
        result = result.substitute(parameter, &Expr::variable(fresh));
    }
    for (fresh, expr) in fresh.iter().zip(given) {
        result = result.substitute(fresh, expr);
        if result.exceeds(UNFOLDED_NODES) {
            return None;
        }
    }
    Some(result)
}

/// How many indices a name carries below.
fn index_count(name: &Name) -> usize {
    match name.subscript.as_deref().map(|index| &index.kind) {
        None => 0,
        Some(TermKind::List(items)) => items.len(),
        Some(_) => 1,
    }
}

fn misapplied(name: &Symbol, meaning: &Meaning) -> String {
    match meaning {
        Meaning::Variable(_) => format!("{name} is a number, not a function"),
        Meaning::Set { .. } => format!("{name} is a set, not a function"),
        _ => {
            let indices = meaning.subscripts().unwrap_or(0);
            let arguments = meaning.arguments();
            let indices = match indices {
                0 => String::new(),
                1 => " one index".to_owned(),
                more => format!(" {more} indices"),
            };
            let arguments = match arguments {
                Some(0) | None => String::new(),
                Some(1) => " one argument".to_owned(),
                Some(more) => format!(" {more} arguments"),
            };
            let and = if indices.is_empty() || arguments.is_empty() {
                ""
            } else {
                " and"
            };
            format!("{name} takes{indices}{and}{arguments}, written otherwise here")
        }
    }
}
