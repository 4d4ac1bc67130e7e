//! Pages written from the tables that the reader itself uses: notation by notation, phrase by
//! phrase.

use argument::discourse::phrase;
use argument::notation::spelling;
use std::fmt::Write as _;

/// How formulas may be typed.
pub(super) fn notation() -> String {
    let mut page = String::from(
        "# notation\n\n\
         What stands in a formula, and how it may be typed. A command that is in no list here and \
         that neither the draft nor its course defines is told as not read. Macros of a draft are \
         expanded first.\n",
    );
    let mut topic = "";
    for row in spelling::spellings() {
        if row.topic != topic {
            topic = row.topic;
            let _ = write!(page, "\n## {topic}\n\n");
        }
        let _ = writeln!(page, "- {}: {}", row.meaning, row.typed.join(" "));
    }
    page
}

/// What words tell of the formulas around them.
pub(super) fn phrases() -> String {
    let mut page = String::from(
        "# phrases\n\n\
         What words tell of the formulas around them. `a/b` is a choice between words, `[a]` may be \
         left out, and small adverbs (now, also, clearly, …) may stand between two words. Where \
         several phrases fit, the one with most words counts. Words in no phrase tell nothing of \
         a formula.\n",
    );
    let mut meaning = String::new();
    for row in phrase::rows() {
        if row.meaning != meaning {
            let _ = write!(page, "\n## What {}\n\n", row.meaning);
            meaning = row.meaning;
        }
        let _ = writeln!(page, "- {}", row.phrase);
    }
    page
}
