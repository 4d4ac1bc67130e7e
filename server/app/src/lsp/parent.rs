//! Whether the editor that started the server is still alive.

/// A process to watch.
#[derive(Debug, Default)]
pub(crate) struct Parent {
    id: Option<u32>,
}

impl Parent {
    /// Watches process `id`. One that cannot be seen now (another machine's, another
    /// container's) is not watched: its absence would say nothing.
    pub(crate) fn watch(id: Option<u32>) -> Self {
        Self {
            id: id.filter(|&id| is_alive(id)),
        }
    }

    /// Whether it was there and is gone.
    pub(crate) fn is_gone(&self) -> bool {
        self.id.is_some_and(|id| !is_alive(id))
    }
}

/// Dead processes that nobody has waited for yet count as gone.
#[cfg(target_os = "linux")]
fn is_alive(id: u32) -> bool {
    let Ok(stat) = std::fs::read_to_string(format!("/proc/{id}/stat")) else {
        return false;
    };
    // The name in parentheses may hold anything, the state follows it.
    let state = stat.rsplit(')').next().unwrap_or_default();
    !matches!(state.trim_start().chars().next(), Some('Z' | 'X') | None)
}

/// Elsewhere the end of standard input is the only sign, which every editor gives.
#[cfg(not(target_os = "linux"))]
fn is_alive(_id: u32) -> bool {
    false
}
