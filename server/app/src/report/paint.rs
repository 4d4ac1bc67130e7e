//! Colours of the text report: on a terminal only, and never against the reader's wish.

use checks::Severity;
use std::io::IsTerminal;

/// What a piece of the report is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Ink {
    /// A draft's path, an argument's title.
    Title,
    /// Line numbers, rules, names of checks.
    Faint,
    /// A finding's severity and its carets.
    Severity(Severity),
    /// All is well.
    Good,
}

/// Whether and how pieces are coloured.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Paint {
    coloured: bool,
}

impl Paint {
    /// No colours.
    pub(crate) fn plain() -> Self {
        Self { coloured: false }
    }

    /// Colours.
    #[cfg(test)]
    pub(crate) fn coloured() -> Self {
        Self { coloured: true }
    }

    /// Colours if standard output is a terminal, `NO_COLOR` is unset or empty and the terminal
    /// is not `dumb`.
    pub(crate) fn for_standard_output() -> Self {
        let unwanted = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        let dumb = std::env::var_os("TERM").is_some_and(|value| value == "dumb");
        Self {
            coloured: !unwanted && !dumb && std::io::stdout().is_terminal(),
        }
    }

    /// The text in that ink.
    pub(crate) fn ink(self, ink: Ink, text: &str) -> String {
        if !self.coloured || text.is_empty() {
            return text.to_owned();
        }
        let code = match ink {
            Ink::Title => "1",
            Ink::Faint => "2",
            Ink::Good => "32",
            Ink::Severity(Severity::Error) => "1;31",
            Ink::Severity(Severity::Warning) => "1;33",
            Ink::Severity(Severity::Information) => "1;34",
            Ink::Severity(Severity::Hint) => "1;36",
        };
        format!("\u{1b}[{code}m{text}\u{1b}[0m")
    }
}
