//! Texts that the search of `tests/fuzz` found or started from: every law still holds for each.

#[allow(
    unreachable_pub,
    reason = "the package of the targets offers these functions to its programs"
)]
#[path = "../fuzz/src/laws.rs"]
mod laws;

use tests::draft::{files_below, project};

/// Every target's texts, under every law: what troubles one reader may trouble another.
#[test]
fn texts_of_the_search_keep_every_law() {
    let corpus = project().join("tests/fuzz/corpus");
    for (target, _) in laws::LAWS {
        let files = files_below(&corpus.join(target));
        assert!(!files.is_empty(), "no text for {target}");
        for file in files {
            let bytes = std::fs::read(&file).expect("a text can be read");
            let Ok(text) = String::from_utf8(bytes) else {
                panic!("{} is no UTF-8", file.display());
            };
            for (name, law) in laws::LAWS {
                let held = std::panic::catch_unwind(|| law(&text));
                assert!(held.is_ok(), "{} breaks {name}", file.display());
            }
        }
    }
}
