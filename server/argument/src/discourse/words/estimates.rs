//! The limit that estimates of a distance tell, where no words name it.

use crate::discourse::entry::Reader;
use crate::discourse::lexicon::Family;
use crate::discourse::outline::{Assertion, Content};
use kernel::{Expr, Function, Node};

impl Reader<'_> {
    /// The limit from which the text estimates the distance: f of |f_n(x) − f(x)| ≤ …, where no
    /// words name it.
    pub(super) fn limit_of_estimates(&self, family: &Family) -> Option<Expr> {
        self.protos.iter().find_map(|proto| {
            let Content::Assertion(Assertion::Relation { left, .. }) = &proto.entry.content else {
                return None;
            };
            let Node::Call(Function::Abs, inside) = left.node() else {
                return None;
            };
            if *inside == family.term {
                return Some(Expr::integer(0));
            }
            let Node::Add(parts) = inside.node() else {
                return None;
            };
            let [term, limit] = parts.as_slice() else {
                return None;
            };
            let limit = limit.negative();
            (*term == family.term && !limit.mentions(&family.index)).then(|| match limit.node() {
                Node::Neg(inner) => match inner.node() {
                    Node::Neg(value) => value.clone(),
                    _ => limit.clone(),
                },
                _ => limit.clone(),
            })
        })
    }
}
