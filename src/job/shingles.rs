//! `[shingles]`: the format laid and the rules kept.

use serde::Deserialize;

use crate::courses::{LayRules, Reuse, ShingleFormat, ValleyType};
use crate::units::LengthText;

/// `[shingles]`.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Shingles {
    /// The name of the format laid.
    pub format: Option<String>,
    /// The names of other formats that the roof is laid in too, for comparison.
    pub compare: Vec<String>,
    /// Formats of the job's own, beside those that the program knows.
    pub formats: Vec<ShingleFormat>,
    /// How valleys are made.
    pub valley: Option<ValleyType>,
    /// What may be done with offcuts.
    pub reuse: Option<Reuse>,
    /// An offcut waits at most so many courses.
    pub wait_courses: Option<usize>,
    /// Least distance from a joint to any joint of the next course.
    pub joint_distance: Option<LengthText>,
    /// Least distance from a joint to any joint of the next course but one.
    pub second_joint_distance: Option<LengthText>,
    /// Least length of an end piece.
    pub least_piece: Option<LengthText>,
    /// Overhang of the shingles past a rake.
    pub rake_overhang: Option<LengthText>,
    /// Overhang of the shingles past an eave.
    pub eave_overhang: Option<LengthText>,
    /// How far the through side of a valley runs past its centre line.
    pub valley_lap: Option<LengthText>,
    /// How far the trimmed side of a closed-cut valley stays back.
    pub valley_cut_back: Option<LengthText>,
    /// How far both sides of an open valley stay back.
    pub valley_open_back: Option<LengthText>,
    /// No joint of the through side within this of the centre line.
    pub valley_joint_clear: Option<LengthText>,
    /// A strip at the ridge lower than this is left to the cap.
    pub ridge_skip: Option<LengthText>,
}

impl Shingles {
    /// The given rules with what the job says about them.
    pub fn rules(&self, mut rules: LayRules) -> LayRules {
        let inches = [
            (self.joint_distance, &mut rules.joint_distance_in),
            (
                self.second_joint_distance,
                &mut rules.second_joint_distance_in,
            ),
            (self.least_piece, &mut rules.least_piece_in),
            (self.rake_overhang, &mut rules.rake_overhang_in),
            (self.eave_overhang, &mut rules.eave_overhang_in),
            (self.valley_lap, &mut rules.valley_lap_in),
            (self.valley_cut_back, &mut rules.valley_cut_back_in),
            (self.valley_open_back, &mut rules.valley_open_back_in),
            (self.valley_joint_clear, &mut rules.valley_joint_clear_in),
            (self.ridge_skip, &mut rules.ridge_skip_in),
        ];
        for (said, rule) in inches {
            if let Some(said) = said {
                *rule = said.to_inches();
            }
        }
        rules.valley = self.valley.unwrap_or(rules.valley);
        rules.reuse = self.reuse.unwrap_or(rules.reuse);
        rules.wait_courses = self.wait_courses.unwrap_or(rules.wait_courses);
        rules
    }
}
