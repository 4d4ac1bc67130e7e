//! What each family of phrases tells, in words for people who write drafts.

use super::Family;

/// What a phrase of the family tells of the formulas around it.
pub(super) fn of(family: Family) -> String {
    let words = match family {
        Family::Let => "introduces something arbitrary",
        Family::Choose => "picks a threshold, δ, witness or bound",
        Family::Exists => "picks by existence",
        Family::ForAll => "begins a range",
        Family::For => "begins a range, or a reason, as what follows tells",
        Family::If => "begins a condition",
        Family::Assert => "begins a claim",
        Family::Weak => "begins a claim unless something stronger governs",
        Family::But => "turns the sentence to something else",
        Family::ToGet => "begins an aim at the head of a sentence, else a result",
        Family::HoldsIf => "begins the condition of what was just claimed",
        Family::At => "names the place where something holds",
        Family::Yes => "answers a question",
        Family::Therefore => "draws a claim from what stands before",
        Family::Restate => "says the same in other words",
        Family::Reason => "gives a reason, which is claimed too",
        Family::As => "gives a reason, or tells where a name goes",
        Family::By => "gives a reason if a statement follows",
        Family::Aim => "begins what is to be shown",
        Family::AimBefore => "says that what stands before is to be shown",
        Family::Suffices => "begins what is to be shown, unless a choice follows",
        Family::Ask => "asks a question or sets a task",
        Family::Assume => "supposes",
        Family::Contradiction => "supposes in order to contradict",
        Family::Discharge => "reaches the contradiction",
        Family::Reject => "begins what is said to be false or is not asserted",
        Family::RejectBefore => "says that what stands before is false",
        Family::Define => "names something",
        Family::SuchThat => "tells what the picked or named object satisfies",
        Family::Compare(relation) => {
            return format!(
                "is read as {} between what stands around it",
                relation.sign()
            );
        }
        Family::CompareZero(relation) => {
            return format!("is read as {} 0 behind what stands before", relation.sign());
        }
        Family::Tends => "is read as → between what stands around it",
        Family::WillDo => "makes a choice of what stands before",
        Family::Equivalent => "is read as ⇔",
        Family::Implies => "is read as ⇒",
        Family::Otherwise => "speaks of the case that is left",
        Family::Case => "begins a case",
        Family::CasesDone => "ends the cases",
        Family::On => "is followed by a domain",
        Family::Uniform => "makes a convergence uniform",
        Family::Pointwise => "makes a convergence pointwise",
        Family::Converge => "claims a convergence",
        Family::Diverge => "claims a divergence",
        Family::And => "goes on in the same way",
        Family::Or => "joins what need not hold by itself",
        Family::Where => "explains a name",
        Family::Not => "negates",
        Family::Doubt => "leaves open whether something is asserted",
        Family::Large => "restricts to all numbers from some place on",
        Family::Increasing => "claims that something grows",
        Family::Decreasing => "claims that something falls",
        Family::Done => "ends a proof, or claims nothing",
        Family::IntegerWord => "makes a name an integer",
        Family::RealWord => "makes a name a real number",
        Family::Place => "speaks of the place that follows",
        Family::GivenBy => "defines what stands before",
        Family::LimitIs => "names the limit",
    };
    words.to_owned()
}
