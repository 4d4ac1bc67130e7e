//! A chart as scalable vectors: one text without fonts, links or scripts.
//!
//! The page allows no styles inside its elements, so colours are attributes: the drawing library
//! writes each role as a colour of its own, which is then replaced by what the page's style sets.

use super::{Axis, Chart, Entry, INKS, Ink, Line, Mark, Sample, Shape, number, raised};
use crate::report::escape::one_line;
use plotters::chart::ChartContext;
use plotters::coord::ranged1d::ValueFormatter;
use plotters::coord::{CoordTranslate, Shift};
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

/// Units of the drawing in one unit of its size on a page: the library rounds to whole units.
const FINE: i32 = 4;

/// Size on a page, in units of the page.
const WIDTH: i32 = 680;
const HEIGHT: i32 = 320;

/// Size of a file of its own: what a hover has room for.
const ALONE: (i32, i32) = (578, 272);

/// What of the width is left for the key.
const KEY: i32 = 190;

/// Sizes of letters.
const LETTERS: i32 = 13;
const SMALL: i32 = 11;

/// Height of a line of the key, and of its smaller second line.
const ROW: i32 = 19;
const MORE: i32 = 15;

/// Roles of colours, as the drawing library writes them.
const PLAIN: u8 = 1;
const FAINT: u8 = 2;
const GRID: u8 = 3;
const PAPER: u8 = 4;
const CURVES: u8 = 16;
const DASHES: u8 = 32;
const DASHED_PLAIN: u8 = 48;

/// Colours where no style sets them, on light and on dark paper.
const LIGHT: [&str; INKS] = ["#b06a00", "#a3216b", "#2c5fb0", "#12161c"];
const DARK: [&str; INKS] = ["#e3a64a", "#f08cc0", "#8fb9f5", "#f2f4f7"];

/// The drawing for a page: its parts without the frame, which [`on_page`] repeats around uses of
/// it, and whose size is `0 0 w h`.
pub(crate) struct Drawing {
    /// The parts.
    pub(crate) body: String,
    /// The frame's `viewBox`.
    pub(crate) view: String,
}

/// The chart for a page that styles it; `None` if it cannot be drawn.
pub(crate) fn on_page(chart: &Chart) -> Option<Drawing> {
    // Between ends that hardly differ there is no room for ticks.
    let wide = |axis: &Axis| {
        let size = axis.from.abs().max(axis.to.abs());
        axis.from.is_finite() && axis.to.is_finite() && size * 1e-9 < axis.to - axis.from
    };
    if !wide(&chart.across) || !wide(&chart.up) {
        return None;
    }
    let body = styled(&drawn(chart)?);
    let view = format!("0 0 {} {}", WIDTH * FINE, HEIGHT * FINE);
    Some(Drawing { body, view })
}

/// The chart as a file of its own, on paper of its own; `None` if it cannot be drawn. Its colours
/// are those of light paper; a style that simpler viewers may leave aside turns them over.
pub(crate) fn alone(chart: &Chart) -> Option<String> {
    let Drawing { mut body, view } = on_page(chart)?;
    let mut names = vec![
        ("var(--paper)".to_owned(), "#fdfdfb", "#15181d"),
        ("currentColor".to_owned(), "#1d2129", "#e4e6ea"),
        ("var(--faint)".to_owned(), "#575e6b", "#a7aebb"),
        ("var(--line)".to_owned(), "#d5d8dd", "#3a414b"),
    ];
    for (number, (light, dark)) in LIGHT.into_iter().zip(DARK).enumerate() {
        names.push((format!("var(--curve-{number})"), light, dark));
    }
    let mut turned = String::new();
    for (name, light, dark) in &names {
        body = body.replace(&format!("\"{name}\""), &format!("\"{light}\""));
        for side in ["fill", "stroke"] {
            turned.push_str(&format!("[{side}=\"{light}\"]{{{side}:{dark}}}"));
        }
    }
    Some(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}\" height=\"{}\" \
         viewBox=\"{view}\" role=\"img\" aria-labelledby=\"title about\">\
         <title id=\"title\">{}</title><desc id=\"about\">{}</desc>\
         <style>@media (prefers-color-scheme:dark){{{turned}}}</style>\
         <rect width=\"100%\" height=\"100%\" fill=\"{}\"/>{body}</svg>",
        ALONE.0,
        ALONE.1,
        escaped(&chart.title),
        escaped(&chart.description),
        names[0].1,
    ))
}

fn escaped(text: &str) -> String {
    one_line(text)
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

fn role(red: u8) -> RGBColor {
    RGBColor(red, 0, 0)
}

fn ink_role(ink: Ink, dashed: bool) -> RGBColor {
    // There are fewer inks than a byte holds.
    let number = |own: usize| u8::try_from(own % INKS).unwrap_or(0);
    role(match (ink, dashed) {
        (None, false) => PLAIN,
        (None, true) => DASHED_PLAIN,
        (Some(own), false) => CURVES + number(own),
        (Some(own), true) => DASHES + number(own),
    })
}

/// The drawing with its roles replaced by what a style sets.
fn styled(drawn: &str) -> String {
    let mut text = drawn.to_owned();
    let written = |own: u8| format!("\"#{own:02X}0000\"");
    let dash = format!("stroke-dasharray=\"{} {}\"", 6 * FINE, 4 * FINE);
    for (own, colour) in [
        (PLAIN, "\"currentColor\"".to_owned()),
        (FAINT, "\"var(--faint)\"".to_owned()),
        (GRID, "\"var(--line)\"".to_owned()),
        (PAPER, "\"var(--paper)\"".to_owned()),
        (DASHED_PLAIN, format!("\"currentColor\" {dash}")),
    ] {
        text = text.replace(&written(own), &colour);
    }
    for number in 0..INKS {
        let (curve, dashed) = (ink_role(Some(number), false), ink_role(Some(number), true));
        text = text.replace(&written(curve.0), &format!("\"var(--curve-{number})\""));
        let broken = format!("\"var(--curve-{number})\" {dash}");
        text = text.replace(&written(dashed.0), &broken);
    }
    text.replace(" opacity=\"1\"", "")
}

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;

/// What the drawing library writes, without its frame.
fn drawn(chart: &Chart) -> Option<String> {
    let mut text = String::new();
    {
        let size = [WIDTH, HEIGHT].map(|own| u32::try_from(own * FINE).unwrap_or(0));
        let root = SVGBackend::with_string(&mut text, (size[0], size[1])).into_drawing_area();
        let (left, right) = root.split_horizontally((WIDTH - KEY) * FINE);
        let mut builder = ChartBuilder::on(&left);
        builder
            .margin_top(10 * FINE)
            .margin_left(4 * FINE)
            .margin_bottom(5 * FINE)
            .margin_right(14 * FINE)
            .x_label_area_size(42 * FINE)
            .y_label_area_size(62 * FINE);
        let (across, up) = (&chart.across, &chart.up);
        let places = if chart.logarithmic {
            let across = (across.from..across.to).log_scale();
            let up = (up.from..up.to).log_scale();
            fill(builder.build_cartesian_2d(across, up).ok()?, chart)?
        } else {
            let (across, up) = (across.from..across.to, up.from..up.to);
            fill(builder.build_cartesian_2d(across, up).ok()?, chart)?
        };
        // Outside of the axes' area nothing of a mark at its border is cut off.
        for (Mark { shape, ink, .. }, place) in chart.marks.iter().zip(places) {
            mark(&root, *shape, *ink, place)?;
        }
        key(&right, &chart.key)?;
        root.present().ok()?;
    }
    let inside = text.split_once('>')?.1;
    Some(inside.rsplit_once("</svg>")?.0.replace('\n', ""))
}

fn letters(size: i32, colour: u8) -> TextStyle<'static> {
    TextStyle {
        color: role(colour).to_backend_color(),
        ..TextStyle::from(("sans-serif", size * FINE).into_font())
    }
}

fn width_of(ink: Ink) -> u32 {
    // The further the index, the stronger the line: the order is seen without colours.
    let own = ink.map_or(5, |own| 5 + 2 * own % (2 * INKS));
    u32::try_from(own).unwrap_or(5)
}

/// Draws axes and lines; the places of the marks.
fn fill<X, Y>(
    mut context: ChartContext<'_, SVGBackend<'_>, Cartesian2d<X, Y>>,
    chart: &Chart,
) -> Option<Vec<(i32, i32)>>
where
    X: Ranged<ValueType = f64> + ValueFormatter<f64>,
    Y: Ranged<ValueType = f64> + ValueFormatter<f64>,
{
    let tick = |value: &f64| {
        if chart.logarithmic {
            power_of_ten(*value)
        } else {
            number(*value)
        }
    };
    let labels = if chart.logarithmic { 4 } else { 6 };
    context
        .configure_mesh()
        .x_labels(labels)
        .y_labels(labels)
        .max_light_lines(0)
        .set_all_tick_mark_size(6 * FINE)
        .bold_line_style(role(GRID).stroke_width(3))
        .light_line_style(role(GRID).stroke_width(2))
        .axis_style(role(PLAIN).stroke_width(5))
        .x_label_style(letters(SMALL, FAINT))
        .y_label_style(letters(SMALL, FAINT))
        .axis_desc_style(letters(LETTERS, PLAIN))
        .x_desc(one_line(&chart.across.label))
        .y_desc(one_line(&chart.up.label))
        .x_label_formatter(&tick)
        .y_label_formatter(&tick)
        .draw()
        .ok()?;
    for Line { dots, ink, dashed } in &chart.lines {
        let width = if *dashed { 5 } else { width_of(*ink) };
        let style = ink_role(*ink, *dashed).stroke_width(width);
        let dots = dots.iter().map(|own| (own[0], own[1]));
        context.draw_series(LineSeries::new(dots, style)).ok()?;
    }
    let area = context.plotting_area();
    let place = |own: &Mark| area.as_coord_spec().translate(&(own.at[0], own.at[1]));
    Some(chart.marks.iter().map(place).collect())
}

fn power_of_ten(value: f64) -> String {
    let power = format!("{:.0}", value.log10());
    match power.as_str() {
        "0" | "-0" => "1".to_owned(),
        "1" => "10".to_owned(),
        power => format!("10{}", raised(power)),
    }
}

fn mark(area: &Area<'_>, shape: Shape, ink: Ink, at: (i32, i32)) -> Option<()> {
    let colour = ink_role(ink, false);
    let size = 4 * FINE;
    match shape {
        Shape::Full => area.draw(&Circle::new(at, size, colour.filled())),
        Shape::Open => area
            .draw(&Circle::new(at, size, role(PAPER).filled()))
            .and_then(|()| area.draw(&Circle::new(at, size, colour.stroke_width(6)))),
        Shape::Diamond => {
            let size = size + FINE;
            let (x, y) = at;
            let corners = vec![(x, y - size), (x + size, y), (x, y + size), (x - size, y)];
            area.draw(&Polygon::new(corners, colour.filled()))
        }
    }
    .ok()
}

/// The key, from top to bottom.
fn key(area: &Area<'_>, entries: &[Entry]) -> Option<()> {
    let (sample, words) = (26 * FINE, 34 * FINE);
    let left = Pos::new(HPos::Left, VPos::Center);
    let mut y = 20 * FINE;
    for entry in entries {
        match entry.sample {
            Sample::Line { dashed } => {
                let width = if dashed { 5 } else { width_of(entry.ink) };
                let style = ink_role(entry.ink, dashed).stroke_width(width);
                area.draw(&PathElement::new(vec![(0, y), (sample, y)], style))
                    .ok()?;
            }
            Sample::Mark(shape) => mark(area, shape, entry.ink, (sample / 2, y))?,
        }
        let style = letters(LETTERS, PLAIN).pos(left);
        area.draw(&Text::new(one_line(&entry.text), (words, y), style))
            .ok()?;
        if !entry.more.is_empty() {
            y += MORE * FINE;
            let style = letters(SMALL, FAINT).pos(left);
            area.draw(&Text::new(one_line(&entry.more), (words, y), style))
                .ok()?;
        }
        y += ROW * FINE;
    }
    Some(())
}
