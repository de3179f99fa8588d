//! What the commands on a plan share: who and what it is for, what is told of a refusal, what is marked and explained.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use eavewright::batch::without_ending;
use eavewright::drawing::marked::{self, Fall};
use eavewright::drawing::{Drawing, LeftOut};
use eavewright::report::{ProjectInfo, wrapped};
use eavewright::roof::{Roof, SuggestedFall};
use eavewright::{Finding, gravest_first};

use super::Failure;
use super::args::PlanArgs;
use super::results::Results;
use super::road::Refused;
use super::settings::Settings;
use super::tell::Teller;

/// Tells every reason; writes nothing but the marked drawing, where one was asked for and the plan could be read.
pub(crate) fn refuse(
    args: &PlanArgs,
    mut results: Results,
    (bytes, refused): (&[u8], &Refused),
    teller: &Teller<'_>,
) -> Result<(), Failure> {
    teller.tell(&refused.findings, true);
    if let (Some(path), Some(drawing)) = (&args.marked, &refused.drawing) {
        // Numbered as they are told, the graver first.
        let mut findings = refused.findings.clone();
        gravest_first(&mut findings);
        let falls = proposed_falls(refused);
        results.add(path, marked(&args.plan, bytes, drawing, &findings, &falls)?);
        results.clear()?;
        results.save()?;
    }
    Ok(())
}

/// The arrows that are drawn for the falls that are asked about: as long as their faces let them be.
pub(crate) fn proposed_falls(refused: &Refused) -> Vec<Fall> {
    let fall = |fall: &SuggestedFall| Fall {
        at: fall.at,
        direction: fall.fall * fall.reach_ft,
        name: fall.face_label.clone(),
        level: fall.level,
    };
    refused.falls.iter().map(fall).collect()
}

/// The drawing with findings and falls marked.
pub(crate) fn marked(
    plan: &Path,
    bytes: &[u8],
    drawing: &Drawing,
    findings: &[Finding],
    falls: &[Fall],
) -> Result<Vec<u8>, Failure> {
    marked::write(bytes, &file_name(plan), drawing, findings, falls)
        .map_err(|f| Failure::Usage(vec![f]))
}

/// Adds the drawing with every finding marked, where it was asked for.
pub(crate) fn add_marked(
    args: &PlanArgs,
    bytes: &[u8],
    drawing: &Drawing,
    findings: &[Finding],
    results: &mut Results,
) -> Result<(), Failure> {
    if let Some(path) = &args.marked {
        results.add(path, marked(&args.plan, bytes, drawing, findings, &[])?);
    }
    Ok(())
}

/// A result beside the plan, named after it: `PLAN-takeoff.pdf`. Of a packed plan `.svg.gz` is one ending.
pub(crate) fn beside(plan: &Path, ending: &str) -> PathBuf {
    let whole = plan.file_name().and_then(|name| name.to_str());
    let known = whole
        .map(without_ending)
        .filter(|&name| Some(name) != whole);
    let mut name = match (known, plan.file_stem()) {
        (Some(name), _) => OsString::from(name),
        (None, Some(stem)) => stem.to_owned(),
        (None, None) => OsString::from("plan"),
    };
    name.push(ending);
    plan.with_file_name(name)
}

/// The plan's name in its folder, as it is printed and kept.
pub(crate) fn file_name(plan: &Path) -> String {
    let name = plan.file_name().unwrap_or_default();
    name.to_string_lossy().into_owned()
}

/// Who and what for, as the job says.
pub(crate) fn project(plan: &Path, settings: &Settings) -> ProjectInfo {
    let said = &settings.job.project;
    let text = |value: &Option<String>| value.clone().unwrap_or_default();
    ProjectInfo {
        name: text(&said.name),
        client: text(&said.client),
        address: text(&said.address),
        date: text(&said.date),
        revision: text(&said.revision),
        drawn_by: text(&said.drawn_by),
        checked_by: text(&said.checked_by),
        document: text(&said.document),
        status: text(&said.status),
        contractor: text(&said.contractor),
        contractor_address: text(&said.contractor_address),
        source_file: file_name(plan),
        up_bearing_deg: settings.job.plan.north_deg.unwrap_or(0.0),
    }
}

/// Tells on standard error what was asked to be explained, if anything was.
pub(crate) fn explain(args: &PlanArgs, drawing: &Drawing, roof: &Roof, teller: &Teller<'_>) {
    if args.explain {
        teller.explain(&explanation(drawing, roof));
    }
}

/// How shapes were chosen and why each face falls as it does.
pub(crate) fn explanation(drawing: &Drawing, roof: &Roof) -> String {
    let mut text = format!("\n{}", wrapped(&drawing.scale.from, "Scale: ", "  "));
    text += "\nWhy each face falls as it does\n";
    for face in &roof.faces {
        text += &wrapped(&face.why, &format!("  {:<5} ", face.name), "        ");
    }
    if !drawing.left_out.is_empty() {
        text += "\nLeft out of the roof\n";
        for left in &drawing.left_out {
            text += &wrapped(&left_out(left), "  ", "    ");
        }
    }
    text + "\n"
}

fn left_out(left: &LeftOut) -> String {
    let what = left.place.source.as_ref().map(|s| {
        let id =
            s.id.as_ref()
                .map(|id| format!(" \"{id}\""))
                .unwrap_or_default();
        format!("<{}>{id} at line {}: ", s.tag, s.line)
    });
    let finding = Finding::note("left-out", left.why.clone());
    format!("{}{}", what.unwrap_or_default(), finding.message)
}
