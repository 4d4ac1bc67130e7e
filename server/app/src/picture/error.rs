//! The two pictures of an error term: its curves at several indices, and its supremum along the
//! index; and what stands below them.

use super::{Axis, Chart, Entry, INKS, Line, Mark, Sample, Shape, number};
use scratch::portrait::{Curve, Portrait, Power, Scene, Sizes};

/// The pictures of a portrait, the curves first.
pub(crate) fn charts(portrait: &Portrait) -> Vec<Chart> {
    let scene = portrait.scene.as_ref().map(|own| curves(portrait, own));
    let sizes = portrait.sizes.as_ref().map(|own| sizes(portrait, own));
    scene.into_iter().chain(sizes).collect()
}

/// What the pictures show, in sentences.
pub(crate) fn caption(portrait: &Portrait) -> String {
    let n = &portrait.index;
    let mut parts: Vec<String> = fixed(portrait)
        .map(|own| format!("Drawn for {own}; other values give other curves."))
        .into_iter()
        .collect();
    parts.push(format!(
        "The error term is {}.",
        portrait.error.join(" and ")
    ));
    let known = match (&portrait.supremum, &portrait.bound) {
        (Some(supremum), Some(bound)) if supremum == bound => {
            Some(format!("Its supremum is {supremum}"))
        }
        (Some(supremum), Some(bound)) => {
            Some(format!("Its supremum is {supremum}, and at most {bound}"))
        }
        (Some(supremum), None) => Some(format!("Its supremum is {supremum}")),
        (None, Some(bound)) => Some(format!("It is at most {bound}")),
        (None, None) => None,
    };
    let start = if 1 < portrait.from {
        format!(" for {n} ≥ {}", portrait.from)
    } else {
        String::new()
    };
    parts.extend(known.map(|own| format!("{own}{start}.")));
    let last = match (portrait.uniform, &portrait.scene) {
        (Some(true), Some(_)) => "The convergence is uniform.",
        (Some(false), Some(_)) => "The convergence is not uniform.",
        _ => "",
    };
    parts.push(last.to_owned());
    if let Some(scene) = &portrait.scene {
        if scene.curves.iter().any(|own| own.cut) {
            parts
                .push("Curves that leave the picture at the top have values beyond it.".to_owned());
        }
        parts.extend(beyond(scene));
    }
    if let Some(sizes) = &portrait.sizes {
        parts.push(tendency(sizes, n, portrait.scene.is_some()));
    }
    parts.retain(|own| !own.is_empty());
    parts.join(" ")
}

fn fixed(portrait: &Portrait) -> Option<String> {
    let all: Vec<String> = portrait
        .fixed
        .iter()
        .map(|(name, value)| format!("{name} = {value}"))
        .collect();
    (!all.is_empty()).then(|| all.join(", "))
}

fn beyond(scene: &Scene) -> Option<String> {
    let sides = match scene.beyond {
        [false, false] => return None,
        [true, false] => "to the left",
        [false, true] => "to the right",
        [true, true] => "to the left and to the right",
    };
    Some(format!("The domain goes on {sides} of what is drawn."))
}

fn curves(portrait: &Portrait, scene: &Scene) -> Chart {
    let Scene { from, to, top, .. } = *scene;
    let (n, x) = (&portrait.index, &scene.point);
    let mut chart = Chart {
        title: format!("The error term for several {n}"),
        description: String::new(),
        across: Axis {
            label: x.clone(),
            from,
            to,
        },
        up: Axis {
            label: format!("{}({x})", member("e", n)),
            from: 0.0,
            to: top,
        },
        logarithmic: false,
        lines: Vec::new(),
        marks: Vec::new(),
        key: Vec::new(),
    };
    let indices: Vec<String> = scene
        .curves
        .iter()
        .map(|own| own.index.to_string())
        .collect();
    let mut told = vec![format!(
        "Curves of {} over {} ≤ {x} ≤ {} for {n} = {}.",
        chart.up.label,
        number(from),
        number(to),
        indices.join(", ")
    )];
    for (ink, curve) in scene.curves.iter().take(INKS).enumerate() {
        let more = of_curve(curve, top);
        let words = format!("{n} = {}", curve.index);
        if !more.is_empty() {
            told.push(format!("{words}: {more}."));
        }
        chart.key.push(Entry {
            sample: Sample::Line { dashed: false },
            ink: Some(ink),
            text: words,
            more,
        });
        draw(curve, ink, scene, &mut chart);
    }
    explain(portrait, scene, &mut chart);
    chart.description = told.join(" ");
    chart
}

/// What is known of a curve.
fn of_curve(curve: &Curve, top: f64) -> String {
    let supremum = curve.supremum.map(|own| format!("sup {}", number(own)));
    let bound = curve
        .bound
        .filter(|own| curve.supremum.is_none_or(|most| !same(most, *own)))
        .map(|own| {
            let above = if top < own { " (above)" } else { "" };
            format!("bound {}{above}", number(own))
        });
    let parts: Vec<String> = supremum.into_iter().chain(bound).collect();
    parts.join(", ")
}

fn same(left: f64, right: f64) -> bool {
    (left - right).abs() <= 1e-9 * right.abs()
}

/// The level of a curve's dashed line: a bound, else the supremum.
fn level(curve: &Curve) -> Option<f64> {
    curve.bound.or(curve.supremum)
}

fn draw(curve: &Curve, ink: usize, scene: &Scene, chart: &mut Chart) {
    let ink = Some(ink);
    if let Some(level) = level(curve).filter(|own| *own <= scene.top) {
        chart.lines.push(Line {
            dots: vec![[scene.from, level], [scene.to, level]],
            ink,
            dashed: true,
        });
    }
    chart.lines.extend(curve.lines.iter().map(|dots| Line {
        dots: dots.clone(),
        ink,
        dashed: false,
    }));
    let single = curve.single.iter().filter(|own| own[1] <= scene.top);
    let mut mark = |at, shape| chart.marks.push(Mark { at, shape, ink });
    for &at in single {
        mark(at, Shape::Full);
    }
    if let Some(at) = curve.witness {
        mark(at, Shape::Diamond);
    }
    if let Some(greatest) = curve.greatest {
        mark(
            greatest.dot,
            if greatest.attained {
                Shape::Full
            } else {
                Shape::Open
            },
        );
    }
}

/// The rest of the key: what marks and dashed lines mean.
fn explain(portrait: &Portrait, scene: &Scene, chart: &mut Chart) {
    let mut add = |sample, text: &str, more: &str| {
        chart.key.push(Entry {
            sample,
            ink: None,
            text: text.to_owned(),
            more: more.to_owned(),
        });
    };
    let any = |wanted: &dyn Fn(&Curve) -> bool| scene.curves.iter().any(wanted);
    let attained =
        |wanted: bool| move |own: &Curve| own.greatest.is_some_and(|one| one.attained == wanted);
    if any(&attained(true)) {
        add(Sample::Mark(Shape::Full), "greatest value", "");
    }
    if any(&attained(false)) {
        add(Sample::Mark(Shape::Open), "supremum, not attained", "");
    }
    if let Some(least) = &portrait.witness
        && any(&|own| own.witness.is_some())
    {
        let text = format!("points {}", member("x", &portrait.index));
        let more = format!("the error stays at least {least}");
        add(Sample::Mark(Shape::Diamond), &text, &more);
    }
    let dashed = Sample::Line { dashed: true };
    if any(&|own| level(own).is_some_and(|own| own <= scene.top)) {
        let sharp = scene.curves.iter().all(|own| {
            own.bound
                .is_none_or(|bound| own.supremum.is_some_and(|most| same(most, bound)))
        });
        let (words, more) = if sharp {
            ("the supremum", "the least bound without")
        } else {
            ("a bound (majorant)", "a number without")
        };
        add(dashed, words, &format!("{more} {}", scene.point));
    }
}

fn sizes(portrait: &Portrait, sizes: &Sizes) -> Chart {
    let n = &portrait.index;
    let functions = portrait.scene.is_some();
    let own = member("e", n);
    let name = if functions { format!("sup {own}") } else { own };
    let all = || sizes.suprema.iter().chain(&sizes.bounds);
    let decade = |value: f64, up: bool| {
        let power = value.log10();
        // A value on a line of the grid is no reason for another decade.
        let power = if up {
            (power - 1e-9).ceil()
        } else {
            (power + 1e-9).floor()
        };
        10f64.powf(power)
    };
    let low = all().map(|own| own[1]).fold(f64::INFINITY, f64::min);
    let high = all().map(|own| own[1]).fold(0.0, f64::max);
    let (mut low, mut high) = (decade(low, false), decade(high, true));
    // What stays the same is seen as that between two lines of the grid.
    if is_level(sizes) {
        (low, high) = (low / 10.0, high * 10.0);
    }
    // Ends on lines of the grid are on its safe side, or their numbers would be missing.
    let (low, high) = (low * 0.999, high * 1.001);
    let last = all().map(|own| own[0]).fold(1.0, f64::max);
    let mut chart = Chart {
        title: if functions {
            format!("The supremum of the error term as {n} grows")
        } else {
            format!("The error term as {n} grows")
        },
        description: tendency(sizes, n, functions),
        across: Axis {
            label: n.clone(),
            from: 1.0,
            to: decade(last.max(10.0), true) * 1.001,
        },
        up: Axis {
            label: name.clone(),
            from: low,
            to: high,
        },
        logarithmic: true,
        lines: Vec::new(),
        marks: Vec::new(),
        key: Vec::new(),
    };
    let line = Sample::Line { dashed: false };
    if let Some(power) = &sizes.power {
        let dots: Vec<[f64; 2]> = all()
            .map(|own| [own[0], power.at(own[0])])
            .filter(|own| (low..=high).contains(&own[1]))
            .collect();
        let mut dots = dots;
        dots.sort_by(|left, right| left[0].total_cmp(&right[0]));
        dots.dedup();
        chart.lines.push(Line {
            dots,
            ink: Some(2),
            dashed: false,
        });
        chart.key.push(Entry {
            sample: line,
            ink: Some(2),
            text: spelled(power, n),
            more: if is_level(sizes) {
                "it does not fall".to_owned()
            } else {
                "fitted to the last values".to_owned()
            },
        });
    }
    if !sizes.bounds.is_empty() && sizes.bounds != sizes.suprema {
        chart.lines.push(Line {
            dots: sizes.bounds.clone(),
            ink: None,
            dashed: true,
        });
        chart.key.push(Entry {
            sample: Sample::Line { dashed: true },
            ink: None,
            text: "a bound".to_owned(),
            more: portrait.bound.clone().unwrap_or_default(),
        });
    }
    let marks = sizes.suprema.iter().map(|at| Mark {
        at: *at,
        shape: Shape::Full,
        ink: None,
    });
    chart.marks.extend(marks);
    if !sizes.suprema.is_empty() {
        chart.key.push(Entry {
            sample: Sample::Mark(Shape::Full),
            ink: None,
            text: name,
            more: portrait.supremum.clone().unwrap_or_default(),
        });
    }
    chart
}

fn is_level(sizes: &Sizes) -> bool {
    sizes.power.as_ref().is_some_and(|own| own.exponent == 0.0)
}

/// What happens as the index grows.
fn tendency(sizes: &Sizes, n: &str, functions: bool) -> String {
    let what = match (sizes.sharp, functions) {
        (true, true) => "The supremum",
        (true, false) => "The error term",
        (false, _) => "The bound",
    };
    let Some(power) = &sizes.power else {
        return format!(
            "On logarithmic axes {} makes no straight line: no power of {n} fits.",
            lower(what)
        );
    };
    if is_level(sizes) {
        return format!(
            "{what} does not fall as {n} grows: it stays near {}.",
            number(power.factor)
        );
    }
    let verb = if power.exponent < 0.0 {
        "falls"
    } else {
        "grows"
    };
    format!(
        "{what} {verb} about like {} (fitted to its last values).",
        spelled(power, n)
    )
}

fn lower(words: &str) -> String {
    words.to_lowercase()
}

/// c·n^p in short.
fn spelled(power: &Power, n: &str) -> String {
    let factor = number(power.factor);
    let times = if factor == "1" {
        String::new()
    } else {
        format!("{factor}·")
    };
    let exponent = match power.fraction {
        Some((0, _)) => return factor,
        Some((1, 1)) => n.to_owned(),
        Some((above, 1)) => format!("{n}{}", super::raised(&above.to_string())),
        Some((above, below)) => format!("{n}^({}/{below})", above.to_string().replace('-', "−")),
        None => format!("{n}^({})", number(power.exponent)),
    };
    format!("{times}{exponent}")
}

/// A letter with its index below it, where there is such a letter.
fn member(letter: &str, index: &str) -> String {
    let below = [("k", 'ₖ'), ("m", 'ₘ'), ("n", 'ₙ'), ("i", 'ᵢ'), ("j", 'ⱼ')];
    match below.iter().find(|own| own.0 == index) {
        Some((_, below)) => format!("{letter}{below}"),
        None => format!("{letter}_{index}"),
    }
}
