//! Cement along cut valley edges and sealant at penetrations (rule `sealing`).

use super::flashing;
use super::item::Item;
use super::need::{Need, Needs};
use super::site::Site;
use crate::courses::ValleyType;
use crate::roof::EdgeClass;

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    if !site.settings.applies("sealing") {
        return;
    }
    let cut_edges = match site.courses.rules.valley {
        ValleyType::ClosedCut => 1.0,
        ValleyType::Woven => 0.0,
        ValleyType::OpenMetal | ValleyType::OpenRoll => 2.0,
    };
    for run in site.runs(EdgeClass::Valley) {
        let length = run.true_ft * cut_edges;
        out.push(
            Need::loose(Item::Cement, "cut valley edges", length, length)
                .edges(&run.edges)
                .rules(&["sealing"]),
        );
    }
    for opening in flashing::openings(site) {
        out.push(
            Need::loose(Item::Sealant, "openings", 1.0, 1.0)
                .faces(&opening.faces)
                .rules(&["sealing"]),
        );
    }
    for pipe in &site.roof.penetrations {
        if site.is_shingled(pipe.face) {
            out.push(
                Need::loose(Item::Sealant, "pipes", 1.0, 1.0)
                    .faces(&[pipe.face])
                    .rules(&["sealing"]),
            );
        }
    }
}
