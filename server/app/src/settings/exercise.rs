//! What the sheet fixes for all scripts, and which answers it belongs to.

/// An exercise of the sheet.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Exercise {
    number: Option<Place>,
    title: Option<String>,
    /// What the sheet says, in one line; empty if it only names the exercise.
    pub(crate) statement: String,
    /// Where the point lies, as a formula, for scripts that define the functions and leave that
    /// out.
    pub(crate) domain: Option<String>,
}

/// Words of titles whose number is not that of an exercise.
const OTHERS: [&str; 14] = [
    "lemma",
    "theorem",
    "proposition",
    "corollary",
    "definition",
    "remark",
    "example",
    "step",
    "case",
    "lecture",
    "sheet",
    "chapter",
    "section",
    "page",
];

/// The number of an exercise, and a part of it.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Place {
    number: String,
    part: Option<char>,
}

impl Exercise {
    /// An exercise by number, title or both.
    ///
    /// # Errors
    /// In words, if it has neither, or no number where one should be.
    pub(crate) fn new(
        number: Option<String>,
        title: Option<String>,
        statement: Option<String>,
        domain: Option<String>,
    ) -> Result<Self, String> {
        if number.is_none() && title.is_none() {
            return Err("an exercise needs a number or a title".to_owned());
        }
        let number = match number {
            None => None,
            Some(written) => {
                let place = Place::of(&written);
                Some(place.ok_or_else(|| format!("{written:?} holds no number"))?)
            }
        };
        let statement = statement.unwrap_or_default();
        Ok(Self {
            number,
            title: title.map(|title| plain(&title)),
            statement: statement.split_whitespace().collect::<Vec<_>>().join(" "),
            domain: domain.map(|formula| formula.trim().trim_matches('$').to_owned()),
        })
    }

    /// Whether an answer of that title answers this exercise: "Exercise 3", "3.", "Q3", "3(b)".
    pub(crate) fn is_answered_by(&self, title: &str) -> bool {
        let by_number = self.number.as_ref().is_some_and(|wanted| {
            Place::of(title).is_some_and(|found| {
                found.number == wanted.number
                    && (wanted.part.is_none() || found.part == wanted.part)
            })
        });
        let by_title = self
            .title
            .as_ref()
            .is_some_and(|wanted| format!(" {} ", plain(title)).contains(&format!(" {wanted} ")));
        by_number || by_title
    }

    /// Whether it is a part of an exercise: `3(b)`.
    pub(crate) fn is_part(&self) -> bool {
        self.number
            .as_ref()
            .is_some_and(|place| place.part.is_some())
    }

    /// Whether the title is that of a part: `Exercise 3(b)`.
    pub(crate) fn names_part(title: &str) -> bool {
        Place::of(title).is_some_and(|place| place.part.is_some())
    }

    /// The number that a title names, with its part: `3`, `3(b)`.
    pub(crate) fn number_in(title: &str) -> Option<String> {
        Place::of(title).map(|place| place.shown())
    }

    /// The exercise as messages name it.
    pub(crate) fn name(&self) -> String {
        match (&self.number, &self.title) {
            (Some(place), _) => format!("exercise {}", place.shown()),
            (None, title) => format!("exercise {:?}", title.as_deref().unwrap_or_default()),
        }
    }
}

impl Place {
    fn shown(&self) -> String {
        let part = self
            .part
            .map_or_else(String::new, |part| format!("({part})"));
        format!("{}{part}", self.number)
    }

    /// The first number of a title, with the part behind it: `3`, `2.4`, `3(b)`, `3b`, `3 b)`.
    fn of(title: &str) -> Option<Self> {
        // "Sheet 3, Exercise 2" is exercise 2.
        let lower = title.to_ascii_lowercase();
        let named = ["exercise", "problem", "question", "task"]
            .iter()
            .filter_map(|word| lower.find(word))
            .max();
        // "Lemma 3" is no answer to exercise 3.
        if named.is_none() && OTHERS.iter().any(|other| lower.contains(other)) {
            return None;
        }
        let word = named.unwrap_or(0);
        let digit = |letter: char| letter.is_ascii_digit();
        let start = match title[word..].find(digit) {
            Some(offset) => word + offset,
            None => title.find(digit)?,
        };
        let rest = &title[start..];
        let end = rest
            .char_indices()
            .find(|(at, letter)| {
                let inside = *letter == '.'
                    && rest[at + 1..].starts_with(|next: char| next.is_ascii_digit());
                !(letter.is_ascii_digit() || inside)
            })
            .map_or(rest.len(), |(at, _)| at);
        let behind = rest[end..].trim_start_matches([' ', '.', ':', '(', '-']);
        let mut letters = behind.chars();
        let part = letters
            .next()
            .filter(char::is_ascii_alphabetic)
            .filter(|_| !letters.next().is_some_and(char::is_alphanumeric));
        Some(Self {
            number: rest[..end].to_owned(),
            part: part.map(|letter| letter.to_ascii_lowercase()),
        })
    }
}

/// Letters and digits in lower case, single spaces between words.
fn plain(text: &str) -> String {
    let words: Vec<String> = text
        .split(|letter: char| !letter.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    words.join(" ")
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn answers_find_their_exercise() {
        let three = Exercise::new(Some("3".into()), None, None, None).unwrap();
        for title in [
            "Exercise 3",
            "3.",
            "3",
            "Q3",
            "Ex. 3",
            "Problem 3(b)",
            "EXERCISE 3: Roots",
            "Sheet 2, Exercise 3",
        ] {
            assert!(three.is_answered_by(title), "{title}");
        }
        for title in [
            "Exercise 13",
            "33",
            "Exercise 2.3",
            "Three",
            "Exercise 4(3)",
            "Lemma 3",
            "Sheet 3",
        ] {
            assert!(!three.is_answered_by(title), "{title}");
        }
        let part = Exercise::new(Some("2(b)".into()), None, None, None).unwrap();
        for title in ["2(b)", "Exercise 2 b)", "2b", "Q2.b"] {
            assert!(part.is_answered_by(title), "{title}");
        }
        for title in ["2", "2(a)", "2 because"] {
            assert!(!part.is_answered_by(title), "{title}");
        }
        let titled = Exercise::new(None, Some("Two limits".into()), None, None).unwrap();
        assert!(titled.is_answered_by("Exercise 5: *Two limits*."));
        assert!(!titled.is_answered_by("Two"));
        assert!(Exercise::new(None, None, None, None).is_err());
        assert!(Exercise::new(Some("three".into()), None, None, None).is_err());
    }
}
