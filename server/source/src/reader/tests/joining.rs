//! Paragraphs around displays.

use super::*;

fn count(draft: &str) -> usize {
    let counts = [markdown(draft).blocks.len(), latex(draft).blocks.len()];
    assert_eq!(counts[0], counts[1], "{draft}");
    counts[0]
}

#[test]
fn a_display_stays_in_its_sentence() {
    assert_eq!(count("We get\n\n$$a$$\n\nfor all $n$."), 1);
    assert_eq!(count("We get\n$$a$$\nfor all $n$."), 1);
    assert_eq!(count("Hence:\n\n\\[a\\]\n\nThis proves it."), 2);
    assert_eq!(count("This is true.\n\n$$a$$\n\nwhere $b$ is."), 2);
    assert_eq!(count("This is true.\n\n$$a.$$\n\nWe go on."), 3);
    assert_eq!(count("So\n\n$$a$$\n\n$$= b$$"), 1);
    assert_eq!(count("So\n\n$$a$$\n\n$$c = b$$"), 2);
}

#[test]
fn containers_part_sentences() {
    let document = markdown("We get\n\n> $$a$$\n\nfor all $n$");
    assert_eq!(document.blocks.len(), 3);
    let document = markdown("- We get\n\n  $$a$$\n\n  for all $n$\n- two");
    assert_eq!(document.blocks.len(), 2);
}
