//! What the targets share: the laws that every text must keep.

pub mod laws;
