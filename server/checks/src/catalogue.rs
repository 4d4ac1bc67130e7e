//! Every check that there is, in the order of the guide.

use crate::check::Check;

/// All checks.
pub static CHECKS: &[&Check] = &[];

/// The check of that name.
#[must_use]
pub fn find(name: &str) -> Option<&'static Check> {
    CHECKS.iter().copied().find(|check| check.name == name)
}
