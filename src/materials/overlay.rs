//! New shingles over old roofing that stays: no sheet is laid over it (rule `overlay`).

use super::need::Needs;
use super::site::Site;
use crate::Finding;

/// `the one layer that stays`, `the 2 layers that stay`.
pub(crate) fn layers_that_stay(layers: u32) -> String {
    match layers {
        1 => "the one layer that stays".to_owned(),
        n => format!("the {n} layers that stay"),
    }
}

/// Tells what is left out.
pub(super) fn tell(site: &Site<'_>, out: &mut Needs) {
    let settings = site.settings;
    if !settings.leaves_sheets_out() {
        return;
    }
    let over = layers_that_stay(settings.layers_kept());
    out.findings.push(
        Finding::note(
            "overlay-without-sheets",
            format!(
                "The new shingles go over {over}: no underlayment, no ice barrier and no sheet in closed valleys is listed, since sheets belong on the deck (rule `overlay`)."
            ),
        )
        .remedy("Say `tear_off = true` under [site] in the job file where the old roofing comes off, or put `overlay` into `rules_off` where sheets are wanted over it."),
    );
    if settings.ice_barrier == Some(true) && settings.applies("ice-barrier") {
        out.findings.push(
            Finding::warning(
                "overlay-without-ice-barrier",
                format!(
                    "The code's table asks for an ice barrier, which has to stick to the deck: over {over} none is listed."
                ),
            )
            .remedy("Tear off, at the eaves at least, or settle it with the building department."),
        );
    }
}
