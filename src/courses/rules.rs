//! The rules that a layout keeps.

use serde::{Deserialize, Serialize};

use crate::Finding;

use super::ShingleFormat;

/// The rules that a layout keeps. Inches.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LayRules {
    /// Least distance from a joint to any joint of the next course.
    pub joint_distance_in: f64,
    /// Least distance from a joint to any joint of the next course but one.
    pub second_joint_distance_in: f64,
    /// Least length of an end piece at mid exposure.
    pub least_piece_in: f64,
    /// Overhang past a rake, square to it.
    pub rake_overhang_in: f64,
    /// Overhang past an eave, up to the first butt line.
    pub eave_overhang_in: f64,
    /// How far the through side of a valley runs past its centre line, along the course.
    pub valley_lap_in: f64,
    /// How far the trimmed side of a closed-cut valley stays back from the centre line.
    pub valley_cut_back_in: f64,
    /// How far both sides of an open valley stay back from the centre line.
    pub valley_open_back_in: f64,
    /// No joint of the through side within this of the centre line.
    pub valley_joint_clear_in: f64,
    /// A strip at the ridge lower than this is left to the cap.
    pub ridge_skip_in: f64,
    /// How valleys are made.
    pub valley: ValleyType,
    /// What may be done with offcuts.
    pub reuse: Reuse,
    /// An offcut waits at most so many courses.
    pub wait_courses: usize,
}

/// How a valley is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ValleyType {
    /// One side runs through, the other is trimmed.
    ClosedCut,
    /// Both sides run through, interlaced.
    Woven,
    /// Both sides trimmed, metal lining in view.
    OpenMetal,
    /// Both sides trimmed, roll lining in view.
    OpenRoll,
}

/// What may be done with offcuts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reuse {
    /// One laid piece per opened shingle.
    None,
    /// A shingle yields at most one opening and one closing piece; factory ends in the field.
    TwoPiece,
    /// Any number of pieces; a hand-cut plain edge may lie in the field.
    SquareCut,
}

impl Default for LayRules {
    /// Common practice, no source, unless the shingle maker's instructions say otherwise.
    fn default() -> Self {
        Self {
            joint_distance_in: 4.0,
            second_joint_distance_in: 2.0,
            least_piece_in: 4.0,
            rake_overhang_in: 0.5,
            eave_overhang_in: 0.5,
            valley_lap_in: 12.0,
            valley_cut_back_in: 2.0,
            valley_open_back_in: 3.0,
            valley_joint_clear_in: 10.0,
            ridge_skip_in: 1.0,
            valley: ValleyType::ClosedCut,
            reuse: Reuse::TwoPiece,
            wait_courses: 7,
        }
    }
}

impl LayRules {
    /// Least distance from any joint or cutout of a format with tabs to any joint or cutout of the next course, in inches:
    /// that of joints, but no more than a third of a tab, the shortest of the usual steps (4, 5 and 6 in of 12; common
    /// practice, no source). `None` for a shingle without cutouts.
    pub fn cutout_distance_in(&self, format: &ShingleFormat) -> Option<f64> {
        let tab_in = format.tab_width_in()?;
        Some(self.joint_distance_in.min(tab_in / 3.0))
    }
}

/// Every reason why a format cannot be laid under the rules.
pub(super) fn problems(format: &ShingleFormat, rules: &LayRules) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut refuse = |message: String, remedy: &str| {
        found.push(Finding::error("cannot-lay", message).remedy(remedy));
    };
    let sizes = [
        ("width", format.width_in),
        ("height", format.height_in),
        ("exposure", format.exposure_in),
    ];
    for (what, inches) in sizes {
        if !(inches.is_finite() && inches > 0.0) {
            refuse(
                format!("the {what} of {} is {inches} in", format.name),
                "give the format sizes above nothing",
            );
        }
    }
    if format.exposure_in > format.height_in {
        refuse(
            format!(
                "{} shows {} in of its {} in to the weather",
                format.name, format.exposure_in, format.height_in
            ),
            "an exposure is less than the height; give the exposure that the maker states",
        );
    }
    let distances = [
        ("joint distance", rules.joint_distance_in),
        ("second joint distance", rules.second_joint_distance_in),
        ("least end piece", rules.least_piece_in),
        ("rake overhang", rules.rake_overhang_in),
        ("eave overhang", rules.eave_overhang_in),
        ("valley lap", rules.valley_lap_in),
        ("valley trim", rules.valley_cut_back_in),
        ("open valley trim", rules.valley_open_back_in),
        ("valley joint keep-out", rules.valley_joint_clear_in),
        ("strip left to the ridge cap", rules.ridge_skip_in),
    ];
    for (what, inches) in distances {
        if !(inches.is_finite() && inches >= 0.0) {
            refuse(
                format!("the {what} is {inches} in"),
                "give a length of 0 or more",
            );
        }
    }
    let closest = rules.joint_distance_in.max(rules.second_joint_distance_in);
    if closest * 2.0 > format.width_in {
        refuse(
            format!(
                "joints {closest} in from the next course's joints cannot be kept with shingles {} in wide",
                format.width_in
            ),
            "a joint distance is at most half the width",
        );
    }
    found
}
