//! Field shingles: the whole ones that the course layout opens.

use super::item::Item;
use super::need::{Need, Needs};
use super::site::Site;

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    let piece_sqin = site.courses.format.exposed_area_sqin();
    for layout in site.layouts() {
        out.push(
            Need::loose(
                Item::Shingles,
                "faces",
                layout.net_area_sqin / piece_sqin,
                layout.opened as f64,
            )
            .faces(&[layout.face]),
        );
    }
}
