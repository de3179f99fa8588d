//! What lies under the shingles of a face, in the words of its steps: underlayment, ice barrier, and the metal over or under
//! them.

use super::crew_sheet::Crew;
use crate::courses::EdgeKind;
use crate::materials::{IceReach, MaterialList, layers_that_stay, past_valley};
use crate::roof::EdgeClass;
use crate::units::number::counted;

impl Crew<'_> {
    fn has_underlayment(&self) -> bool {
        self.lines_of("underlayment").next().is_some()
    }

    fn ice_reach<'c>(&self, materials: &'c MaterialList) -> Option<&'c IceReach> {
        materials.ice.iter().find(|i| i.face == self.layout.face)
    }

    /// What edge metal at an eave lies on, and what comes over it.
    pub(super) fn under_sheets(&self, materials: &MaterialList) -> String {
        match (self.has_underlayment(), self.ice_reach(materials)) {
            (false, None) => self.over_sheets(materials),
            _ => "on the deck, under the sheets".to_owned(),
        }
    }

    /// What metal lies on that goes over the sheets: they may be left out, or be ice barrier alone.
    pub(super) fn over_sheets(&self, materials: &MaterialList) -> String {
        let beneath = match materials.layers_kept {
            0 => "on the deck".to_owned(),
            layers => format!("over {}", layers_that_stay(layers)),
        };
        let barrier = self.ice_reach(materials).map(|ice| ice.is_whole);
        match (self.has_underlayment(), barrier) {
            (true, _) => "over the underlayment".to_owned(),
            (false, Some(true)) => "over the ice barrier".to_owned(),
            (false, Some(false)) => format!("{beneath}, over the ice barrier where it lies"),
            (false, None) => beneath,
        }
    }

    /// `, which both faces lap 6″ past the valley's centre`, where there is underlayment and it is counted so.
    pub(super) fn through_valley(&self, materials: &MaterialList) -> String {
        let lap = past_valley(materials).filter(|_| self.has_underlayment());
        lap.map_or_else(String::new, |lap| {
            let lap = self.units().small(lap);
            format!(", which both faces lap {lap} past the valley's centre")
        })
    }

    /// How far the ice barrier goes up this face, and in how many rows.
    pub(super) fn ice(&self, materials: &MaterialList) -> Option<String> {
        let ice = self.ice_reach(materials)?;
        let reach = self.report.units().length_at_least(ice.reach.to_feet());
        let how_far = match (ice.is_whole, ice.from_eave) {
            (true, _) => "over the whole face".to_owned(),
            (false, true) => format!("{reach} up the slope at least"),
            (false, false) if self.begins_at_pitch_change() => {
                format!("{reach} above the pitch change at least")
            }
            (false, false) => format!("{reach} above the face below at least"),
        };
        let rows = match (ice.runs_on_from_below, ice.rows) {
            (true, 0) => "what runs on from the face below".to_owned(),
            (true, n) => format!("{} and what runs on from below", counted(n, "row")),
            (false, n) => counted(n, "row"),
        };
        let on = match (ice.goes_on, self.ends_at_pitch_change()) {
            (false, _) => "",
            (true, true) => "; it goes on over the pitch change",
            (true, false) => "; it goes on in the face above",
        };
        Some(format!("{how_far}, {rows}{on}"))
    }

    /// How the underlayment of this face lies: one layer, or two as they are ordered.
    pub(super) fn underlayment(&self, materials: &MaterialList) -> String {
        let double = materials
            .double_underlayment
            .iter()
            .find(|double| double.face == self.layout.face);
        // Uncut, the sheet would hide the lining's face.
        let at_roll = match self.is_fed("valley_mineral_roll", EdgeClass::Valley) {
            true => "; at the valley over the edges of its lining, cut back with the shingles",
            false => "",
        };
        let nails = match self.lines_of("cap_nails").next() {
            Some(_) => "; cap nails",
            None => "",
        };
        match double {
            Some(double) => {
                let lap = self.units().small(double.lap);
                format!(
                    "two layers: a strip {lap} wide at the foot, then whole widths, each {lap} over the one below{at_roll}{nails}"
                )
            }
            None if self.unfolded.has(EdgeKind::Eave) => {
                format!("from below, over what lies at the eave{at_roll}{nails}")
            }
            None => format!("from below{at_roll}{nails}"),
        }
    }
}
