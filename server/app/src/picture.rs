//! Pictures as plain data, drawn as vectors for pages and editors that show them, and in
//! characters for all others.

mod error;
mod letters;
mod vector;

pub(crate) use error::{caption, charts};
pub(crate) use letters::letters;
pub(crate) use vector::{Drawing, alone, on_page};

/// A point: across, up.
pub(crate) type Dot = [f64; 2];

/// A picture.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Chart {
    /// What it is, in one line.
    pub(crate) title: String,
    /// What is to be seen, for those who do not see it.
    pub(crate) description: String,
    /// The axes.
    pub(crate) across: Axis,
    /// From bottom to top.
    pub(crate) up: Axis,
    /// Whether both axes are logarithmic.
    pub(crate) logarithmic: bool,
    /// Lines, the lowest first.
    pub(crate) lines: Vec<Line>,
    /// Marked points.
    pub(crate) marks: Vec<Mark>,
    /// What lines and marks mean.
    pub(crate) key: Vec<Entry>,
}

/// An axis.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Axis {
    /// What it counts.
    pub(crate) label: String,
    /// Its first value; positive on a logarithmic one.
    pub(crate) from: f64,
    /// Its last value.
    pub(crate) to: f64,
}

/// Which of the curves something belongs to, from 0; `None`: to none.
pub(crate) type Ink = Option<usize>;

/// Curves that have an ink of their own.
pub(crate) const INKS: usize = 4;

/// A connected line.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Line {
    /// Its points from left to right.
    pub(crate) dots: Vec<Dot>,
    /// Its ink.
    pub(crate) ink: Ink,
    /// Whether it is broken into dashes.
    pub(crate) dashed: bool,
}

/// A marked point.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Mark {
    /// Where.
    pub(crate) at: Dot,
    /// How.
    pub(crate) shape: Shape,
    /// Its ink.
    pub(crate) ink: Ink,
}

/// The shape of a mark.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Shape {
    /// A disc.
    Full,
    /// A circle.
    Open,
    /// A square that stands on its corner.
    Diamond,
}

/// An entry of the key.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Entry {
    /// What it explains.
    pub(crate) sample: Sample,
    /// In which ink.
    pub(crate) ink: Ink,
    /// What it means.
    pub(crate) text: String,
    /// More, in a line of its own; may be empty.
    pub(crate) more: String,
}

/// What an entry of the key explains.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Sample {
    /// A line.
    Line {
        /// Whether it is dashed.
        dashed: bool,
    },
    /// A mark.
    Mark(Shape),
}

/// A number with three digits that matter.
pub(crate) fn number(value: f64) -> String {
    let size = value.abs();
    if size == 0.0 {
        return "0".to_owned();
    }
    let text = if (1e-3..1e5).contains(&size) {
        #[allow(clippy::cast_possible_truncation)]
        let before = size.log10().floor() as i32;
        let places = usize::try_from(2 - before).unwrap_or(0);
        let text = format!("{value:.places$}");
        if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        } else {
            text
        }
    } else {
        let text = format!("{value:.2e}");
        let (digits, power) = text.split_once('e').unwrap_or((&text, "0"));
        let digits = if digits.contains('.') {
            digits.trim_end_matches('0').trim_end_matches('.')
        } else {
            digits
        };
        let power = raised(power);
        match digits {
            "1" => format!("10{power}"),
            digits => format!("{digits}·10{power}"),
        }
    };
    text.replace('-', "−")
}

/// Digits and signs as exponents.
pub(crate) fn raised(text: &str) -> String {
    let high = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    text.chars()
        .map(|own| match own {
            '-' | '−' => '⁻',
            own => own
                .to_digit(10)
                .map_or(own, |digit| high[digit as usize % high.len()]),
        })
        .collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
