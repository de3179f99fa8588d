//! What an offer says may change its price.

use super::cost::CostInputs;
use super::{MaterialList, porch};
use crate::roof::Roof;
use crate::units::number::listed;
use crate::{Finding, Severity};

/// What may change the price, and what goes before the offer whatever it says.
pub(super) fn cautions(inputs: &CostInputs<'_>) -> Vec<String> {
    let list = inputs.list;
    let mut said: Vec<String> = Vec::new();
    for finding in list.findings.iter().filter(|f| is_caution(f)) {
        // What is the same of several pipes is said once.
        for message in told_of_plans(finding, list) {
            if !said.contains(&message) {
                said.push(message);
            }
        }
    }
    for (i, roof) in inputs.roofs.iter().enumerate() {
        let covered = roof.findings.iter().filter(|f| f.code == "covered-roof");
        said.extend(covered.map(|f| of_plan(list, i, &format!("{}.", f.message))));
        let dead = dead_valleys(roof).into_iter();
        said.extend(dead.map(|valley| of_plan(list, i, &valley)));
    }
    if list.may_meet_old_roofing() {
        said.push("Old roofing can hold asbestos. Where it may, work stops until it has been tested; its removal is not in the price.".to_owned());
    }
    said.push("Local codes and the shingle maker's instructions go before anything in this offer; what they ask for beyond it is settled before work begins.".to_owned());
    said
}

/// That what level valleys need (common practice, no source) is in no line of the order: one sentence for those between the same
/// faces.
fn dead_valleys(roof: &Roof) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for edge in roof.edges.iter().filter(|edge| edge.is_dead_valley()) {
        let faces = edge.faces.iter();
        let names: Vec<&str> = faces.map(|&f| roof.face(f).name.as_str()).collect();
        let sentence = format!(
            "The valley between {} is level, and water and snow stay in it: it needs a cricket, or a lining and outlet made for standing water; neither is in the price.",
            listed(&names, "and")
        );
        if !said.contains(&sentence) {
            said.push(sentence);
        }
    }
    said
}

/// What is said of a roof, with the name of its plan where there are several.
pub(super) fn of_plan(list: &MaterialList, roof: usize, said: &str) -> String {
    match list.plan_of(roof) {
        Some(plan) => format!("{plan}: {said}"),
        None => said.to_owned(),
    }
}

/// A finding in words: of several roofs, once for each plan on which it was noticed, unless it is the same of all of
/// them and of no place.
fn told_of_plans(finding: &Finding, list: &MaterialList) -> Vec<String> {
    if list.findings_of.len() < 2 {
        return vec![finding.message.clone()];
    }
    let is_told = |of: &Vec<Finding>| of.iter().any(|f| f.message == finding.message);
    let of_all = finding.places.is_empty() && list.findings_of.iter().all(is_told);
    let roofs = list.findings_of.iter().enumerate();
    let told: Vec<String> = roofs
        .filter(|(_, of)| !of_all && is_told(of))
        .map(|(roof, _)| of_plan(list, roof, &finding.message))
        .collect();
    match told.is_empty() {
        true => vec![finding.message.clone()],
        false => told,
    }
}

/// Whether a finding of the list is something that the customer must know: warnings, and what nobody has said. Faces without
/// shingles stand under what is not in the price, porches under what is taken as given.
fn is_caution(finding: &Finding) -> bool {
    const UNSAID: [&str; 2] = ["ice-barrier-not-said", "layers-not-said"];
    const LEFT_OUT: [&str; 3] = ["slope-refused", "face-without-courses", porch::CODE];
    let is_grave = finding.severity >= Severity::Warning || UNSAID.contains(&finding.code);
    is_grave && !LEFT_OUT.contains(&finding.code)
}
