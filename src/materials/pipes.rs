//! Pipe boots, one a pipe, by diameter (rule `headwall-flashing`).

use super::item::Item;
use super::kind;
use super::need::{Need, Needs};
use super::site::Site;
use super::words::Words;
use crate::{Finding, Place};

/// Diameters sold, in inches and in millimetres: common practice, no source.
const SOLD_IN: [f64; 4] = [1.5, 2.0, 3.0, 4.0];
const SOLD_MM: [f64; 5] = [40.0, 50.0, 75.0, 110.0, 125.0];
/// A pipe this much larger than a boot still takes it, in inches: plans are not drawn to the pipe's outside.
const SLACK_IN: f64 = 0.125;

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
    for pipe in &site.roof.penetrations {
        if !site.is_shingled(pipe.face) {
            continue;
        }
        let variant = match pipe.diameter {
            Some(diameter) => boot(
                diameter.to_inches(),
                site,
                || Place::on(&pipe.source, pipe.at),
                out,
            ),
            None => {
                out.findings.push(
                    Finding::warning(
                        "pipe-diameter",
                        format!(
                            "A pipe through face {} has no diameter; its boot is listed without one.",
                            site.roof.face(pipe.face).name
                        ),
                    )
                    .remedy("Write the diameter beside the pipe, such as `3 in`.")
                    .place(Place::on(&pipe.source, pipe.at)),
                );
                NO_SIZE.to_owned()
            }
        };
        let purpose = match pipe.diameter {
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
}

/// The smallest boot that a pipe fits.
fn boot(
    diameter_in: f64,
    site: &Site<'_>,
    place: impl FnOnce() -> Place,
    out: &mut Needs,
) -> String {
    let packages = Words::new(site.settings.metric_packages);
    let sold: Vec<f64> = if site.settings.metric_packages {
        SOLD_MM.iter().map(|mm| mm / 25.4).collect()
    } else {
        SOLD_IN.to_vec()
    };
    match sold.iter().find(|size| diameter_in <= **size + SLACK_IN) {
        Some(size) => packages.small(*size),
        None => {
            let drawn = site.words.small(diameter_in);
            out.findings.push(
                Finding::warning(
                    "pipe-wide",
                    format!("A pipe of {drawn} is wider than any boot sold; it is listed as drawn."),
                )
                .remedy("Have its flashing made, or write its diameter beside it where the symbol is not to scale.")
                .place(place()),
            );
            packages.small(diameter_in)
        }
    }
}
