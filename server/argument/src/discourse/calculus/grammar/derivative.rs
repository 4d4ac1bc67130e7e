//! Derivatives: "the derivative of f_n is …", "differentiating gives …", "setting f_n'(x) = 0 gives …".

use super::{About, Cursor, ITS, Item, Said, Says, derived, is_derivative_zero, is_zero};
use crate::notation::syntax::{Sign, StatementKind};
use kernel::Relation;

impl<'a> Cursor<'_, 'a> {
    fn by_variable(&mut self) {
        let _ = self.attempt(|cursor| {
            cursor.word(&["with"]);
            cursor.word(&["respect", "by", "in"]).then_some(())?;
            cursor.word(&["to"]);
            cursor.term()
        });
    }

    /// "setting f_n'(x) = 0 gives x = 1/n"
    pub(super) fn set_to_zero(&mut self) -> Option<Said<'a>> {
        let picks = self.word(&["setting", "set", "equating", "putting", "put"]);
        let begins = picks || self.word(&["solving", "solve", "from", "solution", "solutions"]);
        begins.then_some(())?;
        let loose = self.words(&[&["equation"]]);
        self.word(&["to"]);
        let about = match self.peek() {
            Some(Item::Formula(statement)) if is_derivative_zero(statement).is_some() => {
                self.formula();
                About::Derivative(is_derivative_zero(statement)?)
            }
            _ => {
                let about = self.slope();
                let named = self.word(&["it", "this"]) || about.is_some() || picks;
                (named && !loose && self.equated_to_zero())
                    .then_some(about.unwrap_or(About::Unnamed))?
            }
        };
        let found = self.attempt(|cursor| {
            cursor.commas();
            cursor.word(&["and"]);
            // "solving for x"
            let _ = cursor.attempt(|cursor| {
                cursor.word(&["solving"]);
                cursor.word(&["for"]).then_some(())?;
                cursor.term()
            });
            cursor.word(&[
                "gives", "yields", "obtain", "get", "gets", "obtains", "leads", "shows", "implies",
                "means", "results", "follows", "have", "forces", "is", "are",
            ]);
            if matches!(cursor.peek(), Some(Item::Implies | Item::Equivalent)) {
                cursor.at += 1;
            }
            cursor.word(&["to", "in"]);
            cursor.word(&["only", "critical"]);
            cursor.word(&["critical", "solution"]);
            cursor.word(&["point", "points"]);
            let places = cursor.places(false)?;
            Some(Says::Zeros { places, only: true })
        });
        Some((about, None, found.unwrap_or(Says::Nothing)))
    }

    fn equated_to_zero(&mut self) -> bool {
        self.attempt(|cursor| {
            cursor.word(&["equal", "equals", "is"]);
            cursor.word(&["to"]);
            if cursor.word(&["zero", "0"]) {
                return Some(());
            }
            let term = cursor.term()?;
            is_zero(term).then_some(())
        })
        .is_some()
    }

    /// "the derivative of f_n is …", "differentiating f_n gives …"
    pub(super) fn derivative(&mut self) -> Option<Said<'a>> {
        let about = if self.word(&["differentiating", "differentiation", "differentiate"]) {
            let about = self.attempt(|cursor| {
                cursor.word(&["function"]);
                let term = cursor.term()?;
                derived(term).is_none().then_some(About::Function(term))
            });
            self.by_variable();
            let _ = self.attempt(|cursor| {
                cursor.word(&["by", "using", "with"]).then_some(())?;
                cursor.word(&["quotient", "product", "chain", "power"]);
                cursor.word(&["rule"]).then_some(())
            });
            self.commas();
            self.word(&["and"]);
            self.word(&[
                "gives", "yields", "obtain", "get", "obtains", "gets", "shows", "results",
                "produces", "leads", "have",
            ])
            .then_some(())?;
            self.word(&["to", "in"]);
            about.unwrap_or(About::Unnamed)
        } else if let Some(about) = self.attempt(|cursor| {
            let owner = cursor.owner().or_else(|| cursor.defined_owner())?;
            cursor
                .words(&[&["has"], &["derivative"]])
                .then_some(About::Function(owner))
        }) {
            about
        } else {
            let about = self.attempt(|cursor| {
                if cursor.word(&[ITS]) {
                    return cursor.owner_before();
                }
                cursor.word(&["derivative"]).then_some(())?;
                cursor.word(&["function"]);
                let term = cursor.attempt(|cursor| {
                    let term = cursor.term()?;
                    derived(term).is_none().then_some(term)
                });
                Some(term.map_or(About::Unnamed, About::Function))
            })?;
            self.by_variable();
            self.word(&["is", "equals", "reads", "becomes", "comes"])
                .then_some(())?;
            self.words(&[&["given"], &["by"]]);
            self.word(&["equal"]);
            self.word(&["out", "as", "to"]);
            about
        };
        self.commas();
        let value = match self.peek()? {
            Item::Formula(statement) => match &statement.kind {
                StatementKind::Term(term) => {
                    self.formula();
                    term
                }
                // "Differentiating gives A = B": the chain is read as a chain, too.
                StatementKind::Chain {
                    first: Some(first),
                    links,
                } if derived(first).is_none()
                    && matches!(links.first()?.sign, Sign::Relation(Relation::Equal)) =>
                {
                    self.at += 1;
                    first
                }
                _ => return None,
            },
            _ => return None,
        };
        if is_zero(value) || derived(value).is_some() {
            return None;
        }
        // "… times a factor", "up to sign".
        let left_open = matches!(
            self.peek(),
            Some(Item::Word(
                "up" | "times"
                    | "multiplied"
                    | "plus"
                    | "at"
                    | "for"
                    | "when"
                    | "on"
                    | "where"
                    | "only"
                    | "everywhere"
                    | "is"
                    | "has"
            ))
        );
        (!left_open).then_some((about, None, Says::Derivative(value)))
    }
}
