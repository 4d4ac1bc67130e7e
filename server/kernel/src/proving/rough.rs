//! The simplex method in floating point: which columns a solution may need.

use super::simplex::Column;
use crate::fuel::Fuel;
use dashu::rational::RBig;

/// What counts as 0.
const TINY: f64 = 1e-9;
/// A sum of artificial variables below this counts as feasible.
const FEASIBLE: f64 = 1e-7;

/// The columns of a rough non-negative solution of Σ x_j column_j = right.
pub(super) fn support(
    columns: &[Column],
    active: &[usize],
    rows: &[usize],
    right: &[RBig],
    fuel: &mut Fuel<'_>,
) -> Option<Vec<usize>> {
    let mut tableau = Rough::new(columns, active, rows, right);
    tableau.run(fuel)?;
    let mut all: Vec<usize> = tableau
        .basis
        .iter()
        .zip(&tableau.rows)
        .filter(|(own, row)| **own < tableau.width && row[tableau.width] > TINY)
        .map(|(own, _)| active[*own])
        .collect();
    all.sort_unstable();
    Some(all)
}

struct Rough {
    /// One row an equation; the last entry is the right side.
    rows: Vec<Vec<f64>>,
    /// Reduced costs of the sum of the artificial variables.
    cost: Vec<f64>,
    basis: Vec<usize>,
    width: usize,
}

impl Rough {
    fn new(columns: &[Column], active: &[usize], rows: &[usize], right: &[RBig]) -> Self {
        let width = active.len();
        let mut table = vec![vec![0.0; width + 1]; rows.len()];
        let mut place = vec![usize::MAX; right.len()];
        for (own, row) in rows.iter().enumerate() {
            place[*row] = own;
            table[own][width] = right[*row].to_f64_fast();
        }
        for (own, j) in active.iter().enumerate() {
            let size = columns[*j]
                .iter()
                .map(|(_, value)| value.to_f64_fast().abs())
                .fold(0.0, f64::max);
            for (row, value) in &columns[*j] {
                table[place[*row]][own] = value.to_f64_fast() / size;
            }
        }
        let mut cost = vec![0.0; width + 1];
        for row in &mut table {
            if row[width] < 0.0 {
                for value in row.iter_mut() {
                    *value = -*value;
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
        for pivot in 0..4 * patience {
            if self.cost[self.width] < FEASIBLE {
                return Some(());
            }
            let size = self.rows.len() * self.width / 2500 + 1;
            if !fuel.take(u64::try_from(size).unwrap_or(u64::MAX)) {
                return None;
            }
            let promising = (0..self.width).filter(|j| self.cost[*j] > TINY);
            let entering = if pivot < patience {
                promising.max_by(|a, b| self.cost[*a].total_cmp(&self.cost[*b]).then(b.cmp(a)))
            } else {
                promising.min()
            }?;
            let leaving = (0..self.rows.len())
                .filter(|i| self.rows[*i][entering] > TINY)
                .min_by(|a, b| {
                    let ratio = |i: usize| self.rows[i][self.width] / self.rows[i][entering];
                    ratio(*a)
                        .total_cmp(&ratio(*b))
                        .then(self.basis[*a].cmp(&self.basis[*b]))
                })?;
            self.pivot(leaving, entering);
        }
        None
    }

    fn pivot(&mut self, leaving: usize, entering: usize) {
        let factor = self.rows[leaving][entering];
        for value in &mut self.rows[leaving] {
            *value /= factor;
        }
        let row = self.rows[leaving].clone();
        let clear = |other: &mut Vec<f64>| {
            let factor = other[entering];
            if factor == 0.0 {
                return;
            }
            for (value, own) in other.iter_mut().zip(&row) {
                *value -= factor * own;
                if value.abs() < 1e-13 {
                    *value = 0.0;
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
}
