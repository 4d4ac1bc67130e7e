//! The kernel: decides mathematical claims about reals and integers, and never guesses.
//!
//! `refuting` alone may find a claim false, `proving` alone may find it true; both only propose.
//! What they propose becomes evidence in [`recheck`], the one maker of [`Certificate`] and
//! [`Counterexample`]. It uses nothing of the searches, only types of numbers and expressions; the
//! searches try their steps in its [`recheck::Context`], and hand over data.

pub mod algebra;
pub mod calculus;
pub mod decide;
pub mod expr;
pub mod fuel;
pub mod goal;
pub mod integral;
pub mod limits;
pub mod numerics;
pub mod proving;
pub mod recheck;
pub mod record;
pub mod refuting;
pub mod show;
pub mod verdict;

pub use decide::decide;
pub use expr::{Condition, Constant, Expr, Function, Node, Relation, Symbol};
pub use fuel::{Budget, Fuel};
pub use goal::{Goal, Hypothesis, Kind, Origin, Problem, Variable};
pub use verdict::{Certificate, Counterexample, Obstacle, Point, Reason, SideValue, Verdict};
