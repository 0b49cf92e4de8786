//! Why a wish cannot be met: the smallest set of demands that conflict, and what would open the way.

use super::plan::Setting;
use super::target::Target;
use crate::model::Dial;

/// One demand of a conflict.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    /// Which dial.
    pub dial: Dial,
    /// The person asked for it; otherwise it is a guard.
    pub asked: bool,
    /// The figure it would take when everything else is held: the way out on this demand alone.
    pub nearest: Option<f64>,
}

/// The smallest conflicting set of demands, found by leaving out one demand after another: a
/// demand stays in the set when the rest can be met without it.
pub(super) fn conflicts(setting: &Setting<'_>, targets: &[Target]) -> Vec<Conflict> {
    let at_most = setting.request.wish.at_most.min(2);
    let reachable = |targets: &[Target]| {
        let (settled, _) = setting.settled(targets, at_most);
        settled.into_iter().next().filter(|(_, s)| s.miss <= 1.0)
    };
    let mut left: Vec<Target> = targets.to_vec();
    let mut n = 0;
    while n < left.len() {
        let mut without = left.clone();
        without.remove(n);
        if reachable(&without).is_none() {
            left = without;
        } else {
            n += 1;
        }
    }
    let nearest = |t: &Target| {
        let others: Vec<Target> = targets
            .iter()
            .filter(|o| o.dial != t.dial)
            .copied()
            .collect();
        reachable(&others).and_then(|(_, s)| s.state.dial(t.dial))
    };
    left.iter()
        .map(|t| Conflict {
            dial: t.dial,
            asked: t.asked,
            nearest: nearest(t),
        })
        .collect()
}
