//! Which drafts are found, in which order, and what is told of the rest.

use super::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// A folder of its own for one test, removed at its end.
struct Folder(PathBuf);

impl Folder {
    fn new(files: &[(&str, &[u8])]) -> Self {
        static NEXT: AtomicUsize = AtomicUsize::new(0);
        let name = format!(
            "majorant-collect-{}-{}",
            std::process::id(),
            NEXT.fetch_add(1, Ordering::Relaxed)
        );
        let folder = Self(std::env::temp_dir().join(name));
        for (name, content) in files {
            let file = folder.0.join(name);
            fs::create_dir_all(file.parent().unwrap()).unwrap();
            fs::write(file, content).unwrap();
        }
        folder
    }

    fn collect(&self, names: &[&str]) -> Collection {
        let paths: Vec<PathBuf> = names.iter().map(|name| self.0.join(name)).collect();
        collect(&paths, &mut Courses::default()).unwrap()
    }

    fn names(&self, collection: &Collection) -> Vec<String> {
        let prefix = format!("{}/", shown(&self.0));
        let name = |draft: &Draft| draft.path.replace(&prefix, "");
        collection.drafts.iter().map(name).collect()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

#[test]
fn folders_are_walked_in_order_of_components() {
    let folder = Folder::new(&[
        ("b.md", b"x"),
        ("a/z.tex", b"x"),
        ("a.md", b"x"),
        ("a/b/c.Rmd", b"x"),
        ("a-b/c.qmd", b"x"),
        ("ä.markdown", b"x"),
        ("notes.txt", b"x"),
        ("B.MD", b"x"),
    ]);
    let found = folder.collect(&[""]);
    let expected = [
        "B.MD",
        "a/b/c.Rmd",
        "a/z.tex",
        "a-b/c.qmd",
        "a.md",
        "b.md",
        "ä.markdown",
    ];
    assert_eq!(folder.names(&found), expected);
    assert_eq!(found.skipped, []);
}

#[test]
fn a_file_reached_twice_is_one_draft_in_its_first_place() {
    let folder = Folder::new(&[("b.md", b"x"), ("a.md", b"x")]);
    let found = folder.collect(&["b.md", "", "a.md"]);
    assert_eq!(folder.names(&found), ["b.md", "a.md"]);
}

#[test]
fn ignore_files_count_below_folders_only() {
    let folder = Folder::new(&[
        (".gitignore", b"hidden.md\n"),
        ("hidden.md", b"x"),
        ("seen.md", b"x"),
        (".secret/a.md", b"x"),
        ("only/.ignore", b"*\n"),
        ("only/a.md", b"x"),
    ]);
    assert_eq!(folder.names(&folder.collect(&[""])), ["seen.md"]);
    assert_eq!(folder.names(&folder.collect(&["hidden.md"])), ["hidden.md"]);
    let only = folder.collect(&["only"]);
    assert_eq!(only.drafts, []);
    assert!(
        only.skipped[0]
            .reason
            .contains("1 that ignore files leave out")
    );
}

#[test]
fn a_named_file_is_read_by_ending_else_by_content() {
    let folder = Folder::new(&[
        ("a.txt", b"\\documentclass{article}"),
        ("b.txt", b"# Heading"),
        ("c.tex", b"# Heading"),
    ]);
    let found = folder.collect(&["a.txt", "b.txt", "c.tex"]);
    let formats: Vec<Format> = found.drafts.iter().map(|draft| draft.format).collect();
    assert_eq!(formats, [Format::Latex, Format::Markdown, Format::Latex]);
}

#[test]
fn what_cannot_be_read_is_told_and_the_rest_is_kept() {
    let folder = Folder::new(&[
        ("good.md", b"x"),
        ("latin.md", b"line\nna\xefve\n"),
        ("empty/notes.txt", b"x"),
    ]);
    let big = fs::File::create(folder.0.join("big.md")).unwrap();
    big.set_len(20 << 20).unwrap();
    let found = folder.collect(&["missing.md", "good.md", "latin.md", "empty", "big.md"]);
    assert_eq!(folder.names(&found), ["good.md"]);
    let reasons: Vec<&str> = found
        .skipped
        .iter()
        .map(|one| one.reason.as_str())
        .collect();
    assert_eq!(
        reasons,
        [
            "no such file or folder",
            "not UTF-8 text (line 2)",
            "no draft in this folder (.md, .markdown, .qmd, .Rmd, .tex)",
            "larger than 8 MiB, which no draft is",
        ]
    );
}

const MAIN: &[u8] = b"\\documentclass{article}\n\\input{macros}\n\\begin{document}\n\
    \\input{../outside}\n\\include{part/one.tex}\nText.\n\\end{document}\n";

#[test]
fn included_files_serve_their_draft() {
    let folder = Folder::new(&[
        ("course/main.tex", MAIN),
        (
            "course/macros.tex",
            b"\\newcommand{\\eps}{\\varepsilon}\n\\input{more}",
        ),
        ("course/more.tex", b"\\newcommand{\\R}{\\mathbb{R}}"),
        ("course/part/one.tex", b"Part."),
        ("outside.tex", b"Outside."),
    ]);
    let found = folder.collect(&[""]);
    assert_eq!(folder.names(&found), ["course/main.tex", "outside.tex"]);
    let companions: Vec<&str> = found.drafts[0]
        .companions
        .keys()
        .map(String::as_str)
        .collect();
    assert_eq!(companions, ["macros", "more", "part/one.tex"]);
    assert_eq!(found.served.len(), 3);
    // Whoever names a file outright wants it reviewed.
    let named = folder.collect(&["course", "course/macros.tex"]);
    assert_eq!(
        folder.names(&named),
        ["course/macros.tex", "course/main.tex"]
    );
}

#[cfg(unix)]
#[test]
fn a_link_out_of_the_folder_is_not_followed() {
    let folder = Folder::new(&[
        ("inside/main.tex", b"\\documentclass{article}\\input{link}"),
        ("outside.tex", b"secret"),
    ]);
    let link = folder.0.join("inside/link.tex");
    std::os::unix::fs::symlink(folder.0.join("outside.tex"), link).unwrap();
    let found = folder.collect(&["inside/main.tex"]);
    assert!(found.drafts[0].companions.is_empty());
}
