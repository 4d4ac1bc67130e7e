//! Messages out of a stream of bytes: one broken frame costs one frame, never the session.

use crate::limits;
use serde_json::Value;
use std::io::{ErrorKind, Read};

/// What stood next in the stream.
#[derive(Debug, PartialEq)]
pub(crate) enum Frame {
    /// A message in JSON.
    Message(Value),
    /// Something that is none, and why.
    Broken(String),
}

/// The header that every frame has, by which a broken stream is taken up again.
const LENGTH: &[u8] = b"content-length:";

/// Reads frames from a stream.
pub(crate) struct Frames<R> {
    input: R,
    buffer: Vec<u8>,
    /// Something was broken: everything up to the next length header is skipped.
    lost: bool,
}

/// A header block.
enum Header {
    /// The body's length, and where it starts.
    Body { length: usize, start: usize },
    /// What is wrong with it.
    Broken(String),
}

impl<R: Read> Frames<R> {
    /// Frames of `input`.
    pub(crate) fn new(input: R) -> Self {
        Self {
            input,
            buffer: Vec::new(),
            lost: false,
        }
    }

    /// The next frame; `None` at the end of the stream.
    pub(crate) fn next(&mut self) -> Option<Frame> {
        if self.lost {
            self.find_length_header()?;
        }
        let end = match self.header_end()? {
            Some(end) => end,
            None => return Some(self.lose(0, "a header without an end".to_owned())),
        };
        match header(&self.buffer[..end]) {
            // The length header may stand behind the rubbish in this very block.
            Header::Broken(why) => Some(self.lose(1, why)),
            Header::Body { length, start } => {
                while self.buffer.len() < start + length {
                    self.fill()?;
                }
                Some(self.body(start, start + length))
            }
        }
    }

    fn body(&mut self, start: usize, end: usize) -> Frame {
        match parse(&self.buffer[start..end]) {
            Ok(value) => {
                self.buffer.drain(..end);
                Frame::Message(value)
            }
            // A length too great has swallowed the next frame's header: search inside, too.
            Err(why) => self.lose(start, why),
        }
    }

    fn lose(&mut self, skip: usize, why: String) -> Frame {
        self.buffer.drain(..skip.min(self.buffer.len()));
        self.lost = true;
        Frame::Broken(why)
    }

    /// Drops everything before the next length header.
    fn find_length_header(&mut self) -> Option<()> {
        loop {
            if let Some(at) = find_ignoring_case(&self.buffer, LENGTH) {
                self.buffer.drain(..at);
                self.lost = false;
                return Some(());
            }
            let keep = self.buffer.len().min(LENGTH.len() - 1);
            self.buffer.drain(..self.buffer.len() - keep);
            self.fill()?;
        }
    }

    /// Where the header block ends; `Some(None)` if it is too long to be one.
    fn header_end(&mut self) -> Option<Option<usize>> {
        loop {
            let window = &self.buffer[..self.buffer.len().min(limits::HEADER_BYTES)];
            let crlf = find(window, b"\r\n\r\n").map(|at| at + 4);
            let lf = find(window, b"\n\n").map(|at| at + 2);
            if let Some(end) = [crlf, lf].into_iter().flatten().min() {
                return Some(Some(end));
            }
            if limits::HEADER_BYTES <= self.buffer.len() {
                return Some(None);
            }
            self.fill()?;
        }
    }

    fn fill(&mut self) -> Option<()> {
        let mut chunk = [0; 16 << 10];
        loop {
            match self.input.read(&mut chunk) {
                Ok(0) => return None,
                Ok(count) => {
                    self.buffer.extend_from_slice(&chunk[..count]);
                    return Some(());
                }
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(_) => return None,
            }
        }
    }
}

fn header(block: &[u8]) -> Header {
    let mut length: Option<usize> = None;
    for line in block.split(|&byte| byte == b'\n') {
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        if line.is_empty() {
            continue;
        }
        let Some((name, value)) = split_header(line) else {
            return Header::Broken("a header line that is none".to_owned());
        };
        if !name.eq_ignore_ascii_case("content-length") {
            continue;
        }
        let Ok(wanted) = value.parse::<u64>() else {
            return Header::Broken("a Content-Length that is no number".to_owned());
        };
        if limits::MESSAGE_BYTES as u64 <= wanted {
            let most = limits::MESSAGE_BYTES >> 20;
            return Header::Broken(format!("a message larger than {most} MiB"));
        }
        let wanted = wanted as usize;
        if length.is_some_and(|length| length != wanted) {
            return Header::Broken("two different Content-Length headers".to_owned());
        }
        length = Some(wanted);
    }
    match length {
        None => Header::Broken("a header without Content-Length".to_owned()),
        Some(length) => Header::Body {
            length,
            start: block.len(),
        },
    }
}

fn split_header(line: &[u8]) -> Option<(&str, &str)> {
    let (name, value) = std::str::from_utf8(line).ok()?.split_once(':')?;
    let token = |letter: char| letter.is_ascii_alphanumeric() || letter == '-';
    (!name.is_empty() && name.chars().all(token)).then_some((name, value.trim()))
}

fn parse(body: &[u8]) -> Result<Value, String> {
    let text = std::str::from_utf8(body).map_err(|_| "a message that is not UTF-8".to_owned())?;
    serde_json::from_str(text).or_else(|error| {
        // A client that splits a surrogate pair over two edits sends halves, which JSON
        // readers refuse; the replacement character is as wide in UTF-16.
        mend_surrogates(text)
            .and_then(|mended| serde_json::from_str(&mended).ok())
            .ok_or_else(|| format!("a message that is not JSON: {error}"))
    })
}

/// The JSON text with every lone surrogate escape replaced, `None` if there is none.
fn mend_surrogates(text: &str) -> Option<String> {
    let bytes = text.as_bytes();
    let mut mended: Option<String> = None;
    let mut copied = 0;
    let mut at = 0;
    while at < bytes.len() {
        if bytes[at] != b'\\' {
            at += 1;
            continue;
        }
        let Some(unit) = escaped_unit(bytes, at) else {
            at += 2;
            continue;
        };
        let follower = escaped_unit(bytes, at + 6);
        match unit {
            0xD800..=0xDBFF if follower.is_some_and(|low| (0xDC00..=0xDFFF).contains(&low)) => {
                at += 12;
            }
            0xD800..=0xDFFF => {
                let out = mended.get_or_insert_with(String::new);
                out.push_str(&text[copied..at]);
                out.push_str("\\uFFFD");
                at += 6;
                copied = at;
            }
            _ => at += 6,
        }
    }
    mended.map(|out| out + &text[copied..])
}

/// The unit of the escape `\uXXXX` at `at`.
fn escaped_unit(bytes: &[u8], at: usize) -> Option<u32> {
    let escape = bytes.get(at..at.checked_add(6)?)?;
    let digits = escape.strip_prefix(b"\\u")?;
    let digits = std::str::from_utf8(digits).ok()?;
    u32::from_str_radix(digits, 16).ok()
}

fn find(text: &[u8], part: &[u8]) -> Option<usize> {
    text.windows(part.len()).position(|window| window == part)
}

fn find_ignoring_case(text: &[u8], part: &[u8]) -> Option<usize> {
    text.windows(part.len())
        .position(|window| window.eq_ignore_ascii_case(part))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
