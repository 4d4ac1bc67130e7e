//! Sound, unusual and broken frames, in pieces of any size.

use super::*;
use serde_json::json;

/// Gives its bytes in small pieces, as pipes do.
struct Drops<'bytes>(&'bytes [u8], usize);

impl Read for Drops<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let count = self.1.min(self.0.len()).min(buffer.len());
        buffer[..count].copy_from_slice(&self.0[..count]);
        self.0 = &self.0[count..];
        Ok(count)
    }
}

fn frame(body: &str) -> Vec<u8> {
    format!("Content-Length: {}\r\n\r\n{body}", body.len()).into_bytes()
}

fn all(bytes: &[u8], piece: usize) -> Vec<Frame> {
    let mut frames = Frames::new(Drops(bytes, piece));
    std::iter::from_fn(|| frames.next()).collect()
}

/// A broken stretch between two good frames costs exactly one report and no good frame.
fn check_broken(broken: &[u8]) {
    let mut bytes = frame(r#"{"a":1}"#);
    bytes.extend_from_slice(broken);
    bytes.extend(frame(r#"{"b":2}"#));
    for piece in [1, 7, 100_000] {
        let frames = all(&bytes, piece);
        assert_eq!(frames.first(), Some(&Frame::Message(json!({"a": 1}))));
        assert_eq!(
            frames.last(),
            Some(&Frame::Message(json!({"b": 2}))),
            "{broken:?}"
        );
        let reports = frames.iter().filter(|one| matches!(one, Frame::Broken(_)));
        assert_eq!(reports.count(), 1, "{}", String::from_utf8_lossy(broken));
        assert_eq!(frames.len(), 3);
    }
}

#[test]
fn broken_frames_cost_one_report() {
    check_broken(&frame("{\"broken\":"));
    check_broken(b"Content-Length: 3\r\n\r\n\"\xff\"");
    check_broken(b"Content-Length: three\r\n\r\n{}");
    check_broken(b"Content-Length: -1\r\n\r\n{}");
    check_broken(b"Content-Type: text\r\n\r\n{}");
    check_broken(b"Content-Length: 0\r\n\r\n");
    check_broken(b"Content-Length: 99999999999\r\n\r\n{}");
    check_broken(b"Content-Length: 99999999999999999999999999\r\n\r\n{}");
    check_broken(b"Content-Length: 4\r\n\r\n{\"c\":3}");
    check_broken(b"rubbish between frames\r\n");
    check_broken(&vec![b'x'; 3 * limits::HEADER_BYTES]);
}

#[test]
fn a_length_too_great_costs_the_frame_only() {
    for broken in [
        "Content-Length: 20\r\n\r\n{\"c\":3}",
        "Content-Length: 2\r\nContent-Length: 9\r\n\r\n{}",
    ] {
        let mut bytes = broken.as_bytes().to_vec();
        bytes.extend(frame(r#"{"b":2}"#));
        let frames = all(&bytes, 5);
        assert_eq!(frames.last(), Some(&Frame::Message(json!({"b": 2}))));
    }
}

#[test]
fn unusual_but_sound_frames_are_read() {
    let body = r#"{"b":2}"#;
    let good = [
        format!("content-length: 7\r\nContent-Type: x; charset=utf-8\r\nX-More: 1\r\n\r\n{body}"),
        format!("Content-Length:7\n\n{body}"),
        format!("Content-Length: 9\r\n\r\n {body}\n"),
    ];
    for text in good {
        assert_eq!(all(text.as_bytes(), 3), [Frame::Message(json!({"b": 2}))]);
    }
}

#[test]
fn lone_surrogates_become_replacement_characters() {
    let cases = [
        (r#"["\ud83d"]"#, json!(["\u{FFFD}"])),
        (r#"["a\ude00b"]"#, json!(["a\u{FFFD}b"])),
        (r#"["\ud83d\ude00"]"#, json!(["😀"])),
        (r#"["\ud83d\ud83d\ude00"]"#, json!(["\u{FFFD}😀"])),
        (r#"["\\ud83d \ude00"]"#, json!(["\\ud83d \u{FFFD}"])),
        (r#"["\ud83d\n"]"#, json!(["\u{FFFD}\n"])),
    ];
    for (text, value) in cases {
        assert_eq!(all(&frame(text), 100), [Frame::Message(value)], "{text}");
    }
}

#[test]
fn a_cut_stream_ends() {
    assert_eq!(all(b"Content-Length: 10\r\n\r\n{}", 100), []);
    assert_eq!(all(b"Content-Le", 100), []);
    assert_eq!(all(b"", 100), []);
}
