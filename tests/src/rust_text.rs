//! Rust source as text for the tidy rules: code without strings and comments, functions, lines.

/// The source with comments and the insides of string and character literals blanked, line
/// breaks kept.
#[must_use]
pub fn code_only(source: &str) -> String {
    let characters: Vec<char> = source.chars().collect();
    let mut code = String::with_capacity(source.len());
    let mut at = 0;
    while at < characters.len() {
        let end = literal_end(&characters, at);
        if end == at {
            code.push(characters[at]);
            at += 1;
        } else {
            for character in &characters[at..end] {
                code.push(if *character == '\n' { '\n' } else { ' ' });
            }
            at = end;
        }
    }
    code
}

/// One past the comment or literal that begins at `at`; `at` itself if none does.
fn literal_end(characters: &[char], at: usize) -> usize {
    let next = |ahead: usize| characters.get(at + ahead).copied();
    let word = 0 < at && (characters[at - 1].is_alphanumeric() || characters[at - 1] == '_');
    match characters[at] {
        '/' if next(1) == Some('/') => {
            let length = characters[at..].iter().position(|c| *c == '\n');
            length.map_or(characters.len(), |length| at + length)
        }
        '/' if next(1) == Some('*') => block_comment_end(characters, at),
        '"' => string_end(characters, at),
        'r' if !word && matches!(next(1), Some('"' | '#')) => raw_string_end(characters, at),
        '\'' => match (next(1), next(2), next(3)) {
            (Some('\\'), Some(_), _) => {
                let length = characters[at + 3..].iter().position(|c| *c == '\'');
                length.map_or(at, |length| at + 3 + length + 1)
            }
            // Else it is a lifetime.
            (Some(_), Some('\''), _) => at + 3,
            _ => at,
        },
        _ => at,
    }
}

fn block_comment_end(characters: &[char], at: usize) -> usize {
    let mut depth = 0_usize;
    let mut place = at;
    while place < characters.len() {
        match (characters[place], characters.get(place + 1)) {
            ('/', Some('*')) => {
                depth += 1;
                place += 2;
            }
            ('*', Some('/')) => {
                depth -= 1;
                place += 2;
                if depth == 0 {
                    return place;
                }
            }
            _ => place += 1,
        }
    }
    characters.len()
}

fn string_end(characters: &[char], at: usize) -> usize {
    let mut place = at + 1;
    while place < characters.len() {
        match characters[place] {
            '\\' => place += 2,
            '"' => return place + 1,
            _ => place += 1,
        }
    }
    characters.len()
}

fn raw_string_end(characters: &[char], at: usize) -> usize {
    let hashes = characters[at + 1..]
        .iter()
        .take_while(|c| **c == '#')
        .count();
    if characters.get(at + 1 + hashes) != Some(&'"') {
        return at;
    }
    let mut place = at + 2 + hashes;
    while place < characters.len() {
        let closing = characters[place..].iter().skip(1).take(hashes);
        if characters[place] == '"' && closing.filter(|c| **c == '#').count() == hashes {
            return place + 1 + hashes;
        }
        place += 1;
    }
    characters.len()
}

/// How many lines hold code: neither empty nor nothing but a comment. `code` is what
/// [`code_only`] gives.
#[must_use]
pub fn code_lines(code: &str) -> usize {
    code.lines().filter(|line| !line.trim().is_empty()).count()
}

/// The functions of a source with the number of their code lines, signature included.
#[must_use]
pub fn functions(code: &str) -> Vec<(String, usize)> {
    let mut found = Vec::new();
    for (at, _) in code.match_indices("fn ") {
        let starts_word = code[..at].chars().next_back().is_none_or(|c| !is_word(c));
        let name: String = code[at + 3..].chars().take_while(|c| is_word(*c)).collect();
        if !starts_word || name.is_empty() {
            continue;
        }
        let Some(end) = body_end(&code[at..]) else {
            continue;
        };
        found.push((name, code_lines(&code[at..at + end])));
    }
    found
}

fn is_word(character: char) -> bool {
    character.is_alphanumeric() || character == '_'
}

/// One past the closing brace of the body that follows; `None` for a mere signature.
fn body_end(code: &str) -> Option<usize> {
    let mut depth = 0_usize;
    let mut nested = 0_usize;
    for (place, character) in code.char_indices() {
        match character {
            '(' | '[' => nested += 1,
            ')' | ']' => nested = nested.saturating_sub(1),
            ';' if depth == 0 && nested == 0 => return None,
            '{' => depth += 1,
            '}' => {
                depth = depth.checked_sub(1)?;
                if depth == 0 {
                    return Some(place + 1);
                }
            }
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strings_and_comments_are_blanked() {
        let source = "let a = \"std::fs // {\"; // std::fs\nlet b = r#\"x \" {\"#; let c = '{'; /* { */ f::<'a>();\n";
        let code = code_only(source);
        assert!(!code.contains("std") && !code.contains('{'), "{code}");
        assert!(
            code.contains("let c =") && code.contains("f::<'a>()"),
            "{code}"
        );
        assert_eq!(code.lines().count(), 2);
    }

    #[test]
    fn functions_are_measured_in_code_lines() {
        let source = "fn one(a: [u8; 2]) -> u8 {\n    // why\n\n    if true { 1 } else { 2 }\n}\ntrait T {\n    fn two();\n}\n";
        assert_eq!(functions(&code_only(source)), [("one".to_owned(), 3)]);
        assert_eq!(code_lines(&code_only(source)), 6);
    }
}
