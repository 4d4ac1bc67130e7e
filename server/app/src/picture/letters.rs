//! A chart in characters, for editors that draw no pictures.

use super::{Axis, Chart, Dot, Ink, Line, Mark, Sample, Shape, number};
use crate::report::escape::one_line;

/// Columns and rows of the plot itself.
const COLUMNS: usize = 60;
const ROWS: usize = 16;

/// Signs of the curves.
const CURVES: [char; super::INKS] = ['a', 'b', 'c', 'd'];

/// The chart in lines of characters; the key stands below.
pub(crate) fn letters(chart: &Chart) -> String {
    let mut grid = vec![vec![' '; COLUMNS]; ROWS];
    // Bounds lie below curves, and marks above them.
    let (dashed, solid): (Vec<&Line>, Vec<&Line>) = chart.lines.iter().partition(|own| own.dashed);
    for line in dashed.into_iter().chain(solid) {
        for column in 0..COLUMNS {
            trace(chart, line, column, &mut grid);
        }
    }
    for Mark { at, shape, .. } in &chart.marks {
        put(chart, *at, sign_of(*shape), &mut grid);
    }
    let ticks = [
        chart.up.to,
        middle(&chart.up, chart.logarithmic),
        chart.up.from,
    ]
    .map(number);
    let wide = ticks
        .iter()
        .map(|own| own.chars().count())
        .max()
        .unwrap_or(0);
    let mut text = format!("{}\n", one_line(&chart.up.label));
    for (row, cells) in grid.iter().enumerate() {
        let tick = match row {
            0 => &ticks[0],
            row if row == ROWS / 2 => &ticks[1],
            row if row + 1 == ROWS => &ticks[2],
            _ => "",
        };
        let border = if tick.is_empty() { '│' } else { '┤' };
        let cells: String = cells.iter().collect();
        text.push_str(&format!("{tick:>wide$} {border}{}\n", cells.trim_end()));
    }
    let (from, to) = (number(chart.across.from), number(chart.across.to));
    let gap = COLUMNS.saturating_sub(from.chars().count() + to.chars().count());
    text.push_str(&format!("{:wide$} └{}\n", "", "─".repeat(COLUMNS)));
    text.push_str(&format!(
        "{:wide$}  {from}{}{to}   {}\n",
        "",
        " ".repeat(gap),
        one_line(&chart.across.label)
    ));
    for entry in &chart.key {
        let sign = match entry.sample {
            Sample::Line { dashed } => sign_of_line(entry.ink, dashed),
            Sample::Mark(shape) => sign_of(shape),
        };
        let more = if entry.more.is_empty() {
            String::new()
        } else {
            format!(": {}", entry.more)
        };
        text.push_str(&format!(
            "{sign}  {}\n",
            one_line(&format!("{}{more}", entry.text))
        ));
    }
    text
}

fn sign_of(shape: Shape) -> char {
    match shape {
        Shape::Full => '●',
        Shape::Open => '○',
        Shape::Diamond => '◆',
    }
}

fn sign_of_line(ink: Ink, dashed: bool) -> char {
    match (ink, dashed) {
        (_, true) => '┄',
        (Some(own), false) => CURVES[own % CURVES.len()],
        (None, false) => '·',
    }
}

fn middle(axis: &Axis, logarithmic: bool) -> f64 {
    // The row in the middle stands a little below the middle.
    at_share(axis, 1.0 - share_of(ROWS / 2, ROWS), logarithmic)
}

#[allow(clippy::cast_precision_loss)]
fn share_of(cell: usize, cells: usize) -> f64 {
    cell as f64 / (cells - 1) as f64
}

fn at_share(axis: &Axis, share: f64, logarithmic: bool) -> f64 {
    if logarithmic {
        axis.from * (axis.to / axis.from).powf(share)
    } else {
        axis.from + (axis.to - axis.from) * share
    }
}

fn share(axis: &Axis, value: f64, logarithmic: bool) -> f64 {
    if logarithmic {
        (value / axis.from).ln() / (axis.to / axis.from).ln()
    } else {
        (value - axis.from) / (axis.to - axis.from)
    }
}

/// The cell at a share of the way; `None` outside.
fn cell(share: f64, cells: usize) -> Option<usize> {
    #[allow(clippy::cast_precision_loss)]
    let place = (share * (cells - 1) as f64).round();
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let inside = (0.0..cells as f64)
        .contains(&place)
        .then_some(place as usize);
    inside
}

fn put(chart: &Chart, at: Dot, sign: char, grid: &mut [Vec<char>]) {
    let column = cell(share(&chart.across, at[0], chart.logarithmic), COLUMNS);
    let row = cell(1.0 - share(&chart.up, at[1], chart.logarithmic), ROWS);
    if let Some((column, row)) = column.zip(row) {
        grid[row][column] = sign;
    }
}

/// The part of a line within a column.
fn trace(chart: &Chart, line: &Line, column: usize, grid: &mut [Vec<char>]) {
    if line.dashed && column % 2 == 1 {
        return;
    }
    let x = at_share(&chart.across, share_of(column, COLUMNS), chart.logarithmic);
    let width = 1e-9 * (chart.across.to - chart.across.from);
    let pair = line
        .dots
        .windows(2)
        .find(|pair| pair[0][0] - width <= x && x <= pair[1][0] + width);
    let Some([left, right]) = pair.and_then(|pair| <[Dot; 2]>::try_from(pair).ok()) else {
        return;
    };
    let part = if right[0] > left[0] {
        ((x - left[0]) / (right[0] - left[0])).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let up = left[1] + part * (right[1] - left[1]);
    put(chart, [x, up], sign_of_line(line.ink, line.dashed), grid);
}
