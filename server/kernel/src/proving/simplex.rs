//! Exact linear feasibility: non-negative rational solutions of linear equations.
//!
//! A first run in floating point finds the few columns that matter; only they are solved exactly.

use crate::fuel::Fuel;
use crate::recheck::Signed;
use dashu::rational::RBig;

/// A column: rows and coefficients, in ascending order of rows.
pub(super) type Column = Vec<(usize, RBig)>;

/// Solves Σ x_j column_j = right, x ≥ 0; gives the positive x_j.
pub(super) fn solve(
    columns: &[Column],
    right: &[RBig],
    fuel: &mut Fuel<'_>,
) -> Option<Vec<(usize, RBig)>> {
    let active = presolve(columns, right);
    let rows = used_rows(columns, &active, right)?;
    let support = super::rough::support(columns, &active, &rows, right, fuel)?;
    if let Some(found) = exact(columns, &support, right, fuel) {
        return Some(found);
    }
    // Rounding may have hidden a column; small systems are solved exactly as a whole.
    if rows.len() * active.len() <= SMALL {
        return exact(columns, &active, right, fuel);
    }
    None
}

/// Entries of a tableau up to which the exact method runs on all columns.
const SMALL: usize = 1200;

/// The rows that occur; none if a row without columns has a right side other than 0.
fn used_rows(columns: &[Column], active: &[usize], right: &[RBig]) -> Option<Vec<usize>> {
    let mut used = vec![false; right.len()];
    for &j in active {
        for (i, _) in &columns[j] {
            used[*i] = true;
        }
    }
    if (0..right.len()).any(|i| !used[i] && !right[i].is_zero()) {
        return None;
    }
    Some((0..right.len()).filter(|i| used[*i]).collect())
}

fn exact(
    columns: &[Column],
    chosen: &[usize],
    right: &[RBig],
    fuel: &mut Fuel<'_>,
) -> Option<Vec<(usize, RBig)>> {
    let rows = used_rows(columns, chosen, right)?;
    let mut tableau = Tableau::new(columns, chosen, &rows, right);
    tableau.run(fuel)?;
    tableau.solution().map(|all| {
        all.into_iter()
            .map(|(place, value)| (chosen[place], value))
            .collect()
    })
}

/// Columns that may be positive: in a row with right side 0 whose coefficients all have one
/// sign, every column must be 0.
fn presolve(columns: &[Column], right: &[RBig]) -> Vec<usize> {
    let mut active: Vec<bool> = vec![true; columns.len()];
    loop {
        let mut positive = vec![false; right.len()];
        let mut negative = vec![false; right.len()];
        for (column, _) in columns.iter().zip(&active).filter(|(_, on)| **on) {
            for (row, value) in column {
                if value.is_positive() {
                    positive[*row] = true;
                } else {
                    negative[*row] = true;
                }
            }
        }
        let mut changed = false;
        for (column, on) in columns.iter().zip(active.iter_mut()).filter(|(_, on)| **on) {
            let dead = column.iter().any(|(row, value)| {
                if value.is_positive() {
                    !right[*row].is_positive() && !negative[*row]
                } else {
                    !right[*row].is_negative() && !positive[*row]
                }
            });
            if dead {
                *on = false;
                changed = true;
            }
        }
        if !changed {
            return (0..columns.len()).filter(|j| active[*j]).collect();
        }
    }
}

/// Phase one: a basis of artificial variables whose sum is driven to 0.
struct Tableau {
    /// One row an equation; the last entry is the right side.
    rows: Vec<Vec<RBig>>,
    /// Reduced costs of the sum of the artificial variables; the last entry is that sum.
    cost: Vec<RBig>,
    basis: Vec<usize>,
    width: usize,
}

impl Tableau {
    fn new(columns: &[Column], active: &[usize], rows: &[usize], right: &[RBig]) -> Self {
        let width = active.len();
        let mut table = vec![vec![RBig::ZERO; width + 1]; rows.len()];
        let mut place = vec![usize::MAX; right.len()];
        for (own, row) in rows.iter().enumerate() {
            place[*row] = own;
            table[own][width] = right[*row].clone();
        }
        for (own, j) in active.iter().enumerate() {
            for (row, value) in &columns[*j] {
                table[place[*row]][own] = value.clone();
            }
        }
        let mut cost = vec![RBig::ZERO; width + 1];
        for row in &mut table {
            if row[width].is_negative() {
                for value in row.iter_mut() {
                    *value = -&*value;
                }
            }
            for (sum, value) in cost.iter_mut().zip(row.iter()) {
                *sum += value;
            }
        }
        let basis = (0..rows.len()).map(|i| width + i).collect();
        Self {
            rows: table,
            cost,
            basis,
            width,
        }
    }

    fn run(&mut self, fuel: &mut Fuel<'_>) -> Option<()> {
        let patience = 4 * (self.rows.len() + 10);
        for pivot in 0.. {
            if self.cost[self.width].is_zero() {
                return Some(());
            }
            let size = self.rows.len() * self.width / 60 + 1;
            if !fuel.take(u64::try_from(size).unwrap_or(u64::MAX)) {
                return None;
            }
            let positive = (0..self.width).filter(|j| self.cost[*j].is_positive());
            let entering = if pivot < patience {
                positive.max_by(|a, b| self.cost[*a].cmp(&self.cost[*b]).then(b.cmp(a)))
            } else {
                positive.min()
            }?;
            let leaving = (0..self.rows.len())
                .filter(|i| self.rows[*i][entering].is_positive())
                .min_by(|a, b| {
                    let ratio = |i: usize| &self.rows[i][self.width] / &self.rows[i][entering];
                    ratio(*a)
                        .cmp(&ratio(*b))
                        .then(self.basis[*a].cmp(&self.basis[*b]))
                })?;
            self.pivot(leaving, entering);
        }
        None
    }

    fn pivot(&mut self, leaving: usize, entering: usize) {
        let factor = self.rows[leaving][entering].clone();
        for value in &mut self.rows[leaving] {
            if !value.is_zero() {
                *value /= &factor;
            }
        }
        let row = self.rows[leaving].clone();
        let clear = |other: &mut Vec<RBig>| {
            let factor = other[entering].clone();
            if factor.is_zero() {
                return;
            }
            for (value, own) in other.iter_mut().zip(&row) {
                if !own.is_zero() {
                    *value -= &factor * own;
                }
            }
        };
        for (place, other) in self.rows.iter_mut().enumerate() {
            if place != leaving {
                clear(other);
            }
        }
        clear(&mut self.cost);
        self.basis[leaving] = entering;
    }

    fn solution(&self) -> Option<Vec<(usize, RBig)>> {
        let mut all = Vec::new();
        for (row, own) in self.rows.iter().zip(&self.basis) {
            let value = &row[self.width];
            if value.is_zero() {
                continue;
            }
            if *own >= self.width {
                return None;
            }
            all.push((*own, value.clone()));
        }
        Some(all)
    }
}
