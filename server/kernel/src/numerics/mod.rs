//! Numbers with errors under control: elementary functions, intervals, exact values, the batch
//! evaluator.

mod assignment;
mod big;
mod compare;
mod condition;
mod elementary;
mod elementary_big;
mod enclose;
mod exact;
mod exact_eval;
mod interval;
mod power;
mod scalar;
pub mod second_opinion;
mod series;
mod special;
pub mod tape;

pub use assignment::{Assignment, Value};
pub use compare::{
    Enclosure, LADDER, Precision, compare, definedness, enclose, equal, truth, truth_at,
};
pub use enclose::{Definedness, Truth};
pub use exact::{Exact, evaluate as exact};

#[cfg(test)]
mod tests;
