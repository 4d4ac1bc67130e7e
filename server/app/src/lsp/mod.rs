//! The language server: `majorant serve`.

mod compute;
mod diagnostics;
mod documents;
mod editor;
mod fixes;
mod follow;
mod frames;
mod hover;
mod outbox;
mod parent;
mod place;
mod policy;
mod server;
mod session;
mod symbols;

use checks::Settings;
use std::sync::Arc;

/// Serves the editor on standard input and output, and ends the process with the exit code of
/// the protocol.
///
/// # Errors
/// One line in words if the server cannot start.
pub(crate) fn serve() -> Result<u8, String> {
    let settings = Settings::default();
    let engine: follow::Engine = Arc::new(move |text, format, companions, stop| {
        checks::review(text, format, companions, &settings, stop)
    });
    let code = session::serve(std::io::stdin(), std::io::stdout(), engine)
        .map_err(|error| format!("cannot serve: {error}"))?;
    // Returning would wait for the thread that is blocked in reading standard input.
    std::process::exit(i32::from(code))
}
