//! The built program in a folder of its own.

use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Output, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

/// A folder for one test, removed at its end.
pub(crate) struct Folder(PathBuf);

impl Folder {
    /// An empty folder.
    pub(crate) fn new() -> Self {
        static NEXT: AtomicUsize = AtomicUsize::new(0);
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        let name = format!("majorant-process-{}-{number}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        std::fs::create_dir_all(&folder).expect("a folder can be made");
        Self(folder)
    }

    /// A folder with these files.
    pub(crate) fn with(files: &[(&str, &str)]) -> Self {
        let folder = Self::new();
        for (name, content) in files {
            folder.write(name, content.as_bytes());
        }
        folder
    }

    /// Writes a file.
    pub(crate) fn write(&self, name: &str, content: &[u8]) {
        let file = self.0.join(name);
        let parent = file.parent().expect("a file has a folder");
        std::fs::create_dir_all(parent).expect("folders can be made");
        std::fs::write(file, content).expect("a file can be written");
    }

    /// The folder.
    pub(crate) fn path(&self) -> &Path {
        &self.0
    }

    /// The program, to be run in this folder and nowhere else.
    pub(crate) fn command(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_majorant"));
        command
            .current_dir(&self.0)
            .env("HOME", &self.0)
            .env_remove("XDG_CACHE_HOME");
        command
    }

    /// Runs the program to its end.
    pub(crate) fn run(&self, arguments: &[&str]) -> Output {
        self.command()
            .args(arguments)
            .stdin(Stdio::null())
            .output()
            .expect("the program can be started")
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// A child that does not outlive its test.
pub(crate) struct Guarded(pub(crate) Child);

impl Guarded {
    /// Waits for the end.
    pub(crate) fn wait(&mut self) -> ExitStatus {
        let end = Instant::now() + Duration::from_secs(120);
        loop {
            if let Some(status) = self.0.try_wait().expect("a child can be asked") {
                return status;
            }
            assert!(Instant::now() < end, "the program did not end");
            std::thread::park_timeout(Duration::from_millis(5));
        }
    }
}

impl Drop for Guarded {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}
