//! A check: the name of one kind of fault, its page, its usual severity.

/// How much a finding matters.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Severity {
    /// A mistake.
    Error,
    /// A gap or a danger.
    Warning,
    /// Pedantry, or what would make a claim true.
    Information,
    /// A remark on how the text was read.
    Hint,
}

impl Severity {
    /// The word of the JSON contract.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Information => "information",
            Self::Hint => "hint",
        }
    }
}

/// What produces one kind of finding.
#[derive(PartialEq, Eq, Debug)]
pub struct Check {
    /// Its name, which states the fault: `threshold-too-small`.
    pub name: &'static str,
    /// One sentence: what it finds.
    pub summary: &'static str,
    /// The severity of its findings where nothing speaks for another.
    pub severity: Severity,
    /// Its page of the guide, Markdown.
    pub page: &'static str,
}
