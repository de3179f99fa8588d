//! `[shingles]`: the format laid and the rules kept.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::Finding;
use crate::courses::{Choices, LayRules, Layout, Reuse, ShingleFormat, StartCorner, ValleyType};
use crate::roof::{EdgeClass, EdgeId, FaceId, Roof};
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
    /// What the course layout is to be good at.
    pub layout: Option<Layout>,
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
    /// What is chosen for single faces, by their names.
    pub faces: BTreeMap<String, FaceChoice>,
}

/// `[shingles.faces.NAME]`: what is chosen for one face.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct FaceChoice {
    /// The corner that its courses start from, seen from outside.
    pub start: Option<StartCorner>,
    /// The offset from course to course, laid wherever the rules allow it; a note says where they do not.
    pub offset: Option<LengthText>,
    /// Whether it runs through its closed-cut valleys; where not, the face beyond does.
    pub through: Option<bool>,
}

impl Shingles {
    /// What the job chooses for the faces of a roof, with a warning for every name that the roof does not have and
    /// every valley that two faces are to run through.
    pub fn choices(&self, roof: &Roof) -> (Choices, Vec<Finding>) {
        let mut choices = Choices {
            layout: self.layout.unwrap_or_default(),
            ..Choices::default()
        };
        let mut doubts = Vec::new();
        for (name, said) in &self.faces {
            let found = roof
                .faces
                .iter()
                .position(|f| f.name.eq_ignore_ascii_case(name));
            let Some(face) = found.map(FaceId) else {
                let names: Vec<&str> = roof.faces.iter().map(|f| f.name.as_str()).collect();
                doubts.push(
                    Finding::warning(
                        "face-unknown",
                        format!(
                            "The job file chooses for a face that the roof does not have: `{name}`."
                        ),
                    )
                    .remedy(format!("Its faces are {}.", names.join(", "))),
                );
                continue;
            };
            if let Some(start) = said.start {
                choices.start.insert(face, start);
            }
            if let Some(offset) = said.offset {
                choices.offset_in.insert(face, offset.to_inches());
            }
            if let Some(through) = said.through {
                self::through(roof, face, through, &mut choices, &mut doubts);
            }
        }
        (choices, doubts)
    }

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

/// Chooses the side that runs through every valley of a face.
fn through(
    roof: &Roof,
    face: FaceId,
    through: bool,
    choices: &mut Choices,
    doubts: &mut Vec<Finding>,
) {
    for id in (0..roof.edges.len()).map(EdgeId) {
        let edge = roof.edge(id);
        if edge.class != EdgeClass::Valley || !edge.faces.contains(&face) {
            continue;
        }
        let other = edge.faces.iter().copied().find(|f| *f != face);
        let Some(chosen) = (if through { Some(face) } else { other }) else {
            continue;
        };
        let before = choices.through.insert(id, chosen);
        if let Some(before) = before.filter(|b| *b != chosen) {
            choices.through.insert(id, before);
            doubts.push(
                Finding::warning(
                    "through-twice",
                    format!(
                        "The job file has both faces of the valley between {} and {} run through, or neither; {} does.",
                        roof.face(before).name,
                        roof.face(chosen).name,
                        roof.face(before).name
                    ),
                )
                .remedy("Say `through` for one of the two faces."),
            );
        }
    }
}
