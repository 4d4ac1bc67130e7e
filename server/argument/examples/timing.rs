//! t
fn main() {
    let path = std::env::args().nth(1).unwrap_or_default();
    let draft = std::fs::read_to_string(&path).unwrap_or_default();
    let t = std::time::Instant::now();
    let document = source::read(&draft, source::Format::Markdown, &source::Companions::new());
    eprintln!("source {:?}", t.elapsed());
    let t = std::time::Instant::now();
    let outline = argument::read(&draft, &document, &argument::Convention::default());
    eprintln!("argument {:?} {}", t.elapsed(), outline.arguments.len());
}
