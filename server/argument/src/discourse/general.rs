//! Names that may mean several things: sequences that stand for any until an example takes them
//! for its own, names that get another value on the way, and clauses that do not say of which
//! sequence they speak.

use super::building::Frame;
use super::doubt::{PLAIN, announces_list, doubted, is_unreal, lists};
use super::entry::{Context, Proto, Reader};
use super::lexicon::{Family, as_set};
use super::outline::{Assertion, Content, ErrorTerm, Perhaps, Role, Zone};
use super::phrase::Family as Phrase;
use super::shape;
use super::token::{Mark, Token};
use super::utterance::{Mode, Utterance};
use crate::notation::syntax::{Sign, Statement, StatementKind, Term, TermKind};
use crate::notation::walk;
use kernel::{Condition, Expr, Kind, Node, Relation, Symbol};
use source::Span;
use std::collections::{BTreeMap, BTreeSet};

/// What an argument says of its names, before any value is known.
#[derive(Clone, Debug, Default)]
pub(super) struct Meanings {
    /// The paragraph at hand.
    paragraph: usize,
    /// In which paragraph a name that stands for any sequence was last taken for a certain one.
    examples: BTreeMap<(Symbol, usize), usize>,
    /// Sequences are put together: g ∘ f_n, f_n², Σ f_n.
    composed: bool,
    /// How the items of a list are said that words before it announce, and where the last one ends.
    announced_list: Option<(Mode, usize)>,
    /// The argument is titled as an example or a remark.
    example: bool,
    /// The paragraph speaks of an example, or of something else than the argument.
    exemplary: bool,
    /// The paragraph supposes something else than the argument: "And if c > 3? Then …".
    supposes: bool,
    /// What words of the paragraph say of names that its formulas do not.
    unsaid: Unsaid,
    /// What the paragraph took names for, and those that it took for several things.
    taken: BTreeMap<Symbol, Expr>,
    several: BTreeSet<Symbol>,
}

/// Conditions that are told by words, whose names are not told.
#[derive(Clone, Copy, Debug, Default)]
struct Unsaid {
    /// "for odd indices"
    parity: bool,
    /// "call the larger one x", "without loss of generality"
    order: bool,
    /// "for large n", "eventually"
    large: bool,
}

/// How large an index is that is certainly large.
const LARGE: i64 = 24;

/// Words of a paragraph that speaks of an example, or of another function than the argument's.
const EXEMPLARY: [&str; 22] = [
    "example",
    "examples",
    "instance",
    "eg",
    "counterexample",
    "remark",
    "application",
    "instead",
    "consider",
    "take",
    "try",
    "compare",
    "other",
    "another",
    "without",
    "here",
    "dropped",
    "necessary",
    "needed",
    "fails",
    "superfluous",
    "starts",
];

/// Words behind which an equation is claimed and gives no name another meaning.
const ASSERTING: [&str; 22] = [
    "clearly",
    "obviously",
    "evidently",
    "formula",
    "gives",
    "yields",
    "obtain",
    "get",
    "so",
    "hence",
    "thus",
    "therefore",
    "then",
    "calculate",
    "compute",
    "rewrite",
    "simplify",
    "have",
    "since",
    "because",
    "equals",
    "induction",
];

impl Reader<'_> {
    /// Finds the names that the statement uses for any sequence: a value that the text gives them
    /// later, in another block, is an example's.
    pub(super) fn survey_meanings(&mut self, frame: &Frame) {
        self.meanings.example = frame.title.as_ref().is_some_and(|title| {
            let title = title.to_lowercase();
            ["example", "remark", "application"]
                .iter()
                .any(|word| title.contains(word))
        });
        let mut used: BTreeMap<Symbol, usize> = BTreeMap::new();
        let mut given: BTreeMap<Symbol, usize> = BTreeMap::new();
        for placed in &frame.sentences {
            let block = placed.sentence.block;
            for token in placed.sentence.tokens.iter().filter_map(Token::statement) {
                let statement = &token.statement;
                self.meanings.composed |= composes(statement);
                if let Some(name) = valued(statement) {
                    given.entry(name).or_insert(block);
                }
                if placed.zone == Zone::Statement {
                    for name in sequences(statement) {
                        used.entry(name).or_insert(block);
                    }
                }
            }
        }
        for (name, block) in used {
            let anew = given.get(&name).is_none_or(|given| *given > block);
            let known = self.lexicon.defines(&name, 1) || self.lexicon.is_recursive(&name);
            if anew && !known {
                self.lexicon.general.insert(name);
            }
        }
    }

    /// Whether the name stands for any sequence or function in what is stated.
    pub(super) fn is_general(&self, name: &Symbol) -> bool {
        self.lexicon.general.contains(name)
    }

    /// The error term of a sequence that stands for any, whatever an example took it for.
    pub(super) fn general_error(&self, uniform: bool) -> Option<ErrorTerm> {
        let family = self.lexicon.family.as_ref()?;
        let unknown = family.term.unknown_functions().contains(&family.name);
        if unknown || !self.is_general(&family.name) {
            return None;
        }
        let mut arguments = vec![Expr::variable(&family.index)];
        let points: Vec<Expr> = family.points.iter().map(Expr::variable).collect();
        arguments.extend(points.iter().cloned());
        let any = Family {
            term: Node::Apply(family.name.clone(), arguments).into(),
            ..family.clone()
        };
        let limit = if points.is_empty() {
            Expr::variable(&family.name)
        } else {
            Node::Apply(family.name.clone(), points).into()
        };
        Some(self.lexicon.error_term(&any, &limit, uniform))
    }

    /// "Let (x_n) be a Cauchy sequence": any such sequence, whatever stood under the name before.
    pub(super) fn sequences_anew(&self, context: &Context<'_>) -> Vec<Symbol> {
        let words: Vec<&str> = context.tokens.iter().filter_map(Token::word).collect();
        let introduces = words.windows(2).any(|pair| {
            matches!(pair[0], "be" | "a" | "any")
                && matches!(
                    pair[1],
                    "cauchy" | "convergent" | "bounded" | "monotone" | "sequence" | "null"
                )
        });
        let same = words
            .iter()
            .any(|word| matches!(*word, "above" | "as" | "before" | "defined" | "given"));
        if !introduces || same {
            return Vec::new();
        }
        context
            .in_mode(Mode::Let)
            .filter_map(|(_, utterance)| match &context.statement(utterance)?.kind {
                StatementKind::Term(Term {
                    kind: TermKind::Sequence { term, .. } | TermKind::Group(term),
                    ..
                }) => shape::head_name(term),
                _ => None,
            })
            .map(|name| Symbol::new(&name.base))
            .filter(|base| {
                self.lexicon
                    .definition(base, 1)
                    .is_some_and(|definition| definition.parameters.len() == 1)
            })
            .collect()
    }

    /// A sentence begins: what its paragraph supposes.
    pub(super) fn begin_meanings(&mut self, tokens: &[Token], zone: Zone, opens_paragraph: bool) {
        if opens_paragraph {
            self.meanings.paragraph += 1;
            self.meanings.supposes = false;
            self.meanings.exemplary = false;
            self.meanings.unsaid = Unsaid::default();
            self.meanings.taken.clear();
            self.meanings.several.clear();
        }
        for word in tokens.iter().filter_map(Token::word) {
            let unsaid = &mut self.meanings.unsaid;
            unsaid.parity |= matches!(word, "odd" | "even" | "parity" | "alternately");
            unsaid.order |= matches!(word, "larger" | "smaller" | "wlog" | "loss" | "symmetry");
            unsaid.large |= matches!(word, "eventually" | "ultimately");
        }
        let words: Vec<&str> = tokens.iter().filter_map(Token::word).collect();
        // "for large n", "n is large", "large enough", but not "how large is it".
        self.meanings.unsaid.large |= words.windows(2).any(|pair| {
            pair[1] == "large" && matches!(pair[0], "sufficiently" | "for" | "all" | "is" | "are")
                || pair == ["large", "enough"]
        });
        self.meanings.exemplary |= tokens
            .iter()
            .filter_map(Token::word)
            .any(|word| EXEMPLARY.contains(&word));
        let asks = tokens.iter().any(|token| token.is(Mark::Question));
        let mut words = tokens.iter().filter_map(Token::word);
        self.meanings.supposes |= zone != Zone::Statement
            && asks
            && words.any(|word| matches!(word, "if" | "suppose" | "instead" | "were" | "had"));
    }

    /// What the words of the paragraph may say of the names of a claim: each must leave it false
    /// before it is called false.
    pub(super) fn unsaid(&self, names: &BTreeSet<Symbol>) -> Vec<Perhaps> {
        let unsaid = self.meanings.unsaid;
        let kind = |name: &&Symbol| self.lexicon.vocabulary.kind(name);
        let indices: Vec<Expr> = names
            .iter()
            .filter(|name| kind(name) == Some(Kind::Integer))
            .map(Expr::variable)
            .collect();
        let points: Vec<Expr> = names
            .iter()
            .filter(|name| kind(name) == Some(Kind::Real))
            .map(Expr::variable)
            .collect();
        let mut found = Vec::new();
        for index in &indices {
            let halves = |shift: i64| {
                let shifted = index.plus(&Expr::integer(shift));
                Condition::Integer(shifted.over(&Expr::integer(2)))
            };
            if unsaid.parity {
                found.push(Perhaps::Within(vec![halves(0)]));
                found.push(Perhaps::Within(vec![halves(1)]));
            }
        }
        if unsaid.large && !indices.is_empty() {
            let large = |index: &Expr| {
                Condition::Holds(index.clone(), Relation::GreaterEqual, Expr::integer(LARGE))
            };
            found.push(Perhaps::Within(indices.iter().map(large).collect()));
        }
        if let ([one, other], true) = (points.as_slice(), unsaid.order) {
            for (low, high) in [(one, other), (other, one)] {
                let ordered = Condition::Holds(low.clone(), Relation::LessEqual, high.clone());
                found.push(Perhaps::Within(vec![ordered]));
            }
        }
        found
    }

    /// Notes which names the sentence took for examples.
    pub(super) fn note_examples(&mut self, context: &Context<'_>) {
        if context.zone == Zone::Statement {
            return;
        }
        for ahead in &context.defined {
            let Some(definition) = self.lexicon.definitions.get(ahead.definition) else {
                continue;
            };
            let (name, value) = (&definition.name, &definition.value);
            let before = self.meanings.taken.insert(name.clone(), value.clone());
            if before.is_some_and(|before| before != *value) {
                self.meanings.several.insert(name.clone());
            }
            if self.lexicon.general.contains(&definition.name) {
                self.meanings.examples.insert(
                    (definition.name.clone(), definition.subscripts),
                    self.meanings.paragraph,
                );
            }
        }
    }

    /// How the sentence is said if it is an item of a list that words before it announce: "suppose
    /// that", "show the following".
    pub(super) fn announced(&self, span: Span) -> Option<Mode> {
        let (mode, end) = self.meanings.announced_list?;
        let between = self.draft.get(end..span.start);
        between.is_some_and(lists).then_some(mode)
    }

    /// Notes whether the sentence announces a list, or goes on with one.
    pub(super) fn note_announcement(&mut self, tokens: &[Token], span: Span) {
        // The first item may have been joined to the words before the list.
        let borders = tokens
            .iter()
            .enumerate()
            .filter(|(_, token)| token.is(Mark::Border))
            .map(|(at, _)| at);
        let begins = borders
            .chain([tokens.len()])
            .find_map(|end| announces_list(&tokens[..end]));
        let mode = begins.or_else(|| self.announced(span));
        self.meanings.announced_list = mode.map(|mode| (mode, span.end));
    }

    /// Why the meaning of what the sentence claims is not told beyond doubt.
    pub(super) fn open_meaning(
        &self,
        context: &Context<'_>,
        position: usize,
    ) -> Option<&'static str> {
        if context.zone != Zone::Statement && is_unreal(context.tokens) {
            return Some("its sentence speaks of what would be");
        }
        if self.meanings.supposes {
            return Some("the question before it supposes something else");
        }
        let proto = &self.protos[position];
        let utterance = proto
            .utterance
            .and_then(|utterance| context.reading.utterances.get(utterance));
        // "We can find N such that N > 1/ε", "N = 5 is enough": that is what a choice says.
        let claimed = utterance.filter(|_| proto.entry.role != Some(Role::Choice));
        if let Some(doubt) = doubted(context, claimed) {
            return Some(doubt);
        }
        if matches!(
            proto.entry.content,
            Content::Assertion(Assertion::Calculus(_))
        ) && names_a_mapping(context)
        {
            return Some("its sentence names a function of its own");
        }
        if self.is_at_a_member(context) {
            return Some("it is said of points that are told by a sequence");
        }
        let statement = utterance.and_then(|utterance| context.statement(utterance));
        if let Some(statement) = statement
            && self.is_of_no_example(statement)
        {
            return Some("its sequence stands for any here, not for the example's");
        }
        let denies = match &proto.entry.content {
            Content::Assertion(Assertion::Convergence { negated, .. }) => *negated,
            Content::Assertion(Assertion::Series { diverges, .. }) => *diverges,
            Content::Assertion(Assertion::Limit { negated, .. }) => *negated,
            _ => return None,
        };
        if proto.utterance.is_some() {
            return None;
        }
        let in_points = match &proto.entry.content {
            Content::Assertion(
                Assertion::Convergence { error, .. } | Assertion::Series { terms: error, .. },
            ) => error.uniform && !error.points.is_empty(),
            _ => false,
        };
        if (denies || in_points) && self.names_sets_apart(context, proto)
            || denies && self.may_mean_another(context)
        {
            return Some("which sequence is meant, and where, is not told beyond doubt");
        }
        let span = proto.entry.span;
        let clause = || {
            context
                .tokens
                .iter()
                .filter(|token| span.contains(token.span))
        };
        let plain = clause()
            .filter_map(Token::word)
            .all(|word| PLAIN.contains(&word) || word.chars().count() == 1);
        let primed = clause().filter_map(Token::statement).any(|token| {
            shape::names_of(&token.statement)
                .iter()
                .any(|name| name.primes > 0)
        });
        (denies && !plain || primed).then_some("it may say more than was understood of its words")
    }

    /// "At x_n = ln n this is at least 1": of x it speaks at these points only.
    fn is_at_a_member(&self, context: &Context<'_>) -> bool {
        context.in_mode(Mode::Range).any(|(_, utterance)| {
            let restriction = context.statement(utterance).and_then(shape::restriction);
            restriction.is_some_and(|restriction| {
                restriction.names.iter().any(|name| {
                    self.lexicon.names.is_member(name)
                        && self.lexicon.points().contains(&Symbol::new(&name.base))
                })
            })
        })
    }

    /// "On [0, ∞) the convergence is still pointwise, but no longer uniform": a set in another clause
    /// of the sentence, which is not where the points are known to live.
    fn names_sets_apart(&self, context: &Context<'_>, proto: &Proto) -> bool {
        let mut apart = false;
        let sets = context
            .in_mode(Mode::Range)
            .filter(|(_, utterance)| {
                let set = context.statement(utterance).and_then(shape::first_term);
                set.is_some_and(|set| shape::is_set(&as_set(set)))
            })
            .chain(context.in_mode(Mode::Domain));
        for (_, utterance) in sets {
            let within = context
                .tokens
                .get(utterance.token)
                .is_some_and(|token| proto.entry.span.contains(token.span));
            if within {
                return false;
            }
            apart |= context
                .statement(utterance)
                .and_then(shape::first_term)
                .is_some_and(|set| !self.is_known_domain(&as_set(set)));
        }
        apart
    }

    /// Whether a formula speaks of a sequence that stands for any, while an example has taken the
    /// name for its own in another paragraph.
    fn is_of_no_example(&self, statement: &Statement) -> bool {
        shape::names_of(statement).iter().any(|name| {
            let subscripts = usize::from(name.subscript.is_some());
            self.meanings
                .examples
                .get(&(Symbol::new(&name.base), subscripts))
                .is_some_and(|paragraph| *paragraph != self.meanings.paragraph)
        })
    }

    /// Whether a clause that names no sequence may speak of another than the argument's own.
    fn may_mean_another(&self, context: &Context<'_>) -> bool {
        let named = context
            .reading
            .utterances
            .iter()
            .filter_map(|utterance| context.statement(utterance))
            .any(|statement| match &statement.kind {
                StatementKind::Term(term) => self.lexicon.family_of(term).is_some(),
                _ => false,
            });
        let mut families: BTreeSet<&Symbol> = BTreeSet::new();
        for definition in &self.lexicon.definitions {
            if definition.subscripts == 1
                && definition.parameters.len() > 1
                && self.is_at_hand(&definition.name)
            {
                families.insert(&definition.name);
            }
        }
        // "f_n' converges, but not uniformly": of the derivatives.
        let derivatives = || {
            self.aims
                .iter()
                .any(|aim| aim.text.contains(['\'', '\u{2032}']))
        };
        !named && (self.meanings.composed || families.len() > 1 || derivatives())
    }

    /// The name to which an equation may give another meaning: it stands alone on the left, and
    /// nothing says that the equation follows from anything.
    pub(super) fn renames(&self, context: &Context<'_>, position: usize) -> Option<Symbol> {
        let proto = &self.protos[position];
        let at = proto.utterance?;
        let utterance = context.reading.utterances.get(at)?;
        let statement = context.statement(utterance)?;
        let asserted = proto.entry.drawn
            || context.tokens[..utterance.token]
                .iter()
                .filter_map(Token::word)
                .any(|word| ASSERTING.contains(&word))
            || utterance.verb.is_some_and(|verb| {
                matches!(verb, Phrase::Assert | Phrase::Therefore | Phrase::Implies)
            });
        let defined = context.defined.iter().any(|ahead| ahead.utterance == at);
        // "With u = kt …, that is, u = 1": which value an abbreviation takes.
        let link = shape::links(statement).first()?;
        if !defined
            && matches!(
                link.right.as_ref().map(|right| &right.kind),
                Some(TermKind::Number(_))
            )
            && let Some((name, parameters, 0)) =
                self.lexicon.definable(shape::first_term(statement)?)
            && parameters.is_empty()
            && let Some(known) = self.lexicon.definition(&name, 0)
            && known.parameters.is_empty()
            && !known.value.variables().is_empty()
        {
            return Some(name);
        }
        if asserted || defined || utterance.mode != Mode::Claim {
            return None;
        }
        if link.sign != Sign::Relation(Relation::Equal) {
            return None;
        }
        let first = shape::first_term(statement)?;
        // "Other starts: u_0 = 3".
        if let Some(name) = shape::bare_name(first)
            && let Some(TermKind::Number(digits)) =
                name.subscript.as_deref().map(|subscript| &subscript.kind)
            && self
                .lexicon
                .recursive
                .get(&Symbol::new(&name.base))
                .is_some_and(|known| known.starts_at(digits))
        {
            return Some(Symbol::new(&name.base));
        }
        let (name, _, subscripts) = self.lexicon.definable(first)?;
        let known = self.lexicon.definition(&name, subscripts)?;
        let between = self.draft.get(known.span.end..context.span.start);
        let elsewhere = (self.meanings.exemplary || self.meanings.example)
            && between.is_none_or(|between| between.contains("\n\n"));
        (elsewhere || self.is_auxiliary(&name)).then_some(name)
    }

    /// Names that the sentence, or its paragraph before, gives more than one value: "√t: s_n = …; t sin t: s_n = …".
    pub(super) fn several_meanings(&self, context: &Context<'_>) -> Vec<Symbol> {
        let mut names: Vec<&Symbol> = context
            .defined
            .iter()
            .filter_map(|ahead| self.lexicon.definitions.get(ahead.definition))
            .map(|definition| &definition.name)
            .collect();
        names.sort();
        names
            .windows(2)
            .filter(|pair| pair[0] == pair[1])
            .map(|pair| pair[0].clone())
            .chain(self.meanings.several.iter().cloned())
            .collect()
    }

    /// Whether the name was given its value in the proof, in passing.
    fn is_auxiliary(&self, name: &Symbol) -> bool {
        self.protos.iter().any(|proto| {
            proto.entry.zone == Zone::Proof
                && proto.entry.role == Some(Role::Definition)
                && matches!(proto.entry.content, Content::Definition(definition)
                    if self.lexicon.definitions.get(definition)
                        .is_some_and(|definition| definition.name == *name))
        })
    }

    /// Whether an equation says anew what a name that stands for any sequence is in an example.
    pub(super) fn exemplifies(
        &self,
        context: &Context<'_>,
        utterance: &Utterance,
        (name, subscripts): (&Symbol, usize),
    ) -> bool {
        let elsewhere = self
            .meanings
            .examples
            .get(&(name.clone(), subscripts))
            .is_none_or(|paragraph| *paragraph != self.meanings.paragraph);
        context.zone != Zone::Statement
            && utterance.mode == Mode::Claim
            && !utterance.therefore
            && elsewhere
            && self.is_general(name)
    }
}

/// The name that a statement gives a value, or tells something of by an equation.
fn valued(statement: &Statement) -> Option<Symbol> {
    let first = match &statement.kind {
        StatementKind::MapsTo {
            name: Some(name), ..
        } => return shape::head_name(name).map(|name| Symbol::new(&name.base)),
        _ => shape::first_term(statement)?,
    };
    let link = shape::links(statement).first()?;
    if !matches!(link.sign, Sign::Defines | Sign::Relation(Relation::Equal)) {
        return None;
    }
    let head = match &first.kind {
        TermKind::Sequence { term, .. } => shape::head_name(term),
        _ => shape::application(first)
            .map(|(name, _)| name)
            .or_else(|| shape::bare_name(first)),
    }?;
    Some(Symbol::new(&head.base))
}

/// The sequences that a statement names: f_n, f_n(x), (a_n).
fn sequences(statement: &Statement) -> Vec<Symbol> {
    shape::names_of(statement)
        .iter()
        .filter(|name| {
            name.subscript
                .as_deref()
                .and_then(shape::bare_name)
                .is_some_and(|index| {
                    index.base.chars().all(char::is_lowercase) && index.subscript.is_none()
                })
        })
        .map(|name| Symbol::new(&name.base))
        .collect()
}

/// Whether a statement makes something else of a sequence: squares, sums, compositions.
fn composes(statement: &Statement) -> bool {
    let indexed = |term: &Term| {
        shape::head_name(term).is_some_and(|name| {
            name.subscript
                .as_deref()
                .and_then(shape::bare_name)
                .is_some()
        })
    };
    let mut found = false;
    walk::statement_terms(statement, &mut |term| {
        found |= match &term.kind {
            TermKind::Series { .. } => true,
            TermKind::Power(base, _) => indexed(base),
            _ => shape::application(term).is_some_and(|(name, arguments)| {
                name.primes == 0
                    && arguments.iter().any(|argument| {
                        shape::application(argument)
                            .is_some_and(|(inner, _)| inner.subscript.is_some())
                    })
            }),
        };
    });
    found
}

/// "The function y ↦ y² e^{−y} has the derivative …, which is positive on (0, 2)".
fn names_a_mapping(context: &Context<'_>) -> bool {
    context
        .reading
        .utterances
        .iter()
        .filter_map(|utterance| context.statement(utterance))
        .any(|statement| matches!(statement.kind, StatementKind::MapsTo { .. }))
}
