//! Tests of seeking on the shapes that each part is made for.
