//! The language server: `majorant serve`.

mod about;
mod aside;
mod completion;
mod compute;
mod diagnostics;
mod documents;
mod drafting;
mod editor;
mod edits;
mod features;
mod fixes;
mod folds;
mod follow;
mod frames;
mod hints;
mod hover;
mod names;
mod outbox;
mod parent;
mod place;
mod policy;
mod reading;
mod rename;
mod server;
mod session;
mod symbols;
mod templates;
mod tokens;

use crate::aided;
use crate::settings::{Course, Courses};
use std::io::Write;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

/// Serves the editor on standard input and output, and ends the process with the exit code of
/// the protocol.
///
/// # Errors
/// One line in words if the server cannot start.
pub(crate) fn serve() -> Result<u8, String> {
    let told = Arc::new(Mutex::new(String::new()));
    let heard = Arc::clone(&told);
    let engine = follow::Engine {
        review: Arc::new(move |asked, stop| {
            let course = course(asked.file, &told);
            let aided = aided::review(asked.text, asked.format, asked.companions, &course, stop)?;
            Some(aided.review)
        }),
        read: Arc::new(move |asked| {
            let course = course(asked.file, &heard);
            aided::read(asked.text, asked.format, asked.companions, &course)
        }),
    };
    let code = session::serve(std::io::stdin(), std::io::stdout(), engine)
        .map_err(|error| format!("cannot serve: {error}"))?;
    // Returning would wait for the thread that is blocked in reading standard input.
    std::process::exit(i32::from(code))
}

/// The course of a draft as its settings are now. A file that cannot be used is told once on
/// standard error, which editors keep in a log, and the usual settings hold.
fn course(file: Option<&Path>, told: &Mutex<String>) -> Arc<Course> {
    let found = file.map(|file| Courses::default().of(file));
    match found {
        None => Arc::default(),
        Some(Ok(course)) => course,
        Some(Err(reason)) => {
            let mut told = told.lock().unwrap_or_else(PoisonError::into_inner);
            if *told != reason {
                // Without a standard error there is nobody to tell.
                let _ = writeln!(std::io::stderr(), "majorant: {reason}");
                *told = reason;
            }
            Arc::default()
        }
    }
}
