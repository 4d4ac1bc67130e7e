//! In which sets the points of a text live.

use super::*;

impl Lexicon {
    /// States the domain of points.
    pub(in crate::discourse) fn set_domain(&mut self, points: &[Symbol], set: &Term, span: Span) {
        for point in points {
            let domain = match self.member(set, &Expr::variable(point)) {
                Ok(conditions) => Domain {
                    conditions,
                    span: Some(span),
                    unread: None,
                    kind: elaborate::domain_kind(&as_set(set)),
                },
                Err(lost) => Domain {
                    span: Some(span),
                    unread: Some(lost.reason),
                    ..Domain::default()
                },
            };
            self.domains.insert(point.clone(), domain);
        }
    }

    /// What is known of where the points live does not bind.
    pub(in crate::discourse) fn loosen_domain(&mut self, points: &[Symbol], reason: &str) {
        for point in points {
            if let Some(domain) = self.domains.get_mut(point) {
                domain.conditions.clear();
                domain.unread = Some(reason.to_owned());
            }
        }
    }
}
