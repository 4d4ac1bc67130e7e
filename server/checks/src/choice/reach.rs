//! Thresholds that are taken from others and do not reach them: N = min{N₁, N₂}.

use super::*;

/// Where a later line needs for all n ≥ N what was promised for n ≥ N₁ only: n ≥ N₁, judged under
/// the choice of N. `None` if no line needs it, or if it is not false.
pub(super) fn falls_short(
    engine: &Engine<'_>,
    position: usize,
    setting: &Setting,
) -> Option<(Condition, Judgement)> {
    if setting.unreached.is_empty() {
        return None;
    }
    let needed = engine
        .argument
        .entries
        .iter()
        .skip(position + 1)
        .filter(|entry| entry.scope.contains(&position))
        .any(|entry| {
            let Some((left, relation, right)) = relation_of(entry) else {
                return false;
            };
            let own = Setting::of(engine.argument, &entry.scope);
            let holds = |setting: &Setting| {
                engine
                    .quickly(|| engine.relation(setting, left, relation, right, true))
                    .is_proved()
            };
            !holds(&own) && holds(&own.as_if_reached())
        });
    if !needed {
        return None;
    }
    setting.unreached.iter().find_map(|(ranges, _)| {
        ranges.iter().find_map(|range| {
            let Condition::Holds(left, relation, right) = range else {
                return None;
            };
            // Only how the thresholds are related is asked.
            let problem = setting.among_thresholds().holds(left, *relation, right);
            match engine.ask(&problem) {
                Verdict::Refuted(point) => Some((
                    range.clone(),
                    crate::engine::refuted(point, show::condition(range)),
                )),
                _ => None,
            }
        })
    })
}
