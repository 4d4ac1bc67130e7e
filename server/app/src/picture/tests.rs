//! Pictures of sequences that are studied for the purpose.

use super::*;
use kernel::expr::text;
use kernel::{Condition, Expr, Symbol};
use scratch::exercise::Subject;
use scratch::portrait::{Portrait, portrait};
use scratch::seek::{Asker, Family, Interval};
use std::sync::atomic::AtomicBool;

fn conditions(source: &str) -> Vec<Condition> {
    let letters = |name: &str| Some(vec![Expr::named(name)]);
    text::conditions(source, &letters).unwrap()
}

fn studied(source: &str, domain: &str) -> Portrait {
    let (x, n) = (Symbol::new("x"), Symbol::new("n"));
    let Some(Condition::Holds(_, _, term)) = conditions(&format!("u = {source}")).pop() else {
        panic!("{source} is no term");
    };
    let (of_point, others): (Vec<Condition>, Vec<Condition>) = conditions(domain)
        .into_iter()
        .partition(|condition| condition.variables().contains(&x));
    let refs: Vec<&Condition> = of_point.iter().collect();
    let subject = Subject {
        family: Family {
            point: term.mentions(&x).then(|| x.clone()),
            term,
            domain: Interval::of(&refs, &x, &n).unwrap(),
            index: n,
            first: 1,
            conditions: others,
        },
        limit: None,
        name: None,
        limit_name: None,
        used: Vec::new(),
    };
    let stop = AtomicBool::new(false);
    portrait(&subject, Asker { stop: &stop }).unwrap()
}

/// The first picture of a sequence.
fn first(source: &str, domain: &str) -> Chart {
    charts(&studied(source, domain)).remove(0)
}

/// The values of an attribute in the order of the text.
fn attributes<'a>(text: &'a str, element: &str, name: &str) -> Vec<&'a str> {
    let begin = format!("<{element} ");
    let own = format!(" {name}=\"");
    text.split(&begin)
        .skip(1)
        .filter_map(|rest| {
            let inside = &rest[..rest.find('>')?];
            let inside = &rest[..inside.len()];
            let value = inside
                .strip_prefix(own.trim_start())
                .or_else(|| inside.split_once(&own).map(|parts| parts.1))?;
            value.split('"').next()
        })
        .collect()
}

/// Corners of polylines.
fn corners(points: &str) -> Vec<[f64; 2]> {
    points
        .split_whitespace()
        .map(|pair| {
            let (x, y) = pair.split_once(',').unwrap();
            [x.parse().unwrap(), y.parse().unwrap()]
        })
        .collect()
}

/// A chart whose axes run from 0 to 1, with one line and one mark of each shape.
fn square() -> Chart {
    let axis = |label: &str| Axis {
        label: label.to_owned(),
        from: 0.0,
        to: 1.0,
    };
    let mark = |at, shape| Mark {
        at,
        shape,
        ink: Some(0),
    };
    Chart {
        title: "A <square>".to_owned(),
        description: "From \"corner\" to corner & back.".to_owned(),
        across: axis("x"),
        up: axis("y"),
        logarithmic: false,
        lines: vec![Line {
            dots: vec![[0.0, 0.0], [1.0, 1.0]],
            ink: Some(1),
            dashed: false,
        }],
        marks: vec![
            mark([0.0, 0.0], Shape::Full),
            mark([1.0, 1.0], Shape::Open),
            mark([0.5, 0.5], Shape::Diamond),
        ],
        key: Vec::new(),
    }
}

#[test]
fn marks_stand_at_their_coordinates() {
    let text = on_page(&square()).unwrap().body;
    let line = attributes(&text, "polyline", "points")
        .into_iter()
        .map(corners)
        .find(|own| own.len() == 2 && own[0][0] != own[1][0] && own[0][1] != own[1][1])
        .unwrap();
    let number = |own: &str| own.parse::<f64>().unwrap();
    let places: Vec<[f64; 2]> = attributes(&text, "circle", "cx")
        .into_iter()
        .map(number)
        .zip(attributes(&text, "circle", "cy").into_iter().map(number))
        .map(|(x, y)| [x, y])
        .collect();
    // A disc, and a circle on paper of its own.
    assert_eq!(places, [line[0], line[1], line[1]]);
    let diamond = corners(attributes(&text, "polygon", "points")[0]);
    let middle = [0, 1].map(|side| (diamond[0][side] + diamond[2][side]) / 2.0);
    let expected = [0, 1].map(|side| (line[0][side] + line[1][side]) / 2.0);
    assert!((0..2).all(|side| (middle[side] - expected[side]).abs() <= 1.0));
    // Up is up.
    assert!(line[1][1] < line[0][1] && line[0][0] < line[1][0]);
}

#[test]
fn a_file_of_its_own_needs_nothing_else() {
    let text = alone(&square()).unwrap();
    assert!(text.starts_with("<svg xmlns=") && text.ends_with("</svg>"));
    assert!(text.contains("<title id=\"title\">A &lt;square&gt;</title>"));
    assert!(text.contains("From &quot;corner&quot; to corner &amp; back."));
    assert!(text.contains("prefers-color-scheme:dark"));
    for outside in [
        "href",
        "url(",
        "@import",
        "<script",
        "<image",
        " style=",
        "font-face",
    ] {
        assert!(!text.contains(outside), "{outside}");
    }
    assert_eq!(text.matches("://").count(), 1, "the name space alone");
}

#[test]
fn every_colour_is_one_that_a_style_sets() {
    for (source, domain) in [("x^n", "0 <= x, x <= 1"), ("x/(1 + n*x)", "0 <= x, x <= 1")] {
        for chart in charts(&studied(source, domain)) {
            let text = on_page(&chart).unwrap().body;
            for name in ["fill", "stroke"] {
                let own = format!(" {name}=\"");
                for part in text.split(&own).skip(1) {
                    let colour = part.split('"').next().unwrap();
                    let styled = colour == "none"
                        || colour == "currentColor"
                        || colour.starts_with("var(--");
                    assert!(styled, "{colour}");
                }
            }
            assert!(text.len() <= crate::limits::PICTURE_BYTES);
        }
    }
}

#[test]
fn the_same_chart_gives_the_same_drawing() {
    let chart = first("sin(n*x)/n", "");
    assert_eq!(alone(&chart), alone(&chart.clone()));
    assert_eq!(letters(&chart), letters(&chart.clone()));
}

#[test]
fn curves_come_with_bounds_marks_and_a_key() {
    let chart = first("x/(1 + n*x)", "0 <= x, x <= 1");
    let dashed: Vec<&Line> = chart.lines.iter().filter(|own| own.dashed).collect();
    // The bound 1 of n = 1 lies above the picture and is named in the key alone.
    let levels: Vec<f64> = dashed.iter().map(|own| own.dots[0][1]).collect();
    assert_eq!(levels, [0.5, 0.2, 0.05]);
    assert_eq!(chart.marks.len(), 4);
    let key: Vec<String> = chart
        .key
        .iter()
        .map(|own| format!("{}: {}", own.text, own.more))
        .collect();
    assert_eq!(
        key,
        [
            "n = 1: sup 0.5, bound 1 (above)",
            "n = 2: sup 0.333, bound 0.5",
            "n = 5: sup 0.167, bound 0.2",
            "n = 20: sup 0.0476, bound 0.05",
            "greatest value: ",
            "a bound (majorant): a number without x",
        ]
    );
    assert!(
        chart
            .description
            .contains("over 0 ≤ x ≤ 1 for n = 1, 2, 5, 20.")
    );
}

#[test]
fn captions_say_what_a_picture_leaves_out() {
    for (source, domain, told) in [
        ("1/(n*x)", "0 < x, x <= 1", "leave the picture at the top"),
        ("x^2/(x^2 + n)", "", "goes on to the left and to the right"),
        (
            "a*x/n",
            "0 <= x, x <= 1, a > 0",
            "Drawn for a = 1; other values give other curves. The error",
        ),
        (
            "x^n",
            "0 <= x, x <= 1",
            "does not fall as n grows: it stays near 1",
        ),
        ("(1/2)^n", "", "no power of n fits"),
        ("x/(1 + n*x^2)", "", "falls about like 0.5·n^(−1/2)"),
    ] {
        let text = caption(&studied(source, domain));
        assert!(text.contains(told), "{source}: {text}");
    }
}

#[test]
fn letters_show_the_same() {
    let text = letters(&square());
    let rows: Vec<&str> = text.lines().collect();
    assert_eq!(rows[0], "y");
    // One row for each of 16 heights: a circle at the top right, a disc at the bottom left.
    assert!(
        rows[1].ends_with('○') && rows[1].starts_with("    1 ┤"),
        "{text}"
    );
    assert!(rows[16].contains("0 ┤●"), "{text}");
    assert_eq!(text.matches('◆').count(), 1);
    let curves = letters(&first("x/(1 + n*x)", "0 <= x, x <= 1"));
    assert!(
        curves.contains("\nb  n = 2: sup 0.333, bound 0.5\n"),
        "{curves}"
    );
    assert!(
        curves.lines().all(|row| row.chars().count() <= 80),
        "{curves}"
    );
}

#[test]
fn numbers_have_three_digits_that_matter() {
    for (value, text) in [
        (0.0, "0"),
        (1.0 / 3.0, "0.333"),
        (-2.5, "−2.5"),
        (1000.0, "1000"),
        (12345.0, "12345"),
        (2e5, "2·10⁵"),
        (1e-4, "10⁻⁴"),
        (0.00735, "0.00735"),
    ] {
        assert_eq!(number(value), text);
    }
}

#[test]
fn axes_of_any_size_are_drawn_or_refused() {
    for (from, to, drawn) in [
        (0.0, 1e-12, true),
        (0.0, 1e300, true),
        (-3e7, 1e8, true),
        (1e16, 1e16 + 2.0, false),
        (1.0, 1.0, false),
        (2.0, 1.0, false),
        (0.0, f64::INFINITY, false),
        (f64::NAN, 1.0, false),
    ] {
        let mut chart = square();
        (chart.up.from, chart.up.to) = (from, to);
        for line in &mut chart.lines {
            line.dots = vec![[0.0, from], [1.0, to]];
        }
        chart.marks.clear();
        assert_eq!(on_page(&chart).is_some(), drawn, "{from} to {to}");
        if drawn {
            assert!(letters(&chart).contains(&number(to)), "{from} to {to}");
        }
    }
}
