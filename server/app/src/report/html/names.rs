//! Names of the places of a page, by position: nothing from a draft is ever a name.

pub(super) fn script(number: usize) -> String {
    format!("s{number}")
}

pub(super) fn script_head(number: usize) -> String {
    format!("s{number}-head")
}

pub(super) fn argument(draft: usize, argument: usize) -> String {
    format!("d{draft}-a{argument}")
}

pub(super) fn finding(draft: usize, finding: usize) -> String {
    format!("d{draft}-f{finding}")
}

pub(super) fn claim(draft: usize, claim: usize) -> String {
    format!("d{draft}-c{claim}")
}

pub(super) fn check(name: &str) -> String {
    format!("check-{name}")
}

/// The drawing with that number in the store of drawings.
pub(super) fn drawing(picture: usize, chart: usize) -> String {
    format!("drawing-{picture}-{chart}")
}

/// Title or description of a drawing where an argument shows it.
pub(super) fn seen(draft: usize, argument: usize, chart: usize, part: &str) -> String {
    format!("seen-{draft}-{argument}-{chart}-{part}")
}
