//! Pipe boots, one a pipe, by diameter (rule `headwall-flashing`).

use super::flashing::on_faces;
use super::item::Item;
use super::kind;
use super::need::{Need, Needs};
use super::site::Site;
use super::words::Words;
use crate::roof::{FaceId, Penetration};
use crate::units::{Length, Plan};
use crate::{Finding, Place};

/// Diameters sold, in inches and in millimetres: common practice, no source.
const SOLD_IN: [f64; 4] = [1.5, 2.0, 3.0, 4.0];
const SOLD_MM: [f64; 5] = [40.0, 50.0, 75.0, 110.0, 125.0];
/// A pipe this much larger than a boot still takes it, in inches: plans are not drawn to the pipe's outside.
const SLACK_IN: f64 = 0.125;
/// Diameters nearer than this are one, in inches: they are read off the drawing.
const HAIR_IN: f64 = 1e-3;

/// In place of a size, of a pipe that has none.
pub(super) const NO_SIZE: &str = "size not given";

/// Whether orders have boots of a size, in inches: those sold, and any that is wider, as drawn.
pub(super) fn is_a_boot(inches: f64) -> bool {
    let mm = SOLD_MM.iter().map(|mm| mm / 25.4);
    let mut sold = SOLD_IN.iter().copied().chain(mm);
    let widest = SOLD_IN.last().copied().unwrap_or_default();
    inches > widest + SLACK_IN || sold.any(|size| kind::is_one_size(size, inches))
}

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    if !site.settings.applies("headwall-flashing") {
        return;
    }
    let mut unsized_pipes: Vec<&Penetration> = Vec::new();
    // What is drawn alike is told of once: a roof may have dozens of one symbol.
    let mut wide: Vec<(String, bool, Vec<&Penetration>)> = Vec::new();
    let pipes = site.roof.penetrations.iter();
    for pipe in pipes.filter(|pipe| site.is_shingled(pipe.face)) {
        // Of 0, which somebody may write, there is no pipe and no boot.
        let diameter = pipe.diameter.filter(|d| d.to_inches() > 0.0);
        let packages = Words::new(site.settings.metric_packages);
        let sold = diameter.and_then(|d| boot(d.to_inches(), site));
        let variant = match (diameter, sold) {
            (None, _) => {
                unsized_pipes.push(pipe);
                NO_SIZE.to_owned()
            }
            (Some(_), Some(size_in)) => packages.small(size_in),
            (Some(diameter), None) => {
                let drawn = site.words.small(diameter.to_inches());
                let is_alike = |(size, written, _): &&mut (String, bool, _)| {
                    *size == drawn && *written == pipe.is_written
                };
                match wide.iter_mut().find(is_alike) {
                    Some((.., alike)) => alike.push(pipe),
                    None => wide.push((drawn, pipe.is_written, vec![pipe])),
                }
                packages.small(diameter.to_inches())
            }
        };
        let is_larger = |d: Length<Plan>| sold.is_some_and(|size| size > d.to_inches() + SLACK_IN);
        let purpose = match diameter {
            Some(d) if pipe.is_written && is_larger(d) => {
                "pipes, the size next above the diameter written:"
            }
            Some(_) if pipe.is_written => "pipes, diameter as written:",
            Some(_) => "pipes, diameter as drawn:",
            None => "pipes",
        };
        out.push(
            Need::loose(Item::PipeBoot, purpose, 1.0, 1.0)
                .variant(variant)
                .faces(&[pipe.face])
                .rules(&["headwall-flashing"]),
        );
    }
    out.findings.extend(without_size(site, &unsized_pipes));
    let wide = wide
        .iter()
        .map(|(size, is_written, pipes)| too_wide(site, size, *is_written, pipes));
    out.findings.extend(wide);
}

fn without_size(site: &Site<'_>, pipes: &[&Penetration]) -> Option<Finding> {
    let message = match pipes {
        [] => return None,
        [pipe] => format!(
            "A pipe through face {} has no diameter; its boot is listed without one.",
            site.roof.face(pipe.face).name
        ),
        _ => format!(
            "{} pipes ({}) have no diameter; their boots are listed without one.",
            pipes.len(),
            on_faces(site, faces(pipes))
        ),
    };
    let finding = Finding::warning("pipe-diameter", message)
        .remedy("Write the diameter beside the pipe, such as `3 in`.");
    Some(placed(finding, pipes))
}

fn too_wide(site: &Site<'_>, size: &str, is_written: bool, pipes: &[&Penetration]) -> Finding {
    let (listed, remedy) = match is_written {
        true => (
            "as written",
            "Have its flashing made, or correct the diameter beside it.",
        ),
        false => (
            "as drawn",
            "Have its flashing made, or write its diameter beside it where the symbol is not to scale.",
        ),
    };
    let message = match pipes.len() {
        1 => format!("A pipe of {size} is wider than any boot sold; it is listed {listed}."),
        count => format!(
            "{count} pipes of {size} ({}) are wider than any boot sold; they are listed {listed}.",
            on_faces(site, faces(pipes))
        ),
    };
    placed(Finding::warning("pipe-wide", message).remedy(remedy), pipes)
}

fn faces(pipes: &[&Penetration]) -> Vec<FaceId> {
    pipes.iter().map(|pipe| pipe.face).collect()
}

fn placed(finding: Finding, pipes: &[&Penetration]) -> Finding {
    let places = pipes.iter().map(|pipe| Place::on(&pipe.source, pipe.at));
    places.fold(finding, Finding::place)
}

/// The smallest boot that a pipe fits, in inches; `None` where none that is sold is wide enough.
fn boot(diameter_in: f64, site: &Site<'_>) -> Option<f64> {
    let sold: Vec<f64> = match site.settings.metric_packages {
        true => SOLD_MM.iter().map(|mm| mm / 25.4).collect(),
        false => SOLD_IN.to_vec(),
    };
    let fits = |size: &f64| diameter_in <= size + SLACK_IN + HAIR_IN;
    sold.into_iter().find(fits)
}
